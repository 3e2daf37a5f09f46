"""Positions from either end and the wood between holes."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, pi

import pytest

from scaledesign.errors import DesignError
from scaledesign.model.document import Design, Station
from scaledesign.paper.layout import distance_from, value_at, wood_beside, wood_between


def test_positions_from_each_end(design: Design) -> None:
    assert distance_from(design, "edge", 0.16) == 0.16
    assert distance_from(design, "foot", 0.16) == pytest.approx(0.14)
    # chamber 100, plug 5, window 5
    assert distance_from(design, "cut-end", 0.16) == pytest.approx(0.27)


def test_a_blown_rim_is_the_cut_end(design: Design) -> None:
    rim = replace(design, instrument=replace(design.instrument, mouth="rim"))
    assert distance_from(rim, "cut-end", 0.16) == 0.16


def test_an_unknown_cut_end_says_what_to_state(design: Design) -> None:
    bare = replace(design, tube=replace(design.tube, chamber=None))
    with pytest.raises(DesignError, match=r"tube\.chamber: is not stated.*state chamber"):
        distance_from(bare, "cut-end", 0.16)


def test_wood_in_line_and_around(design: Design) -> None:
    assert wood_between(design, 1, 2) == pytest.approx(0.040 - 0.0072)
    around = pi * 0.020 / 2
    assert wood_between(design, 0, 1) == pytest.approx(hypot(0.010, around) - 0.00795)
    assert wood_beside(design, 2) == pytest.approx(0.040 - 0.0072)
    assert wood_beside(replace(design, holes=design.holes[:1]), 0) is None


def test_stations_steps_and_ends() -> None:
    stations = (Station(0.1, 1.0), Station(0.2, 2.0), Station(0.2, 5.0), Station(0.3, 6.0))
    assert [value_at(stations, x) for x in (0.0, 0.1, 0.15, 0.2, 0.25, 0.9)] == pytest.approx(
        [1.0, 1.0, 1.5, 5.0, 5.5, 6.0]
    )
