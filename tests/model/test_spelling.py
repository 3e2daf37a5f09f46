"""Spelling held against music21's own scale classes, and a fresh interpreter that must not load it.

And what sounds, which is called as the rows beside it are written.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from itertools import zip_longest

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import scale as m21

from scaledesign.model.document import Design, Role, Row, Station, Tube, Tuning
from scaledesign.model.pitch import (
    Note,
    cents_between,
    note_frequency,
    parse_note,
    raised,
    reading_frequency,
)
from scaledesign.model.spelling import names_of, spell, tuner_note, tuner_shows

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


# What sounds, beside what is wanted

FLATTED = tuple(f"{letter}b{octave}" for letter in "DEGAB" for octave in (4, 5))
SHARPED = tuple(f"{letter}#{octave}" for letter in "CDFGA" for octave in (4, 5))
PLAIN = tuple(f"{letter}{octave}" for letter in "CDEFGAB" for octave in (4, 5))
PITCHES = st.floats(60.0, 4000.0)
ROLES: tuple[Role, ...] = ("scale", "chromatic", "alternate")


def wanting(notes: Sequence[str], tonic: str = "C4", roles: Sequence[Role] = ()) -> Design:
    """A tube whose rows want some notes; each of the scale unless another role is given."""
    rows = (Row(note, (), role=role) for note, role in zip_longest(notes, roles, fillvalue="scale"))
    return Design(
        Tube(0.4, (Station(0.0, 0.016),), (Station(0.0, 0.003),)),
        tuning=Tuning(reference=442.0, tonic=tonic),
        rows=tuple(rows),
    )


@st.composite
def one_sided(draw: st.DrawFn, side: Sequence[str]) -> Design:
    """Rows of plain notes and of at least one of a side's, in any role; the tonic is one of either."""
    notes = draw(
        st.permutations([draw(st.sampled_from(side)), *draw(st.lists(st.sampled_from(PLAIN + tuple(side))))])
    )
    roles = draw(st.lists(st.sampled_from(ROLES), min_size=len(notes), max_size=len(notes)))
    return wanting(notes, draw(st.sampled_from(PLAIN + tuple(side))), roles)


@given(one_sided(FLATTED), PITCHES)
def test_nothing_sounds_sharp_of_a_design_in_flats(design: Design, hertz: float) -> None:
    shown = tuner_shows(design, hertz)
    assert "#" not in shown
    assert abs(cents_between(hertz, reading_frequency(shown, 442.0))) <= 0.5 + 1e-6
    assert shown.split()[0] == tuner_note(design, hertz)[0].name


@given(one_sided(SHARPED), PITCHES)
def test_nothing_sounds_flat_of_a_design_in_sharps(design: Design, hertz: float) -> None:
    shown = tuner_shows(design, hertz)
    assert "b" not in shown
    assert abs(cents_between(hertz, reading_frequency(shown, 442.0))) <= 0.5 + 1e-6


@given(st.permutations([*PLAIN, "Bb4", "C#5", "Eb5", "F#4", "G#4"]), st.integers(-49, 49))
def test_a_row_of_either_side_sounds_as_it_is_written(notes: list[str], off: int) -> None:
    design = wanting(notes, "D4")
    for text in notes:
        hertz = raised(note_frequency(parse_note(text), 442.0), off)
        assert tuner_shows(design, hertz) == f"{text} {off:+d}"


@pytest.mark.parametrize(
    ("notes", "tonic", "hertz", "shown"),
    [
        (("A4", "C5", "D5"), "A4", 466.16, "A#4"),  # neither: as tuners show it
        (("1", "3/2", "523.3 Hz"), "Eb4", 466.16, "Bb4"),  # the tonic alone says
        (("Cb5", "E#4"), "Gb4", 493.88, "Cb5"),
        (("Cb5", "E#4"), "Gb4", 349.23, "E#4"),
        (("B#3",), "C#4", 261.63, "B#3"),
        (("Fb5",), "Ab4", 659.26, "Fb5"),
        (("Bbb4",), "Db4", 440.0, "Bbb4"),
        (("E`5",), "C4", 622.25, "Eb5"),  # a quarter tone leans to its side
        (("A#4",), "Bb4", 466.16, "A#4"),  # a row before the tonic
    ],
)
def test_what_leads_the_spelling(notes: tuple[str, ...], tonic: str, hertz: float, shown: str) -> None:
    assert tuner_note(wanting(notes, tonic), hertz * 442 / 440)[0].name == shown


@pytest.mark.parametrize(("third", "shown"), [("F#4", "C#4 +0"), ("F4", "Db4 +0")])
def test_the_scale_leads_what_no_row_is_written_with(third: str, shown: str) -> None:
    """Many notes between in flats do not turn a scale in sharps."""
    between: tuple[Role, ...] = ("chromatic",) * 3
    design = wanting([third, "Eb4", "Bb4", "Ab4"], "D4", ["scale", *between])
    assert tuner_shows(design, 277.18 * 442 / 440) == shown


def test_the_notes_of_the_design_asked_last_are_not_those_of_another() -> None:
    """Kept for the next cell, by its rows and its tonic; a flute without rows has names as well."""
    tube = Tube(0.4, (Station(0.0, 0.016),), (Station(0.0, 0.003),))
    flat, sharp = (
        Design(tube, rows=(Row(note, ("X",)),), tuning=Tuning(tonic=note)) for note in ("Bb4", "A#4")
    )
    for design, name in ((flat, "Bb"), (sharp, "A#"), (flat, "Bb"), (replace(flat, rows=sharp.rows), "A#")):
        assert names_of(design)[10] == name
        assert names_of(design) is names_of(replace(design, name="another"))
    bare = Design(tube, tuning=Tuning(tonic="Eb4"))
    assert names_of(bare)[3] == "Eb"
    assert names_of(replace(bare, tuning=Tuning(tonic="D#4")))[3] == "D#"
