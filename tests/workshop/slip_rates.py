"""How often a slip is found, named and cried in vain, over hidden flutes that were measured and read.

Each flute is drawn from what a maker cannot know (mouth, bore, wall, warmth, every place and width as well
as they can be measured, what the model leaves out of each fingering), one hole lies elsewhere than written,
and every row is read with noise. ``python -m tests.workshop.slip_rates 40 3`` prints the rates for 40 flutes
a hole and way, and a slip of 3 mm.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design
from scaledesign.model.pitch import format_reading
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import fit
from scaledesign.solver.hearing import hear_each
from scaledesign.solver.problem import CENT, Problem, problem_of
from scaledesign.solver.resonance import resonances
from scaledesign.solver.sampling import drawn
from scaledesign.workshop import ask
from scaledesign.workshop.readings import readings_of
from scaledesign.workshop.slip_scores import effects, numbers_of, scores
from scaledesign.workshop.slips import SAY, TIE, evidence

NAMES = ("dust-lark", "grey-heron", "marsh-wren", "night-heron", "reed-bunting")
NOISE = 3.0
"""Cents of one reading."""


@dataclass(frozen=True)
class Trial:
    """N flutes: the best score of each, that of the hole that is wrong, and how many holes come before it."""

    best: Floats
    own: Floats
    rank: Floats


def example(name: str) -> Design:
    design = load(EXAMPLES / f"{name}.toml")
    return replace(design, uncertainty=replace(design.uncertainty, tuner=NOISE))


def heard(design: Design, count: int, seed: int, hole: int | None = None, slip: float = 0.0) -> Floats:
    """Readings (count, R) Hz of every row of flutes whose ``hole`` lies ``slip`` m from where it stands."""
    problem: Problem = problem_of(design, ask.targets(design))
    made = drawn(problem, count=count, seed=seed)
    at = made.flutes.at.copy()
    if hole is not None:
        at[:, hole] += slip
    flutes = replace(made.flutes, at=at)
    near = resonances(problem.flutes, problem.fingerings)
    played = resonances(flutes, problem.fingerings, near=near).frequency
    noise = NOISE * np.random.default_rng(seed + 1).standard_normal(played.shape)
    return np.asarray(played * np.exp((made.left_out + noise) / CENT))


def read(design: Design, frequencies: Sequence[float]) -> Design:
    """The design with those readings in its rows."""
    rows = zip(design.rows, frequencies, strict=True)
    reference = design.tuning.reference
    measured = tuple(replace(row, measured=format_reading(float(each), reference)) for row, each in rows)
    return replace(design, rows=measured)


def judged(design: Design, frequencies: Floats, hole: int | None) -> Trial:
    """What is said of those flutes, all at once."""
    written = read(design, frequencies[0])
    readings = readings_of(written)
    problem = problem_of(replace(written, rows=()), ())
    numbers = numbers_of(written, readings)
    found = fit(problem, readings, frequencies)
    played = hear_each([each.altered(found.state) for each in readings])
    effect = effects(written, readings, played, numbers, found.state)
    of_place = evidence(numbers, scores(found.lesson, found.off, effect, numbers))
    best = np.max(list(of_place.values()), axis=0)
    if hole is None:
        return Trial(best, best, np.zeros(len(best)))
    own = of_place["hole", hole]
    holes = [of_place["hole", i] for i in range(len(design.holes))]
    return Trial(best, own, np.asarray((np.array(holes) > own).sum(axis=0)))


def trials(
    names: Sequence[str], count: int, slip: float, ways: Sequence[float] = (1.0, -1.0)
) -> Iterator[Trial]:
    """Every hole of some examples, wrong each way."""
    for name in names:
        design = example(name)
        for hole in range(len(design.holes)):
            for way in ways:
                seed = 1000 * hole + int(way) + len(name)
                yield judged(design, heard(design, count, seed, hole, way * slip), hole)


def rates(found: Sequence[Trial]) -> dict[str, float]:
    """Shares: told; of those the right hole first, or among what is named; the right hole first or second."""
    best, own, rank = (
        np.concatenate([getattr(each, name) for each in found]) for name in ("best", "own", "rank")
    )
    told = best >= SAY
    return {
        "found": float(told.mean()),
        "named_first": float((told & (own >= best)).sum() / max(told.sum(), 1)),
        "named": float((told & (own >= best - TIE)).sum() / max(told.sum(), 1)),
        "first_of_holes": float((rank == 0).mean()),
        "among_two_holes": float((rank < 2).mean()),
    }


def alarms(names: Sequence[str], count: int, seed: int = 5) -> float:
    """Share of honest flutes that are told a slip."""
    best = [judged(design, heard(design, count, seed), None).best for design in map(example, names)]
    return float((np.concatenate(best) >= SAY).mean())


if __name__ == "__main__":
    many, far = int(sys.argv[1]), float(sys.argv[2]) / 1000
    print(
        json.dumps(
            {**rates(list(trials(NAMES, many, far))), "false_alarms": alarms(NAMES, 6 * many)}, indent=2
        )
    )
