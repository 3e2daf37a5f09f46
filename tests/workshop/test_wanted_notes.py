"""Wanted notes: each has the frequency that its name means, and none lies below what the flute plays."""

from __future__ import annotations

import pytest

from scaledesign.errors import QuantityError
from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.pitch import cents_between, parse_note
from scaledesign.model.scale import EQUAL, Scale, Tuned
from scaledesign.workshop import ask, wanted_notes

JUST = Scale("just", (0.0, 203.91, 386.31, 498.04, 701.96, 884.36, 1088.27))
ODD = Scale("many", tuple(40.0 * step for step in range(30)))
"""More degrees than there are letters for."""


def test_a_scale_begins_with_the_lowest_note_that_the_flute_plays() -> None:
    tuned = Tuned(JUST, parse_note("C4"), 440.0)
    notes = wanted_notes.of_scale(tuned, tuned.target("G4") * 0.99)
    assert " ".join(note.name for note in notes) == "G4 A4 B4 C5 D5 E5 F5 G5 A5 B5 C6 D6 E6 F6 G6"
    for note in notes:
        assert note.frequency == tuned.target(note.name)
    assert cents_between(notes[0].frequency, notes[-1].frequency) == pytest.approx(2400)


def test_a_note_that_is_a_little_too_low_is_still_asked_for() -> None:
    tuned = Tuned(JUST, parse_note("C4"), 440.0)
    low = tuned.target("C4")
    assert wanted_notes.of_scale(tuned, low * 2 ** (49 / 1200))[0].name == "C4"
    assert wanted_notes.of_scale(tuned, low * 2 ** (51 / 1200))[0].name == "D4"
    assert wanted_notes.of_scale(tuned, low / 2)[0].name == "C3"


def test_degrees_without_letters_are_told_in_cents() -> None:
    tuned = Tuned(ODD, parse_note("A4"), 440.0)
    notes = wanted_notes.of_scale(tuned, 440.0)
    assert len(notes) == 61
    assert notes[1].name == "40.00 c"
    assert cents_between(440.0, notes[31].frequency) == pytest.approx(1240)
    assert wanted_notes.of_scale(tuned, 440.0 * 2 ** (-70 / 1200))[0].name == "-80.00 c"


@pytest.mark.parametrize("scale", [EQUAL, JUST])
def test_all_semitones_keep_the_scale(scale: Scale) -> None:
    tuned = Tuned(scale, parse_note("D4"), 440.0)
    notes = wanted_notes.chromatic(tuned, tuned.target("0 c"))
    assert [notes[i].name for i in (0, 1, 2, 12, 24)] == ["D4", "Eb4", "E4", "D5", "D6"]
    assert len(notes) == 25
    fifth = cents_between(notes[0].frequency, notes[7].frequency)
    assert fifth == pytest.approx(700 if scale is EQUAL else 701.96)
    assert cents_between(notes[0].frequency, notes[6].frequency) == pytest.approx(600)


def test_rows_that_want_the_same_are_one_note() -> None:
    design = load(EXAMPLES / "reed-bunting.toml")
    tuned = Tuned(ask.scale_of(design), parse_note(design.tuning.tonic), design.tuning.reference)
    notes = wanted_notes.of_rows(design, tuned)
    names = [note.name for note in notes]
    assert len(names) == len(set(names))
    assert set(names) == {row.note for row in design.rows}
    assert [note.frequency for note in notes] == sorted(note.frequency for note in notes)


def test_notes_as_written() -> None:
    tuned = Tuned(EQUAL, parse_note("A4"), 440.0)
    notes = wanted_notes.of_texts(tuned, [" 3/2", "660 Hz", "E5"])
    assert [note.name for note in notes] == ["3/2", "660 Hz", "E5"]
    assert [note.frequency for note in notes] == pytest.approx([660.0, 660.0, 659.255], abs=1e-3)


def test_more_notes_than_any_flute_has_are_refused_before_they_are_read() -> None:
    tuned = Tuned(EQUAL, parse_note("A4"), 440.0)
    assert len(wanted_notes.of_texts(tuned, ["A4"] * wanted_notes.MOST)) == wanted_notes.MOST
    with pytest.raises(QuantityError, match=r"201 notes.*write at most 200"):
        wanted_notes.of_texts(tuned, ["no note"] * (wanted_notes.MOST + 1))
