"""The outer end of a finger hole under a plate with a straight edge, as potential flow in three dimensions.

A tube of radius 1 opens in an infinite flange; a plate covers what lies on one side of a chord. The lengths
count from the flange and are those of the full tube. ``python -m tests.fields.covered_hole`` prints a table.
"""

from __future__ import annotations

import math

import netgen.occ as occ
from netgen.occ import Box, Cylinder, Glue, OCCGeometry, Pnt, Sphere
from ngsolve import H1, BilinearForm, GridFunction, InnerProduct, Mesh, TaskManager, ds, dx, grad

DEPTH, FAR = 5.0, 25.0
"""Length of tube, and radius of the half ball of air beyond which p falls as 1/r."""
LAYERS, SHRINK, ORDER = 2, 0.2, 3


def open_share(edge: float) -> float:
    """Of the area, when the plate covers all below ``edge``, -1 to 1."""
    half = math.acos(edge)
    return (half - math.sin(half) * math.cos(half)) / math.pi


def end_length(edge: float, thickness: float) -> float:
    """End correction over the hole's radius, with the edge of the plate at ``edge`` radii from the middle.

    The stiffness a(p, p) of the field with p = 1 at the far end of the tube gives area / a(p, p), the length
    of tube that resists as much; half of everything is left out by symmetry.
    """
    half = Box(Pnt(-100, 0, -100), Pnt(100, 100, 100))
    tube = Cylinder(Pnt(0, 0, -DEPTH), occ.Z, r=1, h=DEPTH) * half
    outside = Sphere(Pnt(0, 0, 0), FAR) * Box(Pnt(-100, 0, 0), Pnt(100, 100, 100))
    if edge > -1:
        plate = Cylinder(Pnt(0, 0, 0), occ.Z, r=1.1, h=thickness) * Box(Pnt(-5, -5, 0), Pnt(edge, 5, 5))
        outside -= plate
    tube.maxh = 0.6
    for face in tube.faces:
        if abs(face.center[2] + DEPTH) < 1e-6:
            face.name = "inlet"
    for face in outside.faces:
        x, y, z = face.center
        if math.hypot(x, y, z) > 0.4 * FAR and y > 1e-3 and z > 1e-3:
            face.name = "far"
    for line in [*tube.edges, *outside.edges]:
        x, y, z = line.center
        near = y > 1e-6 and math.hypot(x, y) < 1.2 and -1e-6 < z < thickness + 1e-6
        if near and abs(line.start[2] - line.end[2]) < 1e-6:
            line.maxh, line.hpref = 0.25, 1
    mesh = Mesh(OCCGeometry(Glue([tube, outside])).GenerateMesh(maxh=FAR / 3, grading=0.35))
    mesh.RefineHP(LAYERS, SHRINK)
    mesh.Curve(ORDER)
    space = H1(mesh, order=ORDER, dirichlet="inlet")
    u, v = space.TnT()
    with TaskManager():
        form = BilinearForm(grad(u) * grad(v) * dx + u * v / FAR * ds("far"), symmetric=True).Assemble()
        pressure = GridFunction(space)
        pressure.Set(1, definedon=mesh.Boundaries("inlet"))
        work = pressure.vec.CreateVector()
        work.data = form.mat * pressure.vec
        pressure.vec.data -= form.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky") * work
        work.data = form.mat * pressure.vec
        return math.pi / 2 / InnerProduct(work, pressure.vec) - DEPTH


if __name__ == "__main__":
    print("plate/radius  edge   open share  end/radius")
    for thickness in (0.02, 0.15):
        for edge in (-1.0, -0.6, -0.3, 0.0, 0.3, 0.6):
            print(
                f"{thickness:12.2f} {edge:5.1f} {open_share(edge):12.4f} {end_length(edge, thickness):11.4f}"
            )
