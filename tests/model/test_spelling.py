"""Spelling held against music21's own scale classes, and a fresh interpreter that must not load it."""

from __future__ import annotations

import subprocess
import sys

import pytest
from music21 import scale as m21

from scaledesign.model.pitch import Note, parse_note
from scaledesign.model.spelling import spell

MODES = {
    m21.MajorScale: (0, 2, 4, 5, 7, 9, 11),
    m21.DorianScale: (0, 2, 3, 5, 7, 9, 10),
    m21.PhrygianScale: (0, 1, 3, 5, 7, 8, 10),
    m21.LydianScale: (0, 2, 4, 6, 7, 9, 11),
    m21.MixolydianScale: (0, 2, 4, 5, 7, 9, 10),
    m21.MinorScale: (0, 2, 3, 5, 7, 8, 10),
    m21.LocrianScale: (0, 1, 3, 5, 6, 8, 10),
    m21.HarmonicMinorScale: (0, 2, 3, 5, 7, 8, 11),
}
TONICS = ("C4", "G4", "D4", "A4", "E4", "B4", "F#4", "F4", "Bb3", "Eb4", "Ab4", "Db5", "C#4", "G#4")


@pytest.mark.parametrize("kind", MODES, ids=lambda kind: kind.__name__)
@pytest.mark.parametrize("tonic", TONICS)
def test_seven_degrees_have_seven_letters(kind: type[m21.ConcreteScale], tonic: str) -> None:
    start = parse_note(tonic)
    theirs = kind(tonic.replace("b", "-")).getPitches()[:7]
    mine = [spell(start, step, MODES[kind]) for step in MODES[kind]]
    assert [note.name for note in mine] == [pitch.nameWithOctave.replace("-", "b") for pitch in theirs]
    assert [note.midi for note in mine] == [pitch.ps for pitch in theirs]


def names(tonic: str, steps: tuple[float, ...], places: tuple[float, ...] | None = None) -> str:
    return " ".join(spell(parse_note(tonic), place, steps).name for place in places or steps)


def test_pentatonic_and_other_scales_by_their_intervals() -> None:
    pentatonic = (0, 3, 5, 7, 10)
    assert names("A4", pentatonic) == "A4 C5 D5 E5 G5"
    assert names("F4", pentatonic) == "F4 Ab4 Bb4 C5 Eb5"
    assert names("F#4", pentatonic) == "F#4 A4 B4 C#5 E5"
    assert names("C4", (0, 3, 5, 6, 7, 10)) == "C4 Eb4 F4 Gb4 G4 Bb4", "blues: a lowered fifth"
    assert names("A4", pentatonic, (-2, 12, 15, 24)) == "G4 A5 C6 A6"


def test_notes_between_degrees() -> None:
    major = MODES[m21.MajorScale]
    assert names("C4", major, (1, 3, 6, 8, 10)) == "C#4 Eb4 F#4 Ab4 Bb4".replace("C#4", "Db4")
    assert names("A4", (0, 3, 5, 7, 10), (1, 4, 6, 9, 11)) == "Bb4 C#5 Eb5 F#5 G#5"


def test_quarter_tones() -> None:
    rast = (0, 2, 3.5, 5, 7, 9, 10.5)
    assert names("C4", rast) == "C4 D4 E`4 F4 G4 A4 B`4"
    assert names("A4", (0, 2.5, 5, 7, 9.5)) == "A4 B~4 D5 E5 F#~5"


def test_every_place_sounds_where_it_is_written() -> None:
    for tonic in (*TONICS, "Fb4", "B#3", "A~4", "E`4", "F##4", "Bbb4"):
        start = parse_note(tonic)
        for steps in (*MODES.values(), (0, 3, 5, 7, 10), tuple(range(12))):
            for half in range(-24, 49):
                note = spell(start, half / 2, steps)
                assert note.midi - start.midi == half / 2
                assert parse_note(note.name) == note


def test_periods_other_than_the_octave() -> None:
    note = spell(parse_note("C4"), 19 + 3, (0, 3, 6, 9, 12, 15), span=19)
    assert note == Note("B", -1.0, 5)


def test_music21_waits_until_something_is_spelt() -> None:
    code = (
        "import sys; import scaledesign.model.scale; assert 'music21' not in sys.modules; "
        "from scaledesign.model.pitch import parse_note; from scaledesign.model.spelling import spell; "
        "spell(parse_note('A4'), 3, (0, 3)); assert 'music21' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


@pytest.mark.parametrize(
    ("tonic", "place", "steps", "name"),
    [
        ("F#4", 11, (0, 3, 5, 7, 10), "F5"),
        ("Bb4", 1, (0, 2, 4, 5, 7, 9, 11), "B4"),
        ("B4", 1, (0, 2, 4, 5, 7, 9, 11), "C5"),
        ("F#4", 11, (0, 2, 4, 5, 7, 9, 11), "E#5"),
    ],
)
def test_a_note_between_degrees_is_written_plainly(tonic, place, steps, name):
    """No E#, B#, Cb, Fb except where it is a degree of the scale."""
    assert spell(parse_note(tonic), place, steps).name == name
