"""Tone holes: the two lumped elements that one hole puts across and along the bore.

A hole is a T circuit (D. H. Keefe 1982, "Theory of the single woodwind tone hole", J. Acoust. Soc.
Am. 72, 676-687): half a series element, a shunt, half a series element, at the hole's centre.
``tone_holes`` gives both elements for any mixture of open, partly open and closed holes in one
expression, with exact partial derivatives. Where the hole stands is not known here.

Scaled units (see ``network``): shunt y = delta^2 y_s with y_s the shunt admittance over pi b^2/(rho c);
series z = j k t_a / delta^2 with t_a the series length normalised by the hole.

Lengths (b hole radius, a bore radius, delta = b/a, t chimney height, R outer radius of the tube)
-------------------------------------------------------------------------------------------------
t_m  matching volume: C. J. Nederveen, J. K. M. Jansen and R. R. van Hassel 1998, Acustica 84, 957-966
     (from memory; leading term derived, confirmed by a field solution).
t_i  inner length, t_a series length: A. Lefebvre and G. P. Scavone 2012, "Characterization of woodwind
     instrument toneholes with the finite element method", J. Acoust. Soc. Am. 131, 3153-3163 (from
     memory, confirmed by a field solution); above delta = 0.8 the polynomial of V. Dubos et al. 1999,
     J. Sound Vib. 219, 1-30, which the field solution prefers there, blended between 0.7 and 0.9.
t_r  outer length on a cylinder: Dalmont, Nederveen and Joly 2001 (see ``radiation``).
partly open: an aperture of the open share of the area at the outer end, Rayleigh's conductivity with
     Fok's function (see ``radiation``).
finger: a pad that dips ``pad`` hole radii into a closed hole, never deeper than the chimney
     (in the range of P. Dickens 2007, eqs. 4.12-4.13 and fig. 4.11).

Valid for delta 0.2..1, t/b >= 0.1, k a < 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scaledesign.physics.arrays import Complexes, Floats
from scaledesign.physics.duct import Line
from scaledesign.physics.radiation import fok_function

_INNER = (0.82, -0.193, -1.09, 1.27, -0.71)
_INNER_WIDE = (0.822, -0.095, -1.566, 2.138, -1.640, 0.502)
_WAVE_DELTA = (1.0, -4.56, 6.55, -2.99)
_WAVE_KA = (0.0, 0.17, 0.92, 0.16, -0.29)


@dataclass(frozen=True, slots=True)
class Partial:
    """Partial derivatives of one element, arrays of the element's shape.

    By ln k, by ln b (hole radius), by ln a (bore radius), by t (chimney height, 1/m), by ln R (outer
    radius), and by what the chimney's wall losses hang on: the logarithms of its viscous and thermal
    boundary-layer numbers (``r_v``, ``r_t``) and the heat-capacity ratio (``g``).
    """

    k: Complexes
    b: Complexes
    a: Complexes
    t: Complexes
    outer: Complexes
    r_v: Complexes
    r_t: Complexes
    g: Complexes


@dataclass(frozen=True, slots=True)
class ToneHoles:
    """Shunt ``y`` and series ``z`` of every hole, with their partial derivatives on demand."""

    y: Complexes
    z: Complexes
    y_by: Partial | None
    z_by: Partial | None
    theta: Complexes
    """Gamma times the chimney's length."""
    y_end: Complexes
    """Characteristic impedance of the chimney over the impedance of its outer end; 0 when closed."""

    @property
    def outlet(self) -> Complexes:
        """Outflow at the outer end over the flow that leaves the bore; 0 where the hole is closed."""
        cosh, sinh = np.cosh(self.theta), np.sinh(self.theta)
        return np.asarray(self.y_end / (self.y_end * cosh + sinh + (self.y_end == 0)))


def _polynomial(coefficients: tuple[float, ...], x: Floats) -> tuple[Floats, Floats]:
    """Value and slope by Horner's rule."""
    value, slope = x * coefficients[-1] + coefficients[-2], np.full(x.shape, coefficients[-1])
    for c in coefficients[-3::-1]:
        slope = slope * x + value
        value = value * x + c
    return value, slope


def matching_length(b: Floats, delta: Floats) -> tuple[Floats, Floats, Floats]:
    """t_m = (b delta/8)(1 + 0.207 delta^3) in m, and d/d ln b, d/d ln a."""
    base, cube = b * delta / 8.0, 0.207 * delta**3
    return base * (1 + cube), base * (2 + 5 * cube), -base * (1 + 4 * cube)


def inner_length(delta: Floats) -> tuple[Floats, Floats]:
    """t_i at low frequency over the hole's radius, and its slope in delta."""
    narrow, narrow_slope = _polynomial(_INNER, delta)
    if not (delta > 0.7).any():
        return narrow, narrow_slope
    wide, wide_slope = _polynomial(_INNER_WIDE, delta)
    u = np.clip((delta - 0.7) / 0.2, 0.0, 1.0)
    share, share_slope = u * u * (3 - 2 * u), 6 * u * (1 - u) / 0.2
    return (
        narrow + share * (wide - narrow),
        narrow_slope + share * (wide_slope - narrow_slope) + share_slope * (wide - narrow),
    )


def outer_length(b: Floats, outer: Floats, share: Floats) -> tuple[Floats, Floats, Floats]:
    """Outer length t_out of a hole of which ``share`` of the area is open, and d/d ln b, d/d ln R.

    share 1: b (0.822 - 0.47 (b/R)^0.8); the hole's impedance is rho c/(pi b^2) (j k t_out + (kb)^2/4).
    """
    root = np.sqrt(share)
    whole = bool((share == 1.0).all())
    fok = np.zeros(root.shape) if whole else np.pi / 4 * fok_function(root)[0]
    power = 0.47 * (b * root / outer) ** 0.8
    rim = b / root
    return rim * (0.822 - power + fok), rim * (0.822 - 1.8 * power + fok), 0.8 * rim * power


def tone_holes(
    k: Floats,
    b: Floats,
    a: Floats,
    t: Floats,
    outer: Floats,
    share: Floats,
    pad: float,
    chimney: Line,
    *,
    partials: bool,
) -> ToneHoles:
    """Shunt and series elements of tone holes in any state.

    Parameters
    ----------
    k : array, 1/m
        omega / c.
    b, a, t, outer : arrays, m
        Hole radius, bore radius at the hole, chimney height, outer radius of the tube.
    share : array
        Open share of the hole's area, 0 (closed by a finger) to 1.
    pad : float
        How far a finger dips into a closed hole, in hole radii.
    chimney : Line
        Wall losses at the hole's radius.
    partials : bool
        Whether the derivatives are wanted.

    Returns
    -------
    ToneHoles, arrays of the broadcast shape.
    """
    delta = b / a
    is_open = share > 0
    t_m, t_m_b, t_m_a = matching_length(b, delta)
    full = t + t_m
    dip = np.where(is_open, 0.0, np.minimum(pad * b, full))
    length = full - dip
    g, g_slope = inner_length(delta)
    h, h_slope = _polynomial(_WAVE_DELTA, delta)
    ka = k * a
    i, i_slope = _polynomial(_WAVE_KA, ka)
    bracket = 1 + h * i
    t_i = b * g * bracket
    t_out, t_out_b, t_out_outer = outer_length(b, outer, np.where(is_open, share, 1.0))
    kb2 = (k * b) ** 2
    end = 1j * k * t_out + 0.25 * kb2
    y_end = np.where(is_open, 1.0 / end, 0.0)

    theta = chimney.gamma * length
    decay = np.exp(-2.0 * theta)  # tanh by way of exp: numpy's own is slower
    tanh = (1.0 - decay) / (1.0 + decay)
    zc = chimney.z
    kti = 1j * k * t_i
    numerator = zc * y_end + tanh
    inverse = 1.0 / (zc * (1 + zc * tanh * y_end) + kti * numerator)
    y_s = numerator * inverse
    delta2 = delta * delta
    y = delta2 * y_s

    tall = 2.7 * t / b
    tall_closed = 2.4 * t / b
    th_open, th_closed = np.tanh(tall), np.tanh(tall_closed)
    kappa = np.where(is_open, 0.35 - 0.06 * th_open, 0.12 + 0.17 * th_closed)
    z = -1j * k * (b * delta2 * kappa)
    if not partials:
        return ToneHoles(y, z, None, None, theta, zc * y_end)

    weight = (1 - y_s * kti) * inverse
    by_tanh = weight - y_s * zc**2 * y_end * inverse
    by_zc = weight * y_end - y_s * (1 + 2 * zc * tanh * y_end) * inverse
    by_end = (weight * zc - y_s * zc**2 * tanh * inverse) * (-(y_end**2))
    by_ti = -1j * y_s**2 * k
    by_theta = by_tanh * (1 - tanh**2)
    by_length = by_theta * chimney.gamma
    by_log_gamma = by_theta * theta
    by_log_z = by_zc * zc
    half_v, half_t, half_g = 0.5 * chimney.e_v, 0.5 * chimney.e_t, 0.5 * chimney.g_t
    free = np.where(is_open | (pad * b < full), 1.0, 0.0)
    dip_b = np.where(is_open, 0.0, pad * b)
    ti_b = b * (g + g_slope * delta) * bracket + b * g * h_slope * delta * i
    ti_a = -b * g_slope * delta * bracket + b * g * (h * i_slope * ka - h_slope * delta * i)
    r_v = delta2 * (by_log_gamma + by_log_z) * half_v
    r_t = delta2 * (by_log_gamma - by_log_z) * half_t
    y_by = Partial(
        k=delta2 * (by_log_gamma + by_ti * (t_i + b * g * h * i_slope * ka)
                    + by_end * (1j * k * t_out + 0.5 * kb2)),
        b=2 * y + r_v + r_t + delta2 * (
            by_length * free * (t_m_b - dip_b) + by_ti * ti_b + by_end * (1j * k * t_out_b + 0.5 * kb2)),
        a=-2 * y + delta2 * (by_length * free * t_m_a + by_ti * ti_a),
        t=delta2 * by_length * free,
        outer=delta2 * by_end * (1j * k * t_out_outer),
        r_v=r_v,
        r_t=r_t,
        g=delta2 * (by_log_gamma - by_log_z) * half_g,
    )  # fmt: skip
    sech2 = np.where(is_open, -0.06 * (1 - th_open**2) * tall, 0.17 * (1 - th_closed**2) * tall_closed)
    stretch = sech2 / kappa
    zero = np.zeros_like(z)
    z_by = Partial(
        k=z, b=z * (3 - stretch), a=-2 * z, t=z * stretch / t, outer=zero, r_v=zero, r_t=zero, g=zero
    )
    return ToneHoles(y, z, y_by, z_by, theta, zc * y_end)
