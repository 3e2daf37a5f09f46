"""First guesses of what the mouth end adds to a tube, with how far they can be trusted.

The mouth end is one inertance, given as a length of bore: M = rho Delta / S. No formula knows a voicing
well; one blown note does. So each estimate comes with one standard deviation, and that is large.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, log, pi, sqrt

import numpy as np

from scaledesign.physics.branch import inner_length, matching_length

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


@dataclass(frozen=True, slots=True)
class MouthEstimate:
    """Added length (m), one standard deviation (m), and what it rests on, in words."""

    added_length: float
    uncertainty: float
    basis: str


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
    return MouthEstimate(added, WINDOW_DOUBT * added, "the size of the window")


def usual_window(bore_radius: float) -> tuple[float, float, float]:
    """Width, length and wall (m) of a usual window: 0.55 and 0.30 bores, 2 mm.

    Common practice, no source.
    """
    return 1.1 * bore_radius, 0.6 * bore_radius, 0.002


def guessed_window(bore_radius: float) -> MouthEstimate:
    """A window of usual proportions."""
    added = window_estimate(*usual_window(bore_radius), bore_radius).added_length
    return MouthEstimate(added, GUESS_DOUBT * added, "a window of usual size")


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
    return MouthEstimate(added, LIP_DOUBT * added, "the size of the mouth hole and a usual lip")


def guessed_embouchure(bore_radius: float, wall: float) -> MouthEstimate:
    """A mouth hole of usual proportions, 0.63 by 0.53 bores, a third covered.

    Common practice, no source.
    """
    bore = 2 * bore_radius
    added = embouchure_estimate(0.63 * bore, 0.53 * bore, wall, 0.33, bore_radius).added_length
    return MouthEstimate(added, GUESS_DOUBT * added, "a mouth hole of usual size")


def guessed_rim(bore_radius: float) -> MouthEstimate:
    """A notch or rim of usual proportions under a usual lip."""
    added = END_BLOWN_RADII * bore_radius
    return MouthEstimate(added, GUESS_DOUBT * added, "a notch or rim of usual size")
