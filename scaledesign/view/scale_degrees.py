"""The scale of a design as the screen needs it: looked up once, its degrees, and which rows play which.

Apart from the table of degrees (``scale_pane.py``), for the sheet knows them too. No cell and no edit here.
"""

from __future__ import annotations

from functools import lru_cache
from math import floor

from scaledesign.errors import ScaledesignError, UnknownNameError
from scaledesign.model.degrees import Degree, degrees
from scaledesign.model.document import Design, Row, Tuning
from scaledesign.model.pitch import (
    Interval,
    Names,
    Note,
    cents_between,
    nearest_note,
    note_frequency,
    parse_note,
    parse_target,
)
from scaledesign.model.scale import Scale, Tuned
from scaledesign.workshop import ask

SAME = 0.5
"""cents: an interval this near to a degree is that degree."""

NAMED = 1.0
"""Cents within which a note is the one its name means."""


@lru_cache(maxsize=64)
def scale_of(tuning: Tuning) -> Scale | None:
    """The scale that a tuning means; None where nobody offers it."""
    try:
        return ask.offers().scale_of(tuning)
    except UnknownNameError:
        return None


def look_again() -> None:
    """Forget what there was to choose from: there is another scale."""
    ask.offers.cache_clear()
    scale_of.cache_clear()


def degrees_of(design: Design) -> tuple[Degree, ...]:
    """Every degree of a design's tuning, and last where they repeat; none where nobody offers its scale."""
    scale = scale_of(design.tuning)
    return () if scale is None else degrees(design, scale)


def rows_by_degree(design: Design) -> dict[int, tuple[int, ...]]:
    """Rows (0-based) that play each degree (from 0; the last is the period), the most telling first.

    A row of the scale comes before others, the lower register before the higher.
    """
    scale = scale_of(design.tuning)
    if scale is None:
        return {}
    tuned = Tuned(scale, parse_note(design.tuning.tonic), design.tuning.reference)
    found: dict[int, list[int]] = {}
    for index, row in enumerate(design.rows):
        degree = _degree_of(row, tuned)
        if degree is not None:
            found.setdefault(degree, []).append(index)

    def telling(index: int) -> tuple[bool, int, int]:
        row = design.rows[index]
        return row.role != "scale", row.register, index

    return {degree: tuple(sorted(rows, key=telling)) for degree, rows in found.items()}


def _degree_of(row: Row, tuned: Tuned) -> int | None:
    """Which degree a row is written as; the tonic's octaves are the period."""
    try:
        wanted = parse_target(row.note)
    except ScaledesignError:
        return None
    scale = tuned.scale
    if isinstance(wanted, Note):
        found = scale.degree_at(tuned.place(wanted)) if scale.places else None
    elif isinstance(wanted, Interval):
        periods, rest = divmod(wanted.cents + SAME, scale.period)
        near = (i for i, cents in enumerate(scale.cents) if abs(cents - rest + SAME) < SAME)
        degree = next(near, None)
        found = None if degree is None else (degree, int(periods))
    else:
        return None
    if found is None:
        return None
    degree, periods_up = found
    return len(scale.cents) if degree == 0 and periods_up > 0 else degree


def note_text(tuned: Tuned, hertz: float) -> str:
    """A note of a scale as a row has it: by its name, else in cents above the tonic."""
    scale = tuned.scale
    above = cents_between(note_frequency(tuned.tonic, tuned.reference), hertz)
    periods = floor((above + NAMED) / scale.period)
    rest = above - periods * scale.period
    index = min(range(len(scale.cents)), key=lambda i: abs(scale.cents[i] - rest))
    if scale.places:
        name = tuned.written(scale.place_of(index + periods * len(scale.cents))).name
        if abs(cents_between(tuned.target(name), hertz)) <= NAMED:
            return name
    return f"{hertz:.2f} Hz" if above < 0 else f"{above:.2f} c"


def spelled(tuned: Tuned, hertz: float, names: Names) -> str:
    """What a list calls a note of a scale: as the scale writes it, else the nearest of ``names``."""
    text = note_text(tuned, hertz)
    return text if text[:1].isalpha() else nearest_note(hertz, tuned.reference, names)[0].name
