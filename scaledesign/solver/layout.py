"""From wanted pitches to hole positions, diameters and foot.

Damped Gauss-Newton on cents, with exact derivatives and every rule of the shop as an inequality of
each step. Frequencies are not searched for inside a step: they are carried along the derivatives and
corrected by a Newton step or two, so a step costs little more than one walk along the bore. Pure: no
state, no text, no plug-in.
"""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import replace
from itertools import pairwise

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.model.document import Design
from scaledesign.physics.arrays import Floats, Indices, Mask
from scaledesign.physics.flute import Flutes, lay_out
from scaledesign.physics.gradient import derivatives
from scaledesign.physics.network import evaluate
from scaledesign.solver.limits import Geometry, Limit, limits_of, matrix
from scaledesign.solver.problem import CENT, Problem, hole_radius
from scaledesign.solver.quadratic import constrained_least_squares
from scaledesign.solver.resonance import Fingerings, Resonances, resonances
from scaledesign.solver.sensitivity import sensitivity_of
from scaledesign.values import dataclass
from scaledesign.wanted import go_on

MM = 1e-3
DRIFT_AT, DRIFT_DIAMETER, DRIFT_LENGTH = 0.03, 2.0, 0.03
"""Cents per millimetre that a move away from the start weighs, where the rows leave a choice."""
WISH_DIAMETER, WISH_SPACING = 0.6, 0.15
"""The same on a first layout, for a diameter away from the wished one and for uneven spacing."""
TORN = 5e-5
"""m by which limits may contradict each other before it is worth a word."""
NEAR = 1e-3
"""Newton step in ln f that is small enough for a layout step."""
STEPS = 60
FLAT = 5e-4
"""Cents squared: a step that gains less is the last."""
DONE = 2e-7
"""m: a layout step below which the layout has settled."""
LEAST = 1e-4
"""m: no hole is narrower, no tube shorter; a step that would make one is not taken."""


@dataclass(frozen=True)
class Wish:
    """Soft preferences: rows of ``weight`` (cents/m) times (``matrix`` u - ``value``)."""

    matrix: Floats
    value: Floats


@dataclass(frozen=True)
class Fit:
    """A layout that meets the rows as well as the limits allow.

    ``cents`` (R,) off target; ``cost`` the weighted sum of squares; ``binding`` the limits that push
    back, the strongest first, with their force in cents squared per metre; ``broken`` the limits that
    locked dimensions violate; ``slack`` m by which the limits contradict each other.
    """

    geometry: Geometry
    resonances: Resonances
    cents: Floats
    cost: float
    binding: tuple[tuple[Limit, float], ...]
    broken: tuple[Limit, ...]
    slack: float
    steps: int

    @property
    def torn(self) -> bool:
        """Whether the limits contradict each other by more than a hand would notice."""
        return self.slack > TORN


@dataclass(frozen=True)
class Task:
    """What is being laid out: the design's rules, the rows, and which dimensions may move."""

    design: Design
    problem: Problem
    free: Mask
    """(2H + 1,) positions, diameters, length."""
    losses: bool = True
    without: frozenset[str] = frozenset()
    """Kinds of limits that are left out (to learn what binds)."""
    sides: tuple[int, ...] = ()
    """Sides of avoided stretches, see ``limits_of``."""
    cancelled: Callable[[], bool] = lambda: False

    @property
    def ovality(self) -> Floats:
        """(H,) hole radius over half its diameter along the bore."""
        return np.array([hole_radius(h) / (h.diameter / 2) for h in self.design.holes])

    def limits(self, geometry: Geometry) -> list[Limit]:
        """The rules that hold, linear near a layout."""
        return limits_of(self.design, geometry, self.sides, self.without)

    def flutes(self, geometry: Geometry) -> Flutes:
        """The problem's flute with another layout."""
        return replace(
            self.problem.flutes,
            at=geometry.at[None],
            radius=(geometry.diameter / 2 * self.ovality)[None],
            length=np.array([geometry.length]),
        )


def free_of(design: Design) -> Mask:
    """Dimensions that are neither locked nor, being drilled, where they are for good."""
    at = [not h.drilled and "at" not in h.locked for h in design.holes]
    diameter = [not h.drilled and "diameter" not in h.locked for h in design.holes]
    return np.array([*at, *diameter, not design.tube.locked], bool)


def stay(geometry: Geometry) -> Wish:
    """Prefer to move nothing that need not move."""
    count = len(geometry.at)
    weight = np.array([DRIFT_AT] * count + [DRIFT_DIAMETER] * count + [DRIFT_LENGTH]) / MM
    return Wish(np.diag(weight), weight * geometry.u)


def first_layout(geometry: Geometry, hands: tuple[tuple[int, ...], ...]) -> Wish:
    """Prefer the diameters of ``geometry`` and even spacing within each hand."""
    count = len(geometry.at)
    size = 2 * count + 1
    rows, values = [], []
    for i in range(count):
        row = np.zeros(size)
        row[count + i] = WISH_DIAMETER / MM
        rows.append(row)
        values.append(WISH_DIAMETER / MM * geometry.diameter[i])
    for hand in hands:
        for i, j, k in zip(hand, hand[1:], hand[2:], strict=False):
            row = np.zeros(size)
            row[[i, j, k]] = WISH_SPACING / MM * np.array([1.0, -2.0, 1.0])
            rows.append(row)
            values.append(0.0)
    rest = stay(geometry)
    faint = 0.1
    return Wish(
        np.vstack([np.array(rows).reshape(-1, size), faint * rest.matrix]),
        np.concatenate([values, faint * rest.value]),
    )


@dataclass(frozen=True)
class Look:
    """Cents off target and their derivatives at one layout."""

    cents: Floats
    jacobian: Floats
    log_f: Floats


@dataclass(frozen=True)
class Settled:
    """Where the steps of a fit end; see ``Fit``."""

    u: Floats
    look: Look
    cost: float
    binding: tuple[tuple[Limit, float], ...]
    broken: tuple[Limit, ...]
    slack: float
    steps: int


Steps = Generator[tuple[Floats, Floats], Look, Settled]
"""A fit on its way: it gives a layout (2H + 1,) and a guess of ln f (R,) to look at, and takes the look."""


def _look(task: Task, rows: Fingerings, level: Indices, u: Floats, log_f: Floats) -> Look:
    geometry = Geometry.of(u)
    flutes = task.flutes(geometry)
    layout = lay_out(flutes)
    lengths: list[Floats] = []
    for turn in range(1, 13):
        field = evaluate(layout, rows.share, np.exp(log_f)[None], losses=task.losses)
        d = derivatives(field)
        step = -(field.phase[0] - np.pi * level) / d.log_frequency[0]
        log_f = log_f + np.clip(step, -0.3, 0.3)
        lengths.append(np.abs(step))
        if lengths[-1].max(initial=0.0) < NEAR or (turn in (4, 6, 8, 10) and _to_and_fro(lengths)):
            break
    s = sensitivity_of(flutes, d)
    jacobian = np.concatenate([s.at, s.diameter, s.length[:, None]], axis=1)
    return Look(CENT * (log_f - np.log(task.problem.target)), jacobian, log_f)


def _to_and_fro(lengths: list[Floats]) -> bool:
    """Whether every frequency that is not found yet steps to and fro about a zero that is none."""
    left = lengths[-1] >= NEAR
    return bool((np.abs(lengths[-1] - lengths[-3])[left] < NEAR * lengths[-1][left]).all())


def fit(task: Task, start: Geometry, wish: Wish, near: Resonances | None = None) -> Fit:
    """Move the free dimensions until the rows are met as well as the limits allow.

    Parameters
    ----------
    task : Task
    start : Geometry
    wish : what to prefer where the rows leave a choice
    near : resonances of ``start`` or a like layout, all rows

    Raises
    ------
    NoPitchError
    """
    problem = task.problem
    if near is None:
        near = resonances(task.flutes(start), problem.fingerings, losses=task.losses)
    level = near.level[0]
    counted = problem.weight > 0
    everything = bool(counted.all())
    rows = problem.fingerings if everything else _rows(problem.fingerings, counted)
    lowered = task if everything else replace(task, problem=_counted(problem, counted))
    level = level[counted]
    steps = steps_of(lowered, start, wish, np.log(near.frequency[0][counted]))
    asked = next(steps)
    while True:
        try:
            asked = steps.send(_look(lowered, rows, level, *asked))
        except StopIteration as end:
            done: Settled = end.value
            break
    if not np.isfinite(done.cost):
        raise NoPitchError((), "A note of this layout has no pitch.")
    final = Geometry.of(done.u)
    if everything:
        played, cents = Resonances(np.exp(done.look.log_f)[None], level[None]), done.look.cents
    else:
        played = resonances(task.flutes(final), problem.fingerings, near=near, losses=task.losses)
        cents = CENT * np.log(played.frequency[0] / problem.target)
    return Fit(final, played, cents, done.cost, done.binding, done.broken, done.slack, done.steps)


def steps_of(
    task: Task, start: Geometry, wish: Wish, log_f: Floats, most: int = STEPS, torn: float = np.inf
) -> Steps:
    """The steps of a fit, whose looks at the physics somebody else takes: one flute at a time, or many.

    Parameters
    ----------
    task, start, wish : as ``fit`` has them
    log_f : (R,) ln of the rows' frequencies at the start
    most : steps
    torn : m by which limits may contradict each other before it is given up
    """
    free = np.flatnonzero(task.free)
    root = np.sqrt(task.problem.weight)
    u = start.u
    look = yield u, log_f
    cost = _cost(look, root, wish, u)
    damping = 1e-6
    second: Floats = np.zeros((len(free), len(free)))
    gradient, hessian = _model(look, root, wish, u, free)
    binding: tuple[tuple[Limit, float], ...] = ()
    broken: tuple[Limit, ...] = ()
    slack, steps = 0.0, 0
    known = bool(np.isfinite(cost))
    while known and steps < most and len(free) and len(root) and not task.cancelled():
        steps += 1
        go_on()
        limits = task.limits(Geometry.of(u))
        g, h, give = matrix(limits, len(u))
        room = (g @ u - h) / MM
        movable = (g[:, free] != 0).any(axis=1)
        broken = tuple(
            limit for limit, m, r in zip(limits, movable, room, strict=True) if not m and r < -1e-3
        )
        kept = np.flatnonzero(movable)
        factor, damping = _factor(hessian + second, damping)
        step = constrained_least_squares(
            factor.T, -np.linalg.solve(factor, gradient), g[np.ix_(kept, free)], -room[kept], give[kept]
        )
        slack = step.slack * MM
        new = u.copy()
        new[free] += step.x * MM
        moved = float(np.abs(new - u).max())
        ahead, better = look, np.inf
        if _is_flute(new):
            ahead = yield new, look.log_f + look.jacobian @ (new - u) / CENT
            better = _cost(ahead, root, wish, new)
        pulled = bool((room[kept] < -1e-3).any())  # a limit was violated: any step that mends it is good
        if np.isfinite(better) and (better <= cost * (1 + 1e-9) + 1e-9 or pulled or moved < DONE):
            gained = cost - better
            gradient_ahead, hessian = _model(ahead, root, wish, new, free)
            bend = ((ahead.jacobian - look.jacobian)[:, free] * MM).T @ (root**2 * ahead.cents)
            if better > 0.3 * cost:  # far off, Gauss-Newton alone is the better guide
                second = _second_order(second, step.x, bend, gradient_ahead - gradient)
            gradient = gradient_ahead
            u, look, cost = new, ahead, better
            damping = max(damping * 0.1, 1e-9)
            force = step.force
            order = np.argsort(-force)
            binding = tuple((limits[kept[i]], float(force[i])) for i in order if force[i] > 1e-6)
            if moved < DONE or (not pulled and gained < FLAT) or slack > torn:
                break
        else:
            damping = max(damping * 30, 1e-4)
            if damping > 1e9:
                break
    return Settled(u, look, cost, binding, broken, slack, steps)


def _is_flute(u: Floats) -> bool:
    """Whether the physics can look at a layout (2H + 1,): rules that contradict each other lead astray."""
    holes, length = u[len(u) // 2 : -1], u[-1]
    return bool(np.isfinite(u).all() and (holes >= LEAST).all() and length >= LEAST)


def _model(look: Look, root: Floats, wish: Wish, u: Floats, free: Indices) -> tuple[Floats, Floats]:
    """Gradient and Gauss-Newton matrix of half the cost in the free dimensions, per millimetre."""
    jacobian = root[:, None] * look.jacobian[:, free] * MM
    wished = wish.matrix[:, free] * MM
    gradient = jacobian.T @ (root * look.cents) + wished.T @ (wish.matrix @ u - wish.value)
    return gradient, jacobian.T @ jacobian + wished.T @ wished


def _second_order(second: Floats, step: Floats, bend: Floats, turn: Floats) -> Floats:
    """What Gauss-Newton leaves out, learnt from one step: cents off target times their curvature.

    J. E. Dennis, D. M. Gay and R. E. Welsch 1981, "An adaptive nonlinear least-squares algorithm", ACM
    Trans. Math. Softw. 7, 348-368 (the sized secant update). ``bend`` is the change of the Jacobian
    times the new residuals, ``turn`` the change of the gradient.
    """
    along = float(turn @ step)
    if along <= 1e-12:
        return second
    curvature = float(step @ second @ step)
    size = min(1.0, abs(float(step @ bend) / curvature)) if curvature else 1.0
    second = size * second
    miss = bend - second @ step
    outer = np.outer(miss, turn)
    return np.asarray(
        second + (outer + outer.T) / along - float(step @ miss) / along**2 * np.outer(turn, turn)
    )


def _factor(matrix: Floats, damping: float) -> tuple[Floats, float]:
    """Lower Cholesky factor of the damped matrix, with the damping that made it positive."""
    while True:
        try:
            return np.linalg.cholesky(matrix + damping * np.eye(len(matrix))), damping
        except np.linalg.LinAlgError:
            damping = max(damping * 10, 1e-6)


def _cost(look: Look, root: Floats, wish: Wish, u: Floats) -> float:
    wished = wish.matrix @ u - wish.value
    return float(((root * look.cents) ** 2).sum() + (wished**2).sum())


def _rows(fingerings: Fingerings, mask: Mask) -> Fingerings:
    return Fingerings(fingerings.share[:, mask], fingerings.register[mask])


def _counted(problem: Problem, mask: Mask) -> Problem:
    return replace(
        problem,
        fingerings=_rows(problem.fingerings, mask),
        target=problem.target[mask],
        weight=problem.weight[mask],
        model_doubt=problem.model_doubt[mask],
    )


def choose_sides(task: Task, found: Fit, wish: Wish) -> tuple[Task, Fit]:
    """Try the other side of every avoided stretch that pushes a hole; keep what meets the rows better."""
    for limit, _ in found.binding:
        for stretch in range(len(task.design.tube.avoid)) if limit.kind == "avoid" else ():
            if not stands_against(task.design, found.geometry, limit.holes[0], stretch):
                continue
            other, start = on_other_side(task, found.geometry, limit.holes[0], stretch)
            try_it = fit(other, start, wish)
            if try_it.cost < found.cost - 1e-6:
                task, found = other, try_it
    return task, found


def stands_against(design: Design, geometry: Geometry, hole: int, stretch: int) -> bool:
    """Whether the edge of a hole touches an avoided stretch."""
    start, end = design.tube.avoid[stretch]
    half = geometry.diameter[hole] / 2
    return bool(start - half - 1e-6 <= geometry.at[hole] <= end + half + 1e-6)


def on_other_side(task: Task, geometry: Geometry, hole: int, stretch: int) -> tuple[Task, Geometry]:
    """The task with a hole kept on the other side of an avoided stretch, and where to start there."""
    count, avoided = len(task.design.holes), task.design.tube.avoid
    start, end = avoided[stretch]
    towards = 1 if geometry.at[hole] < (start + end) / 2 else -1
    sides = list(task.sides or (0,) * (count * len(avoided)))
    sides[stretch * count + hole] = towards
    half = geometry.diameter[hole] / 2
    moved = _moved(task.design, geometry, hole, end + half if towards > 0 else start - half)
    return replace(task, sides=tuple(sides)), replace(geometry, at=moved)


def _moved(design: Design, now: Geometry, hole: int, to: float) -> Floats:
    """Positions with one hole moved and those in its way pushed ahead of it, their order kept."""
    at, half = now.at.copy(), now.diameter / 2
    order = [int(i) for i in np.argsort(now.at, kind="stable")]
    place = order.index(hole)
    ahead, sign = (order[place + 1 :], 1.0) if to > at[hole] else (order[:place][::-1], -1.0)
    at[hole] = to
    for before, i in pairwise((hole, *ahead)):
        edge = at[before] + sign * (half[before] + half[i] + design.shop.wood)
        at[i] = sign * max(sign * at[i], sign * edge)
    return at
