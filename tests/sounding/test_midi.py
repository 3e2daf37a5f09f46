"""MIDI files keep every pitch to the resolution of the format, and notes that overlap apart."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.errors import EditError, QuantityError
from scaledesign.sounding.midi import TICKS, Way, midi_bytes
from scaledesign.sounding.score import Score, Sounded, in_turn, over, pitched, together
from tests.sounding.reading import midi_of

FINEST: dict[Way, float] = {"bend": 0.5 * 200 / 8192, "tuning": 0.5 * 100 / 16384}
"""Cents: half a step of the format."""
WAYS = tuple(FINEST)
HERTZ = st.floats(20.0, 12000.0)


def key(frequency: float) -> float:
    return 69.0 + 12.0 * math.log2(frequency / 440.0)


@pytest.mark.parametrize("way", WAYS)
@settings(max_examples=60, deadline=None)
@given(st.lists(HERTZ, min_size=1, max_size=20), st.floats(10, 600), st.floats(380, 480))
def test_every_pitch_comes_back(way: Way, hertz: list[float], tempo: float, reference: float) -> None:
    notes = in_turn([[pitched(frequency, reference) for frequency in hertz]])
    file = midi_of(midi_bytes(Score(notes, "a flute", tempo, reference), way))
    assert (file.kind, file.tracks, file.ticks) == (1, 2, TICKS)
    assert file.tempo == pytest.approx(60e6 / tempo, abs=0.5)
    assert [(note.begin, note.end) for note in file.notes] == [
        (beat * TICKS, (beat + 1) * TICKS) for beat in range(len(hertz))
    ]
    for note, frequency in zip(file.notes, hertz, strict=True):
        assert abs(100.0 * (note.key - key(frequency))) <= FINEST[way] + 1e-9


@pytest.mark.parametrize("way", WAYS)
@settings(max_examples=40, deadline=None)
@given(st.lists(HERTZ, min_size=1, max_size=13), HERTZ)
def test_notes_together_keep_their_own_pitch(way: Way, hertz: list[float], drone: float) -> None:
    """Also those within one key; nothing is bent or retuned while it sounds (``midi_of`` asserts)."""
    chord = together([[pitched(frequency, 440.0) for frequency in hertz]])
    file = midi_of(midi_bytes(Score(over(chord, pitched(drone, 440.0))), way))
    found = sorted(note.key for note in file.notes)
    wanted = sorted(map(key, (*hertz, drone)))
    assert all(abs(100.0 * (a - b)) <= FINEST[way] + 1e-9 for a, b in zip(found, wanted, strict=True))


def test_more_notes_than_there_are_channels_are_refused() -> None:
    chord = together([[pitched(400.0 + 10 * n, 440.0) for n in range(16)]])
    with pytest.raises(EditError, match="15 notes together"):
        midi_bytes(Score(chord))
    assert len(midi_of(midi_bytes(Score(chord), "tuning")).notes) == 16


def test_the_drums_are_left_alone() -> None:
    chord = together([[pitched(400.0 + 10 * n, 440.0) for n in range(15)]])
    assert 9 not in {note.channel for note in midi_of(midi_bytes(Score(chord))).notes}


@pytest.mark.parametrize("hertz", [5.0, 14000.0])
def test_a_pitch_beyond_the_keys_is_named(hertz: float) -> None:
    note = Sounded(pitched(440.0, 440.0), 0)
    beyond = Score((Sounded(type(note.pitch)(hertz, note.pitch.note), 0),))
    with pytest.raises(QuantityError, match="keys of MIDI"):
        midi_bytes(beyond)


def test_another_reader_finds_the_same_bends(tmp_path: Path) -> None:
    """music21's reader of raw messages."""
    from music21 import midi

    hertz = [440.0, 527.1, 660.0 * 2 ** (-31 / 1200)]
    path = tmp_path / "notes.mid"
    path.write_bytes(midi_bytes(Score(in_turn([[pitched(frequency, 440.0) for frequency in hertz]]))))
    file = midi.MidiFile()
    file.open(str(path))
    file.read()
    file.close()
    events = file.tracks[1].events
    bends = [
        event.parameter1 + 128 * event.parameter2
        for event in events
        if event.type == midi.ChannelVoiceMessages.PITCH_BEND
    ]
    keys = [event.pitch for event in events if event.type == midi.ChannelVoiceMessages.NOTE_ON]
    found = [one + 2.0 * (bend - 8192) / 8192 for one, bend in zip(keys, bends, strict=True)]
    assert found == pytest.approx([key(frequency) for frequency in hertz], abs=FINEST["bend"] / 100)
