"""Whole rows and blocks: put in, taken out, moved, sorted, filled, copied, pasted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.model.document import Row
from scaledesign.view import row_work
from scaledesign.view.clipboard import LONGEST
from scaledesign.view.selection import Selection
from tests.view import working
from tests.view.working import at, column_of, desk_of, example, later, opened, ranged, typed

START = opened()
HELD = START.holding()
ROWS = START.design.rows
COUNT = len(ROWS)
NOTES = [row.note for row in ROWS]


def notes(desk: working.Desk) -> list[str]:
    return [row.note for row in desk.design.rows]


def whole(desk: working.Desk, rows: range) -> working.Desk:
    """Rows selected from the first column that can be to the last."""
    return desk.going(Selection(rows[-1], 999, rows[0], 1), "rows")


# Put in, taken out, moved


def test_a_row_is_put_in_before_the_cursor() -> None:
    done = row_work.inserted(at(HELD, "rows", 3, "note"), 5.0)
    assert notes(done) == [*NOTES[:3], NOTES[3], *NOTES[3:]]
    assert (done.design.rows[3].weight, done.design.rows[4]) == (0.0, ROWS[3])
    assert done.history.undo_name == "insert row"
    assert done.undone().design is START.design
    below = row_work.inserted(at(HELD, "rows", COUNT, "note"), 5.0)
    assert notes(below) == [*NOTES, "A4"]


def test_a_row_is_repeated_below_itself() -> None:
    done = row_work.duplicated(at(HELD, "rows", 3, "cents"), 5.0)
    assert notes(done) == [*NOTES[:4], NOTES[3], *NOTES[4:]]
    assert done.spot == ("rows", 4, "cents")
    assert done.history.undo_name == "duplicate row 4"
    assert row_work.duplicated(at(HELD, "rows", COUNT, "note"), 5.0).said.text == row_work.NO_ROWS_HERE


def test_selected_rows_are_taken_out() -> None:
    done = row_work.deleted(ranged(HELD, "rows", range(2, 5), "note", "cents"), 5.0)
    assert notes(done) == [*NOTES[:2], *NOTES[5:]]
    assert done.history.undo_name == "delete 3 rows"
    assert done.selection.anchor_row is None
    assert done.undone().design is START.design
    assert row_work.deleted(at(HELD, "rows", 4, "note"), 5.0).history.undo_name == "delete row 5"
    assert (
        row_work.deleted(at(HELD, "rows", COUNT, "note"), 5.0).said.text
        == "There is nothing to take out here."
    )
    every = row_work.deleted(ranged(HELD, "rows", range(COUNT), "note", "note"), 5.0)
    assert every.design.rows == ()
    working.see_everything(working.answered(every))


def test_rows_move_and_the_cursor_goes_with_them() -> None:
    down = row_work.shifted_rows(at(HELD, "rows", 2, "cents"), 1, 5.0)
    assert notes(down) == [*NOTES[:2], NOTES[3], NOTES[2], *NOTES[4:]]
    assert down.spot == ("rows", 3, "cents")
    assert down.history.undo_name == "move row 3"
    block = row_work.shifted_rows(ranged(HELD, "rows", range(2, 5), "note", "cents"), -1, 5.0)
    assert notes(block) == [NOTES[0], *NOTES[2:5], NOTES[1], *NOTES[5:]]
    assert list(block.selection.rows) == [1, 2, 3]
    assert row_work.shifted_rows(block, 1, later(block)).design == START.design


def test_rows_do_not_move_out_of_the_grid() -> None:
    for desk, by in ((at(HELD, "rows", 0, "note"), -1), (at(HELD, "rows", COUNT - 1, "note"), 1),
                     (at(HELD, "rows", COUNT, "note"), -1)):  # fmt: skip
        assert row_work.shifted_rows(desk, by, 5.0).history is HELD.history


# Sorting


def test_rows_are_sorted_by_what_they_sound_low_first_then_the_other_way() -> None:
    shuffled = replace(example(), rows=(*ROWS[5:], *ROWS[:5]))
    desk = at(desk_of(shuffled), "rows", 0, "note")
    rising = working.answered(row_work.sorted_rows(desk, 5.0))
    targets = [rising.sheet.number("target", i) for i in range(COUNT)]
    assert targets == sorted(targets)
    assert rising.history.undo_name == "sort rows by note"
    falling = working.answered(row_work.sorted_rows(rising, later(rising)))
    assert [falling.sheet.number("target", i) for i in range(COUNT)] == targets[::-1]
    again = row_work.sorted_rows(falling, later(falling))
    assert [row.note for row in again.design.rows] == notes(rising)
    assert falling.undone().undone().design is shuffled


@pytest.mark.parametrize(
    "key", ["cents", "hertz", "plays", "off", "hole 2", "measured", "role", "register", "weight"]
)
def test_every_column_sorts(key: str) -> None:
    done = row_work.sorted_rows(at(HELD, "rows", 0, key), 5.0)
    assert sorted(map(repr, done.design.rows)) == sorted(map(repr, ROWS))


def test_rows_without_a_number_come_last() -> None:
    desk = desk_of(working.silent())
    first = desk_of(replace(desk.design, rows=desk.design.rows[::-1]))
    done = row_work.sorted_rows(at(first, "rows", 0, "off"), 5.0)
    assert done.design.rows[-1] == desk.design.rows[2]
    done = working.answered(done)
    falling = row_work.sorted_rows(done, later(done))
    assert falling.design.rows[-1] == desk.design.rows[2]
    assert falling.design.rows[0] == done.design.rows[-2]


def test_rows_without_a_reading_come_last_either_way() -> None:
    read = typed(typed(HELD, "rows", 2, "measured", NOTES[2]), "rows", 4, "measured", NOTES[4])
    rising = row_work.sorted_rows(at(read, "rows", 0, "measured"), later(read))
    falling = row_work.sorted_rows(rising, later(rising))
    for done in (rising, falling):
        assert [bool(row.measured) for row in done.design.rows[:3]] == [True, True, False]
    assert rising.design.rows[0] == falling.design.rows[1]


def test_rows_of_equal_value_are_sorted_already() -> None:
    done = row_work.sorted_rows(at(HELD, "rows", 0, "cents"), 5.0)
    assert (done.said.text, done.design) == ("Already sorted.", HELD.design)
    assert not done.history.past


def test_only_rows_are_moved_sorted_and_put_in() -> None:
    for pane in ("holes", "setup"):
        desk = HELD.going_to(pane)
        assert row_work.sorted_rows(desk, 5.0).said.text == "Only rows of the grid can be sorted."
        assert row_work.shifted_rows(desk, 1, 5.0).said.text.startswith("Only rows of the grid can be moved")
        assert row_work.duplicated(desk, 5.0).said.text == row_work.NO_ROWS_HERE
    for act in (row_work.inserted, row_work.deleted):
        assert act(HELD.going_to("setup"), 5.0).said.text == row_work.NO_ROWS_HERE


# Filling


def test_the_first_row_fills_the_others() -> None:
    start = typed(HELD, "rows", 1, "cents", "7")
    done = row_work.filled(ranged(start, "rows", range(1, 5), "cents", "cents"), later(start))
    assert [row.cents for row in done.design.rows[:6]] == [0.0, 7.0, 7.0, 7.0, 7.0, 0.0]
    assert done.history.undo_name == "fill down"
    assert done.undone().design is start.design


def test_a_single_cell_takes_what_stands_above() -> None:
    done = row_work.filled(at(HELD, "rows", 1, "note"), 5.0)
    assert done.design.rows[1].note == NOTES[0]
    assert (
        row_work.filled(at(HELD, "rows", 0, "note"), 5.0).said.text == "There is nothing above to fill from."
    )
    assert row_work.filled(at(HELD, "rows", 1, "plays"), 5.0).said.text == "There is nothing to fill here."


def test_whole_rows_filled_are_alike_but_for_what_is_worked_out() -> None:
    done = row_work.filled(whole(HELD, range(2, 5)), 5.0)
    assert not done.drafts
    assert {replace(row, open_share=0.5) for row in done.design.rows[2:5]} == {ROWS[2]}


# Copying and pasting


def test_whole_rows_copied_and_pasted_are_the_same_rows() -> None:
    text = row_work.copied(whole(HELD, range(COUNT)))
    assert len(text.splitlines()) == COUNT
    assert row_work.pasted(at(HELD, "rows", 0, "note"), text, 5.0).design is START.design
    empty = replace(HELD, history=HELD.history.amend(replace(START.design, rows=())))
    done = row_work.pasted(at(empty, "rows", 0, "note"), text, 5.0)
    assert not done.drafts
    assert done.design.rows == ROWS
    assert done.undone().design.rows == ()


def test_rows_pasted_below_the_last_are_new() -> None:
    text = row_work.copied(whole(HELD, range(2, 5)))
    done = row_work.pasted(at(HELD, "rows", COUNT - 1, "note"), text, 5.0)
    assert done.design.rows[COUNT - 1 :] == ROWS[2:5]
    assert list(done.selection.rows) == [COUNT - 1, COUNT, COUNT + 1]
    assert done.history.undo_name == f"paste 3 by {len(HELD.columns) - 1}"
    assert done.undone().design is START.design


def test_one_value_fills_the_selection() -> None:
    done = row_work.pasted(ranged(HELD, "rows", range(1, 4), "hole 0", "hole 2"), "o", 5.0)
    assert [row.holes[:3] for row in done.design.rows[1:4]] == [("O", "O", "O")] * 3
    assert list(done.selection.rows) == [1, 2, 3]
    one = row_work.pasted(at(HELD, "rows", 1, "cents"), "-6\n", 5.0)
    assert one.design.rows[1].cents == -6
    assert one.history.undo_name == "paste"


def test_three_rows_from_a_spreadsheet() -> None:
    """Note, cents, and a fingering in one cell."""
    text = "D5\t+3\tXXX XXO\r\nE5\t−4\tXXX XOO\r\nF5\t0\txxx ooo\r\n"
    done = row_work.pasted(at(HELD, "rows", COUNT, "note"), text, 5.0)
    assert not done.drafts
    assert [(row.note, row.cents, "".join(row.holes)) for row in done.design.rows[COUNT:]] == [
        ("D5", 3.0, "XXXXXO"), ("E5", -4.0, "XXXXOO"), ("F5", 0.0, "XXXOOO"),
    ]  # fmt: skip


def test_cells_that_cannot_be_read_stay_where_they_were_pasted() -> None:
    done = row_work.pasted(at(HELD, "rows", 1, "note"), "D5\t2\nH5\tflat\nE5\t1", 5.0)
    assert sorted(done.drafts) == [("rows", 2, "cents"), ("rows", 2, "note")]
    assert [row.note for row in done.design.rows[1:4]] == ["D5", NOTES[2], "E5"]
    assert done.said.tone == "wrong"
    assert not done.undone().drafts


def test_nothing_is_pasted_where_there_is_no_room_for_it() -> None:
    places = row_work.copied(ranged(HELD, "holes", range(6), "at", "at"))
    assert len(places.splitlines()) == 6
    done = row_work.pasted(at(HELD, "holes", 5, "at"), "275 mm\n340 mm\n360 mm\n", 5.0)
    assert len(done.design.holes) == 6
    assert done.design.holes[5].at == pytest.approx(0.275)
    assert done.design.tube.length == pytest.approx(0.340)
    assert row_work.pasted(at(HELD, "holes", 0, "at"), places, 5.0).design is START.design


def test_columns_beyond_the_last_are_passed_over() -> None:
    done = row_work.pasted(at(HELD, "rows", 0, "weight"), "0.5\tand\tmore", 5.0)
    assert done.design.rows[0].weight == 0.5
    assert not done.drafts


def test_what_cannot_be_pasted_is_said() -> None:
    assert row_work.pasted(HELD, "", 5.0).said.text == "There is nothing to paste."
    assert "characters" in row_work.pasted(HELD, "x" * (LONGEST + 1), 5.0).said.text
    worked_out = row_work.pasted(at(HELD, "rows", 0, "plays"), "A4", 5.0)
    assert worked_out.history is HELD.history


def test_a_column_of_the_form_is_copied_and_pasted() -> None:
    rows = range(len(working.fields(START.design)))
    text = row_work.copied(ranged(HELD, "setup", rows, "value", "value"))
    assert row_work.pasted(at(HELD, "setup", 0, "value"), text, 5.0).design is START.design


def test_the_copy_is_exact() -> None:
    sheet = ranged(HELD, "holes", range(2), "at", "width")
    first = row_work.copied(sheet).splitlines()[0].split("\t")
    assert len(first) == column_of(HELD, "holes", "width") - column_of(HELD, "holes", "at") + 1
    assert first[0] == working.text(HELD, "holes", 0, "at")
    assert row_work.copied(at(HELD, "rows", 0, "note")) == "A4"
    assert row_work.copied(at(HELD, "rows", COUNT, "note")) == ""


# What the cursor is about


def test_the_hole_and_the_row_at_the_cursor() -> None:
    assert row_work.hole_at_cursor(at(START, "rows", 0, "hole 3")) == 3
    assert row_work.hole_at_cursor(at(START, "rows", 0, "note")) is None
    assert row_work.hole_at_cursor(at(START, "holes", 4, "at")) == 4
    assert row_work.hole_at_cursor(at(START, "holes", 6, "at")) is None
    assert row_work.hole_at_cursor(START.going_to("setup")) is None
    assert row_work.row_at_cursor(at(START, "rows", 3, "note")) == ROWS[3]
    assert row_work.row_at_cursor(at(START, "rows", COUNT, "note")) == ROWS[-1]
    assert row_work.row_at_cursor(at(START, "rows", 3, "note").going_to("holes")) == ROWS[3]
    assert row_work.row_at_cursor(desk_of(working.without_rows())) is None


def test_a_measured_row_is_copied_without_its_reading_but_pasted_with_it() -> None:
    """A new row has not been played; a pasted one is what was copied."""
    desk = desk_of(replace(example(), rows=(Row("A4", ("X",) * 6, measured="A4 -4"), *ROWS[1:]))).holding()
    assert row_work.duplicated(at(desk, "rows", 0, "note"), 5.0).design.rows[1].measured == ""
    assert "A4 -4" in row_work.copied(whole(desk, range(1)))
