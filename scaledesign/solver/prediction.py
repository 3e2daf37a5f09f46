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
    read: Sequence[Heard] = (),
) -> Prediction:
    """Play every row of a problem.

    Parameters
    ----------
    problem : Problem
    readings : readings the added length was fitted to; they sharpen the uncertainty
    losses : False for the ideal fluid
    near : resonances of a like flute, to start from
    shown : how many rows to keep (the rest only helped to solve)
    read : what the readings sound, where that is known

    Raises
    ------
    NoPitchError
    """
    heard = hear(rows_of(problem), near, losses=losses)
    beside, total, common, rest = expected(problem, heard, readings, read)
    frequency = heard.frequency[0] * np.exp(beside / CENT)
    cents = CENT * np.log(frequency / problem.target)
    rows = slice(0, shown)
    s = heard.sensitivity
    kept = Sensitivity(*(getattr(s, name)[0, rows] for name in Sensitivity.__dataclass_fields__))
    return Prediction(
        frequency[rows], problem.target[rows], cents[rows], total[rows], common[rows], rest[rows], kept,
        heard.depth[0, rows], calibrated=bool(readings), notes=problem.remarks,
    )  # fmt: skip


def expected(
    problem: Problem, heard: Heard, readings: Sequence[Reading], known: Sequence[Heard] = ()
) -> tuple[Floats, Floats, Floats, Floats]:
    """What is known of rows beside what the fitted flute plays, (R,) cents each.

    How much sharper they are expected, as readings of the very note, or of other notes of the same holes,
    tell; then one standard deviation: all, the part one blown note of the bare tube would cure, and the rest.
    ``known`` is what has been heard of the flute already.
    """
    spread = spread_of(problem, readings)
    blown = [] if problem.flutes.body.ideal_mouth else [bare_tube_of(problem)]
    read = hear_each([*readings, *blown], known=known)
    rows, *lessons = loadings(problem, spread, (heard, *read))
    beside = _beside(problem, rows, readings, read, lessons)
    variance = left = _variance(rows, _lesson(problem, lessons[: len(readings)]))
    if blown:
        left = np.minimum(variance, _variance(rows, _lesson(problem, lessons)))
    return beside, np.sqrt(variance), np.sqrt(variance - left), np.sqrt(left)


def beside_of(
    problem: Problem, readings: Sequence[Reading], read: Sequence[Heard], near: Resonances | None = None
) -> Floats:
    """(R,) cents by which rows are expected above what the fitted flute plays; ``read`` is what that sounds.

    Raises
    ------
    NoPitchError
    """
    if not any(reading.same for reading in readings):
        return np.zeros(problem.fingerings.count)
    heard = hear(rows_of(problem), near)
    rows, *lessons = loadings(problem, spread_of(problem, readings), (heard, *read))
    return _beside(problem, rows, readings, read, lessons)


def _beside(
    problem: Problem,
    rows: Floats,
    readings: Sequence[Reading],
    read: Sequence[Heard],
    lessons: Sequence[Floats],
) -> Floats:
    """The same, of loadings; readings of what may be another flute by now say nothing of single notes."""
    told = [k for k, reading in enumerate(readings) if reading.same]
    known = _lesson(problem, [lessons[k] for k in told])
    if known is None:
        return np.zeros(rows.shape[1])
    left = [CENT * np.log(readings[k].frequency / read[k].frequency[0, 0]) for k in told]
    return np.asarray(known.beside(rows, np.array([left]))[0])


def expectation(problem: Problem, tube: Sound, readings: Sequence[Reading] = ()) -> tuple[float, float]:
    """Frequency (Hz) that a sound about to be read should have, and one standard deviation in cents.

    ``readings`` are those that the flute was fitted to before.

    Raises
    ------
    NoPitchError
    """
    heard = hear(tube)
    read = [hear(reading) for reading in readings]
    rows, *lessons = loadings(problem, spread_of(problem, readings), (heard, *read))
    beside = _beside(problem, rows, readings, read, lessons)
    frequency = heard.frequency[0] * np.exp(beside / CENT)
    return float(frequency[0]), float(np.sqrt(_variance(rows, _lesson(problem, lessons))[0]))


def expectations(
    problem: Problem, sounds: Sequence[Sound], readings: Sequence[Reading], near: Sequence[Heard] = ()
) -> Floats:
    """(K,) Hz that sounds of one fingering each should have by all readings, as ``predict`` has the rows.

    ``near`` are the same sounds of a like flute, to start from.

    Raises
    ------
    NoPitchError
    """
    heard = hear_each(sounds, near)
    frequency = np.array([each.frequency[0, 0] for each in heard])
    told = [reading for reading in readings if reading.same]
    if not told:
        return frequency
    read = hear_each(told, known=heard)
    every = loadings(problem, spread_of(problem, told), (*heard, *read))
    rows = np.concatenate(every[: len(heard)], axis=1)
    return np.asarray(frequency * np.exp(_beside(problem, rows, told, read, every[len(heard) :]) / CENT))


def spread_of(problem: Problem, readings: Sequence[Reading]) -> Floats:
    """(5,) one standard deviation of the state: before any reading, or as it stands where there is none."""
    before = problem.before
    return (before if readings else replace(before, added_length=problem.voicing_doubt)).spread


def bare_tube_of(problem: Problem) -> Sound:
    """The tube before any hole is drilled, in its first register."""
    one = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))
    return Sound(problem.bare, one, (), model_doubts(one.share, one.register, problem.doubts.model))


def _lesson(problem: Problem, read: Sequence[Floats]) -> Lesson | None:
    """What readings with these loadings teach; None where there are none."""
    return Lesson(np.concatenate(read, axis=1), problem.doubts.tuner) if read else None


def _variance(rows: Floats, known: Lesson | None) -> Floats:
    """Cents² of each sound (R,), given what the readings taught."""
    return np.asarray((rows[0] ** 2).sum(axis=-1) if known is None else known.variance(rows)[0])
