"""The mouse: cells, ranges, double clicks, tabs, the last line, lists and answers of dialogs."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.ui.dialog import Deciding, Reading
from tests.ui.driving import NARROW, Grid, opened, selection


async def click_text(grid: Grid, text: str) -> None:
    """Click where a text stands on the screen, the lowest first."""
    lines = grid.shown().splitlines()
    y = max(i for i, line in enumerate(lines) if text in line)
    x = lines[y].index(text) + len(text) // 2
    widget, region = grid.screen.get_widget_at(x, y)
    await grid.pilot.click(widget, offset=(x - region.x, y - region.y))
    await grid.settled()


async def test_a_click_chooses_a_cell(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.click_cell(3, "cents")
        assert (grid.desk.selection.row, grid.desk.column.key) == (3, "cents")
        await grid.click_cell(2, "width", "holes")
        assert (grid.desk.pane, grid.desk.selection.row, grid.desk.column.key) == ("holes", 2, "width")
        assert grid.app.focused is grid.main.query_one("#holes")


async def test_a_click_with_shift_draws_a_range(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.click_cell(1, "note")
        await grid.click_cell(4, "hertz", shift=True)
        assert selection(grid.desk) == (1, 4, 1, 3)
        await grid.click_cell(2, "note")
        assert grid.desk.selection.anchor_row is None


async def test_dragging_draws_a_range(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.pilot.mouse_down(offset=grid.place(1, "note"))
        await grid.pilot.hover(offset=grid.place(2, "cents"))
        await grid.pilot.hover(offset=grid.place(3, "hertz"))
        await grid.pilot.mouse_up(offset=grid.place(3, "hertz"))
        await grid.pilot.hover(offset=grid.place(5, "hertz"))
        await grid.settled()
        assert selection(grid.desk) == (1, 3, 1, 3)


async def test_two_clicks_open_a_cell(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.click_cell(3, "note", times=2)
        assert grid.editor.open
        assert grid.editor.value == "D5"


@pytest.mark.parametrize(("row", "pane"), [(5, "rows"), (1, "holes")])
async def test_a_click_elsewhere_takes_what_was_typed_where_it_was_typed(
    wren: Path, row: int, pane: str
) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        if pane == "rows":
            await grid.click_cell(row, "note")
        else:
            await grid.click_cell(row, "at", "holes")
        assert not grid.editor.open
        assert [i for i, r in enumerate(grid.desk.design.rows) if r.cents] == [2]
        assert (grid.desk.pane, grid.desk.selection.row) == (pane, row)


async def test_the_head_and_the_empty_space_choose_nothing(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(3, "note")
        x, y = grid.place(0, "cents")
        await grid.pilot.click(offset=(x, y - 1))
        await grid.settled()
        assert (grid.desk.selection.row, grid.desk.column.key) == (3, "note")


async def test_tabs(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        tabs = (
            ("holes", " holes "),
            ("scale", " scale   so"),
            ("setup", " setup "),
            ("rows", " fingerings "),
        )
        for pane, tab in tabs:
            await click_text(grid, tab)
            assert grid.desk.pane == pane
            assert grid.main.query_one(f"#{pane}").display
        await click_text(grid, " sound ")
        assert grid.main.query_one("#spectrum").display
        await click_text(grid, " fingerings ")
        assert not grid.main.query_one("#spectrum").display


async def test_the_last_line(wren: Path) -> None:
    async with opened(wren) as grid:
        await click_text(grid, "F1 help")
        assert isinstance(grid.screen, Reading)
        await grid.press("escape")
        await click_text(grid, "hold holes")
        assert grid.desk.held
        await click_text(grid, "let go")
        assert not grid.desk.held
        await grid.go(0, "hole 0")
        await click_text(grid, "Space turn")
        assert grid.desk.design.rows[0].holes[0] == "O"


async def test_a_click_in_the_palette(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.press("ctrl+p")
        await click_text(grid, "Select every cell")
        assert grid.screen is grid.main
        assert len(grid.desk.selection.rows) == 15


async def test_a_click_on_an_answer(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.go(0, "cents")
        await grid.type("5")
        await grid.press("enter", "ctrl+q")
        assert isinstance(grid.screen, Deciding)
        await click_text(grid, "Go back")
        assert grid.screen is grid.main
        assert grid.app.is_running
