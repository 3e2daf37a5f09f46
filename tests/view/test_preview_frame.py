"""Which part of a page is in view."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.view.preview_frame import CLOSE, LEAST, MOST, STEP, Frame, Room

A4 = (210 / 25.4, 297 / 25.4)
LETTER = (8.5, 11.0)
ROOMS = st.tuples(st.integers(1, 300), st.integers(1, 120))


@pytest.mark.parametrize("page", [A4, LETTER])
@pytest.mark.parametrize("room", [(80, 22), (140, 38), (20, 60)])
def test_a_whole_page_fits_and_fills_one_way(page: tuple[float, float], room: Room) -> None:
    columns, lines = Frame.of_page(page, room).cells(page)
    assert columns <= room[0]
    assert lines <= room[1]
    assert columns == room[0] or lines == room[1]


@pytest.mark.parametrize("page", [A4, LETTER])
def test_a_width_fits_from_the_top(page: tuple[float, float]) -> None:
    frame = Frame.of_width(page, (80, 22))
    assert frame.cells(page)[0] == 80
    assert (frame.left, frame.top) == (0, 0)
    assert frame.percent in (94, 97)


def test_cells_are_twice_as_tall_as_wide() -> None:
    columns, lines = Frame(20.0).cells((3.0, 3.0))
    assert columns == 2 * lines == 60


def test_two_steps_are_twice_as_large_and_the_middle_stays() -> None:
    frame = Frame(20.0, 60, 40)
    closer = frame.zoomed(2, A4, (40, 20))
    assert closer.scale == pytest.approx(40)
    assert pytest.approx(2) == STEP**2
    middle = (frame.left + 20) / frame.scale, (frame.top + 10) / frame.scale
    after = (closer.left + 20) / closer.scale, (closer.top + 10) / closer.scale
    assert after == pytest.approx(middle, abs=1 / 20)
    assert frame.sized(CLOSE, A4, (40, 20)).percent == 480


@given(ROOMS, st.lists(st.tuples(st.integers(-3, 3), st.integers(-3, 3), st.integers(-3, 3)), max_size=12))
def test_nothing_beyond_the_page_is_ever_in_view(room: Room, steps: list[tuple[int, int, int]]) -> None:
    frame = Frame.of_page(A4, room)
    for by, right, down in steps:
        frame = frame.zoomed(by, A4, room).moved(right, down, A4, room)
        columns, lines = frame.cells(A4)
        assert LEAST <= frame.scale <= MOST
        assert 0 <= frame.left <= max(0, columns - room[0])
        assert 0 <= frame.top <= max(0, lines - room[1])
    last = frame.moved(0, 10**6, A4, room)
    assert last.top + room[1] >= last.cells(A4)[1]
