"""The flute as a chart draws it: its tube, its holes where and as large as they are, what each finger does.

Apart from the styles because all of them draw the same flute. The stretch that has holes keeps its
proportions: places to one scale, widths to another, larger one, as far as the holes leave room for each
other. Mouth and foot are drawn closer than they are. A hole on the far side stands beside the tube, inside a
dashed ring; one that is turned to a side stands off the middle. A band of two lines parts the hands.

A drawing is worked out along and across the tube and then stood upright, mouth at the top, or laid down,
mouth to the left. Lengths are mm on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import radians, sin
from typing import TYPE_CHECKING

from scaledesign.model.document import HoleState, Mouth
from scaledesign.paper.chart.marks import GREY, HEAD, INK, PALE, WHITE, Ellipse, Fill, Mark, Outline, Point
from scaledesign.values import dataclass

if TYPE_CHECKING:  # so that the names of the looks cost nothing (``styles.py``)
    from scaledesign.paper.chart.content import ChartHole

FILLS: dict[HoleState, Fill] = {"X": "all", "O": "none", "H": "half"}
BROADEST = 0.78
"""Widest hole, of the tube's width as drawn."""
BETWEEN = 0.7
"""Least white between the edges of two holes, mm."""
RING = 0.75
"""From the edge of a hole on the far side to its dashed ring, mm."""
BESIDE = 0.9
"""From the tube to that ring, mm."""
BAND = 0.5
"""Half the distance of the two lines that part the hands, mm."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A hole as drawn."""

    along: float
    """From the drawing's mouth end."""
    across: float
    """From the middle of the tube, to the right of who looks at it with the mouth up."""
    half_along: float
    half_across: float
    behind: bool


@dataclass(frozen=True, slots=True)
class Pen:
    """How thick the lines are, mm."""

    tube: float = 0.25
    hole: float = 0.3
    ring: float = 0.25
    tone: int = INK
    """Of the tube."""


FINE = Pen()


@dataclass(frozen=True, slots=True)
class DrawnFlute:
    """Where everything of one flute is in a drawing of it."""

    mouth: Mouth
    width: float
    """Of the tube."""
    length: float
    """Of the whole drawing."""
    edge: float
    """From the mouth end to the sounding edge as drawn."""
    holes: tuple[Drawn, ...]
    band: float | None
    """Where the hands part; None where only one hand has holes."""

    @property
    def beside(self) -> float:
        """How far holes on the far side reach out from the tube's edge; 0 without any."""
        return max(
            (2 * (hole.half_across + RING) + BESIDE for hole in self.holes if hole.behind), default=0.0
        )

    def reach(self, along: float) -> float:
        """How far it reaches from the middle to the side of its thumb holes, where an arrow comes to it."""
        rings = (
            hole.half_across + RING - hole.across
            for hole in self.holes
            if hole.behind and abs(hole.along - along) < hole.half_along + RING + HEAD / 2
        )
        return max([self.width / 2, *rings])


def drawn_flute(
    holes: Sequence[ChartHole],
    mouth: Mouth,
    *,
    width: float,
    span: float,
    head: float,
    tail: float,
    edge: float | None = None,
) -> DrawnFlute:
    """Lay out a flute.

    Parameters
    ----------
    holes : those that fingers cover
    mouth : kind of mouth end, for its shape
    width : mm of the tube
    span : mm from the first hole's centre to the last one's
    head, tail : mm from the mouth end to the first hole, from the last hole to the foot
    edge : mm from the mouth end to the sounding edge; None: where it looks well
    """
    first = min((hole.at for hole in holes), default=0.0)
    last = max((hole.at for hole in holes), default=0.0)
    scale = span / (last - first) if last > first else 0.0
    alongs = [head + (hole.at - first) * scale for hole in holes]
    size = _size(holes, alongs, width)
    drawn = []
    for hole, along in zip(holes, alongs, strict=True):
        half_along, half_across = hole.diameter * size / 2, hole.across * size / 2
        if hole.behind:
            across = -(width / 2 + BESIDE + RING + half_across)
        else:
            reach = max(width / 2 - half_across - 0.3, 0.0)
            across = -reach * sin(radians(hole.side))
        drawn.append(Drawn(along, across, half_along, half_across, hole.behind))
    place = head * 0.42 if edge is None else edge
    return DrawnFlute(mouth, width, head + span + tail, place, tuple(drawn), _band(holes, drawn))


def _size(holes: Sequence[ChartHole], alongs: Sequence[float], width: float) -> float:
    """mm on paper for a metre of a hole's width: as large as tube and neighbours let it be."""
    widest = max((max(hole.diameter, hole.across) for hole in holes), default=1.0)
    size = BROADEST * width / widest
    for i, (one, a) in enumerate(zip(holes, alongs, strict=True)):
        for other, b in zip(holes[:i], alongs[:i], strict=True):
            if one.behind == other.behind and abs(one.side - other.side) % 360.0 < 45.0 and a != b:
                ring = 2 * RING if one.behind else 0.0
                size = min(size, 2 * (abs(a - b) - BETWEEN - ring) / (one.diameter + other.diameter))
    return max(size, 0.15 * width / widest)


def _band(holes: Sequence[ChartHole], drawn: Sequence[Drawn]) -> float | None:
    upper = [
        d.along + d.half_along for h, d in zip(holes, drawn, strict=True) if h.hand == "L" and not h.behind
    ]
    lower = [
        d.along - d.half_along for h, d in zip(holes, drawn, strict=True) if h.hand == "R" and not h.behind
    ]
    if not upper or not lower or max(upper) >= min(lower):
        return None
    return (max(upper) + min(lower)) / 2


def tube_marks(flute: DrawnFlute, pen: Pen = FINE, *, upright: bool = True) -> tuple[Mark, ...]:
    """The tube with its mouth end, its foot and the band between the hands."""
    half, end, edge = flute.width / 2, flute.length, flute.edge
    turn = _turn(upright)
    body: list[Point] = [(0.0, -half), (end, -half), (end, half), (0.0, half)]
    extra: list[Mark] = []
    if flute.mouth == "duct":
        beak = edge * 0.55
        body = [(0.0, -half * 0.5), (beak, -half), (end, -half), (end, half), (beak, half), (0.0, half * 0.5)]
        sill = [
            (edge * 0.8, -half * 0.5),
            (edge * 0.8, half * 0.5),
            (edge * 1.25, half * 0.3),
            (edge * 1.25, -half * 0.3),
        ]
        extra.append(Outline(0, 0, turn(sill), pen.tube * 0.8, GREY, PALE, closed=True))
    elif flute.mouth == "notch":
        deep, wide = flute.width * 0.3, flute.width * 0.22
        body = [(0.0, -half), (end, -half), (end, half), (0.0, half), (0.0, wide), (deep * 0.8, wide * 0.7)]
        body += [(deep, 0.0), (deep * 0.8, -wide * 0.7), (0.0, -wide)]
    elif flute.mouth == "transverse":
        long, wide = flute.width * 0.2, flute.width * 0.26
        centre = turn([(edge, 0.0)])[0]
        rx, ry = (wide, long) if upright else (long, wide)
        extra.append(Ellipse(*centre, rx, ry, "none", pen.tube * 0.8, tone=GREY))
        cap = edge - long - 1.1
        extra.append(Outline(0, 0, turn([(cap, -half), (cap, half)]), pen.tube, pen.tone))
    elif flute.mouth == "rim":
        body = [(0.0, -half * 0.92), (0.9, -half), (end, -half), (end, half), (0.9, half), (0.0, half * 0.92)]
    marks: list[Mark] = [Outline(0, 0, turn(body), pen.tube, pen.tone, WHITE, closed=True), *extra]
    if flute.band is not None:
        rings = (turn([(place, -half), (place, half)]) for place in (flute.band - BAND, flute.band + BAND))
        marks += [Outline(0, 0, ring, pen.tube * 0.7, pen.tone) for ring in rings]
    return tuple(marks)


def hole_marks(
    flute: DrawnFlute, states: Sequence[HoleState], pen: Pen = FINE, *, upright: bool = True
) -> tuple[Mark, ...]:
    """The holes as the fingers leave them: filled closed, empty open, half filled partly open."""
    turn = _turn(upright)
    marks: list[Mark] = []
    for hole, state in zip(flute.holes, states, strict=True):
        x, y = turn([(hole.along, hole.across)])[0]
        rx, ry = (hole.half_across, hole.half_along) if upright else (hole.half_along, hole.half_across)
        if hole.behind:
            marks.append(Ellipse(x, y, rx + RING, ry + RING, "none", pen.ring, dashed=True))
        inner = pen.hole / 2  # the stroke stays inside the hole's width
        marks.append(Ellipse(x, y, rx - inner, ry - inner, FILLS[state], pen.hole))
    return tuple(marks)


class _turn:
    """Places along and across the tube as points on paper: upright, or with the mouth to the left."""

    def __init__(self, upright: bool) -> None:
        self.upright = upright

    def __call__(self, places: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((across, along) if self.upright else (along, -across) for along, across in places)
