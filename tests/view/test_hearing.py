"""What there is to hear: rows in hand, the scale, wanted beside played; and the score that is written."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.view import hearing
from scaledesign.view.hearing import LONG, SHORT
from scaledesign.view.listing import Tune
from tests.view.small_flute import desk, flute
from tests.view.working import at, desk_of, ranged


def tune(heard: Tune | str) -> Tune:
    assert isinstance(heard, Tune)
    return heard


def test_the_row_in_hand_is_held_for_a_while() -> None:
    heard = tune(hearing.of_rows(at(desk(), "rows", 1, "note")))
    assert heard.notes == ((desk().sheet.number("frequency", 1), LONG),)
    assert heard.words.startswith("Row 2, C5, as it will play: a tuner will show C5")


def test_selected_rows_follow_one_another() -> None:
    heard = tune(hearing.of_rows(ranged(desk(), "rows", range(1, 4), "note", "note")))
    assert [seconds for _, seconds in heard.notes] == [SHORT] * 3
    assert heard.words == "3 rows, C5 to E5, as it will play."


def test_the_scale_goes_up() -> None:
    rows = tuple(reversed(flute().rows))
    notes = [hertz for hertz, _ in tune(hearing.of_scale(desk_of(replace(flute(), rows=rows)))).notes]
    assert notes == sorted(notes)
    assert len(notes) == 4


def test_what_is_wanted_comes_before_what_it_plays() -> None:
    here = at(desk(), "rows", 2, "note")
    notes = tune(hearing.of_wanted(here)).notes
    assert [hertz for hertz, _ in notes] == [
        desk().sheet.number("target", 2), desk().sheet.number("frequency", 2),
    ]  # fmt: skip


def test_the_row_in_hand_counts_in_other_panes_too() -> None:
    here = at(at(desk(), "rows", 2, "note"), "holes", 0, "at")
    assert tune(hearing.of_rows(here)).words.startswith("Row 3, D5")


@pytest.mark.parametrize("what", [hearing.of_rows, hearing.of_scale, hearing.of_wanted])
def test_a_flute_without_rows_is_silent(what: object) -> None:
    assert callable(what)
    assert what(desk_of(replace(flute(), rows=()))) == "There are no rows to hear yet."
