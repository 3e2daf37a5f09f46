"""A pattern on the screen: its slip is listed, gone to, put right, taken back; carried over it opens anew."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from scaledesign.files import document_file
from scaledesign.ui.worked_list import WorkedList
from tests.ui.driving import Grid, opened
from tests.workshop.slip_rates import example, heard, read


def measured(wren: Path, slip: float) -> Path:
    design = example("marsh-wren")
    design = read(design, heard(design, 1, 11)[0])
    holes = list(design.holes)
    holes[4] = replace(holes[4], at=round(holes[4].at + slip, 5))
    path = wren.with_name("measured.toml")
    path.write_text(document_file.dumps(replace(design, holes=tuple(holes), text=None)), encoding="utf-8")
    return path


async def asked(grid: Grid, name: str) -> None:
    await grid.press("ctrl+p")
    await grid.type(name)
    await grid.press("enter")


async def worked(grid: Grid) -> WorkedList:
    await grid.until(lambda: isinstance(grid.screen, WorkedList) and grid.screen.ready)
    screen = grid.screen
    assert isinstance(screen, WorkedList)
    return screen


async def test_a_slip_is_gone_to_put_right_and_taken_back(wren: Path) -> None:
    async with opened(measured(wren, 8e-3)) as grid:
        before = grid.desk.design
        await asked(grid, "check a pattern")
        await worked(grid)
        assert "One slip, by 15 readings" in grid.shown()
        assert "hole 5 (R2), place" in grid.shown()
        await grid.press("enter")
        assert grid.screen is grid.main
        assert (grid.desk.pane, grid.desk.spot[1:]) == ("holes", (4, "at"))
        assert grid.said.startswith("Hole 5 (R2): the note")
        await asked(grid, "check a pattern")
        await worked(grid)
        await grid.press("p")
        assert abs(grid.desk.design.holes[4].at - (before.holes[4].at - 8e-3)) < 3e-3
        assert grid.desk.design.holes[3] == before.holes[3]
        await grid.press("ctrl+z")
        assert grid.desk.design == before


async def test_it_is_carried_over_and_opens_as_a_new_flute(wren: Path) -> None:
    async with opened(measured(wren, 0.0)) as grid:
        await asked(grid, "carry over")
        await grid.press("enter")
        await grid.type("B4")
        await grid.press("enter", "enter", "enter")
        await worked(grid)
        assert "the pattern" in grid.shown()
        await grid.press("tab")
        assert "The mouth is taken to add" in grid.shown()
        await grid.press("enter")
        assert grid.screen is grid.main
        assert grid.desk.path is None
        assert grid.desk.design.tuning.tonic == "B4"
        assert grid.desk.design.name == "After Marsh wren"
        assert grid.said.startswith("After the pattern.")
