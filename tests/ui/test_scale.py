"""Scales on the screen: the table of degrees, retuning, tunings side by side, a scale kept."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from scaledesign.files import scale_file
from scaledesign.ui import room
from scaledesign.ui.question_screen import QuestionScreen
from scaledesign.ui.worked_list import WorkedList
from scaledesign.workshop import beside
from tests.ui.driving import NARROW, Grid, opened


async def palette(grid: Grid, title: str) -> None:
    """An action by its name."""
    await grid.press("ctrl+p")
    await grid.type(title)
    await grid.press("enter")


async def test_a_degree_typed_and_taken_back(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(1, "written", "scale")
        await grid.type("6/5")
        await grid.press("enter")
        assert "A4 own de" in grid.shown()
        assert grid.said.startswith("Set degree 2. Hole ")
        assert grid.desk.spot == ("scale", 2, "written")
        assert grid.cell(1, "equal", "scale") == "+15.6"
        await grid.press("ctrl+z")
        assert grid.said == "Undone: set degree 2."
        assert not grid.desk.unsaved


async def test_a_degree_nudged_put_in_and_taken_out(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.go(1, "cents", "scale")
        await grid.press("right_square_bracket", "right_square_bracket")
        assert grid.desk.design.tuning.degrees[1] == "302 c"
        await grid.press("f7", "f8", "ctrl+z", "ctrl+z", "ctrl+z")
        assert not grid.desk.unsaved


async def test_new_degrees_are_typed_below_the_last(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(6, "written", "scale")
        await grid.type("5/0")
        await grid.press("enter")
        assert "✗5/0" in grid.shown()
        await grid.press("up", "f2", "backspace", "4", "enter")
        assert "✗" not in grid.shown()
        assert len(grid.desk.sheet.degrees) == 7


async def test_beside_the_grid_it_takes_the_place_of_the_setup(wren: Path) -> None:
    async with opened(wren) as grid:
        await grid.go(1, "cents", "scale")
        seen = {pane: grid.main.query_one(f"#{pane}").display for pane in ("rows", "holes", "setup", "scale")}
        assert seen == {"rows": True, "holes": True, "setup": False, "scale": True}
        await grid.press("f3")
        assert grid.desk.pane == "rows"
        await grid.press("f6", "f6")
        assert grid.main.query_one("#setup").display


async def test_retuning_left_with_escape_changes_nothing(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("f11", "tab", "tab", "2")
        await grid.until(lambda: "toward the" in grid.shown(), "what moves")
        assert "then  A4" in grid.shown()
        await grid.press("escape")
        assert grid.answer("begin") == "2"  # the list of degrees is closed, no more
        await grid.press("escape")
        assert grid.screen is grid.main
        assert not grid.desk.unsaved


async def test_what_is_told_to_move_is_what_moves(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        was = grid.desk.design.tube.length
        await grid.press("f11", "tab", "E", "5")
        await grid.until(lambda: "The tube becomes" in grid.shown(), "what moves")
        shown = grid.shown()
        await grid.press("enter")
        await grid.until(lambda: grid.desk.answer.final, "the holes")
        assert f"The tube becomes {(was - grid.desk.design.tube.length) * 1e3:.1f} mm shorter" in shown


async def test_a_part_of_a_name_is_shown_as_what_it_means_and_taken_with_one_enter(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("f11")
        await grid.type("just penta")
        await grid.until(lambda: "toward the" in grid.shown(), "what moves")
        assert "Taken as just pentatonic major." in grid.shown()
        assert "then  A4     0  204" in grid.shown()
        assert "not clear yet" not in grid.shown()
        await grid.press("enter")
        assert grid.screen is grid.main
        assert grid.desk.design.tuning.scale == "just pentatonic major"


async def test_retuning_to_nonsense_is_said_and_not_done(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("f11", "tab", "tab", "9", "enter")
        assert isinstance(grid.screen, QuestionScreen)
        assert "write 1 to 5" in grid.shown()


async def test_retuned_and_taken_back_in_one_step(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("f11")
        for text in ("", "G4", "2", "", "5"):
            await grid.type(text)
            await grid.press("tab")
        await grid.press("enter")
        tuning = grid.desk.design.tuning
        assert (tuning.tonic, tuning.degrees[1], tuning.degrees[-1]) == ("G4", "200.833333 c", "1205 c")
        await grid.press("ctrl+z")
        assert not grid.desk.unsaved


async def test_escape_stops_what_is_tried(wren: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    go_on, begun, ended = threading.Event(), threading.Event(), threading.Event()
    tried: list[object] = []

    def slowly(design: object, wishes: tuple[object, ...]) -> Iterator[object]:
        try:
            for wish in wishes:
                begun.set()
                go_on.wait(20)
                tried.append(wish)
                yield beside.Tried("as it stands", None)
        finally:
            ended.set()

    monkeypatch.setattr(beside, "one_by_one", slowly)
    async with opened(wren, size=NARROW) as grid:
        await palette(grid, "try tunings")
        await grid.press("enter")
        await grid.pilot.press("enter")
        await grid.until(lambda: isinstance(grid.screen, WorkedList) and begun.is_set(), "the work")
        assert "Solving the holes for each" in grid.shown()
        await grid.pilot.press("escape")
        await grid.until(lambda: grid.screen is grid.main, "the screen")
        go_on.set()
        await grid.until(ended.is_set, "the end")
        assert len(tried) == 1
        assert not grid.desk.unsaved


async def test_a_scale_is_written_to_a_file_and_asked_about_once_there(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        for there in (False, True):
            await palette(grid, "keep the scale")
            await grid.type("scale file")
            await grid.press("tab", "enter")
            path = wren.with_name("pentatonic-minor.toml")
            assert path.is_file()
            await grid.until(
                lambda there=there: ("Replace the file?" in grid.shown()) == there, "the question"
            )
        await grid.press("escape")
        assert scale_file.load(path).cents == (0, 300, 500, 700, 1000)


async def test_a_taken_name_is_refused(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await palette(grid, "keep the scale")
        await grid.press("tab")
        await grid.type("major")
        await grid.press("enter")
        assert isinstance(grid.screen, QuestionScreen)
        assert "'major' is the name of a scale already" in grid.shown()


@pytest.mark.parametrize(
    ("size", "degrees", "pictures"),
    [((140, 40), 9, (True, True)), ((140, 40), 19, (True, False)), ((116, 30), 20, (False, False))],
)
def test_the_scale_has_its_lines_before_the_pictures(
    size: tuple[int, int], degrees: int, pictures: tuple[bool, bool]
) -> None:
    shown = room.room(size, "scale", 6, degrees).shown
    assert (shown["errors"], shown["spectrum"]) == pictures
    assert room.room(size, "rows", 6, degrees).shown["spectrum"]
