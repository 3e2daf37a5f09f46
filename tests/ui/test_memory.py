"""What is remembered from one window to the next, and what settings.toml chooses."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.files.remembered import load_remembered, remember
from scaledesign.ui.look import DAY, NIGHT, PLAIN
from scaledesign.view.lines import DRAWN, TYPED
from tests.ui.driving import NARROW, opened


async def test_look_signs_and_measure_are_remembered(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        assert (grid.app.look, grid.desk.signs, grid.desk.measure) == (NIGHT, DRAWN, "edge")
        await grid.press("f10", "f6", "m", "ctrl+p")
        await grid.type("plain signs")
        await grid.press("enter", "ctrl+q")
    async with opened(wren, size=NARROW) as grid:
        assert (grid.app.look, grid.desk.signs, grid.desk.measure) == (DAY, TYPED, "foot")


async def test_the_sound_comes_back_in_front(wren: Path) -> None:
    for before in (False, True, False):
        async with opened(wren, size=NARROW) as grid:
            assert grid.main.query_one("#spectrum").display is before
            await grid.press("f3", "ctrl+q")


async def test_the_last_flute_comes_back(wren: Path) -> None:
    async with opened(size=NARROW) as grid:
        assert grid.desk.title == "Marsh wren"
        assert "A finished flute to look around in" in grid.said
        await grid.press("ctrl+q")
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+q")
    async with opened(size=NARROW) as grid:
        assert grid.desk.path == wren
        assert "A finished flute" not in grid.said


@pytest.mark.parametrize("broken", ["gone", "faulty"])
async def test_a_last_flute_that_cannot_be_opened_gives_way_to_an_example(wren: Path, broken: str) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+q")
    if broken == "gone":
        wren.unlink()
    else:
        wren.write_text("not a flute", encoding="utf-8")
    async with opened(size=NARROW) as grid:
        assert grid.desk.path is None
        assert grid.desk.title == "Marsh wren"
        assert ("wren.toml, your last flute, cannot be opened" in grid.said) == (broken == "faulty")


async def test_settings_choose(home: Path, wren: Path) -> None:
    (home / "settings.toml").write_text('theme = "plain"\nsigns = "typed"\nunits = "in"\n', encoding="utf-8")
    async with opened(wren, size=NARROW) as grid:
        assert (grid.app.look, grid.desk.signs) == (PLAIN, TYPED)
        await grid.press("ctrl+n")
        assert "such as 5/8 x 1/8." in grid.shown()


async def test_keys_of_ones_own(home: Path, wren: Path) -> None:
    (home / "settings.toml").write_text('[keys]\nundo = "ctrl+u,f5"\nsort = "ctrl+z"\n', encoding="utf-8")
    async with opened(wren) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        await grid.press("enter")
        assert "Ctrl+U undo set cents" in grid.shown()
        await grid.press("ctrl+u")
        assert grid.desk.design.rows[2].cents == 0
        await grid.press("ctrl+y", "f5")
        assert grid.desk.design.rows[2].cents == 0
        await grid.press("end", "ctrl+z")
        assert grid.desk.history.undo_name == "sort rows by weight"


async def test_a_fault_in_the_settings_is_said(home: Path, wren: Path) -> None:
    (home / "settings.toml").write_text('theme = "dusk"\n', encoding="utf-8")
    async with opened(wren) as grid:
        assert "dusk" in grid.said
        assert grid.app.look is NIGHT


async def test_a_home_that_cannot_be_written_stops_nothing(wren: Path, home: Path) -> None:
    home.rmdir()
    home.write_text("a file where the folder should be", encoding="utf-8")
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        await grid.type("5")
        await grid.press("enter")
        assert grid.desk.design.rows[0].cents == 5
        assert "not kept safe" in grid.said
        await grid.press("f10", "ctrl+s")
        assert not grid.desk.unsaved


async def test_a_measure_that_this_flute_has_not_got_falls_back_and_comes_again(wren: Path) -> None:
    remember(lambda known: known.with_layout(measure="cut-end"))
    async with opened(wren, size=NARROW) as grid:
        assert grid.desk.measure == "cut-end"
        await grid.press("ctrl+q")
    assert load_remembered().left("measure", "edge") == "cut-end"


async def test_that_nothing_is_kept_safe_is_said_even_where_the_next_key_comes_at_once(
    wren: Path, home: Path
) -> None:
    home.rmdir()
    home.write_text("a file where the folder should be", encoding="utf-8")
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        grid.main.show(grid.desk.typed("5", 0.0))
        grid.main.show(grid.desk.going(grid.desk.selection.moved(1, 0)))
        await grid.settled()
        assert "not kept safe" in grid.said
