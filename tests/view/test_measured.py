"""A reading typed into the grid: it teaches, it says what is drilled, and it can be taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from scaledesign.errors import EditError
from scaledesign.model.document import Instrument
from scaledesign.view.hole_locks import BOTH
from scaledesign.view.measured import measured_edit
from scaledesign.workshop.readings import as_blown
from tests.view import working
from tests.view.working import desk_of, example, opened, typed

START = opened()
WHEN = datetime(2026, 3, 1, 10, 0)
OPEN_ROW = next(
    i for i, row in enumerate(START.design.rows) if row.role == "scale" and row.holes.count("O") == 2
)


def read_as(row: int, cents: int) -> str:
    """A reading so many cents from what a row plays by the model, as its tuner shows it."""
    note, off = working.text(START, "rows", row, "plays").split()
    return f"{note} {int(off) + cents:+d}"


def test_a_reading_teaches() -> None:
    done = typed(START, "rows", 0, "measured", read_as(0, 4))
    assert done.design.rows[0].measured == read_as(0, 4)
    assert done.design.voicing.calibrated
    assert done.design.voicing.added_length is not None
    assert done.design.log[-1].measured == read_as(0, 4)
    assert done.design.log[-1].holes == START.design.rows[0].holes
    before, after = START.answer.prediction, done.answer.prediction
    assert before is not None
    assert after is not None
    assert after.uncertainty.max() < before.uncertainty.max()
    assert done.history.undo_name == "note the reading of row 1"
    assert done.undone().design is START.design


def test_a_reading_says_what_is_cut_and_drilled() -> None:
    """Nobody can blow a fingering whose holes are not there: only what is uncut moves afterwards."""
    done = typed(START, "rows", OPEN_ROW, "measured", read_as(OPEN_ROW, 3))
    opened_holes = [i for i, state in enumerate(START.design.rows[OPEN_ROW].holes) if state == "O"]
    for i, (new, old) in enumerate(zip(done.design.holes, START.design.holes, strict=True)):
        assert new.drilled == (i in opened_holes)
        assert (new.locked == BOTH) == (i in opened_holes)
        if i in opened_holes:
            assert (new.at, new.diameter) == (old.at, old.diameter)
    assert done.design.tube.locked
    assert done.design.tube.length == START.design.tube.length
    assert done.design != START.design
    assert any(new.at != old.at for new, old in zip(done.design.holes, START.design.holes, strict=True))


def test_the_bare_fingering_cuts_only_the_foot() -> None:
    closed = as_blown(START.design, {0: "A4"})
    assert closed.tube.locked
    assert closed.holes == START.design.holes


def test_the_last_reading_taken_back_is_forgotten() -> None:
    done = typed(START, "rows", 0, "measured", read_as(0, 4))
    back = typed(done, "rows", 0, "measured", "")
    assert back.design.rows[0].measured == ""
    assert not back.design.voicing.calibrated
    assert back.design.voicing == replace(START.design.voicing, added_length=None, uncertainty=None)
    assert back.history.undo_name == "take back the reading of row 1"
    assert back.undone().design is done.design


def test_one_of_two_readings_taken_back_leaves_what_the_other_taught() -> None:
    one = typed(START.holding(), "rows", 0, "measured", read_as(0, 4))
    two = typed(one, "rows", 2, "measured", read_as(2, 9))
    assert two.design.voicing.added_length != one.design.voicing.added_length
    back = typed(two, "rows", 2, "measured", "")
    assert back.design.voicing.calibrated
    assert back.design.voicing.added_length == pytest.approx(one.design.voicing.added_length, abs=1e-6)


def test_the_same_reading_again_is_nothing_new() -> None:
    done = typed(START, "rows", 0, "measured", read_as(0, 4))
    assert measured_edit(done.design, 0, read_as(0, 4), WHEN) is None
    assert measured_edit(START.design, 0, "", WHEN) is None


def test_a_reading_that_cannot_be_of_this_flute_is_refused() -> None:
    for text, words in (("A6 +0", "was it overblown?"), ("A3 +0", "is the octave right?")):
        with pytest.raises(EditError, match="Nothing learnt") as caught:
            measured_edit(START.design, 0, text, WHEN)
        assert words in str(caught.value)
        done = typed(START, "rows", 0, "measured", text)
        assert done.design is START.design
        assert done.drafts["rows", 0, "measured"].text == text


def test_an_ideal_mouth_has_nothing_to_learn() -> None:
    ideal = replace(example(), instrument=Instrument("open"))
    done = typed(desk_of(ideal).holding(), "rows", 0, "measured", "A4 -4")
    assert done.design.rows[0].measured == "A4 -4"
    assert done.design == replace(ideal, rows=done.design.rows)


def test_a_typographers_minus_is_a_minus() -> None:
    assert typed(START.holding(), "rows", 0, "measured", "A4  −4").design.rows[0].measured == "A4 -4"
