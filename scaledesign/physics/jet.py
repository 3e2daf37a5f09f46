"""The jet that drives a flute: how fast it must be, and what blowing harder does to the note.

A disturbance of the jet travels at about 0.4 of its speed U; the loop of jet and air column closes where it
needs half a period for the window's length L, so that f = 0.4 U/(2 L) (jet-drive report, City University of
New York 1975, ADA023193, abstract). Written with theta = U/(f L), that is theta = 5; from 3 to 10 a note
still sounds (from memory). U = sqrt(2 p/rho) from the pressure p of the breath.

Near theta = 5 the jet's phase is pi 5/theta: a breath that makes the jet faster by dU/U takes pi dU/U off it,
and the air column, whose phase rises by 2 Q df/f, makes up for it by df/f = (pi/2 Q) dU/U (derived). No
network is walked here.
"""

from __future__ import annotations

from math import log, log2, pi, sqrt
from typing import TYPE_CHECKING

import numpy as np

from scaledesign.physics.arrays import Floats

if TYPE_CHECKING:
    from scaledesign.physics.field import Field

BEST = 5.0
"""theta at the design point: 2/0.4."""
USABLE = (3.0, 10.0)
"""theta between which a note sounds (from memory)."""
DOUBLING = 300.0 * pi
"""Cents times Q by which a note rises when the pressure doubles: 1200 (pi/2) (1/2)."""


def jet_speed(pressure: float, rho: float) -> float:
    """Speed (m/s) of a jet from a breath of ``pressure`` Pa in air of density ``rho`` kg/m3."""
    return sqrt(2 * pressure / rho)


def needed_pressure(frequency: float, window: float, rho: float, theta: float = BEST) -> float:
    """Pressure (Pa) of the breath that sounds a note of ``frequency`` Hz over a window ``window`` m long."""
    return rho * (theta * frequency * window) ** 2 / 2


def window_for(frequency: float, pressure: float, rho: float) -> float:
    """Length (m) of the window that suits a note at a pressure: theta = 5."""
    return jet_speed(pressure, rho) / (BEST * frequency)


def organ_window(frequency: float) -> float:
    """Length (m) of an organ pipe's mouth, 550 mm/2^(ln f): a fit to real ranks.

    N. Giangiulio, web publication. For comparison only: a pipe has no second register to play.
    """
    return float(0.550 / 2 ** log(frequency))


def quality(field: Field, slope: Floats) -> Floats:
    """Q (N, M) of the air column at its playing frequencies, from the model's own losses.

    Walls, holes and foot; what the mouth radiates, about (k a)^2/4 more of R, is not among them.

    Q = (dX/d ln f)/(2 R) with R + jX = Z_total; Z = j tan(psi_complex) makes dX/d ln f = (1 - R^2) ``slope``
    at a zero of X.

    Parameters
    ----------
    field : Field at the playing frequencies
    slope : (N, M) d psi / d ln f there (``gradient.log_frequency_slope``)
    """
    resistance = np.abs(field.impedance.real)
    return np.asarray(slope * (1 - resistance**2) / (2 * np.maximum(resistance, 1e-12)))


def sharper(q: float, ratio: float) -> float:
    """Cents by which a note rises when the breath's pressure becomes ``ratio`` times itself."""
    return DOUBLING / q * log2(ratio)
