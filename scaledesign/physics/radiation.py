"""Open ends: what the outside air does at the foot of a tube and at the mouth of a hole.

Every function gives an impedance over rho c / S of the opening together with its exact partial
derivatives; ducts and branches are elsewhere. Low-frequency lengths: 0.6133 radii without flange
(H. Levine and J. Schwinger 1948, Phys. Rev. 73, 383-406), 0.8216 with an infinite one (Y. Nomura et
al. 1960; A. N. Norris and I. C. Sheng 1989).

Fits in ka: J.-P. Dalmont, C. J. Nederveen and N. Joly 2001, "Radiation impedance of tubes with
different flanges: numerical and experimental investigations", J. Sound Vib. 244, 505-534; its eq. 42
for a wall of finite thickness. Valid for ka < 1.5.
"""

from __future__ import annotations

import numpy as np

from scaledesign.physics.arrays import Complexes, Floats
from scaledesign.values import dataclass

UNFLANGED = 0.6133
FLANGED = 0.8216


@dataclass(frozen=True, slots=True)
class EndImpedance:
    """Impedance of an end over rho c / S, with d/d ln k, d/d ln a and d/d ln(outer radius).

    A stopped end is the pair (1, 0) of pressure and flow: ``flow`` is 0 there and 1 elsewhere.
    """

    z: Complexes
    by_k: Complexes
    by_radius: Complexes
    by_outer: Complexes
    flow: float = 1.0


def _length(
    ka: Floats, size: tuple[float, float, float], length: Floats, slope: Floats
) -> tuple[Complexes, Complexes]:
    """Complex end length over a, delta + j ln|R|/(2ka), and d/dka. ``size`` are the fit of |R|."""
    p, q, s = size
    up, down = 1 + p * ka + q * ka**2, 1 + p * ka + s * ka**2
    log = np.log(up / down)
    log_slope = (p + 2 * q * ka) / up - (p + 2 * s * ka) / down
    value = length + 0.5j * log / ka
    return value, slope + 0.5j * (log_slope / ka - log / ka**2)


def unflanged_length(ka: Floats) -> tuple[Complexes, Complexes]:
    """End length of a thin-walled tube over its radius, and its slope in ka (Dalmont et al. 2001)."""
    up, down = 1 + 0.044 * ka**2, 1 + 0.19 * ka**2
    length = UNFLANGED * (up / down - 0.02 * np.sin(2 * ka) ** 2)
    slope = UNFLANGED * (0.088 * ka / down - 0.38 * ka * up / down**2 - 0.04 * np.sin(4 * ka))
    return _length(ka, (0.2, -0.084, 0.416), length, slope)


def flanged_length(ka: Floats) -> tuple[Complexes, Complexes]:
    """End length of a tube in an infinite flange over its radius, and its slope in ka (same)."""
    ratio = (0.77 * ka) ** 2 / (1 + 0.77 * ka)
    ratio_slope = 0.77 * ((2 * 0.77 * ka) * (1 + 0.77 * ka) - (0.77 * ka) ** 2) / (1 + 0.77 * ka) ** 2
    length = FLANGED / (1 + ratio)
    return _length(ka, (0.323, -0.077, 0.923), length, -length * ratio_slope / (1 + ratio))


def open_end(k: Floats, radius: Floats, outer: Floats) -> EndImpedance:
    """A tube of radius a whose end has an outer radius R >= a (Dalmont et al. 2001, eq. 42).

    Parameters
    ----------
    k : array, 1/m
    radius, outer : arrays, m, broadcast against ``k``
    """
    ka = k * radius
    eta = radius / outer
    d_u, d_u_ka = unflanged_length(ka)
    d_f, d_f_ka = flanged_length(ka)
    length = d_f + eta * (d_u - d_f) + 0.057 * eta * (1 - eta**5)
    length_ka = d_f_ka + eta * (d_u_ka - d_f_ka)
    length_eta = d_u - d_f + 0.057 * (1 - 6 * eta**5)
    main = -np.exp(-2j * ka * length)
    main_ka = main * (-2j) * (length + ka * length_ka)
    main_eta = main * (-2j) * ka * length_eta
    # the wave diffracted at the rim of the flange
    size, size_eta = eta * (1 - eta), 1 - 2 * eta
    lag = ka / (eta * (1.85 - eta))
    lag_eta = -lag * (1.85 - 2 * eta) / (eta * (1.85 - eta))
    swing, swing_lag = np.sin(lag) ** 2, np.sin(2 * lag)
    turn = 1 / eta + 2.3 - eta - 0.3 * ka**2
    wave = np.exp(-1j * ka * turn)
    rim = -0.43 * size * swing * wave
    rim_ka = -0.43 * size * wave * (swing_lag * lag / ka - 1j * swing * (turn - 0.6 * ka**2))
    rim_eta = (
        -0.43
        * wave
        * (size_eta * swing + size * swing_lag * lag_eta - 1j * size * swing * ka * (-1 / eta**2 - 1))
    )
    r = main + rim
    z = (1 + r) / (1 - r)
    slope = 2 / (1 - r) ** 2
    by_ka = slope * (main_ka + rim_ka) * ka
    by_eta = slope * (main_eta + rim_eta) * eta
    return EndImpedance(z, by_k=by_ka, by_radius=by_ka + by_eta, by_outer=-by_eta)


def flanged_end(k: Floats, radius: Floats) -> EndImpedance:
    """A tube that ends in an infinite flange (Dalmont et al. 2001)."""
    ka = k * radius
    length, length_ka = flanged_length(ka)
    r = -np.exp(-2j * ka * length)
    z = (1 + r) / (1 - r)
    by_ka = 2 / (1 - r) ** 2 * r * (-2j) * (length + ka * length_ka) * ka
    return EndImpedance(z, by_k=by_ka, by_radius=by_ka, by_outer=np.zeros_like(z))


def stopped_end(k: Floats) -> EndImpedance:
    """A rigid stop: no flow."""
    zero = np.zeros(k.shape, complex)
    return EndImpedance(np.ones(k.shape, complex), zero, zero, zero, flow=0.0)


def node_end(k: Floats, radius: Floats, outer: Floats, hole: Floats) -> EndImpedance:
    """A thin node across the foot with a round hole in its middle.

    The hole radiates into the outside like an open end of its own radius in a flange as wide as the
    tube, and narrows the bore on the inside: j omega rho F(xi)/(4 r), xi = r/a, half of Rayleigh's
    conductivity of an aperture in a tube with the function F of V. A. Fok 1941 (from memory). At
    r = a this is ``open_end``. Impedance over rho c / S of the *bore*.
    """
    end = open_end(k, hole, outer)
    xi = hole / radius
    fok, fok_slope = fok_function(xi)
    scale = (radius / hole) ** 2
    # (j k / (4 r)) * (pi a^2) * F
    inner = 0.25j * np.pi * k * radius**2 / hole * fok
    inner_radius = inner * 2 - 0.25j * np.pi * k * radius**2 / hole * fok_slope * xi
    return EndImpedance(
        z=scale * end.z + inner,
        by_k=scale * end.by_k + inner,
        by_radius=2 * scale * end.z + inner_radius,
        by_outer=scale * end.by_outer,
    )


def fok_function(xi: Floats) -> tuple[Floats, Floats]:
    """V. A. Fok's function for an aperture of relative radius xi in a tube, and its slope.

    F = 1 - 1.4092 xi + 0.33818 xi^3 + 0.06793 xi^5 - 0.02287 xi^6 + 0.03015 xi^7 - 0.01641 xi^8
    (from memory), cut off at 0, which it passes just below xi = 1.
    """
    coefficients = (1.0, -1.4092, 0.0, 0.33818, 0.0, 0.06793, -0.02287, 0.03015, -0.01641)
    value = np.zeros_like(xi)
    slope = np.zeros_like(xi)
    for c in reversed(coefficients):
        slope = slope * xi + value
        value = value * xi + c
    inside = value > 0
    return np.where(inside, value, 0.0), np.where(inside, slope, 0.0)
