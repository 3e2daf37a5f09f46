"""A plain flute as the package's arrays and back: the one place where reference and package meet.

Apart from plain.py so that the reference itself imports nothing of the package.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scaledesign.physics.air import fixed_air
from scaledesign.physics.flute import Airway, Body, Flutes, slices_of
from scaledesign.solver.resonance import Fingerings, resonances
from tests.reference.plain import Air, Flute, Hole


def flutes_of(flute: Flute, air: Air) -> Flutes:
    """A batch of one. The foot must be one the package has, and the wall the same everywhere."""
    walls = {hole.chimney for hole in flute.holes} | {
        round(hole.outer - flute.radius(hole.inner_x), 12) for hole in flute.holes
    }
    wall = 0.0 if flute.foot == "unflanged" else flute.foot_wall
    if flute.foot not in ("flanged", "stopped"):
        walls.add(wall)
    if len({round(w, 9) for w in walls}) > 1 or flute.foot == "zero":
        raise ValueError("the package has no such flute")
    kind = {"unflanged": "open", "wall": "open"}.get(flute.foot, flute.foot)
    x, radius = (np.array(column, float) for column in zip(*flute.bore, strict=True))
    body = Body(
        slices=slices_of(x, radius),
        wall_x=np.zeros(1),
        wall=np.array([max(walls, default=wall)]),
        hole_wall=np.full(len(flute.holes), np.nan),
        foot=kind,
        foot_radius=flute.node or 0.0,
        ideal_mouth=flute.delta0 is None,
        cavity=flute.cavity,
        pad=flute.pad,
        hole_angle=np.array([hole.angle for hole in flute.holes]),
        hole_slant=np.array([hole.slant for hole in flute.holes]),
        hole_undercut=np.array([hole.undercut for hole in flute.holes]),
        hole_aspect=np.array([hole.aspect for hole in flute.holes]),
        cooling=flute.cooling,
        airway=Airway(*flute.airway) if flute.airway else None,
        outside=flute.outside,
    )
    return Flutes(
        body=body,
        at=np.array([[hole.x for hole in flute.holes]]),
        radius=np.array([[hole.radius for hole in flute.holes]]),
        length=np.array([flute.length]),
        added_length=np.array([flute.delta0 or 0.0]),
        drift=np.array([flute.drift]),
        bore_scale=np.ones(1),
        wall_offset=np.zeros(1),
        air=fixed_air(air.c, air.rho, air.mu, air.gamma, air.prandtl).repeat(1),
    )


def package_frequencies(
    flute: Flute, fingerings: list[tuple[float, ...]], registers: list[int], air: Air, losses: bool = True
) -> np.ndarray:
    """What the package says, Hz, one a fingering."""
    share = np.array(fingerings, float).reshape(len(fingerings), len(flute.holes)).T
    fingered = Fingerings(share, np.array(registers))
    return resonances(flutes_of(flute, air), fingered, losses=losses).frequency[0]


def plain_of(flutes: Flutes, n: int = 0) -> tuple[Flute, Air]:
    """One flute of the package's arrays as a plain one, and its air; the other way round."""
    body, gas = flutes.body, flutes.air
    scale = float(flutes.bore_scale[n])
    bore: list[tuple[float, float]] = []
    slices = body.slices
    for i, (start, radius) in enumerate(zip(slices.start, slices.radius, strict=True)):
        bore.append((float(start), float(radius) * scale))
        if i + 1 < len(slices.start):
            bore.append((float(slices.start[i + 1]), float(slices.end_radius[i]) * scale))
    flute = Flute(
        bore=tuple(bore),
        length=float(flutes.length[n]),
        foot="wall" if body.foot == "open" else body.foot,
        node=body.foot_radius or None,
        delta0=None if body.ideal_mouth else float(flutes.added_length[n]),
        drift=float(flutes.drift[n]),
        cavity=body.cavity,
        pad=body.pad,
        airway=(body.airway.resistance, body.airway.inertance, body.airway.chamber) if body.airway else None,
        cooling=body.cooling,
        outside=body.outside,
    )

    def wall(x: float) -> float:
        return float(np.interp(x, body.wall_x, body.wall) + flutes.wall_offset[n])

    def given(values: np.ndarray, i: int, default: float) -> float:
        return float(values[i]) if len(values) else default

    holes = []
    for i, (x, radius, own) in enumerate(zip(flutes.at[n], flutes.radius[n], body.hole_wall, strict=True)):
        hole = Hole(
            float(x),
            float(radius),
            wall(x) if np.isnan(own) else float(own),
            0.0,
            given(body.hole_angle, i, 0.0),
            given(body.hole_slant, i, 0.0),
            given(body.hole_undercut, i, 0.0),
            given(body.hole_aspect, i, 1.0),
        )
        holes.append(replace(hole, outer=flute.radius(hole.inner_x) + wall(x)))
    values = (
        float(np.broadcast_to(v, flutes.length.shape)[n]) for v in (gas.c, gas.rho, gas.mu, gas.gamma, gas.pr)
    )
    return replace(flute, holes=tuple(holes), foot_wall=wall(flute.length)), Air(*values)
