"""Looking for fingerings, charts, scales and other flutes on the screen, and hearing notes.

A flute of three holes, so that each list is there soon. Nothing sounds: the loudspeaker has a stand-in.
"""

from __future__ import annotations

import threading
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from scaledesign.errors import SilentError
from scaledesign.files import document_file
from scaledesign.ui.dialog import Deciding
from scaledesign.ui.worked_list import WorkedList
from tests.ui import designs
from tests.ui.driving import Grid, letters, opened
from tests.view.small_flute import flute


@asynccontextmanager
async def quiet(path: Path) -> AsyncIterator[tuple[Grid, list[list[float]]]]:
    """The grid, and the pitches of every tune it would have played."""
    played: list[list[float]] = []

    def play(notes: Sequence[tuple[float, float]], cancelled: Callable[[], bool]) -> bool:
        played.append([hertz for hertz, _ in notes])
        return True

    async with opened(path) as grid:
        grid.app.hearing.loudspeaker.play = play
        yield grid, played


async def listed(grid: Grid, *keys: str, command: str = "") -> WorkedList:
    """A list opened by keys, or by its name among the commands, and worked out."""
    await grid.press(*keys)
    if command:
        await grid.press("ctrl+p")
        await grid.type(command)
        await grid.press("enter")
    screen = grid.screen
    assert isinstance(screen, WorkedList)
    return screen


# A fingering


async def test_a_fingering_is_put_into_the_row_or_added_as_another(small: Path) -> None:
    async with quiet(small) as (grid, _):
        await grid.go(1, "note")
        screen = await listed(grid, "ctrl+f")
        assert "as it is now" in grid.shown()
        await grid.press("f1")
        assert "no source measures it" in " ".join(grid.shown().split())
        await grid.press("escape", "down")
        assert screen.chosen == 1
        await grid.press("enter")
        assert grid.screen is grid.main
        assert letters(grid.desk.design.rows[1].holes) != "XXO"
        assert len(grid.desk.design.rows) == 4
        assert grid.said.startswith("Finger C5 in row 2.")
        await grid.press("ctrl+z")
        assert grid.desk.design == flute()
        kept = dict(grid.app.search._kept)
        assert kept
        await listed(grid, "ctrl+f")
        assert grid.app.search._kept == kept
        await grid.press("down", "a")
        assert [row.note for row in grid.desk.design.rows] == ["A4", "C5", "C5", "D5", "E5"]
        assert grid.said.startswith("Add a fingering of C5. ")
        assert "1 row more." in grid.said


async def test_escape_leaves_while_it_is_being_worked_out(small: Path) -> None:
    going, seen = threading.Event(), threading.Event()
    async with quiet(small) as (grid, _):
        work = grid.app.search._choice

        def slow(*args: object) -> object:
            seen.set()
            going.wait(20)
            return work(*args)

        grid.app.search._choice = slow
        await grid.pilot.press("ctrl+f")
        await grid.until(seen.is_set)
        assert "Trying every way to cover the holes." in grid.shown()
        await grid.pilot.press("escape")
        await grid.drained()
        assert grid.screen is grid.main
        going.set()
        await grid.settled()
        assert grid.desk.design == flute()


async def test_too_many_holes_are_said(small: Path) -> None:
    designs.kept(designs.many(rows=2), small)
    async with quiet(small) as (grid, _):
        await listed(grid, "ctrl+f")
        assert "too many to try" in " ".join(grid.shown().split())
        await grid.press("escape")
        assert grid.screen is grid.main


# Scales


async def test_a_scale_is_searched_and_taken_either_way(small: Path) -> None:
    async with quiet(small) as (grid, _):
        screen = await listed(grid, "ctrl+u")
        count = len(screen.found)
        await grid.type("dorian p c5")
        assert 0 < len(screen.found) < count
        await grid.press("enter")
        assert isinstance(grid.screen, Deciding)
        await grid.press("enter")
        assert grid.said.startswith("Play C5 dorian pentatonic")
        await grid.press("ctrl+z")
        assert grid.desk.design == flute()
        await listed(grid, "ctrl+u")
        await grid.type("dorian p c5")
        await grid.press("enter", "r")
        assert (grid.desk.design.tuning.tonic, grid.desk.design.tuning.scale) == ("C5", "dorian pentatonic")
        assert [letters(row.holes) for row in grid.desk.design.rows] == ["XXX", "XXO", "XOO", "OOO"]
        await listed(grid, "ctrl+u")
        await grid.type("dorian p c5")
        await grid.press("enter", "r")
        assert grid.said == "It is tuned so already."


# Other flutes


async def test_what_was_saved_is_taken_over_again(small: Path) -> None:
    async with quiet(small) as (grid, _):
        await grid.go(1, "cents")
        await grid.type("30")
        await grid.press("enter")
        await grid.press("ctrl+p")
        await grid.type("compare")
        await grid.press("enter")
        assert "before what you changed since" in grid.shown()
        await listed(grid, "enter")
        assert "1 row differs" in grid.shown().lower()
        await grid.press("enter")
        assert grid.desk.design.rows[1].cents == 0
        assert grid.said.startswith("Take over as it was saved.")


async def test_a_file_that_cannot_be_opened_is_said(small: Path) -> None:
    small.with_name("broken.toml").write_text("format = 1\n[tube]\n", encoding="utf-8")
    async with quiet(small) as (grid, _):
        await grid.press("ctrl+p")
        await grid.type("compare")
        await grid.press("enter")
        await grid.type("broken")
        await listed(grid, "enter")
        assert "broken.toml" in grid.shown()


# Hearing


async def test_a_list_can_be_heard(small: Path) -> None:
    async with quiet(small) as (grid, played):
        await grid.go(1, "note")
        await listed(grid, "ctrl+f")
        await grid.press("ctrl+b")
        await grid.until(lambda: bool(played))
        assert played == [[pytest.approx(grid.desk.sheet.number("frequency", 1), rel=1e-6)]]
        assert "as the flute will play it." in grid.shown()


async def test_once_more_stops_it(small: Path) -> None:
    began, stopped = threading.Event(), threading.Event()

    def play(notes: Sequence[tuple[float, float]], cancelled: Callable[[], bool]) -> bool:
        began.set()
        while not cancelled():
            stopped.wait(0.002)
        stopped.set()
        return False

    async with opened(small) as grid:
        grid.app.hearing.loudspeaker.play = play
        await grid.press("ctrl+b")
        await grid.until(began.is_set)
        assert grid.said.startswith("Row 1, A4, as it will play")
        await grid.press("ctrl+b")
        await grid.until(stopped.is_set)
        assert grid.said == "Silence."


async def test_where_nothing_can_be_played_it_is_said_and_what_to_do(small: Path) -> None:
    def play(notes: Sequence[tuple[float, float]], cancelled: Callable[[], bool]) -> bool:
        raise SilentError("this machine has no player of sound", "write a file")

    async with opened(small) as grid:
        grid.app.hearing.loudspeaker.play = play
        await grid.press("ctrl+b")
        await grid.until(lambda: "Ctrl+E" in grid.said)
        assert grid.said == (
            "This machine has no player of sound. Ctrl+E writes the notes to a file instead."
        )


async def test_notes_are_written_where_they_cannot_be_heard(small: Path) -> None:
    async with opened(small) as grid:
        await grid.press("ctrl+e")
        await grid.type("notes")
        await grid.press("tab")
        await grid.type("wav")
        await grid.press("enter", "enter")
        await grid.until(small.with_name("small-notes.wav").is_file)
        assert small.with_name("small-notes.wav").read_bytes().startswith(b"RIFF")
        assert document_file.load(small) == flute()
