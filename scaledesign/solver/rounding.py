"""Rounding a layout to the shop's bits: diameters a maker can make, the rest solved again.

Apart from the layout, which knows no bits.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scaledesign.solver.layout import Fit, Task, Wish, fit
from scaledesign.solver.limits import bits_allowed

ROUNDED, TRIES = 0.5, 6
"""Cents a counted row may lose to rounding before other bits are tried, and how often."""


def snap(task: Task, found: Fit, wish: Wish, counted: tuple[int, ...] = ()) -> Fit:
    """Round every free diameter to one of the shop's bits, nearest first, the rest solved again.

    Where a counted row then misses by more than ``ROUNDED`` cents, neighbouring bits are tried, one
    hole at a time, as long as that helps. Diameters for which the shop has no bit in bounds stay.
    """
    count = len(task.design.holes)
    waiting = {i for i in range(count) if task.free[count + i]}
    chosen: dict[int, tuple[float, ...]] = {}
    free = task.free.copy()
    while waiting and not task.cancelled():
        best: tuple[float, int, float] | None = None
        for i in sorted(waiting):
            bits = bits_allowed(task.design, task.design.holes[i], float(found.geometry.at[i]))
            if not bits:
                continue
            diameter = float(found.geometry.diameter[i])
            bit = min(bits, key=lambda b: (abs(b - diameter), b))
            chosen[i] = bits
            if best is None or abs(bit - diameter) < best[0]:
                best = (abs(bit - diameter), i, bit)
        if best is None:
            break
        waiting.discard(best[1])
        free[count + best[1]] = False
        found = _with_bit(replace(task, free=free.copy()), found, wish, best[1], best[2])
    return _better_bits(replace(task, free=free), found, wish, chosen, counted)


def _with_bit(task: Task, found: Fit, wish: Wish, hole: int, bit: float) -> Fit:
    diameters = found.geometry.diameter.copy()
    diameters[hole] = bit
    geometry = replace(found.geometry, diameter=diameters)
    return fit(task, geometry, wish, found.resonances)


def _better_bits(
    task: Task, found: Fit, wish: Wish, chosen: dict[int, tuple[float, ...]], counted: tuple[int, ...]
) -> Fit:
    def worst(one: Fit) -> float:
        return float(np.abs(one.cents[list(counted)]).max(initial=0.0))

    for _ in range(TRIES):
        if worst(found) <= ROUNDED or task.cancelled():
            break
        trials = []
        for i, bits in chosen.items():
            place = min(range(len(bits)), key=lambda n: abs(bits[n] - found.geometry.diameter[i]))
            beside = bits[max(place - 1, 0) : place] + bits[place + 1 : place + 2]
            trials += [_with_bit(task, found, wish, i, bit) for bit in beside]
        best = min(trials, key=worst, default=found)
        if worst(best) >= worst(found) - 0.05:
            break
        found = best
    return found
