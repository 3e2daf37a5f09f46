"""How fast the screen answers: the whole program in a pseudo-terminal of 140 by 40, and its table alone.

What is measured, from the press of a key on:

paint      the last byte of the repaint that shows the new number in the cell and the foot where the engine
           moved it to. An edit answered in two repaints, the first with the old numbers dimmed, counts up to
           the second.
settled    the last byte of all: bits and reasons, which the program works out once no key comes, and the
           curve of the sound are painted then too.
held key   from the last of ``BURST`` presses to the end of the repaint that shows the number after them all.

Apart from ``run.py``, which prints. Times of a machine with other work to do: medians and p95 of many.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import numpy as np
from rich.text import Text
from textual.app import App, ComposeResult
from textual.coordinate import Coordinate
from textual.widgets import DataTable

from scaledesign.files import document_file
from scaledesign.ui.cell_table import CellTable, Shown
from scaledesign.view.columns import Column, Sheet, cell_of
from scaledesign.view.rows import RowsPane
from scaledesign.view.selection import Selection
from scaledesign.workshop import live
from tests.bench import workload
from tests.bench.terminal import COLUMNS, LINES, Terminal
from tests.bench.timing import ROOT, median_process_seconds

EXAMPLE, NAME, LAST_ROW = "marsh-wren", "Marsh wren", ("15", "E6")
PRESSES, BURSTS, BURST, REPEAT = 100, 7, 30, 0.030
"""Presses one by one; bursts of a key held down, presses in each, and seconds between them."""
ALONE = 0.3
"""Seconds of silence after which a press is alone: longer than the program waits before it thinks on."""
STARTS = 15
BARE = "import numpy, textual.app, textual.screen, textual.scroll_view"
UP, DOWN, RIGHT, HOLD = b"]", b"[", b"\x1b[C", b"\x1b[20~"
TURN = 10
"""Cents up to which the key goes before it goes down again."""

Lines = list[str]


@contextmanager
def program(*arguments: str) -> Iterator[Terminal]:
    """The grid as a whole process, in a home of its own."""
    with tempfile.TemporaryDirectory() as home:
        command = (sys.executable, "-m", "scaledesign", "grid", *arguments)
        with Terminal(command, {"SCALEDESIGN_HOME": home}, ROOT) as terminal:
            yield terminal


def row_of(lines: Lines, *first: str) -> list[str]:
    """The words of the line of the grid that begins with ``first``; none where it is not on the screen."""
    found = (line.split() for line in lines)
    return next((words for words in found if tuple(words[: len(first)]) == first), [])


def full(name: str, last: tuple[str, str]) -> Callable[[Lines], bool]:
    """Whether the name, the last row with its numbers and the keys at the bottom are painted."""

    def painted(lines: Lines) -> bool:
        words = row_of(lines, *last)
        return name in lines[0] and len(words) > 5 and "±" in "".join(words) and "help" in lines[-1]

    return painted


def typed(name: str, last: tuple[str, str]) -> Callable[[Lines], bool]:
    """Whether the name, the last row and the keys at the bottom are painted, numbers or not."""
    return lambda lines: name in lines[0] and bool(row_of(lines, *last)) and "help" in lines[-1]


def first_paint() -> dict[str, float]:
    """Start of the process to the first painted grid, and to the numbers in it.

    Beside it, by turns, Python with Textual and numpy, doing nothing.
    """
    painted, numbers, bare = [], [], []
    for turn in range(STARTS + 1):
        with program("--example", EXAMPLE) as terminal:
            seen = terminal.seen(typed(NAME, LAST_ROW))
            done = (
                seen if full(NAME, LAST_ROW)(terminal.screen.lines) else terminal.seen(full(NAME, LAST_ROW))
            )
        if turn:  # the first one warms the disk
            painted.append(seen - terminal.begin)
            numbers.append(done - terminal.begin)
            bare.append(median_process_seconds("-c", BARE, count=1, warm=False))
    middle = [statistics.median(times) for times in (painted, numbers, bare)]
    names = ("first_paint_s", "first_numbers_s", "first_paint_bare_s")
    return {**dict(zip(names, middle, strict=True)), "first_paint_ratio": middle[0] / middle[2]}


class Nudged:
    """Row 1 nudged by a cent at a time, up to ``TURN`` cents and down again."""

    def __init__(self, terminal: Terminal, note: str, foot: bool) -> None:
        """``foot``: whether the engine moves the foot with each step."""
        self.terminal, self.note = terminal, note
        self.cents, self.way = 0, 1
        self.foot = foot
        self._before = ""

    def press(self) -> float:
        """One more step; the time of the press."""
        if abs(self.cents + self.way) > TURN:
            self.way = -self.way
        self.cents += self.way
        self._before = self._place(self.terminal.screen.lines)
        return self.terminal.press(UP if self.way > 0 else DOWN)

    def shows(self, lines: Lines) -> bool:
        """Whether the step is on the screen: the cents typed, and the foot elsewhere than before."""
        wanted = f"{self.cents:+d}".replace("-", "−") if self.cents else "·"
        cell = row_of(lines, "1", self.note)[2:3]
        return cell == [wanted] and (not self.foot or self._place(lines) != self._before)

    @staticmethod
    def _place(lines: Lines) -> str:
        """Where the foot is, in the hole list."""
        found = (line[:COLUMNS].partition(" foot ")[2].split() for line in lines if "foot " in line[:20])
        return next((words[0] for words in found if words), "")


def key_to_paint() -> dict[str, float]:
    """An edit with a re-solve, each alone, and a key held down."""
    paint, settled, sizes, held = [], [], [], []
    with program("--example", EXAMPLE) as terminal:
        terminal.painted(full(NAME, LAST_ROW))
        terminal.settle(2 * ALONE)
        terminal.press(RIGHT)
        terminal.settle(ALONE)
        nudged = Nudged(terminal, "A4", foot=True)
        for _ in range(PRESSES):
            before = terminal.bytes
            begin = nudged.press()
            end = terminal.painted(nudged.shows)
            sizes.append(terminal.bytes - before)
            paint.append(end - begin)
            settled.append((terminal.settle(ALONE) or end) - begin)
        nudged.foot = False
        for _ in range(BURSTS):
            begin = time.perf_counter()
            for n in range(BURST):
                terminal.wait(begin + n * REPEAT - time.perf_counter())
                pressed = nudged.press()
            held.append(terminal.painted(nudged.shows) - pressed)
            terminal.settle(ALONE)
    return {
        "key_to_paint_ms": 1e3 * statistics.median(paint),
        "key_to_paint_p95_ms": 1e3 * float(np.percentile(paint, 95)),
        "key_to_paint_kb": statistics.median(sizes) / 1e3,
        "key_to_settled_p95_ms": 1e3 * float(np.percentile(settled, 95)),
        "held_key_to_paint_ms": 1e3 * statistics.median(held),
    }


def key_to_paint_wide() -> dict[str, float]:
    """The same with 200 rows of 16 holes, the holes held still."""
    design = workload.wide()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "wide.toml"
        document_file.save(design, path)
        with program(str(path)) as terminal:
            terminal.painted(lambda lines: bool(row_of(lines, "1", design.rows[0].note)[5:]))
            terminal.settle(2 * ALONE)
            for key in (HOLD, RIGHT):
                terminal.press(key)
                terminal.settle(2 * ALONE)
            nudged = Nudged(terminal, design.rows[0].note, foot=False)
            paint = []
            for _ in range(PRESSES // 4):
                begin = nudged.press()
                paint.append(terminal.painted(nudged.shows) - begin)
                terminal.settle(ALONE)
    return {"key_to_paint_200x16_ms": 1e3 * statistics.median(paint)}


class OneTable(App[None]):
    """Our table alone."""

    def compose(self) -> ComposeResult:
        """The table."""
        yield CellTable("rows")


class PlainTable(App[None]):
    """Textual's own table, with the same cells."""

    def compose(self) -> ComposeResult:
        """The table."""
        yield DataTable()


def sheets(count: int) -> list[Sheet]:
    """The wide design as it plays, every number a little different from the sheet before."""
    design = workload.wide()
    answer = live.held(design)
    assert answer.prediction is not None
    found = []
    for n in range(count):
        off = answer.prediction.cents + 1.7 * n
        played = replace(answer.prediction, cents=off, frequency=answer.prediction.frequency * 1.001**n)
        found.append(Sheet(design, replace(answer, prediction=played)))
    return found


def repaint() -> dict[str, float]:
    """New numbers in 200 rows of 16 holes, to all lines in view made anew; and Textual's own table."""
    given = sheets(12)
    ours, plain = asyncio.run(_our_repaints(given)), asyncio.run(_plain_repaints(given))
    return {
        "repaint_200x16_ms": 1e3 * statistics.median(ours),
        "repaint_200x16_ratio": statistics.median(plain) / statistics.median(ours),
    }


async def _our_repaints(given: list[Sheet]) -> list[float]:
    pane, times = RowsPane(), []
    app = OneTable()
    async with app.run_test(size=(COLUMNS, LINES)) as pilot:
        table = app.query_one(CellTable)
        columns = pane.columns(given[0])
        for sheet in given:
            await pilot.pause()
            begin = time.perf_counter()
            table.show(Shown(pane, sheet, columns, pane.count(sheet), Selection(), pane.spare))
            for y in range(LINES):
                table.render_line(y)
            times.append(time.perf_counter() - begin)
    return times[2:]


async def _plain_repaints(given: list[Sheet]) -> list[float]:
    pane, times = RowsPane(), []
    app = PlainTable()
    async with app.run_test(size=(COLUMNS, LINES)) as pilot:
        table = app.query_one(DataTable)
        columns = pane.columns(given[0])
        table.add_columns(*(column.title for column in columns))
        for row in range(pane.count(given[0])):
            table.add_row(*(_plain_cell(given[0], row, column) for column in columns))
        for sheet in given:
            await pilot.pause()
            begin = time.perf_counter()
            for row in range(pane.count(sheet)):
                for place, column in enumerate(columns):
                    table.update_cell_at(Coordinate(row, place), _plain_cell(sheet, row, column))
            for y in range(LINES):
                table.render_line(y)
            times.append(time.perf_counter() - begin)
    return times[2:]


def _plain_cell(sheet: Sheet, row: int, column: Column) -> Text:
    return Text("".join(span.text for span in cell_of(sheet, "rows", row, column).line))
