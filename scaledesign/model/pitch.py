"""Pitches: written notes, what a tuner shows, frequencies and cents.

Apart from scales (``model/scale.py``), which say what a note means in a tuning, and from spelling
(``model/spelling.py``), which chooses letters. Only equal temperament, arithmetic and reading of text
belong here; no scale, no music library.

Frequencies are Hz, intervals cents (1200 log2 of a ratio; A. J. Ellis, On the musical scales of various
nations, Journal of the Society of Arts 33, 1885), steps equal-tempered semitones.
"""

from __future__ import annotations

import math
import re

from scaledesign.errors import QuantityError
from scaledesign.values import dataclass

OCTAVE = 1200.0
"""cents."""
FARTHEST_RATIO = 64
"""Six octaves: a larger "ratio" is cents whose unit was forgotten."""
LONGEST = 60
"""Signs of a written pitch; a longer text is none."""
LETTERS = "CDEFGAB"
SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
AUDIBLE = (20.0, 12000.0)
"""Hz: what may be written as a frequency; the notes from E0 to F#9."""

_ACCIDENTALS = {
    "": 0.0,
    "#": 1.0,
    "##": 2.0,
    "###": 3.0,
    "b": -1.0,
    "bb": -2.0,
    "bbb": -3.0,
    "~": 0.5,
    "#~": 1.5,
    "##~": 2.5,
    "`": -0.5,
    "b`": -1.5,
    "bb`": -2.5,
}
_WRITTEN = {alter: text for text, alter in _ACCIDENTALS.items()}
Names = tuple[str, ...]
"""What each of the twelve notes of an octave is called, from C up: ``"Bb"`` or ``"A#"``."""
SHARPS: Names = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
"""As tuners show them."""
FLATS: Names = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")

_NOTE = re.compile(r"([A-Ga-g])([#b~`]*)([0-9])")
_HERTZ = re.compile(r"(\d{1,6}(?:\.\d{1,20})?)\s*hz", re.IGNORECASE)
_RATIO = re.compile(r"(\d{1,12})(?:\s*/\s*(\d{1,12}))?")
_CENTS = re.compile(r"([+-]?\d{1,5}(?:\.\d{1,20})?)\s*(?:c|cents?)", re.IGNORECASE)
_READING = re.compile(r"(\S+?)\s*([+-]\s*\d{1,4}(?:\.\d{1,20})?)?\s*(?:c|cents?)?", re.IGNORECASE)

_UNSIGNED = re.compile(r"(\S+)\s+(\d{1,2}(?:\.\d{1,20})?)\s*(?:c|cents?)?", re.IGNORECASE)

_NOTE_REMEDY = "write a letter, an accidental and an octave, such as A4, Bb4, F#4 or E`5 (quarter tone flat)"
_TARGET_REMEDY = "write a note (Bb4), a frequency (523.3 Hz), or what lies above the tonic (3/2 or 702 c)"
_READING_REMEDY = "write what the tuner shows, such as A4 -4 or 438.9 Hz"
_INTERVAL_REMEDY = "write a ratio such as 6/5 or cents such as 498 c"


@dataclass(frozen=True, slots=True)
class Note:
    """A written note: ``letter`` C..B, ``alter`` in semitones (multiples of 0.5), ``octave`` (of A4: 4)."""

    letter: str
    alter: float
    octave: int

    @property
    def name(self) -> str:
        """As it is written in a file: ``Bb4``; quarter tones ``~`` (sharp) and a back-tick (flat)."""
        return f"{self.letter}{_WRITTEN[self.alter]}{self.octave}"

    @property
    def midi(self) -> float:
        """Semitones on the scale where A4 is 69 and C4 60."""
        return 12.0 * (self.octave + 1) + SEMITONES[self.letter] + self.alter


@dataclass(frozen=True, slots=True)
class Hertz:
    """A target written as a frequency (Hz)."""

    value: float


@dataclass(frozen=True, slots=True)
class Interval:
    """A target written as an interval above the tonic (cents)."""

    cents: float


@dataclass(frozen=True, slots=True)
class Reading:
    """What a tuner showed: a note and how far it was off, or a frequency (then ``cents`` is 0)."""

    pitch: Note | Hertz
    cents: float = 0.0


def parse_note(text: str) -> Note:
    """Note of its written name; flats ``b`` and sharps ``#``, quarter tones as music21 writes them.

    Raises
    ------
    QuantityError
        when ``text`` is no note with an octave from 0 to 9.
    """
    plain = _plain(text).replace("♯", "#").replace("♭", "b").replace("-`", "b`")
    match = _NOTE.fullmatch(plain)
    alter = _ACCIDENTALS.get(match[2]) if match else None
    if match is None or alter is None:
        raise QuantityError(text, "is not a note with its octave", _NOTE_REMEDY)
    return Note(match[1].upper(), alter, int(match[3]))


def note_frequency(note: Note, reference: float) -> float:
    """Equal-tempered frequency (Hz) of ``note`` where A4 is ``reference`` Hz."""
    return float(reference * 2.0 ** ((note.midi - 69.0) / 12.0))


def cents_between(low: float, high: float) -> float:
    """Cents from one frequency (Hz) up to another: 1200 log2(high / low)."""
    return OCTAVE * math.log2(high / low)


def raised(frequency: float, cents: float) -> float:
    """Frequency (Hz) that lies ``cents`` above ``frequency``."""
    return float(frequency * 2.0 ** (cents / OCTAVE))


def parse_interval(text: str) -> Interval:
    """Interval written as a ratio (``"3/2"``, ``"2"``) or in cents (``"702 c"``).

    Raises
    ------
    QuantityError
        when ``text`` is neither, or the ratio has a zero in it or is beyond ``FARTHEST_RATIO``.
    """
    plain = _plain(text).replace("−", "-")
    if match := _CENTS.fullmatch(plain):
        return Interval(float(match[1]))
    match = _RATIO.fullmatch(plain)
    if match is None:
        raise QuantityError(text, "is neither a ratio nor cents", _INTERVAL_REMEDY)
    above, below = int(match[1]), int(match[2] or 1)
    if above == 0 or below == 0:
        raise QuantityError(text, "a ratio has no zero in it", _INTERVAL_REMEDY)
    if not 1 / FARTHEST_RATIO <= above / below <= FARTHEST_RATIO:
        raise QuantityError(
            text, f"is a ratio beyond {FARTHEST_RATIO} to 1", "write cents with a c, such as 702 c"
        )
    return Interval(OCTAVE * math.log2(above / below))


def parse_target(text: str) -> Note | Hertz | Interval:
    """What a row's ``note`` asks for: a note, a frequency, or an interval above the tonic.

    Raises
    ------
    QuantityError
        when ``text`` is none of the three.
    """
    plain = _plain(text)
    if hertz := _HERTZ.fullmatch(plain):
        return _hertz(text, float(hertz[1]))
    if plain[:1].isalpha():
        return parse_note(text)
    if plain[:1] in tuple("0123456789+-−"):
        return parse_interval(text)
    raise QuantityError(text, "is no target for a row", _TARGET_REMEDY)


def parse_reading(text: str) -> Reading:
    """What a tuner showed: ``"A4 -4"`` (cents from the equal-tempered note), ``"A4"`` or ``"438.9 Hz"``.

    Cents have their sign; zero needs none.

    Raises
    ------
    QuantityError
        when ``text`` is none of these.
    """
    plain = _plain(text).replace("−", "-")
    if hertz := _HERTZ.fullmatch(plain):
        return Reading(_hertz(text, float(hertz[1])))
    match, unsigned = _READING.fullmatch(plain), _UNSIGNED.fullmatch(plain)
    read = match or unsigned
    if read is None:
        raise QuantityError(text, "is not what a tuner shows", _READING_REMEDY)
    try:
        note = parse_note(read[1])
    except QuantityError:
        raise QuantityError(text, "is not what a tuner shows", _READING_REMEDY) from None
    cents = float("".join((read[2] or "0").split()))
    if cents and read is unsigned:
        raise QuantityError(text, "has no sign", f"write {note.name} +{read[2]} or {note.name} -{read[2]}")
    return Reading(note, cents)


def reading_frequency(text: str, reference: float) -> float:
    """Frequency (Hz) of a tuner's reading where A4 is ``reference`` Hz."""
    reading = parse_reading(text)
    if isinstance(reading.pitch, Hertz):
        return reading.pitch.value
    return raised(note_frequency(reading.pitch, reference), reading.cents)


def nearest_note(frequency: float, reference: float, names: Names = SHARPS) -> tuple[Note, float]:
    """Nearest equal-tempered note, written by its name among ``names``, and cents above it (-50..50).

    Raises
    ------
    QuantityError
        when ``frequency`` is not within ``AUDIBLE``.
    """
    _hertz(f"{frequency:g} Hz", frequency)
    midi = 69.0 + 12.0 * math.log2(frequency / reference)
    nearest = round(midi)
    name = names[nearest % 12]
    letter, alter = name[0], _ACCIDENTALS[name[1:]]
    note = Note(letter, alter, int(nearest - SEMITONES[letter] - alter) // 12 - 1)
    return note, 100.0 * (midi - nearest)


def format_reading(frequency: float, reference: float, names: Names = SHARPS) -> str:
    """What a tuner would show, in whole cents: ``"A4 -4"``."""
    note, cents = nearest_note(frequency, reference, names)
    return f"{note.name} {round(cents):+d}"


def _plain(text: str) -> str:
    """A text without the blanks around it; nothing of one that is too long to be a pitch."""
    plain = text.strip()
    return plain if len(plain) <= LONGEST else ""


def _hertz(text: str, value: float) -> Hertz:
    if not AUDIBLE[0] <= value <= AUDIBLE[1]:
        raise QuantityError(text, "is beyond what a flute plays", "write 20 to 12000 Hz")
    return Hertz(value)
