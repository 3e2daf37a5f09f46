"""The parts of a flute in plain scalar Python: losses, ducts, open ends, tone holes, mouth windows.

Written from the published formulas alone; apart from plain.py, which puts the parts together. Shares no
code with ``scaledesign`` and imports only ``math`` and ``cmath``.

Time factor exp(+j omega t); SI units; U is volume flow towards the foot, and out of a hole; Z = p/U.

Sources (formulas as restated beside each function)
    Zwikker & Kosten 1949, *Sound Absorbing Materials*: exact losses of a round duct.
    Keefe 1984, JASA 75, 58-62: their series for wide ducts.
    Levine & Schwinger 1948, Phys. Rev. 73, 383; Nomura et al. 1960: the two ideal open ends.
    Dalmont, Nederveen & Joly 2001, J. Sound Vib. 244, 505: open ends, with a wall of finite thickness.
    Keefe 1982, 1990; Lefebvre & Scavone 2012, JASA 131, 3153: the hole's T circuit and its lengths.
    Nederveen, Jansen & van Hassel 1998, Acustica 84, 957: matching volume.
    Rayleigh 1896, *The Theory of Sound*, section 306: conductance of an elliptic aperture.
    Undercut, slant, the curve under a finger, what the tube's outside adds to a hole: as the docstring of
    ``scaledesign/physics/branch.py`` words them, written again.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from functools import cache


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
    """A hole: centre m from the mouth plane, radius m, chimney m, outer radius of the tube m.

    All on the tube's outside. ``angle`` rad around the tube; ``slant`` rad from square, positive where the
    bore's end of the hole lies nearer the foot; ``undercut`` m by which the radius is wider at the bore;
    ``aspect`` width along the tube over width across, ``radius`` being that of equal area.
    """

    x: float
    radius: float
    chimney: float
    outer: float
    angle: float = 0.0
    slant: float = 0.0
    undercut: float = 0.0
    aspect: float = 1.0

    @property
    def inner_x(self) -> float:
        """Where it meets the bore, as sound takes it: 0.78 of the way to the middle of its inner opening."""
        return self.x + 0.78 * math.tan(self.slant) * self.chimney


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


IDENTITY: Matrix = ((1, 0), (0, 1))


def determinant(m: Matrix) -> complex:
    """One for every reciprocal two-port."""
    return m[0][0] * m[1][1] - m[0][1] * m[1][0]


def cylinder(length: float, radius: float, frequency: float, air: Air, losses: str = "exact") -> Matrix:
    """Straight round duct."""
    gamma, zc = propagation(radius, frequency, air, losses)
    ch, sh = cmath.cosh(gamma * length), cmath.sinh(gamma * length)
    return (ch, zc * sh), (sh / zc, ch)


def cone(
    length: float,
    r1: float,
    r2: float,
    frequency: float,
    air: Air,
    losses: str = "exact",
    heard: float | None = None,
) -> Matrix:
    """Truncated cone from ``r1`` (mouth side) to ``r2``; losses at the log-mean radius.

    ``heard`` is its length in wavelengths times the wavelength, where the air in it is not all of one kind.
    """
    if abs(r2 - r1) < 1e-6:
        return cylinder(length, (r1 + r2) / 2, frequency, air, losses)
    x1 = r1 * length / (r2 - r1)
    mean = (r2 - r1) / math.log(r2 / r1)
    gamma, zc = propagation(mean, frequency, air, losses)
    zc1 = zc * (mean / r1) ** 2
    gl, gx = gamma * length, gamma * x1
    wave = gl if heard is None else gamma * heard
    ch, sh = cmath.cosh(wave), cmath.sinh(wave)
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


def covered_from_one_side(share: float) -> float:
    """What stands for Fok's function where a straight edge covers a hole of which ``share`` is open.

    Fitted to field solutions of our own; see ``plate_function`` of the package's ``branch``.
    """
    u = 1 - math.sqrt(share)
    return 3.330 * u**1.5 - 1.920 * u**2 - 0.210 * u**3


@cache
def elliptic(aspect: float) -> tuple[float, float]:
    """(conductance of the circle of equal area over an ellipse's, its perimeter over the circle's).

    By the integrals themselves, (2/pi) int 1/sqrt(1 - e^2 sin^2) and (2/pi) int sqrt(1 - e^2 sin^2) over a
    quarter turn: the midpoint rule, which for a periodic function is exact to rounding.
    """
    minor = min(aspect, 1 / aspect)
    steps = 64
    roots = [
        math.sqrt(1 - (1 - minor**2) * math.sin((n + 0.5) * math.pi / 2 / steps) ** 2) for n in range(steps)
    ]
    first, second = sum(1 / r for r in roots) / steps, sum(roots) / steps
    return first * math.sqrt(minor), second / math.sqrt(minor)


@dataclass(frozen=True)
class Branch:
    """A hole taken apart: series element along the bore, inner inertance, chimney, outer end.

    The chimney is a matrix from its outer to its inner end. ``end`` is None where a finger closes it.
    """

    series: complex
    inner: complex
    chimney: Matrix
    end: complex | None

    @property
    def shunt(self) -> complex:
        """Impedance across the bore, the hole alone in the world."""
        (a, b), (c, d) = self.chimney
        outer = a / c if self.end is None else (a * self.end + b) / (c * self.end + d)
        return self.inner + outer


def hole_branch(
    hole: Hole,
    a: float,
    share: float,
    pad: float,
    frequency: float,
    air: Air,
    losses: str = "exact",
    outside: bool = False,
) -> Branch:
    """A hole in a bore of radius ``a``; ``share`` of its area is open, 0..1.

    ``outside``: the finger follows the tube's curve, covers a half-open hole from one side, and the air
    around the tube lengthens the outer end. False: the elements as they were published.
    """
    omega = 2 * math.pi * frequency
    k = omega / air.c
    b, b_in, t = hole.radius, hole.radius + hole.undercut, hole.chimney
    ends, perimeter = elliptic(hole.aspect)
    mean = math.sqrt(b * b_in)
    gamma, zc = propagation(mean / perimeter, frequency, air, losses)
    zc /= perimeter**2
    matching = matching_length(b_in, a) / hole.aspect
    end: complex | None = None
    if share == 0:
        cone_volume = (b_in**2 + b_in * b + b**2) / (3 * b_in * b)
        full = t / math.cos(hole.slant) * cone_volume + matching
        lid = b**2 / (8 * hole.outer) / hole.aspect if outside else 0.0
        length = max(full - min(pad * b + lid, full), 1e-9)
    else:
        length = t * math.cos(hole.slant) ** (2 / 3) + matching
        r_o = b * math.sqrt(share)
        section = math.pi * r_o**2
        end = 1j * omega * air.rho * ends * outer_length(r_o, hole.outer) / section
        end += air.rho * air.c / section * 0.25 * (k * r_o) ** 2
        if share < 1:
            covered = covered_from_one_side(share) if outside else fok(math.sqrt(share))
            end += 1j * omega * air.rho * ends * covered / (4 * r_o)
        if outside:
            further = 0.05 * b**2 / hole.outer + 0.6 * (k * b) ** 2 * hole.outer / 4
            end += 1j * omega * air.rho * further / (math.pi * b**2)
    ch, sh = cmath.cosh(gamma * length), cmath.sinh(gamma * length)
    z0_in = air.rho * air.c / (math.pi * b_in**2)
    return Branch(
        series=1j * k * z0_in * series_length(b_in, a, t, share > 0),
        inner=1j * k * z0_in * ends * inner_length(b_in, a, k),
        chimney=((ch, zc * sh), (sh / zc, ch)),
        end=end,
    )


def hole_impedances(
    hole: Hole, a: float, share: float, pad: float, frequency: float, air: Air, losses: str = "exact"
) -> tuple[complex, complex]:
    """(Z_s, Z_a) of a hole alone in a bore of radius ``a``, as published."""
    branch = hole_branch(hole, a, share, pad, frequency, air, losses)
    return branch.shunt, branch.series


def hole_matrix(z_s: complex, z_a: complex) -> Matrix:
    """T circuit: half the series impedance, the shunt, the other half."""
    half: Matrix = ((1, z_a / 2), (0, 1))
    shunt: Matrix = ((1, 0), (1 / z_s, 1))
    return product(product(half, shunt), half)


# ---- mouth windows ----------------------------------------------------------------------------------


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
