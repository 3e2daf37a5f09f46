"""The notes that fingerings are looked for: of the rows, of a scale, all semitones, or as written.

Apart from the finder, which takes frequencies: here a note has a name, and the flute a range.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from scaledesign.errors import QuantityError
from scaledesign.model.document import Design
from scaledesign.model.pitch import OCTAVE, cents_between
from scaledesign.model.scale import Scale, Tuned
from scaledesign.values import dataclass

NEAR = 50.0
"""Cents that a note may lie below the lowest of a flute and still be asked for."""
MOST = 200
"""Notes that are written one by one, at most: more than any flute has."""
REGISTERS = 2
"""Octaves over which scales and semitones go."""
ONE = 0.5
"""Cents within which two rows want the same note."""


@dataclass(frozen=True)
class WantedNote:
    """A note by its name, and what it means in Hz."""

    name: str
    frequency: float


def of_texts(tuned: Tuned, texts: Sequence[str]) -> tuple[WantedNote, ...]:
    """Notes, frequencies or intervals as a row has them.

    Raises
    ------
    QuantityError
        when a text is none of these, or there are more than ``MOST``.
    """
    if len(texts) > MOST:
        raise QuantityError(
            f"{len(texts)} notes", "that is more than is looked for at once", f"write at most {MOST}"
        )
    return tuple(WantedNote(text.strip(), tuned.target(text)) for text in texts)


def of_rows(design: Design, tuned: Tuned) -> tuple[WantedNote, ...]:
    """What the rows want, low to high, each note once; the first row names it."""
    rows = sorted(design.rows, key=lambda row: tuned.target(row.note, row.cents))
    notes: list[WantedNote] = []
    for row in rows:
        frequency = tuned.target(row.note, row.cents)
        if not notes or cents_between(notes[-1].frequency, frequency) > ONE:
            notes.append(WantedNote(row.note, frequency))
    return tuple(notes)


def of_scale(tuned: Tuned, lowest: float) -> tuple[WantedNote, ...]:
    """A scale over two registers: two octaves from the note of it that is nearest to the flute's lowest.

    Parameters
    ----------
    tuned : Tuned
    lowest : Hz, the flute's lowest note
    """
    scale, low = tuned.scale, cents_between(tuned.target("0 c"), lowest)
    degree = len(scale.cents) * int((low - NEAR) // scale.period)
    while _cents(scale, degree) < low - NEAR or _cents(scale, degree) + _cents(scale, degree + 1) < 2 * low:
        degree += 1
    top, notes = _cents(scale, degree) + REGISTERS * OCTAVE + ONE, []
    while _cents(scale, degree) <= top:
        name = (
            tuned.written(scale.place_of(degree)).name if scale.places else f"{_cents(scale, degree):.2f} c"
        )
        notes.append(WantedNote(name, tuned.target(name)))
        degree += 1
    return tuple(notes)


def _cents(scale: Scale, degree: int) -> float:
    """Cents above the tonic of a degree counted from 0 on through the periods."""
    periods, index = divmod(degree, len(scale.cents))
    return scale.cents[index] + periods * scale.period


def chromatic(tuned: Tuned, lowest: float) -> tuple[WantedNote, ...]:
    """All semitones over two octaves from the lowest that the flute plays.

    A note of the scale has its degree's frequency, any other its equal-tempered one.
    """
    first = ceil((cents_between(tuned.target("0 c"), lowest) - NEAR) / 100)
    names = (tuned.written(float(place)).name for place in range(first, first + 12 * REGISTERS + 1))
    return tuple(WantedNote(name, tuned.target(name)) for name in names)
