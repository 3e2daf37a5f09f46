"""Registers counted anew: a hidden resonance that comes or goes on the way does not cost the other rows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import scaledesign
from scaledesign.errors import NoPitchError
from scaledesign.model.document import Design, Finger, Hole, Row
from scaledesign.solver import solution
from scaledesign.solver.explain import obstacles
from scaledesign.solver.layout import Task, fit, free_of, stay
from scaledesign.solver.limits import geometry_of
from scaledesign.solver.problem import problem_of
from scaledesign.workshop import ask
from scaledesign.workshop.ask import targets
from tests.bench.large_work import ANY_HAND, meant, wide
from tests.solver.remake_examples import EXAMPLES

Holes = tuple[tuple[float, float, Finger], ...]


@pytest.mark.parametrize("rows", [6, 25, 50])
@pytest.mark.parametrize("holes", [4, 6, 8, 11])
def test_a_flute_whose_holes_were_moved_a_millimetre_is_found_again(rows: int, holes: int) -> None:
    """Random fingerings in two registers; as they were first counted, one row cost others up to 560 cents."""
    solved = ask.solve(meant(rows, holes))
    assert np.abs(solved.prediction.cents).max() < 1.0
    assert not [note for note in solved.notes if "stays" in note]


def flute(holes: Holes, length: float, rows: str, locked: bool) -> Design:
    """A wide tube, with rows as "fingering register hertz"."""
    said = [row.split() for row in rows.split(", ")]
    return replace(
        wide(6),
        tube=replace(wide(6).tube, length=length / 1e3, locked=locked),
        holes=tuple(Hole(at / 1e3, bit / 1e3, finger=finger) for at, bit, finger in holes),
        rows=tuple(
            Row(f"{hertz} Hz", tuple(fingering), register=int(register))
            for fingering, register, hertz in said
        ),
        shop=replace(wide(6).shop, hand=ANY_HAND),
    )


def test_evenness_costs_no_note() -> None:
    """No row opens the third hole: moving it and the others for evenness alone lost a note by 600 cents."""
    four: Holes = ((196.463, 5.5, "L1"), (347.878, 4.5, "L2"), (410.332, 6.0, "L3"), (473.587, 5.0, "L4"))
    rows = "XOXO 1 391.41, XXXX 1 267.158, OOXX 1 489.09, XOXX 1 374.423"
    solved = ask.solve(flute(four, 607.009, rows, locked=False))
    assert np.abs(solved.prediction.cents).max() < 1.0
    assert not solved.obstacles


def test_a_fingering_between_two_notes_is_said_to_be_one() -> None:
    """Met before its places were rounded, then another resonance: no bit and no rule is to blame."""
    design = scaledesign.load(EXAMPLES / "marsh-wren.toml")
    task = Task(design, problem_of(design, targets(design)), free_of(design))
    found = fit(task, geometry_of(design), stay(geometry_of(design)))
    cents, level = found.cents.copy(), found.resonances.level.copy()
    cents[2], level[0, 2] = -830.0, level[0, 2] + 1
    jumped = replace(found, cents=cents, resonances=replace(found.resonances, level=level))
    (said,) = obstacles(task, found, jumped, (2,))
    assert (said.row, said.kind, said.key) == (2, "on_edge", "rows[3].holes")
    assert said.sentence.startswith(f"Row 3 ({design.rows[2].note}) stays 830 cents flat: ")
    assert said.key in said.sentence
    (other,) = obstacles(task, found, replace(jumped, resonances=found.resonances), (2,))
    assert other.kind == "bits"


def test_one_row_that_plays_another_note_does_not_turn_the_others_over() -> None:
    """A fingering asked for a note a fifth away: that row stays off, and the rest is met as before."""
    design = meant(25, 8)
    before = ask.solve(design)
    fifth = replace(design.rows[4], note=f"{1.5 * ask.targets(design)[4]:.3f} Hz")
    after = ask.solve(replace(design, rows=(*design.rows[:4], fifth, *design.rows[5:])))
    cents = np.abs(after.prediction.cents)
    assert cents[4] > 600.0
    assert [obstacle.row for obstacle in after.obstacles] == [4]
    assert np.delete(cents, 4).max() < 1.0
    assert np.abs(before.prediction.cents).max() < 1.0


def test_a_second_try_that_ends_silent_is_no_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was found at first is what there is."""
    design = meant(25, 8)
    fifth = replace(design.rows[4], note=f"{1.5 * ask.targets(design)[4]:.3f} Hz")
    design = replace(design, rows=(*design.rows[:4], fifth, *design.rows[5:]))
    tried = []

    def silent(*arguments: object) -> None:
        tried.append(arguments)
        raise NoPitchError((4,), "it is silent")

    monkeypatch.setattr(solution, "_rest_first", silent)
    found = ask.solve(design)
    assert tried
    assert np.isfinite(found.prediction.frequency).all()
