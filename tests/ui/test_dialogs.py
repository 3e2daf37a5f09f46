"""Dialogs: a new flute by five Enters, the bare tube, the palette, help, what there is to say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scaledesign.ui.chooser import Chooser
from scaledesign.ui.dialog import Deciding
from scaledesign.ui.question_screen import QuestionScreen
from tests.ui.driving import NARROW, WIDE, Grid, opened


async def finished(grid: Grid) -> None:
    """Wait until the dialog is gone."""
    await grid.until(lambda: grid.screen is grid.main, "the end of the dialog")
    await grid.settled()


@pytest.mark.parametrize("size", [NARROW, WIDE])
async def test_a_new_flute_takes_a_tube_and_five_enters(wren: Path, size: tuple[int, int]) -> None:
    async with opened(wren, size=size) as grid:
        await grid.press("ctrl+n")
        await grid.type("5/8 in x 1/8 in")
        assert "About" in grid.shown()
        await grid.press(*["enter"] * 5)
        await finished(grid)
        design = grid.desk.design
        assert design.units == "in"
        assert design.tube.bore[0].value == pytest.approx(0.625 * 0.0254)
        assert len(design.holes) == 6
        assert grid.desk.path is None
        assert grid.desk.unsaved
        scale = [i for i, row in enumerate(design.rows) if row.role == "scale"]
        assert scale
        assert all(abs(grid.desk.sheet.number("cents", i)) < 1 for i in scale)
        assert "F4" in grid.said


async def test_a_new_flute_with_answers_of_ones_own(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.press("ctrl+n")
        await grid.type("20 x 3 mm")
        await grid.press("tab", "down")
        assert grid.answer("mouth") not in ("", "duct")
        await grid.press("tab")
        await grid.type("G4")
        await grid.press("tab")
        await grid.type("dorian")
        await grid.press("tab", "up", "down", "enter")
        await finished(grid)
        assert grid.desk.design.tuning.tonic == "G4"
        assert grid.desk.design.tuning.scale == "dorian"
        assert grid.desk.design.instrument.mouth != "duct"


async def test_f1_says_what_is_asked_and_leaves_the_answers(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.press("ctrl+n")
        await grid.type("20 x 3 mm")
        await grid.press("tab", "f1")
        told = " ".join(grid.shown().split())
        question = grid.app.screen_stack[-2]
        assert isinstance(question, QuestionScreen)
        (_, mouth, *_) = question.asking.questions(question.answers)
        assert mouth.words in told
        assert mouth.choices
        assert all(choice.answer in told for choice in mouth.choices)
        await grid.press("f1")
        assert grid.screen is question
        assert grid.answer("tube") == "20 x 3 mm"


async def test_answers_typed_ahead_reach_their_questions(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.press("ctrl+n")
        await grid.pilot.press(*"20x3", "enter", "tab", "G", "4", "enter")
        await grid.settled()
        assert (grid.answer("tube"), grid.answer("key")) == ("20x3", "G4")


async def test_an_answer_that_cannot_be_read_holds_the_dialog(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.press("ctrl+n")
        await grid.type("wide")
        await grid.press("enter")
        assert isinstance(grid.screen, QuestionScreen)
        assert grid.screen.current == 0
        assert "not clear yet" in grid.shown()
        await grid.press("escape")
        assert grid.screen is grid.main
        assert grid.desk.title == "Marsh wren"


async def test_a_new_flute_asks_about_what_is_unsaved(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.go(0, "cents")
        await grid.type("5")
        await grid.press("enter", "ctrl+n")
        assert isinstance(grid.screen, Deciding)
        await grid.type("l")
        assert isinstance(grid.screen, QuestionScreen)


async def test_blowing_the_bare_tube_shrinks_the_doubt(wren: Path) -> None:
    async with opened(wren) as grid:
        before = grid.desk.sheet.number("uncertainty", 0)
        assert "until you blow the bare tube" in grid.shown()
        await grid.press("f4")
        await grid.type("A4 -20")
        await grid.press("enter")  # what it showed
        await grid.press("enter")
        assert isinstance(grid.screen, QuestionScreen)  # nobody knows how long it was
        assert "How long was the tube when you blew it?" in grid.shown()
        await grid.type("360.5")
        assert "before" in grid.shown()
        await grid.press("enter")
        await finished(grid)
        assert grid.desk.sheet.number("uncertainty", 0) < before / 3
        assert "until you blow the bare tube" not in grid.shown()
        assert grid.said.startswith("The mouth adds ")
        figures = re.findall("± *([0-9]+) cents", grid.shown())
        assert len(figures) == 1, figures  # one ± on the screen: that of the holes as they lie now
        assert "instead of" not in grid.shown()
        await grid.press("ctrl+z")
        assert grid.desk.sheet.number("uncertainty", 0) == pytest.approx(before)


async def test_a_reading_that_cannot_be_read(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.press("f4")
        await grid.type("loud")
        await grid.press("enter")
        assert isinstance(grid.screen, QuestionScreen)
        assert "not clear yet" in grid.shown()


@pytest.mark.parametrize("size", [NARROW, WIDE])
@pytest.mark.parametrize(
    ("keys", "text", "said"),
    [
        (("ctrl+n",), "wide", "that is not a tube"),
        (("f4",), "loud", "'loud'"),
        (("f11", "tab", "tab"), "9", "is no degree of that scale"),
    ],
    ids=["a new flute", "blowing", "retuning"],
)
async def test_what_is_wrong_with_an_answer_is_said_once(
    wren: Path, keys: tuple[str, ...], text: str, said: str, size: tuple[int, int]
) -> None:
    async with opened(wren, size=size) as grid:
        await grid.press(*keys)
        await grid.type(text)
        for _ in range(2):  # while it is typed, and when it is taken
            shown = " ".join(grid.shown().split())
            assert shown.count(said) == 1
            assert shown.count("not clear yet") == 1
            await grid.press("enter")


async def test_escape_in_a_list_keeps_what_was_chosen_and_closes_the_list_alone(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+n")
        await grid.type("20 x 3 mm")
        await grid.press("tab", "down")
        chosen = grid.answer("mouth")
        assert chosen not in ("", "duct")
        assert f"> {chosen}" in grid.shown()
        assert "Escape: close the list." in grid.shown()
        await grid.press("escape")
        assert isinstance(grid.screen, QuestionScreen)
        assert (grid.answer("tube"), grid.answer("mouth")) == ("20 x 3 mm", chosen)
        assert f"> {chosen}" not in grid.shown()
        assert "Escape: leave." in grid.shown()
        # a part of a name that was looked for is the name it found, as with Tab
        await grid.press("tab", "tab")
        await grid.type("dori")
        await grid.press("escape")
        assert grid.answer("scale") == "dorian pentatonic"
        # the arrows open a list again
        await grid.press("down")
        assert f"> {grid.answer('scale')}" in grid.shown()
        await grid.press("escape")
        assert isinstance(grid.screen, QuestionScreen)
        await grid.press("escape")
        assert grid.screen is grid.main


async def test_escape_leaves_at_once_where_nothing_was_chosen(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+n", "tab")
        assert "> duct" in grid.shown()
        await grid.press("escape")
        assert grid.screen is grid.main


async def test_a_reading_of_another_octave_is_in_hand_to_be_mended(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("f4")
        await grid.type("A3 +10")
        await grid.press("enter")
        await grid.type("360.5")
        await grid.press("enter")
        screen = grid.screen
        assert isinstance(screen, QuestionScreen)
        assert screen.names[screen.current] == "reading"
        told = " ".join(grid.shown().split())
        assert "is the octave right?" in told
        await grid.press("tab", *["backspace"] * 5)
        await grid.type("371 mm")
        await grid.press("enter")  # the length is well: it is the reading again
        assert screen.names[screen.current] == "reading"
        await grid.press(*["backspace"] * 5)
        await grid.type("4 -20")
        await grid.press("enter", "enter")
        await finished(grid)
        assert grid.desk.design.log[-1].measured == "A4 -20"


async def test_a_length_that_is_no_flute_is_in_hand_to_be_mended(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("f4")
        await grid.type("A4")
        await grid.press("tab")
        await grid.type("38")
        await grid.press("tab", "enter")
        screen = grid.screen
        assert isinstance(screen, QuestionScreen)
        assert screen.names[screen.current] == "length"


async def test_the_palette_follows_what_is_typed(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+p")
        assert isinstance(grid.screen, Chooser)
        everything = len(grid.screen.found)
        await grid.type("hole")
        assert 0 < len(grid.screen.found) < everything
        await grid.type("zz")
        assert "nothing of that name" in grid.shown()
        await grid.press("enter")
        assert isinstance(grid.screen, Chooser)
        await grid.press(*["backspace"] * 6)
        assert len(grid.screen.found) == everything
        await grid.press("down", "pagedown", "up", "escape")
        assert grid.screen is grid.main


async def test_every_command_of_the_palette_can_be_reached(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+p")
        screen = grid.screen
        assert isinstance(screen, Chooser)
        for _ in range(len(screen.items) - 1):
            assert f"> {screen.found[screen.chosen].name[:10]}" in grid.shown()
            await grid.press("down")
        assert screen.chosen == len(screen.items) - 1


async def test_help_scrolls_to_its_end(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("f1")
        first = grid.shown()
        await grid.press("down")
        assert grid.shown() != first
        await grid.press("end")
        assert "Leave; what is not saved" in grid.shown()
        await grid.press("home")
        assert grid.shown() == first
        await grid.press("pagedown", "space", "pageup", "q")
        assert grid.screen is grid.main


async def test_help_in_the_form_is_of_the_field(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.field("humidity")
        await grid.press("f1")
        assert "humidity" in grid.shown().split("Moving about")[0]


async def test_keys_of_a_dialog_do_not_reach_the_grid(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.go(0, "hole 0")
        for key in ("f1", "ctrl+p", "f4", "f12"):
            await grid.press(key, "o", "delete", "f8", "escape")
            if grid.screen is not grid.main:
                await grid.press("escape")
        assert grid.screen is grid.main
        assert not grid.desk.unsaved
