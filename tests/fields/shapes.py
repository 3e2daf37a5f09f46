"""The air in and around a tube with holes, cut along its plane of symmetry, as a mesh of tetrahedra.

All lengths are in millimetres (the solid modeller works to 1e-7 of its unit). x runs from the mouth
plane to the foot, the holes point along z, and the half y > 0 is kept.

What had to be seen to:

- At every edge of wood the flow turns round a corner of 270 degrees and the field is singular, which
  spoils the convergence of any even mesh. Elements there shrink geometrically toward the edge
  (``layers``), and the error falls by ``SHRINK`` to the power 4/3 with each layer.
- The wood is capped beyond the mouth plane, or the mouth would be shared with the outside.
- A closed hole has a lid that lies on the tube: flush with the outside as seen from the chimney. A partly
  covered one has such a lid with a straight edge square to the bore, on the side of the mouth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import netgen.occ as occ
from netgen.occ import Axis, Box, Cylinder, Glue, OCCGeometry, Pnt, WorkPlane
from ngsolve import Mesh

SHRINK = 0.2
"""Thickness of each graded layer at an edge over that of the one before."""
NEAR, ABSORBING = 50.0, 60.0
"""mm of air round the tube, and of absorbing layer round that."""
COARSE, PER_RADIUS, LID, CAP = 35.0, 3.0, 0.5, 4.0
"""mm of the coarsest element; elements for each radius along an edge, and in proportion elsewhere in bore
and chimneys; mm of the thickness of a lid and of the cap."""
X, Y, Z = occ.gp_Dir(1, 0, 0), occ.gp_Dir(0, 1, 0), occ.gp_Dir(0, 0, 1)
TOWARD = occ.gp_Dir(0, -1, 0)


@dataclass(frozen=True)
class Hole:
    """A finger hole: where its middle is on the outside, its diameters, how it is drilled."""

    at: float
    diameter: float
    across: float | None = None
    """Diameter across the tube, for an oval."""
    undercut: float = 0.0
    """Widening of the diameter at the bore: the chimney is a cone."""
    slant: float = 0.0
    """Degrees from square to the bore, positive toward the foot at the bore."""

    @property
    def radii(self) -> tuple[float, float]:
        """Half the diameters, along and across."""
        return self.diameter / 2, (self.across or self.diameter) / 2


@dataclass(frozen=True)
class Tube:
    """A straight or evenly tapered tube with an ideal open mouth and a square-cut foot."""

    length: float
    bore: float
    wall: float
    holes: tuple[Hole, ...]
    foot_bore: float | None = None

    @property
    def foot_radius(self) -> float:
        """Of the bore at the foot."""
        return (self.foot_bore or self.bore) / 2

    def radius(self, x: float) -> float:
        """Of the bore at x."""
        return self.bore / 2 + (self.foot_radius - self.bore / 2) * x / self.length

    def outer(self, x: float) -> float:
        """Outer radius at x."""
        return self.radius(x) + self.wall


def _turned(start: float, end: float, r_start: float, r_end: float) -> occ.Solid:
    """A cylinder or a cone about the x axis."""
    if r_start == r_end:
        return Cylinder(Pnt(start, 0, 0), X, r=r_start, h=end - start)
    plane = WorkPlane(occ.Axes(Pnt(0, 0, 0), n=TOWARD, h=X))
    face = plane.MoveTo(start, 0).LineTo(end, 0).LineTo(end, r_end).LineTo(start, r_start).Close().Face()
    return face.Revolve(Axis(Pnt(0, 0, 0), X), 360)


def _drill(tube: Tube, hole: Hole) -> occ.Solid:
    """What a bit takes away, from the bore's axis to well outside."""
    along, across = hole.radii
    outer = tube.outer(hole.at)
    top = outer + 1
    if hole.undercut:
        slope = -hole.undercut / 2 / tube.wall
        low, high = along - slope * outer, along + slope * (top - outer)
        plane = WorkPlane(occ.Axes(Pnt(hole.at, 0, 0), n=TOWARD, h=X))
        face = plane.MoveTo(0, 0).LineTo(low, 0).LineTo(high, top).LineTo(0, top).Close().Face()
        return face.Revolve(Axis(Pnt(hole.at, 0, 0), Z), 360)
    if along != across:
        heading, radii = (X, (along, across)) if along > across else (Y, (across, along))
        return WorkPlane(occ.Axes(Pnt(hole.at, 0, 0), n=Z, h=heading)).Ellipse(*radii).Face().Extrude(top)
    lean = math.radians(hole.slant)
    start = Pnt(hole.at + outer * math.tan(lean), 0, 0)
    return Cylinder(
        start, occ.gp_Dir(-math.sin(lean), 0, math.cos(lean)), r=along, h=(top + along) / math.cos(lean)
    )


def _lid(tube: Tube, hole: Hole, share: float) -> occ.Solid:
    """A plate on the tube that leaves a share of the hole's diameter open on the side of the foot."""
    reach = 1.1 * max(hole.radii) / math.cos(math.radians(hole.slant))
    plate = Cylinder(Pnt(hole.at, 0, 0), Z, r=reach, h=tube.outer(hole.at) + LID)
    if share == 0:
        return plate
    edge = hole.at + hole.radii[0] * (1 - 2 * share)
    return plate * Box(Pnt(hole.at - 2 * reach, -2 * reach, 0), Pnt(edge, 2 * reach, 1000))


def _reach(tube: Tube, hole: Hole) -> float:
    """How far from its middle a hole's edges lie along the tube, at most."""
    lean = math.radians(abs(hole.slant))
    return (max(hole.radii) + hole.undercut / 2) / math.cos(lean) + tube.wall * math.tan(lean)


def _mark(solids: Sequence[occ.Solid], tube: Tube) -> None:
    """Grade the mesh toward the edges of wood, and refine it in the chimneys."""
    for solid in solids:
        for edge in solid.edges:
            x, y, z = edge.center
            if y < 1e-6:  # in the plane of symmetry
                continue
            ends = [edge.start, edge.end]
            if all(abs(p[0] - tube.length) < 1e-6 for p in ends) and math.hypot(y, z) < 2 * tube.foot_radius:
                edge.maxh, edge.hpref = tube.foot_radius / PER_RADIUS, 1
            for hole in tube.holes:
                if abs(x - hole.at) > _reach(tube, hole) * 1.01 or z < 0:
                    continue
                depth = [math.hypot(p[1], p[2]) - tube.radius(p[0]) for p in ends]
                if all(abs(d) < 1e-4 for d in depth) or all(abs(d - tube.wall) < 1e-4 for d in depth):
                    edge.maxh, edge.hpref = min(hole.radii) / PER_RADIUS, 1
        for face in solid.faces:
            x, y, z = face.center
            for hole in tube.holes:
                if abs(x - hole.at) < _reach(tube, hole) and z > 0 and 0 <= y < 1.1 * max(hole.radii):
                    face.maxh = 1.5 * min(hole.radii) / PER_RADIUS


def extent(tube: Tube) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Corners of the box of air beyond which everything is absorbed."""
    side = NEAR + tube.outer(0)
    return (-NEAR, -side, -side), (tube.length + NEAR, side, side)


def mesh_of(tube: Tube, open_shares: Sequence[float], *, layers: int, order: int) -> Mesh:
    """Mesh of the air: materials "in", "out" and "absorbing", boundary "mouth".

    Parameters
    ----------
    open_shares : share of each hole's diameter that is open, 0 to 1
    layers : graded layers at the edges of wood
    order : of the curved elements
    """
    low, high = extent(tube)
    a, foot = tube.bore / 2, tube.foot_radius
    bore = _turned(0, tube.length, a, foot)
    wood = _turned(0, tube.length, a + tube.wall, foot + tube.wall)
    wood += Cylinder(Pnt(-CAP, 0, 0), X, r=a + tube.wall, h=CAP)
    near = Box(Pnt(*low), Pnt(*high))
    far = Box(Pnt(*(v - ABSORBING for v in low)), Pnt(*(v + ABSORBING for v in high)))
    half = Box(Pnt(-1000, 0, -1000), Pnt(3000, 1000, 1000))
    inside, outside = bore, near - wood
    for hole, share in zip(tube.holes, open_shares, strict=True):
        inside += (_drill(tube, hole) - bore) * wood
        if share < 1:
            outside -= _lid(tube, hole, share)
    inside, outside, absorbing = inside * half, outside * half, (far - near) * half
    for solid, name in ((inside, "in"), (outside, "out"), (absorbing, "absorbing")):
        solid.mat(name)
    inside.maxh = 1.8 * tube.bore / PER_RADIUS
    for face in inside.faces:
        if abs(face.center[0]) < 1e-6:
            face.name = "mouth"
    _mark((inside, outside), tube)
    mesh = Mesh(OCCGeometry(Glue([inside, outside, absorbing])).GenerateMesh(maxh=COARSE, grading=0.4))
    if layers:
        mesh.RefineHP(layers, SHRINK)
    mesh.Curve(order)
    return mesh
