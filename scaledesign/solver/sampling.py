"""Flutes drawn from what is believed of one: the confirmation of every ± by what such flutes really do.

Apart from the prediction, whose straight lines it is held against: here each flute is played whole, all of
them in one batch, or in parts where they are many. The same seed gives the same flutes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.solver.belief import STATE, Causes, Lesson
from scaledesign.solver.hearing import Reading, Sound, hear_each, rows_of
from scaledesign.solver.prediction import spread_of
from scaledesign.solver.problem import CENT, Doubts, Problem, altered
from scaledesign.solver.resonance import resonances
from scaledesign.values import dataclass
from scaledesign.wanted import each

COUNT = 2000
"""A standard deviation from so many draws is itself good to 1.6 %, 1/sqrt(2 count)."""
ROOM = 50_000
"""Flutes times fingerings times holes that are played at once: 15 to 60 MB and some seconds, however many
are asked for; half of it would be slower, twice as much no faster."""


@dataclass(frozen=True)
class Drawn:
    """N flutes as they may be, and ``left_out`` (N, R) cents of each row that no geometry accounts for."""

    flutes: Flutes
    left_out: Floats


def drawn(problem: Problem, readings: Sequence[Reading] = (), *, count: int = COUNT, seed: int = 1) -> Drawn:
    """Flutes drawn from the doubts, correlations kept.

    With readings, each flute drawn is read and set beside what its readings let expect of it: what is drawn
    is the problem's flute with what that left wrong, so that rows scatter as a calibrated flute's do.

    Parameters
    ----------
    problem : Problem
    readings : those that the problem's flute was fitted to
    count, seed : how many flutes, and which

    Raises
    ------
    NoPitchError
    """
    (whole,) = in_parts(problem, readings, count=count, seed=seed, size=count)
    return whole


def in_parts(
    problem: Problem, readings: Sequence[Reading] = (), *, count: int, seed: int = 1, size: int
) -> Iterator[Drawn]:
    """The same flutes, ``size`` at a time, so that many need no more room than few.

    Raises
    ------
    NoPitchError
    """
    rows, doubts, spread = rows_of(problem), problem.doubts, spread_of(problem, readings)
    causes = Causes([rows, *readings])
    rng, tuner = np.random.default_rng(seed), np.random.default_rng(seed)
    lesson: Lesson | None = None
    if readings:
        read = [causes.loading(heard, spread, doubts)[0] for heard in hear_each(readings)]
        lesson = Lesson(np.concatenate(read)[None], doubts.tuner)
        for first in range(0, count, size):  # the tuner's wavering is drawn after all flutes
            tuner.standard_normal((min(size, count - first), causes.count))
    for first in each(range(0, count, size)):
        off = rng.standard_normal((min(size, count - first), causes.count))
        if lesson is not None:
            shown = off @ lesson.read[0].T + doubts.tuner * tuner.standard_normal((len(off), len(readings)))
            off -= shown @ lesson.taken[0]
        yield as_made(rows, causes, off, spread, doubts)


def as_made(sound: Sound, causes: Causes, off: Floats, spread: Floats, doubts: Doubts) -> Drawn:
    """The tubes of a sound with every cause off by so much: ``off`` (N, P) standard deviations."""
    flutes = altered(sound.flutes, off[:, :STATE] * spread)
    flutes = replace(
        flutes,
        at=flutes.at + off[:, causes.at(sound)] * doubts.at,
        radius=flutes.radius + off[:, causes.diameter(sound)] * doubts.diameter / 2,
        length=flutes.length + off[:, causes.length(sound)] * doubts.length,
    )
    return Drawn(flutes, off[:, causes.left_out(sound)] * causes.doubt(sound))


def played(
    problem: Problem, readings: Sequence[Reading] = (), *, count: int = COUNT, seed: int = 1
) -> Iterator[Floats]:
    """What flutes so drawn play: (n, R) cents of each row off what the problem's own plays, a part at a time.

    Raises
    ------
    NoPitchError
    """
    middle = resonances(problem.flutes, problem.fingerings)
    size = max(1, ROOM // (problem.fingerings.count * max(1, problem.flutes.at.shape[1])))
    for made in in_parts(problem, readings, count=count, seed=seed, size=size):
        found = resonances(made.flutes, problem.fingerings, near=middle)
        yield CENT * np.log(found.frequency / middle.frequency) + made.left_out


def scatter(
    problem: Problem, readings: Sequence[Reading] = (), *, count: int = COUNT, seed: int = 1
) -> Floats:
    """Standard deviation of every row over flutes so drawn, (R,) cents: what a prediction states.

    Raises
    ------
    NoPitchError
    """
    rows = problem.fingerings.count
    total, squares = np.zeros(rows), np.zeros(rows)
    for cents in played(problem, readings, count=count, seed=seed):
        total, squares = total + cents.sum(axis=0), squares + (cents**2).sum(axis=0)
    return np.asarray(np.sqrt(squares / count - (total / count) ** 2))
