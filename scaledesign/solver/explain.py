"""Why a row is off: the one rule that binds, found by leaving it out and solving again.

Limits that push back and locks are the suspects; the linear model says which one would free most, a
second solve convicts. The sentences are in ``verdict``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from scaledesign.solver.layout import Fit, Task, fit, stay
from scaledesign.solver.limits import Limit, limits_of, room
from scaledesign.solver.linear import line_through, slope_of
from scaledesign.solver.verdict import KINDS, Obstacle, coarse, conflict, locked, nothing, rule, several

Off = Callable[[Fit, int], bool]
"""Whether a row of a fit is further off than the design's tolerance."""


@dataclass(frozen=True)
class _Suspect:
    """A rule, and the task without it; ``hole`` is the one that is locked."""

    kind: str
    task: Task
    hole: int | None = None


def obstacles(task: Task, found: Fit, snapped: Fit, off: Off, rows: tuple[int, ...]) -> tuple[Obstacle, ...]:
    """What binds for every row of ``rows`` that ``off`` says is off in ``snapped``.

    Parameters
    ----------
    task : Task
    found, snapped : Fit, before and after rounding to bits
    off : whether a row of a fit is further off than the design's tolerance
    rows : rows that count
    """
    unmet = [row for row in rows if off(snapped, row)]
    if not unmet:
        return ()
    trial = _Trial(task, found, {})
    suspects: list[_Suspect] | None = None
    told = []
    for row in unmet:
        rival = next(
            (other for other in _rivals(task, row, rows) if not off(trial.of_rival(other), row)), None
        )
        if rival is not None:
            told.append(conflict(task.design, row, rival, float(snapped.cents[row])))
        elif not off(found, row):
            told.append(coarse(task.design, row, found.geometry, float(snapped.cents[row])))
        else:
            if suspects is None:
                suspects = _likeliest_first(task, found, unmet)
            told.append(_convict(trial, suspects, off, row, float(snapped.cents[row])))
    return tuple(told)


def _rivals(task: Task, row: int, rows: tuple[int, ...]) -> Iterator[int]:
    """Counted rows that ask another note of a row's fingering."""
    share, register = task.problem.fingerings.share, task.problem.fingerings.register
    for other in rows:
        same = register[other] == register[row] and (share[:, other] == share[:, row]).all()
        if same and task.problem.target[other] != task.problem.target[row]:
            yield other


@dataclass(frozen=True)
class _Trial:
    """Second solves, each done once."""

    task: Task
    found: Fit
    done: dict[object, Fit]

    def of(self, name: object, task: Task) -> Fit:
        if name not in self.done:
            start = self.found.geometry
            self.done[name] = fit(task, start, stay(start), self.found.resonances)
        return self.done[name]

    def of_rival(self, row: int) -> Fit:
        """Without another row."""
        weight = self.task.problem.weight.copy()
        weight[row] = 0.0
        return self.of(row, replace(self.task, problem=replace(self.task.problem, weight=weight)))

    def of_suspect(self, suspect: _Suspect) -> Fit:
        """Without a rule."""
        return self.of((suspect.kind, suspect.hole), suspect.task)

    def of_all(self) -> Fit:
        """Without any rule or lock."""
        task = replace(self.task, without=frozenset(KINDS), free=np.ones_like(self.task.free))
        return self.of("all", task)


def _suspects(task: Task, found: Fit) -> Iterator[_Suspect]:
    for kind in dict.fromkeys(limit.kind for limit in (*(b for b, _ in found.binding), *found.broken)):
        yield _Suspect(kind, replace(task, without=frozenset((kind,))))
    count = len(task.design.holes)
    for hole, columns in ((None, [2 * count]), *((i, [i, count + i]) for i in range(count))):
        if not task.free[columns].all():
            free = task.free.copy()
            free[columns] = True
            yield _Suspect("tube_locked" if hole is None else "hole_locked", replace(task, free=free), hole)


def _likeliest_first(task: Task, found: Fit, unmet: list[int]) -> list[_Suspect]:
    """Suspects, the one first without which the unmet rows would come nearest to their notes."""
    slope = slope_of(task, found)
    wish = stay(found.geometry)

    def left(suspect: _Suspect) -> float:
        cents = line_through(suspect.task, found, wish, slope).best({}).cents[unmet]
        return float((cents**2).sum())

    return sorted(_suspects(task, found), key=left)


def _convict(trial: _Trial, suspects: list[_Suspect], off: Off, row: int, cents: float) -> Obstacle:
    design = trial.task.design
    for suspect in suspects:
        freed = trial.of_suspect(suspect)
        if off(freed, row):
            continue
        if suspect.hole is not None or suspect.kind == "tube_locked":
            return locked(design, row, suspect.hole, freed.geometry, cents)
        return rule(design, row, _most_broken(trial, suspect.kind, freed), freed.geometry, cents)
    if off(trial.of_all(), row):
        return nothing(design, row, cents)
    return several(design, row, [suspect.kind for suspect in suspects], cents)


def _most_broken(trial: _Trial, kind: str, freed: Fit) -> Limit:
    """The limit of a kind that the freed layout would break by most."""
    limits = limits_of(trial.task.design, freed.geometry, trial.task.sides)
    return min((limit for limit in limits if limit.kind == kind), key=lambda one: room(one, freed.geometry))
