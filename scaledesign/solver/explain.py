"""Why a row is off: the one rule that binds, found by leaving it out and solving again.

Limits that push back and locks are the suspects; the linear model says which one would free most, a
second solve convicts. The sentences are in ``verdict``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.solver.layout import Fit, Task, fit, stay
from scaledesign.solver.limits import Limit, limits_of, room
from scaledesign.solver.linear import line_through, slope_of
from scaledesign.solver.verdict import (
    KINDS,
    Obstacle,
    coarse,
    conflict,
    locked,
    nothing,
    on_edge,
    rule,
    several,
)
from scaledesign.values import dataclass

MET = 0.5
"""Share of the tolerance: a row that comes nearer before rounding is off for want of bits alone."""


@dataclass(frozen=True)
class _Suspect:
    """A rule, and the task without it; ``hole`` is the one that is locked."""

    kind: str
    task: Task
    hole: int | None = None


def obstacles(task: Task, found: Fit, snapped: Fit, rows: tuple[int, ...]) -> tuple[Obstacle, ...]:
    """What binds for every row that is further off in ``snapped`` than the design's tolerance.

    Parameters
    ----------
    task : Task
    found, snapped : Fit, before and after rounding to bits
    rows : rows that count
    """
    trial = _Trial(task, found, task.design.tuning.tolerance, {})
    unmet = [row for row in rows if trial.off(snapped, row)]
    suspects = _likeliest_first(task, found, unmet) if unmet else []
    jumped = found.resonances.level[0] != snapped.resonances.level[0]
    told = []
    for row in unmet:
        cents = float(snapped.cents[row])
        rivals = (other for other in _rivals(task, row, rows) if not trial.off(trial.of_rival(other), row))
        if (rival := next(rivals, None)) is not None:
            told.append(conflict(task.design, row, rival, cents))
        elif not found.torn and not trial.off(found, row, share=MET) and jumped[row]:
            told.append(on_edge(task.design, row, cents))
        elif not found.torn and not trial.off(found, row, share=MET):
            told.append(coarse(task.design, row, found.geometry, cents))
        elif (verdict := _convict(trial, suspects, row, cents)) is not None:
            told.append(verdict)
        elif not found.torn and not trial.off(found, row):
            told.append(coarse(task.design, row, found.geometry, cents))
        elif not trial.off(trial.of_all(), row):
            told.append(several(task.design, row, [suspect.kind for suspect in suspects], cents))
        else:
            told.append(nothing(task.design, row, cents))
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
    tolerance: float
    done: dict[object, Fit]

    def off(self, one: Fit, row: int, share: float = 1.0) -> bool:
        """Whether a row is further off than a share of the tolerance."""
        return abs(float(one.cents[row])) > share * self.tolerance

    def of(self, name: object, task: Task) -> Fit:
        if name not in self.done:
            start = self.found.geometry
            try:
                self.done[name] = fit(task, start, stay(start), self.found.resonances)
            except NoPitchError:  # led to a flute that cannot speak: it frees nothing
                self.done[name] = self.found
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
    """Suspects, the one first without which the unmet rows would come nearest to their notes.

    Where several would do, to the cent, the limit that pushes hardest comes first, locks last.
    """
    slope = slope_of(task, found)
    wish = stay(found.geometry)

    def left(suspect: _Suspect) -> int:
        cents = line_through(suspect.task, found, wish, slope).best({}).cents[unmet]
        return round(float(np.sqrt((cents**2).mean())))

    return sorted(_suspects(task, found), key=left)


def _convict(trial: _Trial, suspects: list[_Suspect], row: int, cents: float) -> Obstacle | None:
    design = trial.task.design
    for suspect in suspects:
        freed = trial.of_suspect(suspect)
        if trial.off(freed, row):
            continue
        if suspect.hole is not None or suspect.kind == "tube_locked":
            return locked(design, row, suspect.hole, freed.geometry, cents)
        return rule(design, row, _most_broken(trial, suspect.kind, freed), freed.geometry, cents)
    return None


def _most_broken(trial: _Trial, kind: str, freed: Fit) -> Limit:
    """The limit of a kind that the freed layout would break by most."""
    limits = limits_of(trial.task.design, freed.geometry, trial.task.sides)
    return min((limit for limit in limits if limit.kind == kind), key=lambda one: room(one, freed.geometry))
