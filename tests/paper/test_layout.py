"""Positions from either end and the wood between holes."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, pi

import pytest

from scaledesign.errors import DesignError
from scaledesign.model.document import Design
from scaledesign.paper.layout import distance_from, wood_beside


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


def test_wood_to_the_nearest_hole_in_line_and_around(design: Design) -> None:
    around = hypot(0.010, pi * 0.020 / 2) - 0.00795
    assert wood_beside(design, 0) == pytest.approx(around)
    assert wood_beside(design, 1) == pytest.approx(around)
    assert wood_beside(design, 2) == pytest.approx(0.040 - 0.0072)
    assert wood_beside(replace(design, holes=design.holes[:1]), 0) is None
