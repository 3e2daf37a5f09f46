"""The static field of a point source on an infinite rigid cylinder.

Outside a cylinder of radius 1, Laplace(p) = 0 and -dp/dr = a point source of unit flow at z = 0, angle 0:

    p = 1/(2 pi^2) sum_n e_n cos(n angle) int_0^inf cos(k z) K_n(k)/(-k K_n'(k)) dk,   e_0 = 1, e_n = 2

(separation of variables; P. M. Morse and K. U. Ingard 1968, Theoretical Acoustics, section 7.3, from memory).
With k turned onto the imaginary axis nothing swings any more: the integral is

    int_0^inf exp(-t z) 2/(pi t^2 |H_n'(t)|^2) dt,   H_n' = J_n' - j Y_n'

by the Wronskian of J and Y. Near the source the field is that of a flange, 1/(2 pi d), far away that of free
space, 1/(4 pi d).
"""

from __future__ import annotations

import math

import numpy as np
from scipy.special import h2vp

STEP = 0.05
"""In ln t, of the trapezoidal rule; the integrand fades away smoothly at both ends."""


def gain(along: float, angle: float = 0.0) -> float:
    """4 pi d p on the cylinder, at z = ``along``: the field over that of the same source in free space."""
    t = np.exp(np.arange(-16.0, math.log(40 / along), STEP))
    fading = 2 * np.exp(-t * along) / (math.pi * t) * STEP
    total = 0.0
    for n in range(int(40 / along) + 6):
        with np.errstate(all="ignore"):  # a high n overflows at a small t, where there is nothing to add
            size = np.abs(h2vp(n, t)) ** -2.0
        part = float(np.nansum(fading * size))
        total += (1 if n == 0 else 2 * math.cos(n * angle)) * part
    return 2 / math.pi * math.hypot(along, 2 * math.sin(angle / 2)) * total
