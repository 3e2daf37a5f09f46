"""A row of open holes as a lattice: up to which frequency it ends the air column.

Below its cutoff a row of open holes turns the wave back at the first of them; above, the wave runs through to
the foot. Then an overblown note is no octave, and what is closed below matters. A few numbers of the
geometry; no wave is walked here.
"""

from __future__ import annotations

import numpy as np

from scaledesign.physics.arrays import Floats

OPEN_ENDS = 1.5
"""What the two ends of an open hole add to its chimney, in hole radii (A. H. Benade 1976, Fundamentals of
Musical Acoustics, as summarised by P. Hoekje)."""


def cutoff(c: float, bore: Floats, hole: Floats, chimney: Floats, spacing: Floats) -> Floats:
    """Cutoff frequency (Hz) of a row of like open holes.

    f_c = (c/2 pi)(b/a)/sqrt(d t_e), t_e = t + 1.5 b: A. H. Benade 1960, J. Acoust. Soc. Am. 32, 1591-1608
    and 1976 (there 0.11 c (b/a)/sqrt(s t_e) with d = 2 s; from memory). The exact edge is
    cot(k d/2) = 2 k t_e/(b/a)^2 (derived from the unit cell), a little lower where holes are wide.

    Parameters
    ----------
    c : m/s
    bore, hole : arrays, m
        Radii a and b.
    chimney : array, m
        Height t of each hole.
    spacing : array, m
        Distance d to the next open hole.
    """
    t_e = chimney + OPEN_ENDS * hole
    return np.asarray(c / (2 * np.pi) * hole / bore / np.sqrt(spacing * t_e))
