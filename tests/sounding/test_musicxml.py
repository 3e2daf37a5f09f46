"""MusicXML keeps the exact pitch, the maker's spelling and the fingering, and is well formed."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.model.pitch import Note, parse_note
from scaledesign.sounding.musicxml import musicxml_text
from scaledesign.sounding.score import Pitch, Score, in_turn, over, pitched, together
from tests.sounding.reading import musicxml_of

FINEST = 1e-4
"""Cents: a millionth of a semitone."""
NAMES = st.builds(
    lambda letter, sign, octave: parse_note(f"{letter}{sign}{octave}"),
    st.sampled_from("CDEFGAB"),
    st.sampled_from(["", "b", "#", "~", "`", "b`", "#~", "bb", "##"]),
    st.integers(2, 7),
)
REFERENCES = st.floats(390.0, 470.0)


def semitones(frequency: float, reference: float) -> float:
    return 69.0 + 12.0 * math.log2(frequency / reference)


def named(note: Note, cents: float, reference: float) -> Pitch:
    frequency = reference * 2 ** ((note.midi - 69 + cents / 100) / 12)
    return pitched(frequency, reference, note)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(NAMES, st.floats(-80, 80)), min_size=1, max_size=14), REFERENCES)
def test_pitch_and_name_of_every_note_come_back(notes: list[tuple[Note, float]], reference: float) -> None:
    pitches = [named(note, cents, reference) for note, cents in notes]
    (shown,) = musicxml_of(musicxml_text(Score(in_turn([pitches]), reference=reference))).values()
    assert [note.at for note in shown] == list(range(len(notes)))
    for note, pitch in zip(shown, pitches, strict=True):
        assert abs(100.0 * (note.semitones - semitones(pitch.frequency, reference))) <= FINEST
        assert note.name == pitch.note.name


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(200, 2000), min_size=2, max_size=6, unique=True), st.integers(1, 11))
def test_chords_and_a_held_note_are_tied_over_the_bars(hertz: list[float], beats: int) -> None:
    notes = together([[pitched(frequency, 440.0) for frequency in hertz]] * 2, beats)
    shown = musicxml_of(musicxml_text(Score(over(notes, pitched(110.0, 440.0)))))
    begun = [note for note in shown["P1"] if not note.tied]
    assert len(begun) == 2 * len(hertz)
    assert {note.at for note in begun} == {0, beats + 1}
    assert sum(note.length for note in shown["P1"]) == 2 * beats * len(hertz)
    assert sum(note.length for note in shown["P2"]) == 2 * beats + 1
    assert [note.tied for note in shown["P2"]] == [False] + [True] * (len(shown["P2"]) - 1)


def test_holes_cents_and_the_pitch_standard_are_told() -> None:
    holes = (("L1", "X"), ("L2", "H"), ("R1", "O"))
    low = pitched(415.0 * 2 ** (14.2 / 1200), 415.0, parse_note("A4"), "plays", holes)
    text = musicxml_text(Score(in_turn([[low, pitched(415.0, 415.0)]]), "Reed & rush", 72.5, 415.0))
    (first, second) = musicxml_of(text)["P1"]
    assert first.holes == (("L1", "yes"), ("L2", "half"), ("R1", "no"))
    assert second.holes == ()
    for told in (
        "<words>A4 = 415 Hz</words>", "<words>plays +14</words>", "<fingering>XH O</fingering>",
        "<per-minute>72.5</per-minute>", "<work-title>Reed &amp; rush</work-title>",
    ):  # fmt: skip
        assert told in text
    assert "\N{MINUS SIGN}31" in musicxml_text(Score(in_turn([[named(parse_note("E5"), -31, 440.0)]])))
    assert text == musicxml_text(Score(in_turn([[low, pitched(415.0, 415.0)]]), "Reed & rush", 72.5, 415.0))


def test_another_reader_finds_the_same_notes(tmp_path: Path) -> None:
    """music21's reader, which knows A4 = 440 Hz only."""
    from music21 import converter

    wanted = [("A4", 0.0), ("Eb5", 14.2), ("E5", -31.0), ("E5", 0.0), ("B`4", 3.3), ("F#5", 2.0)]
    pitches = [named(parse_note(name), cents, 440.0) for name, cents in wanted]
    path = tmp_path / "notes.musicxml"
    path.write_text(musicxml_text(Score(in_turn([pitches]))), encoding="utf-8")
    found = list(converter.parse(path, forceSource=True, storePickle=False).recurse().notes)
    assert [note.pitch.frequency for note in found] == pytest.approx(
        [pitch.frequency for pitch in pitches], rel=1e-6
    )
    assert [note.quarterLength for note in found] == [1.0] * len(wanted)
    assert [note.pitch.step + str(note.pitch.octave) for note in found] == [
        name[0] + name[-1] for name, _ in wanted
    ]
