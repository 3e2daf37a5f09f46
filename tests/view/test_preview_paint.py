"""A page in cells: known pictures come out as known signs, whichever part is in view."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.view.preview_frame import Frame
from scaledesign.view.preview_paint import (
    POINTS,
    QUARTERS,
    Means,
    blocks,
    dots,
    letters,
    painted,
    sums_of,
)

WHITE = 255
MEANS = pytest.mark.parametrize("means", POINTS)


def points(*lines: str) -> np.ndarray:
    """``#`` is black, ``:`` half, a blank is paper."""
    tones = {"#": 0, ":": 128, " ": WHITE}
    return np.array([[tones[sign] for sign in line] for line in lines], np.float32)


def cells(*lines: str) -> np.ndarray:
    """The same, each sign a quarter of a cell."""
    return np.kron(points(*lines), np.ones((4, 2), np.float32))


def test_each_quarter_has_its_sign() -> None:
    for filled in range(16):
        four = [["#" if filled >> place & 1 else " " for place in pair] for pair in ((0, 1), (2, 3))]
        made = blocks(cells("".join(four[0]), "".join(four[1])))
        sign, ink, paper = made.signs[0, 0], int(made.ink[0, 0]), int(made.paper[0, 0])
        if filled in (0, 15):
            assert (sign, ink, paper) == (" ", *[0 if filled else WHITE] * 2)
        else:
            assert (sign, ink, paper) == (QUARTERS[filled], 0, WHITE)


@pytest.mark.parametrize(("eighths", "sign"), [(2, "▂"), (3, "▃"), (4, "▄"), (5, "▅"), (6, "▆")])
def test_an_edge_between_two_quarters_is_drawn_where_it_is(eighths: int, sign: str) -> None:
    page = np.full((8, 4), WHITE, np.float32)
    page[8 - eighths :] = 0
    made = blocks(page)
    assert (made.signs[0, 0], made.ink[0, 0], made.paper[0, 0]) == (sign, 0, WHITE)


def test_greys_are_kept_where_a_cell_is_smooth_and_split_where_it_is_not() -> None:
    made = blocks(cells("::#:", ":::#"))
    assert made.signs[0, 0] == " "
    assert made.paper[0, 0] == made.ink[0, 0]
    assert 80 < made.paper[0, 0] < 128  # half grey, made bolder
    assert made.signs[0, 1] in "▚▞"
    assert {int(made.ink[0, 1]), int(made.paper[0, 1])} == {0, int(made.paper[0, 0])}


def test_dots_and_letters_of_a_known_picture() -> None:
    assert dots(points("# ", " #", "  ", "##")).signs.tolist() == [[chr(0x2800 + 1 + 16 + 64 + 128)]]
    assert dots(points("  ", "  ", "  ", "  ")).signs.tolist() == [[" "]]
    assert letters(points(" #:", " #:")).signs.tolist() == [[" ", "@", "*"]]
    assert letters(points(" #", " #")).signs.tolist()[0][0].isascii()


def test_a_thin_stroke_is_seen() -> None:
    page = np.full((400, 400), WHITE, np.uint8)
    page[:, 203] = 0  # a hundredth of the width of a cell
    made = painted(sums_of(page), (4.0, 4.0), Frame(1.0), (4, 2), "greys")
    assert min(made.ink[0, 2], made.paper[0, 2]) < 245
    assert made.paper[0, 0] == made.paper[0, 3] == WHITE


@MEANS
@given(left=st.integers(0, 40), top=st.integers(0, 20), scale=st.floats(4, 128))
@settings(max_examples=40, deadline=None)
def test_a_part_is_what_the_whole_shows_there(means: Means, left: int, top: int, scale: float) -> None:
    page = np.random.default_rng(1).choice(np.array([0, 90, 255], np.uint8), (288, 144))
    size = (1.0, 2.0)
    whole = painted(sums_of(page), size, Frame(scale), (500, 500), means)
    room = (7, 5)
    frame = Frame(scale, left, top).within(size, room)
    part = painted(sums_of(page), size, frame, room, means)
    lines, columns = part.signs.shape
    assert (columns, lines) == tuple(map(min, frame.cells(size), room))
    window = np.s_[frame.top : frame.top + lines, frame.left : frame.left + columns]
    assert np.array_equal(part.signs, whole.signs[window])
    assert np.array_equal(part.ink, whole.ink[window])


@MEANS
def test_paper_stays_white_and_ink_black_close_up(means: Means) -> None:
    page = np.full((288, 144), WHITE, np.uint8)
    page[:144] = 0
    cells = painted(sums_of(page), (1.0, 2.0), Frame(20.0), (20, 20), means)
    dark = {"greys": {" "}, "dots": {"⣿"}, "letters": {"@"}}[means]
    assert set(cells.signs[:10].ravel()) == dark
    assert set(cells.signs[10:].ravel()) == {" "}
    assert cells.paper[10:].min() == WHITE
    if means == "greys":
        assert cells.paper[:10].max() == 0
