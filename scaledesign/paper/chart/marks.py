"""Marks on a page: text, ellipses, outlines, pictures, each at its place in mm from the page's top left.

Apart from what they show: styles put marks, ``sheets/chart.typ`` sets them, and a test reads both. A style
lays a piece out about its own corner and moves it where it goes (``moved``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import hypot
from typing import Any, Literal

from scaledesign.values import dataclass

INK, GREY, PALE, WHITE = 0, 90, 190, 255
"""Tones, from black to paper."""
POINT = 25.4 / 72
"""mm."""
BROAD = 0.52
"""Mean width of a letter, of its size: a generous estimate for reserving room (measured on English text in
the page's own font: 0.45)."""

HEAD = 1.9
"""Length of an arrow's head, mm, where there is room."""

Align = Literal["left", "center", "right"]
Fill = Literal["none", "all", "half"]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text; ``y`` is its base line. Where it is broader than ``room`` it is set smaller."""

    x: float
    y: float
    text: str
    size: float
    """pt."""
    align: Align = "left"
    room: float = 0.0
    """mm; 0: as much as it takes."""
    bold: bool = False
    italic: bool = False
    tone: int = INK
    small: str = ""
    """What follows smaller and lower: the octave."""
    after: str = ""
    """What follows smaller on the base line: cents."""
    share: float = 0.55
    """Size of what follows, of the text's own."""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Text that is broken into lines; ``y`` is its top."""

    x: float
    y: float
    text: str
    size: float
    width: float
    align: Align = "left"
    tone: int = INK


@dataclass(frozen=True, slots=True)
class Ellipse:
    """An ellipse about ``x``, ``y``: a hole. ``half`` fills the half to the left."""

    x: float
    y: float
    rx: float
    ry: float
    fill: Fill = "none"
    line: float = 0.3
    dashed: bool = False
    tone: int = INK


@dataclass(frozen=True, slots=True)
class Outline:
    """Straight lines from point to point, counted from ``x``, ``y``; filled where ``fill`` names a tone."""

    x: float
    y: float
    points: tuple[Point, ...]
    line: float = 0.3
    tone: int = INK
    fill: int | None = None
    closed: bool = False
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture that keeps its shape inside a box whose top left is ``x``, ``y``."""

    x: float
    y: float
    width: float
    height: float
    file: str
    align: Align = "center"


Mark = Text | Paragraph | Ellipse | Outline | Picture


def moved(marks: Iterable[Mark], right: float, down: float) -> tuple[Mark, ...]:
    """The same marks elsewhere."""
    return tuple(replace(mark, x=mark.x + right, y=mark.y + down) for mark in marks)


def level(x: float, y: float, width: float, line: float = 0.15, tone: int = INK) -> Outline:
    """A level line."""
    return Outline(x, y, ((0.0, 0.0), (width, 0.0)), line, tone)


def joint(x1: float, y1: float, x2: float, y2: float) -> tuple[Outline, ...]:
    """A double arrow between two flutes: one finger opens and closes by turns what lies at its ends."""
    long = hypot(x2 - x1, y2 - y1)
    tip = min(HEAD, 0.42 * long)
    x, y = ((x2 - x1) * tip / long, (y2 - y1) * tip / long) if long else (tip, 0.0)
    line = Outline(x1 + x, y1 + y, ((0.0, 0.0), (x2 - x1 - 2 * x, y2 - y1 - 2 * y)), 0.3)
    return (line, *(_head(x1, y1, x, y), _head(x2, y2, -x, -y)))


def _head(x: float, y: float, back: float, down: float) -> Outline:
    """The head of an arrow, its tip at ``x``, ``y``."""
    corners = ((0.0, 0.0), (back - 0.45 * down, down + 0.45 * back), (back + 0.45 * down, down - 0.45 * back))
    return Outline(x, y, corners, 0.0, fill=INK, closed=True)


def lines_of(text: str, size: float, width: float) -> int:
    """Lines that a paragraph may take, a generous estimate."""
    return max(1, -int(-len(text) * size * POINT * BROAD // width))


def as_json(mark: Mark) -> Mapping[str, Any]:
    """A mark as the sheet reads it."""
    fields = {name: getattr(mark, name) for name in mark.__dataclass_fields__}
    rounded = {name: round(value, 4) if isinstance(value, float) else value for name, value in fields.items()}
    if isinstance(mark, Outline):
        rounded["points"] = [[round(x, 4), round(y, 4)] for x, y in mark.points]
    return {"kind": type(mark).__name__.lower(), **rounded}
