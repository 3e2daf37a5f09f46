"""Cursor and range."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from scaledesign.view.selection import Selection

NUMBERS = st.integers(-9, 99)
SELECTIONS = st.builds(Selection, NUMBERS, NUMBERS, st.none() | NUMBERS, st.none() | NUMBERS)


def test_one_cell() -> None:
    here = Selection(3, 4)
    assert (list(here.rows), list(here.columns)) == ([3], [4])


def test_shift_draws_out_a_range_from_where_it_began() -> None:
    drawn = Selection(3, 4).moved(2, 0, stretch=True).moved(0, -1, stretch=True)
    assert (list(drawn.rows), list(drawn.columns)) == ([3, 4, 5], [3, 4])
    back = drawn.moved(-4, 0, stretch=True)
    assert (back.row, list(back.rows)) == (1, [1, 2, 3])
    assert drawn.moved(1, 0) == Selection(6, 3)
    assert list(Selection(3, 4).at(3, 4, stretch=True).rows) == [3]


def test_inside_a_table_the_labels_are_left_out() -> None:
    assert Selection(-1, 0, 99, 99).within(5, 4) == Selection(0, 1, 4, 3)
    assert Selection(0, 1).within(0, 1) == Selection(0, 1)


@given(SELECTIONS, st.integers(1, 30), st.integers(2, 30))
def test_whatever_is_asked_for_it_stays_inside(chosen: Selection, rows: int, columns: int) -> None:
    inside = chosen.within(rows, columns)
    assert set(inside.rows) <= set(range(rows))
    assert set(inside.columns) <= set(range(1, columns))
    assert inside.within(rows, columns) == inside


@given(SELECTIONS, NUMBERS, NUMBERS)
def test_a_range_keeps_the_corner_it_began_at(chosen: Selection, rows: int, columns: int) -> None:
    drawn = chosen.moved(rows, columns, stretch=True)
    assert (drawn.row, drawn.column) == (chosen.row + rows, chosen.column + columns)
    start = chosen.row if chosen.anchor_row is None else chosen.anchor_row
    assert {start, drawn.row} <= set(drawn.rows)
