"""How far a hole may be out of place or too wide, and a foot too long, before a note is off by the tolerance.

Apart because the rule is one, and its own: the slip that alone shifts the touchiest note of the scale by the
design's tolerance (``tuning.tolerance``), rounded down, and never more than a careful hand allows itself
anyway. It is a straight line through the flute as designed; a slip of that size bends it little.
"""

from __future__ import annotations

from math import floor, isfinite

from scaledesign.model.document import Design, Units
from scaledesign.model.units import INCH, LENGTH_UNITS, format_length
from scaledesign.paper.hole_list import slip
from scaledesign.physics.arrays import Floats
from scaledesign.solver.prediction import Prediction

MOST_PLACE, MOST_WIDTH, MOST_LENGTH = 0.5e-3, 0.3e-3, 1e-3
"""m that a careful hand stays within anyway: place and width of a hole, cut of the foot (common practice, no
source)."""
_STEPS = (0.1, 0.01)
"""mm that a tolerance is rounded down to, the coarser first."""
_RULER = 64
"""Parts of an inch on a fine ruler."""
LESS, HAIR = "< 1/64", "a hair"
"""What is more than half of the finest part of an inch, and what is less than that."""


def place_tolerance(design: Design, prediction: Prediction, hole: int) -> float | None:
    """m that a hole may be out of place; None where no note that counts has a pitch."""
    return _tolerance(design, prediction, slip(design, prediction.sensitivity.at, hole), MOST_PLACE)


def width_tolerance(design: Design, prediction: Prediction, hole: int) -> float | None:
    """m that a hole may be too wide or too narrow."""
    return _tolerance(design, prediction, slip(design, prediction.sensitivity.diameter, hole), MOST_WIDTH)


def length_tolerance(design: Design, prediction: Prediction) -> float | None:
    """m that the foot may be too near or too far."""
    length: Floats = prediction.sensitivity.length
    return _tolerance(design, prediction, slip(design, length[:, None], 0), MOST_LENGTH)


def tolerance_words(metres: float | None, units: Units) -> str:
    """``"± 0.3"`` or ``"± 1/32"``, rounded down: never more than was meant; in inches as a ruler has them."""
    if metres is None:
        return ""
    amount = metres / float(LENGTH_UNITS[units]) + 1e-12
    if units == "in":
        count = floor(amount * _RULER + 1e-6)
        if not count:
            return LESS if amount * _RULER >= 0.5 else HAIR
        return f"± {format_length(count / _RULER * float(INCH), 'in', unit=False)}"
    step = next((step for step in _STEPS if amount >= step), _STEPS[-1])
    count = max(1, floor(amount / step))
    return f"± {count * step:.{_places(step)}f}"


def _places(step: float) -> int:
    return len(f"{step:.6f}".rstrip("0").split(".")[1])


def _tolerance(design: Design, prediction: Prediction, per_metre: float, most: float) -> float | None:
    sounding = (row.counts and isfinite(float(prediction.frequency[i])) for i, row in enumerate(design.rows))
    if not any(sounding):
        return None
    return min(most, design.tuning.tolerance / per_metre) if per_metre > 0 else most
