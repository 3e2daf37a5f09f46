"""What a drawing is made of: lines, ellipses and words at places on paper, in millimetres.

Apart because body, holes and dimensions are all drawn with the same few marks, which say nothing of flutes.
x runs to the right and y down from the drawing's upper left corner. A pen is a name; how thick it draws is
known to the sheet (``sheets/sheet.typ``). How wide words are at
most is known here, so that they can be kept apart.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any, Literal

from scaledesign.values import dataclass

Pen = Literal["outline", "thin", "hair", "hidden", "cut", ""]
"""Edges that are seen; lesser ones; measuring lines; edges behind others; where to saw; none."""
Fill = Literal["", "wood", "solid", "paper", "ink"]
Point = tuple[float, float]

POINT = 25.4 / 72
"""mm."""
CAPITAL = 0.66
"""Height of a capital or a figure over the size of the type."""
_FRACTION = re.compile(r"\d+/\d+")
_WIDE = dict.fromkeys(" .,:", 0.26) | dict.fromkeys("/()", 0.34) | dict.fromkeys("+−±×–", 0.6)
"""Advances over the size of the type, as a table in the font has them, rounded up."""


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points, or the outline of an area."""

    points: tuple[Point, ...]
    pen: Pen = "outline"
    closed: bool = False
    fill: Fill = ""


@dataclass(frozen=True, slots=True)
class Oval:
    """An ellipse about its middle; ``rx`` and ``ry`` are half its width and height."""

    x: float
    y: float
    rx: float
    ry: float
    pen: Pen = "outline"
    fill: Fill = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A line of words about its middle (or from its left, or to its right end)."""

    x: float
    y: float
    text: str
    size: float
    """Points."""
    style: Literal["plain", "bold", "italic"] = "plain"
    align: Literal["left", "centre", "right"] = "centre"
    turned: bool = False
    """Read from the right, running upward."""


Mark = Path | Oval | Words


def as_data(marks: Iterable[Mark]) -> list[dict[str, Any]]:
    """The marks as the sheet's source takes them."""
    return [{"kind": type(mark).__name__.lower(), **asdict(mark)} for mark in marks]


def line(x1: float, y1: float, x2: float, y2: float, pen: Pen = "hair") -> Path:
    """A straight line."""
    return Path(((x1, y1), (x2, y2)), pen)


def box(x1: float, y1: float, x2: float, y2: float, pen: Pen = "outline", fill: Fill = "") -> Path:
    """A rectangle from corner to corner."""
    return Path(((x1, y1), (x2, y1), (x2, y2), (x1, y2)), pen, closed=True, fill=fill)


def arrow(x: float, y: float, toward: float) -> Path:
    """An arrow head whose point is at ``x``, coming from the side of ``toward`` (-1 left, 1 right)."""
    end = x + 1.5 * toward
    return Path(((x, y), (end, y - 0.35), (end, y + 0.35)), "", closed=True, fill="ink")


def width_of(text: str, size: float) -> float:
    """Width (mm) that words of ``size`` points take at most; a little generous. Fractions are set small."""
    fractions = _FRACTION.findall(text)
    plain = sum(_advance(sign) for sign in _FRACTION.sub("", text))
    return (plain + sum(0.4 * (len(each) - 1) + 0.2 for each in fractions)) * size * POINT


def _advance(sign: str) -> float:
    if sign in _WIDE:
        return _WIDE[sign]
    if sign.isdigit() or sign in "♯♭":
        return 0.47
    return 0.9 if sign in "mwMW" else 0.72 if sign.isupper() else 0.53


def spread(places: Sequence[float], widths: Sequence[float], low: float, high: float) -> list[float]:
    """Middles for labels that would stand at ``places`` (rising) but must not overlap.

    They are moved as little as can be: labels that touch stand about the mean of their places; all stay
    between ``low`` and ``high`` where they fit.
    """
    clusters: list[tuple[list[int], float]] = []  # labels, and where their left end stands
    for i, place in enumerate(places):
        clusters.append(([i], place - widths[i] / 2))
        while True:
            members, left = clusters[-1]
            total = sum(widths[m] for m in members)
            left = max(low, min(left, high - total))
            clusters[-1] = (members, left)
            if len(clusters) < 2:
                break
            before, start = clusters[-2]
            if start + sum(widths[m] for m in before) <= left + 1e-9:
                break
            clusters[-2:] = [_joined(before + members, places, widths)]
    middles = [0.0] * len(places)
    for members, left in clusters:
        for m in members:
            middles[m] = left + widths[m] / 2
            left += widths[m]
    return middles


def _joined(members: list[int], places: Sequence[float], widths: Sequence[float]) -> tuple[list[int], float]:
    """A cluster whose labels stand side by side, as near to their places as they can."""
    offset, wanted = 0.0, 0.0
    for m in members:
        wanted += places[m] - (offset + widths[m] / 2)
        offset += widths[m]
    return members, wanted / len(members)
