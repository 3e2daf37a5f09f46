"""What holds a layout: tools, wood, hands, nodes, the blank; each as a linear inequality with a name.

The solver asks for them at the current geometry (a few, such as wood between holes at an angle, are
linear only near it) and hands the names of those that bind to ``explain``. No acoustics here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import pi, sin, sqrt

import numpy as np

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Hand, Hole, Station
from scaledesign.model.hands import hand
from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass

SEAL = 0.003
"""m by which a finger pad must be broader than the hole it closes (common practice, no source)."""
HEAD = 2.0
"""Bores of tube that stay free between the sounding edge and the first hole (common practice, no source)."""
SIDEWAYS = 0.006
"""m: most that a hole turned around the tube toward the palm lets its finger reach further along it."""
TURNED = 60.0
"""Degrees around the tube up to which a hole still counts as one in front, that a finger meets turned."""
POSSIBLE = ("smallest", "share_of_bore", "wood", "foot", "head")
"""Kinds that keep a hole a hole: left out, they ask for no more than that."""
FIRM = frozenset(("smallest", "largest", "share_of_bore", "pad", "head", "foot", "blank"))
"""Kinds that hardly yield where rules contradict each other: tools and tube; hands and wood give way."""
SMALLEST = 0.001
"""m: least diameter where the shop's own least is left out."""


@dataclass(frozen=True)
class Limit:
    """coefficients @ u >= bound over u = (positions, diameters, length).

    ``kind`` names the rule; ``holes`` (0-based) are those it concerns.
    """

    kind: str
    holes: tuple[int, ...]
    terms: tuple[tuple[int, float], ...]
    bound: float


@dataclass(frozen=True)
class Geometry:
    """Positions (H,), diameters (H,) and length of one flute, m; ``u`` packs them."""

    at: Floats
    diameter: Floats
    length: float

    @property
    def u(self) -> Floats:
        """(2H + 1,) positions, diameters, length in one vector."""
        return np.concatenate([self.at, self.diameter, [self.length]])

    @staticmethod
    def of(u: Floats) -> Geometry:
        """The geometry of such a vector."""
        count = (len(u) - 1) // 2
        return Geometry(u[:count], u[count:-1], float(u[-1]))


def geometry_of(design: Design) -> Geometry:
    """The layout a design has now."""
    return Geometry(
        np.array([h.at for h in design.holes], float),
        np.array([h.diameter for h in design.holes], float),
        design.tube.length,
    )


def profile(stations: tuple[Station, ...], x: float) -> float:
    """A bore diameter or wall at x, straight between stations."""
    if len(stations) == 1:
        return stations[0].value
    return float(np.interp(x, [s.x for s in stations], [s.value for s in stations]))


def widest_bit_allowed(design: Design, hole: Hole, at: float) -> float:
    """Largest diameter the shop's rules and the finger allow for one hole, m."""
    shop = design.shop
    limit = min(shop.largest, shop.share_of_bore * profile(design.tube.bore, at))
    if hole.finger != "none":
        limit = min(limit, hand(shop.hand).pad - SEAL)
    return limit


def limits_of(
    design: Design, now: Geometry, sides: tuple[int, ...] = (), without: frozenset[str] = frozenset()
) -> list[Limit]:
    """Every rule that holds the layout, linear near ``now``.

    Parameters
    ----------
    design, now : Design, Geometry
    sides : for each (stretch, hole) pair in order, the side of an avoided stretch: -1 towards the
        mouth, +1 towards the foot, 0 whichever is nearer now
    without : kinds to leave out; a tube and its holes stay possible all the same
    """
    held = _lenient(design, without) if without else design
    every = (
        *_sizes(held, now),
        *_ends(held, 0.0 if "head" in without else HEAD),
        *_neighbours(held, now),
        *_hands(held, now),
        *_avoided(held, now, sides),
    )
    return [limit for limit in every if limit.kind in POSSIBLE or limit.kind not in without]


def _lenient(design: Design, without: frozenset[str]) -> Design:
    shop = design.shop
    return replace(
        design,
        shop=replace(
            shop,
            smallest=min(SMALLEST, shop.smallest) if "smallest" in without else shop.smallest,
            share_of_bore=1.0 if "share_of_bore" in without else shop.share_of_bore,
            wood=0.0 if {"wood", "foot"} & without else shop.wood,
        ),
    )


def _sizes(design: Design, now: Geometry) -> Iterator[Limit]:
    count, shop = len(design.holes), design.shop
    pad = hand(shop.hand).pad
    for i, hole in enumerate(design.holes):
        d = count + i
        yield Limit("smallest", (i,), ((d, 1.0),), shop.smallest)
        yield Limit("largest", (i,), ((d, -1.0),), -shop.largest)
        bore, slope = _bore_line(design, float(now.at[i]))
        share = shop.share_of_bore
        yield Limit(
            "share_of_bore", (i,), ((d, -1.0), (i, share * slope)),
            -share * (bore - slope * float(now.at[i])),
        )  # fmt: skip
        if hole.finger != "none":
            yield Limit("pad", (i,), ((d, -1.0),), -(pad - SEAL))


def _bore_line(design: Design, x: float) -> tuple[float, float]:
    if len(design.tube.bore) == 1:
        return design.tube.bore[0].value, 0.0
    step = 1e-4
    low, high = profile(design.tube.bore, x - step), profile(design.tube.bore, x + step)
    return (low + high) / 2, (high - low) / (2 * step)


def _ends(design: Design, bores: float) -> Iterator[Limit]:
    count, wood = len(design.holes), design.shop.wood
    length = 2 * count
    head = bores * design.tube.bore[0].value
    for i in range(count):
        yield Limit("head", (i,), ((i, 1.0), (count + i, -0.5)), head)
        yield Limit("foot", (i,), ((length, 1.0), (i, -1.0), (count + i, -0.5)), wood)
    if design.tube.blank is not None:
        yield Limit("blank", (), ((length, -1.0),), -design.tube.blank)
    if not count:
        yield Limit("head", (), ((length, 1.0),), head)


def _angle(a: Hole, b: Hole) -> float:
    if a.side == b.side:
        return 0.0
    turn = abs(a.side - b.side) % 360.0
    return min(turn, 360.0 - turn) * pi / 180.0


def outside_distance(design: Design, now: Geometry, i: int, j: int) -> tuple[float, float]:
    """Distance of two centres along the bore and around the outside, m."""
    middle = float(now.at[i] + now.at[j]) / 2
    radius = profile(design.tube.bore, middle) / 2 + profile(design.tube.wall, middle)
    return float(now.at[j] - now.at[i]), radius * _angle(design.holes[i], design.holes[j])


def straight_across(design: Design, now: Geometry, i: int, j: int) -> float:
    """How far two holes lie apart across the tube as a finger bridges it, straight, m."""
    middle = float(now.at[i] + now.at[j]) / 2
    radius = profile(design.tube.bore, middle) / 2 + profile(design.tube.wall, middle)
    return 2 * radius * sin(_angle(design.holes[i], design.holes[j]) / 2)


def further(design: Design, now: Geometry, short: int, other: int) -> float:
    """How much further along a finger reaches to its hole ``short`` since that is turned off the line, m.

    A finger that spreads draws a circle: its tip comes back toward the palm. So a hole that lies as much
    further around the tube may lie about as much further along, up to ``SIDEWAYS`` (common practice, no
    source). The hole nearer the front gains nothing.
    """
    off, line = (abs((design.holes[n].side + 180.0) % 360.0 - 180.0) for n in (short, other))
    if off <= line or off > TURNED:
        return 0.0
    return min(SIDEWAYS, straight_across(design, now, short, other))


def wood_left(design: Design, now: Geometry, i: int, j: int) -> float:
    """Wood between the edges of two holes along the outside, m (negative: they cut into each other)."""
    along, around = outside_distance(design, now, i, j)
    return sqrt(along**2 + around**2) - float(now.diameter[i] + now.diameter[j]) / 2


def wood_to_foot(now: Geometry, i: int) -> float:
    """Wood between the edge of a hole and the foot, m."""
    return now.length - float(now.at[i]) - float(now.diameter[i]) / 2


def _neighbours(design: Design, now: Geometry) -> Iterator[Limit]:
    count, wood = len(design.holes), design.shop.wood
    order = [int(i) for i in np.argsort(now.at, kind="stable")]
    for place, i in enumerate(order):
        for j in order[place + 1 : place + 3]:
            _, around = outside_distance(design, now, i, j)
            need = float(now.diameter[i] + now.diameter[j]) / 2 + wood
            if around >= need:
                continue
            along = sqrt(need**2 - around**2)
            slope = 0.5 * need / along
            a, b = min(i, j), max(i, j)
            sign = 1.0 if b == j else -1.0
            bound = along - slope * float(now.diameter[i] + now.diameter[j])
            yield Limit(
                "wood", (a, b),
                ((b, sign), (a, -sign), (count + a, -slope), (count + b, -slope)), bound,
            )  # fmt: skip


def _hands(design: Design, now: Geometry) -> Iterator[Limit]:
    own = hand(design.shop.hand)
    place: dict[str, int] = {hole.finger: i for i, hole in enumerate(design.holes) if hole.finger != "none"}
    for side in "LR":
        used = [(n, place[f"{side}{n}"]) for n in range(1, 5) if f"{side}{n}" in place]
        for (m, i), (n, j) in pairwise(used):
            short, other = (i, j) if m == 1 and n == 2 else (j, i)
            reach = sum(own.spread[m - 1 : n - 1]) + further(design, now, short, other)
            yield Limit("spread", (i, j), ((j, -1.0), (i, 1.0)), -reach)
            if n == m + 1:
                yield from _side_by_side(design, now, own, i, j)
    upper = [i for finger, i in place.items() if finger[0] == "L" and finger[1] != "T"]
    lower = [i for finger, i in place.items() if finger[0] == "R" and finger[1] != "T"]
    if upper and lower:
        i, j = max(upper, key=lambda n: now.at[n]), min(lower, key=lambda n: now.at[n])
        yield Limit("gap", (i, j), ((j, -1.0), (i, 1.0)), -own.gap)
        yield from _side_by_side(design, now, own, i, j)
    yield from _thumbs(own, place)


def _side_by_side(design: Design, now: Geometry, own: Hand, i: int, j: int) -> Iterator[Limit]:
    """Two finger tips keep a tip's breadth from each other; across the tube counts too."""
    across = straight_across(design, now, i, j)
    if across < own.pad:
        yield Limit("fingers", (i, j), ((j, 1.0), (i, -1.0)), sqrt(own.pad**2 - across**2))


def _thumbs(own: Hand, place: dict[str, int]) -> Iterator[Limit]:
    """A thumb reaches about as far from its index finger as the index from the middle one.

    Common practice, no source.
    """
    for side in "LR":
        thumb, index = place.get(f"{side}T"), place.get(f"{side}1")
        if thumb is None or index is None:
            continue
        yield Limit("thumb", (thumb, index), ((thumb, -1.0), (index, 1.0)), -own.spread[0])
        yield Limit("thumb", (index, thumb), ((thumb, 1.0), (index, -1.0)), -own.spread[0])


def _avoided(design: Design, now: Geometry, sides: tuple[int, ...]) -> Iterator[Limit]:
    count = len(design.holes)
    choice = iter(sides)
    for start, end in design.tube.avoid:
        for i in range(count):
            side = next(choice, 0)
            centre, half = float(now.at[i]), float(now.diameter[i]) / 2
            if side == 0:
                if centre + half < start - 0.02 or centre - half > end + 0.02:
                    continue
                side = -1 if centre < (start + end) / 2 else 1
            if side < 0:
                yield Limit("avoid", (i,), ((i, -1.0), (count + i, -0.5)), -start)
            else:
                yield Limit("avoid", (i,), ((i, 1.0), (count + i, -0.5)), end)


def room(limit: Limit, now: Geometry) -> float:
    """How far a layout is from a limit, m; negative where it breaks it."""
    u = now.u
    return float(sum(u[column] * value for column, value in limit.terms)) - limit.bound


def matrix(limits: list[Limit], size: int) -> tuple[Floats, Floats, Floats]:
    """Inequalities as arrays: g (m, size), h (m,) of g @ u >= h, and how far each gives way (m,)."""
    g, h = np.zeros((len(limits), size)), np.zeros(len(limits))
    for row, limit in enumerate(limits):
        for column, value in limit.terms:
            g[row, column] += value
        h[row] = limit.bound
    return g, h, np.array([0.01 if limit.kind in FIRM else 1.0 for limit in limits])


def bits_allowed(design: Design, hole: Hole, at: float) -> tuple[float, ...]:
    """The shop's bits that may make this hole, m, rising; empty when none fits."""
    most = widest_bit_allowed(design, hole, at)
    return tuple(
        b for b in bit_set(design.shop.bits).diameters if design.shop.smallest - 1e-9 <= b <= most + 1e-9
    )
