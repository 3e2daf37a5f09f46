"""On the screen: a hand tried, a remedy put in and taken back; places without a tape put in."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.files import document_file
from scaledesign.ui.worked_list import WorkedList
from scaledesign.workshop.reach import misfits
from tests.ui.driving import Grid, opened
from tests.workshop.hand_flutes import flute


@pytest.fixture
def four(wren: Path) -> Path:
    path = wren.with_name("four.toml")
    document_file.save(flute(), path)
    return path


async def listed(grid: Grid, command: str) -> WorkedList:
    await grid.press("ctrl+p")
    await grid.type(command)
    await grid.press("enter")
    return await worked(grid)


async def worked(grid: Grid) -> WorkedList:
    screen = grid.screen
    assert isinstance(screen, WorkedList)
    await grid.until(lambda: screen.ready, "the list")
    await grid.settled()
    return screen


async def test_another_hand_is_tried_and_a_remedy_is_one_step(four: Path) -> None:
    async with opened(four) as grid:
        before = grid.desk.design
        await listed(grid, "under the hand")
        assert "Everything lies under this hand. A large hand" in grid.shown()
        await grid.press("enter")  # nothing to put in: it stays
        assert isinstance(grid.screen, WorkedList)
        await grid.press("h")
        await grid.type("33, 31, 33, 80, 16")
        await grid.press("enter")
        await worked(grid)
        assert "2.8 mm too far for this hand" in grid.shown()
        assert grid.desk.design == before  # only tried
        await grid.press("enter")
        assert grid.screen is grid.main
        assert grid.said.startswith("Turn hole 4 toward the palm.")
        after = grid.desk.design
        assert after.shop.hand != "large"
        assert after.holes[3].side > 0
        assert [h.at for h in after.holes] == [h.at for h in before.holes]
        assert not misfits(after)
        await grid.press("ctrl+z")
        assert grid.desk.design == before


async def test_places_by_fingers_are_put_in_locked_and_taken_back(four: Path) -> None:
    async with opened(four) as grid:
        before = grid.desk.design
        screen = await listed(grid, "without a tape")
        await grid.press("tab", "tab")
        assert screen.listing.name == "fingers"
        assert "All holes at their marks" in grid.shown()
        await grid.press("enter")
        after = grid.desk.design
        assert grid.said.startswith("Lay out by finger widths.")
        assert after.tube.locked
        width = 0.023 / 2
        for hole in after.holes:
            assert (after.tube.length - hole.at) / width == pytest.approx(
                round((after.tube.length - hole.at) / width), abs=1e-3
            )
        await grid.press("ctrl+z")
        assert grid.desk.design == before
