"""The measures of each look of a chart.

Apart from the setting of them (``cards.py``, ``along.py``, ``rows.py``), which is the same for several looks,
and from their words (``style_words.py``). All are black on white.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from scaledesign.paper.chart.drawn_holes import FINE, Pen
from scaledesign.values import dataclass

Plan = Literal["cards", "along", "rows"]
BOLD = Pen(0.55, 0.7, 0.45)


@dataclass(frozen=True, slots=True)
class Style:
    """One look. Measures are mm where everything is as large as it says (``flow.Size.unit`` 1)."""

    plan: Plan
    counts: tuple[int, ...]
    """Notes on a line that are tried."""
    units: tuple[float, float]
    """How much smaller and how much larger than it says everything may be."""
    large: tuple[float, float]
    """The same for large print."""
    column: float
    """mm that a note takes at least: its column's width, in "rows" its height."""
    name: float
    """pt: names of notes."""
    tube: float
    """mm: width of a tube as drawn."""
    spans: tuple[float, float]
    """mm from the first hole to the last, at least and at most, where flutes stand upright."""
    pen: Pen = FINE
    boxed: bool = False
    """Whether a frame stands about each note."""


STYLES: Mapping[str, Style] = {
    "plain": Style(
        "cards", (3, 4, 5, 6, 7, 8, 9, 10, 11, 12), (0.72, 1.9), (1.35, 2.2), 19.0, 15.0, 6.4, (30.0, 62.0),
    ),
    "along": Style(
        "along", (5, 6, 7, 8, 9, 10, 12, 14, 16, 18), (0.75, 1.6), (1.4, 2.0), 12.0, 12.5, 6.0, (26.0, 58.0),
    ),
    "rows": Style(
        "rows", (1,), (0.78, 1.9), (1.45, 2.2), 13.0, 20.0, 8.0, (0.0, 0.0),
    ),
    "bold": Style(
        "cards", (3, 4, 5, 6, 7), (0.8, 1.3), (1.25, 1.7), 26.0, 25.0, 9.0, (46.0, 70.0), BOLD, True,
    ),
}  # fmt: skip
"""By the name that choices and arguments use."""
