"""Printing as it looks, held against pictures that were looked at; the page is the test's own.

``pytest tests/ui/test_printing_snapshots.py --snapshot-update`` takes them anew: look at each before it is
kept.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from scaledesign.ui.app import GridApp
from scaledesign.view import print_look
from tests.ui.driving import NARROW, WIDE, Grid
from tests.view.pages import page

Picture = Callable[..., bool]
TEXT = ((60, 180 + 70 * line, 60 + 130 * (line % 4 + 1), 200 + 70 * line) for line in range(12))
PAGE = page((60, 60, 620, 110), *TEXT, (700, 180, 1100, 580), width=1190, height=1684)
"""A4 with a title, lines of text, a black square."""


@pytest.fixture
def picture(snap_compare: Picture, home: Path, wren: Path, monkeypatch: pytest.MonkeyPatch) -> Picture:
    """Compare the screen after some keys, in a look and a size."""
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    monkeypatch.setattr(print_look, "pictures", lambda *_, **__: (PAGE, PAGE))

    def compare(size: tuple[int, int], *keys: str, look: str = "night", ascii_only: bool = False) -> bool:
        (home / "settings.toml").write_text(f'theme = "{look}"\n', encoding="utf-8")
        app = GridApp(wren, ascii_only=ascii_only)
        app.files.folder = Path("/")  # a place that is called the same everywhere

        async def before(pilot: Pilot[None]) -> None:
            grid = Grid(app, pilot)
            await grid.settled()
            for key in ("ctrl+e", *keys):
                await grid.press(key)
            for line in app.screen.query(Input):
                line.cursor_blink = False
            await grid.settled()

        same = snap_compare(app, terminal_size=size, run_before=before)
        app.journal.close()
        return same

    return compare


def test_the_questions(picture: Picture) -> None:
    assert picture(NARROW, "down", "down", "tab")


def test_all_of_it(picture: Picture) -> None:
    assert picture(NARROW, "up", look="day")


def test_a_page(picture: Picture) -> None:
    assert picture(WIDE, "f3")


def test_a_page_close(picture: Picture) -> None:
    assert picture(NARROW, "f3", "w", "plus", look="day")


def test_a_page_without_colours(picture: Picture) -> None:
    assert picture(NARROW, "f3", "w", look="plain")


def test_a_page_in_letters(picture: Picture) -> None:
    assert picture(NARROW, "f3", "w", ascii_only=True)


def test_a_list_before_it_is_written(picture: Picture) -> None:
    assert picture(NARROW, "down", "down", "down", "f3")
