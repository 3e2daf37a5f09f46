"""What a flute will play, how sure that is, and what each dimension is worth in cents.

Turns frequencies and derivatives into the numbers a maker reads. Uncertainty is propagated through the
exact derivatives; readings that the design was calibrated with sharpen it, correlations kept. No
text is laid out here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.physics.gradient import Derivatives, derivatives
from scaledesign.solver.problem import CENT, Problem
from scaledesign.solver.resonance import Fingerings, Resonances, field_at, resonances

FLAT_PRIOR = 0.05
"""m: how little is assumed of an added length that was fitted to readings."""


@dataclass(frozen=True)
class Sensitivity:
    """Cents of each row per unit of each dimension, (R, H) or (R,); metres and kelvin.

    Diameters are diameters: ``bore`` is cents per metre of bore diameter at the mouth.
    """

    at: Floats
    diameter: Floats
    length: Floats
    bore: Floats
    wall: Floats
    added_length: Floats
    temperature: Floats


@dataclass(frozen=True)
class Reading:
    """One reading of a tuner: a fingering (or the bare tube) that sounded ``frequency`` Hz.

    ``row`` is the row of the design it belongs to, or None; ``flutes`` and ``fingerings`` describe
    the tube as it was when read (one fingering).
    """

    frequency: float
    flutes: Flutes
    fingerings: Fingerings
    model_doubt: float
    row: int | None = None
    label: str = ""


@dataclass(frozen=True)
class Prediction:
    """What every row plays; see the module for how sure that is.

    All arrays are (R,) over the rows of the design. ``uncertainty`` is one standard deviation in
    cents: two notes in three fall inside. Its square is ``common``² + ``rest``²: what blowing one
    note of the bare tube would cure, and what it would leave.
    """

    frequency: Floats
    target: Floats
    cents: Floats
    uncertainty: Floats
    common: Floats
    rest: Floats
    sensitivity: Sensitivity
    depth: Floats
    """Impedance left at resonance over rho c / S: the smaller, the firmer the note."""
    calibrated: bool
    notes: tuple[str, ...] = ()


def sensitivity_of(flutes: Flutes, d: Derivatives) -> Sensitivity:
    """Cents per unit of every dimension of one flute, from derivatives of its phase."""
    scale = -CENT / d.log_frequency[0]
    diameter = 2 * flutes.radius[0][:, None]
    return Sensitivity(
        at=(d.at[:, 0] * scale).T,
        diameter=(d.log_radius[:, 0] / diameter * scale).T,
        length=d.length[0] * scale,
        bore=d.log_bore[0] * scale / (2 * flutes.body.slices.radius[0]),
        wall=d.wall[0] * scale,
        added_length=d.added_length[0] * scale,
        temperature=d.temperature[0] * scale,
    )


def spreads(problem: Problem, s: Sensitivity, voicing_doubt: float, holes: int) -> Floats:
    """Cents of each row for one standard deviation of each cause, (R, P).

    Causes in order: voicing, bore, wall, temperature, length, then each hole's place and diameter
    (absent, ``holes`` = 0 on a bare tube, they are zero).
    """
    doubts = problem.doubts
    count = problem.flutes.at.shape[1]
    per_hole = np.zeros((len(s.length), 2 * count))
    if holes:
        per_hole = np.concatenate([s.at * doubts.at, s.diameter * doubts.diameter], axis=1)
    return np.column_stack(
        [
            s.added_length * voicing_doubt,
            s.bore * doubts.bore,
            s.wall * doubts.wall,
            s.temperature * doubts.temperature,
            s.length * doubts.length,
            per_hole,
        ]
    )


def predict(
    problem: Problem,
    readings: tuple[Reading, ...] = (),
    *,
    losses: bool = True,
    near: Resonances | None = None,
    shown: int | None = None,
) -> Prediction:
    """Play every row of a problem.

    Parameters
    ----------
    problem : Problem
    readings : readings the added length was fitted to; they sharpen the uncertainty
    losses : False for the ideal fluid
    near : resonances of a like flute, to start from
    shown : how many rows to keep (the rest only helped to solve)

    Raises
    ------
    NoPitchError
    """
    found = resonances(problem.flutes, problem.fingerings, near=near, losses=losses)
    field = field_at(problem.flutes, problem.fingerings, found.frequency, losses=losses)
    s = sensitivity_of(problem.flutes, derivatives(field))
    frequency = found.frequency[0]
    cents = CENT * np.log(frequency / problem.target)
    total, common, rest = uncertainty(problem, s, readings)
    rows = slice(0, shown)
    kept = Sensitivity(*(getattr(s, name)[rows] for name in Sensitivity.__dataclass_fields__))
    return Prediction(
        frequency[rows], problem.target[rows], cents[rows], total[rows], common[rows], rest[rows], kept,
        np.abs(field.impedance[0].real)[rows], calibrated=bool(readings), notes=problem.remarks,
    )  # fmt: skip


def uncertainty(
    problem: Problem, s: Sensitivity, readings: tuple[Reading, ...]
) -> tuple[Floats, Floats, Floats]:
    """One standard deviation (R,) in cents: all, the part one blown note would cure, and the rest."""
    voicing = FLAT_PRIOR if readings else problem.voicing_doubt
    spread = spreads(problem, s, voicing, problem.flutes.at.shape[1])
    covariance = spread @ spread.T + np.diag(problem.model_doubt**2)
    posterior = _given(problem, readings, spread, covariance, voicing)
    bare = _bare_reading(problem)
    both = _given(problem, (*readings, bare), spread, covariance, voicing)
    variance, left = np.diag(posterior), np.diag(both)
    return np.sqrt(variance), np.sqrt(np.maximum(variance - left, 0.0)), np.sqrt(left)


def _bare_reading(problem: Problem) -> Reading:
    flutes = problem.flutes
    body = replace(flutes.body, hole_wall=np.zeros(0))
    bare = replace(flutes, body=body, at=np.zeros((1, 0)), radius=np.zeros((1, 0)))
    return Reading(1.0, bare, Fingerings(np.zeros((0, 1)), np.ones(1, np.intp)), problem.doubts.model)


def reading_sensitivity(reading: Reading) -> tuple[Sensitivity, float]:
    """Sensitivity of the tube as it was when read, and the frequency predicted for it."""
    found = resonances(reading.flutes, reading.fingerings)
    field = field_at(reading.flutes, reading.fingerings, found.frequency)
    return sensitivity_of(reading.flutes, derivatives(field)), float(found.frequency[0, 0])


def _given(
    problem: Problem,
    readings: tuple[Reading, ...],
    spread: Floats,
    covariance: Floats,
    voicing_doubt: float,
) -> Floats:
    """Covariance of the rows once the readings are known (Gaussian conditioning)."""
    if not readings:
        return covariance
    rows = []
    for reading in readings:
        s, _ = reading_sensitivity(reading)
        rows.append(spreads(problem, s, voicing_doubt, reading.flutes.at.shape[1])[0])
    seen = np.array(rows)
    within = seen @ seen.T
    across = spread @ seen.T
    for i, one in enumerate(readings):
        within[i, i] += problem.doubts.tuner**2
        if one.row is not None:
            across[one.row, i] += problem.model_doubt[one.row] ** 2
        for j, other in enumerate(readings):
            if i == j or (one.row is not None and one.row == other.row):
                within[i, j] += one.model_doubt * other.model_doubt
    return np.asarray(covariance - across @ np.linalg.solve(within, across.T))
