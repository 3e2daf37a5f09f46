"""Flutes with every hidden error, read by a tuner that wavers, fitted, and judged: what a maker would find.

The truth is played whole, each cause off by its own number wherever it acts; the fit sees nothing but the
readings. All flutes in one batch.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

import scaledesign
from scaledesign.model.document import Design
from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.solver.belief import Causes, Lesson, fit, loadings
from scaledesign.solver.hearing import Sound, hear, rows_of
from scaledesign.solver.problem import CENT, problem_of
from scaledesign.solver.resonance import resonances
from scaledesign.solver.sampling import as_made
from scaledesign.workshop.ask import targets
from scaledesign.workshop.readings import bare_reading, row_reading
from tests.solver.remake_examples import EXAMPLES

TUNER = 3.0
"""Cents that a reading wavers by."""
PART = 250
"""Flutes judged at once: their derivatives are large."""


def example(file: str) -> Design:
    """An example whose maker's tuner wavers by 3 cents."""
    design = scaledesign.load(EXAMPLES / file)
    return replace(design, uncertainty=replace(design.uncertainty, tuner=TUNER))


def sounds_of(design: Design, bare: Sequence[int], rows: Sequence[int]) -> list[Sound]:
    """Readings to be taken: registers of the bare tube, and rows (0-based)."""
    return [
        *(bare_reading(design, 1.0, None, design.tube.length, register) for register in bare),
        *(row_reading(design, design.rows[row], len(design.log), row, "") for row in rows),
    ]


@dataclass(frozen=True)
class Judged:
    """Rows (N, R): cents that they sound above what the calibrated flute says, and one ± stated for them.

    ``state`` and ``believed`` (N, 5): what was hidden and what the fit says, ``sure`` (N, 5) its ±.
    """

    error: Floats
    stated: Floats
    state: Floats
    believed: Floats
    sure: Floats


def judged(
    design: Design,
    sounds: Sequence[Sound],
    *,
    count: int,
    seed: int,
    other_mouth: Callable[[Flutes], Flutes] = lambda flutes: flutes,
) -> Judged:
    """Make ``count`` flutes, read them, fit them, and see what they play.

    ``other_mouth`` gives the true flutes a mouth that the model does not know of.
    """
    problem = problem_of(design, targets(design))
    rows, spread, rng = rows_of(problem), problem.before.spread, np.random.default_rng(seed)
    causes = Causes([rows, *sounds])
    off = rng.standard_normal((count, causes.count))

    def played(sound: Sound) -> Floats:
        made = as_made(sound, causes, off, spread, problem.doubts)
        near = resonances(sound.flutes, sound.fingerings)
        found = resonances(other_mouth(made.flutes), sound.fingerings, near=near)
        return np.asarray(found.frequency * np.exp(made.left_out / CENT))

    true = played(rows)
    waver = TUNER * rng.standard_normal((count, len(sounds)))
    read = np.concatenate([played(sound) for sound in sounds], axis=1) * np.exp(waver / CENT)
    found = fit(problem, sounds, read)
    stated, says = np.empty(true.shape), np.empty(true.shape)
    for first in range(0, count, PART):
        part = slice(first, first + PART)
        heard = [hear(sound.altered(found.state[part])) for sound in (rows, *sounds)]
        of_rows, *of_readings = loadings(problem, spread, heard)
        lesson = Lesson(np.concatenate(of_readings, axis=1), problem.doubts.tuner)
        left = CENT * np.log(read[part] / np.concatenate([one.frequency for one in heard[1:]], axis=1))
        stated[part] = np.sqrt(lesson.variance(of_rows))
        says[part] = heard[0].frequency * np.exp(lesson.beside(of_rows, left) / CENT)
    return Judged(CENT * np.log(true / says), stated, off[:, :5] * spread, found.state, found.doubt)
