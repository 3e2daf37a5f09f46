"""Rescue on the screen: plans worked out, one taken as one step, what to do shown, taken back."""

from __future__ import annotations

from pathlib import Path

from scaledesign.files import document_file
from scaledesign.ui.dialog import Reading
from scaledesign.ui.worked_list import WorkedList
from tests.ui.driving import Grid, opened
from tests.workshop.slips import Slip, slipped


def written(wren: Path) -> Path:
    path = wren.with_name("slipped.toml")
    design = slipped("marsh-wren", (Slip(3, "diameter", -0.8e-3),), 1).design
    path.write_text(document_file.dumps(design), encoding="utf-8")
    return path


async def asked(grid: Grid) -> WorkedList:
    await grid.press("ctrl+p")
    await grid.type("rescue")
    await grid.press("enter")
    screen = grid.screen
    assert isinstance(screen, WorkedList)
    await grid.until(lambda: screen.ready)
    return screen


async def test_a_plan_is_looked_at_taken_and_taken_back(wren: Path) -> None:
    async with opened(written(wren)) as grid:
        before = grid.desk.design
        screen = await asked(grid)
        assert screen.chosen == 1
        assert "mends it" in grid.shown()
        await grid.press("s")
        assert isinstance(grid.screen, Reading)
        assert "Open hole 4 (R1)" in grid.shown()
        assert grid.desk.design == before
        await grid.press("escape")
        screen = grid.screen
        assert isinstance(screen, WorkedList)
        await grid.until(lambda: screen.ready)
        await grid.press("enter")
        assert "What to do" in grid.shown()
        await grid.press("escape")
        assert grid.screen is grid.main
        assert grid.desk.design.holes[3].diameter > before.holes[3].diameter
        assert [h.at for h in grid.desk.design.holes] == [h.at for h in before.holes]
        assert grid.said.startswith("Plan of rescue, by your readings")
        await grid.press("ctrl+z")
        assert grid.desk.design == before


async def test_a_flute_that_was_not_read_is_told_so(wren: Path) -> None:
    async with opened(wren) as grid:
        await asked(grid)
        assert "No note of this flute was read" in grid.shown()
        await grid.press("escape")
        assert grid.screen is grid.main
