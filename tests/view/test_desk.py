"""The desk: typing, slips, undo, what the engine owes and whose answers count."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scaledesign.model.checks import check
from scaledesign.model.document import Design
from scaledesign.model.edits import SetField
from scaledesign.view import row_work
from scaledesign.view.columns import PaneName
from scaledesign.view.desk import MEASURES, PANES, Desk, lines_of
from scaledesign.view.lines import TYPED
from scaledesign.view.selection import Selection
from scaledesign.workshop import live
from tests.view import working
from tests.view.working import answered, at, cell, desk_of, example, later, opened, ranged, set_field, typed

START = opened()


# Just opened


def test_a_design_just_opened_is_only_predicted() -> None:
    """Its holes are the maker's: nothing moves until something is changed."""
    desk = Desk.of(example(), Path("wren.toml"))
    assert desk.want is not None
    assert desk.want.kind == "predict"
    done = answered(desk)
    assert done.design is example()
    assert done.want is None
    assert not done.unsaved
    assert (done.history.undo_name, done.history.redo_name) == ("", "")


@pytest.mark.parametrize(
    ("design", "path", "title"),
    [
        (example(), Path("a.toml"), "Marsh wren"),
        (replace(example(), name=""), Path("old-elder.toml"), "old-elder"),
        (replace(example(), name=""), None, "a new flute"),
    ],
)
def test_its_title(design: Design, path: Path | None, title: str) -> None:
    assert Desk.of(design, path).title == title


def test_a_new_flute_is_not_saved_yet() -> None:
    desk = Desk.of(example(), None, saved=False)
    assert desk.unsaved
    saved = desk.saved(Path("/somewhere/wren.toml"))
    assert not saved.unsaved
    assert saved.said.text == "Saved to wren.toml."


def test_another_desk_lends_signs_and_measure() -> None:
    """And its count of questions, so that no late answer is taken for the new design's."""
    desk = replace(START, signs=TYPED, measure="foot", revision=41)
    other = Desk.of(example("grey-heron"), None, like=desk)
    assert (other.signs, other.measure, other.revision) == (TYPED, "foot", 42)


# Typing


def test_an_edit_asks_for_a_solution_and_the_solution_is_part_of_its_step() -> None:
    asked = at(START, "rows", 2, "cents").typed("8", 5.0)
    assert asked.design.rows[2].cents == 8.0
    assert asked.want is not None
    assert asked.want.kind == "solve"
    assert asked.sheet.stale
    done = answered(asked)
    assert not done.sheet.stale
    assert done.design.holes != asked.design.holes
    assert done.answer.design is done.design
    assert abs(done.sheet.number("cents", 2)) < 1.0
    assert len(done.history.past) == 1
    assert done.history.undo_name == "set cents of row 3"
    assert "Hole" in done.said.text
    assert done.undone().design is START.design


@pytest.mark.parametrize("path", [("", "name"), ("", "notes"), ("instrument", "material")])
def test_words_move_no_hole(path: tuple[str, ...]) -> None:
    done = set_field(START, "driftwood", *path)
    assert done.design.holes == START.design.holes
    assert done.unsaved


def test_fast_typing_in_one_cell_is_one_step() -> None:
    one = typed(START, "rows", 2, "cents", "5", now=10.0)
    two = typed(one, "rows", 2, "cents", "7", now=10.5)
    assert len(two.history.past) == 1
    assert len(typed(two, "rows", 2, "cents", "9", now=20.0).history.past) == 2
    assert two.undone().design is START.design


def test_what_is_worked_out_cannot_be_typed() -> None:
    done = at(START, "rows", 0, "plays").typed("A4", 5.0)
    assert done.said.text == "Plays is worked out; it cannot be typed."
    assert done.history is START.history


def test_an_edit_that_could_be_no_flute_is_said_and_leaves_everything() -> None:
    done = START.doing(SetField("tube", "length", 0.01), 5.0)
    assert done.said.tone == "wrong"
    assert done.said.text.endswith(".")
    assert done.history is START.history
    said = typed(START, "holes", 2, "at", "400 mm").said.text
    assert said.startswith("400 mm: hole 3 (L3) runs past the foot")


def test_nothing_typed_is_nothing_done() -> None:
    """The same text again is no step, and the engine is not asked."""
    done = at(START, "rows", 0, "note").typed(START.design.rows[0].note, 5.0)
    assert done.history is START.history
    assert done.want is None
    assert START.doing(None, 5.0) is START


def test_emptied_cells_are_one_step() -> None:
    edited = typed(typed(START, "rows", 0, "cents", "4"), "rows", 2, "cents", "-6")
    done = answered(ranged(edited, "rows", range(4), "cents", "cents").cleared(later(edited)))
    assert [row.cents for row in done.design.rows[:4]] == [0.0] * 4
    assert done.history.undo_name == "clear cells"
    assert at(START, "rows", 0, "plays").cleared(5.0).said.text == "There is nothing to clear here."


# Slips

SLIP = "H9"
SLIPPED = typed(START, "rows", 2, "note", SLIP)
SPOT = ("rows", 2, "note")


def test_a_slip_stays_in_its_cell_with_what_is_wrong() -> None:
    assert SLIPPED.drafts[SPOT].text == SLIP
    assert SLIPPED.said.tone == "wrong"
    assert SLIPPED.said.text == SLIPPED.drafts[SPOT].problem
    assert SLIPPED.said.text.startswith("'H9' is not a note")
    assert cell(SLIPPED, "rows", 2, "note").tone == "wrong"
    assert cell(SLIPPED, "rows", 2, "note").note == SLIPPED.drafts[SPOT].problem
    assert at(SLIPPED, "rows", 2, "note").text == SLIP
    assert at(SLIPPED, "rows", 1, "note").text == START.design.rows[1].note
    assert SLIPPED.design is START.design
    assert SLIPPED.want is None


def test_a_slip_is_a_step_that_undo_takes_back_and_redo_brings() -> None:
    assert SLIPPED.history.undo_name == "type into note"
    back = SLIPPED.undone()
    assert not back.drafts
    assert back.history.redo_name == "type into note"
    assert back.redone().drafts == SLIPPED.drafts


def test_a_slip_goes_when_the_cell_is_typed_right() -> None:
    done = typed(SLIPPED, "rows", 2, "note", "D5")
    assert not done.drafts
    assert done.undone().drafts == SLIPPED.drafts
    same = typed(SLIPPED, "rows", 2, "note", START.design.rows[2].note)
    assert not same.drafts
    assert same.undone().drafts == SLIPPED.drafts


def test_a_slip_outlives_edits_of_other_cells() -> None:
    done = typed(SLIPPED, "rows", 3, "cents", "4")
    assert done.drafts == SLIPPED.drafts
    assert typed(done, "rows", 5, "cents", "800").drafts.keys() == {SPOT, ("rows", 5, "cents")}


def test_a_slip_moves_with_its_row() -> None:
    now = later(SLIPPED)
    first = at(SLIPPED, "rows", 0, "note")
    assert ("rows", 3, "note") in row_work.inserted(first, now).drafts
    assert ("rows", 3, "note") in row_work.duplicated(first, now).drafts
    assert ("rows", 1, "note") in row_work.deleted(first, now).drafts
    assert ("rows", 1, "note") in row_work.shifted_rows(at(SLIPPED, "rows", 2, "note"), -1, now).drafts
    assert ("rows", 1, "note") in row_work.shifted_rows(at(SLIPPED, "rows", 1, "note"), 1, now).drafts
    row = SLIPPED.design.rows[2]
    rising = row_work.sorted_rows(at(SLIPPED, "rows", 0, "cents"), now)
    falling = row_work.sorted_rows(at(rising, "rows", 0, "cents"), later(rising))
    for desk in (rising, falling):
        assert [desk.design.rows[spot[1]] for spot in desk.drafts] == [row]


def test_a_slip_is_dropped_with_its_row_and_comes_back_with_it() -> None:
    gone = row_work.deleted(at(SLIPPED, "rows", 2, "cents"), later(SLIPPED))
    assert not gone.drafts
    assert gone.undone().drafts == SLIPPED.drafts


def test_a_slip_in_the_hole_list_stays_with_its_hole() -> None:
    desk = typed(START, "holes", 3, "width", "wide")
    assert ("holes", 3, "width") in desk.drafts
    first = at(desk, "holes", 0, "at")
    assert ("holes", 2, "width") in row_work.deleted(first, later(desk)).drafts
    assert ("holes", 4, "width") in row_work.inserted(first, later(desk)).drafts
    assert not row_work.deleted(at(desk, "holes", 3, "at"), later(desk)).drafts
    foot = typed(START, "holes", len(START.design.holes), "at", "far")
    assert ("holes", 5, "at") in row_work.deleted(at(foot, "holes", 0, "at"), later(foot)).drafts


def test_a_slip_in_a_fingering_stays_with_its_hole() -> None:
    desk = typed(START, "rows", 1, "hole 3", "ajar")
    assert ("rows", 1, "hole 3") in desk.drafts
    gone = row_work.deleted(at(desk, "holes", 0, "at"), later(desk))
    assert list(gone.drafts) == [("rows", 1, "hole 2")]
    assert cell(gone, "rows", 1, "hole 2").text.startswith("✗")
    assert not row_work.deleted(at(desk, "holes", 3, "at"), later(desk)).drafts
    assert not typed(desk, "holes", 3, "finger", "none").drafts
    assert list(typed(desk, "holes", 1, "finger", "none").drafts) == [("rows", 1, "hole 2")]


def test_a_slip_in_the_form_stays_with_its_field() -> None:
    """Another mouth has other fields above it."""
    desk = set_field(START, "hot", "air", "temperature")
    other = set_field(desk, "notch", "instrument", "mouth")
    row = working.line_of(other, "air", "temperature")
    assert row != working.line_of(desk, "air", "temperature")
    assert [(spot, draft.text) for spot, draft in other.drafts.items()] == [(("setup", row, "value"), "hot")]
    window = set_field(START, "wide", "voicing", "window", "width")
    assert window.drafts
    assert not set_field(window, "notch", "instrument", "mouth").drafts


def test_a_row_begun_with_a_slip_is_there_to_mend() -> None:
    count = len(START.design.rows)
    desk = typed(START, "rows", count, "note", SLIP)
    assert len(desk.design.rows) == count + 1
    assert list(desk.drafts) == [("rows", count, "note")]
    assert desk.undone().design is START.design
    assert not desk.undone().drafts


# Undo and redo


def edited_twice() -> Desk:
    return typed(typed(START, "rows", 2, "cents", "9"), "rows", 5, "cents", "-7")


def test_undo_gives_the_very_designs_and_answers_back() -> None:
    """Numbers that are known are not worked out again, and no hole is solved anew."""
    one = typed(START, "rows", 2, "cents", "9")
    two = typed(one, "rows", 5, "cents", "-7")
    back = two.undone()
    assert back.design is one.design
    assert back.answer is one.answer
    assert back.want is None
    assert back.said.text == "Undone: set cents of row 6."
    assert back.undone().design is START.design
    assert not back.undone().unsaved
    again = back.redone()
    assert again.design is two.design
    assert again.want is None
    assert again.said.text == "Done again: set cents of row 6."


def test_what_is_not_known_any_more_is_only_predicted() -> None:
    back = replace(edited_twice(), known=()).undone()
    assert back.want is not None
    assert back.want.kind == "predict"
    holes = back.design.holes
    assert answered(back).design.holes is holes


def test_undo_goes_where_the_edit_was_made() -> None:
    desk = typed(START, "rows", 2, "cents", "9")
    away = desk.going_to("setup")
    back = away.undone()
    assert (back.pane, back.selection.row) == ("rows", 2)
    assert (away.undone().going_to("holes").redone().pane) == "rows"


def test_there_is_an_end_to_undo_and_redo() -> None:
    assert START.undone().said.text == "There is nothing to undo."
    assert START.redone().said.text == "There is nothing to redo."
    assert START.undone().history is START.history


def test_saved_in_the_middle() -> None:
    one = typed(START, "rows", 2, "cents", "9").saved(Path("wren.toml"))
    assert not one.unsaved
    two = typed(one, "rows", 2, "cents", "10")
    assert two.unsaved
    assert not two.undone().unsaved
    assert two.undone().undone().unsaved


# The engine


def test_answers_to_older_questions_are_dropped() -> None:
    first = at(START, "rows", 2, "cents").typed("8", 5.0)
    assert first.want is not None
    late = live.thorough(first.want.design)
    second = at(first, "rows", 5, "cents").typed("-7", 10.0)
    assert second.answered(late, first.want.revision) is second
    assert answered(second).answered(late, first.want.revision).answer is not late
    assert START.answered(late, START.revision) is START


def test_a_first_answer_is_shown_while_the_last_is_awaited() -> None:
    """Where the rows cannot be met by moving holes, bits and reasons are still to come."""
    asked = at(START, "rows", 2, "cents").typed("250", 5.0)
    assert asked.want is not None
    quick = live.quick(asked.want.design, asked.want.last)
    assert not quick.final
    between = asked.answered(quick, asked.revision)
    assert between.want == asked.want
    assert between.answer is quick
    done = between.answered(live.thorough(asked.want.design), asked.revision)
    assert done.want is None
    assert len(done.history.past) == 1
    assert done.undone().design is START.design
    assert done.answer.notes


def test_held_still_edits_only_predict() -> None:
    held = START.holding()
    assert held.want is None
    done = typed(held, "rows", 2, "cents", "9")
    assert done.design.holes == START.design.holes
    assert done.sheet.number("cents", 2) == pytest.approx(START.sheet.number("cents", 2) - 9, abs=1e-6)
    free = done.holding()
    assert free.want is not None
    assert free.want.kind == "solve"
    assert answered(free).design.holes != START.design.holes
    followed = answered(free)
    assert followed.history.undo_name == "let the holes follow"
    assert followed.undone().design is done.design
    assert followed.undone().undone().design is START.design


def test_solving_again_is_a_step_of_its_own() -> None:
    put = typed(START.holding(), "holes", 5, "at", "275 mm")
    free = replace(put, held=False)
    done = answered(free.solving())
    assert done.history.undo_name == "solve again"
    assert done.design.holes[5].at != put.design.holes[5].at
    assert done.undone().design is put.design
    assert answered(done.solving()).history.past == done.history.past


def test_a_new_name_does_not_take_away_the_solve_that_is_owed() -> None:
    asked = at(START, "rows", 2, "cents").typed("9", 5.0)
    named = at(asked, "setup", 1, "value").typed("Wren", 9.0)
    assert named.want is not None
    assert named.want.kind == "solve"
    assert abs(answered(named).sheet.number("cents", 2)) < 1.0


def test_undo_to_an_edit_that_was_never_answered_solves_it() -> None:
    first = at(START, "rows", 2, "cents").typed("9", 5.0)
    second = at(first, "rows", 3, "cents").typed("-4", 9.0)
    back = answered(second).undone()
    assert back.want is not None
    assert back.want.kind == "solve"
    assert abs(answered(back).sheet.number("cents", 2)) < 1.0


def test_a_nudge_over_columns_of_one_value_counts_once() -> None:
    wide = working.ranged(START, "rows", range(2, 3), "note", "hertz")
    assert wide.nudged(1, 5.0).design.rows[2].cents == 1.0


def test_what_may_not_be_empty_is_left_when_a_range_is_cleared() -> None:
    wide = working.ranged(START, "rows", range(3), "note", "measured")
    done = wide.cleared(5.0)
    assert not done.drafts
    assert [row.note for row in done.design.rows] == [row.note for row in START.design.rows]


def test_holding_stops_a_solution_on_its_way() -> None:
    asked = at(START, "rows", 2, "cents").typed("9", 5.0)
    held = answered(asked.holding())
    assert held.design.holes == START.design.holes
    assert held.design.rows[2].cents == 9.0


def test_solving_again_moves_a_hole_that_was_put_elsewhere() -> None:
    moved = typed(START.holding(), "holes", 5, "at", "275 mm").holding()
    done = answered(moved)
    assert done.design.holes[5].at == pytest.approx(START.design.holes[5].at, abs=2e-4)
    assert answered(done.solving()).design.holes[5].at == pytest.approx(done.design.holes[5].at, abs=2e-4)


def test_what_moved_is_said_as_a_maker_says_it() -> None:
    assert START.moved_words() == ""
    assert replace(START, before=START.design).moved_words() == "No hole moves."
    assert set_field(START, "driftwood", "instrument", "material").said.text == "Set material."
    design = START.design
    for more, words in (
        ({"at": 0.0012}, "Hole 2 moves 1.2 mm toward the mouth."),
        ({"at": -0.0003}, "Hole 2 moves 0.3 mm toward the foot."),
        ({"at": 0.00004}, "No hole moves."),
    ):
        moved_hole = replace(design.holes[1], at=design.holes[1].at + more["at"])
        before = replace(design, holes=(design.holes[0], moved_hole, *design.holes[2:]))
        assert replace(START, before=before).moved_words() == words
        shorter = replace(before, tube=replace(before.tube, length=before.tube.length - 0.002))
        told = replace(START, before=shorter).moved_words()
        rest = "" if words == "No hole moves." else ", and holes move with it"
        assert told == f"The tube becomes 2.0 mm longer{rest}."
    fewer = replace(design, holes=design.holes[:4])
    assert replace(START, before=fewer).moved_words() == ""


def test_names_keep_their_capitals_in_what_is_said() -> None:
    assert set_field(START, "D5", "tuning", "tonic").said.text.startswith("Retune to D5 pentatonic minor.")


# Moving about, switches


def test_the_cursor_stays_inside_and_off_the_labels() -> None:
    far = START.going(Selection(999, 999))
    assert far.selection == Selection(len(START.design.rows), len(START.columns) - 1)
    assert far.text == ""
    assert START.going(Selection(-5, -5)).selection == Selection(0, 1)
    assert lines_of("rows", START.sheet) == len(START.design.rows) + 1
    assert lines_of("holes", START.sheet) == len(START.design.holes) + 1


def test_each_table_keeps_its_own_cursor() -> None:
    desk = at(at(START, "rows", 3, "cents"), "holes", 2, "at").going_to("rows")
    assert desk.spot == ("rows", 3, "cents")
    assert desk.going_to("holes").spot == ("holes", 2, "at")


def test_the_cursor_stays_inside_when_rows_go() -> None:
    desk = at(START, "rows", len(START.design.rows) - 1, "note")
    done = row_work.deleted(ranged(desk, "rows", range(2, 15), "note", "note"), 5.0)
    assert done.selection.row == 2
    assert len(done.design.rows) == 2


def test_places_are_measured_from_all_ends_in_turn() -> None:
    desk, seen = START, []
    for _ in MEASURES:
        desk = desk.measuring()
        seen.append(desk.measure)
        assert desk.said.text.startswith("Holes are measured ")
    assert sorted(seen) == sorted(MEASURES)
    without = desk_of(replace(example(), tube=replace(example().tube, chamber=None)))
    seen = []
    for _ in range(4):
        without = without.measuring()
        seen.append(without.measure)
    assert seen == ["foot", "gap", "edge", "foot"]


def test_a_flute_without_a_cut_end_is_measured_from_its_edge() -> None:
    """Whatever was chosen for the flute before it, and while its chamber is undone."""
    desk = desk_of(replace(example(), tube=replace(example().tube, chamber=None)))
    lent = replace(desk, measure="cut-end")
    assert working.text(lent, "holes", 0, "at") == working.text(desk, "holes", 0, "at")
    working.see_everything(lent)


def test_the_next_choice_and_small_steps() -> None:
    turned = answered(at(START, "rows", 0, "hole 5").stepped(5.0))
    assert turned.design.rows[0].holes[5] == "O"
    assert turned.history.undo_name == "open hole 6 of row 1"
    block = ranged(START, "rows", range(2), "hole 4", "hole 5").stepped(5.0)
    assert block.history.undo_name == "turn 4 cells"
    sharper = at(START, "rows", 2, "cents").nudged(1, 5.0)
    assert sharper.design.rows[2].cents == START.design.rows[2].cents + 1
    assert at(START, "rows", 0, "plays").stepped(5.0).said.text == "There is nothing to turn here."
    assert at(START, "rows", 0, "plays").nudged(1, 5.0).said.text == "There is nothing to nudge here."
    spare = at(START, "rows", len(START.design.rows), "hole 0").stepped(5.0)
    assert spare.said.text == "There is nothing to turn here."


def test_a_step_in_a_cell_with_a_slip_mends_it() -> None:
    desk = typed(START, "rows", 0, "role", "soloist")
    assert desk.drafts
    assert not at(desk, "rows", 0, "role").stepped(later(desk)).drafts


def test_a_long_paste_is_taken_whole_or_not_at_all() -> None:
    desk = at(START, "rows", 0, "cents")
    good = desk.write([(("rows", i, "cents"), "1") for i in range(60)], 5.0, "paste")
    assert [row.cents for row in good.design.rows] == [1.0] * 60
    assert good.history.undo_name == "paste"
    assert good.undone().design is START.design


# What there is nothing of


@pytest.mark.parametrize(
    "design",
    [
        working.bare(),
        working.without_rows(),
        working.without_holes(),
        working.silent(),
        working.nameless_scale(),
    ],
    ids=["bare", "no rows", "no holes", "no pitch", "no scale"],
)
def test_designs_that_lack_something_can_be_worked_on(design: Design) -> None:
    desk = desk_of(design)
    for act in (
        lambda d: typed(d, "rows", len(d.design.rows), "note", "C5"),
        lambda d: typed(d, "holes", len(d.design.holes), "at", "350 mm"),
        lambda d: set_field(d, "31 mm", "voicing", "added_length"),
        lambda d: answered(row_work.inserted(at(d, "rows", 0, "note"), later(d))),
        lambda d: answered(row_work.inserted(at(d, "holes", 0, "at"), later(d))),
        lambda d: answered(row_work.sorted_rows(at(d, "rows", 0, "hertz"), later(d))),
        lambda d: answered(row_work.deleted(at(d, "rows", 0, "note"), later(d))),
        lambda d: answered(d.solving()),
        lambda d: answered(d.measuring().measuring()),
    ):
        desk = act(desk)
        working.see_everything(desk)
        assert desk.want is None
    while desk.history.past:
        desk = answered(desk.undone())
    assert desk.design == design
    assert not desk.unsaved


# Anything at all

TYPED_TEXTS = """
|A4|Bb5|H4|440|880 Hz|3/2|702 c|-4|+12.5|700|x|o|h|XXXOOO|scale|other|1|2|4|50|99.5%|A4 -4|C5 +3|150 mm
|5/8 in|200|-1|L1|LT back|none|both|place|no|yes|notch|duct|open|6 mm|[5, 6]|major|[[0, 16], [200, 15]]
|1, 6/5, 3/2|{|nan|1e400|½|\ud800
"""
TEXTS = st.one_of(st.sampled_from(TYPED_TEXTS.replace("\n", "").split("|")), st.text(max_size=5))
PLACES = st.tuples(st.sampled_from(list(PANES)), st.integers(0, 20), st.integers(0, 20))
PLAIN_MOVES = [
    *("step", "sharper", "flatter", "insert", "duplicate", "delete", "up", "down", "sort", "fill", "clear"),
    *("lock", "undo", "undo", "redo", "hold", "measure", "solve", "answer", "copy"),
]
MOVES = st.one_of(
    st.tuples(st.just("type"), TEXTS),
    st.tuples(st.just("paste"), st.lists(st.lists(TEXTS, min_size=1, max_size=3), max_size=3)),
    st.tuples(st.just("go"), PLACES),
    st.tuples(st.just("stretch"), PLACES),
    st.tuples(st.sampled_from(PLAIN_MOVES), st.none()),
)


def moved(desk: Desk, move: str, what: object, now: float) -> Desk:
    """One thing a maker may do."""
    if move in ("go", "stretch"):
        assert isinstance(what, tuple)
        pane: PaneName = what[0] if move == "go" else desk.pane
        chosen = desk.selections[pane].at(what[1], what[2], stretch=move == "stretch")
        return desk.going(chosen, pane)
    if move == "paste":
        assert isinstance(what, list)
        return row_work.pasted(desk, "\n".join("\t".join(line) for line in what), now)
    does = {
        "type": lambda: desk.typed(str(what), now), "step": lambda: desk.stepped(now),
        "sharper": lambda: desk.nudged(1, now), "flatter": lambda: desk.nudged(-1, now),
        "insert": lambda: row_work.inserted(desk, now), "duplicate": lambda: row_work.duplicated(desk, now),
        "delete": lambda: row_work.deleted(desk, now), "up": lambda: row_work.shifted_rows(desk, -1, now),
        "down": lambda: row_work.shifted_rows(desk, 1, now), "sort": lambda: row_work.sorted_rows(desk, now),
        "fill": lambda: row_work.filled(desk, now), "clear": lambda: desk.cleared(now),
        "lock": lambda: row_work.locked(desk, now), "undo": desk.undone, "redo": desk.redone,
        "hold": desk.holding, "measure": desk.measuring, "solve": desk.solving,
        "answer": lambda: answered(desk),
        "copy": lambda: row_work.pasted(desk, row_work.copied(desk), now),
    }  # fmt: skip
    return does[move]()


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(["wren", "three", "bare"]), st.lists(st.tuples(MOVES, st.booleans()), max_size=14))
def test_whatever_is_done_can_be_undone(start: str, moves: list[tuple[tuple[str, object], bool]]) -> None:
    """Nothing raises, no fault comes in, and undoing everything gives the design that was opened."""
    designs = {"wren": example(), "three": working.three_holes(), "bare": working.bare()}
    desk, now = Desk.of(designs[start], None), 0.0
    for (move, what), slow in moves:
        now += 60.0 if slow else 0.1
        desk = moved(desk, move, what, now)
        assert not check(desk.design), (move, what)
        for pane, row, _ in desk.drafts:
            assert row < PANES[pane].count(desk.sheet)
    working.see_everything(answered(desk))
    last = answered(desk)
    while desk.history.past:
        desk = desk.undone()
    assert desk.design == designs[start]
    assert not desk.drafts
    assert not desk.unsaved
    if not last.held:
        assert not check(last.design)
