"""Checks that need geometry; the rest are tested through broken files and refused edits."""

from dataclasses import replace

import pytest

from scaledesign.model.checks import check, station_at
from scaledesign.model.document import Design, Hole, Station, Tube

DESIGN = Design(Tube(0.36, (Station(0.0, 0.016),), (Station(0.0, 0.004),)))


def problems(*holes, tube=DESIGN.tube):
    return [fault.problem for fault in check(replace(DESIGN, tube=tube, holes=holes))]


def test_a_sound_design_has_no_fault():
    assert check(DESIGN) == ()


def test_the_bore_between_stations():
    stations = (Station(0.1, 0.016), Station(0.2, 0.014), Station(0.2, 0.012), Station(0.3, 0.010, 0.011))
    assert station_at(stations, 0.0) == 0.016
    assert station_at(stations, 0.15) == pytest.approx(0.015)
    assert station_at(stations, 0.2) == 0.014
    assert station_at(stations, 0.25) == pytest.approx(0.0115)
    assert station_at(stations, 0.9) == 0.011


def test_holes_that_touch_are_let_be_and_holes_that_overlap_are_not():
    assert problems(Hole(0.1, 0.008), Hole(0.108, 0.008)) == []
    assert problems(Hole(0.1, 0.008), Hole(0.1079, 0.008)) == ["hole 2 cuts into hole 1 at 100 mm"]


def test_a_thumb_hole_may_lie_behind_a_front_hole():
    assert problems(Hole(0.1, 0.008, finger="L1"), Hole(0.1, 0.008, side=180.0, finger="LT")) == []
    assert problems(Hole(0.1, 0.008, finger="L1"), Hole(0.1, 0.008, side=-350.0, finger="LT")) == [
        "hole 2 (LT) cuts into hole 1 (L1) at 100 mm"
    ]


def test_side_by_side_what_counts_is_the_arc_on_the_outside():
    """12 mm outer radius: 8 mm of arc are 38.2 degrees."""
    assert problems(Hole(0.1, 0.008), Hole(0.1, 0.008, side=38.3)) == []
    assert len(problems(Hole(0.1, 0.008), Hole(0.1, 0.008, side=38.1))) == 1


def test_an_oval_is_measured_along_and_across():
    assert problems(Hole(0.1, 0.006, across=0.012), Hole(0.107, 0.006, across=0.012)) == []
    assert len(problems(Hole(0.1, 0.008, across=0.004), Hole(0.107, 0.008, across=0.004))) == 1
    assert problems(Hole(0.1, 0.020, across=0.016)) == []
    assert "wider than the bore" in problems(Hole(0.1, 0.016, across=0.020))[0]


def test_a_hole_may_be_as_wide_as_the_bore_and_reach_the_foot():
    assert problems(Hole(0.352, 0.016)) == []
    assert "past the foot" in problems(Hole(0.3521, 0.016))[0]


def test_not_a_number_is_one_fault():
    for name in ("at", "diameter"):
        hole = replace(Hole(0.1, 0.008), **{name: float("nan")})
        assert problems(hole, Hole(0.1, 0.004, side=90)) == ["that is not a finite number"]
    assert problems(tube=replace(DESIGN.tube, length=float("inf"))) == ["that is not a finite number"]
    assert problems(tube=replace(DESIGN.tube, avoid=((float("nan"), 0.1),))) == [
        "a stretch lies along the tube"
    ]
