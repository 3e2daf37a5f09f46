"""Flute acoustics in plain scalar Python: one frequency, one fingering, one 2 x 2 matrix at a time.

Apart from the package so that the package can be held against it: written from the published
formulas alone, sharing no code with ``scaledesign``, importing only ``math`` and ``cmath``, and slow on
purpose nowhere and clever nowhere. Nothing here may import ``scaledesign``, numpy or a design file.

Time factor exp(+j omega t); SI units; U is volume flow towards the foot, and out of a hole; Z = p/U.
Playing frequencies are the rising zeros of Im(Z_mouth + Z_bore).

Sources (formulas as restated beside each function)
    Zwikker & Kosten 1949, *Sound Absorbing Materials*: exact losses of a round duct.
    Keefe 1984, JASA 75, 58-62: their series for wide ducts.
    Levine & Schwinger 1948, Phys. Rev. 73, 383; Nomura et al. 1960: the two ideal open ends.
    Dalmont, Nederveen & Joly 2001, J. Sound Vib. 244, 505: open ends, with a wall of finite thickness.
    Keefe 1982, 1990; Lefebvre & Scavone 2012, JASA 131, 3153: the hole's T circuit and its lengths.
    Nederveen, Jansen & van Hassel 1998, Acustica 84, 957: matching volume.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True)
class Air:
    """Sound speed m/s, density kg/m3, viscosity Pa s, heat-capacity ratio, Prandtl number."""

    c: float
    rho: float
    mu: float
    gamma: float
    prandtl: float


CHECK_AIR = Air(343.37, 1.2045, 1.8140e-5, 1.4020, 0.7090)
"""The air in which the check values T0 to T5 are stated."""


@dataclass(frozen=True)
class Hole:
    """A round hole: centre m from the mouth plane, radius m, chimney m, outer radius of the tube m."""

    x: float
    radius: float
    chimney: float
    outer: float


@dataclass(frozen=True)
class Flute:
    """A tube with holes. Mouth at x = 0, foot at ``length``.

    ``bore`` is (x, radius) stations, straight lines between, constant beyond the ends; two stations at
    one x are a step. ``foot`` is "unflanged", "flanged", "wall" (of thickness ``foot_wall``), "stopped",
    "node" (wall, and a plate with a hole of radius ``node``) or "zero" (p = 0). ``delta0`` is the mouth's
    inertance as a length of bore, or None for a pressure node at x = 0; ``drift`` m per kHz squared adds
    to it; ``cavity`` is bore length behind the window. ``pad`` is in hole radii.
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


# ---- losses -----------------------------------------------------------------------------------------


def bessel_ratio(x: complex) -> complex:
    """J1(x)/J0(x) for complex x with Im x < 0: continued fraction, or its large-argument series."""
    if abs(x) <= 12.0:
        v = 0j
        for n in range(80, 0, -1):
            v = 1.0 / (2 * n / x - v)
        return v
    return -1j + 1 / (2 * x) - 1j / (8 * x**2) - 1 / (8 * x**3) + 25j / (128 * x**4)


def propagation(radius: float, frequency: float, air: Air, losses: str = "exact") -> tuple[complex, complex]:
    """Propagation constant (1/m) and characteristic impedance of a round duct.

    ``losses`` is "exact" (Zwikker & Kosten), "series" (Keefe 1984) or "none".
    """
    omega = 2 * math.pi * frequency
    section = math.pi * radius**2
    z0 = air.rho * air.c / section
    if losses == "none":
        return 1j * omega / air.c, complex(z0)
    r_v = radius * math.sqrt(omega * air.rho / air.mu)
    if losses == "series":
        alpha = omega / air.c * (1.045 / r_v + 1.080 / r_v**2 + 0.750 / r_v**3)
        phase_speed = air.c / (1 + 1.045 / r_v)
        zc = z0 * (1 + 0.369 / r_v - 1j * (0.369 / r_v + 1.149 / r_v**2 + 0.303 / r_v**3))
        return alpha + 1j * omega / phase_speed, zc
    x_v = r_v * cmath.exp(-0.25j * math.pi)
    x_t = x_v * math.sqrt(air.prandtl)
    j2_over_j0_v = 2 * bessel_ratio(x_v) / x_v - 1
    j2_over_j0_t = 2 * bessel_ratio(x_t) / x_t - 1
    series = -1j * omega * air.rho / section / j2_over_j0_v
    shunt = 1j * omega * section / (air.rho * air.c**2) * (air.gamma + (air.gamma - 1) * j2_over_j0_t)
    gamma = cmath.sqrt(series * shunt)
    if gamma.real < 0:
        gamma = -gamma
    return gamma, series / gamma


# ---- ducts: [p, U] towards the mouth = M [p, U] towards the foot ------------------------------------

Matrix = tuple[tuple[complex, complex], tuple[complex, complex]]
State = tuple[complex, complex]


def apply(m: Matrix, state: State) -> State:
    """M times [p, U]."""
    p, u = state
    return m[0][0] * p + m[0][1] * u, m[1][0] * p + m[1][1] * u


def product(m: Matrix, n: Matrix) -> Matrix:
    """M N."""
    return (
        (m[0][0] * n[0][0] + m[0][1] * n[1][0], m[0][0] * n[0][1] + m[0][1] * n[1][1]),
        (m[1][0] * n[0][0] + m[1][1] * n[1][0], m[1][0] * n[0][1] + m[1][1] * n[1][1]),
    )


def determinant(m: Matrix) -> complex:
    """One for every reciprocal two-port."""
    return m[0][0] * m[1][1] - m[0][1] * m[1][0]


def cylinder(length: float, radius: float, frequency: float, air: Air, losses: str = "exact") -> Matrix:
    """Straight round duct."""
    gamma, zc = propagation(radius, frequency, air, losses)
    ch, sh = cmath.cosh(gamma * length), cmath.sinh(gamma * length)
    return (ch, zc * sh), (sh / zc, ch)


def cone(length: float, r1: float, r2: float, frequency: float, air: Air, losses: str = "exact") -> Matrix:
    """Truncated cone from ``r1`` (mouth side) to ``r2``; losses at the log-mean radius."""
    if abs(r2 - r1) < 1e-6:
        return cylinder(length, (r1 + r2) / 2, frequency, air, losses)
    x1 = r1 * length / (r2 - r1)
    mean = (r2 - r1) / math.log(r2 / r1)
    gamma, zc = propagation(mean, frequency, air, losses)
    zc1 = zc * (mean / r1) ** 2
    gl, gx = gamma * length, gamma * x1
    ch, sh = cmath.cosh(gl), cmath.sinh(gl)
    a = r2 / r1 * ch - sh / gx
    b = r1 / r2 * zc1 * sh
    c = ((r2 / r1 - 1 / gx**2) * sh + gl * ch / gx**2) / zc1
    d = r1 / r2 * (ch + sh / gx)
    return (a, b), (c, d)


# ---- open ends --------------------------------------------------------------------------------------


def reflection_unflanged(ka: float) -> tuple[float, float]:
    """(|R|, end correction / radius) of a thin-walled end: Dalmont et al. 2001, after Levine & Schwinger."""
    modulus = (1 + 0.2 * ka - 0.084 * ka**2) / (1 + 0.2 * ka + 0.416 * ka**2)
    delta = 0.6133 * ((1 + 0.044 * ka**2) / (1 + 0.19 * ka**2) - 0.02 * math.sin(2 * ka) ** 2)
    return modulus, delta


def reflection_flanged(ka: float) -> tuple[float, float]:
    """(|R|, end correction / radius) of an open end in an infinite flange: Dalmont et al. 2001."""
    modulus = (1 + 0.323 * ka - 0.077 * ka**2) / (1 + 0.323 * ka + 0.923 * ka**2)
    delta = 0.8216 / (1 + (0.77 * ka) ** 2 / (1 + 0.77 * ka))
    return modulus, delta


def reflection_wall(radius: float, outer: float, k: float) -> complex:
    """Reflection at an end with wall of finite thickness: Dalmont et al. 2001, eq. 42 and circular flange."""
    ka = k * radius
    ratio = radius / outer
    mod_u, delta_u = reflection_unflanged(ka)
    mod_f, delta_f = reflection_flanged(ka)
    d_u = delta_u + 1j * math.log(mod_u) / (2 * ka)
    d_f = delta_f + 1j * math.log(mod_f) / (2 * ka)
    d = d_f + ratio * (d_u - d_f) + 0.057 * ratio * (1 - ratio**5)
    edge = 0.43 * (outer - radius) * radius / outer**2 * math.sin(k * outer / (1.85 - ratio)) ** 2
    phase = k * outer * (1 + ratio * (2.3 - ratio - 0.3 * ka**2))
    return -cmath.exp(-2j * ka * d) - edge * cmath.exp(-1j * phase)


def radiation(kind: str, radius: float, wall: float, frequency: float, air: Air) -> complex:
    """Radiation impedance of an open end: kind "unflanged", "flanged" or "wall"."""
    k = 2 * math.pi * frequency / air.c
    z0 = air.rho * air.c / (math.pi * radius**2)
    if kind == "wall":
        r = reflection_wall(radius, radius + wall, k)
    else:
        modulus, delta = (reflection_unflanged if kind == "unflanged" else reflection_flanged)(k * radius)
        r = -modulus * cmath.exp(-2j * k * radius * delta)
    return z0 * (1 + r) / (1 - r)


def fok(xi: float) -> float:
    """What remains, in a duct, of the inner inertance of an aperture of radius xi times the duct's.

    Rayleigh's conductivity with Fok's function (series as usually quoted, from memory); 1 for a small
    aperture, and held at zero near xi = 1, where the truncated series falls to -0.012.
    """
    series = (
        1
        - 1.4092 * xi
        + 0.33818 * xi**3
        + 0.06793 * xi**5
        - 0.02287 * xi**6
        + 0.03015 * xi**7
        - 0.01641 * xi**8
    )
    return max(series, 0.0)


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


# ---- holes ------------------------------------------------------------------------------------------


def matching_length(b: float, a: float) -> float:
    """Length of chimney with the volume between the bore's surface and its tangent plane."""
    delta = b / a
    return b * delta / 8 * (1 + 0.207 * delta**3)


def inner_length(b: float, a: float, k: float) -> float:
    """Shunt length t_i on the bore side: Lefebvre & Scavone 2012."""
    delta, ka = b / a, k * a
    g = 0.82 - 0.193 * delta - 1.09 * delta**2 + 1.27 * delta**3 - 0.71 * delta**4
    h = 1 - 4.56 * delta + 6.55 * delta**2 - 2.99 * delta**3
    i = 0.17 * ka + 0.92 * ka**2 + 0.16 * ka**3 - 0.29 * ka**4
    return b * g * (1 + h * i)


def series_length(b: float, a: float, t: float, is_open: bool) -> float:
    """Series length t_a (negative), of hole section: Lefebvre & Scavone 2012."""
    delta = b / a
    if is_open:
        return -(0.35 - 0.06 * math.tanh(2.7 * t / b)) * b * delta**4
    return -(0.12 + 0.17 * math.tanh(2.4 * t / b)) * b * delta**4


def outer_length(b: float, outer: float) -> float:
    """Radiation length t_r of a hole on a cylinder of radius ``outer``: Dalmont et al. 2001."""
    return b * (0.822 - 0.47 * (b / outer) ** 0.8)


def hole_impedances(
    hole: Hole, a: float, share: float, pad: float, frequency: float, air: Air, losses: str = "exact"
) -> tuple[complex, complex]:
    """(Z_s, Z_a) of a hole in a bore of radius ``a``; ``share`` of its area is open, 0..1."""
    omega = 2 * math.pi * frequency
    k = omega / air.c
    b, t = hole.radius, hole.chimney
    z0h = air.rho * air.c / (math.pi * b**2)
    t_m = matching_length(b, a)
    gamma, zc = propagation(b, frequency, air, losses)
    if share == 0:
        depth = max(t + t_m - min(pad * b, t + t_m), 1e-9)
        z_h = zc / cmath.tanh(gamma * depth)
    else:
        r_o = b * math.sqrt(share)
        section = math.pi * r_o**2
        z_r = 1j * omega * air.rho * outer_length(r_o, hole.outer) / section
        z_r += air.rho * air.c / section * 0.25 * (k * r_o) ** 2
        if share < 1:
            z_r += 1j * omega * air.rho * fok(math.sqrt(share)) / (4 * r_o)
        ch, sh = cmath.cosh(gamma * (t + t_m)), cmath.sinh(gamma * (t + t_m))
        z_h = zc * (z_r * ch + zc * sh) / (z_r * sh + zc * ch)
    z_s = z_h + 1j * k * z0h * inner_length(b, a, k)
    z_a = 1j * k * z0h * series_length(b, a, t, share > 0)
    return z_s, z_a


def hole_matrix(z_s: complex, z_a: complex) -> Matrix:
    """T circuit: half the series impedance, the shunt, the other half."""
    half: Matrix = ((1, z_a / 2), (0, 1))
    shunt: Matrix = ((1, 0), (1 / z_s, 1))
    return product(product(half, shunt), half)


# ---- the whole flute --------------------------------------------------------------------------------


def duct_state(
    flute: Flute, x1: float, x2: float, state: State, frequency: float, air: Air, losses: str
) -> State:
    """Carry [p, U] from x2 back to x1, without holes between: cylinders, and cones in short slices."""
    inner = sorted({x for x, _ in flute.bore if x1 < x < x2}, reverse=True)
    edges = [x2, *inner, x1]
    for right, left in pairwise(edges):
        if right <= left:
            continue
        r1, r2 = flute.radius(left, "foot"), flute.radius(right, "mouth")
        if abs(r2 - r1) < 1e-6:
            state = apply(cylinder(right - left, r1, frequency, air, losses), state)
            continue
        count = math.ceil((right - left) / flute.slice_length - 1e-9)
        for i in range(count, 0, -1):
            near = r1 + (r2 - r1) * (i - 1) / count
            far = r1 + (r2 - r1) * i / count
            state = apply(cone((right - left) / count, near, far, frequency, air, losses), state)
    return state


def bore_state(
    flute: Flute, fingering: tuple[float, ...], frequency: float, air: Air, losses: str = "exact"
) -> State:
    """[p, U] at the mouth plane; ``fingering`` is the open share of each hole, 0..1, mouth to foot."""
    state = foot_state(flute, frequency, air)
    x = flute.length
    order = sorted(range(len(flute.holes)), key=lambda n: flute.holes[n].x, reverse=True)
    for n in order:
        hole = flute.holes[n]
        state = duct_state(flute, hole.x, x, state, frequency, air, losses)
        a = flute.radius(hole.x)
        z_s, z_a = hole_impedances(hole, a, fingering[n], flute.pad, frequency, air, losses)
        state = apply(hole_matrix(z_s, z_a), state)
        x = hole.x
    return duct_state(flute, 0.0, x, state, frequency, air, losses)


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


# ---- mouth estimates and calibration ----------------------------------------------------------------


def added_length_of(
    flute: Flute, fingering: tuple[float, ...], blown: float, air: Air, losses: str = "exact"
) -> float:
    """The inertance, as a length of bore in m, that makes ``blown`` Hz a playing frequency."""
    p, u = bore_state(flute, fingering, blown, air, losses)
    section = math.pi * flute.radius(0.0) ** 2
    return -section * (p / u).imag / (air.rho * 2 * math.pi * blown)


def window_end(width: float, length: float) -> float:
    """End correction (m) of a rectangular aperture in a flange: a piston's, times 0.968."""
    d = math.hypot(width, length)
    integral = 2 * (
        width**2 * length * math.log((length + d) / width)
        + width * length**2 * math.log((width + d) / length)
    )
    integral += 2 / 3 * (width**3 + length**3 - d**3)
    return 0.968 * integral / (2 * math.pi * width * length)


def window_length(width: float, length: float, thickness: float, a: float) -> float:
    """Added length (m) of a duct flute's window as a plain inertance, flanged on both sides."""
    return (thickness + 2 * window_end(width, length)) * math.pi * a**2 / (width * length)


def organ_length(width: float, length: float, a: float) -> float:
    """Added length (m) of an organ pipe's mouth: Ingerslev & Frobenius 1947, from memory."""
    return 2.3 * a**2 / math.sqrt(width * length)


def cents(frequency: float, reference: float) -> float:
    """Cents of ``frequency`` above ``reference``."""
    return 1200 * math.log2(frequency / reference)
