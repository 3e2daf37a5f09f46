"""A whole flute in plain scalar Python: one frequency, one fingering, one 2 x 2 matrix at a time.

Apart from the package so that the package can be held against it: written from the published
formulas alone (elements.py), sharing no code with ``scaledesign``. Nothing here may import
``scaledesign`` or a design file. What openings do to each other outside is in outside.py.

Playing frequencies are the rising zeros of Im(Z_mouth + Z_bore).
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from itertools import pairwise

from tests.reference.elements import (
    CHECK_AIR,
    IDENTITY,
    Air,
    Hole,
    Matrix,
    State,
    apply,
    cone,
    cylinder,
    fok,
    hole_branch,
    hole_matrix,
    product,
    propagation,
    radiation,
)
from tests.reference.outside import Nodal, mutual

__all__ = [
    "CHECK_AIR",
    "Air",
    "Flute",
    "Hole",
    "cents",
    "pattern",
    "playing_frequencies",
    "playing_frequency",
    "total_impedance",
]


@dataclass(frozen=True)
class Flute:
    """A tube with holes. Mouth at x = 0, foot at ``length``.

    ``bore`` is (x, radius) stations, straight lines between, constant beyond the ends; two stations at
    one x are a step. ``foot`` is "unflanged", "flanged", "wall" (of thickness ``foot_wall``), "stopped",
    "node" (wall, and a plate with a hole of radius ``node``) or "zero" (p = 0). ``delta0`` is the mouth's
    inertance as a length of bore, or None for a pressure node at x = 0; ``drift`` m per kHz squared adds
    to it; ``cavity`` is bore length behind the window, ``airway`` (resistance 1/m2, inertance 1/m, m of bore)
    flue and slow-air chamber beside it. ``pad`` is in hole radii. ``cooling`` K/m is how much cooler the bore
    is towards the foot; the air is that 0.3 m from the mouth. ``outside``: open holes and foot act on each
    other through the air around the tube; else each stands alone, as the sources have it.
    """

    bore: tuple[tuple[float, float], ...]
    length: float
    holes: tuple[Hole, ...] = ()
    foot: str = "wall"
    foot_wall: float = 0.0
    node: float | None = None
    delta0: float | None = None
    drift: float = 0.0
    cavity: float = 0.0
    pad: float = 0.5
    slice_length: float = 0.010
    airway: tuple[float, float, float] | None = None
    cooling: float = 0.0
    outside: bool = False

    def radius(self, x: float, side: str = "foot") -> float:
        """Bore radius at ``x``; at a step, the radius on its "mouth" or "foot" side."""
        stations = self.bore
        if x < stations[0][0]:
            return stations[0][1]
        inner = stations[0][1]
        for (x1, r1), (x2, r2) in pairwise(stations):
            if x1 < x < x2 or (x == x2 and x1 < x2 and side == "mouth"):
                return r1 + (r2 - r1) * (x - x1) / (x2 - x1)
            if x2 <= x:
                inner = r2
        return inner


def foot_state(flute: Flute, frequency: float, air: Air) -> State:
    """[p, U] at the foot, to any scale.

    A node is a thin plate: the aperture's outer side radiates like a tube end of the aperture's radius
    within the whole tube's outer radius, its inner side adds Fok's inertance rho F / (4 r). At an aperture
    as wide as the bore it is the plain open foot.
    """
    if flute.foot == "stopped":
        return 1 + 0j, 0j
    if flute.foot == "zero":
        return 0j, 1 + 0j
    a = flute.radius(flute.length, "mouth")
    if flute.foot == "node":
        assert flute.node is not None
        r = flute.node
        inner = 2j * math.pi * frequency * air.rho * fok(r / a) / (4 * r)
        return radiation("wall", r, a + flute.foot_wall - r, frequency, air) + inner, 1 + 0j
    return radiation(flute.foot, a, flute.foot_wall, frequency, air), 1 + 0j


def heard_length(flute: Flute, x1: float, x2: float) -> float:
    """Length of bore in wavelengths, times the wavelength 0.3 m from the mouth: c ~ sqrt(T), T near 300 K."""
    return (x2 - x1) * (1 + flute.cooling / 600 * (0.5 * (x1 + x2) - 0.3))


def duct_matrix(flute: Flute, x1: float, x2: float, frequency: float, air: Air, losses: str) -> Matrix:
    """The bore from x2 back to x1, without holes between: cylinders, and cones in short slices."""
    inner = sorted({x for x, _ in flute.bore if x1 < x < x2})
    matrix = IDENTITY
    for left, right in pairwise([x1, *inner, x2]):
        if right <= left:
            continue
        r1, r2 = flute.radius(left, "foot"), flute.radius(right, "mouth")
        if abs(r2 - r1) < 1e-6:
            length = heard_length(flute, left, right)
            matrix = product(matrix, cylinder(length, r1, frequency, air, losses))
            continue
        count = math.ceil((right - left) / flute.slice_length - 1e-9)
        step = (right - left) / count
        for i in range(count):
            near, far = r1 + (r2 - r1) * i / count, r1 + (r2 - r1) * (i + 1) / count
            heard = heard_length(flute, left + i * step, left + (i + 1) * step)
            matrix = product(matrix, cone(step, near, far, frequency, air, losses, heard))
    return matrix


def bore_state(
    flute: Flute, fingering: tuple[float, ...], frequency: float, air: Air, losses: str = "exact"
) -> State:
    """[p, U] at the mouth plane; ``fingering`` is the open share of each hole, 0..1, mouth to foot."""
    if flute.outside:
        return coupled_state(flute, fingering, frequency, air, losses)
    state = foot_state(flute, frequency, air)
    x = flute.length
    order = sorted(range(len(flute.holes)), key=lambda n: flute.holes[n].inner_x, reverse=True)
    for n in order:
        hole = flute.holes[n]
        state = apply(duct_matrix(flute, hole.inner_x, x, frequency, air, losses), state)
        a = flute.radius(hole.inner_x)
        branch = hole_branch(hole, a, fingering[n], flute.pad, frequency, air, losses)
        state = apply(hole_matrix(branch.shunt, branch.series), state)
        x = hole.inner_x
    return apply(duct_matrix(flute, 0.0, x, frequency, air, losses), state)


def coupled_state(
    flute: Flute, fingering: tuple[float, ...], frequency: float, air: Air, losses: str = "exact"
) -> State:
    """[p, U] at the mouth plane with everything the openings do to each other, by one dense system.

    Pressures over rho c/S and flows as they are, S the bore's at the mouth; every equation is one a textbook
    has: two for each length of bore, two for each hole, one for the foot.
    """
    order = sorted(range(len(flute.holes)), key=lambda n: flute.holes[n].inner_x)
    holes = [flute.holes[n] for n in order]
    unit = air.rho * air.c / (math.pi * flute.radius(0.0) ** 2)
    stops = [0.0, *(hole.inner_x for hole in holes), flute.length]
    system = Nodal(len(holes) + 1)
    for x1, x2 in pairwise(stops):
        (a, b), (c, d) = duct_matrix(flute, x1, x2, frequency, air, losses)
        system.bore(a, b / unit, c * unit, d)
    for i, (n, hole) in enumerate(zip(order, holes, strict=True)):
        a = flute.radius(hole.inner_x)
        branch = hole_branch(hole, a, fingering[n], flute.pad, frequency, air, losses, outside=True)
        system.hole(i, branch, unit)
    system.foot(foot_state(flute, frequency, air), unit)
    system.outside(mutual(flute.length, foot_outer(flute), holes, frequency, air), unit)
    p, u = system.solved()
    return p * unit, u


def foot_outer(flute: Flute) -> float:
    """Outer radius of the tube at its foot."""
    return flute.radius(flute.length, "mouth") + flute.foot_wall


def mouth_impedance(flute: Flute, frequency: float, air: Air, losses: str = "exact") -> complex:
    """Everything upstream: an inertance, with the cavity behind the window in parallel."""
    if flute.delta0 is None:
        return 0j
    a = flute.radius(0.0)
    length = flute.delta0 + flute.drift * (frequency / 1000) ** 2
    z_m = 2j * math.pi * frequency * air.rho * length / (math.pi * a**2)
    if flute.cavity:
        gamma, zc = propagation(a, frequency, air, losses)
        z_m = 1 / (1 / z_m + cmath.tanh(gamma * flute.cavity) / zc)
    if flute.airway:
        resistance, inertance, chamber = flute.airway
        volume = math.pi * flute.radius(0.0) ** 2 * chamber
        k = 2 * math.pi * frequency / air.c
        airway = air.rho * air.c * (resistance + 1j * k * inertance + 1 / (1j * k * volume))
        z_m = 1 / (1 / z_m + 1 / airway)
    return z_m


def reactance(
    flute: Flute, fingering: tuple[float, ...], frequency: float, air: Air, losses: str = "exact"
) -> float:
    """Im Z_total times |U|^2, free of poles: same zeros and same sense of crossing as Im Z_total."""
    p, u = bore_state(flute, fingering, frequency, air, losses)
    return (p * u.conjugate()).imag + mouth_impedance(flute, frequency, air, losses).imag * abs(u) ** 2


def total_impedance(
    flute: Flute, fingering: tuple[float, ...], frequency: float, air: Air, losses: str = "exact"
) -> complex:
    """Z_mouth + Z_bore."""
    p, u = bore_state(flute, fingering, frequency, air, losses)
    return p / u + mouth_impedance(flute, frequency, air, losses)


def playing_frequencies(
    flute: Flute, fingering: tuple[float, ...], air: Air, count: int = 1, losses: str = "exact"
) -> list[float]:
    """The first ``count`` playing frequencies, Hz, lowest first.

    A scan upward from a tenth of the open tube's fundamental in steps of a fortieth of it counts every
    rising change of sign from the bottom, so register n is the n-th; Brent's method closes each in.
    """
    from scipy.optimize import brentq

    def f(frequency: float) -> float:
        return reactance(flute, fingering, frequency, air, losses)

    fundamental = air.c / (2 * (flute.length + (flute.delta0 or 0.0) + flute.radius(flute.length)))
    step = fundamental / 40
    found: list[float] = []
    low = 4 * step
    f_low = f(low)
    while len(found) < count:
        high = low + step
        if high > 20000:
            raise ArithmeticError(f"only {len(found)} playing frequencies below 20 kHz")
        f_high = f(high)
        if f_low < 0 <= f_high:
            found.append(brentq(f, low, high, xtol=1e-9, rtol=1e-12))
        low, f_low = high, f_high
    return found


def playing_frequency(
    flute: Flute, fingering: tuple[float, ...], air: Air, register: int = 1, losses: str = "exact"
) -> float:
    """The playing frequency of one register, Hz."""
    return playing_frequencies(flute, fingering, air, register, losses)[-1]


def pattern(text: str) -> tuple[float, ...]:
    """Open shares of a pattern mouth to foot: "1", "O" open; "0", "X" closed; "H" half of the area."""
    share = {"1": 1.0, "O": 1.0, "0": 0.0, "X": 0.0, "H": 0.5}
    return tuple(share[letter] for letter in text if letter != " ")


def added_length_of(
    flute: Flute, fingering: tuple[float, ...], blown: float, air: Air, losses: str = "exact"
) -> float:
    """The inertance, as a length of bore in m, that makes ``blown`` Hz a playing frequency."""
    p, u = bore_state(flute, fingering, blown, air, losses)
    section = math.pi * flute.radius(0.0) ** 2
    return -section * (p / u).imag / (air.rho * 2 * math.pi * blown)


def cents(frequency: float, reference: float) -> float:
    """Cents of ``frequency`` above ``reference``."""
    return 1200 * math.log2(frequency / reference)
