"""The wrap against trigonometry: unrolled outlines, put back on the tube, lie on the drill that made them."""

from __future__ import annotations

from dataclasses import replace
from math import acos, asin, cos, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ellipeinc

from scaledesign.errors import EditError
from scaledesign.model.document import Design, Hole, Station, Tube
from scaledesign.paper.template.strip import CLEAR, LEAST, strip_of
from scaledesign.paper.template.unrolled import PAPER, Outside
from scaledesign.physics.arrays import Floats
from tests.paper.template.flutes import dense, example, odd


def straight(radius: float) -> Outside:
    return Outside(np.zeros(1), np.full(1, radius), np.full(1, radius))


def cone(radius: float, slope: float) -> Outside:
    """A cone of that radius at x = 0, long enough that its ends are not felt."""
    x = np.array([-2.0, 4.0])
    return Outside(x, radius + slope * x, radius + slope * x)


def off_the_bit(
    x: Floats, y: Floats, z: Floats, at: float, radius: float, angle: float, slant: float
) -> Floats:
    """Distance of points in space from a drill's axis: bore along x, front towards y, angles from y to z.

    The axis goes through the outside at (at, radius, angle), leaning by ``slant`` so that further in it
    lies nearer the foot. By the length of a cross product, which the program does not use.
    """
    out = np.array([0.0, cos(angle), sin(angle)])
    through = np.array([at, 0.0, 0.0]) + radius * out
    inward = np.array([sin(slant), 0.0, 0.0]) - cos(slant) * out
    points = np.stack([x, y, z], axis=1) - through
    return np.asarray(np.linalg.norm(np.cross(points, inward), axis=1))


@settings(max_examples=60)
@given(
    st.floats(0.004, 0.05), st.floats(0.05, 0.95), st.floats(-180, 180), st.floats(-60, 60), st.floats(0, 1)
)
def test_on_a_round_tube_the_curve_lies_on_the_drill(
    radius: float, share: float, side: float, slant: float, at: float
) -> None:
    bit = share * radius
    u, v = straight(radius).drilled(at, radians(side), 2 * bit, 2 * bit, radians(slant))
    around = v / (radius + PAPER / 2)
    found = off_the_bit(
        u, radius * np.cos(around), radius * np.sin(around), at, radius, radians(side), radians(slant)
    )
    assert found == pytest.approx(np.full(len(u), bit), abs=1e-8)
    assert v.max() - v.min() == pytest.approx(2 * (radius + PAPER / 2) * asin(bit / radius), rel=2e-3)


def test_a_hole_drilled_square_is_as_wide_along_and_wider_around() -> None:
    """x = sqrt(r^2 - (R sin phi)^2), half as wide around as R asin(r/R): the formula a maker would use."""
    radius, bit = 0.01175, 0.005
    u, v = straight(radius).drilled(0.2, 0.0, 2 * bit, 2 * bit)
    phi = v / (radius + PAPER / 2)
    assert np.abs(u - 0.2) == pytest.approx(
        np.sqrt(np.maximum(bit**2 - (radius * np.sin(phi)) ** 2, 0)), abs=1e-7
    )
    assert (u.max() - u.min(), v.max()) == pytest.approx(
        (2 * bit, (radius + PAPER / 2) * asin(bit / radius)), abs=1e-8
    )


def test_a_step_is_a_step_and_no_taper() -> None:
    """Two stations at one place: the outside is wide up to there and narrow beyond."""
    bore = tuple(Station(x, d) for x, d in ((0.0, 0.016), (0.2, 0.016), (0.2, 0.012), (0.36, 0.012)))
    outside = Outside.of(Design(tube=Tube(0.36, bore, (Station(0, 0.004),))))
    radius = outside.radius(np.array([0.1, 0.1999, 0.2001, 0.3]), np.zeros(4))
    assert radius == pytest.approx([0.012, 0.012, 0.010, 0.010])
    thicker = (Station(0, 0.004), Station(0.2, 0.004), Station(0.2, 0.006), Station(0.36, 0.006))
    outside = Outside.of(Design(tube=Tube(0.36, bore, thicker)))
    assert outside.radius(np.linspace(0, 0.36, 99), np.zeros(99)) == pytest.approx(np.full(99, 0.012))


def test_once_around_is_the_diameter_and_one_thickness_of_paper_times_pi() -> None:
    assert straight(0.0125).around(0.3) == pytest.approx(pi * (0.025 + 0.0001), abs=1e-12)
    assert straight(0.0125).paper(np.zeros(1), np.full(1, pi / 3))[1][0] == pytest.approx(
        (0.0125 + 0.00005) * pi / 3, abs=1e-12
    )


@settings(max_examples=60)
@given(st.floats(0.005, 0.03), st.floats(-0.04, 0.04), st.floats(-180, 180), st.floats(0, 0.4))
def test_around_a_cone_the_curve_lies_on_the_drill(
    radius: float, slope: float, side: float, at: float
) -> None:
    """Unrolled by a compass: apex, distance and turn, with the middle of the paper as the cone."""
    if abs(slope) < 1e-4 or radius + slope * at < 0.003:
        return
    outside = cone(radius, slope)
    r0 = radius + slope * at
    u, v = outside.drilled(at, radians(side), r0, r0)
    tilt = np.arctan(slope)
    apex = -(radius + PAPER / 2) / np.sin(tilt)
    away = np.hypot(u - apex, v) * np.sign(slope)
    turn = np.arctan2(v * np.sign(slope), (u - apex) * np.sign(slope))
    around, r = turn / np.sin(tilt), away * np.sin(tilt) - PAPER / 2
    x = (r - radius) / slope
    found = off_the_bit(x, r * np.cos(around), r * np.sin(around), at, r0, radians(side), 0.0)
    assert found == pytest.approx(np.full(len(u), r0 / 2), abs=2e-8)


def test_on_an_oval_lengths_follow_the_ellipse() -> None:
    """Against the incomplete elliptic integral; the paper's thickness adds the turn of the surface."""
    a, b = 0.011, 0.0135
    outside = Outside(np.zeros(1), np.full(1, a), np.full(1, b))
    for angle in (0.3, 1.2, 2.5, pi, 4.0):
        t = np.arctan2(a * sin(angle), b * cos(angle)) % (2 * pi)
        turn = np.arctan2(a * sin(t), b * cos(t)) % (2 * pi)
        length = b * ellipeinc(t, 1 - (a / b) ** 2) + PAPER / 2 * turn
        assert outside.paper(np.zeros(1), np.full(1, angle))[1][0] == pytest.approx(length, abs=1e-10)


def test_a_hole_in_the_side_of_an_oval_is_as_wide_as_the_bit() -> None:
    a, b, bit = 0.011, 0.0135, 0.004
    outside = Outside(np.zeros(1), np.full(1, a), np.full(1, b))
    u, v = outside.drilled(0.1, pi / 2, 2 * bit, 2 * bit)
    quarter = outside.paper(np.zeros(1), np.full(1, pi / 2))[1][0]
    # On the ellipse y = a cos t, z = b sin t the bit from the side cuts where y = bit.
    t = pi / 2 - acos(bit / a)
    arc = quarter - outside.paper(np.zeros(1), np.full(1, np.arctan2(b * sin(acos(bit / a)), bit)))[1][0]
    assert t > 0
    assert (u.max() - u.min(), v.max() - v.min()) == pytest.approx((2 * bit, 2 * arc), abs=1e-7)


def test_a_taper_bends_the_rings_by_a_quarter_of_a_millimetre_on_a_common_cane() -> None:
    """Angle squared times R sin(alpha) / 2, towards the thin end; left out, the thumb hole would be off."""
    strip = strip_of(example("dust-lark"))
    thumb = strip.openings[0]
    at = example("dust-lark").holes[0].at
    r = strip.outside.radius(np.full(1, at), np.zeros(1))[0]
    slope = float(strip.outside.slope(np.full(1, at))[0])
    assert slope < 0
    assert (thumb.middle[0] - at) == pytest.approx(-(pi**2) * r * slope / 2, abs=2e-5)
    assert 0.15e-3 < thumb.middle[0] - at < 0.4e-3


def test_the_window_is_as_wide_as_it_is_sawn() -> None:
    window = strip_of(example("marsh-wren")).openings[0]
    radius = 0.01175
    half = (radius + PAPER / 2) * asin(0.00475 / radius)
    assert window.box == pytest.approx((-0.0048, -half, 0.0, half), abs=1e-9)


def test_a_hole_wider_than_the_tube_is_named() -> None:
    wide = replace(example("marsh-wren"), holes=(Hole(0.2, 0.03),))
    with pytest.raises(EditError, match="hole 1: it is wider than the tube outside; make it narrower"):
        strip_of(wide)


# the seam


def gap_at_seam(design: Design) -> float:
    """Least distance on the round outside between the seam and a hole, m; by angles alone."""
    strip = strip_of(design)
    least = float("inf")
    for hole in design.holes:
        r = float(strip.outside.radius(np.full(1, hole.at), np.zeros(1))[0])
        turn = abs((strip.seam - hole.side + 180) % 360 - 180)
        least = min(least, r * (radians(turn) - asin((hole.across or hole.diameter) / 2 / r)))
    return least


@pytest.mark.parametrize("name", ["marsh-wren", "night-heron", "dust-lark", "grey-heron", "reed-bunting"])
def test_the_seam_keeps_clear_of_all_holes(name: str) -> None:
    design = example(name)
    back = any(hole.side == 180 for hole in design.holes)
    strip = strip_of(design)
    assert (strip.seam == 180) is not back
    assert gap_at_seam(design) > CLEAR
    for opening in strip.openings:
        top, bottom = (strip.line(angle, 2)[1] for angle in (strip.seam - 360, strip.seam))
        assert top.max() < opening.box[1]
        assert opening.box[3] < bottom.min()


def test_the_seam_of_odd_flutes_too() -> None:
    assert gap_at_seam(dense()) > LEAST
    assert gap_at_seam(odd()) > LEAST


@settings(max_examples=50)
@given(st.lists(st.tuples(st.floats(-360, 360), st.floats(0.003, 0.009)), min_size=1, max_size=7))
def test_a_seam_passes_no_hole_or_none_is_printed(holes: list[tuple[float, float]]) -> None:
    design = Design(
        tube=Tube(0.4, (Station(0, 0.016),), (Station(0, 0.003),)),
        holes=tuple(Hole(0.1 + 0.03 * i, d, side=side) for i, (side, d) in enumerate(holes)),
    )
    free = np.ones(360, bool)
    for side, d in holes:
        turn = np.abs((np.arange(360) - side + 180) % 360 - 180)
        free &= 0.011 * np.radians(turn) > 0.011 * asin(d / 2 / 0.011) + LEAST + 1e-4
    if free[::5][1:].any():
        assert gap_at_seam(design) >= LEAST - 1e-4
    elif not free.any():
        with pytest.raises(EditError, match="no seam of the paper"):
            strip_of(design)


def test_slope_is_that_of_the_sides() -> None:
    assert cone(0.012, -0.01).slope(np.array([0.1]))[0] == pytest.approx(-0.01)
    assert cone(0.012, -0.01).along(np.array([0.3]))[0] == pytest.approx(hypot(0.3, 0.003))
    assert sqrt(1 + 0.01**2) == pytest.approx(cone(0.012, 0.01).along(np.ones(1))[0])
