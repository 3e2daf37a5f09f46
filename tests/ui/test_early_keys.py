"""Keys that come before the first paint, or at a time when there is nothing for them to do."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events

from scaledesign.ui.app import GridApp
from tests.ui.driving import NARROW, WIDE, Grid, opened


class Hasty(GridApp):
    """A grid whose maker types before there is anything to see."""

    hasty: tuple[str, ...] = ()

    def on_mount(self) -> None:
        for key in self.hasty:
            self.main.on_key(events.Key(key, key if len(key) == 1 else None))
        super().on_mount()


@pytest.mark.parametrize("size", [NARROW, WIDE])
@pytest.mark.parametrize(
    ("keys", "seen"),
    [
        (("f2", "escape"), "A4"),
        (("down", "right", "9", "enter"), "B4"),
        (("f6",), "finger"),
        (("f3",), "A4"),
        (("f11",), "scale"),
        (("space",), "A4"),
        (("ctrl+g",), "A4"),
        (("x", "escape"), "A4"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
async def test_keys_before_the_first_paint_do_what_they_mean(
    wren: Path, size: tuple[int, int], keys: tuple[str, ...], seen: str
) -> None:
    app = Hasty(wren)
    app.hasty = keys
    async with app.run_test(size=size) as pilot:
        grid = Grid(app, pilot)
        await grid.settled()
        assert seen in grid.shown()
        assert app.is_running
        if "9" in keys:
            assert grid.desk.design.rows[1].cents == 9
    assert app.return_code in (0, None)
    app.journal.close()


@pytest.mark.parametrize("keys", [("f2",), ("ctrl+n",), ("ctrl+p",), ("f4",)])
async def test_there_may_be_nothing_to_copy_or_to_cut(wren: Path, keys: tuple[str, ...]) -> None:
    async with opened(wren) as grid:
        await grid.press(*keys, "ctrl+c", "ctrl+x", "escape", "escape")
        assert grid.app.is_running
        assert grid.screen is grid.main


async def test_help_over_a_dialog_at_work_does_not_keep_it(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.press("ctrl+n")
        await grid.type("5/8 in x 1/8 in")
        await grid.press(*["enter"] * 4)
        await grid.pilot.press("enter", "f1")
        await grid.settled()
        await grid.press("escape")
        await grid.until(lambda: grid.screen is grid.main, "the end of the dialog")
        assert grid.desk.design.units == "in"


async def test_a_command_is_found_by_any_of_its_words(wren: Path) -> None:
    async with opened(wren) as grid:
        names = {
            "by eye": "without a tape",
            "hands": "under the hand",
            "versions earlier": "earlier versions",
        }
        for typed, name in names.items():
            await grid.press("ctrl+p")
            await grid.type(typed)
            assert name in grid.shown()
            await grid.press("escape")
