"""The looks of a chart: what each is for, and its measures.

Apart from the setting of them (``cards.py``, ``along.py``, ``rows.py``) so that lists, help and arguments
can name them without setting anything. All are black on white.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from scaledesign.paper.chart.drawn_holes import Pen
from scaledesign.paper.chart.style_words import STYLE_WORDS

Plan = Literal["cards", "along", "rows"]
FINE = Pen()


@dataclass(frozen=True, slots=True)
class Style:
    """One look."""

    words: str
    """A sentence: what it is, and for whom."""
    plan: Plan
    counts: tuple[int, ...]
    """Notes a line ("cards", "along") or lines a page ("rows") to try, the largest print first."""
    large_counts: tuple[int, ...]
    """The same for large print."""
    unit: float
    """mm that a note takes where every other measure is as it says."""
    name: float
    """pt: names of notes."""
    tube: float
    """mm: width of a tube as drawn."""
    pen: Pen = FINE
    boxed: bool = False
    """Whether a frame stands about each note."""


STYLES: Mapping[str, Style] = {
    "plain": Style(
        STYLE_WORDS["plain"],
        "cards", (6, 7, 8, 9, 10), (4, 5), 22.0, 15.0, 6.4,
    ),
    "along": Style(
        STYLE_WORDS["along"],
        "along", (10, 12, 14, 16, 18), (7, 8), 12.5, 12.0, 6.0,
    ),
    "rows": Style(
        STYLE_WORDS["rows"],
        "rows", (9, 11, 13, 15, 17, 19), (8, 9, 10), 13.0, 20.0, 8.0,
    ),
    "bold": Style(
        STYLE_WORDS["bold"],
        "cards", (5, 6, 7), (3, 4), 26.0, 26.0, 9.0, Pen(0.55, 0.7, 0.45), True,
    ),
}  # fmt: skip
"""By the name that choices and arguments use."""
