"""A plain design solver: hole positions, diameters and the foot from wanted frequencies.

What an ordinary engineer would write on top of plain.py: every playing frequency found by scan and
bracketing, the difference to its target in cents as residual, scipy's bounded least squares with its
own finite differences. The package's solver is held against it, in result and in time. Nothing here may
import ``scaledesign``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from scipy.optimize import OptimizeResult, least_squares

from tests.reference.plain import Air, Flute, cents, playing_frequency

MM = 1e-3


@dataclass(frozen=True)
class Row:
    """A fingering (open share of each hole), its register, target in Hz and weight."""

    fingering: tuple[float, ...]
    register: int
    target: float
    weight: float = 1.0


@dataclass(frozen=True)
class Free:
    """What may move, in m: bounds (low, high) of each hole's position and diameter, and of the length.

    None holds a dimension as it is.
    """

    at: tuple[tuple[float, float] | None, ...]
    diameter: tuple[tuple[float, float] | None, ...]
    length: tuple[float, float] | None = None


def frequencies(flute: Flute, rows: tuple[Row, ...], air: Air) -> list[float]:
    """The playing frequency of every row, Hz."""
    return [playing_frequency(flute, row.fingering, air, row.register) for row in rows]


def placed(flute: Flute, free: Free, values: list[float]) -> Flute:
    """The flute with its free dimensions set to ``values`` (mm: positions, diameters, length)."""
    rest = iter(values)
    holes = list(flute.holes)
    for n, bounds in enumerate(free.at):
        if bounds:
            holes[n] = replace(holes[n], x=next(rest) * MM)
    for n, bounds in enumerate(free.diameter):
        if bounds:
            holes[n] = replace(holes[n], radius=next(rest) * MM / 2)
    length = next(rest) * MM if free.length else flute.length
    return replace(flute, holes=tuple(holes), length=length)


def dimensions(flute: Flute, free: Free) -> list[float]:
    """The free dimensions as they are, mm."""
    values = [hole.x / MM for hole, bounds in zip(flute.holes, free.at, strict=True) if bounds]
    values += [2 * h.radius / MM for h, bounds in zip(flute.holes, free.diameter, strict=True) if bounds]
    return [*values, flute.length / MM] if free.length else values


def solve(
    flute: Flute,
    rows: tuple[Row, ...],
    air: Air,
    free: Free,
    preferences: Callable[[Flute], list[float]] = lambda flute: [],
    tolerance: float = 1e-8,
) -> tuple[Flute, OptimizeResult]:
    """Move the free dimensions so that the rows sound their targets, in the least-squares sense.

    Residuals are sqrt(weight) times cents from target, then those that ``preferences`` gives.
    """
    bounds = [pair for pair in (*free.at, *free.diameter, free.length) if pair]

    def residuals(values: list[float]) -> list[float]:
        tried = placed(flute, free, values)
        found = frequencies(tried, rows, air)
        off = [math.sqrt(row.weight) * cents(f, row.target) for f, row in zip(found, rows, strict=True)]
        return [*off, *preferences(tried)]

    result = least_squares(
        residuals,
        dimensions(flute, free),
        bounds=([low / MM for low, _ in bounds], [high / MM for _, high in bounds]),
        x_scale="jac",
        diff_step=1e-6,
        ftol=tolerance,
        xtol=tolerance,
        gtol=tolerance,
    )
    return placed(flute, free, list(result.x)), result
