"""What a flute will play, how sure that is, and what each dimension is worth in cents.

Turns frequencies and derivatives into the numbers a maker reads. Uncertainty is propagated through the
exact derivatives; readings that the design was calibrated with sharpen it, correlations kept. What readings
teach about the added length is worked out here too, since the fit and the ± after it must agree. No text is
laid out here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.physics.gradient import Derivatives, derivatives
from scaledesign.solver.problem import CENT, Problem
from scaledesign.solver.resonance import Fingerings, Resonances, field_at, resonances

LEAST_NOISE = 1e-3
"""Cents of a reading: keeps the weights finite in a file that denies every doubt."""


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
    holes = problem.flutes.at.shape[1]
    variance = _variance(problem, s, readings, holes, problem.model_doubt)
    left = variance
    if not problem.flutes.body.ideal_mouth:
        blown = (*readings, _bare_reading(problem))
        left = np.minimum(variance, _variance(problem, s, blown, holes, problem.model_doubt))
    return np.sqrt(variance), np.sqrt(variance - left), np.sqrt(left)


def expectation(problem: Problem, tube: Reading, readings: tuple[Reading, ...] = ()) -> tuple[float, float]:
    """Frequency (Hz) that a tube about to be read should sound, and one standard deviation in cents.

    ``tube`` is that reading, whatever its own frequency; ``readings`` those that the added length was fitted
    to before.

    Raises
    ------
    NoPitchError
    """
    s, frequency = reading_sensitivity(tube)
    variance = _variance(problem, s, readings, tube.flutes.at.shape[1], tube.model_doubt)
    return frequency, float(np.sqrt(variance[0]))


def _variance(
    problem: Problem,
    s: Sensitivity,
    readings: tuple[Reading, ...],
    holes: int,
    model_doubt: Floats | float,
) -> Floats:
    """Cents² of each row (R,), with the added length fitted to the readings if there are any.

    What moved the readings moves the rows too and the fit has taken it on: the two are set off cause by
    cause. A row's own model doubt stays even where the row was read, since the fit bends to no single row.
    """
    if not readings:
        spread = spreads(problem, s, problem.voicing_doubt, holes)
        return np.asarray((spread**2).sum(axis=1) + model_doubt**2)
    lesson = lesson_of(problem, readings)
    error = np.outer(s.added_length, lesson.spread) - spreads(problem, s, 0.0, holes)
    noise = s.added_length * lesson.noise
    return np.asarray((error**2).sum(axis=1) + noise**2 + model_doubt**2)


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


@dataclass(frozen=True)
class Lesson:
    """What N readings together teach about the added length.

    ``predicted`` (N,) Hz is what they should have been; ``gain`` (N,) m by which the fit moves for a cent
    that each is sharper; ``spread`` (P,) m by which it errs for one standard deviation of each cause of
    ``spreads``, and ``noise`` m for the tuner and for what the model leaves out.
    """

    predicted: Floats
    gain: Floats
    spread: Floats
    noise: float

    @property
    def uncertainty(self) -> float:
        """One standard deviation of the fitted added length, m."""
        return float(np.hypot(np.linalg.norm(self.spread), self.noise))


def lesson_of(problem: Problem, readings: tuple[Reading, ...]) -> Lesson:
    """Weighted least squares in the added length alone, about the one the readings' flutes have.

    A reading weighs by what the tuner and the model leave open. Bore, wall, temperature and places get no
    weight of their own: the fit takes their errors on, which is what makes the other rows come right.
    """
    slope, seen, predicted = [], [], []
    for reading in readings:
        s, frequency = reading_sensitivity(reading)
        slope.append(s.added_length[0])
        seen.append(spreads(problem, s, 0.0, reading.flutes.at.shape[1])[0])
        predicted.append(frequency)
    noise = _noise(readings, problem.doubts.tuner)
    weight = np.linalg.solve(noise, np.array(slope))
    gain = weight / (weight @ np.array(slope))
    return Lesson(np.array(predicted), gain, gain @ np.array(seen), float(np.sqrt(gain @ noise @ gain)))


def _noise(readings: tuple[Reading, ...], tuner: float) -> Floats:
    """Covariance (N, N) in cents²; the model errs alike each time the same tube is read."""
    noise = np.diag([tuner**2 + LEAST_NOISE**2] * len(readings))
    for i, one in enumerate(readings):
        for j, other in enumerate(readings):
            if one.row == other.row and one.flutes.length[0] == other.flutes.length[0]:
                noise[i, j] += one.model_doubt * other.model_doubt
    return noise
