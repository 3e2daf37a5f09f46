"""Small dense least squares under linear inequalities: the step the layout solver takes.

Arrays in, arrays out; nothing here knows a flute. C. L. Lawson and R. J. Hanson 1974, "Solving Least
Squares Problems", chapter 23: NNLS (algorithm 23.10), LDP (23.27) and the reduction of LSI to it
(section 23.5); held against scipy in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scaledesign.physics.arrays import Floats


@dataclass(frozen=True)
class Step:
    """A constrained minimum.

    ``x`` (n,) the minimiser; ``force`` (m,) >= 0 the multiplier of each inequality, 0 where it does not
    bind; ``slack`` > 0 where the inequalities contradict each other: by how much at most.
    """

    x: Floats
    force: Floats
    slack: float = 0.0


def nonnegative_least_squares(a: Floats, b: Floats) -> Floats:
    """min |a x - b| with x >= 0, (m, n) and (m,) in, (n,) out (NNLS)."""
    n = a.shape[1]
    x = np.zeros(n)
    passive = np.zeros(n, bool)
    scale = 1e-12 * max(1.0, float(np.abs(a).max(initial=0.0))) * max(1.0, float(np.abs(b).max(initial=0.0)))
    w = a.T @ b
    for _ in range(3 * n + 10):
        candidates = np.where(passive, -np.inf, w)
        best = int(np.argmax(candidates)) if n else 0
        if not n or candidates[best] <= scale:
            return x
        passive[best] = True
        while True:
            columns = np.flatnonzero(passive)
            z = np.linalg.lstsq(a[:, columns], b, rcond=None)[0]
            if (z > 0).all():
                break
            bad = z <= 0
            held = x[columns]
            ratio = held[bad] / (held[bad] - z[bad])
            alpha = float(ratio.min(initial=1.0))
            x[columns] = held + alpha * (z - held)
            dropped = columns[(x[columns] <= 1e-14) & bad]
            x[dropped] = 0.0
            passive[dropped] = False
            if not len(dropped):  # rounding: let the worst one go
                worst = columns[int(np.argmin(z))]
                x[worst], passive[worst] = 0.0, False
        x[:] = 0.0
        x[np.flatnonzero(passive)] = z
        w = a.T @ (b - a @ x)
        w[passive] = 0.0
    return x


def constrained_least_squares(e: Floats, f: Floats, g: Floats, h: Floats) -> Step:
    """min |e x - f| subject to g x >= h.

    Parameters
    ----------
    e : (k, n) array of full column rank
    f : (k,) array
    g : (m, n) array
    h : (m,) array

    Returns
    -------
    Step. Where the inequalities contradict each other, the least common slack is allowed first.
    """
    q, r = np.linalg.qr(e)
    qf = q.T @ f
    x = np.linalg.solve(r, qf)
    if not len(g) or (g @ x >= h - 1e-12).all():
        return Step(x, np.zeros(len(g)))
    # y = r x - qf: least distance under gr y >= h - gr qf
    gr = np.linalg.solve(r.T, g.T).T
    step = _least_distance(gr, h - gr @ qf)
    if step is None:
        return _with_slack(e, f, g, h)
    y, force = step
    return Step(np.linalg.solve(r, y + qf), force)


def _least_distance(g: Floats, h: Floats) -> tuple[Floats, Floats] | None:
    """min |y| subject to g y >= h, with multipliers; None if they contradict each other (LDP)."""
    size = np.maximum(np.linalg.norm(g, axis=1), 1e-300)
    gs, hs = g / size[:, None], h / size
    a = np.vstack([gs.T, hs])
    b = np.zeros(len(a))
    b[-1] = 1.0
    u = nonnegative_least_squares(a, b)
    residual = a @ u - b
    if -residual[-1] < 1e-10:
        return None
    return -residual[:-1] / residual[-1], u / -residual[-1] / size


def _with_slack(e: Floats, f: Floats, g: Floats, h: Floats) -> Step:
    """One common slack t >= 0 added to every inequality at a high price."""
    price = 1e3 * max(1.0, float(np.abs(e).max()))
    k, n = e.shape
    wide = np.zeros((k + 1, n + 1))
    wide[:k, :n] = e
    wide[k, n] = price
    rows = np.zeros((len(g) + 1, n + 1))
    rows[:-1, :n] = g
    rows[:, n] = 1.0
    step = constrained_least_squares(wide, np.append(f, 0.0), rows, np.append(h, 0.0))
    return Step(step.x[:n], step.force[:-1], float(step.x[n]))
