"""The screen as it looks, held against pictures that were looked at.

``pytest tests/ui/test_snapshots.py --snapshot-update`` takes them anew: look at each before it is kept.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from scaledesign.model.document import Design
from scaledesign.ui.app import GridApp
from tests.ui import designs
from tests.ui.driving import NARROW, WIDE, Grid

Picture = Callable[..., bool]


@pytest.fixture
def picture(snap_compare: Picture, home: Path, wren: Path) -> Picture:
    """Compare the screen after some keys, in a look and a size."""

    def compare(
        size: tuple[int, int],
        *keys: str,
        look: str = "night",
        design: Design | None = None,
        ascii_only: bool = False,
        text: str = "",
    ) -> bool:
        path = wren if design is None else designs.kept(design, wren)
        (home / "settings.toml").write_text(f'theme = "{look}"\n', encoding="utf-8")
        app = GridApp(path, ascii_only=ascii_only)

        async def before(pilot: Pilot[None]) -> None:
            grid = Grid(app, pilot)
            await grid.settled()
            await grid.press(*keys)
            await grid.type(text)
            for line in app.screen.query(Input):
                line.cursor_blink = False
            await grid.settled()

        same = snap_compare(app, terminal_size=size, run_before=before)
        app.journal.close()
        return same

    return compare


CURSOR = ("down", "down", *["right"] * 6)
"""On a hole of a row that counts."""


class TestNight:
    def test_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, *CURSOR)

    def test_140x40(self, picture: Picture) -> None:
        assert picture(WIDE, *CURSOR)

    def test_what_moved(self, picture: Picture) -> None:
        assert picture(WIDE, "down", "down", "right", "9", "enter")

    def test_a_range(self, picture: Picture) -> None:
        assert picture(WIDE, *CURSOR, "shift+down", "shift+down", "shift+right")

    def test_typing_into_a_cell(self, picture: Picture) -> None:
        assert picture(WIDE, "down", "down", "f2")

    def test_a_mistyped_cell(self, picture: Picture) -> None:
        assert picture(WIDE, "down", "down", "H", "9", "enter", "up")

    def test_a_long_name(self, picture: Picture) -> None:
        assert picture(WIDE, design=designs.long_named())

    def test_a_long_name_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, design=designs.long_named())

    def test_no_rows(self, picture: Picture) -> None:
        assert picture(WIDE, design=designs.without_rows())

    def test_no_holes(self, picture: Picture) -> None:
        assert picture(WIDE, design=designs.without_holes())

    def test_sixteen_holes(self, picture: Picture) -> None:
        assert picture(WIDE, "f9", design=designs.many(30, 16))

    def test_held(self, picture: Picture) -> None:
        assert picture(WIDE, "f9", "down", "down", "right", "2", "0", "enter", "up")

    def test_the_hole_list_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, "f6", "down", "ctrl+l")

    def test_the_form_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, "f6", "f6", *["down"] * 7)

    def test_the_form(self, picture: Picture) -> None:
        assert picture(WIDE, "f6", "f6", *["down"] * 7)

    def test_the_scale_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, "f6", "f6", "f6", "down", *"6/5", "enter", "", "up")

    def test_the_scale(self, picture: Picture) -> None:
        assert picture(WIDE, "f6", "f6", "f6", "down", *"6/5", "enter", "", "up")

    def test_retuning(self, picture: Picture) -> None:
        assert picture(WIDE, "f11", "tab", "tab", "tab")

    def test_the_sound_large(self, picture: Picture) -> None:
        assert picture(WIDE, "f3")

    def test_the_sound_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, "f3")

    def test_a_new_flute(self, picture: Picture) -> None:
        assert picture(WIDE, "ctrl+n", text="5/8 in x 1/8 in")

    def test_a_new_flute_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, "ctrl+n", *"5/8 x 1/8", "tab", "tab", "tab", "down")

    def test_the_bare_tube(self, picture: Picture) -> None:
        assert picture(WIDE, "f4", *"A4", "enter", text="371")

    def test_help(self, picture: Picture) -> None:
        assert picture(WIDE, "f1")

    def test_why(self, picture: Picture) -> None:
        assert picture(WIDE, "ctrl+w")

    def test_the_palette(self, picture: Picture) -> None:
        assert picture(WIDE, "ctrl+p", "down", "down")

    def test_the_guide(self, picture: Picture) -> None:
        assert picture(NARROW, "ctrl+g")

    def test_a_fingering_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, "down", "down", "ctrl+f")

    def test_scales_that_suit(self, picture: Picture) -> None:
        assert picture(WIDE, "ctrl+u", text="dorian")

    def test_unsaved(self, picture: Picture) -> None:
        assert picture(WIDE, "right", "5", "enter", "ctrl+q")

    def test_plain_letters_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, *CURSOR, ascii_only=True)


class TestDay:
    def test_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, *CURSOR, look="day")

    def test_140x40(self, picture: Picture) -> None:
        assert picture(WIDE, *CURSOR, look="day")

    def test_a_new_flute(self, picture: Picture) -> None:
        assert picture(WIDE, "ctrl+n", look="day", text="20 x 3 mm")


class TestPlain:
    def test_80x24(self, picture: Picture) -> None:
        assert picture(NARROW, *CURSOR, look="plain")

    def test_140x40(self, picture: Picture) -> None:
        assert picture(WIDE, *CURSOR, look="plain")

    def test_a_new_flute(self, picture: Picture) -> None:
        assert picture(WIDE, "ctrl+n", look="plain", text="20 x 3 mm")

    def test_plain_letters_140x40(self, picture: Picture) -> None:
        assert picture(WIDE, *CURSOR, look="plain", ascii_only=True)
