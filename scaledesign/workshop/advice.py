"""Plain verdicts on a tube and a voicing: too slender, too stout, thin wall, how touchy the window is.

Rules of thumb, each said to be one; the numbers behind them come from the design. Nothing here solves.
"""

from __future__ import annotations

import numpy as np

from scaledesign.model.document import Design
from scaledesign.model.units import format_length
from scaledesign.physics import mouth
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import voicing_of

SLENDER, STOUT = 40.0, 12.0
"""Bores per length beyond which the low note is weak, or under which there is no second register
(common practice, no source; 20 to 35 is comfortable)."""
WALL_USUAL = (0.0015, 0.006)
"""m: walls outside are worth a word; 3.2 to 3.8 mm is usual on bores of 1/2 to 3/4 in (common practice,
no source)."""
HALF_MM = 5e-4
FINISH = "finish the window before you drill"


def slenderness(design: Design) -> float:
    """Length over bore diameter, mean over stations."""
    mean = float(np.mean([s.value for s in design.tube.bore]))
    return design.tube.length / mean


def tube_remarks(design: Design) -> tuple[str, ...]:
    """Words about the proportions of the tube, empty when there is nothing to say."""
    ratio = slenderness(design)
    units, length = design.units, design.tube.length
    notes = []
    if ratio > SLENDER:
        notes.append(
            f"Too slender: {ratio:.0f} bores long, and beyond {SLENDER:.0f} the low notes are weak and break "
            f"upward. At this length a bore of {format_length(length / SLENDER, units)} or more would serve; "
            f"in this bore, a tube up to {format_length(length * SLENDER / ratio, units)}."
        )
    if ratio < STOUT:
        notes.append(
            f"Stout: only {ratio:.0f} bores long; under {STOUT:.0f} the second register is weak or missing. "
            f"At this length a bore of {format_length(length / STOUT, units)} or less would serve."
        )
    thin = min(s.value for s in design.tube.wall)
    if thin < WALL_USUAL[0] and design.instrument.material in ("bamboo", "cane", "wood"):
        notes.append(f"A wall of {format_length(thin, units)} is thin for {design.instrument.material}.")
    return tuple(notes)


def window_change(design: Design) -> float | None:
    """Change of the added length (m) when the window is half a millimetre longer; None if no window."""
    if design.instrument.mouth != "duct":
        return None
    radius = design.tube.bore[0].value / 2
    window = design.voicing.window
    if window is None:
        width, length, wall = 1.1 * radius, 0.6 * radius, 0.002
    else:
        width, length = window.width, window.length
        wall = design.tube.wall[0].value if window.wall is None else window.wall
    now = mouth.window_estimate(width, length, wall, radius).added_length
    longer = mouth.window_estimate(width, length + HALF_MM, wall, radius).added_length
    return voicing_of(design).added_length * (longer / now - 1)


def voicing_remarks(design: Design, prediction: Prediction) -> tuple[str, ...]:
    """How far every note moves with the window, in words."""
    change = window_change(design)
    if change is None or not len(prediction.cents):
        return ()
    cents = prediction.sensitivity.added_length * change
    low, high = float(cents.min()), float(cents.max())
    half = format_length(HALF_MM, design.units) if design.units == "mm" else "0.02 in"
    return (f"A window {half} longer raises every note, by {low:.0f} to {high:.0f} cents: {FINISH}.",)


def remarks(design: Design, prediction: Prediction) -> tuple[str, ...]:
    """Everything this module has to say of a design and its prediction."""
    return (*tube_remarks(design), *voicing_remarks(design, prediction))
