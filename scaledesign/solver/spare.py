"""How much longer than designed a tube stays until its mouth is known.

Apart because paper, tube advice and the bench all say it, and must say the same.
"""

from __future__ import annotations

from math import ceil

from scaledesign.model.document import Design, Units
from scaledesign.model.units import INCH
from scaledesign.solver.problem import voicing_of

DEVIATIONS = 2.0
"""Standard deviations of what the mouth adds that the tube stays longer: enough for 19 flutes in 20."""
STEPS: dict[Units, float] = {"mm": 5e-3, "in": float(INCH) / 4}
"""m that the spare length is rounded up to."""


def spare_wanted(design: Design, units: Units) -> float:
    """m to leave a tube longer than designed until it was blown, whether or not it has so much."""
    step = STEPS[units]
    return ceil(DEVIATIONS * voicing_of(design).uncertainty / step - 1e-9) * step
