"""In which order, and when, notes are heard."""

from __future__ import annotations

import pytest

from scaledesign.model.pitch import parse_note
from scaledesign.sounding.score import Order, Pitch, Score, in_turn, ordered, over, pitched, together

LOW, MIDDLE, HIGH = (pitched(hertz, 440.0) for hertz in (440.0, 550.0, 660.0))
VOICE = (MIDDLE, LOW, HIGH)
OTHER = tuple(pitched(pitch.frequency * 0.999, 440.0) for pitch in VOICE)


def heard(notes: object) -> list[tuple[Pitch, int, int]]:
    return [(note.pitch, note.beat, note.beats) for note in notes]


@pytest.mark.parametrize(
    ("order", "places"),
    [("listed", [0, 1, 2]), ("up", [1, 0, 2]), ("down", [2, 0, 1]), ("up-down", [1, 0, 2, 0, 1])],
)
def test_voices_keep_step_in_every_order(order: Order, places: list[int]) -> None:
    one, other = ordered([VOICE, OTHER], order)
    assert one == tuple(VOICE[place] for place in places)
    assert other == tuple(OTHER[place] for place in places)


def test_voices_of_other_lengths_are_ordered_by_themselves() -> None:
    assert ordered([VOICE, (HIGH, LOW)], "up") == ((LOW, MIDDLE, HIGH), (LOW, HIGH))


def test_note_by_note_with_a_rest_between() -> None:
    notes = heard(in_turn([VOICE, OTHER]))
    assert [beat for _, beat, _ in notes] == [0, 1, 3, 4, 6, 7]
    assert [pitch for pitch, _, _ in notes[:2]] == [VOICE[0], OTHER[0]]


def test_one_whole_after_the_other() -> None:
    notes = heard(in_turn([VOICE, OTHER[:2]], "whole"))
    assert [beat for _, beat, _ in notes] == [0, 1, 2, 4, 5]


def test_a_single_voice_has_no_rests() -> None:
    assert [beat for _, beat, _ in heard(in_turn([VOICE]))] == [0, 1, 2]


def test_a_chord_and_a_note_held_under_it() -> None:
    notes = over(together([VOICE], 3), LOW)
    assert heard(notes) == [*((pitch, 0, 3) for pitch in VOICE), (LOW, 0, 3)]
    loudness = [event.loudness for event in Score(notes).events()]
    assert loudness[-1] < loudness[0]
    assert over((), LOW) == ()


def test_beats_become_seconds() -> None:
    events = Score(in_turn([VOICE, OTHER]), tempo=120.0).events()
    assert [(event.start, event.seconds) for event in events[:3]] == [(0, 0.5), (0.5, 0.5), (1.5, 0.5)]


def test_cents_are_counted_from_the_written_name() -> None:
    assert pitched(440.0, 440.0, parse_note("A4")).off == 0.0
    assert pitched(440.0, 415.0, parse_note("A4")).off == pytest.approx(101.27, abs=0.01)
    assert pitched(445.0, 440.0).note.name == "A4"
