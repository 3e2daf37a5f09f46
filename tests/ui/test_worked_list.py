"""Lists that are worked out: how far they are, how they are left; and no sentence without its end."""

from __future__ import annotations

import threading
import time
from pathlib import Path

from scaledesign.ui.dialog import Deciding, Reading
from scaledesign.ui.picture import Picture
from scaledesign.ui.worked_list import WorkedList
from scaledesign.view.lines import DRAWN, Span
from scaledesign.view.listing import Entry, Listing
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


SENTENCE = (
    "It cannot be taken, since hole 3 lies on a node of the tube; shift the node, or take another. " * 2
)


async def test_why_an_entry_cannot_be_taken_is_said_whole(wren: Path) -> None:
    entries = tuple(Entry((Span(f"entry {n}"),), lambda w, h: (), refusal=SENTENCE) for n in range(40))
    listing = Listing("all", "Some.", (Span("what"),), entries)
    async with opened(wren, size=NARROW) as grid:
        grid.app.push_screen(WorkedList(grid.app.look, "A list", "A moment", lambda: (listing,)))
        await grid.settled()
        await grid.press("enter")
        assert SENTENCE.strip() in " ".join(grid.shown().split())
        await grid.press("down")
        assert "Enter: take it" in grid.shown()


async def test_a_long_title_is_whole(wren: Path) -> None:
    title = f"{'a-name-that-somebody-gave-to-a-file' * 2}.toml cannot be opened, nor read"
    text = tuple((Span(f"line {n}"),) for n in range(60))
    async with opened(wren, size=NARROW) as grid:
        for dialog in (
            Reading(grid.app.look, title, lambda width: text),
            Deciding(grid.app.look, title, "What now?", (("go", "Go on"), ("stay", "Go back"))),
        ):
            grid.app.push_screen(dialog)
            await grid.settled()
            assert title in " ".join(grid.shown().split())
            assert "Escape" in grid.shown()
            await grid.press("escape")


async def test_whatever_is_wider_than_the_screen_ends_with_a_mark(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        picture = grid.main.query_one("#footer", Picture)
        for told, mark in (("x" * 81, DRAWN.ellipsis), ("x" * 80, "x"), ("x" * 80 + "  ", "x")):
            picture.show(lambda width, height, told=told: ((Span(told),),))
            await grid.drained()
            assert grid.shown().splitlines()[-1] == f"{'x' * 79}{mark}"
