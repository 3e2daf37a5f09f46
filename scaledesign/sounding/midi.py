"""A score as a standard MIDI file (type 1) that keeps every pitch exact.

Apart from MusicXML, which is for reading. MIDI knows keys only; the rest of each pitch is told in one of two
ways of the standard:

"bend"     a pitch bend before each note, range two semitones either way, which is stated first (registered
           parameter 0). A step is 200/8192 cent: no pitch is further off than 0.0123 cent.
"tuning"   a single note tuning change before each note (MIDI Tuning Standard), for instruments that know it.
           A step is 100/16384 cent: no pitch is further off than 0.0031 cent.

Frequencies are absolute, whatever the flute's A4 is. Notes that sound together get channels of their own for
"bend", and keys of their own for "tuning". Not for reading: a file is written here, no more.
"""

from __future__ import annotations

import struct
from typing import Literal

from scaledesign.errors import EditError, QuantityError
from scaledesign.files.midi_tuning import note_changes
from scaledesign.model.key_table import KEYS, KeyTable, height_of
from scaledesign.sounding.score import DRONE, Score, Sounded

Way = Literal["bend", "tuning"]

TICKS = 960
"""A beat."""
FLUTE = 73
"""Program of the General MIDI sound set, counted from 0: Flute."""
BEND_RANGE = 2
"""Semitones up and down."""
BEND_STEPS = 8192
"""Of a bend over that range."""
_CHANNELS = tuple(channel for channel in range(16) if channel != 9)
"""The tenth is the drums'."""
_LOUD = {DRONE: 50}
_USUAL = 90

_END, _TUNE, _BEGIN = range(3)
"""What happens at one time happens in this order."""


def midi_bytes(score: Score, way: Way = "bend") -> bytes:
    """Bytes of the file.

    Raises
    ------
    EditError
        when more notes sound together than there are channels to bend.
    QuantityError
        when one lies beyond the keys.
    """
    conductor = [
        (0, _meta(0x03, (score.title or "notes").encode("utf-8"))),
        (0, _meta(0x51, round(60e6 / score.tempo).to_bytes(3, "big"))),
        (0, _meta(0x58, bytes((4, 2, 24, 8)))),
    ]
    notes = _bent(score) if way == "bend" else _tuned(score)
    header = b"MThd" + struct.pack(">IHHH", 6, 1, 2, TICKS)
    return header + _track(conductor) + _track(notes)


def key_of(frequency: float) -> float:
    """Key of a frequency (Hz), A4 = 440 Hz being 69, with what lies between the keys.

    Raises
    ------
    QuantityError
        when it lies beyond the keys 0 to 127.
    """
    key = height_of(frequency)
    if not 0.0 <= key <= KEYS - 1:
        raise QuantityError(f"{frequency:g} Hz", "is beyond the keys of MIDI", "leave that note out")
    return key


def _bent(score: Score) -> list[tuple[int, bytes]]:
    """Messages with their ticks, each note on the first channel that is free."""
    given, used = _spread(score.notes, _CHANNELS)
    out = [(0, message) for channel in used for message in _opening(channel)]
    timed: list[tuple[int, int, bytes]] = []
    for note, channel in zip(score.notes, given, strict=True):
        exact = key_of(note.pitch.frequency)
        key = round(exact)
        bend = BEND_STEPS + round((exact - key) / BEND_RANGE * BEND_STEPS)
        begin, end = note.beat * TICKS, (note.beat + note.beats) * TICKS
        timed += [
            (begin, _TUNE, bytes((0xE0 | channel, bend & 0x7F, bend >> 7))),
            (begin, _BEGIN, bytes((0x90 | channel, key, _LOUD.get(note.part, _USUAL)))),
            (end, _END, bytes((0x80 | channel, key, 64))),
        ]
    return out + [(tick, message) for tick, _, message in sorted(timed, key=lambda one: one[:2])]


def _tuned(score: Score) -> list[tuple[int, bytes]]:
    """Messages with their ticks, all on one channel; no two notes that overlap on one key."""
    timed: list[tuple[int, int, bytes]] = []
    taken: list[tuple[int, Sounded]] = []
    for note in score.notes:
        exact = key_of(note.pitch.frequency)
        near = sorted(range(KEYS), key=lambda key: abs(key - exact))
        busy = {key for key, other in taken if _overlap(note, other)}
        key = next(key for key in near if key not in busy)
        taken.append((key, note))
        begin, end = note.beat * TICKS, (note.beat + note.beats) * TICKS
        timed += [
            (begin, _TUNE, _tuning_change(key, exact)),
            (begin, _BEGIN, bytes((0x90, key, _LOUD.get(note.part, _USUAL)))),
            (end, _END, bytes((0x80, key, 64))),
        ]
    messages = [(tick, message) for tick, _, message in sorted(timed, key=lambda one: one[:2])]
    return [(0, bytes((0xC0, FLUTE))), *((0, one) for one in _parameter(0, 3, 0)), *messages]


def _spread(notes: tuple[Sounded, ...], places: tuple[int, ...]) -> tuple[list[int], list[int]]:
    """Channel of each note, and all that are used."""
    given: list[int] = []
    for index, note in enumerate(notes):
        busy = {
            place for place, other in zip(given, notes[:index], strict=True) if _overlap(note, other)
        }  # fmt: skip
        free = next((place for place in places if place not in busy), None)
        if free is None:
            raise EditError(
                f"MIDI can bend {len(places)} notes together and no more", "take fewer, or tuning messages"
            )
        given.append(free)
    return given, sorted(set(given))


def _overlap(one: Sounded, other: Sounded) -> bool:
    return one.beat < other.beat + other.beats and other.beat < one.beat + one.beats


def _opening(channel: int) -> tuple[bytes, ...]:
    """The flute, and how far a bend reaches."""
    return (bytes((0xC0 | channel, FLUTE)), *_parameter(channel, 0, BEND_RANGE))


def _parameter(channel: int, number: int, value: int) -> tuple[bytes, ...]:
    """Set a registered parameter (0: range of the bend, 3: tuning program), and leave it."""
    settings = ((101, 0), (100, number), (6, value), (38, 0), (101, 127), (100, 127))
    return tuple(bytes((0xB0 | channel, control, setting)) for control, setting in settings)


def _tuning_change(key: int, exact: float) -> bytes:
    """Real-time message: this key of tuning program 0 sounds ``exact`` from now on."""
    heights = tuple(exact if other == key else None for other in range(KEYS))
    message = note_changes(KeyTable("", heights))
    return message[:1] + _length(len(message) - 1) + message[1:]


def _track(messages: list[tuple[int, bytes]]) -> bytes:
    out, last = bytearray(), 0
    for tick, message in [*messages, (messages[-1][0], _meta(0x2F, b""))]:
        out += _length(tick - last) + message
        last = tick
    return b"MTrk" + struct.pack(">I", len(out)) + bytes(out)


def _meta(kind: int, data: bytes) -> bytes:
    return bytes((0xFF, kind)) + _length(len(data)) + data


def _length(value: int) -> bytes:
    """A number of the file: seven bits a byte, the highest first."""
    out = [value & 0x7F]
    while value := value >> 7:
        out.append(0x80 | value & 0x7F)
    return bytes(reversed(out))
