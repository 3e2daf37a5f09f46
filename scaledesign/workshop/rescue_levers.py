"""What can still be done to a finished flute: each change of a hole or the foot, how far, and what it does.

Apart from the search among them (``rescue_search.py``). A lever is one kind of change on one hole; its effect
is asked of the engine at a few places and read off a smooth curve between them, which is good enough to look
for a set of changes. What a set does in the end is asked of the engine (``played``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from scaledesign.model.document import Design
from scaledesign.model.units import INCH
from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.solver.limits import Geometry, Limit, geometry_of, limits_of, room
from scaledesign.solver.resonance import Resonances, resonances
from scaledesign.values import dataclass
from scaledesign.workshop.as_heard import AsHeard

Kind = Literal["open", "undercut", "fill", "move", "cut"]
KINDS: tuple[Kind, ...] = ("open", "undercut", "fill", "move", "cut")
"""Open: the hole wider. Undercut: wider at the bore. Fill: narrower. Move: filled and drilled anew. Cut: the
foot shorter."""
COST: dict[Kind, float] = {"open": 0.0, "undercut": 0.3, "fill": 0.6, "cut": 1.0, "move": 3.0}
"""Cents that a change of each kind has to be better by than one that is opened (proposed here, no source)."""
SHARPENS: frozenset[Kind] = frozenset(("open", "undercut", "cut"))
"""Kinds that take wood away and make notes sharper: nothing takes them back."""
SHARE: dict[Kind, float] = {"open": 0.15, "undercut": 0.3, "fill": 0.15, "cut": 0.05, "move": 0.15}
"""Share of a change's cents by which the model may be wrong (proposed here, no source)."""
STEP = {"mm": 1e-4, "in": 0.005 * float(INCH)}
"""m: the finest change of a hole that a file and a calliper make."""
LONG_STEP = {"mm": 5e-4, "in": float(INCH) / 64}
"""m: the finest change of a hole's place or of the foot."""
UNDERCUT = 0.35
"""Share of its width by which a hole is undercut at most (common practice, no source)."""
FARTHEST, SHORTEST = 0.012, 0.03
"""m: how far a hole is moved, and how much is cut off the foot, at most: beyond that it is another flute."""
BROKEN = 1e-7
"""m by which a rule counts as kept."""
LEAST = 2e-4
"""m: radius that is left of a hole in any case."""
ANOTHER = 300.0
"""Cents of change beyond which another note speaks: the register that was meant is gone."""
NODES = {"open": 4, "fill": 3, "move": 2, "cut": 3, "undercut": 2}
"""Places on each side at which the engine is asked."""


@dataclass(frozen=True)
class Change:
    """One change: a width, an undercut, a place or the tube's length, m, from ``was`` to ``to``."""

    kind: Kind
    hole: int | None
    """0-based; None for the foot."""
    was: float
    to: float

    @property
    def by(self) -> float:
        """m."""
        return self.to - self.was


@dataclass(frozen=True)
class Lever:
    """Everything that one kind of change can do to one hole: ``to`` (G,) m, and ``effect`` (G, M) cents."""

    kind: Kind
    hole: int | None
    was: float
    to: Floats
    effect: Floats

    def change(self, place: int) -> Change:
        """The change at one place of ``to``."""
        return Change(self.kind, self.hole, self.was, float(self.to[place]))

    @property
    def name(self) -> tuple[Kind, int | None]:
        """What tells levers apart."""
        return self.kind, self.hole


def changed(geometry: Geometry, changes: Sequence[Change]) -> Geometry:
    """A layout with places, widths and length changed."""
    at, diameter, length = geometry.at.copy(), geometry.diameter.copy(), geometry.length
    for change in changes:
        if change.kind == "cut":
            length += change.by
        elif change.kind == "move":
            at[change.hole or 0] += change.by
        elif change.kind != "undercut":
            diameter[change.hole or 0] += change.by
    return Geometry(at, diameter, length)


class Rules:
    """The rules of shop, hand and tube: a change may break none, and none further that is broken already."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.before = geometry_of(design)
        self._was: dict[tuple[str, tuple[int, ...]], float] = {}
        for limit in limits_of(design, self.before):
            key = _key(limit)
            self._was[key] = min(self._was.get(key, 0.0), room(limit, self.before))

    def keep(self, changes: Sequence[Change]) -> bool:
        """Whether a set of changes is within them."""
        after = changed(self.before, changes)
        return all(
            room(limit, after) >= self._was.get(_key(limit), 0.0) - BROKEN
            for limit in limits_of(self.design, after)
        )


def _key(limit: Limit) -> tuple[str, tuple[int, ...]]:
    return limit.kind, tuple(sorted(limit.holes))


def played(heard: AsHeard, sets: Sequence[Sequence[Change]]) -> Floats:
    """Cents from target (N, M) of every note after each of N sets of changes, as the engine has it.

    NaN where a note is not there any more.
    """
    cents: Floats = np.empty((len(sets), len(heard.notes)))
    groups: dict[tuple[tuple[int, float], ...], list[int]] = {}
    for i, changes in enumerate(sets):
        under = tuple((c.hole or 0, c.by) for c in changes if c.kind == "undercut")
        groups.setdefault(under, []).append(i)
    for under, members in groups.items():
        flutes = _with(heard.flutes, [sets[i] for i in members])
        body = flutes.body
        if under:
            widened = body.hole_undercut.copy()
            for hole, by in under:
                widened[hole] += by / 2
            flutes = replace(flutes, body=replace(body, hole_undercut=widened))
        found = resonances(flutes, heard.fingerings, near=_near(heard, len(members)), missing=True)
        cents[members] = heard.cents(found.frequency)
    return np.where(np.abs(cents - heard.off) < ANOTHER, cents, np.nan)


def _near(heard: AsHeard, count: int) -> Resonances:
    shape = (count, len(heard.notes))
    return Resonances(
        np.broadcast_to(heard.found.frequency, shape), np.broadcast_to(heard.found.level, shape)
    )


def _with(flutes: Flutes, sets: Sequence[Sequence[Change]]) -> Flutes:
    flutes = flutes.take(np.zeros(len(sets), np.intp))
    at, radius, length = flutes.at.copy(), flutes.radius.copy(), flutes.length.copy()
    for i, changes in enumerate(sets):
        for change in changes:
            if change.kind == "cut":
                length[i] += change.by
            elif change.kind == "move":
                at[i, change.hole or 0] += change.by
            elif change.kind != "undercut":
                radius[i, change.hole or 0] = max(float(radius[i, change.hole or 0]) + change.by / 2, LEAST)
    return replace(flutes, at=at, radius=radius, length=length)


def levers(
    heard: AsHeard, only: Sequence[Kind] = KINDS, hold: Sequence[int | None] = ()
) -> tuple[Lever, ...]:
    """Every lever there is, those that have no room left out.

    Parameters
    ----------
    only : kinds to think of
    hold : holes (0-based) that stay as they are; None for the foot
    """
    design = heard.design
    asked: list[tuple[Kind, int | None, float, Floats, Floats]] = []
    for kind in KINDS:
        holes: tuple[int | None, ...] = (None,) if kind == "cut" else tuple(range(len(design.holes)))
        for hole in holes:
            if kind in only and hole not in hold:
                was, to = _range(design, kind, hole)
                if len(to):
                    asked.append((kind, hole, was, to, _nodes(kind, was, to)))
    sets = [[Change(kind, hole, was, float(x))] for kind, hole, was, _, nodes in asked for x in nodes]
    effects = np.nan_to_num(played(heard, sets) - heard.off, nan=0.0)
    made, first = [], 0
    for kind, hole, was, to, nodes in asked:
        effect = effects[first : first + len(nodes)]
        first += len(nodes)
        made.append(Lever(kind, hole, was, to, _between(was, nodes, effect, to)))
    return tuple(made)


def _between(was: float, nodes: Floats, effect: Floats, to: Floats) -> Floats:
    """(G, M) a curve through what was asked, and through nothing where nothing is changed."""
    span = float(np.abs(nodes - was).max())
    x, wanted = np.append((nodes - was) / span, 0.0), (to - was) / span
    power = np.arange(1, len(x))
    weights = np.linalg.solve(x[:-1, None] ** power, np.eye(len(nodes)))
    return np.asarray((wanted[:, None] ** power) @ weights @ effect)


def _nodes(kind: Kind, was: float, to: Floats) -> Floats:
    """Where to ask: evenly out to both ends."""
    count = NODES[kind]
    ends = [float(end) for end, way in ((to.min(), -1), (to.max(), 1)) if way * (end - was) > 0]
    return np.unique(np.concatenate([was + (end - was) * np.arange(1, count + 1) / count for end in ends]))


def _range(design: Design, kind: Kind, hole: int | None) -> tuple[float, Floats]:
    """What it is now, and every step (G,) m that the rules leave room for."""
    fine, coarse = STEP[design.units], LONG_STEP[design.units]
    now = geometry_of(design)
    count = len(design.holes)
    if hole is None:
        if design.tube.foot.kind in ("stopped", "node"):
            return now.length, np.zeros(0)
        down, _ = _room(design, now, 2 * count)
        return now.length, _steps(now.length, -min(down, SHORTEST), 0.0, coarse)
    own = design.holes[hole]
    if kind == "move":
        down, up = _room(design, now, hole)
        return own.at, _steps(own.at, -min(down, FARTHEST), min(up, FARTHEST), coarse)
    if kind == "undercut":
        most = UNDERCUT * own.diameter
        return own.undercut, _steps(own.undercut, 0.0, most - own.undercut, fine)
    if own.across is not None and own.across != own.diameter:
        return own.diameter, np.zeros(0)  # an oval hole is neither opened with a bit nor filled round
    down, up = _room(design, now, count + hole)
    if kind == "open":
        return own.diameter, _steps(own.diameter, 0.0, up, fine)
    return own.diameter, _steps(own.diameter, -down, 0.0, fine)


def _steps(was: float, low: float, high: float, step: float) -> Floats:
    """Whole steps between ``was + low`` and ``was + high``, ``was`` itself left out."""
    first, last = np.ceil((was + low) / step - 1e-6), np.floor((was + high) / step + 1e-6)
    to = np.arange(first, last + 1) * step
    return np.asarray(to[np.abs(to - was) > 0.3 * step])


def _room(design: Design, now: Geometry, column: int) -> tuple[float, float]:
    """How far one dimension may fall and rise before a rule is broken, m."""
    down = up = np.inf
    for limit in limits_of(design, now):
        slope = sum(value for place, value in limit.terms if place == column)
        spare = max(room(limit, now), 0.0)
        if slope > 0:
            down = min(down, spare / slope)
        elif slope < 0:
            up = min(up, -spare / slope)
    return float(down), float(up)
