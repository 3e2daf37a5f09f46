"""A solved layout with everything linear about it: what a change would do, without solving again.

One small least-squares problem answers a question that takes a whole fit to prove. Rounding chooses bits on
it, and explaining chooses suspects.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from scaledesign.physics.arrays import Floats, Indices
from scaledesign.physics.gradient import derivatives
from scaledesign.solver.layout import MM, Fit, Task, Wish
from scaledesign.solver.limits import matrix
from scaledesign.solver.quadratic import constrained_least_squares
from scaledesign.solver.resonance import field_at
from scaledesign.solver.sensitivity import sensitivity_of
from scaledesign.values import dataclass


@dataclass(frozen=True)
class Guess:
    """What the linear model expects: the layout ``u`` (m), and every row's ``cents`` (R,)."""

    u: Floats
    cents: Floats


@dataclass(frozen=True)
class Line:
    """Rows, wishes and limits of a layout ``u`` (2H + 1,) m, linear in a change in mm.

    ``slope`` (R, 2H + 1) and ``cents`` (R,) of the rows, ``root`` (R,) of their weights; ``wish`` and
    ``wished`` likewise, weighted; ``g`` @ change >= ``room``, with ``give`` (m,) as in ``limits.matrix``.
    """

    u: Floats
    free: Indices
    slope: Floats
    cents: Floats
    root: Floats
    wish: Floats
    wished: Floats
    g: Floats
    room: Floats
    give: Floats

    def best(self, diameters: Mapping[int, float]) -> Guess:
        """The best layout in which some holes have these diameters (m, by hole)."""
        count = (len(self.u) - 1) // 2
        change = np.zeros(len(self.u))
        for i, diameter in diameters.items():
            change[count + i] = (diameter - self.u[count + i]) / MM
        free = np.setdiff1d(self.free, [count + i for i in diameters])
        if len(free):
            e = np.vstack([self.root[:, None] * self.slope[:, free], self.wish[:, free]])
            off = np.concatenate(
                [self.root * (self.cents + self.slope @ change), self.wished + self.wish @ change]
            )
            movable = (self.g[:, free] != 0).any(axis=1)
            room = (self.room - self.g @ change)[movable]
            g = self.g[np.ix_(movable, free)]
            change[free] = constrained_least_squares(e, -off, g, room, self.give[movable]).x
        return Guess(self.u + MM * change, self.cents + self.slope @ change)


def slope_of(task: Task, found: Fit) -> Floats:
    """Cents of every row per mm of every position, every diameter and the length, (R, 2H + 1)."""
    flutes = task.flutes(found.geometry)
    field = field_at(flutes, task.problem.fingerings, found.resonances.frequency, losses=task.losses)
    s = sensitivity_of(flutes, derivatives(field))
    return np.concatenate([s.at, s.diameter, s.length[:, None]], axis=1) * MM


def line_through(task: Task, found: Fit, wish: Wish, slope: Floats) -> Line:
    """The linear model of a task about one of its layouts; ``slope`` as of ``slope_of``."""
    u = found.geometry.u
    g, h, give = matrix(task.limits(found.geometry), len(u))
    return Line(
        u, np.flatnonzero(task.free), slope, found.cents, np.sqrt(task.problem.weight),
        wish.matrix * MM, wish.matrix @ u - wish.value, g, (h - g @ u) / MM, give,
    )  # fmt: skip
