"""Which readings are odd where some say one thing and as many another: by what they are witnesses of."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from scaledesign.solver.belief import Fit
from scaledesign.workshop.odd import odd_readings

MOUTH, OWN = 60.0, 4.0
"""Cents: what the mouth leaves open of all of them together, and each reading of itself."""


def fit(*off: float) -> Fit:
    """Readings that lie so many cents from what was believed."""
    count = len(off)
    together = MOUTH**2 * np.ones((count, count)) + OWN**2 * np.eye(count)
    lesson = SimpleNamespace(precision=np.linalg.inv(together)[None])
    return cast(Fit, SimpleNamespace(off=np.array([off]), lesson=lesson))


@pytest.mark.parametrize("off", [40.0, -70.0])
def test_three_readings_of_one_hole_do_not_overthrow_three_lengths_of_the_tube(off: float) -> None:
    found = fit(1, -2, 0, off, off + 3, off - 1)
    assert set(odd_readings(found, ["420", "390", "360", "R3", "R3", "R3"])) == {3, 4, 5}
    assert set(odd_readings(found, ["360", "360", "360", "R3", "R2", "R1"])) == {0, 1, 2}


def test_one_that_agrees_with_all_others_is_not_odd_for_being_of_an_odd_kind() -> None:
    found = fit(60, 62, 1, 0, 2, -1)
    assert set(odd_readings(found, ["360", "360", "360", "R3", "R2", "R1"])) == {0, 1}


def test_two_false_ones_of_two_kinds_are_two() -> None:
    found = fit(0, 2, 60, -1, -55, 1, 0)
    assert set(odd_readings(found, list("abcdefg"))) == {2, 4}
    assert set(odd_readings(found, list("aabbccd"))) == {2, 4}


def test_nothing_is_odd_where_all_go_together_and_both_of_two_that_do_not() -> None:
    assert odd_readings(fit(30, 33, 28), list("abc")) == ()
    assert set(odd_readings(fit(0, 40), list("ab"))) == {0, 1}
