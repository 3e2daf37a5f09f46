"""Drawings of fingers for the web page: the flute from above, and one fingering upon it, as SVG.

Apart from the page because it is geometry: holes stand as far apart and are as wide, one against another, as
they are on the flute; all of them are drawn larger than true, so that an arm's length does not hide them.
Colours are the page's (``currentColor``). The part that all fingerings share is drawn once, as a symbol.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from math import acos, hypot, pi, radians, sin, sqrt

from scaledesign.model.document import HoleState
from scaledesign.paper.chart.content import Chart, ChartHole, ChartTrill, Hand, Way
from scaledesign.values import dataclass

TALL = 156.0
"""Height that the finger holes take from the first centre to the last, unless they lie too close."""
TALLEST = 240.0
APART = 15.0
"""Least distance of two centres in a row, while ``TALLEST`` lets them."""
BETWEEN = 2.6
"""Least gap from rim to rim."""
WIDEST = 9.6
"""Largest radius of a hole."""
NARROWEST = 3.0
"""Smallest radius, if need be wider than true: a hole that nobody sees is no help."""
RING = 2.9
"""From the rim of a hole on the far side to its dashed ring."""
END = 18.0
"""Tube beyond the outer holes."""
HEAD = 14.0
"""Room above the tube for the mark that says to blow harder."""
TURNED = 3.0
"""How far a hole at right angles is off the middle at least, however wide it is."""
MOVES = 0.45
"""Size of the dot in a hole that moves, the hole's being 1."""
SHARES = (0.28, 0.72)
"""Least and most of a partly open hole that is drawn open; beyond, the eye takes it for closed or open."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A hole as it is drawn: its centre, half its height and half its width."""

    x: float
    y: float
    tall: float
    wide: float


_KEY = Spot(9.0, 9.0, 7.0, 7.0)


@dataclass(frozen=True, slots=True)
class Plan:
    """Where all is drawn; lengths in pixels at the page's usual size."""

    width: float
    height: float
    left: float
    """Left side of the tube."""
    right: float
    foot: float
    """Where the foot lies; beyond the drawing where it is far away."""
    spots: tuple[Spot, ...]
    """One a hole of the chart."""
    hands: tuple[tuple[Hand, float, float], ...]
    """Each hand with the highest and the lowest point of its holes."""


def plan_of(holes: Sequence[ChartHole], length: float) -> Plan:
    """Lay out the finger holes of a tube.

    Parameters
    ----------
    holes : of the chart
    length : float, m
        sounding edge to foot
    """
    first = min((hole.at for hole in holes), default=0.0)
    last = max((hole.at for hole in holes), default=length)
    scale = _along(holes)
    below = (length - last) * scale
    top = HEAD + END
    reach = WIDEST + 2.5
    beside = WIDEST + RING + 1.5
    middle = reach + (2 * beside if any(hole.behind for hole in holes) else 4.0)
    places = [
        (middle - reach - beside if hole.behind else middle, top + (hole.at - first) * scale)
        for hole in holes
    ]
    grow = _larger(holes, places)
    spots = []
    for hole, (x, y) in zip(holes, places, strict=True):
        tall, wide = (max(grow * width / 2.0, NARROWEST) for width in (hole.diameter, hole.across))
        turned = 0.0 if hole.behind else -max(reach - wide - 0.5, TURNED) * sin(radians(hole.side))
        spots.append(Spot(x + turned, y, tall, wide))
    end = top + (last - first) * scale + min(below, END)
    return Plan(
        middle + reach + 8.0,
        end + (3.0 if below <= END else 0.0),
        middle - reach,
        middle + reach,
        top + (length - first) * scale,
        tuple(spots),
        tuple(_hands_of(holes, spots)),
    )


def _hands_of(holes: Sequence[ChartHole], spots: Sequence[Spot]) -> Iterator[tuple[Hand, float, float]]:
    """Each hand, the highest and the lowest point of its fingers' holes."""
    hands: tuple[Hand, ...] = ("L", "R")
    for hand in hands:
        both = zip(holes, spots, strict=True)
        own = [spot for hole, spot in both if hole.hand == hand and not hole.thumb]
        if own:
            yield hand, min(spot.y - spot.tall for spot in own), max(spot.y + spot.tall for spot in own)


def _along(holes: Sequence[ChartHole]) -> float:
    """Pixels a metre along the tube."""
    front = sorted(hole.at for hole in holes if not hole.behind)
    every = [hole.at for hole in holes]
    span = max(every, default=0.0) - min(every, default=0.0)
    if span <= 0.0:
        return TALL / 0.1
    gap = min((low - high for high, low in pairwise(front)), default=span)
    return min(max(TALL / span, APART / max(gap, 1e-4)), TALLEST / span)


def _larger(holes: Sequence[ChartHole], places: Sequence[tuple[float, float]]) -> float:
    """Pixels a metre of a hole's width: as large as the gaps allow."""
    wide = [max(hole.diameter, hole.across) / 2.0 for hole in holes]
    most = min((WIDEST / radius for radius in wide), default=1.0)
    for i, j in combinations(range(len(holes)), 2):
        apart = hypot(places[i][0] - places[j][0], places[i][1] - places[j][1])
        most = min(most, max(apart - BETWEEN, 2 * NARROWEST) / (wide[i] + wide[j]))
    return most


def symbol(chart: Chart, plan: Plan) -> str:
    """The tube, the rims of its holes and a line beside each hand: what every fingering shares."""
    rings = (_ring(spot) for hole, spot in zip(chart.holes, plan.spots, strict=True) if hole.behind)
    return (
        f'<symbol id="flute" viewBox="0 0 {number(plan.width)} {number(plan.height)}">'
        f"{_tube(plan)}{''.join(map(_rim, plan.spots))}{''.join(rings)}{_hands(plan)}</symbol>"
    )


def _tube(plan: Plan) -> str:
    top = HEAD
    bottom = plan.height - (3.0 if plan.foot <= plan.height else 0.0)
    sides = "".join(f"M{number(x)} {number(top)}V{number(bottom)}" for x in (plan.left, plan.right))
    if plan.foot <= plan.height:
        sides += f"M{number(plan.left)} {number(bottom)}H{number(plan.right)}"
    return f'<path class="tube" d="{sides}"/>'


def _hands(plan: Plan) -> str:
    x = plan.right + 5.0
    lines = "".join(f"M{number(x)} {number(high)}V{number(low)}" for _, high, low in plan.hands)
    return f'<path class="hand" d="{lines}"/>' if lines else ""


def fingering(way: Way, plan: Plan) -> str:
    """One fingering: the shared drawing, closed holes filled, partly open ones in part."""
    marks = (_mark(state, spot, way.open_share) for state, spot in zip(way.states, plan.spots, strict=True))
    return _drawn(marks, way.register, plan)


def trill_fingering(trill: ChartTrill, holes: Sequence[ChartHole], plan: Plan) -> str:
    """The fingering of a trill: holes that open and close by turns have a dot in a ring."""
    marks = (
        _round("shut", spot, MOVES) if hole.finger in trill.moving else _mark(state, spot, 0.5)
        for hole, state, spot in zip(holes, trill.low_states, plan.spots, strict=True)
    )
    return _drawn(marks, trill.register, plan)


def _mark(state: HoleState, spot: Spot, share: float) -> str:
    return {"X": _round("shut", spot, 1.0), "H": _partly(spot, share), "O": ""}[state]


def _drawn(marks: Iterable[str], register: int, plan: Plan) -> str:
    width, height = number(plan.width), number(plan.height)
    return (
        f'<svg class="way" viewBox="0 0 {width} {height}" width="{number(plan.width / 16)}em" '
        f'aria-hidden="true"><use href="#flute" width="{width}" height="{height}"/>'
        f"{''.join(marks)}{_breath(register, plan)}</svg>"
    )


def key_hole(state: HoleState, share: float = 0.5) -> str:
    """A hole by itself, for the words that explain it."""
    return _key(_rim(_KEY) + _mark(state, _KEY, share))


def key_behind() -> str:
    """A hole on the far side, by itself."""
    spot = Spot(9.0, 9.0, 7.0 - RING, 7.0 - RING)
    return _key(_rim(spot) + _ring(spot))


def key_breath(register: int) -> str:
    """The mark that says to blow harder, by itself."""
    plan = Plan(18.0, 18.0, 4.0, 14.0, 99.0, (), ())
    return _key(f'<g transform="translate(0 3)">{_breath(register, plan)}</g>')


def key_moving() -> str:
    """A hole that moves in a trill, by itself."""
    return _key(_rim(_KEY) + _round("shut", _KEY, MOVES))


def _key(inside: str) -> str:
    return f'<svg class="key" viewBox="0 0 18 18" width="18" height="18" aria-hidden="true">{inside}</svg>'


def _breath(register: int, plan: Plan) -> str:
    """One arrow head into the tube for the second register, two for the third."""
    middle = (plan.left + plan.right) / 2.0
    tops = (HEAD - 9.5 - 5.5 * i for i in range(min(register - 1, 2)))
    heads = "".join(f"M{number(middle - 5.5)} {number(top)}l5.5 5.5l5.5 -5.5" for top in tops)
    return f'<path class="breath" d="{heads}"/>' if heads else ""


def _rim(spot: Spot) -> str:
    return _round("rim", spot, 1.0)


def _ring(spot: Spot) -> str:
    """Around a hole on the far side."""
    return _round("ring", Spot(spot.x, spot.y, spot.tall + RING, spot.wide + RING), 1.0)


def _round(kind: str, spot: Spot, part: float) -> str:
    wide, tall = spot.wide * part, spot.tall * part
    at = f'class="{kind}" cx="{number(spot.x)}" cy="{number(spot.y)}"'
    if abs(wide - tall) < 0.05:
        return f'<circle {at} r="{number(tall)}"/>'
    return f'<ellipse {at} rx="{number(wide)}" ry="{number(tall)}"/>'


def _partly(spot: Spot, share: float) -> str:
    """The closed part of a hole: what lies left of an upright line."""
    line = _chord(min(max(share, SHARES[0]), SHARES[1]))
    half = sqrt(1.0 - line * line)
    large = 1 if line > 0.0 else 0
    x, high = spot.x + line * spot.wide, half * spot.tall
    return (
        f'<path class="shut" d="M{number(x)} {number(spot.y - high)}'
        f'A{number(spot.wide)} {number(spot.tall)} 0 {large} 0 {number(x)} {number(spot.y + high)}Z"/>'
    )


def _chord(share: float) -> float:
    """Where an upright line cuts a circle of radius 1, so that ``share`` of its area lies to the right."""
    low, high = -1.0, 1.0
    for _ in range(20):
        middle = (low + high) / 2.0
        beyond = (acos(middle) - middle * sqrt(1.0 - middle * middle)) / pi
        low, high = (middle, high) if beyond > share else (low, middle)
    return (low + high) / 2.0


def number(value: float) -> str:
    """A length in a drawing, to a twentieth of a pixel and no longer than it must be."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"
