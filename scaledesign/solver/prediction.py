"""What a flute will play, how sure that is, and what each dimension is worth in cents.

Turns what is believed of a flute into the numbers a maker reads. Uncertainty is propagated through exact
derivatives; readings that the design was calibrated with sharpen it, correlations kept (``belief``). No text
is laid out here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import Lesson, loadings
from scaledesign.solver.hearing import Heard, Reading, Sound, hear, hear_each, rows_of
from scaledesign.solver.problem import CENT, Problem, model_doubts
from scaledesign.solver.resonance import Fingerings, Resonances
from scaledesign.solver.sensitivity import Sensitivity
from scaledesign.values import dataclass


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
    heard = hear(rows_of(problem), near, losses=losses)
    frequency = heard.frequency[0]
    cents = CENT * np.log(frequency / problem.target)
    total, common, rest = uncertainty(problem, heard, readings)
    rows = slice(0, shown)
    s = heard.sensitivity
    kept = Sensitivity(*(getattr(s, name)[0, rows] for name in Sensitivity.__dataclass_fields__))
    return Prediction(
        frequency[rows], problem.target[rows], cents[rows], total[rows], common[rows], rest[rows], kept,
        heard.depth[0, rows], calibrated=bool(readings), notes=problem.remarks,
    )  # fmt: skip


def uncertainty(
    problem: Problem, heard: Heard, readings: Sequence[Reading], *, known: Sequence[Heard] = ()
) -> tuple[Floats, Floats, Floats]:
    """One standard deviation (R,) in cents: all, the part one blown note would cure, and the rest.

    ``known`` is what has been heard of the flute already.
    """
    spread = spread_of(problem, readings)
    blown = [] if problem.flutes.body.ideal_mouth else [bare_tube_of(problem)]
    read = hear_each([*readings, *blown], known=known)
    variance = left = _variance(problem, spread, heard, read[: len(readings)])
    if blown:
        left = np.minimum(variance, _variance(problem, spread, heard, read))
    return np.sqrt(variance), np.sqrt(variance - left), np.sqrt(left)


def expectation(problem: Problem, tube: Sound, readings: Sequence[Reading] = ()) -> tuple[float, float]:
    """Frequency (Hz) that a sound about to be read should have, and one standard deviation in cents.

    ``readings`` are those that the flute was fitted to before.

    Raises
    ------
    NoPitchError
    """
    heard = hear(tube)
    variance = _variance(
        problem, spread_of(problem, readings), heard, [hear(reading) for reading in readings]
    )
    return float(heard.frequency[0, 0]), float(np.sqrt(variance[0]))


def spread_of(problem: Problem, readings: Sequence[Reading]) -> Floats:
    """(5,) one standard deviation of the state: before any reading, or as it stands where there is none."""
    before = problem.before
    return (before if readings else replace(before, added_length=problem.voicing_doubt)).spread


def bare_tube_of(problem: Problem) -> Sound:
    """The tube before any hole is drilled, in its first register."""
    one = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))
    return Sound(problem.bare, one, (), model_doubts(one.share, one.register, problem.doubts.model))


def _variance(problem: Problem, spread: Floats, heard: Heard, read: Sequence[Heard]) -> Floats:
    """Cents² of each sound (R,), with the flute fitted to the readings if there are any."""
    rows, *lessons = loadings(problem, spread, (heard, *read))
    if not lessons:
        return np.asarray((rows[0] ** 2).sum(axis=-1))
    lesson = Lesson(np.concatenate(lessons, axis=1), problem.doubts.tuner)
    return np.asarray(lesson.variance(rows)[0])
