"""First guesses of what the mouth end adds to a tube, with how far they can be trusted.

The mouth end is one inertance, given as a length of bore: M = rho Delta / S, with a stretch of bore behind
it, the cavity, up to block or stopper. No formula knows a voicing well; blown notes do. So each estimate
comes with standard deviations, and they are large.

Toward the high notes the end acts shorter or longer by itself: cot(k Delta_eff) = 1/(k Delta) - tan(k L_c)
with L_c the cavity, so that Delta_eff = Delta + (k Delta)^2 (L_c - Delta/3) to second order (derived). The
network reckons with that law exactly; ``drift`` is only what an end departs from it.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot, log, pi, sqrt

import numpy as np

from scaledesign.physics.branch import inner_length, matching_length
from scaledesign.physics.flute import Airway
from scaledesign.values import dataclass

WINDOW_DOUBT = 0.35
"""One standard deviation, as a share of the estimate, from a measured window. The two formulas below
differ by a factor 1.4 to 1.7 and bracket what is met in practice (common practice, no source)."""
GUESS_DOUBT = 0.40
"""The same when not even the window's size is known (common practice, no source)."""
LIP_DOUBT = 0.25
"""The same for a hole, notch or rim covered by a lip: the lip is the player's (common practice, no
source)."""
END_BLOWN_RADII = 3.5
"""Added length over bore radius of a notched or rim-blown flute: a 545 mm flute of 18..19 mm bore that
sounds D4 when warm needs 31..33 mm (computed from the nominal pitch; common practice, no source)."""
DRIFT_DOUBT = 1.0
"""One standard deviation of the drift, as a share of what an inertance alone shortens by: a window or a lip
is no lump of air, and a cavity of a third of the added length would undo the shortening whole. With it one
reading of a bare tube leaves the second register at +-15..20 cents (common practice, no source)."""
BLOCK_DOUBT = 0.5
"""One standard deviation of a duct flute's cavity, in window lengths: a block that leans or stands back
(common practice, no source)."""
STOPPER_DOUBT = 0.2
"""The same of a transverse flute's usual cavity, as a share of it (common practice, no source)."""
JET = 20.0
"""m/s of the air in a flue that is blown, about 240 Pa (common practice, no source)."""
PER_KHZ = 2 * pi * 1000.0 / 345.0
"""Wavenumber at 1 kHz, 1/m, in air of a flute: a doubt wants no thermometer."""


@dataclass(frozen=True, slots=True)
class MouthEstimate:
    """What the mouth end is taken to be, with one standard deviation of each figure, and why.

    ``drift_uncertainty`` counts what ``cavity_uncertainty`` leaves open too: the two look alike in the notes.
    """

    added_length: float
    """m."""
    uncertainty: float
    """m."""
    basis: str
    """What the added length rests on, in words."""
    drift: float = 0.0
    """m per kHz^2."""
    drift_uncertainty: float = 0.0
    """m per kHz^2."""
    cavity: float = 0.0
    """m: as stated, else what is usual for such a mouth."""
    cavity_uncertainty: float = 0.0
    """m."""


def shortening(added_length: float) -> float:
    """By how much (m per kHz^2) an inertance without a cavity acts shorter: Delta (k Delta)^2 / 3.

    The second term of atan(k Delta)/k (derived).
    """
    return added_length * (PER_KHZ * added_length) ** 2 / 3


def drift_doubt(added_length: float, cavity_doubt: float) -> float:
    """One standard deviation of the drift (m per kHz^2) of an end whose cavity is so uncertain (m)."""
    return hypot(DRIFT_DOUBT * shortening(added_length), (PER_KHZ * added_length) ** 2 * cavity_doubt)


def usual_stopper(added_length: float) -> float:
    """Distance (m) of a transverse flute's stopper that keeps the effective length: a third of Delta.

    Derived, see above. Traditional is 17 mm on a bore of 19, where the mouth adds 46 to 52 (from memory).
    """
    return added_length / 3


def _estimate(added: float, doubt: float, basis: str, cavity_doubt: float = 0.0) -> MouthEstimate:
    """An end without a cavity; ``doubt`` is a share of the added length."""
    drift = drift_doubt(added, cavity_doubt)
    return MouthEstimate(
        added, doubt * added, basis, drift_uncertainty=drift, cavity_uncertainty=cavity_doubt
    )


def stoppered(estimate: MouthEstimate) -> MouthEstimate:
    """The end of a transverse flute whose stopper nobody has measured.

    Its usual cavity is told, not reckoned with: so the whole of it is left open in the drift.
    """
    usual = usual_stopper(estimate.added_length)
    return replace(
        estimate,
        cavity=usual,
        cavity_uncertainty=STOPPER_DOUBT * usual,
        drift_uncertainty=drift_doubt(estimate.added_length, usual),
    )


def rectangle_end(width: float, length: float) -> float:
    """End correction (m) of a rectangular opening in an infinite flange.

    e = I/(2 pi W L) with I = 2[W^2 L ln((L+d)/W) + W L^2 ln((W+d)/L)] + (2/3)(W^3 + L^3 - d^3), d the
    diagonal: the mean potential of a uniform piston over itself (derived), times 0.968, the ratio of
    a true aperture to a piston (computed for a square).
    """
    w, l, d = width, length, hypot(width, length)  # noqa: E741 - the symbols of the formula
    integral = (
        2 * (w * w * l * log((l + d) / w) + w * l * l * log((w + d) / l)) + (w**3 + l**3 - d**3) * 2 / 3
    )
    return 0.968 * integral / (2 * pi * w * l)


def window_inertance(width: float, length: float, wall: float, bore_radius: float) -> float:
    """Added length of a window as a plain inertance: (wall + two ends) S/(W L)."""
    depth = wall + 2 * rectangle_end(width, length)
    return depth * pi * bore_radius**2 / (width * length)


def window_organ_pipe(width: float, length: float, bore_radius: float) -> float:
    """Added length of an organ-pipe mouth, 2.3 a^2/sqrt(W L).

    F. Ingerslev and W. Frobenius 1947, Trans. Danish Acad. Tech. Sci., as quoted by later reviews
    (from memory).
    """
    return 2.3 * bore_radius**2 / sqrt(width * length)


def window_estimate(width: float, length: float, wall: float, bore_radius: float) -> MouthEstimate:
    """Duct-flute window: the geometric mean of the two formulas, which bracket reality."""
    added = sqrt(
        window_inertance(width, length, wall, bore_radius) * window_organ_pipe(width, length, bore_radius)
    )
    return _estimate(added, WINDOW_DOUBT, "the size of the window", BLOCK_DOUBT * length)


def usual_window(bore_radius: float) -> tuple[float, float, float]:
    """Width, length and wall (m) of a usual window: 0.55 and 0.30 bores, 2 mm.

    Common practice, no source.
    """
    return 1.1 * bore_radius, 0.6 * bore_radius, 0.002


def guessed_window(bore_radius: float) -> MouthEstimate:
    """A window of usual proportions."""
    width, length, wall = usual_window(bore_radius)
    added = window_estimate(width, length, wall, bore_radius).added_length
    return _estimate(added, GUESS_DOUBT, "a window of usual size", BLOCK_DOUBT * length)


def embouchure_estimate(
    length: float, width: float, wall: float, covered: float, bore_radius: float
) -> MouthEstimate:
    """An oval hole (or notch) in the wall, partly covered by the lip.

    M = rho l_e/S_e with S_e the uncovered area, l_e = wall + inner + outer length of a round hole of
    that area: inner t_i + t_m as for a tone hole (``branch``), outer 0.7 radii, between the 0.6
    of a free edge and the 0.8 of a flat one (common practice, no source).
    """
    area = pi / 4 * length * width * (1 - covered)
    radius = min(sqrt(area / pi), bore_radius)
    delta = np.asarray(radius / bore_radius)
    inner = radius * float(inner_length(delta)[0])
    matching = float(matching_length(np.asarray(radius), delta)[0])
    added = (wall + inner + matching + 0.7 * radius) * pi * bore_radius**2 / area
    return _estimate(added, LIP_DOUBT, "the size of the mouth hole and a usual lip")


def guessed_embouchure(bore_radius: float, wall: float) -> MouthEstimate:
    """The mouth hole of a transverse flute, of usual proportions: 0.63 by 0.53 bores, a third covered.

    Common practice, no source.
    """
    bore = 2 * bore_radius
    added = embouchure_estimate(0.63 * bore, 0.53 * bore, wall, 0.33, bore_radius).added_length
    return _estimate(added, GUESS_DOUBT, "a mouth hole of usual size")


def guessed_rim(bore_radius: float) -> MouthEstimate:
    """A notch or rim of usual proportions under a usual lip."""
    return _estimate(END_BLOWN_RADII * bore_radius, GUESS_DOUBT, "a notch or rim of usual size")


def airway(width: float, length: float, height: float, chamber: float) -> Airway:
    """Flue and slow-air chamber as a branch beside the window.

    The flue is an inertance rho l/(w h) with the viscous resistance 12 mu l/(w h^3) of a narrow slit and that
    of the air blown through it, rho U/(w h) (the slope of rho U^2/2); the chamber behind it a compliance
    V/(rho c^2) (derived).

    Parameters
    ----------
    width, length, height : float, m, of the flue
    chamber : float, m, length of the chamber, which is as wide as the bore's head
    """
    rho, c, mu = 1.17, 347.0, 1.85e-5  # breath at 27 degC: a resistance this rough wants no thermometer
    area = width * height
    resistance = 12 * mu * length / (area * height**2) + rho * JET / area
    return Airway(resistance / (rho * c), length / area, chamber)
