"""A tube in the hand, asked about on the screen: its keys listed, and a flute begun of one."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from scaledesign.ui.worked_list import WorkedList
from tests.ui.driving import opened


async def test_a_flute_is_begun_of_the_tube_in_the_hand(small: Path) -> None:
    async with opened(small) as grid:
        await grid.press("ctrl+p")
        await grid.type("this tube")
        await grid.press("enter")
        assert "What can this tube become?" in grid.shown()
        await grid.type("16 x 3 x 250")
        await grid.press("enter")
        screen = grid.screen
        assert isinstance(screen, WorkedList)
        assert "Best in" in grid.shown()
        assert "until you have blown the bare tube" in grid.shown()
        key = screen.found[0].value.wanted.key
        await grid.press("tab")
        assert "A bore of" in grid.shown()
        await grid.press("tab", "enter")
        assert f"A new flute in {key}" in grid.shown()
        await grid.press("enter")
        assert "Laid out." in grid.said
        assert grid.desk.design.tuning.tonic == key
        assert grid.desk.design.tube.blank == pytest.approx(0.25)
        assert grid.desk.path is None


async def test_a_tube_that_is_left_is_worked_at_no_longer(small: Path) -> None:
    async with opened(small) as grid:
        await grid.press("ctrl+p")
        await grid.type("this tube")
        await grid.press("enter")
        await grid.type("16 x 3 x 420")
        await grid.pilot.press("enter")
        await grid.until(lambda: isinstance(grid.screen, WorkedList))
        await grid.press("escape")
        assert grid.screen is grid.main
        await grid.until(lambda: all(thread.name != "engine" for thread in threading.enumerate()))
