"""The layout solver: held against scipy, its rules kept over random wishes, its answers repeatable."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

import scaledesign
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Hole
from scaledesign.physics.arrays import Floats
from scaledesign.solver import solution as solving
from scaledesign.solver.layout import Task, Wish, fit, free_of
from scaledesign.solver.limits import Geometry, geometry_of, limits_of, room
from scaledesign.solver.problem import CENT, problem_of
from scaledesign.solver.resonance import resonances
from scaledesign.solver.verdict import broken_rules
from scaledesign.workshop.ask import targets
from tests.solver.remake_examples import EXAMPLES

NAMES = ("marsh-wren", "grey-heron", "night-heron", "reed-bunting", "dust-lark")


def example(name: str) -> Design:
    return scaledesign.load(EXAMPLES / f"{name}.toml")


def of_scale(design: Design) -> Design:
    """Only the rows of the scale, so that there are no more wishes than a layout can meet."""
    return replace(design, rows=tuple(row for row in design.rows if row.role == "scale"))


def task_of(design: Design) -> Task:
    return Task(design, problem_of(design, targets(design)), free_of(design))


def shifted(design: Design, millimetres: float) -> Design:
    """Holes off their places, to and fro."""
    holes = tuple(
        replace(hole, at=hole.at + (-1) ** i * millimetres * 1e-3) for i, hole in enumerate(design.holes)
    )
    return replace(design, holes=holes)


@pytest.mark.parametrize("weights", ["even", "uneven"])
@pytest.mark.parametrize("name", NAMES)
def test_it_lands_where_scipy_does(name: str, weights: str) -> None:
    """Diameters alone move, in bounds that some of them meet: more rows than dimensions, one minimum."""
    design = shifted(example(name), 1.5)
    locked = tuple(replace(hole, locked=frozenset(("at",))) for hole in design.holes)
    design = replace(design, holes=locked, tube=replace(design.tube, locked=True))
    if weights == "uneven":
        rows = tuple(replace(row, weight=0.2 + 0.3 * (i % 4)) for i, row in enumerate(design.rows))
        design = replace(design, rows=rows)
    wide = float(np.median([hole.diameter for hole in design.holes]))
    design = replace(design, shop=replace(design.shop, largest=wide, smallest=0.8 * wide))
    task = task_of(design)
    problem, start, count = task.problem, geometry_of(design), len(design.holes)
    start = replace(start, diameter=np.full(count, 0.9 * wide))
    nothing = Wish(np.zeros((0, 2 * count + 1)), np.zeros(0))
    ours = fit(task, start, nothing)

    def residuals(diameter: Floats) -> Floats:
        played = resonances(task.flutes(replace(start, diameter=diameter)), problem.fingerings)
        return np.asarray(np.sqrt(problem.weight) * CENT * np.log(played.frequency[0] / problem.target))

    theirs = least_squares(
        residuals, start.diameter, bounds=(0.8 * wide, wide), x_scale=1e-3, diff_step=1e-4,
        xtol=1e-12, ftol=1e-12, gtol=1e-12,
    )  # fmt: skip
    np.testing.assert_allclose(np.sqrt(problem.weight) * ours.cents, theirs.fun, atol=0.05)
    at_bounds = np.isclose(ours.geometry.diameter, wide) | np.isclose(ours.geometry.diameter, 0.8 * wide)
    assert at_bounds.any()


@st.composite
def wishes(draw: st.DrawFn) -> Design:
    """An example whose shop, targets and locks are drawn anew."""
    design = of_scale(example(draw(st.sampled_from(NAMES))))
    cents = draw(st.lists(st.floats(-60, 60), min_size=len(design.rows), max_size=len(design.rows)))
    rows = tuple(replace(row, cents=off) for row, off in zip(design.rows, cents, strict=True))
    shop = replace(
        design.shop,
        wood=draw(st.floats(0.002, 0.008)),
        largest=draw(st.floats(0.009, 0.013)),
        hand=draw(st.sampled_from(["medium", "large"])),
        bits=draw(st.sampled_from(["metric 0.5", "inch 1/64", (0.004, 0.006, 0.0075, 0.009)])),
    )
    kinds: list[frozenset[str]] = [frozenset(), frozenset(), frozenset(("at",)), frozenset(("diameter",))]
    holes = tuple(replace(hole, locked=draw(st.sampled_from(kinds))) for hole in design.holes)
    start = draw(st.floats(0.35, 0.6)) * design.tube.length
    avoid = draw(st.sampled_from([(), ((start, start + 0.006),)]))
    tube = replace(design.tube, locked=draw(st.booleans()), avoid=avoid)
    return replace(design, rows=rows, shop=shop, holes=holes, tube=tube)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(wishes())
def test_locks_hold_and_rules_are_kept_or_said_to_be_broken(design: Design) -> None:
    """Locked dimensions never move; every free one is a bit, and keeps order, wood, spread and stretches."""
    solution = solving.solve(design, targets(design))
    now = solution.design
    bits = bit_set(design.shop.bits)
    for old, new in zip(design.holes, now.holes, strict=True):
        assert "at" not in old.locked or new.at == old.at
        if "diameter" in old.locked:
            assert new.diameter == old.diameter
        else:
            assert new.diameter == pytest.approx(bits.nearest(new.diameter), abs=1e-9)
    assert not design.tube.locked or now.tube.length == design.tube.length
    held = {i for i, hole in enumerate(design.holes) if hole.locked}
    geometry = geometry_of(now)
    warnings = broken_rules(now, geometry)
    for limit in limits_of(now, geometry):
        if room(limit, geometry) < -5e-5:
            assert held & set(limit.holes) or design.tube.locked or _contradict(solution.notes)
            assert warnings
    assert set(warnings) <= set(solution.notes)


def _contradict(notes: tuple[str, ...]) -> bool:
    return any("contradict" in note for note in notes)


@pytest.mark.parametrize("name", NAMES)
def test_the_same_wish_gives_the_same_flute_to_the_bit(name: str) -> None:
    design = shifted(example(name), 3.0)
    first, second = scaledesign.solve(design), scaledesign.solve(design)
    assert first.design == second.design
    assert first.notes == second.notes
    assert (first.prediction.cents == second.prediction.cents).all()


@pytest.mark.parametrize("name", NAMES)
def test_a_solved_flute_stays_where_it_is(name: str) -> None:
    once = scaledesign.solve(example(name)).design
    again = scaledesign.solve(once).design
    for old, new in zip(once.holes, again.holes, strict=True):
        assert new.at == pytest.approx(old.at, abs=5e-5)
        assert new.diameter == pytest.approx(old.diameter, abs=1e-9)
    assert again.tube.length == pytest.approx(once.tube.length, abs=5e-5)


@pytest.mark.parametrize("steps", [0, 1, 2])
def test_a_newer_edit_stops_it(steps: int) -> None:
    """The callback is asked before every step, and the layout of the last step comes back."""
    design = shifted(example("reed-bunting"), 4.0)
    asked = 0

    def cancelled() -> bool:
        nonlocal asked
        asked += 1
        return asked > steps

    task = replace(task_of(design), cancelled=cancelled)
    start = geometry_of(design)
    count = len(design.holes)
    stopped = fit(task, start, Wish(np.zeros((0, 2 * count + 1)), np.zeros(0)))
    assert stopped.steps == steps
    assert (stopped.geometry.u == start.u).all() == (steps == 0)


def test_a_whole_solve_stops_too() -> None:
    design = shifted(example("dust-lark"), 4.0)
    solution = solving.solve(design, targets(design), cancelled=lambda: True)
    assert [hole.at for hole in solution.design.holes] == pytest.approx(
        [hole.at for hole in design.holes], abs=solving.GRAIN["in"]
    )


def test_a_hole_on_the_wrong_side_of_a_stretch_goes_to_the_other() -> None:
    """A stretch that covers where a hole wants to be, started from its far edge."""
    design = of_scale(example("reed-bunting"))
    place = design.holes[3].at
    tube = replace(design.tube, avoid=((place - 0.010, place + 0.001),))
    solution = scaledesign.solve(replace(design, tube=tube))
    assert np.abs(solution.prediction.cents).max() < 2
    start, end = tube.avoid[0]
    for hole in solution.design.holes:
        assert hole.at + hole.diameter / 2 <= start + 1e-5 or hole.at - hole.diameter / 2 >= end - 1e-5


def test_a_design_without_holes_is_cut_to_length() -> None:
    design = scaledesign.loads(
        'units = "mm"\ninstrument = { mouth = "duct" }\ntube = { length = 380, bore = 16, wall = 3 }\n'
        'tuning = { tonic = "A4" }\nrows = [{ note = "A4", holes = "" }]\n'
    )
    solution = scaledesign.solve(design)
    assert solution.prediction.cents[0] == pytest.approx(0, abs=0.1)
    assert solution.obstacles == ()


def test_a_back_hole_may_lie_beside_a_front_hole() -> None:
    """Order and wood are asked only among holes that share wood."""
    design = of_scale(example("night-heron"))
    thumb, index = design.holes[0], design.holes[1]
    beside = replace(design, holes=(replace(thumb, at=index.at), *design.holes[1:]))
    assert not any("wood" in note for note in broken_rules(beside, geometry_of(beside)))
    front: tuple[Hole, ...] = (replace(thumb, at=index.at, side=0.0), *design.holes[1:])
    crowded = replace(design, holes=front)
    assert any("wood" in note for note in broken_rules(crowded, geometry_of(crowded)))


def test_geometry_packs_and_unpacks() -> None:
    geometry = Geometry(np.array([0.1, 0.2]), np.array([0.006, 0.007]), 0.3)
    back = Geometry.of(geometry.u)
    assert (back.at == geometry.at).all()
    assert (back.diameter == geometry.diameter).all()
    assert back.length == geometry.length
