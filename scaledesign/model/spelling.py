"""Spelling: which letter a place above the tonic is written with.

Apart from pitches, which have no key, and from scales, which need no letters to sound right. Knows steps
(semitones above the tonic) only, no cents and no scale; music21 does the transposing and is imported when
first needed, for it costs a third of a second.

Rules: a scale of seven degrees gets one letter a degree (F major has Bb). Any other place is written as
the interval it is nearest to in size: minor and major seconds, thirds, sixths and sevenths, perfect fourth
and fifth; a tritone is a raised fourth in a scale with a major third and a fifth, else a lowered fifth. A
place between degrees is never written E#, B#, Cb or Fb.
"""

from __future__ import annotations

import math
from functools import lru_cache

from scaledesign.model.pitch import LETTERS, SEMITONES, Note

_MAJOR = tuple(SEMITONES[letter] for letter in LETTERS)
_ODD = ("E+1", "B+1", "C-1", "F-1")
_LETTER_OF_HALF_STEP = (0, 0, 1, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 5, 6, 6, 6, 7)
"""Letters above the tonic's for 0, 0.5, .. 11.5 semitones."""


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
