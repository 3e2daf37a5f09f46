"""The sound that a screen draws: a curve that cannot be worked out is said, and takes nothing with it."""

from __future__ import annotations

import pytest

from scaledesign.view.lines import Line, text_of
from scaledesign.view.pictures import TALL, Ear
from scaledesign.workshop import sound
from tests.view.working import opened, words


def test_the_row_in_hand_is_heard_once() -> None:
    desk, ear = opened(), Ear()
    assert ear.due(desk)
    assert words(*ear.lines(desk, 60, 10)) == desk.signs.ellipsis
    ear.listen(desk)
    assert not ear.due(desk)
    assert len(ear.lines(desk, 60, 10)) == 10
    assert ear.due(desk.going(desk.selection.moved(1, 0)))


def test_a_sound_that_cannot_be_worked_out_is_said_and_not_tried_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def faulty(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by naught")

    desk, ear = opened(), Ear()
    with monkeypatch.context() as patch:
        patch.setattr(sound, "impedance_curve", faulty)
        ear.listen(desk)
    assert words(*ear.lines(desk, 60, 10)) == "the sound of this row cannot be worked out"
    assert not ear.due(desk)
    other = desk.going(desk.selection.moved(1, 0))
    assert ear.due(other)
    ear.listen(other)
    assert len(ear.lines(other, 60, 10)) == 10


def heard(row: int, width: int, height: int = 10) -> tuple[Line, ...]:
    """The sound of a row (0-based) of the Marsh wren."""
    desk, ear = opened(), Ear()
    there = desk.going(desk.selection.moved(row, 0))
    ear.listen(there)
    lines = ear.lines(there, width, height)
    assert len(lines) == height
    assert all(len(text_of(line)) <= width for line in lines)
    return lines


def test_the_first_line_says_whether_the_octave_speaks() -> None:
    """Calm where it does, marked where it does not; as much of the rest as there is room for."""
    closed, *_ = heard(0, 60)
    assert text_of(closed).startswith("octave speaks, ")
    assert text_of(closed).endswith(" cents blown harder")
    assert closed[0].tone == "plain"
    narrow, *_ = heard(0, 36)
    assert text_of(closed).startswith(text_of(narrow))
    high, *_ = heard(10, 160)
    assert text_of(high).startswith("no octave; what speaks lies ")
    assert high[0].tone == "reach"


def test_an_overblown_row_is_judged_itself() -> None:
    first, *_ = heard(11, 60)
    assert text_of(first).startswith("speaks")


def test_a_low_picture_is_the_curve_alone() -> None:
    assert "octave" not in text_of(heard(0, 60, TALL - 1)[0])
    assert "octave" in text_of(heard(0, 60, TALL)[0])
