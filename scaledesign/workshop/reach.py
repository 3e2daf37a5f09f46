"""How a flute lies under a hand: each pair of fingers, and what is too far, too close, too wide.

Apart from the remedies (``reach_remedies``), which change the flute. The rules are the solver's own
(``solver/limits.py``); here they are told pair by pair, those that are broken first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import hypot
from typing import Literal

from scaledesign.model.document import Design, Hand, Units
from scaledesign.model.hands import hand
from scaledesign.model.saying import begun, hole_words
from scaledesign.model.units import format_length
from scaledesign.solver.limits import (
    Limit,
    geometry_of,
    limits_of,
    outside_distance,
    room,
    straight_across,
)
from scaledesign.values import dataclass

Kind = Literal["spread", "gap", "thumb", "fingers", "pad"]
KINDS: tuple[Kind, ...] = ("spread", "gap", "thumb", "fingers", "pad")
HAIR = 5e-5
"""m by which a rule may be broken before it is worth a word."""
WHAT = {
    "spread": "too far", "gap": "too far", "thumb": "too far", "fingers": "too close", "pad": "too wide",
}  # fmt: skip


@dataclass(frozen=True)
class Bridge:
    """Two holes (0-based) that one hand, or both, bridge; lengths in m."""

    kind: Kind
    """ "spread", "gap" or "thumb"."""
    holes: tuple[int, int]
    along: float
    """Between centres, along the tube; as it counts, so that a thumb may lie either way."""
    around: float
    """Around the outside, as a strip of paper measures it."""
    straight: float
    """From centre to centre, as a finger bridges it."""
    least: float
    """Nearer along the tube, two finger tips touch; 0: nothing keeps them apart."""
    most: float
    """Further along the tube, the hand strains."""

    @property
    def over(self) -> float:
        """How much too far, m; less than 0 is to spare."""
        return self.along - self.most

    @property
    def under(self) -> float:
        """How much too close, m; less than 0 is to spare."""
        return self.least - self.along

    @property
    def verdict(self) -> str:
        """``"too far"``, ``"too close"`` or ``"fits"``."""
        if self.over > HAIR:
            return "too far"
        return "too close" if self.under > HAIR else "fits"


@dataclass(frozen=True)
class Misfit:
    """One thing that a hand cannot do on a flute."""

    kind: Kind
    holes: tuple[int, ...]
    by: float
    """m that are too much or too little."""
    limit: Limit

    @property
    def what(self) -> str:
        """``"too far"``, ``"too close"``, ``"too wide"``."""
        return WHAT[self.kind]


def bridges(design: Design) -> tuple[Bridge, ...]:
    """Every pair of holes that a hand bridges, what is worst first."""
    now = geometry_of(design)
    least: dict[tuple[int, ...], float] = {}
    most: dict[tuple[int, int], tuple[Kind, float]] = {}
    for limit in limits_of(design, now):
        if limit.kind == "fingers":
            least[limit.holes] = limit.bound
        elif limit.kind in ("spread", "gap"):
            kind: Kind = "gap" if limit.kind == "gap" else "spread"
            most[limit.holes[0], limit.holes[1]] = (kind, -limit.bound)
        elif limit.kind == "thumb":
            thumb, index = (i for i, _ in limit.terms)
            if design.holes[thumb].finger.endswith("T"):
                most[thumb, index] = ("thumb", -limit.bound)
    found = []
    for (i, j), (how, reach) in most.items():
        along, around = outside_distance(design, now, i, j)
        along = abs(along) if how == "thumb" else along
        straight = hypot(along, straight_across(design, now, i, j))
        found.append(Bridge(how, (i, j), along, around, straight, least.get((i, j), 0.0), reach))
    return tuple(sorted(found, key=lambda one: -max(one.over, one.under)))


def misfits(design: Design) -> tuple[Misfit, ...]:
    """What the hand cannot do, worst first."""
    now = geometry_of(design)
    kinds: dict[str, Kind] = {kind: kind for kind in KINDS}
    found = [
        Misfit(kinds[limit.kind], limit.holes, -room(limit, now), limit)
        for limit in limits_of(design, now)
        if limit.kind in kinds and room(limit, now) < -HAIR
    ]
    return tuple(sorted(found, key=lambda one: -one.by))


def broken(design: Design) -> dict[tuple[str, tuple[int, ...]], float]:
    """Every rule of hand, shop and tube that a design breaks, and by how much (m)."""
    now = geometry_of(design)
    found: dict[tuple[str, tuple[int, ...]], float] = {}
    for limit in limits_of(design, now):
        short = -room(limit, now)
        if short > HAIR:
            at = (limit.kind, tuple(sorted(limit.holes)))
            found[at] = max(short, found.get(at, 0.0))
    return found


def for_hand(design: Design, own: str | Hand) -> Design:
    """The design as made for another hand."""
    hand(own)
    return replace(design, shop=replace(design.shop, hand=own))


def finger_words(design: Design, holes: Iterable[int]) -> str:
    """``"hole 5 (R2) and hole 6 (R3)"``."""
    return " and ".join(hole_words(i, design.holes[i].finger) for i in holes)


def misfit_words(design: Design, one: Misfit, units: Units) -> str:
    """A sentence: "Hole 5 (R2) and hole 6 (R3) are 42.1 mm apart: 3.2 mm too far for this hand."."""

    def length(metres: float) -> str:
        return format_length(metres, units)

    holes = sorted(one.holes, key=lambda i: design.holes[i].at)
    who = finger_words(design, holes)
    if one.kind == "pad":
        wide = length(design.holes[one.holes[0]].diameter)
        return f"{begun(who)} is {wide} wide: {length(one.by)} too wide for its finger to seal."
    now = geometry_of(design)
    apart = length(abs(float(now.at[one.holes[1]] - now.at[one.holes[0]])))
    reason = {
        "spread": "for this hand", "gap": "for these two hands", "thumb": "for this thumb",
        "fingers": "for two finger tips",
    }[one.kind]  # fmt: skip
    return f"{begun(who)} are {apart} apart: {length(one.by)} {one.what} {reason}."


def hand_words(own: str | Hand, units: Units) -> str:
    """What a hand covers: "38, 34, 38 mm between neighbours, 95 mm between the hands, ..."."""
    it = hand(own)
    spreads = ", ".join(format_length(each, units, unit=False) for each in it.spread)
    return (
        f"{spreads} {units} between neighbours, {format_length(it.gap, units)} between the hands, "
        f"finger tip {format_length(it.pad, units)}"
    )
