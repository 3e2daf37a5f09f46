"""Flutes drawn from what is believed of one: the confirmation of every ± by what such flutes really do.

Apart from the prediction, whose straight lines it is held against: here each flute is played whole, all of
them in one batch. The same seed gives the same flutes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.solver.belief import STATE, Causes, Lesson, Reading, Sound, hear_each, rows_of
from scaledesign.solver.prediction import spread_of
from scaledesign.solver.problem import CENT, Doubts, Problem, altered
from scaledesign.solver.resonance import resonances
from scaledesign.values import dataclass

COUNT = 2000
"""A standard deviation from so many draws is itself good to 1.6 %, 1/sqrt(2 count)."""


@dataclass(frozen=True)
class Drawn:
    """N flutes as they may be, and ``left_out`` (N, R) cents of each row that no geometry accounts for."""

    flutes: Flutes
    left_out: Floats


def drawn(problem: Problem, readings: Sequence[Reading] = (), *, count: int = COUNT, seed: int = 1) -> Drawn:
    """Flutes drawn from the doubts, correlations kept.

    With readings, each flute drawn is read, fitted and set beside its own fit: what is drawn is the problem's
    flute with what that left wrong, so that rows scatter as a calibrated flute's do.

    Parameters
    ----------
    problem : Problem
    readings : those that the problem's flute was fitted to
    count, seed : how many flutes, and which

    Raises
    ------
    NoPitchError
    """
    rng = np.random.default_rng(seed)
    rows, doubts, spread = rows_of(problem), problem.doubts, spread_of(problem, readings)
    causes = Causes([rows, *readings])
    off = rng.standard_normal((count, causes.count))
    wrong = off[:, :STATE]
    if readings:
        read = [causes.loading(each, spread, doubts)[0] for each in hear_each(readings)]
        lesson = Lesson(np.concatenate(read)[None], doubts.tuner)
        heard = off @ lesson.read[0].T + doubts.tuner * rng.standard_normal((count, len(readings)))
        wrong = wrong - heard @ lesson.gain[0].T
    return as_made(rows, causes, np.column_stack([wrong, off[:, STATE:]]), spread, doubts)


def as_made(sound: Sound, causes: Causes, off: Floats, spread: Floats, doubts: Doubts) -> Drawn:
    """The tubes of a sound with every cause off by so much: ``off`` (N, P) standard deviations."""
    flutes = altered(sound.flutes, off[:, :STATE] * spread)
    flutes = replace(
        flutes,
        at=flutes.at + off[:, causes.at(sound)] * doubts.at,
        radius=flutes.radius + off[:, causes.diameter(sound)] * doubts.diameter / 2,
        length=flutes.length + off[:, causes.length(sound)] * doubts.length,
    )
    return Drawn(flutes, off[:, causes.left_out(sound)] * sound.doubt)


def scatter(
    problem: Problem, readings: Sequence[Reading] = (), *, count: int = COUNT, seed: int = 1
) -> Floats:
    """Standard deviation of every row over flutes so drawn, (R,) cents: what a prediction states.

    Raises
    ------
    NoPitchError
    """
    made = drawn(problem, readings, count=count, seed=seed)
    middle = resonances(problem.flutes, problem.fingerings)
    found = resonances(made.flutes, problem.fingerings, near=middle)
    cents = CENT * np.log(found.frequency / middle.frequency) + made.left_out
    return np.asarray(cents.std(axis=0))
