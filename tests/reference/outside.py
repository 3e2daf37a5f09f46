"""What open holes and foot do to each other through the outside air, and the whole flute as one system.

Apart from plain.py, which otherwise walks along the bore and has no way back: here every pressure and flow is
an unknown of one dense system, solved at once. Shares no code with ``scaledesign``; the formulas are those
that the docstring of ``scaledesign/physics/outside.py`` states, written again.
"""

from __future__ import annotations

import cmath
import math

import numpy as np

from tests.reference.elements import Air, Branch, Hole, State

# ---- mutual impedance -------------------------------------------------------------------------------


def beside_free_field(s: float, angle: float) -> float:
    """g: static field on a rigid cylinder over that in free space, ``s`` radii apart, ``angle`` around it."""
    even = (-3.99114 - 1.48597 * s) / (1 + 6.32192 * s + 7.7356 * s**2)
    once = (4.99133 + 0.03661 * s) / (1 + 5.31245 * s + 0.32357 * s**2 + 0.11278 * s**3)
    return 1 + even + once * math.cos(angle)


def between_holes(one: Hole, other: Hole, frequency: float, air: Air) -> complex:
    """Pressure outside one hole over the flow out of the other, Pa s/m3."""
    k = 2 * math.pi * frequency / air.c
    radius = (one.outer + other.outer) / 2
    turn = other.angle - one.angle
    straight = math.hypot(other.x - one.x, 2 * radius * math.sin(turn / 2))
    d = (straight**4 + (0.3 * radius) ** 4) ** 0.25
    field = (beside_free_field(d / radius, turn) - 1) / d + cmath.exp(-1j * k * d) / d
    field += 0.6 * k**2 * radius * math.exp(-0.3 * d / radius) * math.cos(turn)
    return 1j * k * air.rho * air.c / (4 * math.pi) * field


def to_foot(hole: Hole, length: float, outer: float, frequency: float, air: Air) -> complex:
    """The same between a hole and the foot of a tube of outer radius ``outer`` there."""
    k = 2 * math.pi * frequency / air.c
    d = length - hole.x + 1.1 * outer
    return 1j * k * air.rho * air.c / (4 * math.pi) * cmath.exp(-1j * k * d) / d


def mutual(length: float, outer: float, holes: list[Hole], frequency: float, air: Air) -> np.ndarray:
    """Every opening on every other, the foot last; nothing on the diagonal."""
    count = len(holes)
    table = np.zeros((count + 1, count + 1), complex)
    for i, one in enumerate(holes):
        for j in range(i):
            table[i, j] = table[j, i] = between_holes(one, holes[j], frequency, air)
        table[i, count] = table[count, i] = to_foot(one, length, outer, frequency, air)
    return table


# ---- the system -------------------------------------------------------------------------------------


class Nodal:
    """The equations of a flute with ``count`` openings, filled in part by part, in order mouth to foot.

    Unknowns: p in the middle of each T circuit, at the mouth and at the foot (count + 1); the flow that
    arrives at each opening along the bore (count), the flow that goes on from the mouth and from each hole
    (count), the flow out of each opening (count), and the pressure that the others make there (count).
    """

    def __init__(self, count: int) -> None:
        self.count = count
        size = 5 * count + 1
        self.matrix = np.zeros((size, size), complex)
        self.right = np.zeros(size, complex)
        self.row = 0
        # one wave of unit strength goes in at the mouth: neither p nor U has a pole
        self._equation({self._p(0): 1, self._on(0): 1}, 1.0)
        self._series = [0j] * (count + 1)
        self._lengths: list[tuple[complex, complex, complex, complex]] = []

    def _p(self, i: int) -> int:
        return i

    def _arrives(self, i: int) -> int:
        return self.count + i  # i = 1..count

    def _on(self, i: int) -> int:
        return 2 * self.count + 1 + i  # i = 0..count - 1

    def _out(self, i: int) -> int:
        return 3 * self.count + i  # i = 1..count

    def _push(self, i: int) -> int:
        return 4 * self.count + i  # i = 1..count

    def _equation(self, terms: dict[int, complex], right: complex = 0.0) -> None:
        for column, value in terms.items():
            self.matrix[self.row, column] += value
        self.right[self.row] = right
        self.row += 1

    def bore(self, a: complex, b: complex, c: complex, d: complex) -> None:
        """The next length of bore, as a matrix from its foot to its mouth side."""
        self._lengths.append((a, b, c, d))

    def hole(self, i: int, branch: Branch, unit: complex) -> None:
        """The hole that is opening i + 1: what leaves the bore there, and what comes out."""
        n = i + 1
        self._series[n] = branch.series / unit
        (a, b), (c, d) = branch.chimney
        inner, b, c = branch.inner / unit, b / unit, c * unit
        into = {self._arrives(n): 1.0, self._on(n): -1.0}
        if branch.end is None:
            self._equation({self._p(n): 1.0, **{m: -s * (inner + a / c) for m, s in into.items()}})
            self._equation({self._out(n): 1.0})
            return
        end = branch.end / unit
        drop = {m: -s * inner for m, s in into.items()}
        self._equation({self._p(n): 1.0, **drop, self._out(n): -(a * end + b), self._push(n): -a})
        self._equation({**into, self._out(n): -(c * end + d), self._push(n): -c})

    def foot(self, state: State, unit: complex) -> None:
        """What ends the bore: p U0 = p0 (flow) + U0 (pressure outside)."""
        p, u = state
        n = self.count
        self._equation({self._p(n): u, self._out(n): -p / unit, self._push(n): -u})
        self._equation({self._arrives(n): 1.0, self._out(n): -1.0})

    def outside(self, table: np.ndarray, unit: complex) -> None:
        """What the flows out of the others make outside each opening; then the lengths of bore."""
        for i in range(1, self.count + 1):
            others = {self._out(j): -table[i - 1, j - 1] / unit for j in range(1, self.count + 1)}
            self._equation({self._push(i): 1.0, **others})
        for i, (a, b, c, d) in enumerate(self._lengths):
            near, far = self._series[i] / 2, self._series[i + 1] / 2
            ahead, flow = self._p(i + 1), self._arrives(i + 1)
            # at the near end p falls by half the series element, at the far one again
            self._equation({self._p(i): 1, self._on(i): -near, ahead: -a, flow: -(a * far + b)})
            self._equation({self._on(i): 1, ahead: -c, flow: -(c * far + d)})

    def solved(self) -> tuple[complex, complex]:
        """p over the unit and U at the mouth."""
        found = np.linalg.solve(self.matrix, self.right)
        return complex(found[self._p(0)]), complex(found[self._on(0)])
