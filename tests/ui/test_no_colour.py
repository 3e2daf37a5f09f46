"""Without colours: weight, dimness, underline and reversal alone; in plain letters ASCII alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rich.style import Style

from scaledesign.ui.look import PLAIN
from tests.ui.driving import NARROW, WIDE, Grid, opened

PLACES = {
    "grid": ("down", "right", "shift+down"),
    "holes": ("f6",),
    "setup": ("f6", "f6"),
    "scale": ("f6", "f6", "f6", "right", "plus", "7", "enter", "x", "enter"),
    "retune": ("f11", "tab", "tab", "2"),
    "sound": ("f3",),
    "editor": ("f2",),
    "mistyped": ("H", "9", "enter", "up"),
    "help": ("f1",),
    "why": ("ctrl+w",),
    "palette": ("ctrl+p", "down"),
    "open": ("ctrl+o",),
    "new": ("ctrl+n", "5", "tab"),
    "bare tube": ("f4", "A", "4"),
    "save as": ("f12",),
    "print": ("ctrl+e", "tab"),
    "names of notes": ("ctrl+e", "down", "down", *["tab"] * 4),
    "a look at it first": ("ctrl+e", "down", "down", "f3", "plus"),
    "a text looked at": ("ctrl+e", "down", "down", "down", "f3"),
    "guide": ("ctrl+g",),
    "quit": ("right", "5", "enter", "ctrl+q"),
}
AT_EVERY_PLACE = pytest.mark.parametrize("place", PLACES)


def styles(grid: Grid) -> set[Style]:
    return {segment.style for line in grid.strips() for segment in line if segment.style is not None}


def coloured(style: Style) -> bool:
    return any(colour is not None and not colour.is_default for colour in (style.color, style.bgcolor))


@AT_EVERY_PLACE
async def test_no_colour_is_sent(wren: Path, place: str) -> None:
    async with opened(wren, size=NARROW, colours=False) as grid:
        await grid.press(*PLACES[place])
        assert not any(map(coloured, styles(grid)))
        # the codes themselves: attributes, and 39 and 49 for the terminal's own colours
        codes = {code for style in styles(grid) for code in sent_by(style)}
        assert codes <= {1, 2, 4, 7, 39, 49}


def sent_by(style: Style) -> list[int]:
    """The numbers of the codes that a terminal of full colour is sent for a style."""
    return [int(number) for codes in re.findall(r"\x1b\[([\d;]*)m", style.render("x")) for number in
            codes.split(";") if number != "0" and number]  # fmt: skip


async def test_no_color_in_the_environment_is_no_grey_either(
    wren: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(wren, size=NARROW, colours=False) as grid:
        assert grid.app.look is PLAIN
        assert not any(map(coloured, styles(grid)))


async def test_asked_for_colours_come_and_go(wren: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(wren, size=NARROW, colours=False) as grid:
        await grid.press("f10")
        colours = {style.color.triplet for style in styles(grid) if style.color and style.color.triplet}
        assert any(len({colour.red, colour.green, colour.blue}) > 1 for colour in colours)
        await grid.press("f10", "f10")
        assert grid.app.look is PLAIN
        assert not any(map(coloured, styles(grid)))


async def test_the_cursor_and_its_range_can_be_told_without_colours(wren: Path) -> None:
    async with opened(wren, size=NARROW, colours=False) as grid:
        await grid.go(1, "note")
        await grid.press("shift+down")
        texts = {
            name: "".join(
                segment.text
                for line in grid.strips()
                for segment in line
                if segment.style and getattr(segment.style, name)
            )
            for name in ("reverse", "underline", "bold", "dim")
        }
        assert texts["reverse"].strip() == "C5"
        assert "B4" in texts["underline"]
        assert "fingerings" in texts["bold"]
        assert "holes" in texts["dim"]


async def test_what_is_typed_and_where_can_be_told_without_colours(wren: Path) -> None:
    async with opened(wren, size=NARROW, colours=False) as grid:
        await grid.go(2, "note")
        await grid.press("f2")
        x, y = grid.place(2, "note")
        line = grid.strips()[y].crop(x, x + grid.editor.size.width)
        assert all(segment.style and segment.style.underline for segment in line if segment.text.strip())
        assert any(segment.style and segment.style.reverse for segment in line)


@AT_EVERY_PLACE
async def test_plain_letters_are_ascii(wren: Path, place: str) -> None:
    async with opened(wren, size=NARROW, ascii_only=True, colours=False) as grid:
        await grid.press(*PLACES[place])
        assert {sign for sign in grid.shown() if not sign.isascii()} == set()


async def test_plain_letters_are_ascii_on_a_wide_screen(wren: Path) -> None:
    async with opened(wren, size=WIDE, ascii_only=True) as grid:
        assert {sign for sign in grid.shown() if not sign.isascii()} == set()
