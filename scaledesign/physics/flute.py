"""A batch of flutes as arrays: geometry, mouth and air, and how the parts stand along the bore.

This is what the network walks along. It is apart from the network because it does not depend on the
frequency: lay out once, evaluate at many. Axes: N flutes, H holes, S slices of the bore, E = H + S - 1
nodes. No document, no string, no unit but SI.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from typing import Literal

import numpy as np

from scaledesign.physics.air import Air
from scaledesign.physics.arrays import Complexes, Floats, Indices
from scaledesign.physics.branch import Shape, ellipse
from scaledesign.physics.outside import Openings, openings_of
from scaledesign.values import dataclass

FootKind = Literal["open", "flanged", "stopped", "node"]

SLICE = 0.04
"""Longest slice of a tapered bore, m. Wall losses are constant in a slice, the taper is exact; one
0.4 m cone in a single slice errs by 0.02 Hz in 420, ten slices by a hundredth of that."""


@dataclass(frozen=True)
class Slices:
    """The bore cut into straight-sided slices, mouth to foot; the last one has no end.

    ``start`` (S,) m, ``radius`` (S,) m at the start, ``slope`` (S,) of the radius, ``mean`` (S,) m the
    radius that sets the wall losses, ``end_radius`` (S,) m at the next slice's start. An oval bore has the
    radius of equal area; its losses grow with its perimeter, so ``mean`` is that much smaller.
    """

    start: Floats
    radius: Floats
    slope: Floats
    mean: Floats
    end_radius: Floats

    @property
    def straight(self) -> bool:
        """Whether the bore is one plain cylinder."""
        return len(self.start) == 1


def slices_of(x: Floats, radius: Floats, aspect: Floats | None = None) -> Slices:
    """Cut a bore given by radii at stations (two at one x: a step) into slices.

    Parameters
    ----------
    x : (K,) array, m, not falling
    radius : (K,) array, m, of equal area
    aspect : (K,) array, ratio of the two diameters of an oval bore; None: round

    Returns
    -------
    Slices
    """
    ratio = np.ones(len(x)) if aspect is None else np.array([ellipse(value)[1] for value in aspect])
    rows: list[tuple[float, float, float, float, float]] = []
    if x[0] > 0.0:
        rows.append((0.0, radius[0], 0.0, radius[0] / ratio[0], radius[0]))
    for x1, x2, a1, a2, p1, p2 in zip(
        x[:-1], x[1:], radius[:-1], radius[1:], ratio[:-1], ratio[1:], strict=True
    ):
        if x2 - x1 <= 0.0:
            continue
        slope = (a2 - a1) / (x2 - x1)
        perimeter = 0.5 * (p1 + p2)
        parts = int(np.ceil((x2 - x1) / SLICE - 1e-9)) if slope else 1
        for edge in np.linspace(x1, x2, parts + 1)[:-1]:
            begin = a1 + slope * (edge - x1)
            end = begin + slope * (x2 - x1) / parts
            mean = ((end - begin) / np.log(end / begin) if slope else begin) / perimeter
            rows.append((edge, begin, slope, mean, end))
    last = float(radius[-1])
    rows.append((float(x[-1]), last, 0.0, last / ratio[-1], last))
    merged = [rows[0]]
    for row in rows[1:]:
        before = merged[-1]
        if row[2] == before[2] == 0.0 and row[1] == before[1] and row[3] == before[3]:
            continue
        merged.append(row)
    table = np.array(merged)
    table[0, 0] = 0.0
    return Slices(*table.T.copy())


@dataclass(frozen=True)
class Airway:
    """Flue and slow-air chamber: a branch beside the window of a duct flute, see ``mouth.airway``.

    Its impedance is rho c (``resistance`` + j k ``inertance`` + 1/(j k S ``chamber``)), S the bore's area at
    the head; 1/m^2, 1/m, m of bore.
    """

    resistance: float
    inertance: float
    chamber: float


def _none() -> Floats:
    return np.zeros(0)


@dataclass(frozen=True)
class Body:
    """What all flutes of a batch share: profile, kind of foot and mouth, finger pad, shape of the holes.

    ``wall_x``, ``wall`` (W,) m are stations of the wall; ``hole_wall`` (H,) m is a chimney of its own,
    nan where the hole follows the tube's wall. ``hole_angle`` and ``hole_slant`` (H,) rad around the tube
    and from square to the bore, positive towards the foot at the bore; ``hole_undercut`` (H,) m by which
    the radius is wider at the bore; ``hole_aspect`` (H,) width along the tube over width across. Left
    empty: all in line, square, straight and round.
    """

    slices: Slices
    wall_x: Floats
    wall: Floats
    hole_wall: Floats
    foot: FootKind = "open"
    foot_radius: float = 0.0
    """m, of the hole in a node."""
    ideal_mouth: bool = False
    """True: a pressure node at x = 0, no voicing."""
    cavity: float = 0.0
    """m of bore behind the window."""
    pad: float = 0.5
    """How far a finger dips into a closed hole, in hole radii."""
    hole_angle: Floats = field(default_factory=_none)
    hole_slant: Floats = field(default_factory=_none)
    hole_undercut: Floats = field(default_factory=_none)
    hole_aspect: Floats = field(default_factory=_none)
    cooling: float = 0.0
    """K/m by which the air in the bore is cooler towards the foot; its given temperature is that at
    ``MIDDLE``."""
    airway: Airway | None = None
    outside: bool = True
    """Whether holes and foot act on each other through the outside air. False: the elements of ``branch``
    as they were published, each alone."""

    @property
    def bare(self) -> Body:
        """The same tube without holes."""
        return replace(
            self, hole_wall=_none(), hole_angle=_none(), hole_slant=_none(), hole_undercut=_none(),
            hole_aspect=_none(),
        )  # fmt: skip


LEAN = 0.78
"""How far along a slanted chimney the middle of its inner opening lies, as sound takes it (fitted to our own
field solutions, see ``branch``)."""
MIDDLE = 0.3
"""m from the mouth: where a flute that is played has its mean temperature."""
WARMING = 1.0 / 600.0
"""Rise of ln c per kelvin, c ~ sqrt(T) at 300 K, along the bore."""


@dataclass(frozen=True)
class Flutes:
    """N flutes of one body. (N, H) arrays for holes, (N,) for the rest."""

    body: Body
    at: Floats
    """(N, H) m."""
    radius: Floats
    """(N, H) m."""
    length: Floats
    """m."""
    added_length: Floats
    """m."""
    drift: Floats
    """m per kHz^2: how the added length changes with frequency."""
    bore_scale: Floats
    """Factor on every bore radius."""
    wall_offset: Floats
    """m added to the tube's wall everywhere."""
    air: Air
    """Fields of shape (N,)."""
    cooling: Floats | None = None
    """K/m where it is not the same for all; None: the body's."""

    @property
    def count(self) -> int:
        """N."""
        return len(self.length)

    def take(self, index: slice | Indices) -> Flutes:
        """Some of the flutes."""
        return replace(
            self,
            at=self.at[index], radius=self.radius[index], length=self.length[index],
            added_length=self.added_length[index], drift=self.drift[index],
            bore_scale=self.bore_scale[index], wall_offset=self.wall_offset[index], air=self.air.take(index),
            cooling=None if self.cooling is None else self.cooling[index],
        )  # fmt: skip


def joined(flutes: Sequence[Flutes]) -> Flutes:
    """Flutes of one body, but for how it cools, as one batch, the first's first."""
    if len(flutes) == 1:
        return flutes[0]
    cooling = None
    if any(part.cooling is not None or part.body.cooling != flutes[0].body.cooling for part in flutes):
        cooling = np.concatenate([np.broadcast_to(_cooling(part), part.count) for part in flutes])

    def all_of(name: str) -> Floats:
        return np.asarray(np.concatenate([getattr(part, name) for part in flutes]))

    return Flutes(
        flutes[0].body, all_of("at"), all_of("radius"), all_of("length"), all_of("added_length"),
        all_of("drift"), all_of("bore_scale"), all_of("wall_offset"), Air.joined([f.air for f in flutes]),
        cooling,
    )  # fmt: skip


def _cooling(flutes: Flutes) -> float | Floats:
    """K/m, (N,) where it differs."""
    return flutes.body.cooling if flutes.cooling is None else flutes.cooling


@dataclass(frozen=True)
class Layout:
    """Where everything stands, element axis first; made by ``lay_out``.

    Nodes are first the holes, then the boundaries between slices; ``order`` (E, N) sorts them mouth to
    foot, or is None when they stand so already. Ducts (E + 1, N) lie between them, duct i on the mouth
    side of sorted node i.
    """

    flutes: Flutes
    order: Indices | None
    duct_length: Floats
    duct_slice: Indices | None
    """(E + 1, N), or None on a straight bore."""
    warp: Floats
    """(E + 1, N) how a duct's length grows with the place of its foot end: 1, but for the cooling."""
    a: Floats
    """(H, N) bore radius at each hole."""
    a_slope: Floats
    t: Floats
    """(H, N) chimney height."""
    t_slope: Floats
    """Its slope in x; 0 where the hole has a wall of its own."""
    t_follows: Floats
    """(H, 1) 1 where the chimney is the tube's wall, else 0."""
    outer: Floats
    """(H, N) outer radius of the tube at each hole."""
    wall_slope: Floats
    """(H, N) slope of the tube's wall."""
    shape: Shape
    chimney: Floats
    """(H, N) m, radius that sets the wall losses in each hole."""
    inner_at: Floats
    """(H, N) m, centre of each hole's inner opening."""
    tilt: Floats
    """(H, 1) tangent of the slant: how far toward the foot the inner opening lies, per chimney height."""
    hole_order: Indices | None
    """(H + 1, N) sorts holes and foot mouth to foot, or None when they stand so already."""
    openings: Openings | None
    """None where nothing acts through the outside air."""
    boundary_live: Floats
    """(S - 1, N) 1 where a boundary lies before the foot."""
    foot_a: Floats
    """(N,) bore radius at the foot."""
    foot_slope: Floats
    foot_outer: Floats
    foot_wall_slope: Floats

    def sort(self, nodes: Complexes) -> Complexes:
        """Values of nodes (E, N, M) in mouth-to-foot order."""
        if self.order is None:
            return nodes
        return np.take_along_axis(nodes, self.order[:, :, None], axis=0)

    def along(self, openings: Complexes) -> Complexes:
        """Values of holes and foot (H + 1, N, M) in mouth-to-foot order."""
        if self.hole_order is None:
            return openings
        return np.take_along_axis(openings, self.hole_order[:, :, None], axis=0)

    def back(self, values: Complexes) -> Complexes:
        """Values in mouth-to-foot order in the order of the holes, the foot last."""
        if self.hole_order is None:
            return values
        out = np.empty_like(values)
        np.put_along_axis(out, self.hole_order[:, :, None], values, axis=0)
        return out

    def unsort(self, values: Complexes) -> Complexes:
        """Values of sorted nodes (E, N, M) in the order holes, boundaries."""
        if self.order is None:
            return values
        out = np.empty_like(values)
        np.put_along_axis(out, self.order[:, :, None], values, axis=0)
        return out


def _profile(slices: Slices, x: Floats, scale: Floats) -> tuple[Floats, Floats]:
    """Radius and slope of the bore at x (..., N)."""
    if slices.straight:
        return np.broadcast_to(slices.radius[0] * scale, x.shape), np.zeros(x.shape)
    index = np.searchsorted(slices.start, x, side="right") - 1
    index = np.maximum(index, 0)
    slope = slices.slope[index]
    return (slices.radius[index] + slope * (x - slices.start[index])) * scale, slope * scale


def _wall(body: Body, x: Floats) -> tuple[Floats, Floats]:
    """Wall of the tube at x and its slope."""
    if len(body.wall_x) == 1:
        return np.full(x.shape, body.wall[0]), np.zeros(x.shape)
    index = np.clip(np.searchsorted(body.wall_x, x, side="right") - 1, 0, len(body.wall_x) - 2)
    gap = body.wall_x[index + 1] - body.wall_x[index]
    rise = body.wall[index + 1] - body.wall[index]
    inside = (x > body.wall_x[0]) & (x < body.wall_x[-1]) & (gap > 0)
    slope = np.where(inside, rise / np.where(gap > 0, gap, 1.0), 0.0)
    return np.interp(x, body.wall_x, body.wall), slope


def _given(values: Floats, holes: int, default: float) -> Floats:
    """(H, 1) a property of the holes, or its default."""
    return np.full((holes, 1), default) if not len(values) else np.asarray(values, float)[:, None]


def _shape(body: Body, holes: int) -> Shape:
    aspect = _given(body.hole_aspect, holes, 1.0)
    cosine = np.cos(_given(body.hole_slant, holes, 0.0))[:, :, None]
    ends = np.array([[ellipse(value)[0]] for value in aspect[:, 0]]).reshape(holes, 1)
    return Shape(
        undercut=_given(body.hole_undercut, holes, 0.0)[:, :, None],
        stretch=1.0 / cosine,
        passing=cosine ** (2.0 / 3.0),
        ends=ends[:, :, None],
        across=(1.0 / aspect)[:, :, None],
    )


def _chimney_radius(flutes: Flutes) -> Floats:
    """(H, N) m: radius that sets the wall losses in each hole's chimney."""
    holes = flutes.at.shape[1]
    b = flutes.radius.T
    undercut = _given(flutes.body.hole_undercut, holes, 0.0)
    if not len(flutes.body.hole_aspect):
        return np.sqrt(b * (b + undercut))
    perimeter = np.array([[ellipse(value)[1]] for value in flutes.body.hole_aspect]).reshape(holes, 1)
    return np.asarray(np.sqrt(b * (b + undercut)) / perimeter)


def lay_out(flutes: Flutes) -> Layout:
    """Sort the nodes of every flute along its bore and look up what stands where."""
    body, slices = flutes.body, flutes.body.slices
    outside_at, length = flutes.at.T, flutes.length
    holes = outside_at.shape[0]
    wall, wall_slope = _wall(body, outside_at)
    wall = wall + flutes.wall_offset
    follows = np.isnan(body.hole_wall)[:, None]
    t = np.where(follows, wall, body.hole_wall[:, None] if holes else wall)
    tilt = LEAN * np.tan(_given(body.hole_slant, holes, 0.0))
    at = outside_at + tilt * t
    boundaries = np.minimum(
        np.broadcast_to(slices.start[1:, None], (len(slices.start) - 1, flutes.count)), length
    )
    position = np.concatenate([at, boundaries]) if len(boundaries) else at
    order: Indices | None = None
    if (np.diff(position, axis=0) < 0).any():
        order = np.argsort(position, axis=0, kind="stable")
        position = np.take_along_axis(position, order, axis=0)
    edges = np.concatenate([np.zeros((1, flutes.count)), position, length[None]])
    cooling = WARMING * _cooling(flutes)
    duct_length = np.diff(edges + cooling * (0.5 * edges - MIDDLE) * edges, axis=0)
    duct_slice = None
    if not slices.straight:
        middle = 0.5 * (edges[1:] + edges[:-1])
        duct_slice = np.maximum(np.searchsorted(slices.start, middle, side="right") - 1, 0)
    a, a_slope = _profile(slices, at, flutes.bore_scale)
    foot_a, foot_slope = _profile(slices, length - 1e-12, flutes.bore_scale)
    foot_a = foot_a + foot_slope * 1e-12
    foot_wall, foot_wall_slope = _wall(body, length)
    foot_outer = foot_a + foot_wall + flutes.wall_offset
    outer = a + wall
    hole_order: Indices | None = None
    if (np.diff(at, axis=0) < 0).any():
        hole_order = np.argsort(
            np.concatenate([at, np.full((1, flutes.count), np.inf)]), axis=0, kind="stable"
        )
    openings = None
    if body.outside and holes:
        angle = _given(body.hole_angle, holes, 0.0)[:, 0]
        openings = openings_of(outside_at, angle, outer, a, length, foot_outer, foot_a)
    return Layout(
        flutes=flutes,
        order=order,
        duct_length=duct_length,
        duct_slice=duct_slice,
        warp=1.0 + cooling * (edges[1:] - MIDDLE),
        a=a,
        a_slope=a_slope,
        t=t,
        t_slope=np.where(follows, wall_slope, 0.0),
        t_follows=follows.astype(float),
        outer=outer,
        wall_slope=wall_slope,
        shape=_shape(body, holes),
        chimney=_chimney_radius(flutes),
        inner_at=at,
        tilt=tilt,
        hole_order=hole_order,
        openings=openings,
        boundary_live=(slices.start[1:, None] < length).astype(float),
        foot_a=foot_a,
        foot_slope=foot_slope,
        foot_outer=foot_outer,
        foot_wall_slope=foot_wall_slope,
    )
