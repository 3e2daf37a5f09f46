"""Small dense least squares under linear inequalities: the step the layout solver takes.

Arrays in, arrays out; nothing here knows a flute. D. Goldfarb and A. Idnani 1983, "A numerically stable
dual method for solving strictly convex quadratic programs", Math. Programming 27, 1-33, in coordinates
in which the matrix is the identity; held against scipy in the tests.
"""

from __future__ import annotations

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass

DEPENDENT = 1e-8
"""Length of what a unit normal has outside the span of others below which it counts as inside."""
MET = 1e-11
"""Violation, relative to the largest bound, that counts as none."""
PRICES = (1e3, 1e2, 1e1, 1.0, 1e-1, 1e-2)
"""What yielding costs, over the largest of what is asked: a lower one where a higher drowns the rest."""


@dataclass(frozen=True)
class Step:
    """A constrained minimum.

    ``x`` (n,) the minimiser; ``force`` (m,) >= 0 the multiplier of each inequality, 0 where it does not
    bind; ``slack`` > 0 where the inequalities contradict each other: what the worst yields, over its give.
    """

    x: Floats
    force: Floats
    slack: float = 0.0


def constrained_least_squares(e: Floats, f: Floats, g: Floats, h: Floats, give: Floats | None = None) -> Step:
    """min |e x - f| subject to g x >= h.

    Parameters
    ----------
    e : (k, n) array of full column rank
    f : (k,) array
    g : (m, n) array, no row zero
    h : (m,) array
    give : (m,) array > 0, how far each inequality yields where they contradict each other; None: alike

    Returns
    -------
    Step. Where the inequalities contradict each other, they yield so that the sum of squares of what each
    yields, over its ``give``, is least, as nearly as a high price makes it least. Bounded in time whatever
    it is given.
    """
    step = _kept(e, f, g, h)
    if step is None:
        return _with_slack(e, f, g, h, np.ones(len(g)) if give is None else give)
    return step


def _kept(e: Floats, f: Floats, g: Floats, h: Floats) -> Step | None:
    """The minimum that keeps every inequality; None if they contradict each other."""
    q, r = np.linalg.qr(e)
    qf = q.T @ f
    x = np.linalg.solve(r, qf)
    if not len(g) or (g @ x >= h - 1e-12).all():
        return Step(x, np.zeros(len(g)))
    # y = r x - qf: least distance under gr y >= h - gr qf
    gr = np.linalg.solve(r.T, g.T).T
    step = _least_distance(gr, h - gr @ qf)
    if step is None:
        return None
    y, force = step
    return Step(np.linalg.solve(r, y + qf), force)


def _least_distance(g: Floats, h: Floats) -> tuple[Floats, Floats] | None:
    """min |y| subject to g y >= h, with multipliers; None if they contradict each other.

    From y = 0, the inequality violated most is taken in, after those that it makes pull have been let
    go; every inequality taken in lengthens y, so the end is reached.
    """
    size = np.linalg.norm(g, axis=1)
    normal, bound = g / size[:, None], h / size
    met = MET * (1.0 + float(np.abs(bound).max()))
    y = np.zeros(g.shape[1])
    active: list[int] = []
    force = np.zeros(0)
    for _ in range(20 * (len(g) + 1)):
        new = int(np.argmin(normal @ y - bound))
        if normal[new] @ y >= bound[new] - met:
            break
        push = 0.0
        while True:
            held = normal[active].T
            share = np.linalg.lstsq(held, normal[new], rcond=None)[0] if active else np.zeros(0)
            way = normal[new] - held @ share if active else normal[new]
            span = float(way @ way)
            rest = [
                (float(f / s), place)
                for place, (f, s) in enumerate(zip(force, share, strict=True))
                if s > DEPENDENT
            ]
            let_go, weakest = min(rest, default=(np.inf, -1))
            reach = float(bound[new] - normal[new] @ y) / span if span > DEPENDENT**2 else np.inf
            length = min(let_go, reach)
            if not np.isfinite(length):
                return None
            if np.isfinite(reach):
                y = y + length * way
            force, push = force - length * share, push + length
            if reach <= let_go:
                active.append(new)
                force = np.append(force, push)
                break
            del active[weakest]
            force = np.delete(force, weakest)
    every = np.zeros(len(g))
    every[active] = np.maximum(force, 0.0)
    return y, every / size


def _with_slack(e: Floats, f: Floats, g: Floats, h: Floats, give: Floats) -> Step:
    """A slack for every inequality, each at a high price: those that take no part in a contradiction keep.

    Where no price can be told from nothing in the digits there are, nothing moves.
    """
    most = max(1.0, float(np.abs(e).max()))
    (k, n), m = e.shape, len(g)
    wide = np.zeros((k + m, n + m))
    wide[:k, :n] = e
    rows = np.concatenate([g, np.eye(m)], axis=1)
    for price in PRICES:
        wide[k:, n:] = price * most * np.diag(1 / np.sqrt(give))
        step = _kept(wide, np.append(f, np.zeros(m)), rows, h)
        if step is not None:
            return Step(step.x[:n], step.force, float((step.x[n:] / give).max()))
    return Step(np.zeros(n), np.zeros(m), float(np.maximum(h / give, 0.0).max()))
