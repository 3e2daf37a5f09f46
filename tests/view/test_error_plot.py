"""The plot of errors: bars the right way and the right size, nothing hidden, nothing flattened."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.view.error_plot import AXIS, error_lines, reach_of
from scaledesign.view.lines import DRAWN, TYPED, Line, Signs, text_of

BOTH = pytest.mark.parametrize("signs", [DRAWN, TYPED], ids=lambda signs: signs.name)
NAMES = ("A4", "C5", "D5", "E5", "G5", "A5", "Bb5")
NAN = float("nan")
HALVES = {"█": 2, "▀": 1, "▄": 1, "=": 2}


def plot(
    cents: Sequence[float],
    signs: Signs = DRAWN,
    width: int = 60,
    height: int = 10,
    *,
    doubt: float = 0.0,
    selected: int | None = None,
) -> tuple[Line, ...]:
    """A plot with invented names and one doubt for all, tolerance 5 cents."""
    names = [NAMES[i % len(NAMES)] for i in range(len(cents))]
    return error_lines(names, cents, [doubt] * len(cents), 5.0, signs, width, height, selected=selected)


def toned(lines: tuple[Line, ...], *tones: str) -> list[tuple[int, int, str]]:
    """Cells (line, column, sign) of some tones that are not blank."""
    cells = []
    for row, line in enumerate(lines):
        column = 0
        for span in line:
            if span.tone in tones:
                cells += [(row, column + i, sign) for i, sign in enumerate(span.text) if sign != " "]
            column += len(span.text)
    return cells


def halves(lines: tuple[Line, ...], tone: str) -> list[int]:
    """Height of every bar of a tone in half lines, from the left, a column each."""
    heights: dict[int, int] = {}
    for _, column, sign in toned(lines, tone):
        heights[column] = heights.get(column, 0) + HALVES.get(sign, 0)
    return [heights[column] for column in sorted(heights)]


def zero_line(lines: tuple[Line, ...], signs: Signs) -> int:
    """Which line is the zero line."""
    (row,) = [i for i, line in enumerate(lines) if text_of(line)[AXIS - 1] == signs.cross]
    return row


values = st.lists(st.floats(-5000, 5000) | st.just(NAN), max_size=250)


@BOTH
@settings(max_examples=150)
@given(
    cents=values,
    doubt=st.floats(0, 200) | st.just(NAN),
    tolerance=st.floats(0, 50),
    width=st.integers(0, 200),
    height=st.integers(0, 20),
    selected=st.none() | st.integers(0, 260),
)
def test_every_plot_has_exactly_the_cells_asked_for(
    signs: Signs,
    cents: list[float],
    doubt: float,
    tolerance: float,
    width: int,
    height: int,
    selected: int | None,
) -> None:
    """Whatever is in the rows, and however little room there is; the typed set is ASCII."""
    names = ["Bb4"] * len(cents)
    doubts = [doubt] * len(cents)
    lines = error_lines(
        names, cents, doubts, tolerance, signs, width, height, selected=selected, roles=["chromatic"]
    )
    assert [len(text_of(line)) for line in lines] == [width] * height
    if signs is TYPED:
        assert "".join(map(text_of, lines)).isascii()


@BOTH
def test_sharp_is_up_and_flat_is_down(signs: Signs) -> None:
    """Above and below the zero line, which is in the middle."""
    lines = plot([20.0, -20.0, 18.0], signs)
    zero = zero_line(lines, signs)
    assert zero == 4
    assert {row for row, _, _ in toned(lines, "sharp")} <= set(range(zero + 1))
    assert {row for row, _, _ in toned(lines, "flat")} <= set(range(zero, 9))
    assert halves(lines, "sharp")
    assert halves(lines, "flat")


@settings(max_examples=100)
@given(
    cents=st.lists(st.floats(5.1, 40), min_size=4, max_size=8).filter(lambda c: max(c) < 2.9 * min(c)),
    height=st.integers(6, 16),
)
def test_a_bar_is_as_high_as_the_row_is_off(cents: list[float], height: int) -> None:
    """To half a half line, by the scale that stands on the left."""
    lines = plot(cents, width=100, height=height)
    zero = zero_line(lines, DRAWN)
    reach = float(text_of(lines[0])[: AXIS - 1])
    assert reach >= 10
    per_cent = (2 * zero + 1) / reach
    shown = halves(lines, "sharp")
    width = len(shown) // len(cents)
    expected = [round(value * per_cent) for value in cents for _ in range(width)]
    assert shown == pytest.approx(expected, abs=1)


def test_in_whole_lines_too() -> None:
    """Without half blocks a bar is a line or nothing."""
    lines = plot([20.0, 10.0], TYPED, height=11)
    zero = zero_line(lines, TYPED)
    reach = float(text_of(lines[0])[: AXIS - 1])
    per_line = reach / (zero + 0.5)
    heights = halves(lines, "sharp")
    assert heights[0] / 2 == round(20 / per_line)
    assert heights[-1] / 2 == round(10 / per_line)


@BOTH
def test_within_the_tolerance_a_row_is_true(signs: Signs) -> None:
    """Neither sharp nor flat, and still to be seen."""
    lines = plot([0.0, 5.0, -5.0, 0.4], signs)
    assert not toned(lines, "sharp", "flat")
    assert len({column // 7 for _, column, _ in toned(lines, "true")}) == 4


@BOTH
@pytest.mark.parametrize("height", range(1, 13))
def test_beyond_the_tolerance_a_row_is_never_hidden(signs: Signs, height: int) -> None:
    """However coarse the picture: 6 cents beside 45."""
    lines = plot([6.0, 45.0, 44.0, 43.0, -6.0], signs, height=height)
    assert min(column for _, column, _ in toned(lines, "sharp")) < AXIS + 7
    assert toned(lines, "flat")


@BOTH
def test_one_wild_row_does_not_flatten_the_others(signs: Signs) -> None:
    """It is cut at the edge, with a sign that says so."""
    tame = [6.0, -6.0, 5.5, 2.0, -5.5]
    assert reach_of([*tame, 400.0], 5.0) == reach_of(tame, 5.0)
    sharp = plot([*tame, 400.0], signs)
    assert {sign for row, _, sign in toned(sharp, "sharp") if row == 0} == {signs.sharp}
    flat = plot([*tame, -400.0], signs)
    assert {sign for row, _, sign in toned(flat, "flat") if row == 8} == {signs.flat}
    assert not {signs.sharp, signs.flat} & {sign for _, _, sign in toned(plot(tame, signs), "sharp", "flat")}


@given(cents=values, tolerance=st.floats(0.1, 50))
def test_the_scale_reaches_twice_the_tolerance_at_least(cents: list[float], tolerance: float) -> None:
    """And shows three rows in four whole, unless they are off the longest scale."""
    reach = reach_of(cents, tolerance)
    assert reach >= 2 * tolerance
    sizes = sorted(abs(value) for value in cents if math.isfinite(value))
    assert all(size <= reach for size in sizes[: 3 * (len(sizes) - 1) // 4 + 1])


@BOTH
def test_the_tolerance_is_marked(signs: Signs) -> None:
    """By lines where it is a line away from zero, else at the zero line itself."""
    labels = [text_of(line)[: AXIS - 1].strip() for line in plot([10.0, -10.0], signs, height=12)]
    assert "+5" in labels
    assert f"{signs.minus}5" in labels
    assert "0" in labels
    coarse = [text_of(line)[: AXIS - 1].strip() for line in plot([50.0, 50.0], signs, height=6)]
    assert f"{signs.plus_minus}5" in coarse
    assert "+50" in coarse


@BOTH
def test_a_row_without_a_pitch_says_none(signs: Signs) -> None:
    """In words where they fit, else with the sign of what is wrong."""
    assert "none" in text_of(plot([1.0, NAN, 2.0], signs)[4])
    narrow = plot([1.0, NAN, 2.0] * 8, signs)
    marks = [sign for _, _, sign in toned(narrow, "wrong")]
    assert marks == [signs.wrong] * 8


@BOTH
def test_more_rows_than_cells_show_the_worst(signs: Signs) -> None:
    """One row that is off among many that share its cell, and one without a pitch."""
    cents = [0.0] * 300
    cents[137], cents[201] = -16.0, NAN
    lines = plot(cents, signs)
    assert toned(lines, "flat")
    assert toned(lines, "wrong")
    assert not toned(lines, "sharp")


@BOTH
def test_the_selected_row_is_named_above_all_others(signs: Signs) -> None:
    """Even where most names find no room, or rows share a cell."""
    for count in (3, 20, 90, 300):
        lines = plot([0.0] * count, signs, selected=2)
        assert "".join(sign for row, _, sign in toned(lines, "strong") if row == 9) == "D5"


@BOTH
def test_names_keep_apart(signs: Signs) -> None:
    """Each is whole, in the order of the rows."""
    for width in range(30, 120):
        words = text_of(plot([0.0] * 20, signs, width=width)[9]).split()
        assert words[0] == "cents"
        assert set(words[1:]) <= set(NAMES)


def test_rows_beside_the_scale_are_named_faintly() -> None:
    """The layout is made for the others."""
    lines = error_lines(NAMES[:2], [0.0, 0.0], [0.0, 0.0], 5.0, DRAWN, 60, 10, roles=("scale", "alternate"))
    named = [(sign, tone) for tone in ("label", "faint") for row, _, sign in toned(lines, tone) if row == 9]
    assert "".join(sign for sign, tone in named if tone == "label") == "centsA4"
    assert "".join(sign for sign, tone in named if tone == "faint") == "C5"


def test_numbers_stand_under_the_names_where_a_line_is_left() -> None:
    """All of them, or none."""
    cents = [3.4, -12.0, NAN, 0.2]
    assert text_of(plot(cents, height=9)[8]).split() == ["+3", "−12", "none", "0"]
    assert text_of(plot(cents * 6, height=9)[8]).split() == []


@BOTH
def test_doubt_is_a_whisker_that_grows_with_it(signs: Signs) -> None:
    """Faint, about the end of the bar, and cut at the edge."""

    def whisker(doubt: float) -> int:
        lines = plot([0.0, 10.0, -10.0], signs, height=16, doubt=doubt)
        return sum(sign in "┊:" for _, _, sign in toned(lines, "faint"))

    assert whisker(0.0) == 0
    assert 0 < whisker(4.0) < whisker(8.0)
    assert whisker(100.0) == whisker(1000.0)


def test_no_rows_is_a_blank_plot() -> None:
    """Nothing to say, and no error."""
    assert {text_of(line) for line in plot([])} == {" " * 60}
