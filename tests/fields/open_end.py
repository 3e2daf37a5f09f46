"""The open end of a tube with a wall, solved in two dimensions about its axis.

Finite elements (NGSolve) of high order, graded toward the two rims, where the field is singular. All
lengths are in radii of the bore; the tube runs back without end. ``python -m tests.fields.open_end``
prints both fields as tables.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

import numpy as np
from netgen.occ import Circle, Face, Glue, MoveTo, OCCGeometry, gp_Pnt2d
from ngsolve import (
    H1,
    BilinearForm,
    GridFunction,
    IfPos,
    InnerProduct,
    Integrate,
    LinearForm,
    Mesh,
    ds,
    dx,
    grad,
    x,
    y,
)

LAYERS, SHRINK = 4, 0.15
"""Graded layers at a rim, and the size of each over that of the one before."""
BACK, NEAR, ABSORBING = 5.0, 4.0, 4.0
"""From the inlet to the end; air beyond tube and end; absorbing layer round that."""
DECAY = 10.0
"""Neper that a wave loses on its way through the absorbing layer."""


def _box(left: float, bottom: float, right: float, top: float) -> Face:
    return MoveTo(left, bottom).Rectangle(right - left, top - bottom).Face()


def _mesh(air: Face, rims: Sequence[float], size: float, inlet: float) -> Mesh:
    """Mesh of some faces of air, with the rims at x = 0 graded and the bore's boundary "inlet" named."""
    for edge in air.edges:
        if abs(edge.center.x - inlet) < 1e-9 and edge.center.y < 1:
            edge.name = "inlet"
    for vertex in air.vertices:
        if abs(vertex.p.x) < 1e-9 and any(abs(vertex.p.y - rim) < 1e-9 for rim in rims):
            vertex.hpref = 1
    mesh = Mesh(OCCGeometry(air, dim=2).GenerateMesh(maxh=size, grading=0.4))
    mesh.RefineHP(LAYERS, SHRINK)
    return mesh


def reflection(ka: float, outer: float, *, order: int = 6, near: float = NEAR) -> complex:
    """Pressure reflection of the plane wave at the end, for exp(+i w t), referred to the end's plane.

    Laplace(p) + (ka)^2 p = 0, p = 1 on a section of the bore, BACK behind the end. Outgoing waves by a
    perfectly matched layer, coordinates t -> t + i s(t) with s cubic, written out in r and x because the
    weight r is stretched too. From the form a(p, p), half the section's area over r and the stationary
    value give z = -i k (1/2) / a(p, p), conjugated.

    Parameters
    ----------
    ka : wave number times bore radius
    outer : outer radius over bore radius, more than 1
    """
    back, top = BACK + 2.0, outer + near
    far_left, far_right, far_top = -back - ABSORBING, near + ABSORBING, top + ABSORBING
    solid = _box(far_left, 1, 0, outer) + _box(far_left, 0, -BACK, 1)
    air = Glue([_box(-back, 0, near, top) - solid, _box(far_left, 0, far_right, far_top)
                - _box(-back, 0, near, top) - solid])  # fmt: skip
    mesh = _mesh(air, (1.0, outer), 1.0, -BACK)
    scale = 1j * DECAY / (ka * ABSORBING**3)
    in_x = IfPos(x - near, x - near, IfPos(-back - x, x + back, 0))
    in_r = IfPos(y - top, y - top, 0)
    by_x, by_r, r = 1 + 3 * scale * in_x**2, 1 + 3 * scale * in_r**2, y + scale * in_r**3
    space = H1(mesh, order=order, complex=True, dirichlet="inlet")
    u, v = space.TnT()
    form = BilinearForm(space, symmetric=True)
    form += (
        by_r / by_x * grad(u)[0] * grad(v)[0]
        + by_x / by_r * grad(u)[1] * grad(v)[1]
        - ka**2 * by_x * by_r * u * v
    ) * r * dx  # fmt: skip
    form.Assemble()
    pressure = GridFunction(space)
    pressure.Set(1, definedon=mesh.Boundaries("inlet"))
    work = pressure.vec.CreateVector()
    work.data = form.mat * pressure.vec
    pressure.vec.data -= form.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky") * work
    work.data = form.mat * pressure.vec
    z = (-0.5j * ka / InnerProduct(work, pressure.vec, conjugate=False)).conjugate()
    return (z - 1) / (z + 1) * cmath.exp(2j * ka * BACK)


def end_length(ka: float, outer: float, **how: float) -> tuple[float, float]:
    """End correction over the bore's radius, and |R|."""
    r = reflection(ka, outer, **how)
    return cmath.phase(-r) / (-2 * ka), abs(r)


def static_field(outer: float, behind: Sequence[float], *, order: int = 5) -> tuple[float, np.ndarray]:
    """End correction, and 4 pi p on the tube's outside at distances ``behind`` its end, for a flow of one.

    Potential flow (Laplace(p) = 0, dp/dn = flow over area) out of the bore, to a sphere of 300 radii
    where p = 1/(4 pi r). Of an opening at distance D from every point, 4 pi p is 1/D.
    """
    far, depth = 300.0, 8.0
    solid = _box(-2 * far, 1, 0, outer) + _box(-2 * far, 0, -depth, 1)
    ball = Circle(gp_Pnt2d(0, 0), far).Face() * _box(-2 * far, 0, 2 * far, 2 * far)
    air = ball - solid
    for edge in air.edges:
        if all(abs(math.hypot(v.p.x, v.p.y) - far) < 1e-6 for v in edge.vertices):
            edge.name = "far"
    mesh = _mesh(air, (1.0, outer), far / 4, -depth)
    mesh.Curve(order)
    space = H1(mesh, order=order)
    u, v = space.TnT()
    form = BilinearForm(grad(u) * grad(v) * y * dx + u * v / far * y * ds("far")).Assemble()
    flow = LinearForm(v / math.pi * y * ds("inlet")).Assemble()
    pressure = GridFunction(space)
    pressure.vec.data = form.mat.Inverse() * flow.vec
    at_inlet = 2 * Integrate(pressure * y * ds("inlet"), mesh)
    values = [4 * math.pi * pressure(mesh(-d, outer * (1 + 1e-9))) for d in behind]
    return math.pi * at_inlet - depth, np.array(values)


if __name__ == "__main__":
    print("wall/radius    ka   end/radius    |R|")
    for wall in (0.1, 0.25, 0.5, 1.0):
        for ka in (0.1, 0.2, 0.4, 0.8):
            length, size = end_length(ka, 1 + wall)
            print(f"{wall:11.2f} {ka:5.2f} {length:12.5f} {size:7.5f}")
    distances = np.array([0.5, 1, 1.5, 2, 3, 4, 6, 8, 12, 20])
    for outer in (1.2, 1.5, 2.0):
        length, values = static_field(outer, list(distances * outer))
        print(f"outer radius {outer}: end correction {length:.4f}; distance behind the end, then how much")
        print("further the flow seems to come from, both in outer radii:")
        for d, value in zip(distances, values, strict=True):
            print(f"{d:6.1f} {1 / (value * outer) - d:8.3f}")
