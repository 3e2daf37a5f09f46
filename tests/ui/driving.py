"""A grid under a test's hands: real keys and the mouse in, what stands on the screen out.

Nothing sleeps: ``settled`` waits until the engine owes nothing and every message is through.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Iterable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Input

from scaledesign.ui import room
from scaledesign.ui.app import GridApp
from scaledesign.ui.cell_editor import CellEditor
from scaledesign.ui.cell_table import CellTable
from scaledesign.ui.main_screen import MainScreen
from scaledesign.view.columns import PaneName, cell_of
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.selection import Selection

WIDE = (140, 40)
NARROW = (80, 24)
QUIET = 4
"""How often in a row nothing must be found waiting: a message may take so many steps to its end."""
PATIENCE = 30.0
"""Seconds after which what a test waits for will not come any more."""


class Grid:
    """A running app and its pilot."""

    def __init__(self, app: GridApp, pilot: Pilot[None]) -> None:
        self.app, self.pilot = app, pilot

    # Looking

    @property
    def main(self) -> MainScreen:
        return self.app.main

    @property
    def desk(self) -> Desk:
        return self.main.desk

    @property
    def screen(self) -> Screen[Any]:
        return self.app.screen

    @property
    def editor(self) -> CellEditor:
        return self.main.query_one(CellEditor)

    @property
    def said(self) -> str:
        return self.desk.said.text

    def shown(self) -> str:
        """The whole screen as text."""
        return "\n".join("".join(segment.text for segment in line) for line in self.strips())

    def strips(self) -> list[Any]:
        """The screen's lines as the terminal is sent them, styles and all."""
        return list(self.app.screen._compositor.render_strips())

    def cell(self, row: int, key: str, pane: PaneName = "rows") -> str:
        """What a cell shows."""
        sheet = self.desk.sheet
        column = next(c for c in PANES[pane].columns(sheet) if c.key == key)
        return "".join(span.text for span in cell_of(sheet, pane, row, column).line)

    def fields(self) -> list[str]:
        """The names of the form's lines."""
        sheet = self.desk.sheet
        column = PANES["setup"].columns(sheet)[0]
        return [column.text(sheet, row) for row in range(PANES["setup"].count(sheet))]

    def answer(self, name: str) -> str:
        """What stands in a line of a dialog."""
        return self.screen.query_one(f"#answer-{name}", Input).value

    # Doing

    async def press(self, *keys: str) -> None:
        """Real keys, then rest; "" rests between two of them."""
        for key in keys:
            if key:
                await self.pilot.press(key)
                await self.drained()
            else:
                await self.settled()
        await self.settled()

    async def type(self, text: str) -> None:
        """A text, key by key."""
        await self.press(*(KEYS.get(sign, sign) for sign in text))

    async def go(self, row: int, key: str, pane: PaneName = "rows") -> None:
        """The cursor on a cell, by keys."""
        while self.desk.pane != pane:
            await self.press("f6")
        keys = [column.key for column in self.desk.columns]
        await self.pilot.press("ctrl+home", *["down"] * row)
        await self.pilot.press(*["right"] * (keys.index(key) - 1))
        await self.drained()
        assert (self.desk.selection.row, self.desk.column.key) == (row, key)

    async def field(self, label: str) -> None:
        """The cursor on a field of the form, by keys."""
        while self.desk.pane != "setup":
            await self.press("f6")
        await self.pilot.press("ctrl+home", *["down"] * self.fields().index(label))
        await self.drained()

    async def resize(self, size: tuple[int, int]) -> None:
        """A terminal of another size."""
        await self.pilot.resize_terminal(*size)
        wide = size[0] >= room.WIDE and size[1] >= room.TALL
        line = self.main.query_one("#footer")
        await self.until(lambda: self.main.wide == wide and line.size.width == size[0], "the new size")
        await self.settled()

    async def click_cell(self, row: int, key: str, pane: PaneName = "rows", **held: Any) -> None:
        """The mouse on a cell."""
        offset = self.place(row, key, pane)
        await self.pilot.click(offset=offset, **held)
        await self.settled()

    def place(self, row: int, key: str, pane: PaneName = "rows") -> tuple[int, int]:
        """Where a cell is on the screen."""
        column = next(i for i, c in enumerate(PANES[pane].columns(self.desk.sheet)) if c.key == key)
        region = self.main.query_one(f"#{pane}", CellTable).cell_region(row, column)
        return region.x, region.y

    async def until(self, is_so: Callable[[], bool], what: str = "") -> None:
        """Wait until something is so."""

        async def wait() -> None:
            while not is_so():
                await asyncio.sleep(0.002)

        try:
            await asyncio.wait_for(wait(), PATIENCE)
        except TimeoutError:
            raise AssertionError(f"this never came: {what or is_so}\n{self.shown()}") from None
        await self.drained()

    async def drained(self) -> None:
        """Every message handled, those that came of them too, and the screen painted."""
        quiet = 0
        while quiet < QUIET and self.app.is_running:
            await self.pilot.pause()
            nodes = (self.app, *self.app.screen.walk_children(with_self=True), *self.app.screen_stack)
            quiet = 0 if any(node.message_queue_size for node in nodes) else quiet + 1

    async def settled(self) -> None:
        """Everything done, the engine's answer shown."""
        await self.drained()
        if self.app.is_running:
            await self.until(lambda: self.main.at_rest and not self._busy(), "rest")

    def _busy(self) -> bool:
        working = not getattr(self.screen, "ready", True)  # a list that is being worked out
        return working or self.main._unkept or any(not worker.is_finished for worker in self.app.workers)


KEYS = {" ": "space", "/": "slash", "#": "number_sign", "+": "plus", "-": "minus", ".": "full_stop",
        ",": "comma", "~": "tilde", '"': "quotation_mark"}  # fmt: skip
"""Signs whose keys have other names."""


@asynccontextmanager
async def opened(
    path: Path | None = None, *, size: tuple[int, int] = WIDE, settle: bool = True, **how: Any
) -> AsyncIterator[Grid]:
    """The grid on a file, or as it opens by itself."""
    app = GridApp(path, **how)
    async with app.run_test(size=size) as pilot:
        grid = Grid(app, pilot)
        if settle:
            await grid.settled()
        yield grid
    app.journal.close()


def selection(desk: Desk) -> tuple[int, int, int, int]:
    """Rows and columns that are selected, first and last."""
    rows, columns = desk.selection.rows, desk.selection.columns
    return rows.start, rows.stop - 1, columns.start, columns.stop - 1


def at(row: int, column: int) -> Selection:
    """A cursor."""
    return Selection(row, column)


def letters(row: Iterable[str]) -> str:
    """A fingering as it is written."""
    return "".join(row)
