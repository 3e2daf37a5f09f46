"""The rules of shop and hand: each as an inequality that says what it means, and no more."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.model.document import Design, Hand, Hole, Shop, Station, Tube
from scaledesign.solver.limits import (
    HEAD,
    SEAL,
    Geometry,
    Limit,
    bits_allowed,
    limits_of,
    matrix,
    profile,
    room,
    wood_left,
)

FINGERS = ("L1", "L2", "L3", "R1", "R2", "R3")


def flute(**shop: Any) -> Design:
    """Six holes 30 mm apart from 130 mm on, 8 mm wide; bore 16, wall 4."""
    holes = tuple(Hole(0.13 + 0.03 * i, 0.008, finger=finger) for i, finger in enumerate(FINGERS))
    tube = Tube(0.36, (Station(0.0, 0.016),), (Station(0.0, 0.004),))
    return Design(tube, holes=holes, shop=replace(Shop(), **shop))


def geometry_of(design: Design) -> Geometry:
    at, diameter = ([getattr(hole, name) for hole in design.holes] for name in ("at", "diameter"))
    return Geometry(np.array(at), np.array(diameter), design.tube.length)


def found(design: Design, kind: str, holes: tuple[int, ...] | None = None) -> list[Limit]:
    limits = limits_of(design, geometry_of(design))
    return [one for one in limits if one.kind == kind and holes in (None, one.holes)]


def left(design: Design, kind: str, *holes: int) -> float:
    """Millimetres of room that one rule leaves."""
    (limit,) = found(design, kind, holes)
    return room(limit, geometry_of(design)) * 1e3


def test_every_rule_is_there() -> None:
    design = flute()
    design = replace(design, tube=replace(design.tube, blank=0.4, avoid=((0.150, 0.152),)))
    thumb = Hole(0.12, 0.008, side=180.0, finger="LT")
    kinds = {one.kind for one in limits_of(replace(design, holes=(thumb, *design.holes)), geometry_of(
        replace(design, holes=(thumb, *design.holes))))}  # fmt: skip
    assert kinds == {
        "smallest", "largest", "share_of_bore", "pad", "wood", "foot", "spread", "fingers", "gap", "thumb",
        "avoid", "blank", "head",
    }  # fmt: skip


def test_sizes() -> None:
    design = flute(smallest=0.005, largest=0.011, share_of_bore=0.7)
    assert left(design, "smallest", 2) == pytest.approx(3.0)
    assert left(design, "largest", 2) == pytest.approx(3.0)
    assert left(design, "share_of_bore", 2) == pytest.approx(0.7 * 16 - 8)
    assert left(design, "pad", 2) == pytest.approx(19.5 - SEAL * 1e3 - 8)


def test_a_tuning_hole_needs_no_finger() -> None:
    design = flute()
    design = replace(design, holes=(*design.holes[:5], replace(design.holes[5], finger="none")))
    assert not found(design, "pad", (5,))
    assert not [one for one in found(design, "spread") if 5 in one.holes]
    assert found(design, "wood", (4, 5))


def test_ends() -> None:
    design = flute(wood=0.006)
    assert left(design, "foot", 5) == pytest.approx(360 - 280 - 4 - 6)
    assert left(design, "head", 0) == pytest.approx(130 - 4 - HEAD * 16)
    blank = replace(design, tube=replace(design.tube, blank=0.365))
    assert left(blank, "blank") == pytest.approx(5.0)


def test_wood_between_holes_in_line() -> None:
    assert left(flute(wood=0.006), "wood", 1, 2) == pytest.approx(30 - 8 - 6)


@given(st.floats(0.0, 180.0), st.floats(0.001, 0.03))
def test_wood_between_holes_at_an_angle_is_measured_along_the_outside(side: float, along: float) -> None:
    """The rule is met just where the arc along the outside leaves the wood asked for."""
    design = flute(wood=0.006)
    a, b = design.holes[0], replace(design.holes[1], at=design.holes[0].at + along, side=side)
    design = replace(design, holes=(a, b))
    around = np.radians(side) * 0.012
    wood = float(np.hypot(along, around)) - 0.008
    assert wood_left(design, geometry_of(design), 0, 1) == pytest.approx(wood, abs=1e-9)
    limits = found(design, "wood")
    if around >= 0.014:
        assert not limits
    else:
        assert (room(limits[0], geometry_of(design)) >= 0) == (wood >= 0.006)


def test_hands() -> None:
    own = Hand(spread=(0.034, 0.033, 0.032), gap=0.07, pad=0.018)
    design = flute(hand=own)
    assert left(design, "spread", 0, 1) == pytest.approx(4.0)
    assert left(design, "spread", 4, 5) == pytest.approx(3.0)
    assert left(design, "gap", 2, 3) == pytest.approx(40.0)
    assert left(design, "fingers", 1, 2) == pytest.approx(12.0)
    assert left(design, "fingers", 2, 3) == pytest.approx(12.0)


def test_a_finger_left_out_adds_its_neighbours_reach() -> None:
    design = flute(hand=Hand(spread=(0.034, 0.033, 0.032), gap=0.07, pad=0.018))
    design = replace(design, holes=(design.holes[0], *design.holes[2:]))
    assert left(design, "spread", 0, 1) == pytest.approx(34 + 33 - 60)
    assert not found(design, "fingers", (0, 1))


def test_a_thumb_reaches_both_ways() -> None:
    design = flute(hand=Hand(spread=(0.034, 0.033, 0.032), gap=0.07, pad=0.018))
    thumb = Hole(0.110, 0.008, side=180.0, finger="LT")
    design = replace(design, holes=(thumb, *design.holes))
    assert left(design, "thumb", 0, 1) == pytest.approx(34 + 20)
    assert left(design, "thumb", 1, 0) == pytest.approx(34 - 20)


def test_a_stretch_is_kept_out_of_on_the_nearer_side_or_on_the_chosen_one() -> None:
    design = flute()
    design = replace(design, tube=replace(design.tube, avoid=((0.155, 0.170),)))
    now = geometry_of(design)
    (nearer,) = found(design, "avoid", (1,))
    assert room(nearer, now) * 1e3 == pytest.approx(155 - 164)
    chosen = [one for one in limits_of(design, now, (0, 1, 0, 0, 0, 0)) if one.kind == "avoid"]
    assert any(one.holes == (1,) and room(one, now) * 1e3 == pytest.approx(156 - 170) for one in chosen)
    assert not found(design, "avoid", (5,))


@given(st.floats(0.0, 0.4))
def test_share_of_a_tapered_bore_follows_the_taper(at: float) -> None:
    """The tangent to the rule is the rule itself where the bore is straight between stations."""
    design = flute(share_of_bore=0.6)
    bore = (Station(0.0, 0.018), Station(0.4, 0.012))
    design = replace(design, tube=replace(design.tube, bore=bore), holes=(replace(design.holes[0], at=at),))
    assert profile(bore, at) == pytest.approx(0.018 - 0.015 * at)
    assert left(design, "share_of_bore", 0) == pytest.approx(0.6 * (18 - 15 * at) - 8, abs=2e-3)


def test_left_out_rules_leave_a_flute_that_can_be() -> None:
    design = flute()
    now = geometry_of(design)
    kinds = {one.kind for one in limits_of(design, now)}
    loose = limits_of(design, now, (), frozenset(kinds))
    assert {one.kind for one in loose} == {"smallest", "share_of_bore", "wood", "foot", "head"}
    smallest = next(one for one in loose if one.kind == "smallest")
    assert smallest.bound == pytest.approx(0.001)
    wood = next(one for one in loose if one.kind == "wood" and one.holes == (0, 1))
    assert room(wood, now) * 1e3 == pytest.approx(30 - 8)


def test_as_arrays() -> None:
    design = flute()
    now = geometry_of(design)
    limits = limits_of(design, now)
    g, h, give = matrix(limits, len(now.u))
    np.testing.assert_allclose(g @ now.u - h, [room(one, now) for one in limits], atol=1e-15)
    assert {one.kind for one, soft in zip(limits, give, strict=True) if soft == 1.0} == {
        "wood", "spread", "fingers", "gap",
    }  # fmt: skip


def test_bits_that_may_make_a_hole() -> None:
    design = flute(bits=(0.003, 0.005, 0.009, 0.0115, 0.014), largest=0.012, share_of_bore=0.75)
    assert bits_allowed(design, design.holes[0], 0.13) == (0.005, 0.009, 0.0115)
    small = replace(design, shop=replace(design.shop, hand=Hand((0.03, 0.03, 0.03), 0.06, 0.0125)))
    assert bits_allowed(small, small.holes[0], 0.13) == (0.005, 0.009)
