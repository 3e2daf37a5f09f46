"""Every action of the table of actions, by each of its keys, and what is seen of it."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from pathlib import Path

import pytest
from textual._xterm_parser import XTermParser
from textual.events import Key

from scaledesign.files import document_file
from scaledesign.ui.bench_screen import BenchScreen
from scaledesign.ui.chooser import Chooser
from scaledesign.ui.dialog import Deciding, Reading
from scaledesign.ui.look import DAY, NIGHT, PLAIN
from scaledesign.ui.question_screen import QuestionScreen
from scaledesign.ui.worked_list import WorkedList
from scaledesign.view import scale_degrees
from scaledesign.view.actions import ACTIONS, BY_NAME
from scaledesign.view.lines import DRAWN, TYPED
from scaledesign.workshop.ask import offers
from tests.ui.driving import Grid, letters, opened, selection

Test = Callable[[Path, str], Awaitable[None]]
TESTED: set[str] = set()


def action(name: str) -> Callable[[Test], Test]:
    """A test of an action, once for each of its keys; for one without a key by its name in the palette."""
    TESTED.add(name)
    return pytest.mark.parametrize("key", BY_NAME[name].keys or (f"palette:{BY_NAME[name].title}",))


async def ask(grid: Grid, key: str) -> None:
    """Press a key, or choose in the palette."""
    if key.startswith("palette:"):
        await grid.press("ctrl+p")
        await grid.type(key.removeprefix("palette:"))
        key = "enter"
    await grid.press(key)


def test_every_action_has_a_test() -> None:
    assert {action.name for action in ACTIONS} == TESTED


# The cell


@action("edit")
async def test_edit(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "note")
        await ask(grid, key)
        assert grid.editor.open
        assert grid.editor.value == "C5"


@action("turn")
async def test_turn(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(0, "hole 0")
        seen = []
        for _ in range(3):
            await ask(grid, key)
            seen.append(grid.cell(0, "hole 0"))
        assert seen == ["○", "◐", "●"]


@action("clear")
async def test_clear(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        await grid.press("enter", "up")
        assert grid.desk.design.rows[2].cents == 5
        await ask(grid, key)
        assert grid.desk.design.rows[2].cents == 0


@action("sharper")
async def test_sharper(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "note")
        await ask(grid, key)
        await ask(grid, key)
        assert grid.desk.design.rows[2].cents == 2
        assert grid.cell(2, "cents") == "+2"
        await grid.go(1, "at", "holes")
        was = grid.desk.design.holes[1].at
        await ask(grid, key)
        assert grid.desk.design.holes[1].at == pytest.approx(was + 1e-4)


@action("flatter")
async def test_flatter(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "note")
        await ask(grid, key)
        assert grid.desk.design.rows[2].cents == -1
        await grid.go(1, "width", "holes")
        assert grid.desk.design.holes[1].diameter == pytest.approx(6.5e-3)
        await ask(grid, key)
        assert grid.desk.design.holes[1].diameter == pytest.approx(6e-3)


@action("copy")
async def test_copy(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "note")
        await grid.press("shift+down", "shift+right")
        await ask(grid, key)
        assert grid.app.clipboard == "C5\t0\nD5\t0\n"
        assert grid.said == "Copied 2 by 2 cells."


@action("cut")
async def test_cut(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        await grid.press("enter", "up")
        await ask(grid, key)
        assert grid.app.clipboard.strip() == "5"
        assert grid.desk.design.rows[2].cents == 0


@action("paste")
async def test_paste(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "note")
        grid.app.copy_to_clipboard("Bb4\t3\nD5\t4")
        await ask(grid, key)
        assert [(row.note, row.cents) for row in grid.desk.design.rows[2:4]] == [("Bb4", 3), ("D5", 4)]
        assert selection(grid.desk) == (2, 3, 1, 2)


@action("fill")
async def test_fill(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        await grid.press("enter", "up", "shift+down", "shift+down")
        await ask(grid, key)
        assert [row.cents for row in grid.desk.design.rows[1:6]] == [0, 5, 5, 5, 0]


@action("select_all")
async def test_select_all(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(3, "cents")
        await ask(grid, key)
        rows = len(grid.desk.design.rows)
        assert selection(grid.desk) == (0, rows - 1, 1, len(grid.desk.columns) - 1)


@action("undo")
async def test_undo(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        before = grid.desk.design
        await grid.go(2, "cents")
        await grid.type("7")
        await grid.press("enter")
        assert "undo set cents of row 3" in grid.shown()
        await ask(grid, key)
        assert grid.desk.design == before
        assert not grid.desk.unsaved
        assert grid.said == "Undone: set cents of row 3."


@action("redo")
async def test_redo(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "cents")
        await grid.type("7")
        await grid.press("enter")
        after = grid.desk.design
        await grid.press("ctrl+z")
        await ask(grid, key)
        assert grid.desk.design == after
        assert grid.said == "Done again: set cents of row 3."


# Rows and holes


@action("insert")
async def test_insert(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "note")
        await ask(grid, key)
        assert [row.note for row in grid.desk.design.rows[:4]] == ["A4", "B4", "C5", "C5"]
        await grid.go(1, "at", "holes")
        await ask(grid, key)
        assert len(grid.desk.design.holes) == 7


@action("duplicate")
async def test_duplicate(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "note")
        await ask(grid, key)
        assert [row.note for row in grid.desk.design.rows[2:5]] == ["C5", "C5", "D5"]
        assert grid.desk.selection.row == 3


@action("delete")
async def test_delete(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(1, "note")
        await grid.press("shift+down")
        await ask(grid, key)
        assert [row.note for row in grid.desk.design.rows[:2]] == ["A4", "D5"]
        assert len(grid.desk.design.rows) == 13


@action("up")
async def test_move_up(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "note")
        await ask(grid, key)
        assert [row.note for row in grid.desk.design.rows[:3]] == ["A4", "C5", "B4"]
        assert grid.desk.selection.row == 1


@action("down")
async def test_move_down(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(1, "note")
        await grid.press("shift+down")
        await ask(grid, key)
        assert [row.note for row in grid.desk.design.rows[:4]] == ["A4", "D5", "B4", "C5"]
        assert selection(grid.desk)[:2] == (2, 3)


@action("sort")
async def test_sort(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(0, "hertz")
        await ask(grid, key)
        once = [row.note for row in grid.desk.design.rows]
        await ask(grid, key)
        again = [row.note for row in grid.desk.design.rows]
        assert {once[0], again[0]} == {"A4", "E6"}
        assert {once[-1], again[-1]} == {"A4", "E6"}


@action("lock")
async def test_lock(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "at", "holes")
        await ask(grid, key)
        assert grid.desk.design.holes[2].locked == {"at", "diameter"}
        assert grid.cell(2, "lock", "holes") == "▪ both"
        await ask(grid, key)
        assert not grid.desk.design.holes[2].locked


@action("measure")
async def test_measure(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(0, "at", "holes")
        assert "from edge" in grid.shown()
        await ask(grid, key)
        assert "from foot" in grid.shown()
        tube, hole = grid.desk.design.tube, grid.desk.design.holes[0]
        assert grid.cell(0, "at", "holes") == f"{(tube.length - hole.at) * 1000:.1f}"


# The flute


@action("blow")
async def test_blow(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, QuestionScreen)
        assert "it should sound about G#4" in grid.shown()


@action("hold")
async def test_hold(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        places = [hole.at for hole in grid.desk.design.holes]
        await grid.go(2, "cents")
        await grid.type("20")
        await grid.press("enter")
        assert [hole.at for hole in grid.desk.design.holes] == places
        assert grid.cell(2, "off").startswith(" −20▼")
        await ask(grid, key)
        assert [hole.at for hole in grid.desk.design.holes] != places
        assert grid.cell(2, "off").startswith("   0")


@action("solve")
async def test_solve(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        before = grid.desk.design.holes[5].at
        await grid.press("f9")
        await grid.go(5, "at", "holes")
        await grid.type("290")
        await grid.press("enter")
        assert grid.desk.design.holes[5].at == pytest.approx(0.29)
        assert abs(grid.desk.sheet.number("cents", 2)) > 10
        await ask(grid, key)
        assert grid.desk.design.holes[5].at == pytest.approx(before, abs=3e-4)
        assert abs(grid.desk.sheet.number("cents", 2)) < 1


@action("why")
async def test_why(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, Reading)
        assert "What there is to say" in grid.shown()
        await grid.press("escape")
        assert grid.screen is grid.main


@action("new")
async def test_new(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, QuestionScreen)
        assert "A new flute" in grid.shown()


@action("guide")
async def test_guide(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert "1 of 8. Each row is a fingering of the flute above, and" in grid.shown()
        await grid.press("down")
        assert "2 of 8. Now your own." in grid.shown()
        await ask(grid, key)
        assert "of 8." not in grid.shown()


# Looking for fingerings, scales and other flutes


async def worked(grid: Grid, key: str) -> WorkedList:
    """The list that an action opens, worked out."""
    await ask(grid, key)
    screen = grid.screen
    assert isinstance(screen, WorkedList)
    return screen


@action("find")
async def test_find(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await grid.go(1, "note")
        await worked(grid, key)
        assert "Row 2, C5: " in grid.shown()
        await grid.press("down", "enter")
        assert letters(grid.desk.design.rows[1].holes) != "XXO"


@action("trills")
async def test_trills(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await grid.go(1, "note")
        await worked(grid, key)
        assert "C5 to D5: the " in grid.shown()
        await grid.press("end", "enter")
        assert len(grid.desk.design.rows) > 4


@action("chart")
async def test_chart(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await worked(grid, key)
        await grid.press("tab")
        assert "[all semitones]" in grid.shown()
        await grid.press("enter")
        assert len(grid.desk.design.rows) > 4
        await grid.press("ctrl+z")
        assert len(grid.desk.design.rows) == 4


@action("suits")
async def test_suits(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await worked(grid, key)
        assert "are clean (within 10 cents)" in grid.shown()
        await grid.press("escape")
        assert grid.desk.design == document_file.load(small)


@action("earlier")
async def test_earlier(small: Path, key: str) -> None:
    before = document_file.load(small)
    async with opened(small) as grid:
        await ask(grid, key)
        assert "No earlier version of" in grid.shown()
        await grid.press("escape")
        await grid.go(1, "note")
        await grid.type("A5")
        await grid.press("enter", "ctrl+s")
        await worked(grid, key)
        assert "3 holes, 4 rows" in grid.shown()
        await grid.press("enter")
        assert grid.desk.design == before
        await grid.press("ctrl+z")
        assert grid.desk.design == document_file.load(small) != before


@action("chances")
async def test_chances(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await worked(grid, key)
        assert "Of 1,000 flutes" in grid.shown()
        assert "cut too short" in grid.shown()
        await grid.press("down")
        assert "have to be filled" in grid.shown()
        await worked(grid, "m")
        assert "Of 10,000 flutes" in grid.shown()
        await grid.press("escape")
        assert grid.desk.design == document_file.load(small)


@action("compare")
async def test_compare(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await ask(grid, key)
        await grid.type("wren")
        await worked(grid, "enter")
        assert "6 holes instead of 3" in grid.shown()
        await grid.press("enter")
        assert len(grid.desk.design.holes) == 6


@action("hear")
async def test_hear(small: Path, key: str) -> None:
    assert await heard(small, key) == [("frequency", 0)]


@action("hear_scale")
async def test_hear_scale(small: Path, key: str) -> None:
    assert await heard(small, key) == [("frequency", row) for row in range(4)]


@action("hear_wanted")
async def test_hear_wanted(small: Path, key: str) -> None:
    assert await heard(small, key) == [("target", 0), ("frequency", 0)]


async def heard(path: Path, key: str) -> list[tuple[str, int]]:
    """What a key plays: which number of which row, note by note."""
    played: list[float] = []

    def play(notes: Sequence[tuple[float, float]], cancelled: Callable[[], bool]) -> bool:
        played.extend(hertz for hertz, _ in notes)
        return True

    async with opened(path) as grid:
        grid.app.hearing.loudspeaker.play = play
        await ask(grid, key)
        await grid.until(lambda: bool(played))
        rows = range(len(grid.desk.design.rows))
        known = {grid.desk.sheet.number(n, i): (n, i) for i in rows for n in ("target", "frequency")}
        return [known[hertz] for hertz in played]


# Looking


@action("help")
async def test_help(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(0, "off")
        await ask(grid, key)
        assert isinstance(grid.screen, Reading)
        assert "Cents from the target" in grid.shown()
        await grid.press("escape")
        assert grid.screen is grid.main


@action("read")
async def test_read(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, Chooser)
        assert "first-flute" in grid.shown()
        await grid.type("messages")
        await grid.press("enter")
        assert isinstance(grid.screen, Reading)
        assert "What it says when something is wrong" in grid.shown()
        await grid.press("escape")
        assert isinstance(grid.screen, Chooser)
        await grid.press("escape")
        assert grid.screen is grid.main


@action("next_pane")
async def test_next_pane(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        seen = []
        for _ in range(4):
            await ask(grid, key)
            seen.append((grid.desk.pane, grid.app.focused))
        panes = ("holes", "setup", "scale", "rows")
        assert seen == [(pane, grid.main.query_one(f"#{pane}")) for pane in panes]


@action("previous_pane")
async def test_previous_pane(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert grid.desk.pane == "scale"
        await ask(grid, key)
        assert grid.desk.pane == "setup"


@action("sound")
async def test_sound(wren: Path, key: str) -> None:
    async with opened(wren, size=(80, 24)) as grid:
        assert not grid.main.query_one("#spectrum").display
        await ask(grid, key)
        assert grid.main.query_one("#spectrum").display
        assert not grid.main.query_one("#rows").display
        await ask(grid, key)
        assert grid.main.query_one("#rows").display


@action("theme")
async def test_theme(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        seen = []
        for _ in range(3):
            await ask(grid, key)
            seen.append((grid.app.look, grid.said))
        assert seen == [(DAY, "Day."), (PLAIN, "No colours."), (NIGHT, "Night.")]


@action("signs")
async def test_signs(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        assert grid.desk.signs is DRAWN
        await ask(grid, key)
        assert grid.desk.signs is TYPED
        assert grid.cell(0, "hole 0") == "X"
        await ask(grid, key)
        assert grid.desk.signs is DRAWN


@action("palette")
async def test_palette(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, Chooser)
        await grid.type("repeat")
        await grid.press("enter")
        assert [row.note for row in grid.desk.design.rows[:2]] == ["A4", "A4"]


# The file


@action("save")
async def test_save(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        await grid.press("enter")
        assert "(not saved)" in grid.shown()
        await ask(grid, key)
        assert document_file.load(wren).rows[2].cents == 5
        assert not grid.desk.unsaved
        assert grid.said == "Saved to wren.toml."


@action("save_as")
async def test_save_as(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert grid.answer("file") == "wren.toml"
        await grid.press(*["backspace"] * len("wren.toml"))
        await grid.type("heron")
        await grid.press("enter")
        assert wren.with_name("heron.toml").read_bytes() == wren.read_bytes()
        assert grid.desk.path == wren.with_name("heron.toml")


@action("open")
async def test_open(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, Chooser)
        await grid.type("grey")
        await grid.press("enter")
        assert grid.desk.title == "Grey heron"


@action("print")
async def test_print(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        await grid.type("holes")
        await grid.press("enter", "enter")
        written = wren.with_name("marsh-wren-holes.txt")
        assert written.is_file()
        assert "143.5" in written.read_text(encoding="utf-8")
        assert grid.said == f"Written to {written}."


@action("quit")
async def test_quit(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        assert not grid.app.is_running
    async with opened(wren) as grid:
        await grid.go(0, "hole 0")
        await grid.type("o")
        assert letters(grid.desk.design.rows[0].holes) == "OXXXXX"
        await ask(grid, key)
        assert isinstance(grid.screen, Deciding)


# Scales


@action("retune")
async def test_retune(wren: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        await grid.type("just pentatonic minor")
        await grid.until(lambda: "Hole 6 moves" in grid.shown(), "what moves")
        await grid.press("enter")
        assert grid.desk.design.tuning.scale == "just pentatonic minor"
        assert grid.desk.history.undo_name == "retune to A4 just pentatonic minor"


@action("tunings")
async def test_tunings(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await ask(grid, key)
        await grid.press("enter")
        await worked(grid, "enter")
        await grid.press("enter")
        assert grid.desk.design.tuning.scale == "pythagorean pentatonic minor"


@action("keep_scale")
async def test_keep_scale(wren: Path, home: Path, key: str) -> None:
    async with opened(wren) as grid:
        await ask(grid, key)
        await grid.press("tab")
        await grid.type("river fifths")
        await grid.press("enter")
        assert (home / "scales" / "river-fifths.toml").is_file()
        assert "'river fifths' is found by its name" in grid.said
        assert offers().scale("river fifths").kind == "your own"
        scale_degrees.look_again()


@action("hands")
async def test_hands(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, WorkedList)
        assert "Under the hand" in grid.shown()


@action("by_eye")
async def test_by_eye(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, WorkedList)
        assert "Without a tape" in grid.shown()


# The bench: each opens here, and is tried in a file of its own


@action("bench")
async def test_bench(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, BenchScreen)
        await grid.press("escape")
        assert grid.screen is grid.main


@action("benchwork")
async def test_benchwork(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await ask(grid, key)
        assert isinstance(grid.screen, Chooser)
        assert all(BY_NAME[name].title in grid.shown() for name in ("bench", "tube", "rescue", "book"))


@pytest.mark.parametrize("name", ["tube", "listen", "carry"])
async def test_what_asks_first(small: Path, name: str) -> None:
    async with opened(small) as grid:
        await ask(grid, f"palette:{BY_NAME[name].title}")
        assert isinstance(grid.screen, QuestionScreen)


@pytest.mark.parametrize("name", ["rescue", "pattern"])
async def test_what_works_out_a_list(small: Path, name: str) -> None:
    async with opened(small) as grid:
        await ask(grid, f"palette:{BY_NAME[name].title}")
        assert isinstance(grid.screen, WorkedList)


@action("book")
async def test_book(small: Path, key: str) -> None:
    async with opened(small) as grid:
        await ask(grid, key)
        assert "[book]" in grid.shown()


TESTED |= {"tube", "listen", "carry", "rescue", "pattern"}


def test_a_terminal_sends_each_key_with_alt_as_that_key() -> None:
    """Alt and a letter come as Escape and the letter; Textual takes some of these for other keys."""
    for action in ACTIONS:
        for key in action.keys:
            if key.startswith("alt+") and len(key) == len("alt+x"):
                parser = XTermParser()
                sent = [*parser.feed(f"\x1b{key[-1]}"), *parser.feed("")]
                assert [event.key for event in sent if isinstance(event, Key)] == [key], action.name
