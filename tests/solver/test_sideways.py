"""Holes turned around the tube: what a hand gains, and how far apart finger tips then lie."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin

import pytest

from scaledesign.model.document import Design, Hand, Hole, Shop, Station, Tube
from scaledesign.solver.limits import SIDEWAYS, Limit, geometry_of, limits_of, room, straight_across

BORE, WALL = 0.016, 0.004
RADIUS = BORE / 2 + WALL
HAND = Hand(spread=(0.034, 0.030, 0.032), gap=0.08, pad=0.016)


def flute(places: tuple[float, ...], sides: tuple[float, ...]) -> Design:
    holes = tuple(
        Hole(at, 0.006, side=side, finger=f"R{n}")
        for n, (at, side) in enumerate(zip(places, sides, strict=True), 1)
    )
    tube = Tube(0.4, (Station(0.0, BORE),), (Station(0.0, WALL),))
    return Design(tube, shop=Shop(hand=HAND), holes=holes)


def found(design: Design, kind: str, holes: tuple[int, int]) -> Limit | None:
    every = limits_of(design, geometry_of(design))
    return next((one for one in every if one.kind == kind and one.holes == holes), None)


def point(at: float, side: float) -> tuple[float, float, float]:
    return at, RADIUS * cos(radians(side)), RADIUS * sin(radians(side))


@pytest.mark.parametrize("turn", [5.0, 18.0, -18.0, 40.0])
def test_across_is_the_straight_line_through_the_wood(turn: float) -> None:
    design = flute((0.2, 0.23), (0.0, turn))
    one, two = point(0.2, 0.0), point(0.2, turn)
    straight = hypot(*(a - b for a, b in zip(one, two, strict=True)))
    assert straight_across(design, geometry_of(design), 0, 1) == pytest.approx(straight)
    assert straight < RADIUS * abs(turn) * pi / 180  # around the outside is further


@pytest.mark.parametrize("turn", [4.0, -15.0, 22.0])
def test_finger_tips_keep_a_breadth_measured_straight(turn: float) -> None:
    design = flute((0.2, 0.23), (0.0, turn))
    limit = found(design, "fingers", (0, 1))
    assert limit is not None
    apart = [
        abs(a - b) for a, b in zip(point(0.2, 0.0), point(0.2 + limit.bound, turn), strict=True)
    ]  # as near as the rule lets them
    assert hypot(*apart) == pytest.approx(HAND.pad)


def test_far_enough_around_two_fingers_may_lie_side_by_side() -> None:
    assert found(flute((0.2, 0.23), (0.0, 100.0)), "fingers", (0, 1)) is None


def test_the_shorter_finger_reaches_as_much_further_as_its_hole_comes_back() -> None:
    turn = 12.0
    across = 2 * RADIUS * sin(radians(turn) / 2)
    line, turned = (
        found(flute((0.2, 0.23, 0.26), (0.0, 0.0, side)), "spread", (1, 2)) for side in (0.0, turn)
    )
    assert line is not None
    assert turned is not None
    assert line.bound == pytest.approx(-HAND.spread[1])
    assert turned.bound == pytest.approx(-HAND.spread[1] - across)
    much = found(flute((0.2, 0.23, 0.26), (0.0, 0.0, 50.0)), "spread", (1, 2))
    assert much is not None
    assert much.bound == pytest.approx(-HAND.spread[1] - SIDEWAYS)


def test_the_longer_finger_gains_nothing_nor_does_a_hole_behind() -> None:
    for sides in ((0.0, 20.0, 0.0), (0.0, 0.0, 180.0)):
        limit = found(flute((0.2, 0.23, 0.26), sides), "spread", (1, 2))
        assert limit is not None
        assert limit.bound == pytest.approx(-HAND.spread[1])


def test_a_turned_index_finger_reaches_further_too() -> None:
    design = flute((0.2, 0.235), (10.0, 0.0))
    limit = found(design, "spread", (0, 1))
    assert limit is not None
    assert (
        room(limit, geometry_of(design))
        > 0
        > room(found(flute((0.2, 0.235), (0.0, 0.0)), "spread", (0, 1)), geometry_of(design))
    )
