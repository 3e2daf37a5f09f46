"""Reading back what was written, by other means than the program's: WAV, MIDI, MusicXML.

Independent of ``scaledesign.sounding``: the formats as their standards tell them (RIFF WAVE; Standard MIDI
Files 1.0; MIDI 1.0 pitch bend and registered parameters; MIDI Tuning Standard, single note tuning change;
MusicXML 4.0).
"""

from __future__ import annotations

import io
import wave
import xml.etree.ElementTree as ET
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray


def samples_of(data: bytes) -> tuple[NDArray[Any], int]:
    """Samples within -1 and 1, and how many there are in a second."""
    with wave.open(io.BytesIO(data)) as file:
        assert (file.getnchannels(), file.getsampwidth()) == (1, 2)
        rate, frames = file.getframerate(), file.readframes(file.getnframes())
    return np.frombuffer(frames, "<i2") / 32768.0, rate


def pitch_of(samples: NDArray[Any], rate: int) -> float:
    """Frequency (Hz) of the strongest partial: how far its phase turns between the two halves.

    The peak of the spectrum says how many whole turns lie between them, the phases what is left over.
    """
    count = len(samples) // 2
    window = np.hanning(count)
    first, second = samples[:count] * window, samples[count : 2 * count] * window
    rough = float(np.argmax(np.abs(np.fft.rfft(first, 8 * count)))) / 8.0  # cycles in one half
    turning = np.exp(-2j * np.pi * rough * np.arange(count) / count)
    left_over = np.angle(np.sum(second * turning) / np.sum(first * turning)) / (2 * np.pi)
    cycles = rough + (left_over - rough + 0.5) % 1.0 - 0.5
    return float(cycles * rate / count)


def crossings_pitch(samples: NDArray[Any], rate: int) -> float:
    """Frequency (Hz) by counting: the time between the first and the last rising zero."""
    rising = np.flatnonzero((samples[:-1] < 0) & (samples[1:] >= 0))
    at = rising + samples[rising] / (samples[rising] - samples[rising + 1])
    return float((len(at) - 1) * rate / (at[-1] - at[0]))


@dataclass(frozen=True)
class Played:
    """One note of a MIDI file: ticks, and the key with what bends or tunings add to it."""

    begin: int
    end: int
    key: float
    channel: int


@dataclass
class MidiFile:
    """What a MIDI file says."""

    kind: int
    ticks: int
    tracks: int
    tempo: int = 0
    notes: list[Played] = field(default_factory=list)


def midi_of(data: bytes) -> MidiFile:
    """Play a file: what each note's pitch is when it begins, which it has to keep until it ends."""
    assert data[:8] == b"MThd\x00\x00\x00\x06"
    kind, tracks, ticks = (int.from_bytes(data[i : i + 2], "big") for i in (8, 10, 12))
    file, at = MidiFile(kind, ticks, tracks), 14
    for _ in range(tracks):
        assert data[at : at + 4] == b"MTrk"
        end = at + 8 + int.from_bytes(data[at + 4 : at + 8], "big")
        _play_track(data[at + 8 : end], file)
        at = end
    assert at == len(data)
    return file


def _number(data: bytes, at: int) -> tuple[int, int]:
    value = 0
    while True:
        value, at = value << 7 | data[at] & 0x7F, at + 1
        if data[at - 1] < 0x80:
            return value, at


def _play_track(data: bytes, file: MidiFile) -> None:
    at, tick, ended = 0, 0, False
    bend = dict.fromkeys(range(16), 0.0)
    reach = dict.fromkeys(range(16), 2.0)
    parameter: dict[int, list[int]] = {channel: [127, 127] for channel in range(16)}
    tuning = {key: float(key) for key in range(128)}
    on: dict[tuple[int, int], tuple[int, float]] = {}
    while at < len(data):
        wait, at = _number(data, at)
        tick += wait
        kind, channel = data[at] >> 4, data[at] & 15
        if data[at] == 0xFF:
            meta = data[at + 1]
            length, begin = _number(data, at + 2)
            if meta == 0x51:
                file.tempo = int.from_bytes(data[begin : begin + length], "big")
            ended = meta == 0x2F
            at = begin + length
        elif data[at] == 0xF0:
            length, begin = _number(data, at + 1)
            message = data[begin : begin + length]
            assert message[:4] == bytes((0x7F, 0x7F, 8, 2))
            assert message[-1] == 0xF7
            assert message[5] == 1
            key, semitone, high, low = message[6:10]
            assert not any(key == other for _, other in on), "a note was retuned while it sounded"
            tuning[key] = semitone + (high << 7 | low) / 16384
            at = begin + length
        elif kind == 0xC:
            at += 2
        else:
            one, two = data[at + 1 : at + 3]
            assert one < 128
            assert two < 128
            if kind == 0xB and one in (100, 101):
                parameter[channel][101 - one] = two
            elif kind == 0xB and one == 6 and parameter[channel] == [0, 0]:
                reach[channel] = two
            elif kind == 0xE:
                assert not any(channel == other for other, _ in on), "a note was bent while it sounded"
                bend[channel] = ((two << 7 | one) - 8192) / 8192 * reach[channel]
            elif kind == 9:
                assert (channel, one) not in on
                on[channel, one] = (tick, tuning[one] + bend[channel])
            elif kind == 8:
                begun, sounding = on.pop((channel, one))
                file.notes.append(Played(begun, tick, sounding, channel))
            at += 3
    assert ended
    assert not on


@dataclass(frozen=True)
class Shown:
    """One note of MusicXML, parts of a tied one apart."""

    semitones: float
    """Above C0's 12, as MIDI counts."""
    name: str
    at: int
    length: int
    tied: bool
    holes: tuple[tuple[str, str], ...]


_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ORDER = ("chord", "pitch", "rest", "duration", "tie", "type", "dot", "accidental", "notations")
_SIGNS = {
    "flat": "b", "sharp": "#", "natural": "", "quarter-flat": "`", "quarter-sharp": "~",
    "three-quarters-flat": "b`", "three-quarters-sharp": "#~", "flat-flat": "bb", "double-sharp": "##",
}  # fmt: skip


def musicxml_of(text: str) -> dict[str, list[Shown]]:
    """Notes of every part; measures have to be full, and a note's children in the order of the standard."""
    root = ET.fromstring(text.encode())
    assert root.tag == "score-partwise"
    found: dict[str, list[Shown]] = {}
    for part in root.iter("part"):
        at = 0
        for measure in part.iter("measure"):
            begin, last = at, at
            signs: dict[tuple[str, str], str] = {}
            for note in measure.iter("note"):
                places = [_ORDER.index(child.tag) for child in note]
                assert places == sorted(places)
                length = int(note.findtext("duration", ""))
                if note.find("chord") is None:
                    last, at = at, at + length
                pitch = note.find("pitch")
                if pitch is None:
                    continue
                step, octave = pitch.findtext("step", ""), pitch.findtext("octave", "")
                alter = float(pitch.findtext("alter", "0"))
                sign = note.findtext("accidental")
                if sign is not None:
                    signs[step, octave] = _SIGNS[sign]
                found.setdefault(part.get("id", ""), []).append(
                    Shown(
                        12 * (int(octave) + 1) + _STEPS[step] + alter,
                        f"{step}{signs.get((step, octave), '')}{octave}",
                        last,
                        length,
                        any(tie.get("type") == "stop" for tie in note.findall("tie")),
                        tuple(
                            (hole.findtext("hole-type", ""), hole.findtext("hole-closed", ""))
                            for hole in note.iter("hole")
                        ),
                    )
                )
            assert at - begin == 4
    return found
