"""Notes as other programs read them back: the same pitches, names, fingerings and holes."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from scaledesign.model.fingering import format_fingering
from scaledesign.outputs.make import make
from scaledesign.paper.choices import PaperChoices
from tests.outputs.flutes import NAMES, work
from tests.sounding.reading import midi_of, musicxml_of, pitch_of, samples_of

FINEST = 0.5 * 200 / 8192
"""Cents: half a step of a MIDI bend over two semitones."""
STATES = {"X": "yes", "O": "no", "H": "half"}


def data(name: str, form: str) -> bytes:
    (made,) = make(work(name), "notes", form, PaperChoices())
    assert made.name == f"{name}-notes.{form}"
    return made.data


def semitones(frequency: float, reference: float = 440.0) -> float:
    return 69.0 + 12.0 * math.log2(frequency / reference)


@pytest.mark.parametrize("name", NAMES)
def test_midi_has_every_pitch_within_half_a_step(name: str) -> None:
    notes = midi_of(data(name, "mid")).notes
    for note, frequency in zip(notes, work(name).prediction.frequency, strict=True):
        assert abs(100.0 * (note.key - semitones(float(frequency)))) <= FINEST + 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_musicxml_has_every_pitch_name_and_hole(name: str) -> None:
    design, prediction = work(name).design, work(name).prediction
    (notes,) = musicxml_of(data(name, "musicxml").decode("utf-8")).values()
    for note, row, frequency in zip(notes, design.rows, prediction.frequency, strict=True):
        expected = semitones(float(frequency), design.tuning.reference)
        assert note.semitones == pytest.approx(expected, abs=1e-6)
        assert note.name == row.note
        fingers = [design.holes[hole].finger for hole in design.fingered()]
        assert note.holes == tuple(zip(fingers, (STATES[state] for state in row.holes), strict=True))


def test_another_reader_finds_the_same_notes_and_marks(tmp_path: Path) -> None:
    """music21's reader, of all five; it knows fingerings as marks, and A4 = 440 Hz, which all five have."""
    from music21 import articulations, converter

    for name in NAMES:
        design, prediction = work(name).design, work(name).prediction
        assert design.tuning.reference == 440.0
        path = tmp_path / f"{name}.musicxml"
        path.write_bytes(data(name, "musicxml"))
        found = list(converter.parse(path, forceSource=True, storePickle=False).recurse().notes)
        assert [note.pitch.frequency for note in found] == pytest.approx(list(prediction.frequency), rel=1e-6)
        assert [note.pitch.step + str(note.pitch.octave) for note in found] == [
            row.note[0] + row.note[-1] for row in design.rows
        ]
        fingers = [design.holes[hole].finger for hole in design.fingered()]
        marks = [
            [mark.fingerNumber for mark in note.articulations if isinstance(mark, articulations.Fingering)]
            for note in found
        ]
        assert marks == [[format_fingering(row.holes, fingers)] for row in design.rows]


def test_sound_has_the_pitch_of_every_note() -> None:
    samples, rate = samples_of(data("marsh-wren", "wav"))
    frequencies = work("marsh-wren").prediction.frequency
    for i, frequency in list(enumerate(map(float, frequencies)))[::5]:
        held = samples[int((i + 0.3) * rate) : int((i + 0.8) * rate)]
        assert abs(1200 * math.log2(pitch_of(held, rate) / frequency)) < 0.2
