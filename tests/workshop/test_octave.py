"""What moves an octave: each rate against a flute that was really changed."""

from __future__ import annotations

from dataclasses import replace

import pytest

import scaledesign
from scaledesign.model.document import Design, Station
from scaledesign.workshop.octave import Lever
from scaledesign.workshop.registers import Played, registers
from tests.solver.remake_examples import EXAMPLES, PLANS
from tests.workshop.tubes import flute

SMALL = 2e-5
"""m: a change that is nearly none."""
FILES = [plan.file for plan in PLANS]


def octaves(design: Design) -> list[Played]:
    return [one for one in registers(design).fingerings if one.bend is not None]


def rise(before: Played, after: Played) -> float:
    return after.registers[1].stretch - before.registers[1].stretch


@pytest.mark.parametrize("file", FILES)
def test_the_topmost_open_hole(file: str) -> None:
    """Wider and further along by what is said: the low note stays, the octave rises by what is said."""
    design = scaledesign.load(EXAMPLES / file)
    tried = 0
    for played in octaves(design):
        assert played.bend is not None
        lever = played.bend.lever
        if lever is None or not played.of_the_scale:
            continue
        hole = design.holes[lever.hole]
        changed = replace(hole, diameter=hole.diameter + SMALL, at=hole.at + lever.along * SMALL)
        holes = (*design.holes[: lever.hole], changed, *design.holes[lever.hole + 1 :])
        (after,) = registers(replace(design, holes=holes, rows=(design.rows[played.rows[0]],))).fingerings
        assert after.low.frequency == pytest.approx(played.low.frequency, rel=2e-6)
        assert rise(played, after) / SMALL == pytest.approx(lever.rise, rel=0.05, abs=100)
        tried += 1
    assert tried > 2


@pytest.mark.parametrize("file", ["marsh-wren.toml", "reed-bunting.toml"])
def test_the_bore(file: str) -> None:
    """A wider bore with the holes as they are, which are then narrower beside it: flatter octaves."""
    design = scaledesign.load(EXAMPLES / file)
    radius = design.tube.bore[0].value
    tube = replace(design.tube, bore=(Station(0.0, radius + SMALL),))
    voicing = replace(design.voicing, added_length=0.03)
    before = octaves(replace(design, voicing=voicing))
    after = octaves(replace(design, voicing=voicing, tube=tube))
    for one, other in zip(before, after, strict=True):
        assert one.bend is not None
        if one.of_the_scale:
            assert one.bend.by_bore < 0
            assert rise(one, other) / SMALL == pytest.approx(one.bend.by_bore, rel=0.05, abs=100)


@pytest.mark.parametrize("cavity", [0.0, 0.012, 0.02])
def test_the_cavity(cavity: float) -> None:
    """A deeper one flattens the octave of the closed tube."""
    design = replace(flute(mouth="transverse"), rows=flute().rows[:1])
    wide = replace(design, voicing=replace(design.voicing, added_length=0.04, cavity=cavity))
    more = replace(wide, voicing=replace(wide.voicing, cavity=cavity + SMALL))
    (before,), (after,) = octaves(wide), octaves(more)
    assert before.bend is not None
    assert before.bend.by_cavity < 0
    assert rise(before, after) / SMALL == pytest.approx(before.bend.by_cavity, rel=0.03)


def test_a_closed_tube_has_no_lever() -> None:
    closed, *others = octaves(flute())
    assert closed.bend is not None
    assert closed.bend.lever is None
    for number, one in enumerate(others, 1):
        assert one.bend is not None
        assert isinstance(one.bend.lever, Lever)
        assert one.bend.lever.hole == 6 - number
