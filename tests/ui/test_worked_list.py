"""A list that takes long: it says how far it is, Escape leaves it, and the work ends with it."""

from __future__ import annotations

import threading
import time
from pathlib import Path

from scaledesign.ui.worked_list import WorkedList
from scaledesign.view.listing import Listing
from scaledesign.wanted import each, go_on
from tests.ui.driving import NARROW, opened


async def test_escape_leaves_long_work_and_the_work_stops(wren: Path) -> None:
    worker: list[threading.Thread] = []

    def work() -> tuple[Listing, ...]:
        worker.append(threading.current_thread())
        for number in each(range(10)):
            while number == 5:
                go_on()
                time.sleep(0.01)
        return ()

    async with opened(wren, size=NARROW) as grid:
        before = grid.desk.design
        grid.app.push_screen(WorkedList(grid.app.look, "A long list", "Trying them all", work))
        await grid.until(lambda: "Trying them all: 50 %" in grid.shown(), "the share that is done")
        assert "Escape leaves it." in grid.shown()
        await grid.press("escape")
        assert not isinstance(grid.screen, WorkedList)
        worker[0].join(20)
        assert not worker[0].is_alive()
        assert grid.desk.design == before
        assert not grid.desk.unsaved
