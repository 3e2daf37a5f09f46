"""Drill steps: in an order that can be heard, with bits that are there, and pitches of the flute so far."""

from __future__ import annotations

from dataclasses import replace
from math import isnan, log2
from typing import Any

import numpy as np
import pytest

import scaledesign
from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Foot, Hole, Row, Shop, Tuning
from scaledesign.model.drill_step import DrillStep
from scaledesign.physics.flute import Flutes
from scaledesign.solver.resonance import Fingerings, Resonances
from scaledesign.workshop import drilling
from scaledesign.workshop.drilling import NARROWEST, WIDEST, drill_steps
from scaledesign.workshop.live import Answer
from tests.workshop.tubes import flute

NAMES = ("dust-lark", "grey-heron", "marsh-wren", "night-heron", "reed-bunting")


@pytest.fixture(scope="module", params=NAMES)
def example(request: pytest.FixtureRequest) -> tuple[Design, tuple[DrillStep, ...]]:
    design = load(EXAMPLES / f"{request.param}.toml")
    return design, drill_steps(design)


def so_far(design: Design, steps: tuple[DrillStep, ...], last: int, **bit: Any) -> float:
    """What the flute plays after step ``last``, as the façade predicts a flute with those holes alone."""
    step = steps[last]
    there = {i for i, hole in enumerate(design.holes) if hole.drilled} | {s.hole for s in steps[: last + 1]}
    holes = tuple(
        replace(hole, **(bit if i == step.hole else {})) for i, hole in enumerate(design.holes) if i in there
    )
    letters = tuple(letter for i, letter in zip(design.fingered(), step.states, strict=True) if i in there)
    row = replace(design.rows[step.row], holes=letters) if step.row is not None else Row("A4", letters)
    part = replace(design, holes=holes, rows=(row,), tuning=Tuning(), instrument=replace(design.instrument))
    return float(scaledesign.predict(part).frequency[0])


def test_pitches_are_those_of_the_flute_with_the_holes_so_far(
    example: tuple[Design, tuple[DrillStep, ...]],
) -> None:
    design, steps = example
    whole = scaledesign.predict(design)
    for place, step in enumerate(steps):
        assert step.finished == pytest.approx(so_far(design, steps, place), rel=1e-7)
        assert step.begun == pytest.approx(so_far(design, steps, place, diameter=step.start), rel=1e-7)
        assert step.row is not None
    last = steps[-1]
    assert last.finished == pytest.approx(float(whole.frequency[last.row]), rel=1e-7), (
        "then it is the flute itself"
    )


def test_from_the_foot_up_each_hole_is_the_topmost_open_one(
    example: tuple[Design, tuple[DrillStep, ...]],
) -> None:
    design, steps = example
    assert sorted(step.hole for step in steps) == list(range(len(design.holes)))
    at = [design.holes[step.hole].at for step in steps]
    assert at == sorted(at, reverse=True)
    for step in steps:
        opened = [i for i, state in zip(design.fingered(), step.states, strict=True) if state != "X"]
        assert min(opened, key=lambda i: design.holes[i].at) == step.hole
        assert step.row is not None
        row = design.rows[step.row]
        assert row.holes == step.states
        assert row.register == 1
        tells = {r.role for r in design.rows if r.holes[step.hole] == "O" and "X" * step.hole
                 == "".join(r.holes[: step.hole])}  # fmt: skip
        assert row.role == "scale" or "scale" not in tells


def test_the_first_bit_is_the_makers_and_leaves_room(example: tuple[Design, tuple[DrillStep, ...]]) -> None:
    design, steps = example
    rest = scaledesign.predict(design).rest
    for step in steps:
        assert step.start in bit_set(design.shop.bits).diameters
        assert NARROWEST * step.finish <= step.start <= WIDEST * step.finish + 1e-9
        assert step.row is not None
        flat = 1200 * log2(step.finished / step.begun)
        assert flat > rest[step.row] > 0
        wider = [b for b in bit_set(design.shop.bits).diameters if step.start < b <= WIDEST * step.finish]
        for bit in wider:  # was left out because it would not leave the note flat enough
            assert (
                1200 * log2(step.finished / so_far(design, steps, steps.index(step), diameter=bit))
                <= (rest[step.row])
            )


def test_what_is_drilled_needs_no_step_and_is_there_from_the_start() -> None:
    design = flute()
    holes = tuple(replace(hole, drilled=i in (5, 2)) for i, hole in enumerate(design.holes))
    steps = drill_steps(replace(design, holes=holes))
    assert [step.hole for step in steps] == [4, 3, 1, 0]
    marked = replace(design, holes=holes)
    for place, step in enumerate(steps):
        assert step.finished == pytest.approx(so_far(marked, steps, place), rel=1e-7)
    assert drill_steps(replace(design, holes=tuple(replace(h, drilled=True) for h in design.holes))) == ()


def test_a_tuning_hole_is_heard_in_the_note_that_opens_nothing_else() -> None:
    design = flute(holes=3)
    tuning = Hole(design.tube.length - 0.03, 0.006)
    design = replace(design, holes=(*design.holes, tuning))
    steps = drill_steps(design)
    assert [step.hole for step in steps] == [3, 2, 1, 0]
    assert steps[0].row == 0
    assert steps[0].states == ("X", "X", "X")
    assert steps[0].begun < steps[0].finished
    assert scaledesign.predict(design).frequency[0] < steps[0].finished, (
        "closed holes to come will make it flatter"
    )


def test_a_thumb_hole_below_the_front_hole_that_is_opened_before_it_comes_after_it() -> None:
    design = flute(holes=3)
    thumb = Hole(design.holes[0].at + 0.004, 0.006, side=180.0, finger="LT")
    rows = (
        *(Row(row.note, ("X", *row.holes)) for row in design.rows),
        Row("D5", ("O", "O", "O", "O")),
    )
    steps = drill_steps(replace(design, holes=(thumb, *design.holes), rows=rows))
    assert [step.hole for step in steps] == [3, 2, 1, 0]
    assert [step.row for step in steps] == [1, 2, 3, 4]


def test_half_holes_other_registers_and_rows_of_no_scale_come_last() -> None:
    design = flute(holes=3)
    half, plain = Row("B4", ("X", "X", "H")), Row("C5", ("X", "O", "O"), role="alternate")
    high = Row("D6", ("O", "O", "O"), register=2)
    steps = drill_steps(replace(design, rows=(half, high, plain)))
    assert [step.row for step in steps] == [None, 2, 1], "nobody tunes a hole with a finger half on it"
    first = steps[0]
    assert first.states == ("X", "X", "O")
    assert 0 < first.begun < first.finished
    made = replace(design, rows=(half, high, plain))
    assert steps[2].finished == pytest.approx(so_far(made, steps, 2), rel=1e-7)


@pytest.mark.parametrize("mouth", ["duct", "notch", "rim", "transverse", "open"])
def test_every_mouth_without_rows(mouth: Any) -> None:
    steps = drill_steps(flute(mouth=mouth, rows=()))
    assert [step.hole for step in steps] == [5, 4, 3, 2, 1, 0]
    assert all(step.row is None and step.begun < step.finished for step in steps)
    pitches = [step.finished for step in steps]
    assert pitches == sorted(pitches)


def test_no_holes_no_steps() -> None:
    assert drill_steps(flute(holes=0)) == ()


def test_an_unknown_scale_says_nothing_of_the_rest() -> None:
    design = flute(holes=2)
    steps = drill_steps(replace(design, tuning=Tuning(scale="nobody's scale")))
    plain = drill_steps(design)
    assert [step.hole for step in steps] == [1, 0]
    assert [step.finished for step in steps] == pytest.approx([step.finished for step in plain], rel=1e-9)


def test_where_the_engine_finds_no_pitch_there_is_still_an_order(monkeypatch: pytest.MonkeyPatch) -> None:
    def nothing(flutes: Flutes, fingerings: Fingerings, **_: object) -> Resonances:
        shape = (flutes.count, fingerings.count)
        return Resonances(np.full(shape, np.nan), np.zeros(shape, np.intp))

    monkeypatch.setattr(drilling, "resonances", nothing)
    monkeypatch.setattr(drilling, "held", lambda design: Answer(design, None))
    steps = drill_steps(flute(holes=2))
    assert [step.hole for step in steps] == [1, 0]
    for step in steps:
        assert all(isnan(value) for value in (step.begun, step.finished))
        assert NARROWEST * step.finish < step.start < WIDEST * step.finish


@pytest.mark.parametrize(
    ("bits", "start"),
    [
        ((0.008,), 0.45 * 0.016),
        ((0.003, 0.007, 0.0072), 0.003),
        ((0.007, 0.008), 0.007),
        ((0.001, 0.002), 0.002),
    ],
)
def test_sets_with_gaps(bits: tuple[float, ...], start: float) -> None:
    (step,) = drill_steps(flute(holes=1, shop=Shop(bits=bits)))
    assert step.start == start


def test_an_oval_undercut_hole_begins_round_and_straight_and_narrower_than_it_is() -> None:
    design = flute(holes=1, tube=replace(flute().tube, foot=Foot("flanged")))
    oval = replace(design.holes[0], diameter=0.009, across=0.006, undercut=0.001, slant=20.0)
    design = replace(design, holes=(oval,))
    (step,) = drill_steps(design)
    assert step.finish == 0.009
    assert step.start <= WIDEST * 0.006
    one = so_far(design, (step,), 0, diameter=step.start, across=None, undercut=0.0)
    assert step.begun == pytest.approx(one, rel=1e-7)
    assert step.finished == pytest.approx(so_far(design, (step,), 0), rel=1e-7)
