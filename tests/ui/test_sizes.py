"""Room: wide and narrow, next to none, very much to show and nothing at all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign.model.document import Design
from scaledesign.view.desk import PANES
from tests.ui import designs
from tests.ui.driving import NARROW, WIDE, Grid, opened

BESIDE = ("rows", "holes", "setup")
"""Panes side by side where there is room; the scale takes the place of the setup."""
TOUR = ("down", "right", "f6", "down", "f6", "down", "f6", "down", "f6", "f3", "f3", "f1", "escape",
        "ctrl+p", "escape", "ctrl+w", "escape", "f4", "escape", "ctrl+g", "ctrl+g", "f9", "f9")  # fmt: skip


def fits(grid: Grid) -> bool:
    """Whether every line is as wide as the terminal, and there are as many as it has."""
    width, height = grid.app.size
    return [line.cell_length for line in grid.strips()] == [width] * height


async def test_narrower_with_the_same_cursor(wren: Path) -> None:
    async with opened(wren, size=WIDE) as grid:
        await grid.go(3, "width", "holes")
        assert all(grid.main.query_one(f"#{pane}").display for pane in BESIDE)
        await grid.resize(NARROW)
        seen = [pane for pane in PANES if grid.main.query_one(f"#{pane}").display]
        assert seen == ["holes"]
        assert (grid.desk.pane, grid.desk.selection.row, grid.desk.column.key) == ("holes", 3, "width")
        assert grid.app.focused is grid.main.query_one("#holes")
        await grid.press("down")
        assert grid.desk.selection.row == 4
        await grid.resize(WIDE)
        assert all(grid.main.query_one(f"#{pane}").display for pane in BESIDE)
        assert grid.desk.selection.row == 4
        assert fits(grid)


async def test_the_cursor_stays_in_view(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+end")
        assert "weight" in grid.shown()
        assert "E6" in grid.shown()
        x, y = grid.place(grid.desk.selection.row, "weight")
        assert 0 <= x < 80
        assert 0 <= y < 24
        await grid.resize((60, 20))
        x, y = grid.place(grid.desk.selection.row, "weight")
        assert 0 <= x < 60
        assert 0 <= y < 20


async def test_the_editor_stays_on_the_screen(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+end", "f2")
        region = grid.editor.region
        assert region.right <= 80
        assert region.bottom <= 24
        await grid.type("12345678901234567890")
        assert grid.editor.region.right <= 80


@pytest.mark.parametrize("size", [(20, 5), (40, 10), (79, 23), (115, 60), (300, 80)])
async def test_any_size_can_be_worked_in(wren: Path, size: tuple[int, int]) -> None:
    async with opened(wren, size=size) as grid:
        for key in TOUR:
            await grid.press(key)
            assert fits(grid)
        assert grid.screen is grid.main
        await grid.go(0, "cents")
        await grid.type("5")
        await grid.press("enter")
        assert grid.desk.design.rows[0].cents == 5
        await grid.press("ctrl+q")
        await grid.type("l")
        assert not grid.app.is_running


@pytest.mark.parametrize("size", [(20, 5), NARROW, WIDE])
@pytest.mark.parametrize(
    "make", [designs.without_rows, designs.without_holes, designs.long_named], ids=lambda make: make.__name__
)
async def test_odd_designs_can_be_worked_in(
    tmp_path: Path, make: Callable[[], Design], size: tuple[int, int]
) -> None:
    path = designs.kept(make(), tmp_path / "odd.toml")
    async with opened(path, size=size) as grid:
        for key in (*TOUR, "ctrl+a", "ctrl+c", "ctrl+t", "ctrl+d", "ctrl+l", "space", "delete", "ctrl+z"):
            await grid.press(key)
            assert fits(grid)
        assert grid.screen is grid.main


async def test_a_first_row_is_typed_where_there_is_none(tmp_path: Path) -> None:
    path = designs.kept(designs.without_rows(), tmp_path / "odd.toml")
    async with opened(path, size=NARROW) as grid:
        assert "No rows yet" in grid.shown()
        await grid.type("A4")
        await grid.press("enter")
        assert [row.note for row in grid.desk.design.rows] == ["A4"]
        assert "±" in grid.cell(0, "plays")


async def test_very_many_rows_and_holes(tmp_path: Path) -> None:
    path = designs.kept(designs.many(), tmp_path / "many.toml")
    async with opened(path, size=WIDE) as grid:
        await grid.press("f9", "ctrl+end")
        assert fits(grid)
        assert grid.desk.selection.row == 200
        assert "200" in grid.shown()
        await grid.press("pageup", "home")
        await grid.go(150, "hole 15")
        await grid.type("x")
        assert grid.desk.design.rows[150].holes[15] == "X"
        assert fits(grid)
