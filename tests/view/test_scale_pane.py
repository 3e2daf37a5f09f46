"""The table of degrees: what it shows of a tuning and of the flute, and what typing into it does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.model.document import Row
from scaledesign.view import row_work, scale_edits
from scaledesign.view.desk import Desk
from scaledesign.view.scale_degrees import rows_by_degree
from tests.view import working
from tests.view.working import answered, at, cell, column_of, desk_of, later, opened, shown, text, typed

START = opened()
"""A4 pentatonic minor."""
HELD = START.holding()
"""The same, its holes held, for what has nothing to do with them."""


def written(desk: Desk) -> list[str]:
    return [degree.text for degree in desk.sheet.degrees]


def edited(row: int, key: str, what: str, desk: Desk = HELD) -> Desk:
    return at(desk, "scale", row, key).typed(what, later(desk))


def test_a_line_for_each_degree_and_one_for_where_they_repeat() -> None:
    assert written(START) == ["1", "300 c", "500 c", "700 c", "1000 c", "2"]
    assert [shown(START, "scale", row, "note") for row in range(6)] == ["A4", "C5", "D5", "E5", "G5", "A5"]
    assert shown(START, "scale", 1, "hertz") == "523.3"
    assert text(START, "scale", 1, "hertz") == "523.25 Hz"


def test_a_degree_tells_how_far_off_the_first_row_of_it_is() -> None:
    assert rows_by_degree(START.design) == {
        0: (0,), 1: (2, 12), 2: (3, 13), 3: (5, 14), 4: (8,), 5: (10, 11),
    }  # fmt: skip
    assert cell(START, "scale", 1, "off") == cell(START, "rows", 2, "off")
    assert shown(START, "scale", 1, "rows") == "3, 13"


def test_rows_written_as_intervals_count_and_others_do_not() -> None:
    holes = START.design.rows[0].holes
    notes = ("1/1", "701 c", "700.2 c", "1200 c", "523.25 Hz", "1900 c")
    design = replace(START.design, rows=tuple(Row(note, holes) for note in notes))
    assert rows_by_degree(design) == {0: (0,), 3: (2, 5), 5: (3,)}


def test_a_degree_that_no_row_plays_says_so() -> None:
    done = edited(6, "written", "150 c")
    assert shown(done, "scale", 1, "off").strip() == "no row"
    assert shown(done, "scale", 1, "rows") == ""


@pytest.mark.parametrize(
    ("key", "typed_in", "kept"),
    [
        ("written", "6/5", "6/5"),
        ("written", "316 c", "316 c"),
        ("written", "528 Hz", "315.641 c"),
        ("written", "C5 +16", "316 c"),
        ("cents", "316", "316 c"),
        ("cents", "6/5", "6/5"),
        ("equal", "+16", "316 c"),
        ("equal", "−4", "296 c"),
        ("hertz", "528", "315.641 c"),
    ],
)
def test_a_degree_is_written_in_every_way(key: str, typed_in: str, kept: str) -> None:
    done = edited(1, key, typed_in)
    assert done.design.tuning.degrees == ("1", kept, "500 c", "700 c", "1000 c")
    assert done.history.undo_name == "set degree 2"
    assert done.undone().design is START.design


@pytest.mark.parametrize("key", ["written", "cents", "equal", "hertz"])
def test_what_stands_in_a_cell_typed_again_changes_nothing(key: str) -> None:
    done = edited(1, "written", "6/5")
    again = edited(1, key, text(done, "scale", 1, key), done)
    assert [round(degree.cents, 4) for degree in again.sheet.degrees] == [
        round(degree.cents, 4) for degree in done.sheet.degrees
    ]


def test_what_cannot_be_read_stays_in_its_cell() -> None:
    done = edited(1, "written", "sharpish")
    assert shown(done, "scale", 1, "written") == "✗sharpish"
    assert done.design is START.design
    assert "write cents (316 c)" in done.said.text
    assert shown(edited(1, "written", "6/5", done), "scale", 1, "written") == "6/5"


def test_the_tonic_stays_at_nothing() -> None:
    assert "the first degree is the tonic" in edited(0, "cents", "20").said.text


def test_the_holes_follow_at_once_and_rows_stay_with_their_degree() -> None:
    done = typed(START, "scale", 1, "written", "6/5")
    assert done.said.text.startswith("Set degree 2. Hole ")
    assert abs(done.sheet.number("cents", 2)) < 1.0
    assert done.sheet.number("target", 2) == pytest.approx(528.0)
    assert [row.note for row in done.design.rows] == [row.note for row in START.design.rows]


def test_brackets_move_a_degree_by_a_cent_and_many_are_one_step() -> None:
    desk = at(HELD, "scale", 1, "written")
    once = desk.nudged(1, 5.0)
    assert once.design.tuning.degrees[1] == "301 c"
    thrice = once.nudged(-1, 5.1).nudged(-1, 5.2)
    assert thrice.design.tuning.degrees[1] == "299 c"
    assert thrice.undone().design is START.design


def test_the_last_line_takes_one_more_where_it_belongs() -> None:
    done = edited(6, "cents", "204")
    assert written(done) == ["1", "204 c", "300 c", "500 c", "700 c", "1000 c", "2"]
    assert done.history.undo_name == "add degree 2"


def test_one_more_that_cannot_be_read_stays_below_the_others() -> None:
    done = edited(6, "written", "8/9")
    assert shown(done, "scale", 6, "written") == "✗8/9"
    working.see_everything(done)
    mended = edited(6, "written", "9/8", done)
    assert (len(mended.sheet.degrees), dict(mended.drafts)) == (7, {})
    further = edited(1, "written", "6/5", done)
    assert shown(further, "scale", 6, "written") == "✗8/9"


def test_a_text_stays_with_its_degree_when_another_comes() -> None:
    done = edited(6, "written", "9/8", edited(2, "written", "hm"))
    assert shown(done, "scale", 3, "written") == "✗hm"


def test_where_they_repeat_can_be_stretched() -> None:
    done = edited(5, "cents", "1204")
    assert done.design.tuning.degrees[-1] == "1204 c"
    assert done.history.undo_name == "set where it repeats"


def test_a_degree_is_put_in_half_way() -> None:
    done = scale_edits.inserted(at(HELD, "scale", 2, "cents"), 5.0)
    assert written(done)[1:4] == ["300 c", "400 c", "500 c"]
    assert done.spot == ("scale", 2, "cents")
    first = scale_edits.inserted(at(HELD, "scale", 0, "cents"), 5.0)
    assert written(first)[1] == "150 c"
    assert scale_edits.inserted(at(HELD, "scale", 6, "cents"), 5.0).said.text == scale_edits.TYPE_IT


def test_degrees_are_taken_out_together_and_come_back() -> None:
    desk = HELD.going(
        replace(HELD.selection, row=3, anchor_row=2, column=column_of(HELD, "scale", "note")), "scale"
    )
    done = row_work.deleted(desk, 5.0)
    assert written(done) == ["1", "300 c", "1000 c", "2"]
    assert done.history.undo_name == "take out 2 degrees"
    assert done.undone().design is START.design


def test_the_first_and_the_last_line_cannot_be_taken_out() -> None:
    assert "stays" in scale_edits.removed(at(HELD, "scale", 0, "cents"), 5.0).said.text
    assert "repeat" in scale_edits.removed(at(HELD, "scale", 5, "cents"), 5.0).said.text
    assert "nothing" in scale_edits.removed(at(HELD, "scale", 6, "cents"), 5.0).said.text


def test_the_flute_is_drawn_with_the_fingering_of_the_degree() -> None:
    assert row_work.row_at_cursor(at(START, "scale", 3, "cents")) is START.design.rows[5]


def test_a_scale_that_nobody_offers_has_no_lines() -> None:
    desk = desk_of(working.nameless_scale())
    working.see_everything(desk)
    assert desk.sheet.degrees == ()
    assert "moonlit" in edited(0, "written", "6/5", desk).said.text


def test_nineteen_steps_have_their_notes_and_their_own_cents() -> None:
    tuning = replace(START.design.tuning, scale="19 equal", degrees=())
    desk = desk_of(replace(START.design, tuning=tuning))
    assert len(desk.sheet.degrees) == 20
    assert shown(desk, "scale", 1, "cents") == "63.2"
    working.see_everything(answered(edited(1, "cents", "70", desk)))


def test_a_note_between_degrees_becomes_the_new_one_and_that_is_said() -> None:
    assert "Row 2 is written as the new degree now." in edited(6, "written", "9/8").said.text
    assert "no counterpart" not in edited(6, "written", "9/8").said.text


def test_degrees_pasted_below_the_last_are_put_in() -> None:
    done = row_work.pasted(at(HELD, "scale", 6, "cents"), "150\noops\n900", 5.0)
    assert [round(degree.cents) for degree in done.sheet.degrees] == [0, 150, 300, 500, 700, 900, 1000, 1200]
    assert [draft.text for draft in done.drafts.values()] == ["oops"]
    assert "✗oops" in {shown(done, "scale", row, "cents") for row in range(8, 11)}
    working.see_everything(done)
    assert done.undone().design is START.design


def test_an_emptied_degree_says_how_to_take_it_out() -> None:
    done = at(HELD, "scale", 1, "written").cleared(5.0)
    assert done.said.text == "a degree has a size; type one, or take the whole degree out with delete row."
