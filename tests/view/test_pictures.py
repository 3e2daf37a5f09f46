"""The sound that a screen draws: a curve that cannot be worked out is said, and takes nothing with it."""

from __future__ import annotations

import pytest

from scaledesign.view.pictures import Ear
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
