"""A slow engine: the screen goes on, old numbers are dimmed, the newest edit wins."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from textual.geometry import Region

from scaledesign.files import document_file
from scaledesign.model.document import Design
from scaledesign.ui import file_work, painter
from scaledesign.ui.cell_table import CellTable
from scaledesign.ui.look import NIGHT
from scaledesign.view.print_questions import Printing
from scaledesign.workshop import live
from scaledesign.workshop.live import Answer
from tests.ui.driving import NARROW, Grid, opened

Engine = Callable[..., Answer]


class Slow:
    """The engine, each of whose answers waits until it is let go."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self.slow = False
        self.asked: list[float] = []
        """Cents of the first row in each question, in order."""
        self._gates: list[threading.Event] = []

    def __call__(self, design: Design, *rest: object) -> Answer:
        if self.slow:
            gate = threading.Event()
            self._gates.append(gate)
            self.asked.append(design.rows[0].cents)
            gate.wait()
        return self.engine(design, *rest)

    def let_go(self, which: int) -> None:
        """Let one question be answered, in the order they were asked."""
        self._gates[which].set()

    def let_all_go(self) -> None:
        self.slow = False
        for gate in self._gates:
            gate.set()


@pytest.fixture
def slow(monkeypatch: pytest.MonkeyPatch) -> Iterator[Slow]:
    engine = Slow(live.quick)
    monkeypatch.setattr(live, "quick", engine)
    yield engine
    engine.let_all_go()


async def typed(grid: Grid, cents: str) -> None:
    """Cents typed into the first row, without waiting for the engine."""
    for key in (*cents, "enter", "up"):
        await grid.pilot.press(key)
        await grid.drained()


async def test_the_screen_goes_on_and_old_numbers_are_dimmed(wren: Path, slow: Slow) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        slow.slow = True
        played = grid.cell(0, "plays")
        await typed(grid, "5")
        assert slow.asked == [5]
        assert grid.desk.sheet.stale
        assert grid.cell(0, "cents") == "+5"
        assert grid.cell(0, "plays") == played
        for row in range(3):
            assert tones(grid, row, "plays") == {"faint"}
            assert tones(grid, row, "off") <= {"faint", "plain"}
        await grid.pilot.press("down", "down")
        await grid.drained()
        assert grid.desk.selection.row == 2
        await grid.pilot.press("f1")
        await grid.drained()
        assert "Help" in grid.shown()
        await grid.pilot.press("escape", "ctrl+s")
        await grid.drained()
        assert document_file.load(wren).rows[0].cents == 5
        slow.let_all_go()
        await grid.settled()
        assert not grid.desk.sheet.stale
        assert grid.cell(0, "plays").startswith("A4   +5")
        assert "plain" in tones(grid, 0, "plays")


def tones(grid: Grid, row: int, key: str) -> set[str]:
    """Tones of what a cell shows."""
    sheet = grid.desk.sheet
    column = next(c for c in grid.desk.columns if c.key == key)
    return {span.tone for span in column.show(sheet, row).line if span.text.strip()}


def painted(grid: Grid, row: int, key: str) -> set[object]:
    """Colours of what the terminal shows of a cell."""
    x, y = grid.place(row, key)
    column = next(c for c in grid.desk.columns if c.key == key)
    part = grid.strips()[y].crop(x, x + column.width)
    return {segment.style.color for segment in part if segment.text.strip()}


async def test_old_numbers_are_dimmed_only_when_the_engine_takes_long(
    wren: Path, slow: Slow, monkeypatch: pytest.MonkeyPatch
) -> None:
    dim = NIGHT.style("faint").color
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        slow.slow = True
        monkeypatch.setattr(painter, "PATIENCE", 3600.0)
        calm = painted(grid, 3, "off")
        await typed(grid, "5")
        assert grid.desk.sheet.stale
        assert "+5" in grid.shown().splitlines()[grid.place(0, "cents")[1]]
        assert painted(grid, 3, "off") == calm != {dim}
        slow.let_all_go()
        await grid.settled()
        monkeypatch.setattr(painter, "PATIENCE", 0.001)
        slow.slow = True
        await typed(grid, "7")
        await grid.until(lambda: painted(grid, 3, "off") == {dim}, "the dim numbers")
        await grid.pilot.press("down")
        await grid.drained()
        assert painted(grid, 3, "off") == {dim}
        slow.let_all_go()
        await grid.settled()
        assert painted(grid, 3, "off") == calm


async def test_an_edit_sends_the_cells_that_changed(wren: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[tuple[Region, ...]] = []
    refresh = CellTable.refresh
    monkeypatch.setattr(painter, "PATIENCE", 3600.0)

    def watched(table: CellTable, *parts: Region, **how: bool) -> CellTable:
        sent.append(parts)
        return refresh(table, *parts, **how)

    async with opened(wren) as grid:
        await grid.go(0, "cents")
        await grid.press("right_square_bracket")
        with monkeypatch.context() as patch:
            patch.setattr(CellTable, "refresh", watched)
            await grid.press("right_square_bracket")
        tables = sum(table.size.area for table in grid.main.query(CellTable))
    assert all(sent)
    assert 0 < sum(part.area for parts in sent for part in parts) < tables / 10


async def test_the_newest_edit_wins_and_older_answers_are_dropped(wren: Path, slow: Slow) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        slow.slow = True
        for cents in ("5", "6", "7", "8", "9"):
            await typed(grid, cents)
        await grid.until(lambda: len(slow.asked) == 5, "five questions")
        assert slow.asked == [5, 6, 7, 8, 9]
        before = grid.desk.answer
        for old in range(4):
            slow.let_go(old)
        await grid.drained()
        assert grid.desk.answer is before
        assert grid.desk.sheet.stale
        slow.let_all_go()
        await grid.settled()
        assert grid.desk.design.rows[0].cents == 9
        assert grid.cell(0, "plays").startswith("A4   +9")


async def test_answers_in_the_wrong_order(wren: Path, slow: Slow) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        slow.slow = True
        await typed(grid, "5")
        await typed(grid, "20")
        await grid.until(lambda: len(slow.asked) == 2, "two questions")
        slow.let_go(1)
        await grid.settled()
        assert grid.cell(0, "plays").startswith("A4  +20")
        slow.let_go(0)
        await grid.drained()
        await grid.settled()
        assert grid.cell(0, "plays").startswith("A4  +20")


async def test_undo_does_not_wait(wren: Path, slow: Slow) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        before = grid.desk.design
        slow.slow = True
        await typed(grid, "5")
        await grid.press("ctrl+z")
        assert grid.desk.design == before
        assert not grid.desk.sheet.stale
        assert not grid.desk.unsaved
        slow.let_all_go()
        await grid.settled()
        assert grid.desk.design == before


async def test_quitting_does_not_wait(wren: Path, slow: Slow) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        slow.slow = True
        await typed(grid, "5")
        await grid.pilot.press("ctrl+q")
        await grid.drained()
        await grid.pilot.press("l")
        await grid.drained()
        assert not grid.app.is_running


async def test_a_fault_of_the_engine_is_said_and_takes_nothing(
    wren: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(wren) as grid:

        def faulty(*_: object) -> Answer:
            raise ZeroDivisionError("by naught")

        await grid.go(0, "cents")
        with monkeypatch.context() as patch:
            patch.setattr(live, "quick", faulty)
            patch.setattr(live, "thorough", faulty)
            await grid.type("5")
            await grid.press("enter")
        assert "fault of scaledesign's own (ZeroDivisionError: by naught)" in grid.shown()
        assert grid.desk.design.rows[0].cents == 5
        await grid.press("ctrl+z")
        assert grid.cell(0, "plays").startswith("A4    0")


async def test_what_the_engine_owed_at_a_save_is_saved_too(wren: Path, slow: Slow) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        before = document_file.load(wren)
        slow.slow = True
        await typed(grid, "5")
        await grid.pilot.press("ctrl+s")
        await grid.drained()
        asked = document_file.load(wren)
        assert asked.rows[0].cents == 5
        assert asked.holes == before.holes
        slow.let_all_go()
        await grid.settled()
        await grid.until(lambda: not grid.desk.unsaved, "the second writing")
        saved = document_file.load(wren)
        assert saved.holes != before.holes
        assert saved == grid.desk.design


@pytest.mark.parametrize("goes_on", [False, True])
async def test_leaving_waits_for_what_is_saved_but_not_for_a_maker_who_goes_on(
    wren: Path, slow: Slow, goes_on: bool
) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        holes = document_file.load(wren).holes
        slow.slow = True
        await typed(grid, "5")
        await grid.pilot.press("ctrl+q")
        await grid.drained()
        await grid.pilot.press("s")
        await grid.drained()
        assert grid.app.is_running
        if goes_on:
            await typed(grid, "9")
        slow.let_all_go()
        if goes_on:
            await grid.settled()
            assert grid.desk.design.rows[0].cents == 9
            assert grid.desk.unsaved
            assert document_file.load(wren).rows[0].cents == 5
        else:
            await grid.until(lambda: not grid.app.is_running, "the end")
            assert document_file.load(wren).holes != holes


async def test_a_save_never_waits_for_ever(wren: Path, slow: Slow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(file_work, "RETRY", 0.001)
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        slow.slow = True
        await typed(grid, "5")
        await grid.pilot.press("ctrl+q")
        await grid.drained()
        await grid.pilot.press("s")
        await grid.until(lambda: not grid.app.is_running, "the end")
        assert document_file.load(wren).rows[0].cents == 5


async def test_a_list_waits_for_the_engine_and_writes_what_it_says(wren: Path, slow: Slow) -> None:
    async with opened(wren) as grid:
        await grid.go(0, "cents")
        slow.slow = True
        await typed(grid, "5")
        await grid.pilot.press("ctrl+e")
        await grid.drained()
        assert "A moment: the holes are being worked out." in grid.shown()
        for key in (*"holes", "enter", "enter", "f3"):
            await grid.pilot.press(key)
            await grid.drained()
        slow.let_all_go()
        await grid.settled()
        assert "A moment" not in grid.shown()
        assert "Writes " in grid.shown()
        await grid.press("enter")
        await grid.until(lambda: grid.screen is grid.main, "the end of the dialog")
        desk = grid.desk
        (path,) = wren.parent.glob("*.txt")
        asked = Printing(desk.sheet, wren.parent, own=wren, what="holes")
        assert path.read_bytes() == asked.made().made[0].data
        places = [f"{hole.at * 1000:.1f}" for hole in desk.design.holes]
        assert all(place in path.read_text(encoding="utf-8") for place in places)


async def test_undo_to_what_is_known_stops_the_engine(wren: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stopped = threading.Event()
    begun = threading.Event()
    quick = live.quick

    def endless(design: Design, last: Answer | None, cancelled: Callable[[], bool]) -> Answer:
        begun.set()
        while not cancelled():
            stopped.wait(0.001)
        stopped.set()
        return quick(design, last)

    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        monkeypatch.setattr(live, "quick", endless)
        await typed(grid, "5")
        assert begun.is_set()
        assert not stopped.is_set()
        await grid.press("ctrl+z")
        await grid.until(stopped.is_set, "the end of the work that nobody wants")
