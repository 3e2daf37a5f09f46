"""The drawing's geometry before it is printed: any flute fits its paper, and no figure stands on another."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.model.document import Design
from scaledesign.paper.layout import Origin, has_cut_end
from scaledesign.paper.sheet.drawing import Drawing, drawing_of, leader
from scaledesign.paper.sheet.marks import CAPITAL, POINT, Oval, Path, Words, spread, width_of
from tests.files.designs import designs
from tests.paper.sheet.flutes import example
from tests.workshop.tubes import flute

PAPER = 186.0


@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(0.1, 12)), min_size=1, max_size=14).filter(
        lambda labels: sum(width for _, width in labels) <= 100
    )
)
def test_labels_that_would_touch_are_set_apart(labels: list[tuple[float, float]]) -> None:
    labels.sort()
    places, widths = [place for place, _ in labels], [width for _, width in labels]
    found = spread(places, widths, 0.0, 100.0)
    for (a, wide), (b, broad) in pairwise(zip(found, widths, strict=True)):
        assert b - a >= (wide + broad) / 2 - 1e-6
    assert found[0] - widths[0] / 2 >= -1e-6
    assert found[-1] + widths[-1] / 2 <= 100 + 1e-6


def test_labels_with_room_stay_where_they_are() -> None:
    assert spread([10.0, 30.0, 50.0], [8.0, 8.0, 8.0], 0.0, 100.0) == [10.0, 30.0, 50.0]
    assert spread([50.0, 50.0], [8.0, 4.0], 0.0, 100.0) == [47.0, 53.0]
    assert spread([1.0, 99.0], [8.0, 8.0], 0.0, 100.0) == [4.0, 96.0]


@settings(max_examples=40)
@given(designs(), st.sampled_from(["edge", "foot", "cut-end"]), st.sampled_from([1.0, 1.3]))
def test_any_flute_fits_its_paper(design: Design, origin: Origin, larger: float) -> None:
    if origin == "cut-end" and not has_cut_end(design):
        origin = "edge"
    drawing = drawing_of(design, PAPER, units=design.units, origin=origin, larger=larger)
    assert drawing.ratio >= 1.0
    assert round(drawing.ratio * 10) == pytest.approx(drawing.ratio * 10)
    boxes = [box_of(mark) for mark in drawing.marks if isinstance(mark, Words)]
    for left, top, right, bottom in boxes:
        assert -0.01 <= left <= right <= PAPER + 0.01
        assert -0.01 <= top <= bottom <= drawing.height + 0.01
    for a, b in combinations(boxes, 2):
        across = min(a[2], b[2]) - max(a[0], b[0])
        down = min(a[3], b[3]) - max(a[1], b[1])
        assert across < 0.01 or down < 0.01
    for mark in drawing.marks:
        if isinstance(mark, Path) and mark.pen == "hair" and len(mark.points) == 2:
            assert not any(runs_through(mark.points, box) for box in boxes)
    to_scale(design, drawing)


def runs_through(points: tuple[tuple[float, float], ...], box: tuple[float, float, float, float]) -> bool:
    """Whether a line has a point inside a box, looked at in two hundred places."""
    (x1, y1), (x2, y2) = points
    left, top, right, bottom = box
    return any(
        left < x1 + k / 200 * (x2 - x1) < right and top < y1 + k / 200 * (y2 - y1) < bottom
        for k in range(201)
    )


def test_a_line_to_a_bore_is_broken_where_it_would_run_through_a_figure() -> None:
    whole = list(leader((10.0, 0.0), (20.0, 10.0), []))
    assert [mark.points for mark in whole if isinstance(mark, Path)] == [((10.0, 0.0), (20.0, 10.0))]
    broken = [
        mark.points
        for mark in leader((10.0, 0.0), (20.0, 10.0), [(12.0, 4.0, 30.0, 6.0), (0.0, 0.0, 5.0, 9.0)])
        if isinstance(mark, Path)
    ]
    assert len(broken) == 2
    assert broken[0][1][1] == pytest.approx(4.0)
    assert broken[1][0][1] == pytest.approx(6.0, abs=0.5)
    assert not any(runs_through(points, (12.0, 4.0, 30.0, 6.0)) for points in broken)


def box_of(words: Words) -> tuple[float, float, float, float]:
    wide, high = width_of(words.text, words.size), words.size * POINT * CAPITAL
    if words.turned:
        wide, high = high, wide
    left = words.x - {"left": 0.0, "centre": 0.5, "right": 1.0}[words.align] * wide
    return left, words.y - high / 2, left + wide, words.y + high / 2


def to_scale(design: Design, drawing: Drawing) -> None:
    """Holes lie and are as wide as they are, at the ratio that is said."""
    for hole, (x, y) in zip(design.holes, drawing.centres, strict=True):
        first = drawing.centres[0][0]
        assert (x - first) * drawing.ratio == pytest.approx((hole.at - design.holes[0].at) * 1000, abs=1e-6)
        wide = hole.diameter * 500 / drawing.ratio
        assert any(
            isinstance(mark, Oval) and (mark.x, mark.y) == (x, y) and mark.rx == pytest.approx(wide)
            for mark in drawing.marks
        )


def test_many_holes_turn_the_figures_upright() -> None:
    design = flute(bores=40, holes=1)
    many = tuple(
        replace(design.holes[0], at=0.1 + 0.008 * i, diameter=0.002, finger="none") for i in range(60)
    )
    drawing = drawing_of(replace(design, holes=many), PAPER, units="mm", origin="edge")
    turned = [mark for mark in drawing.marks if isinstance(mark, Words) and mark.turned]
    assert len(turned) == 61
    boxes = [box_of(mark) for mark in turned]
    assert all(b[0] >= a[2] - 0.01 for a, b in pairwise(sorted(boxes)))


def test_what_is_behind_is_dashed() -> None:
    design = example("night-heron")
    drawing = drawing_of(design, PAPER, units="mm", origin="edge")
    pens = {
        i: mark.pen
        for i, centre in enumerate(drawing.centres)
        for mark in drawing.marks
        if isinstance(mark, Oval) and (mark.x, mark.y) == centre
    }
    assert pens == {0: "hidden", 1: "outline", 2: "outline", 3: "outline", 4: "outline"}
    cut = [mark for mark in drawing.marks if isinstance(mark, Path) and mark.pen == "cut"]
    assert len(cut) == 2, "where to saw, in both views"
