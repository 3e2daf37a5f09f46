"""Where things are on the outside of the tube, as a maker measures them.

Apart from the lists because the hole list, its JSON and later templates restate the same positions.
Geometry of the finished design only: the limits of the shop are the solver's affair.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot, pi
from typing import Literal

from scaledesign.errors import DesignError, Fault
from scaledesign.model.document import Design, Station

Origin = Literal["edge", "foot", "cut-end"]
ORIGINS: tuple[Origin, ...] = ("edge", "foot", "cut-end")
ORIGIN_WORDS = {"edge": "the sounding edge", "foot": "the foot", "cut-end": "the tube's cut end"}


def distance_from(design: Design, origin: Origin, x: float) -> float:
    """Distance (m) from ``origin`` of a place ``x`` m from the sounding edge.

    Raises
    ------
    DesignError
        when the cut end is asked for and the design does not say where it is.
    """
    if origin == "edge":
        return x
    if origin == "foot":
        return design.tube.length - x
    return x + mouth_side(design)


def mouth_side(design: Design) -> float:
    """Length (m) of tube from the cut end at the mouth side to the sounding edge.

    For a duct: slow-air chamber, plug, what the plug leaves of the bore, and the window. A rim, a notch
    and an open end are themselves the cut end.
    """
    if design.instrument.mouth in ("rim", "notch", "open"):
        return 0.0
    chamber = design.tube.chamber
    if chamber is None:
        fault = Fault(
            "is not stated, so nobody knows where the cut end is",
            "state chamber = { length = ..., wall = ... } or measure from the edge or the foot",
            key="tube.chamber",
        )
        raise DesignError("", (fault,))
    window = design.voicing.window
    opening = window.length if design.instrument.mouth == "duct" and window else 0.0
    return chamber.length + chamber.wall + design.voicing.cavity + opening


def value_at(stations: Sequence[Station], x: float) -> float:
    """Diameter or thickness (m) at ``x``, straight between stations, constant beyond them."""
    if x <= stations[0].x:
        return stations[0].value
    for left, right in pairwise(stations):
        if x < right.x:
            share = (x - left.x) / (right.x - left.x)
            return left.value + share * (right.value - left.value)
    return stations[-1].value


def wood_between(design: Design, first: int, second: int) -> float:
    """Least wood (m) between the edges of two holes, along the outside of the tube."""
    one, other = design.holes[first], design.holes[second]
    middle = (one.at + other.at) / 2
    outside = value_at(design.tube.bore, middle) + 2 * value_at(design.tube.wall, middle)
    turn = abs(one.side - other.side) % 360.0
    around = min(turn, 360.0 - turn) / 360.0 * pi * outside
    return hypot(other.at - one.at, around) - (one.diameter + other.diameter) / 2


def wood_beside(design: Design, hole: int) -> float | None:
    """Wood (m) from one hole's edge to the nearest other hole's edge; None for an only hole."""
    others = [wood_between(design, hole, other) for other in range(len(design.holes)) if other != hole]
    return min(others, default=None)
