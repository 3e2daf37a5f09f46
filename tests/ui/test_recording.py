"""A recording taken in on the screen: asked for, listened to in a thread, put right, entered as one step."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from scaledesign.errors import RecordingError
from scaledesign.model.pitch import raised
from scaledesign.ui import recording_work
from scaledesign.ui.recording_screen import RecordingScreen
from scaledesign.view.recording_questions import RecordingAsked
from scaledesign.workshop.ask import predict
from tests.listening.playing import Blown, performed, wav
from tests.ui.driving import Grid, opened
from tests.view.small_flute import flute


async def asked(grid: Grid) -> None:
    """The dialog that asks for the file is open."""
    await grid.press("ctrl+p")
    await grid.type("from a rec")
    await grid.press("enter")
    assert "A recording of you playing, WAV or FLAC" in grid.shown()


async def heard(grid: Grid) -> RecordingScreen:
    """The list is there."""
    await grid.until(lambda: isinstance(grid.screen, RecordingScreen) and grid.screen.ready)
    await grid.settled()
    screen = grid.screen
    assert isinstance(screen, RecordingScreen)
    return screen


async def test_notes_are_put_right_and_entered_as_one_step(small: Path) -> None:
    notes = [Blown(raised(float(hertz), -20.0), 0.7, vibrato=12.0) for hertz in predict(flute()).frequency]
    samples, _ = performed(notes, 22050)
    wav(small.with_name("takes.wav"), 0.6 * samples, 22050)
    async with opened(small) as grid:
        await asked(grid)
        assert "Listens to" in grid.shown()
        await grid.press("enter")
        await grid.pilot.press("enter")
        screen = await heard(grid)
        assert "4 steady notes, of 4 rows." in grid.shown()
        await grid.press("down", "space")
        assert screen.heard is not None
        assert screen.heard.of == (0, None, 2, 3)
        assert "left out" in grid.shown()
        assert screen.chosen == 1
        await grid.press("right", "right", "left", "delete", "up")
        assert screen.heard.of == (0, None, 2, 3)
        await grid.pilot.press("enter")
        await grid.until(lambda: grid.screen is grid.main)
        await grid.settled()
        rows = grid.desk.design.rows
        assert [bool(row.measured) for row in rows] == [True, False, True, True]
        assert rows[0].measured.startswith("A4 -")
        assert grid.said.startswith("3 readings in force.")
        assert grid.desk.history.undo_name == "enter a recording"
        await grid.press("ctrl+z")
        assert grid.desk.design == flute()


async def test_escape_leaves_while_it_listens_and_the_listening_ends(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small.with_name("takes.wav").write_bytes(b"")
    begun, ended = threading.Event(), threading.Event()

    def slow(asked: RecordingAsked, told: Callable[[float], None], cancelled: Callable[[], bool]) -> None:
        told(0.42)
        begun.set()
        while not cancelled():
            ended.wait(0.01)
        ended.set()
        raise RecordingError(None, "Nobody waits for it", "do nothing")

    monkeypatch.setattr(recording_work, "_heard", slow)
    async with opened(small) as grid:
        await asked(grid)
        await grid.press("enter")
        await grid.pilot.press("enter")
        await grid.until(begun.is_set)
        await grid.until(lambda: "Listening: 42 %" in grid.shown())
        await grid.pilot.press("escape")
        await grid.until(ended.is_set)
        await grid.until(lambda: grid.screen is grid.main)
        assert grid.desk.design == flute()


async def test_what_cannot_be_heard_is_said_where_it_was_asked(small: Path) -> None:
    small.with_name("takes.wav").write_text("no sound")
    async with opened(small) as grid:
        await asked(grid)
        await grid.press("enter")
        await grid.pilot.press("enter")
        screen = await heard(grid)
        assert "is neither WAV nor FLAC" in screen.problem
        assert "Escape goes back." in grid.shown()
        await grid.press("escape")
        assert grid.screen is grid.main
