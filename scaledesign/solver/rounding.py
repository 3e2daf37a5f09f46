"""Rounding a layout to the shop's bits: diameters a maker can make, the rest solved again.

Apart from the layout, which knows no bits. Bits are chosen on the linear model, where a choice is cheap,
and proved by solving again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, product

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.physics.arrays import Floats
from scaledesign.solver.layout import Fit, Task, Wish, fit
from scaledesign.solver.limits import Geometry, bits_allowed
from scaledesign.solver.linear import Guess, Line, line_through, slope_of
from scaledesign.values import dataclass

ROUNDED, STUCK = 0.5, 1.5
"""Cents a counted row may lose to rounding before other bits are tried; and before two at a time are."""
GAIN = 0.05
"""Cents by which other bits must be better."""
ROUNDS, MOVES = 3, 12
"""How often a choice is proved and looked at again, and how many times bits are changed in between."""

Diameters = dict[int, float]
"""m, by hole."""


@dataclass(frozen=True)
class _Drill:
    """The bits (m, rising) that may make each hole, and the rows that should not suffer."""

    bits: dict[int, tuple[float, ...]]
    counted: tuple[int, ...]
    allowed: Floats
    """Cents by which each of them was off already where it was further off than the tolerance, else 0."""

    def loss(self, cents: Floats) -> float:
        """Cents by which the worst row is off, or further off than it was already."""
        return float((np.abs(cents[list(self.counted)]) - self.allowed).max(initial=0.0))

    def nearest(self, line: Line) -> Diameters:
        """Round one hole after another, the one with the nearest bit first."""
        count = len(line.u) // 2
        chosen: Diameters = {}
        u = line.u
        while len(chosen) < len(self.bits):
            waiting = [
                (abs(bit - u[count + i]), i, bit)
                for i, bits in self.bits.items()
                if i not in chosen
                for bit in bits
            ]
            _, i, bit = min(waiting)
            chosen[i] = bit
            u = line.best(chosen).u
        return chosen

    def improved(self, line: Line, now: Diameters) -> Diameters:
        """Change bits, one hole at a time, then two, as long as the rows gain by it."""
        best = line.best(now)
        for _ in range(MOVES):
            if self.loss(best.cents) <= ROUNDED:
                break
            step = self._step(line, now, 1, best)
            if step is None and self.loss(best.cents) > STUCK:
                step = self._step(line, now, 2, best)
            if step is None:
                break
            now, best = step
        return now

    def _step(self, line: Line, now: Diameters, holes: int, best: Guess) -> tuple[Diameters, Guess] | None:
        found = None
        goal = self.loss(best.cents) - GAIN
        for move in self._moves(now, holes):
            guess = line.best({**now, **move})
            off = self.loss(guess.cents)
            if off < goal:
                found, goal = ({**now, **move}, guess), off
        return found

    def _moves(self, now: Diameters, holes: int) -> Iterator[Diameters]:
        """Every change of so many holes to the next bit up or down."""
        beside = {}
        for i, bits in self.bits.items():
            place = min(range(len(bits)), key=lambda n: abs(bits[n] - now[i]))
            beside[i] = bits[max(place - 1, 0) : place] + bits[place + 1 : place + 2]
        for group in combinations(beside, holes):
            for choice in product(*(beside[i] for i in group)):
                yield dict(zip(group, choice, strict=True))


def snap(task: Task, found: Fit, wish: Wish, counted: tuple[int, ...] = ()) -> Fit:
    """Round every free diameter to one of the shop's bits, the rest solved again.

    Nearest bits first; where a row of ``counted`` then misses by more than ``ROUNDED`` cents, the bits
    beside them are tried as long as that helps. Diameters for which the shop has no bit in bounds stay.
    """
    count = len(task.design.holes)
    bits = {
        i: allowed
        for i, hole in enumerate(task.design.holes)
        if task.free[count + i] and (allowed := bits_allowed(task.design, hole, float(found.geometry.at[i])))
    }
    if not bits or task.cancelled():
        return found
    off = np.abs(found.cents[list(counted)])
    drill = _Drill(bits, counted, np.where(off > task.design.tuning.tolerance, off, 0.0))
    free = task.free.copy()
    free[[count + i for i in bits]] = False
    fixed = replace(task, free=free)
    line = line_through(task, found, wish, slope_of(task, found))
    chosen = drill.improved(line, drill.nearest(line))
    best = fit(fixed, Geometry.of(line.best(chosen).u), wish, found.resonances)
    for _ in range(ROUNDS):
        if drill.loss(best.cents) <= ROUNDED or task.cancelled():
            break
        line = line_through(fixed, best, wish, slope_of(fixed, best))
        other = drill.improved(line, chosen)
        if other == chosen:
            break
        try:
            trial = fit(fixed, Geometry.of(line.best(other).u), wish, best.resonances)
        except NoPitchError:  # those bits lead to a flute that cannot speak
            break
        if drill.loss(trial.cents) >= drill.loss(best.cents):
            break
        chosen, best = other, trial
    return best
