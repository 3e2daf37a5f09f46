"""What each row of a design is worth to a player, in cents, as the finder of fingerings weighs them.

Apart from the finder, which weighs everything a flute can play for one note: here are only the fingerings
that the design has, for a chart that shows the best of a note first.
"""

from __future__ import annotations

import numpy as np

from scaledesign.model.document import Design
from scaledesign.physics.arrays import Floats, Indices
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import fingerings_of, flutes_of
from scaledesign.workshop.ease import codes, ease_of
from scaledesign.workshop.finder import OVERBLOWN
from scaledesign.workshop.steadiness import steadiness_of


def row_costs(design: Design, prediction: Prediction) -> tuple[float, ...]:
    """Cents of each row, what it is off among them; the less, the better. Infinite for a silent row."""
    cost = np.full(len(design.rows), np.inf)
    heard = np.flatnonzero(np.isfinite(prediction.frequency) & np.isfinite(prediction.cents))
    if len(heard):
        cost[heard] = np.abs(prediction.cents[heard]) + _of_the_fingering(design, prediction, heard)
    return tuple(map(float, cost))


def _of_the_fingering(design: Design, prediction: Prediction, heard: Indices) -> Floats:
    """What some rows (indices) ask of hands and breath, cents."""
    rows = tuple(design.rows[i] for i in heard)
    fingered = design.fingered()
    fingers = tuple(design.holes[hole].finger for hole in fingered)
    at = np.array([design.holes[hole].at for hole in fingered])
    ease = ease_of(codes(["".join(row.holes) for row in rows]), fingers, at)
    steady = steadiness_of(
        flutes_of(design), fingerings_of(design, rows), prediction.frequency[heard], fingered
    )
    overblown = OVERBLOWN * (np.array([row.register for row in rows]) - 1)
    parts = (ease.half_cost, ease.fork_cost, steady.weak_cost, steady.breath_cost, steady.placing_cost)
    return np.asarray(np.sum([overblown, *parts], axis=0))
