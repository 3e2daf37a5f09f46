"""The printed sheets at true size: read off their pixels at 1200 dpi, across joints, in both papers.

What is expected comes from the design and trigonometry alone. The plan only says where to look first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from math import cos, pi, radians, sin

import numpy as np
import pytest

from scaledesign.errors import EditError
from scaledesign.model.document import Design, Station
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.template.page import MARGIN, Plan, laid, plan_of, template_pages
from scaledesign.paper.template.strip import strip_of
from scaledesign.physics.arrays import Floats
from tests.paper.template.flutes import EXAMPLES, example, huge, odd
from tests.paper.template.scanned import Scan, fitted

PRINT = 0.05
"""mm: how true everything must be; a careful hand holds twice that."""
HALF_PAPER = 0.05
"""mm."""


class Sheets:
    """The sheets of one flute, and where its strip lies on them by their own ink."""

    def __init__(self, design: Design, choices: PaperChoices) -> None:
        self.design = design
        self.strip = strip_of(design)
        self.plan: Plan = plan_of(design, self.strip, choices)
        (self.pdf,) = template_pages(design, choices, "pdf")
        self.scans = [Scan(self.pdf, page) for page in range(self.plan.sheets)]
        self.origins = self._origins()

    def _origins(self) -> list[tuple[float, float]]:
        """Sheet x and y of the strip's u = 0, v = 0 for each piece: by its ring, then by targets."""
        first = self.plan.placed[0]
        x, y = first.at((0.0, 0.0))
        scan = self.scans[first.sheet]
        origins = [(scan.upright(x, y + 6.0, y + 9.0), scan.level(y, x + 20.0, x + 60.0))]
        for one, two in zip(self.plan.placed, self.plan.placed[1:], strict=False):
            assert one.piece.after is not None
            (x0, y0), (x1, y1) = (self._target(each, one.piece.after) for each in (one, two))
            origins.append((origins[-1][0] + x1 - x0, origins[-1][1] + y1 - y0))
        return origins

    def _target(self, placed: object, joint: float) -> tuple[float, float]:
        """The ring of the target on the front line."""
        x, y = placed.at((joint, 0.0))
        ink = self.scans[placed.sheet].ink(x - 2, y - 2, x + 2, y + 2)
        cx, cy, radius, there = fitted(*ink, (x, y), 1.2, np.positive)
        assert there > 0.75
        assert radius == pytest.approx(1.2, abs=0.03)
        return cx, cy

    def hole(self, index: int, radius: float, outer: float) -> tuple[float, float, float]:
        """u, v and radius of a round hole, as measured; ``outer`` is the tube's radius there. mm."""
        hole = self.design.holes[index]
        u, v = (side * 1e3 for side in self.strip.openings[index - len(self.design.holes)].middle)
        for placed, origin in zip(self.plan.placed, self.origins, strict=True):
            low = placed.piece.before or placed.piece.start
            high = placed.piece.after or placed.piece.end
            if low < u < high:
                x, y = placed.at((u, v))
                wide, tall = radius + 1.2, radius + 2.5
                ink = self.scans[placed.sheet].ink(x - wide, y - tall, x + wide, y + tall)
                cx, cy, found, there = fitted(*ink, (x, y), radius, flattened(outer))
                assert there > (0.4 if hole.drilled else 0.8)
                return cx - origin[0], cy - origin[1], found
        raise AssertionError(f"hole {index + 1} is on no piece")


def flattened(outer: float) -> Callable[[Floats], Floats]:
    """What a distance around the tube is, seen from straight above."""
    return lambda around: outer * np.sin(around / (outer + HALF_PAPER))


@contextmanager
def printed(design: Design, choices: PaperChoices) -> Iterator[Sheets]:
    sheets = Sheets(design, choices)
    try:
        yield sheets
    finally:
        for scan in sheets.scans:
            scan.close()


def outer_radius(design: Design, x: float) -> float:
    """mm, of a round tube."""
    bore, wall = (
        np.interp(x, [s.x for s in stations], [s.value for s in stations])
        for stations in (design.tube.bore, design.tube.wall)
    )
    return float(bore / 2 + wall) * 1e3


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", [path.stem for path in EXAMPLES])
def test_every_hole_is_where_the_design_says_and_as_wide(name: str, paper: str) -> None:
    design = example(name)
    with printed(design, PaperChoices(paper=paper)) as sheets:
        for index, hole in enumerate(design.holes):
            outer = outer_radius(design, hole.at)
            u, v, radius = sheets.hole(index, hole.diameter * 500, outer)
            assert u == pytest.approx(hole.at * 1e3 + bent(design, index), abs=PRINT)
            assert v == pytest.approx(radians(hole.side) * (outer + HALF_PAPER), abs=PRINT)
            assert radius == pytest.approx(hole.diameter * 500, abs=PRINT / 2)


def bent(design: Design, index: int) -> float:
    """mm that a taper moves a hole at the back towards the thin end: angle^2 R slope / 2 (elementary)."""
    hole = design.holes[index]
    slope = (outer_radius(design, hole.at + 0.03) - outer_radius(design, hole.at - 0.03)) / 60
    return -(radians(hole.side) ** 2) * outer_radius(design, hole.at) * slope / 2


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_on_every_sheet_both_bars_measure_what_they_say(paper: str) -> None:
    for design in (example("night-heron"), example("marsh-wren")):
        with printed(design, PaperChoices(paper=paper)) as sheets:
            foot = sheets.plan.foot_at
            for scan in sheets.scans:
                for down, long in ((6.4, 100.0), (13.6, 101.6)):
                    # The ticks stand out above and below the bar.
                    y = foot + down - 1.4
                    left = scan.upright(MARGIN + 0.2, y + 0.1, y + 1.0)
                    right = scan.upright(MARGIN + 0.2 + long, y + 0.1, y + 1.0)
                    assert right - left == pytest.approx(long, abs=PRINT / 2)


def test_the_wrap_is_once_around_and_the_thickness_of_the_paper() -> None:
    """From the upper edge of the strip to the broken line; and the foot as far from the edge as it is cut."""
    design = example("reed-bunting")
    with printed(design, PaperChoices()) as sheets:
        placed, scan = sheets.plan.placed[-1], sheets.scans[-1]
        x, y = placed.at((350.0, 0.0))
        around = pi * (26.0 + 2 * HALF_PAPER)
        upper = scan.level(y - around / 2, x - 8, x + 8)
        lower = scan.level(y + around / 2, x - 8, x + 8)
        assert lower - upper == pytest.approx(around, abs=PRINT / 2)
        foot = placed.at((391.61, 0.0))
        line = scan.upright(foot[0], foot[1] + 5, foot[1] + 12)
        assert line - sheets.origins[-1][0] == pytest.approx(391.61, abs=PRINT)


def test_odd_holes_too() -> None:
    """Oval tube, so the arc is numeric; here the round ones in front, where it is as good as a circle."""
    design = odd()
    with printed(design, PaperChoices()) as sheets:
        for index in (3, 6):
            hole = design.holes[index]
            front, side = (
                np.interp(hole.at, [-0.2, 0.7], ends) / 2 * 1e3 + 4.0
                for ends in ((0.018, 0.009), (0.020, 0.011))
            )
            curve = side**2 / front  # radius of curvature of the ellipse at its front
            u, v, radius = sheets.hole(index, hole.diameter * 500, float(curve))
            assert (u, v) == pytest.approx((hole.at * 1e3, 0.0), abs=PRINT)
            assert radius == pytest.approx(hole.diameter * 500, abs=PRINT / 2)


def test_a_slanted_hole_is_longer_and_leans_as_it_is_drilled() -> None:
    """Front and rear of the cut on the front line: where the bit's sides meet the outside."""
    design = odd()
    with printed(design, PaperChoices()) as sheets:
        hole = design.holes[5]
        slope = (0.009 - 0.018) / 2 / 0.9
        slant, r = radians(hole.slant), hole.diameter * 500
        (placed, origin) = (sheets.plan.placed[-1], sheets.origins[-1])
        x, y = placed.at((hole.at * 1e3, 0.0))
        found = []
        for sign in (-1, 1):
            # (x - at) cos(slant) + (x - at) slope sin(slant) = r, straight up the front of the cone.
            far = sign * r / (cos(slant) + slope * sin(slant))
            # Just beside the front line, which would cover the edge; the curve is upright there.
            edge = sheets.scans[placed.sheet].upright(x + far, y + 0.25, y + 0.45, reach=0.5)
            found.append(edge - origin[0] - hole.at * 1e3 - far)
        assert found == pytest.approx([0.0, 0.0], abs=PRINT / 2)
        assert r / cos(slant) > 1.1 * r


def test_a_tube_too_broad_to_lie_along_a_sheet_runs_down_it() -> None:
    design = huge()
    with printed(design, PaperChoices(paper="letter")) as sheets:
        assert all(each.turned for each in sheets.plan.placed)
        for index in (1, 2, 5):
            hole = design.holes[index]
            around = (35.0 + HALF_PAPER) * radians(hole.side)
            (placed,) = (
                each
                for each in sheets.plan.placed
                if (each.piece.before or -1e9) < hole.at * 1e3 < (each.piece.after or 1e9)
            )
            x, y = placed.at((hole.at * 1e3, around))
            ink = sheets.scans[placed.sheet].ink(x - 9, y - 9, x + 9, y + 9)
            cy, cx, radius, there = fitted(ink[1], ink[0], (y, x), 7.0, flattened(35.0))
            assert there > 0.8
            assert radius == pytest.approx(7.0, abs=PRINT / 2)
            # Measured from this sheet's own target and front line.
            assert placed.piece.before is not None
            tx, ty = placed.at((placed.piece.before, 0.0))
            ring = fitted(
                *sheets.scans[placed.sheet].ink(tx - 2, ty - 2, tx + 2, ty + 2), (tx, ty), 1.2, np.positive
            )
            assert cy - ring[1] == pytest.approx(hole.at * 1e3 - placed.piece.before, abs=PRINT)
            assert ring[0] - cx == pytest.approx(around, abs=PRINT)


def test_too_broad_for_any_sheet_says_so() -> None:
    wide = replace(huge(), tube=replace(huge().tube, bore=(Station(0, 0.09),)))
    with pytest.raises(
        EditError, match=r"the tube is 314\.5 mm around, and A4 takes 269\.0 mm; make the DXF"
    ):
        template_pages(wide, PaperChoices(), "pdf")


def test_both_pieces_show_the_same_where_they_overlap() -> None:
    """Ink of the one laid on ink of the other by their targets: 15 mm, to a tenth of a millimetre."""
    design = example("night-heron")
    with printed(design, PaperChoices()) as sheets:
        one, two = sheets.plan.placed[1:3]
        joint = one.piece.after
        assert joint is not None
        assert (one.piece.end - two.piece.start) == pytest.approx(15.0)
        inked = []
        for placed, origin in zip((one, two), sheets.origins[1:3], strict=True):
            x, y = placed.at((joint, 0.0))
            xs, ys = sheets.scans[placed.sheet].ink(x - 7.2, y - 18, x + 7.2, y + 60)
            cells = np.stack([(xs - origin[0]) / 0.2, (ys - origin[1]) / 0.2], axis=1)
            inked.append(set(map(tuple, np.floor(cells).astype(int).tolist())))
        grown = [{(a + i, b + j) for a, b in each for i in (-1, 0, 1) for j in (-1, 0, 1)} for each in inked]
        # Dashes begin anew on each piece; all else is the same.
        assert len(inked[0] - grown[1]) < 0.12 * len(inked[0])
        assert len(inked[1] - grown[0]) < 0.12 * len(inked[1])


def test_the_pages_of_each_form() -> None:
    design, choices = example("marsh-wren"), PaperChoices()
    assert [len(template_pages(design, choices, form, ppi=20)) for form in ("pdf", "svg", "png")] == [1, 2, 2]


def test_a_hole_is_shown_whole_or_not_at_all() -> None:
    """What the pieces share may reach into a hole by a hair: only the piece that has it whole shows it."""
    design = example("dust-lark")
    strip = strip_of(design)
    _, marks = laid(design, strip, PaperChoices(), {3: 0.004})
    low, _, high, _ = (side * 1e3 for side in strip.openings[3].box)
    shown = [
        [each.opening for each in marks.on(start, end)] for start, end in ((0.0, high - 0.1), (low, 500.0))
    ]
    assert {*shown[0]} - {None} == {0, 1, 2}
    assert {*shown[1]} - {None} == {3, 4, 5, 6}
    assert shown[1].count(3) == 3, "its outline, what it is begun with, and the upright of its cross"


def test_the_paper_of_a_tube_blown_at_its_end_ends_there() -> None:
    """Nothing hangs over the rim, whose line is the paper's own edge."""
    for name in ("dust-lark", "night-heron"):
        design = example(name)
        assert strip_of(design).start == 0.0
        with printed(design, PaperChoices()) as sheets:
            first = sheets.plan.placed[0]
            x, y = first.at((0.0, 0.0))
            ink, _ = sheets.scans[first.sheet].ink(x - 12.0, y + 3.0, x + 0.5, y + 9.0)
            assert ink.min() > x - 0.2


def test_where_a_bit_begins_is_drawn_within_the_hole_about_its_middle() -> None:
    design, choices = example("reed-bunting"), PaperChoices()
    strip = strip_of(design)
    _, marks = laid(design, strip, choices, {2: 0.0055})
    (begun,) = (each for each in marks.strokes if each.look == "begin")
    points = np.array(begun.points)
    assert (points.min(axis=0) + points.max(axis=0)) / 2 == pytest.approx((220.0, 0.0), abs=0.05)
    assert np.ptp(points[:, 0]) == pytest.approx(5.5, abs=0.01)
