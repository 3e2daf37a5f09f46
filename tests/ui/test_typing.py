"""Typing into cells: fresh and in place, letters on holes, ranges, what cannot be read, paste."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events

from scaledesign.files import document_file
from tests.ui.driving import NARROW, Grid, letters, opened, selection


def place(grid: Grid) -> tuple[int, str]:
    return grid.desk.selection.row, grid.desk.column.key


async def test_a_letter_begins_a_new_text_and_enter_goes_down(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "note")
        await grid.type("B")
        assert grid.editor.open
        assert grid.editor.value == "B"
        await grid.type("b4")
        await grid.press("enter")
        assert not grid.editor.open
        assert grid.desk.design.rows[2].note == "Bb4"
        assert place(grid) == (3, "note")
        assert grid.app.focused is grid.main.table


async def test_enter_opens_in_place_and_stays(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "note")
        await grid.press("enter")
        assert grid.editor.value == "C5"
        await grid.press("home", "delete")
        await grid.type("D")
        await grid.press("enter")
        assert grid.desk.design.rows[2].note == "D5"
        assert place(grid) == (2, "note")


@pytest.mark.parametrize(
    ("key", "row", "column"),
    [("tab", 2, "cents"), ("shift+tab", 2, "note"), ("up", 1, "note"), ("down", 3, "note")],
)
async def test_keys_that_take_the_text_and_go_on(wren: Path, key: str, row: int, column: str) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "note")
        await grid.press("f2", "backspace")
        await grid.type("6")
        await grid.press(key)
        assert grid.desk.design.rows[2].note == "C6"
        assert place(grid) == (row, column)


async def test_arrows_leave_a_fresh_text_and_move_within_one_in_place(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        await grid.press("right")
        assert grid.desk.design.rows[2].cents == 5
        assert place(grid) == (2, "hertz")
        await grid.go(2, "note")
        await grid.press("f2", "left", "left")
        assert grid.editor.open
        await grid.type("E")
        assert grid.editor.value == "EC5"
        await grid.press("escape")


async def test_f2_turns_a_fresh_text_into_one_in_place(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        await grid.press("f2", "left")
        assert grid.editor.open
        await grid.type("1")
        await grid.press("enter")
        assert grid.desk.design.rows[2].cents == 15


@pytest.mark.parametrize("how", ["f2", "5"])
async def test_escape_leaves_the_cell_as_it_was(wren: Path, how: str) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "cents")
        await grid.press(how)
        await grid.type("7")
        await grid.press("escape")
        assert not grid.editor.open
        assert grid.desk.design.rows[2].cents == 0
        assert not grid.desk.unsaved
        await grid.press("down")
        assert place(grid) == (3, "cents")


async def test_keys_typed_ahead_of_the_screen_arrive(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "cents")
        await grid.pilot.press("5", "enter", "6", "enter", "minus", "7", "enter")
        await grid.settled()
        assert not grid.desk.drafts
        assert [row.cents for row in grid.desk.design.rows[:3]] == [5, 6, -7]


async def test_a_function_key_takes_the_text_and_does_what_it_does(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "cents")
        await grid.type("5")
        await grid.press("ctrl+s")
        assert document_file.load(wren).rows[2].cents == 5


async def test_letters_on_a_hole_go_in_at_once(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "hole 2")
        seen = []
        for letter in "ohx0XOH":
            await grid.type(letter)
            assert not grid.editor.open
            seen.append(grid.desk.design.rows[0].holes[2])
        assert letters(seen) == "OHXOXOH"
        assert place(grid) == (0, "hole 2")


async def test_a_letter_on_the_spare_line_begins_a_row(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+end", "home")
        await grid.type("D6")
        await grid.press("enter")
        assert len(grid.desk.design.rows) == 16
        assert grid.desk.design.rows[15].note == "D6"


async def test_a_worked_out_column_says_so(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "plays")
        await grid.press("enter")
        assert not grid.editor.open
        assert grid.said == "Plays is worked out; it cannot be typed."
        await grid.go(3, "off")
        assert grid.said == ""
        await grid.press("a")
        assert not grid.editor.open
        assert grid.said == "Off is worked out; it cannot be typed."


@pytest.mark.parametrize(
    ("text", "note", "hertz"),
    [("A#4", "A#4", 466.2), ("523.3 Hz", "523.3 Hz", 523.3), ("3/2", "3/2", 660), ("702 c", "702 c", 660)],
)
async def test_a_target_takes_a_note_hertz_a_ratio_or_cents(
    wren: Path, text: str, note: str, hertz: float
) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(1, "note")
        await grid.type(text)
        await grid.press("enter")
        assert grid.desk.design.rows[1].note == note
        assert float(grid.cell(1, "hertz")) == pytest.approx(hertz, abs=0.06)


async def test_a_mistyped_cell_keeps_its_text_and_says_what_is_wrong(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "note")
        await grid.type("H9")
        await grid.press("enter", "up")
        assert grid.cell(2, "note") == "✗H9"
        assert "1 cell holds a text that could not be read" in grid.shown()
        assert grid.desk.drafts["rows", 2, "note"].problem in " ".join(grid.shown().split())  # whole
        assert grid.desk.design.rows[2].note == "C5"
        await grid.press("f2")
        assert grid.editor.value == "H9"
        await grid.press("backspace", "backspace")
        await grid.type("D5")
        await grid.press("enter")
        assert grid.cell(2, "note") == "D5"
        await grid.press("ctrl+z")
        assert grid.cell(2, "note") == "✗H9"
        await grid.press("ctrl+z")
        assert grid.cell(2, "note") == "C5"
        assert not grid.desk.unsaved


async def test_shift_draws_a_range_and_a_plain_arrow_ends_it(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(2, "note")
        await grid.press("shift+down", "shift+down", "shift+right", "shift+up")
        assert selection(grid.desk) == (2, 3, 1, 2)
        await grid.press("shift+end")
        assert selection(grid.desk) == (2, 3, 1, len(grid.desk.columns) - 1)
        await grid.press("shift+pageup")
        assert selection(grid.desk)[:2] == (0, 2)
        await grid.press("left")
        assert grid.desk.selection.anchor_row is None


async def test_jumps(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        last = len(grid.desk.columns) - 1
        await grid.press("end")
        assert selection(grid.desk) == (0, 0, last, last)
        await grid.press("home")
        assert selection(grid.desk) == (0, 0, 1, 1)
        await grid.press("ctrl+end")
        assert selection(grid.desk) == (15, 15, last, last)
        await grid.press("pageup")
        assert 0 < grid.desk.selection.row < 5
        await grid.press("pagedown")
        assert grid.desk.selection.row == 15
        await grid.press("ctrl+home", "tab")
        assert selection(grid.desk) == (0, 0, 2, 2)


async def test_space_turns_every_hole_of_a_range(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "hole 0")
        await grid.press("shift+right", "shift+down", "space")
        assert [letters(row.holes) for row in grid.desk.design.rows[:3]] == ["OOXXXX", "OOXXXH", "XXXXXO"]
        await grid.press("ctrl+z")
        assert not grid.desk.unsaved


async def test_the_terminals_own_paste(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(1, "note")
        text = "F5\t2\r\nG5\t\r\nXOX OXO\t-3\r\n"
        grid.app.post_message(events.Paste(text))
        await grid.settled()
        rows = grid.desk.design.rows
        assert [(row.note, row.cents) for row in rows[1:4]] == [("F5", 2), ("G5", 0), ("D5", -3)]
        assert letters(rows[3].holes) == "XOXOXO"
        assert selection(grid.desk)[:2] == (1, 3)
        await grid.press("ctrl+z")
        assert not grid.desk.unsaved


async def test_a_paste_while_typing_goes_into_the_text(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(1, "cents")
        await grid.type("1")
        grid.app.post_message(events.Paste("2"))
        await grid.settled()
        assert grid.editor.value == "12"
        await grid.press("enter")
        assert grid.desk.design.rows[1].cents == 12


async def test_paste_below_the_last_row_adds_rows(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.press("ctrl+end", "home")
        grid.app.post_message(events.Paste("D6\nE6\n"))
        await grid.settled()
        assert [row.note for row in grid.desk.design.rows[15:]] == ["D6", "E6"]


async def test_copy_here_paste_there(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(0, "hole 0")
        await grid.press("shift+end", "ctrl+c")
        await grid.go(5, "hole 0")
        await grid.press("ctrl+v")
        assert grid.desk.design.rows[5].holes == grid.desk.design.rows[0].holes
        assert grid.desk.design.rows[5].note == "E5"


async def test_a_field_of_the_form_takes_effect(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.field("A4 in Hz")
        await grid.type("415")
        await grid.press("enter")
        assert grid.desk.design.tuning.reference == 415
        assert grid.cell(0, "hertz") == "415.0"


async def test_space_in_the_form_takes_the_next_choice_and_a_heading_is_passed_over(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.field("foot is cut")
        await grid.press("space")
        assert grid.desk.design.tube.locked
        await grid.press("ctrl+home", "enter")
        assert not grid.editor.open


async def test_a_place_in_the_hole_list_is_kept(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        await grid.go(1, "at", "holes")
        place = grid.desk.design.holes[1].at + 0.001
        await grid.type(f"{place * 1000:.2f}")
        await grid.press("enter")
        assert grid.desk.design.holes[1].at == pytest.approx(place)
        assert grid.desk.design.holes[1].locked == {"at"}
        assert grid.cell(1, "moved", "holes") == "→1.0"


async def test_a_measured_note_teaches(wren: Path) -> None:
    async with opened(wren, size=NARROW) as grid:
        before = grid.desk.sheet.number("uncertainty", 5)
        await grid.go(0, "measured")
        await grid.type("A4 -10")
        await grid.press("enter")
        assert grid.desk.design.rows[0].measured == "A4 -10"
        assert grid.desk.sheet.number("uncertainty", 5) < 0.7 * before
