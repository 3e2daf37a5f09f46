"""Least squares under inequalities, held against scipy and against the conditions of a minimum."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import linprog, minimize, nnls

from scaledesign.physics.arrays import Floats
from scaledesign.solver.quadratic import constrained_least_squares


@dataclass(frozen=True)
class Problem:
    """min |e x - f| subject to g x >= h."""

    e: Floats
    f: Floats
    g: Floats
    h: Floats

    @property
    def feasible(self) -> bool:
        n = self.e.shape[1]
        found = linprog(np.zeros(n), A_ub=-self.g, b_ub=-self.h, bounds=[(None, None)] * n)
        return bool(found.status == 0)

    @property
    def least_slack(self) -> float:
        """The least t with g x >= h - t for some x."""
        n = self.e.shape[1]
        found = linprog(
            np.append(np.zeros(n), 1.0),
            A_ub=-np.column_stack([self.g, np.ones(len(self.g))]),
            b_ub=-self.h,
            bounds=[(None, None)] * n + [(0, None)],
        )
        return float(found.x[-1])


def problem(seed: int, size: int = 13, rows: int = 40) -> Problem:
    """Random, scales mixed, as sparse as the rules of a flute are."""
    rng = np.random.default_rng(seed)
    n, m = int(rng.integers(1, size + 1)), int(rng.integers(1, rows))
    k = n + int(rng.integers(0, 8))
    e = rng.normal(size=(k, n)) * 10.0 ** rng.uniform(-1, 1, size=n)
    f = rng.normal(size=k) * 10.0 ** rng.uniform(-1, 2)
    g = np.round(rng.normal(size=(m, n)) * (rng.random((m, n)) < 0.3), 1)
    g[~g.any(axis=1), 0] = 1.0
    return Problem(e, f, g, rng.normal(size=m) * 10.0 ** rng.uniform(-1, 1))


SEEDS = range(300)
POSSIBLE = [seed for seed in SEEDS if problem(seed).feasible]
IMPOSSIBLE = [seed for seed in SEEDS if not problem(seed).feasible]


def test_both_kinds_are_tried() -> None:
    assert len(POSSIBLE) > 50
    assert len(IMPOSSIBLE) > 50


def test_the_conditions_of_a_minimum_hold() -> None:
    """W. Karush 1939, H. W. Kuhn and A. W. Tucker 1951: feasible, forces push, balance, complementarity."""
    for seed in POSSIBLE:
        p = problem(seed)
        step = constrained_least_squares(p.e, p.f, p.g, p.h)
        size = max(1.0, float(np.abs(p.e.T @ p.f).max()))
        room = (p.g @ step.x - p.h) / (1 + np.abs(p.h).max())
        assert step.slack == 0
        assert room.min() > -1e-8
        assert (step.force >= 0).all()
        np.testing.assert_allclose(p.e.T @ (p.e @ step.x - p.f), p.g.T @ step.force, atol=1e-6 * size)
        assert np.abs(room[step.force > 0]).max(initial=0.0) < 1e-8


@pytest.mark.parametrize("seed", POSSIBLE[:25])
def test_nobody_finds_a_smaller_one(seed: int) -> None:
    """Against scipy's SLSQP, started from our minimum and from nowhere."""
    p = problem(seed)
    ours = constrained_least_squares(p.e, p.f, p.g, p.h).x

    def cost(x: Floats) -> float:
        return float(((p.e @ x - p.f) ** 2).sum())

    for start in (ours, np.zeros(len(ours))):
        theirs = minimize(
            cost, start, jac=lambda x: 2 * p.e.T @ (p.e @ x - p.f), method="SLSQP",
            constraints={"type": "ineq", "fun": lambda x: p.g @ x - p.h, "jac": lambda _: p.g},
            options={"maxiter": 500, "ftol": 1e-12},
        )  # fmt: skip
        if (p.g @ theirs.x >= p.h - 1e-7).all():
            assert cost(ours) <= cost(theirs.x) * (1 + 1e-6) + 1e-6


@pytest.mark.parametrize("seed", range(40))
def test_non_negative_least_squares(seed: int) -> None:
    """Against scipy's nnls."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(1, 12))
    a, b = rng.normal(size=(n + 3, n)), rng.normal(size=n + 3)
    ours = constrained_least_squares(a, b, np.eye(n), np.zeros(n))
    np.testing.assert_allclose(ours.x, nnls(a, b)[0], atol=1e-9)


def test_contradictions_yield_as_little_as_can_be() -> None:
    """The sum of squares of what is broken, against scipy's minimum of it."""
    for seed in IMPOSSIBLE:
        p = problem(seed)
        step = constrained_least_squares(p.e, p.f, p.g, p.h)

        def broken(x: Floats, p: Problem = p) -> float:
            return float((np.maximum(p.h - p.g @ x, 0.0) ** 2).sum())

        least = minimize(broken, step.x, method="Powell", options={"xtol": 1e-9, "ftol": 1e-12}).fun
        assert broken(step.x) <= 1.02 * least + 1e-6
        assert step.slack >= p.least_slack * 0.98 - 1e-6
        assert (p.h - p.g @ step.x).max() <= step.slack + 1e-6 * (1 + np.abs(p.h).max())


def test_who_has_no_part_in_a_contradiction_keeps() -> None:
    """x >= 1 against x <= 0, and y >= 2 that both leave alone."""
    g, h = np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0]]), np.array([1.0, 0.0, 2.0])
    step = constrained_least_squares(np.eye(2), np.zeros(2), g, h)
    np.testing.assert_allclose(step.x, [0.5, 2.0], atol=1e-4)


def test_firm_inequalities_hardly_yield() -> None:
    """x >= 1 against x <= 0: what gives way a hundred times as much is broken a hundred times as far."""
    g, h = np.array([[1.0], [-1.0]]), np.array([1.0, 0.0])
    step = constrained_least_squares(np.eye(1), np.zeros(1), g, h, np.array([0.01, 1.0]))
    assert step.x[0] == pytest.approx(1 - 0.01 / 1.01, abs=1e-4)


def test_inequalities_that_say_the_same_twice() -> None:
    """Duplicates and multiples of a binding inequality share its force."""
    g, h = np.array([[1.0, 0.0], [1.0, 0.0], [2.0, 0.0]]), np.array([1.0, 1.0, 2.0])
    step = constrained_least_squares(np.eye(2), np.zeros(2), g, h)
    np.testing.assert_allclose(step.x, [1.0, 0.0], atol=1e-12)
    np.testing.assert_allclose(g.T @ step.force, [1.0, 0.0], atol=1e-12)


def test_nothing_binds() -> None:
    step = constrained_least_squares(np.eye(2), np.ones(2), np.eye(2), -np.ones(2))
    np.testing.assert_allclose(step.x, 1.0)
    assert (step.force == 0).all()
    assert constrained_least_squares(np.eye(2), np.ones(2), np.zeros((0, 2)), np.zeros(0)).slack == 0


@pytest.mark.parametrize("scale", [1e-9, 1.0, 1e3, 1e9, 1e15])
def test_what_contradicts_itself_ends_however_large_the_numbers(scale: float) -> None:
    e = np.diag([scale, 1e-6])
    g, h = np.array([[0.0, 1.0], [0.0, -1.0], [1.0, 0.0]]), np.array([3.0, 1.0, -9.0])
    step = constrained_least_squares(e, np.zeros(2), g, h)
    assert np.isfinite(step.x).all()
    assert step.slack > 0 or scale > 1e3  # beyond, the digits there are do not tell


def test_what_is_no_number_ends_too() -> None:
    e, f = np.eye(2), np.array([np.nan, 0.0])
    step = constrained_least_squares(e, f, np.array([[1.0, 0.0], [-1.0, 0.0]]), np.array([1.0, 1.0]))
    assert step.x.shape == (2,)
