"""Scales: degrees in cents over a tonic, and the frequency that a tuning gives a written note.

Apart from pitches, which know equal temperament only, and from scale files (``files/scale_file.py``).
No file, no plug-in and no fingering belongs here.

A written note finds its degree by *place*: the degree's nominal position in semitones above the tonic, or
in quarter tones where no semitone is near. So a just minor third and a measured one are both written as the
note a minor third up.
"""

from __future__ import annotations

import math
from bisect import bisect
from dataclasses import replace
from itertools import pairwise

from scaledesign.errors import QuantityError
from scaledesign.model.document import Design, Row, Tuning
from scaledesign.model.pitch import (
    OCTAVE,
    Hertz,
    Interval,
    Note,
    note_frequency,
    parse_interval,
    parse_note,
    parse_target,
    raised,
)
from scaledesign.model.spelling import spell
from scaledesign.values import dataclass

MOST_DEGREES = 1000
"""Degrees of a scale: far more than anybody tells apart."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale: what it is called, its degrees, and where they come from.

    Raises ``QuantityError`` when it makes no scale: no degrees, the first not 0, not rising, not finite,
    or reaching the period; steps that are not one a degree, not rising or not multiples of 0.5.
    """

    name: str
    cents: tuple[float, ...]
    """Cents above the tonic; the first is 0, rising, all below ``period``."""
    period: float = OCTAVE
    """Cents after which the degrees repeat."""
    steps: tuple[float, ...] | None = None
    """Place of each degree in semitones above the tonic, multiples of 0.5; None: the nearest."""
    source: str = ""
    """Author, year, title of what the numbers were taken from, or "common practice, no source"."""
    words: str = ""
    """One line in plain words for somebody choosing a scale."""
    also: tuple[str, ...] = ()
    """Other names it is found under."""
    kind: str = ""
    """What it is listed among, in a word or two: ``"five notes"``, ``"temperaments"``."""

    def __post_init__(self) -> None:
        problem = _texts(self.name, self.source, self.words, self.also, self.kind) or _rising(
            "cents", self.cents, "period", self.period
        )
        if not problem and len(self.cents) > MOST_DEGREES:
            problem = f"has more than {MOST_DEGREES} degrees"
        if not problem and self.period < 100:
            problem = "has a period of less than a semitone"
        if not problem and self.steps is not None:
            problem = _rising("steps", self.steps, "period in semitones", self.span) or _steps_fit(
                self.steps, len(self.cents)
            )
        if problem:
            remedy = "a scale has a name, and degrees that rise from 0 and stay below the period"
            raise QuantityError(str(self.name), problem, remedy)

    @property
    def span(self) -> int:
        """Nominal size of the period in semitones: 12 for every octave, however stretched."""
        return round(self.period / 100.0)

    @property
    def places(self) -> tuple[float, ...]:
        """Nominal place of each degree in semitones above the tonic; empty: too many degrees to write."""
        return self.steps if self.steps is not None else _nearest_places(self.cents, self.span)

    def degree_at(self, place: float) -> tuple[int, int] | None:
        """Degree (from 0) and period (0 the tonic's own) written at ``place``, or None between degrees."""
        periods, rest = divmod(place, self.span)
        places = self.places
        return (places.index(rest), int(periods)) if rest in places else None

    def place_of(self, degree: int) -> float:
        """Place (semitones above the tonic) of a degree counted from 0 on through the periods."""
        periods, index = divmod(degree, len(self.cents))
        return self.places[index] + periods * self.span


@dataclass(frozen=True, slots=True)
class Tuned:
    """A scale on a tonic at a pitch standard: what every written note means."""

    scale: Scale
    tonic: Note
    reference: float
    """Hz of A4."""

    def target(self, note: str, cents: float = 0.0) -> float:
        """Frequency (Hz) wanted of a row that is written ``note`` and shifted by ``cents``.

        A note of the scale has its degree's frequency over the equal-tempered tonic; any other note its
        equal-tempered distance from the tonic.

        Raises
        ------
        QuantityError
            when ``note`` is no note, frequency or interval.
        """
        wanted = parse_target(note)
        if isinstance(wanted, Hertz):
            return raised(wanted.value, cents)
        above = wanted.cents if isinstance(wanted, Interval) else self._cents_of(wanted)
        return raised(note_frequency(self.tonic, self.reference), above + cents)

    def place(self, note: Note) -> float:
        """Semitones from the tonic up to a written note."""
        return note.midi - self.tonic.midi

    def written(self, place: float) -> Note:
        """Note that is written at a place (semitones above the tonic)."""
        return spell(self.tonic, place, self.scale.places, self.scale.span)

    def _cents_of(self, note: Note) -> float:
        found = self.scale.degree_at(self.place(note))
        if found is None:
            return 100.0 * self.place(note)
        degree, periods = found
        return self.scale.cents[degree] + periods * self.scale.period


def parse_degree(text: str) -> float:
    """Cents above the tonic of a degree as written: ``"6/5"``, ``"498 c"``, ``"1"``.

    Raises
    ------
    QuantityError
        when ``text`` is neither a ratio nor cents, or lies below the tonic.
    """
    cents = parse_interval(text).cents
    if cents < 0:
        raise QuantityError(text, "lies below the tonic", "write a ratio of 1 or more, or cents of 0 or more")
    return cents


def scale_of_degrees(texts: tuple[str, ...], name: str = "own degrees") -> Scale:
    """Scale of degrees as written, the first ``"1"``. A list that reaches the octave ends with its period.

    Raises
    ------
    QuantityError
        when a degree can't be read, or they do not rise from the tonic.
    """
    if len(texts) > MOST_DEGREES + 1:
        raise QuantityError(
            f"{len(texts)} degrees", "that is more than anybody tells apart", f"give at most {MOST_DEGREES}"
        )
    return Scale(name, *closed(tuple(parse_degree(text) for text in texts)))


def closed(cents: tuple[float, ...]) -> tuple[tuple[float, ...], float]:
    """Degrees of a list and where they repeat: at its last entry where that reaches the octave."""
    if len(cents) > 1 and cents[-1] >= OCTAVE:
        return cents[:-1], cents[-1]
    return cents, OCTAVE


def row_targets(design: Design, scale: Scale) -> tuple[float, ...]:
    """Frequency (Hz) wanted of each row of ``design`` in ``scale``."""
    tuned = Tuned(scale, parse_note(design.tuning.tonic), design.tuning.reference)
    return tuple(tuned.target(row.note, row.cents) for row in design.rows)


def retuned_rows(
    design: Design, old: Scale, new: Scale, tuning: Tuning
) -> tuple[tuple[Row, ...], tuple[int, ...]]:
    """Rows of ``design`` rewritten degree by degree for another tonic or scale, and rows with no counterpart.

    A note of the old scale becomes the same degree of the new one, a note between degrees keeps its distance
    below the degree above it. Rows without counterpart (a degree the new scale has not, a place it has taken,
    a frequency in Hz) stay as they are and their indices are returned. Intervals above the tonic follow by
    themselves. Fingering, cents and all else are kept.

    Parameters
    ----------
    design : Design, tuned to ``old`` on ``design.tuning.tonic``
    old, new : Scale
    tuning : Tuning, the new tonic and reference
    """
    was = Tuned(old, parse_note(design.tuning.tonic), design.tuning.reference)
    now = Tuned(new, parse_note(tuning.tonic), tuning.reference)
    if was.tonic == now.tonic and old == new:
        return design.rows, ()
    rows: list[Row] = []
    flagged: list[int] = []
    for index, row in enumerate(design.rows):
        wanted = parse_target(row.note)
        place = _counterpart(wanted, was, now) if isinstance(wanted, Note) else None
        if place is None:
            rows.append(row)
            if not isinstance(wanted, Interval):
                flagged.append(index)
        elif now.tonic.midi + place == parse_note(row.note).midi:
            rows.append(row)
        else:
            rows.append(replace(row, note=now.written(place).name))
    return tuple(rows), tuple(flagged)


def _counterpart(note: Note, was: Tuned, now: Tuned) -> float | None:
    """Place in the new tuning of a note in the old one, or None."""
    old, new = was.scale, now.scale
    if not old.places or not new.places:
        return None
    periods, rest = divmod(was.place(note), old.span)
    above = bisect(old.places, rest)
    if rest in old.places:
        return new.places[above - 1] + periods * new.span if above <= len(new.places) else None
    if above == len(old.places):
        low, high, distance = new.places[-1], float(new.span), old.span - rest
    elif above < len(new.places):
        low, high, distance = new.places[above - 1], new.places[above], old.places[above] - rest
    else:
        return None
    return high - distance + periods * new.span if low < high - distance else None


def _texts(name: object, source: object, words: object, also: object, kind: object) -> str:
    if not isinstance(name, str) or not name.strip():
        return "is no name"
    if not all(isinstance(text, str) for text in (source, words, kind)):
        return "has a source, words or a kind that are no text"
    if not isinstance(also, tuple) or not all(isinstance(other, str) and other.strip() for other in also):
        return "has other names that are no tuple of texts"
    return ""


def _rising(kind: str, values: object, limit_kind: str, limit: object) -> str:
    """What is wrong with numbers that should rise from 0 and stay below a limit; '' if nothing."""
    if not _number(limit):
        return f"has a {limit_kind} that is no number"
    if not isinstance(values, tuple) or not values or not all(map(_number, values)):
        return f"has {kind} that are no tuple of numbers"
    if values[0] != 0:
        return f"has {kind} that begin at {values[0]:g}, not at 0"
    for number, (low, high) in enumerate(pairwise((*values, limit)), start=2):
        if number > len(values) and high <= low:
            return f"has {kind} up to {low:g}, which is not below the {limit_kind}, {high:g}"
        if high <= low:
            return f"has {kind} that do not rise at number {number} ({low:g}, then {high:g})"
    return ""


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _steps_fit(steps: tuple[float, ...], degrees: int) -> str:
    if len(steps) != degrees:
        return f"has {degrees} degrees and {len(steps)} steps"
    if any(2 * step != round(2 * step) for step in steps):
        return "has a step that is not a multiple of half a semitone"
    return ""


def _nearest_places(cents: tuple[float, ...], span: int) -> tuple[float, ...]:
    """Nearest semitone, or the quarter tone where a degree is over 40 cents from every semitone.

    Where a place is taken, the next free one above; where that runs into the period, back down from it.
    """
    if len(cents) > 2 * span:
        return ()
    halves: list[int] = []
    for value in cents:
        semitone = math.floor(value / 100.0 + 0.5)
        nearest = 2 * semitone if abs(value - 100.0 * semitone) <= 40.0 else 2 * math.floor(value / 100.0) + 1
        halves.append(max(nearest, halves[-1] + 1) if halves else 0)
    ceiling = 2 * span
    for index in reversed(range(len(halves))):
        halves[index] = min(halves[index], ceiling - 1)
        ceiling = halves[index]
    return tuple(half / 2 for half in halves)


EQUAL = Scale(
    "chromatic",
    tuple(100.0 * step for step in range(12)),
    source="twelve equal semitones of 100 cents, by definition",
    words="All twelve semitones, as a piano has them.",
    also=("equal temperament",),
    kind="temperaments",
)
"""Equal temperament: what a written note means where no scale is chosen."""
