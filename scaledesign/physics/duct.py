"""Wall losses of a round duct: propagation constant and characteristic impedance.

One function, ``line``, gives what a wave sees in a round duct of some radius: the bore and the
chimney of a hole are the same kind of thing. Nothing here knows where a duct begins or ends.

Convention: e^{+j omega t}; Gamma = alpha + j beta with alpha >= 0; impedances relative to rho c / S.

With r = a sqrt(omega rho / mu) (radius over boundary-layer thickness), x = r e^{-j pi/4} and
h(x) = J2(x)/J0(x), the exact law of C. Zwikker and C. W. Kosten 1949, "Sound Absorbing Materials"
(from memory, confirmed numerically) reads

    Gamma = (j omega / c) sqrt(m_v m_t),   Z_c = (rho c / S) sqrt(m_v / m_t),
    m_v = -1/h(x),   m_t = gamma + (gamma - 1) h(x sqrt(Pr)).
"""

from __future__ import annotations

from functools import cache

import numpy as np

from scaledesign.physics.arrays import Complexes, Floats, Indices
from scaledesign.values import dataclass

_TERMS = 8
_SMALL = 12.0
DEAF = 300.0
"""Nepers along a duct from which more makes no difference; e to twice that is still a number."""


def _bessel_coefficients(terms: int) -> Complexes:
    """c_k of J1(x)/J0(x) = sum c_k x^-k for large |x|, Im x < 0, from q' = 1 - q/x + q^2."""
    c = [-1j]
    for m in range(1, terms):
        rest = sum(c[i] * c[m - i] for i in range(1, m))
        c.append(((2 - m) * c[m - 1] - rest) / (2 * c[0]))
    return np.array(c)


@cache
def _polynomial() -> Complexes:
    """h = 2 q/x - 1 in powers of 1/r: those of e^{j pi/4} are folded into the coefficients."""
    powers: Complexes = np.concatenate([[-1.0], 2.0 * _bessel_coefficients(_TERMS)]) * np.exp(
        1j * np.pi / 4 * np.arange(_TERMS + 1)
    )
    return powers


def bessel_ratio(r: Floats) -> Complexes:
    """J2(x)/J0(x) at x = r e^{-j pi/4}, r > 0 of any shape.

    Asymptotic series of eight terms from r = 12 up (error below 7e-8), a continued fraction below
    (error below 1e-14); checked against scipy in the tests.
    """
    inverse = 1.0 / r
    polynomial = _polynomial()
    h = np.full(r.shape, polynomial[-1])
    for coefficient in polynomial[-2::-1]:
        h *= inverse
        h += coefficient
    small = r < _SMALL
    if small.any():
        h[small] = _bessel_ratio_fraction(r[small])
    return h


def _bessel_ratio_fraction(r: Floats) -> Complexes:
    """The same from J1/J0 = 1/(2/x - 1/(4/x - 1/(6/x - ...))), 80 terms."""
    two_over_x = 2.0 / (r * np.exp(-0.25j * np.pi))
    v = np.zeros(r.shape, complex)
    for n in range(80, 0, -1):
        v = 1.0 / (n * two_over_x - v)
    return np.asarray(two_over_x * v - 1.0)


@dataclass(frozen=True, slots=True)
class Line:
    """What a wave sees in round ducts, arrays of one shape; see ``line``.

    ``e_v`` and ``e_t`` are d ln m_v / d ln r and d ln m_t / d ln(r sqrt(Pr)); ``g_t`` is
    d ln m_t / d gamma. All derivatives of Gamma and Z_c follow:

        d ln Gamma = d ln k + (e_v dlnr_v + e_t dlnr_t + g_t dgamma)/2
        d ln Z_c   =          (e_v dlnr_v - e_t dlnr_t - g_t dgamma)/2
    """

    gamma: Complexes
    """Propagation constant, 1/m."""
    z: Complexes
    """Characteristic impedance over rho c / S."""
    m_v: Complexes
    """Effective density over rho."""
    e_v: Complexes
    e_t: Complexes
    g_t: Complexes

    def part(self, index: slice | Indices) -> Line:
        """Some of the ducts, along the first axis."""
        return Line(self.gamma[index], self.z[index], self.m_v[index],
                    self.e_v[index], self.e_t[index], self.g_t[index])  # fmt: skip


def line(k: Floats, r: Floats, gamma: Floats, pr: Floats) -> Line:
    """Propagation in round ducts with viscous and thermal wall losses.

    Parameters
    ----------
    k : array, 1/m
        omega / c.
    r : array
        Radius times sqrt(omega rho / mu), broadcast against ``k``.
    gamma, pr : arrays
        Heat-capacity ratio and Prandtl number, broadcast against ``r``.

    Returns
    -------
    Line, arrays of the broadcast shape.
    """
    shape = np.broadcast_shapes(k.shape, r.shape)
    both = np.empty((2, *shape))
    both[0] = r
    np.multiply(r, np.sqrt(pr), out=both[1])
    h = bessel_ratio(both)
    # x h'(x) from q' = 1 - q/x + q^2 with q = (h + 1) x / 2 and x^2 = -j r^2
    slope = (h + 1.0) ** 2 * (-0.5j * both**2) - 2.0 * h
    m_v = -1.0 / h[0]
    m_t = gamma + (gamma - 1.0) * h[1]
    both_m = np.sqrt(m_v * m_t)
    return Line(
        gamma=1j * k * both_m,
        z=m_v / both_m,
        m_v=m_v,
        e_v=slope[0] * m_v,
        e_t=(gamma - 1.0) * slope[1] / m_t,
        g_t=(1.0 + h[1]) / m_t,
    )


def ideal_line(k: Floats, shape: tuple[int, ...]) -> Line:
    """The same without losses: Gamma = jk, Z_c = rho c / S."""
    one, zero = np.ones(shape, complex), np.zeros(shape, complex)
    return Line(gamma=1j * k * one, z=one, m_v=one, e_v=zero, e_t=zero, g_t=zero)


def bounded(theta: Complexes, *, together: bool = False) -> Complexes:
    """Gamma times length, no larger than numbers can hold: through so thin a duct nothing comes anyway.

    ``together``: the ducts, along the first axis, lie one behind the other, and their sum is bounded.
    """
    if theta.real.max(initial=0.0) * (len(theta) if together else 1) <= DEAF:
        return theta
    whole = theta.real.sum(axis=0) if together else theta.real
    return np.asarray(theta.real * DEAF / np.maximum(whole, DEAF) + 1j * theta.imag)
