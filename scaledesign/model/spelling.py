"""Spelling: which letter a place above the tonic is written with, and what sounds beside it.

Apart from pitches, which have no key, and from scales, which need no letters to sound right. Knows steps
(semitones above the tonic) only, no cents and no scale; music21 does the transposing and is imported when
first needed, for it costs a third of a second.

What sounds is called as the maker writes it: a reading beside a row of Bb4 is "Bb4 -4" though a tuner shows
A#4. So ``tuner_shows`` says it everywhere, on the screen, in a terminal and on paper.

Rules: a scale of seven degrees gets one letter a degree (F major has Bb). Any other place is written as
the interval it is nearest to in size: minor and major seconds, thirds, sixths and sevenths, perfect fourth
and fifth; a tritone is a raised fourth in a scale with a major third and a fifth, else a lowered fifth. A
place between degrees is never written E#, B#, Cb or Fb.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from scaledesign.model.document import Design, Row
from scaledesign.model.pitch import (
    FLATS,
    LETTERS,
    SEMITONES,
    SHARPS,
    Names,
    Note,
    format_reading,
    nearest_note,
    parse_target,
)

_MAJOR = tuple(SEMITONES[letter] for letter in LETTERS)
_ODD = ("E+1", "B+1", "C-1", "F-1")
_LETTER_OF_HALF_STEP = (0, 0, 1, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 5, 6, 6, 6, 7)
"""Letters above the tonic's for 0, 0.5, .. 11.5 semitones."""


_last: tuple[tuple[Row, ...], str, Names] = ((), "", ())


def tuner_shows(design: Design, frequency: float) -> str:
    """What a tuner would show of a frequency (Hz), in whole cents, called as the design writes it.

    Raises
    ------
    QuantityError
        when ``frequency`` is beyond hearing.
    """
    return format_reading(frequency, design.tuning.reference, names_of(design))


def tuner_note(design: Design, frequency: float) -> tuple[Note, float]:
    """Nearest equal-tempered note of a frequency (Hz), written as the design writes it, and cents above it.

    Raises
    ------
    QuantityError
        when ``frequency`` is beyond hearing.
    """
    return nearest_note(frequency, design.tuning.reference, names_of(design))


def names_of(design: Design) -> Names:
    """The twelve notes as the design's rows and its tonic write them; the scale comes before other rows.

    Asked for every cell of a table, so those of the rows asked last are kept: rows never change.
    """
    global _last
    rows, tonic, names = _last
    if not names or rows is not design.rows or tonic != design.tuning.tonic:
        scale = (row.note for row in design.rows if row.role == "scale")
        others = (row.note for row in design.rows if row.role != "scale")
        names = _names((*scale, design.tuning.tonic), tuple(others))
        _last = (design.rows, design.tuning.tonic, names)
    return names


def names_like(notes: Sequence[Note], others: Sequence[Note] = ()) -> Names:
    """The twelve notes as ``notes`` write them, else as ``others`` do; the rest by the side that prevails.

    Flats or sharps: what prevails among ``notes`` counts, where neither does what prevails among ``others``;
    else it is sharps, as tuners have it.
    """
    side = sum(note.alter for note in notes) or sum(note.alter for note in others)
    names = list(FLATS if side < 0 else SHARPS)
    for note in reversed((*notes, *others)):
        if note.midi == round(note.midi):
            names[round(note.midi) % 12] = note.name.rstrip("0123456789")
    return tuple(names)


@lru_cache(maxsize=64)
def _names(first: tuple[str, ...], others: tuple[str, ...]) -> Names:
    return names_like(_notes(first), _notes(others))


def _notes(texts: tuple[str, ...]) -> list[Note]:
    return [note for note in map(parse_target, texts) if isinstance(note, Note)]


def spell(tonic: Note, place: float, steps: tuple[float, ...], span: int = 12) -> Note:
    """Note that lies ``place`` semitones above ``tonic`` in a scale of ``steps`` repeating every ``span``.

    Parameters
    ----------
    tonic : Note
    place : float, semitones, a multiple of 0.5; negative below the tonic
    steps : semitones above the tonic of the scale's degrees, in one period
    span : int, semitones of one period
    """
    octaves, rest = divmod(place, 12)
    note = _transposed(tonic, rest, _letters_up(rest, steps, span), int(octaves))
    return note if place % span in steps else _plainest(note)


def _letters_up(place: float, steps: tuple[float, ...], span: int) -> int:
    """How many letters above the tonic's a place within the octave is written."""
    seven = span == 12 and len(steps) == 7
    if seven and place in steps and all(abs(a - b) <= 2 for a, b in zip(steps, _MAJOR, strict=True)):
        return steps.index(place)
    if place == 6 and {4, 7} <= set(steps):
        return 3
    return _LETTER_OF_HALF_STEP[int(2 * place)]


def _plainest(note: Note) -> Note:
    """The same key of a piano without E#, B#, Cb, Fb and double accidentals: a note between degrees."""
    odd = abs(note.alter) >= 2 or f"{note.letter}{note.alter:+.0f}" in _ODD
    if not odd or note.alter != round(note.alter):
        return note
    for letter, semitone in zip(LETTERS, _MAJOR, strict=True):
        octave, rest = divmod(note.midi - 12 - semitone, 12)
        if rest == 0:
            return Note(letter, 0.0, int(octave))
    return note


@lru_cache(maxsize=1024)
def _transposed(tonic: Note, semitones: float, letters: int, octaves: int) -> Note:
    """``tonic`` moved up by an interval; quarter tones, which no interval has, are added afterwards."""
    from music21 import interval, pitch

    whole_alter, whole_step = math.floor(tonic.alter), math.floor(semitones)
    quarters = tonic.alter - whole_alter + semitones - whole_step
    sign = "#" if whole_alter > 0 else "-"
    start = pitch.Pitch(f"{tonic.letter}{sign * abs(whole_alter)}{tonic.octave}")
    size = interval.intervalFromGenericAndChromatic(letters + 1, whole_step)
    end = size.transposePitch(start, maxAccidental=None)
    alter = end.alter + quarters
    if abs(alter) > 2.5:
        end.simplifyEnharmonic(inPlace=True)
        alter = end.alter + quarters
    return Note(str(end.step), float(alter), int(end.octave) + octaves)
