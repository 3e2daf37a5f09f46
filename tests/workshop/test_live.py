"""What a screen asks after every edit: an answer for every design, the same as elsewhere where one is."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

import scaledesign
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, Hole, Row, Station, Tube, Tuning
from scaledesign.solver.prediction import Prediction
from scaledesign.workshop import ask, live

NAMES = tuple(sorted(path.stem for path in EXAMPLES.glob("*.toml")))
ASKED = {"held": live.held, "quick": live.quick, "thorough": live.thorough}


def example(name: str = "marsh-wren") -> Design:
    return scaledesign.load(EXAMPLES / f"{name}.toml")


def wide(*registers: int) -> Design:
    """A short wide tube whose third register is no plane wave."""
    return Design(
        tube=Tube(0.2, (Station(0.0, 0.06),), (Station(0.0, 0.0035),)),
        tuning=Tuning(tonic="D5", scale="pentatonic minor"),
        holes=(Hole(0.1, 0.008, finger="L1"), Hole(0.14, 0.006, finger="R1")),
        rows=tuple(Row("D5", ("X", "O"), register=register) for register in registers),
    )


def same(one: Prediction, other: Prediction) -> None:
    for field in fields(one):
        value = getattr(one, field.name)
        if isinstance(value, np.ndarray):
            np.testing.assert_array_equal(value, getattr(other, field.name))


@pytest.mark.parametrize("name", NAMES)
def test_held_still_it_is_the_prediction_of_everywhere_else(name: str) -> None:
    design = example(name)
    answer = live.held(design)
    wanted = ask.predict(design)
    assert answer.design == design
    assert answer.final
    assert answer.prediction is not None
    same(answer.prediction, wanted)
    assert answer.notes == wanted.notes


def test_thorough_is_the_solution_of_everywhere_else() -> None:
    design = replace(example(), air=replace(example().air, temperature=26.0))
    answer, wanted = live.thorough(design), ask.solve(design)
    assert answer.design == wanted.design
    assert answer.placed == wanted.placed
    assert answer.prediction is not None
    same(answer.prediction, wanted.prediction)
    assert answer.notes == (*wanted.notes, *wanted.prediction.notes)


@pytest.mark.parametrize("name", NAMES)
def test_quick_moves_no_width_and_says_whether_there_is_more(name: str) -> None:
    design = example(name)
    rows = (replace(design.rows[0], cents=2.0), *design.rows[1:])
    answer = live.quick(replace(design, rows=rows), live.held(design))
    assert [hole.diameter for hole in answer.design.holes] == [hole.diameter for hole in design.holes]
    assert answer.prediction is not None
    off = [
        abs(answer.prediction.cents[i]) for i, row in enumerate(rows) if row.weight and row.role == "scale"
    ]
    assert answer.final == (max(off) < 0.5) or not answer.final


def test_a_quick_answer_starts_from_the_one_before() -> None:
    """The same to within what is rounded, with or without it; fingerings of another flute are no help."""
    design = example()
    first = live.quick(design)
    assert first.near is not None
    warmer = replace(design, air=replace(design.air, temperature=23.0))
    near, fresh = live.quick(warmer, first), live.quick(warmer)
    for one, other in zip(near.design.holes, fresh.design.holes, strict=True):
        assert one.at == pytest.approx(other.at, abs=2e-5)
    other = live.quick(example("grey-heron"), first)
    assert other.design == live.quick(example("grey-heron")).design


@pytest.mark.parametrize("asked", ASKED)
def test_rows_that_cannot_sound_are_passed_over_and_named(asked: str) -> None:
    design = wide(1, 3, 1, 3)
    answer = ASKED[asked](design)
    alone = ASKED[asked](wide(1, 1))
    assert answer.design.rows == design.rows
    assert answer.prediction is not None
    assert alone.prediction is not None
    for name in ("frequency", "cents", "uncertainty", "target"):
        values = getattr(answer.prediction, name)
        assert values.shape == (4,)
        assert np.isnan(values[[1, 3]]).all()
        np.testing.assert_array_equal(values[[0, 2]], getattr(alone.prediction, name))
    assert answer.prediction.sensitivity.at.shape == (4, 2)
    assert np.isnan(answer.prediction.sensitivity.at[1]).all()
    assert [note for note in answer.notes if "no pitch" in note] == [
        "Row 2 (D5) has no pitch as fingered.", "Row 4 (D5) has no pitch as fingered.",
    ]  # fmt: skip


@pytest.mark.parametrize("asked", ASKED)
def test_where_no_row_can_sound(asked: str) -> None:
    answer = ASKED[asked](wide(3, 3))
    assert answer.prediction is not None
    assert np.isnan(answer.prediction.frequency).all()
    assert len(answer.prediction.frequency) == 2


@pytest.mark.parametrize("asked", ASKED)
def test_a_scale_that_nobody_offers(asked: str) -> None:
    design = replace(example(), tuning=replace(example().tuning, scale="moonlit"))
    answer = ASKED[asked](design)
    assert answer.design is design
    assert answer.prediction is None
    assert "moonlit" in answer.notes[0]


@pytest.mark.parametrize("asked", ASKED)
@pytest.mark.parametrize("holes", [True, False])
def test_a_flute_without_rows(asked: str, holes: bool) -> None:
    design = replace(example(), rows=())
    answer = ASKED[asked](design if holes else replace(design, holes=()))
    assert answer.prediction is not None
    assert answer.prediction.frequency.shape == (0,)
    assert answer.final


def test_a_thorough_answer_can_be_stopped() -> None:
    """Asked whether to go on, it hears no; what it hands back is for nobody."""
    asked = 0

    def cancelled() -> bool:
        nonlocal asked
        asked += 1
        return True

    design = example()
    rows = (*design.rows[:2], replace(design.rows[2], cents=250.0), *design.rows[3:])
    live.thorough(replace(design, rows=rows), cancelled)
    assert 0 < asked < 20


@pytest.mark.parametrize("asked", ["quick", "thorough"])
def test_a_helping_fingering_that_cannot_sound_is_left_out(
    asked: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is no row of the design: it may not silence those that are."""
    design = replace(example(), rows=example().rows[:3])
    helping = ask.secondary(design)
    wanted = ASKED[asked](design)
    assert wanted.prediction is not None
    assert len(helping) > 1
    row, target = helping[0]
    silent = (replace(row, register=40), target)
    for lent in ((silent, *helping), (*helping, silent)):
        monkeypatch.setattr(ask, "secondary", lambda _, lent=lent: lent)
        answer = ASKED[asked](design)
        assert answer.prediction is not None
        same(answer.prediction, wanted.prediction)
        assert answer.design == wanted.design
    monkeypatch.setattr(ask, "secondary", lambda _: (silent,))
    assert ASKED[asked](design).prediction is not None
