"""What is put on paper: strokes and words, in millimetres, and how much room they take.

Apart from what they mean (``marks.py``) and from who sets them (``page.py``, ``drawing.py``). u to the
right, v downwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import ceil, hypot
from typing import Literal

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass

Layer = Literal["holes", "centres", "lines", "text"]
Look = Literal[
    "hole", "drilled", "mouth", "cross", "edge", "fold", "front", "back", "ring", "band", "hatch",
    "joint", "target", "end", "begin",
]  # fmt: skip
LAYERS: dict[Look, Layer] = {
    "hole": "holes", "drilled": "holes", "mouth": "lines", "cross": "centres", "edge": "lines",
    "fold": "lines", "front": "lines", "back": "lines", "ring": "lines", "band": "lines",
    "hatch": "lines", "joint": "lines", "target": "lines", "end": "lines",
    "begin": "lines",
}  # fmt: skip
Face = Literal["number", "name", "figure", "note"]
PT = 25.4 / 72
"""mm of a printer's point."""
_WIDE: dict[Face, float] = {"number": 0.56, "name": 0.52, "figure": 0.6025, "note": 0.47}
"""Mean advance of a letter, em: exact for figures, all of one width; of the others never less than it is."""
_TALL: dict[Face, float] = {"number": 0.65, "name": 0.65, "figure": 0.73, "note": 0.65}
"""Height of a capital, em, which is the height a word is set by."""
_BELOW = 0.22
"""em that a letter may reach below its line."""
Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Least u and v, greatest u and v."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points."""

    look: Look
    points: tuple[Point, ...]
    closed: bool = False
    opening: int | None = None
    """Place in ``Strip.openings`` of what it outlines or crosses."""

    @staticmethod
    def of(look: Look, u: Floats, v: Floats, *, closed: bool = False, opening: int | None = None) -> Stroke:
        """A stroke through (N,) u and v in metres."""
        points = tuple(zip((u * 1e3).tolist(), (v * 1e3).tolist(), strict=True))
        return Stroke(look, points, closed, opening)

    def inside(self, start: float, end: float) -> bool:
        """Whether all of it lies between u = ``start`` and ``end``."""
        return all(start <= u <= end for u, _ in self.points)

    def within(self, start: float, end: float) -> Iterator[Stroke]:
        """What lies between u = ``start`` and ``end``."""
        if self.inside(start, end):
            yield self
            return
        run: list[Point] = []
        points = (*self.points, self.points[0]) if self.closed else self.points
        for (u1, v1), (u2, v2) in pairwise(points):
            low, high = (start, end) if u2 >= u1 else (end, start)
            if (max(u1, u2) < start) or (min(u1, u2) > end):
                continue
            span = u2 - u1
            first = 0.0 if not span else min(1.0, max(0.0, (low - u1) / span))
            last = 1.0 if not span else min(1.0, max(0.0, (high - u1) / span))
            a = (u1 + first * span, v1 + first * (v2 - v1))
            b = (u1 + last * span, v1 + last * (v2 - v1))
            if run and run[-1] != a:
                yield Stroke(self.look, tuple(run))
                run = []
            run = [*(run or [a]), b]
        if len(run) > 1:
            yield Stroke(self.look, tuple(run))

    def boxes(self) -> Iterator[Box]:
        """Boxes that hold it, small ones where it runs aslant."""
        points = (*self.points, self.points[0]) if self.closed else self.points
        for (u1, v1), (u2, v2) in pairwise(points):
            parts = max(1, ceil(hypot(u2 - u1, v2 - v1) / 4.0))
            flat = abs(u2 - u1) < 1e-6 or abs(v2 - v1) < 1e-6
            for k in range(1 if flat else parts):
                a, b = (0.0, 1.0) if flat else (k / parts, (k + 1) / parts)
                us, vs = (u1 + a * (u2 - u1), u1 + b * (u2 - u1)), (v1 + a * (v2 - v1), v1 + b * (v2 - v1))
                yield min(us), min(vs), max(us), max(vs)


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text: the middle of its capitals at (u, v); turned, it reads upwards."""

    face: Face
    text: str
    u: float
    v: float
    size: float
    """pt."""
    turned: bool = False

    @property
    def box(self) -> Box:
        """Room it takes."""
        width, height = width_of(self.face, self.text, self.size), _TALL[self.face] * self.size * PT
        below = _BELOW * self.size * PT
        if self.turned:
            return (
                self.u - height / 2, self.v - width / 2, self.u + height / 2 + below, self.v + width / 2,
            )  # fmt: skip
        return self.u - width / 2, self.v - height / 2, self.u + width / 2, self.v + height / 2 + below


def width_of(face: Face, text: str, size: float) -> float:
    """mm that a text of ``size`` pt takes, or a little less."""
    return len(text) * _WIDE[face] * size * PT


def height_of(face: Face, size: float) -> float:
    """mm of its capitals."""
    return _TALL[face] * size * PT


class Room:
    """What is taken on the strip, to find free places for words."""

    def __init__(self, upper: Stroke, lower: Stroke) -> None:
        """``upper`` and ``lower`` are the strip's edges."""
        self.taken = np.zeros((0, 4))
        self.upper, self.lower = (np.array(edge.points) for edge in (upper, lower))
        self.take(box for edge in (upper, lower) for box in edge.boxes())

    def take(self, boxes: Iterable[Box]) -> None:
        """Let nothing else stand there."""
        self.taken = np.array([*self.taken, *boxes]).reshape(-1, 4)

    def free(self, boxes: Sequence[Box], gap: float = 0.7) -> bool:
        """Whether all of ``boxes`` lie on the strip, ``gap`` mm from all that is taken."""
        taken = self.taken
        for u0, v0, u1, v1 in boxes:
            ends = np.array([u0, u1])
            above = np.interp(ends, self.upper[:, 0], self.upper[:, 1]).max()
            below = np.interp(ends, self.lower[:, 0], self.lower[:, 1]).min()
            inside = self.upper[:, 0].min() < u0 and u1 < self.upper[:, 0].max()
            if not inside or v0 < above or v1 > below:
                return False
            hit = (
                (taken[:, 0] < u1 + gap) & (taken[:, 2] > u0 - gap)
                & (taken[:, 1] < v1 + gap) & (taken[:, 3] > v0 - gap)
            )  # fmt: skip
            if hit.any():
                return False
        return True
