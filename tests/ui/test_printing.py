"""Printing from the grid: what is asked, a look at the page, the files, and what opens them."""

from __future__ import annotations

import os
import re
import threading
from pathlib import Path
from typing import Any

import pytest

from scaledesign.errors import EditError
from scaledesign.outputs.kinds import OUTPUTS, Kind
from scaledesign.outputs.usual import FOLDER
from scaledesign.paper.note_names import LANGUAGES
from scaledesign.ui.dialog import Deciding, Reading
from scaledesign.ui.preview_page import PageView
from scaledesign.ui.preview_screen import PreviewScreen
from scaledesign.ui.question_screen import QuestionScreen
from scaledesign.view import print_look
from scaledesign.view.print_questions import Printing
from tests.ui.driving import NARROW, WIDE, Grid, opened
from tests.ui.test_files import retype
from tests.view.pages import page

FIRST, SECOND = page((0, 0, 144, 144)), page((0, 144, 144, 288))
"""An inch by two: black above, and black below."""


class Press:
    """A press of the test's own: what it was asked for, and a door that it waits at where one is shut."""

    def __init__(self) -> None:
        self.asked: list[Kind] = []
        self.door = threading.Event()
        self.door.set()
        self.fails: Exception | None = None

    def __call__(self, work: Any, kind: Kind, choices: Any, *, ppi: float) -> tuple[bytes, ...]:
        self.asked.append(kind)
        assert self.door.wait(20)
        if self.fails is not None:
            raise self.fails
        return FIRST, SECOND


@pytest.fixture(autouse=True)
def full_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")


@pytest.fixture
def press(monkeypatch: pytest.MonkeyPatch) -> Press:
    press = Press()
    monkeypatch.setattr(print_look, "pictures", press)
    return press


def files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()} - {"wren.toml"}


def answers(grid: Grid) -> Printing:
    assert isinstance(grid.screen, QuestionScreen)
    assert isinstance(grid.screen.answers, Printing)
    return grid.screen.answers


def looking(grid: Grid) -> PreviewScreen:
    assert isinstance(grid.screen, PreviewScreen)
    return grid.screen


def black(grid: Grid) -> tuple[int, int]:
    """Columns and lines of what is black on the page in view."""
    cells = looking(grid).query_one(PageView).cells
    assert cells is not None
    dark = cells.paper < 40
    return int(dark.any(axis=0).sum()), int(dark.any(axis=1).sum())


def seen(grid: Grid, text: str) -> bool:
    return text in grid.shown()


# Asking and writing


async def test_twice_enter_writes_and_the_second_time_too(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        await grid.type("chart")
        await grid.press("tab")
        await retype(grid, "tsv")
        await grid.press("enter")
        await grid.until(lambda: grid.screen is grid.main, "the end of the dialog")
        written = wren.with_name("marsh-wren-chart.tsv")
        assert grid.said == f"Written to {written}."
        written.unlink()
        await grid.press("ctrl+e", "enter", "enter")
        await grid.until(lambda: grid.screen is grid.main, "the end of the dialog")
        assert files(wren.parent) == {"marsh-wren-chart.tsv"}


async def test_a_file_of_another_name_for_a_spreadsheet(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        await grid.type("chart")
        await grid.press("tab")
        await grid.type("tsv")
        await grid.press("tab")
        await grid.type("for-anna.tsv")
        await grid.press("enter")
        await grid.until(lambda: grid.screen is grid.main, "the end of the dialog")
        lines = wren.with_name("for-anna.tsv").read_text(encoding="utf-8").splitlines()
        assert all("\t" in line for line in lines)
        assert any(line.startswith("A4\t") for line in lines)


async def test_what_does_not_matter_is_not_asked(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        assert seen(grid, "paper")
        assert not seen(grid, "style")
        await grid.type("holes")
        assert not seen(grid, "paper")
        await grid.press("tab", "tab", "tab")  # past what is not shown, round to the first
        assert isinstance(grid.screen, QuestionScreen)
        assert grid.screen.current == 0
        await grid.press("shift+tab")
        assert grid.screen.current == 2
        await grid.press("shift+tab", "shift+tab")
        await retype(grid, "chart")
        assert all(seen(grid, name) for name in ("paper", "names", "style", "large"))
        await retype(grid, "Notes")
        await grid.press("tab")
        await retype(grid, "MIDI")
        await grid.press("tab")
        assert (answers(grid).what, answers(grid).form) == ("notes", "mid")


async def test_what_is_left_out_of_the_choices_is_counted(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        assert all(seen(grid, f" {output.kind} ") for output in OUTPUTS)
        assert not seen(grid, " more ")
        await grid.type("chart")
        assert seen(grid, " > chart ")
        assert seen(grid, " 3 more below")
        await grid.press("down")
        assert seen(grid, " > holes ")
        assert seen(grid, "Distances are measured from the sounding edge (m in the hole list).")
        await grid.press("up", "tab", "tab")
        assert seen(grid, "Your name and picture come from settings.toml, [paper].")
        await grid.press("tab", "tab")
        assert answers(grid).what == "chart"
        for place, language in enumerate(LANGUAGES):
            assert seen(grid, f" > {language} ")
            above, below = (
                re.search(r"(\d+) more above", grid.shown()),
                re.search(r"(\d+) more below", grid.shown()),
            )
            shown = sum(f"   {name} " in grid.shown() for name in LANGUAGES if name != language) + 1
            counted = sum(int(found[1]) for found in (above, below) if found)
            assert shown + counted == len(LANGUAGES), place
            await grid.press("down")


async def test_a_blank_steps_through_the_choices_and_goes_into_texts(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e", "space", "space")
        assert (grid.answer("what"), answers(grid).what) == ("chart", "chart")
        await grid.press("tab")
        await grid.type("web page")
        assert grid.answer("form") == "web page"
        await grid.press("tab")
        assert answers(grid).form == "html"
        await retype(grid, "for anna.html")
        assert answers(grid).where == "for anna.html"


async def test_what_does_not_come_out_is_said_in_the_dialog(wren: Path) -> None:
    text = wren.read_text(encoding="utf-8")
    first = text.index("at ", text.index("[[holes]]"))
    line = text[first : text.index("\n", first)]
    wren.write_text(text.replace(line, "at = 120\nlocked = true", 1), encoding="utf-8")
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        assert not seen(grid, "not come out")
        await grid.type("sheet")
        shown = " ".join(grid.shown().split())
        assert "not come out: row " in shown
        assert "Look at why (Ctrl+W) before you hand it on." in shown


async def test_all_of_it_into_one_folder(wren: Path, press: Press) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        await grid.type("all")
        await grid.press("enter")
        assert "-notes.mid" in grid.shown()
        await grid.press("f3", "tab", "tab", "escape")
        assert answers(grid).wanted == FOLDER  # whatever was looked at
        await grid.press("enter")
        await grid.until(lambda: grid.screen is grid.main, "the end of the dialog")
        folder = wren.with_name("marsh-wren")
        assert grid.said == f"{len(FOLDER)} files written to {folder}."
        assert files(folder) == {f"marsh-wren-{kind}.{form}" for kind, form in FOLDER}
        assert (folder / "marsh-wren-template.pdf").read_bytes().startswith(b"%PDF-")
        (folder / "marsh-wren-holes.csv").write_text("mine")
        (folder / "marsh-wren-notes.mid").write_text("mine")
        await grid.press("ctrl+e", "enter", "enter")
        await grid.until(lambda: isinstance(grid.screen, Deciding), "a question")
        shown = " ".join(grid.shown().split())
        assert "Replace 2 files?" in shown
        assert "marsh-wren-holes.csv, marsh-wren-notes.mid" in shown
        await grid.press("escape")
        assert (folder / "marsh-wren-holes.csv").read_text() == "mine"


@pytest.mark.parametrize(("key", "text"), [("k", "mine"), ("r", "Marsh wren")])
async def test_nothing_is_replaced_unasked(wren: Path, key: str, text: str) -> None:
    there = wren.with_name("marsh-wren-holes.txt")
    there.write_text("mine")
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        await grid.type("holes")
        assert "you are asked before it is replaced" in " ".join(grid.shown().split())
        await grid.press("enter", "enter")
        await grid.until(lambda: isinstance(grid.screen, Deciding), "a question")
        await grid.press(key)
        assert there.read_text(encoding="utf-8").startswith(text)


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), ZeroDivisionError("by naught")])
async def test_what_fails_is_a_sentence(
    wren: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def fails(*_: object) -> None:
        raise error

    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        await grid.type("holes")
        if isinstance(error, OSError):
            monkeypatch.setattr(os, "fsync", fails)
        else:
            monkeypatch.setattr(Printing, "made", fails)
        await grid.press("enter", "enter")
        if isinstance(error, OSError):
            assert "it cannot be written (no space left on device)" in grid.said
        else:
            assert isinstance(grid.screen, QuestionScreen)
            assert "ZeroDivisionError: by naught" in grid.screen.problem
            assert not grid.screen.busy
        assert list(wren.parent.iterdir()) == [wren]


async def test_the_settings_are_what_is_usual(wren: Path, home: Path) -> None:
    text = '[paper]\npaper = "letter"\nnames = "german"\nmaker = "Reed and rush"\npicture = "gone.png"\n'
    (home / "settings.toml").write_text(text, encoding="utf-8")
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        shown = " ".join(grid.shown().split())
        assert "gone.png cannot be read" in shown
        choices = answers(grid).choices
        assert (choices.paper, choices.names, choices.maker) == ("letter", "german", "Reed and rush")
        assert choices.picture == b""


# Opening


async def test_it_can_be_opened_when_it_is_written(wren: Path) -> None:
    tried: list[Path] = []

    def viewer(path: Path) -> bool:
        tried.append(path)
        if len(tried) == 3:
            raise RuntimeError("a viewer that breaks")
        return len(tried) == 1

    written = wren.with_name("marsh-wren-holes.txt")
    async with opened(wren, size=NARROW) as grid:
        grid.app.printing.viewer = viewer
        for said in ("Opened in your viewer.", *2 * ("There is no viewer here that opens it.",)):
            await grid.press("ctrl+e")
            await retype(grid, "holes")
            await grid.press("f4")  # the same again is not asked about
            await grid.until(lambda said=said: said in grid.said, "what became of it")
            assert grid.said == f"Written to {written}. {said}"
            await grid.press("down")
        assert tried == [written] * 3


# Looking


async def test_a_look_closer_aside_and_at_the_next_page(wren: Path, press: Press) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e", "f3")
        await grid.settled()
        assert press.asked == ["template"]
        top, *_, keys = grid.shown().splitlines()
        assert top.split() == [
            "marsh-wren-template.pdf",
            "drilling",
            "template",
            *["page", "1", "of", "2,", "220", "%"],
        ]
        assert keys.split()[:4] == ["Enter", "write", "O", "open"]
        assert black(grid) == (22, 11)  # the upper half, 22 lines high in all
        (paper,) = list(grid.strips()[20].crop(40, 41))
        assert paper.style is not None
        assert paper.style.bgcolor is not None
        assert paper.style.bgcolor.triplet == (255, 255, 255)  # white, though the look is dark
        await grid.press("plus", "plus")
        assert seen(grid, "page 1 of 2, 440 %")
        columns, lines = black(grid)
        assert columns == 44
        assert 10 <= lines <= 12  # twice as large, the middle where it was
        await grid.press("up", "up", "up")
        assert black(grid) == (44, 22)
        await grid.press("down", "down", "down", "down", "down")
        assert black(grid) == (0, 0)
        await grid.press("0")
        assert black(grid) == (22, 11)
        await grid.press("w")
        assert seen(grid, "800 %")
        assert black(grid) == (80, 22)
        await grid.press("c")
        assert seen(grid, "480 %")
        await grid.press("W")
        assert seen(grid, "800 %")
        await grid.press("C")
        assert seen(grid, "480 %")
        await grid.press("0", "pagedown")
        assert seen(grid, "page 2 of 2, 220 %")
        assert black(grid) == (22, 11)
        assert press.asked == ["template"]  # made once
        await grid.press("pagedown", "pagedown", "pageup", "minus", "minus")
        assert seen(grid, "page 1 of 2, 110 %")
        assert black(grid) == (11, 5)  # and half a line


async def test_kinds_and_forms_are_gone_through_and_the_questions_follow(wren: Path, press: Press) -> None:
    async with opened(wren, size=WIDE) as grid:
        await grid.press("ctrl+e", "f3", "tab", "tab")
        assert seen(grid, "marsh-wren-chart.pdf")
        await grid.press("f", "f")
        assert press.asked == ["template", "sheet", "chart"]  # a page looks alike in each form
        assert seen(grid, "marsh-wren-chart.png")
        await grid.press("f")
        assert seen(grid, "it opens in your browser once it is written")
        await grid.press("f")
        assert seen(grid, "marsh-wren-chart.txt")
        assert seen(grid, "X X X") or seen(grid, "●")
        await grid.press("escape")
        assert answers(grid).wanted == (("chart", "txt"),)
        assert grid.answer("what") == "chart"
        assert grid.answer("form") == "txt"


async def test_what_was_looked_at_is_written_and_opened(wren: Path, press: Press) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e", "f3", "shift+tab", "shift+tab")
        assert seen(grid, "marsh-wren-holes.txt")
        first = grid.shown()
        await grid.press("down", "down")
        assert grid.shown() != first
        await grid.press("enter")
        await grid.until(lambda: grid.screen is grid.main, "the end of the dialog")
        assert files(wren.parent) == {"marsh-wren-holes.txt"}
        tried: list[Path] = []
        grid.app.printing.viewer = lambda path: not tried.append(path)
        await grid.press("ctrl+e", "f3", "tab", "o")
        await grid.until(lambda: "Opened" in grid.said, "what became of it")
        assert [path.name for path in tried] == ["marsh-wren-notes.musicxml"]


async def test_only_the_newest_is_shown_and_the_screen_stays_awake(wren: Path, press: Press) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e")
        press.door.clear()
        for key in ("f3", "tab", "shift+tab", "tab", "tab"):
            await grid.pilot.press(key)
            await grid.drained()
        assert seen(grid, "marsh-wren-chart.pdf")
        assert seen(grid, "A moment: the page is being set.")
        press.door.set()
        await grid.settled()
        assert press.asked == ["template", "chart"]
        assert seen(grid, "page 1 of 2")
        press.door.clear()
        for key in ("shift+tab", "escape"):  # a look that is left is forgotten
            await grid.pilot.press(key)
            await grid.drained()
        assert isinstance(grid.screen, QuestionScreen)
        press.door.set()
        await grid.press("escape")
        assert grid.screen is grid.main
        assert files(wren.parent) == set()


async def test_a_page_that_cannot_be_made_is_a_sentence(wren: Path, press: Press) -> None:
    async with opened(wren, size=NARROW) as grid:
        press.fails = EditError("the tube is too thin", "take another")
        await grid.press("ctrl+e", "f3")
        assert seen(grid, "the tube is too thin")
        press.fails = ZeroDivisionError("so")
        await grid.press("plus", "w", "down", "pagedown", "tab")
        assert seen(grid, "ZeroDivisionError: so")
        await grid.press("escape")
        assert isinstance(grid.screen, QuestionScreen)


async def test_help_and_another_size_of_the_terminal(wren: Path, press: Press) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+e", "f3", "f1")
        assert isinstance(grid.screen, Reading)
        assert seen(grid, "the whole page")
        await grid.press("escape")
        await grid.pilot.resize_terminal(*WIDE)
        await grid.until(lambda: seen(grid, "page 1 of 2, 380 %"), "the page in its new size")
        assert black(grid) == (38, 19)


async def test_without_colours_it_is_dots_and_with_plain_signs_letters(wren: Path, press: Press) -> None:
    async with opened(wren, size=NARROW, colours=False) as grid:
        await grid.press("ctrl+e", "f3")
        assert seen(grid, "⣿" * 22)
    async with opened(wren, size=NARROW, ascii_only=True) as grid:
        await grid.press("ctrl+e", "f3")
        assert seen(grid, "@" * 22)
