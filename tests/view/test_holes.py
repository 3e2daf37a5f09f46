"""The hole list: places from every end, widths and bits, locks, and the foot below the holes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.model.document import Hole
from scaledesign.model.units import INCH
from scaledesign.paper.hole_list import slip
from scaledesign.view import row_work
from scaledesign.view.columns import Measure
from scaledesign.view.desk import Desk
from scaledesign.view.hole_locks import BOTH, is_foot
from scaledesign.view.holes import blank_hole, columns, measured_at, moved_by, place_from
from scaledesign.view.lines import TYPED
from scaledesign.view.reach import reach_notes
from scaledesign.view.setup import fields
from tests.view import working
from tests.view.working import (
    answered,
    at,
    cell,
    desk_of,
    example,
    later,
    opened,
    shown,
    text,
    typed,
)

START = opened()
HELD = START.holding()
COUNT = len(START.design.holes)
MM = 1e-3


def measured(measure: Measure, desk: Desk = HELD) -> Desk:
    return replace(desk, measure=measure)


def refused(desk: Desk, row: int, key: str, what: str) -> str:
    """What is said of a text that is not taken."""
    done = typed(desk, "holes", row, key, what)
    assert done.design is desk.design
    return done.drafts["holes", row, key].problem


# Where


def test_the_same_place_from_every_end() -> None:
    """Worked out here by hand: from the foot, from the edge of the hole before, from the chamber's end."""
    design = START.design
    last, before, tube = design.holes[5], design.holes[4], design.tube
    assert tube.chamber is not None
    assert design.voicing.window is not None
    start = tube.chamber.length + tube.chamber.wall + design.voicing.cavity + design.voicing.window.length
    wanted = {
        "edge": last.at,
        "foot": tube.length - last.at,
        "gap": last.at - before.at - (last.diameter + before.diameter) / 2,
        "cut-end": last.at + start,
    }
    for measure, place in wanted.items():
        assert measured_at(measured(measure).sheet, 5) == pytest.approx(place, abs=1e-12)
    ends = {"edge": tube.length, "foot": 0.0, "cut-end": tube.length + start}
    ends["gap"] = tube.length - last.at - last.diameter / 2
    for measure, place in ends.items():
        assert measured_at(measured(measure).sheet, COUNT) == pytest.approx(place, abs=1e-12)


@pytest.mark.parametrize("measure", ["edge", "foot", "gap", "cut-end"])
def test_a_place_typed_is_where_it_is_measured(measure: Measure) -> None:
    desk = measured(measure)
    for row in range(COUNT):
        here = measured_at(desk.sheet, row)
        done = typed(desk, "holes", row, "at", f"{(here + 0.4 * MM) / MM:.7f} mm")
        assert measured_at(done.sheet, row) == pytest.approx(here + 0.4 * MM, abs=1e-9)
        assert place_from(desk.sheet, row, here) == pytest.approx(desk.design.holes[row].at, abs=1e-12)
        others = [hole for i, hole in enumerate(done.design.holes) if i != row]
        assert others == [hole for i, hole in enumerate(desk.design.holes) if i != row]


@pytest.mark.parametrize("measure", ["edge", "gap", "cut-end"])
def test_the_foot_typed_is_where_it_is_measured(measure: Measure) -> None:
    desk = measured(measure)
    here = measured_at(desk.sheet, COUNT)
    done = typed(desk, "holes", COUNT, "at", f"{(here + 2 * MM) / MM:.7f}")
    assert done.design.tube.length == pytest.approx(desk.design.tube.length + 2 * MM, abs=1e-9)
    assert done.design.holes == desk.design.holes


def test_the_foot_is_no_distance_from_itself() -> None:
    assert "where you measure from" in refused(measured("foot"), COUNT, "at", "3 mm")
    assert shown(measured("foot"), "holes", COUNT, "at") == "0.0"


def test_a_place_in_another_unit() -> None:
    assert typed(HELD, "holes", 2, "at", "7 in").design.holes[2].at == pytest.approx(7 * float(INCH))
    inches = opened("dust-lark").holding()
    there = typed(inches, "holes", 2, "at", "7 5/64")
    assert there.design.holes[2].at == pytest.approx((7 + 5 / 64) * float(INCH))
    assert shown(there, "holes", 2, "at") == "7 5/64"


def test_spacing_counts_from_the_middle_of_the_hole_before() -> None:
    design = HELD.design
    done = typed(HELD, "holes", 2, "spacing", "21 mm")
    assert done.design.holes[2].at == pytest.approx(design.holes[1].at + 21 * MM)
    first = typed(HELD, "holes", 0, "spacing", "141 mm")
    assert first.design.holes[0].at == pytest.approx(141 * MM)
    foot = typed(HELD, "holes", COUNT, "spacing", "80 mm")
    assert foot.design.tube.length == pytest.approx(design.holes[-1].at + 80 * MM)


@pytest.mark.parametrize("what", ["", "near", "-20", "140 kg", "400", "11 m"])
def test_what_is_no_place(what: str) -> None:
    assert refused(HELD, 2, "at", what).endswith(".")


def test_one_step_of_the_ruler() -> None:
    assert at(HELD, "holes", 2, "at").nudged(1, 5.0).design.holes[2].at == pytest.approx(
        HELD.design.holes[2].at + 0.1 * MM
    )
    assert at(HELD, "holes", COUNT, "at").nudged(-2, 5.0).design.tube.length == pytest.approx(
        HELD.design.tube.length - 0.2 * MM
    )
    inches = opened("dust-lark").holding()
    step = at(inches, "holes", 2, "at").nudged(1, 5.0).design.holes[2].at - inches.design.holes[2].at
    assert step == pytest.approx(float(INCH) / 64, abs=1e-8)


# Locks


def test_what_is_typed_is_the_makers_and_stays() -> None:
    """The others follow around it."""
    asked = at(START, "holes", 4, "at").typed("247 mm", 5.0)
    assert asked.design.holes[4].locked == {"at"}
    assert asked.history.undo_name == "move hole 5"
    done = answered(asked)
    assert done.design.holes[4].at == pytest.approx(247 * MM)
    assert done.design.holes != asked.design.holes
    assert cell(done, "holes", 4, "at").tone == "held"
    assert shown(done, "holes", 4, "placed") == "locked"
    wide = typed(START, "holes", 4, "width", "8 mm")
    assert wide.design.holes[4].locked == {"diameter"}
    assert wide.design.holes[4].diameter == pytest.approx(8 * MM)
    both = typed(wide, "holes", 4, "at", "247 mm")
    assert both.design.holes[4].locked == BOTH
    assert shown(both, "holes", 4, "lock") == "▪ both"
    cut = typed(START, "holes", COUNT, "at", "356 mm")
    assert cut.design.tube.locked
    assert cut.design.tube.length == pytest.approx(356 * MM)
    assert cut.history.undo_name == "set length"


def test_a_lock_is_marked_beside_the_number() -> None:
    """The column that names it is off to the right on a narrow screen."""
    desk = typed(typed(HELD, "holes", 1, "lock", "place"), "holes", COUNT, "lock", "yes")
    numbers = [shown(desk, "holes", row, "number") for row in range(COUNT + 1)]
    assert numbers == ["1", "▪2", *(str(row + 1) for row in range(2, COUNT)), "▪"]
    assert cell(desk, "holes", 1, "number").note == "You locked it: no solve moves it."
    plain = replace(desk, signs=TYPED)
    assert shown(plain, "holes", 1, "number") == f"{TYPED.locked}2"
    assert shown(plain, "holes", 1, "number").isascii()
    assert text(desk, "holes", 1, "number") == "2"
    column = next(each for each in columns(desk.sheet) if each.key == "number")
    assert all(len(number) <= column.width for number in numbers)


def test_a_drilled_hole_is_locked_because_it_is_drilled() -> None:
    drilled = typed(START, "holes", 4, "drilled", "yes")
    for key in ("lock", "placed"):
        assert cell(drilled, "holes", 4, key).note.startswith("Locked (drilled): ")
    assert cell(typed(START, "holes", 4, "lock", "yes"), "holes", 4, "lock").note.startswith("You locked it")


def test_held_still_nothing_needs_a_lock() -> None:
    for key, what in (("at", "247 mm"), ("width", "8 mm"), ("spacing", "34 mm")):
        assert not typed(HELD, "holes", 4, key, what).design.holes[4].locked
    assert not typed(HELD, "holes", COUNT, "at", "356 mm").design.tube.locked


@pytest.mark.parametrize(
    ("what", "locked"),
    [("both", BOTH), ("yes", BOTH), ("place", {"at"}), ("Width", {"diameter"}), ("no", set()), ("", set())],
)
def test_locks_by_word(what: str, locked: set[str]) -> None:
    desk = typed(HELD, "holes", 1, "lock", "place")
    assert typed(desk, "holes", 1, "lock", what).design.holes[1].locked == locked
    assert typed(HELD, "holes", COUNT, "lock", what).design.tube.locked == bool(locked)


def test_a_lock_turned() -> None:
    desk = at(HELD, "holes", 1, "lock")
    on = desk.stepped(5.0)
    assert on.design.holes[1].locked == BOTH
    assert on.stepped(later(on)).design == HELD.design
    foot = at(HELD, "holes", COUNT, "lock").stepped(5.0)
    assert foot.design.tube.locked
    assert shown(foot, "holes", COUNT, "lock") == "▪ foot"
    assert "no lock" in refused(HELD, 1, "lock", "maybe")


def test_the_lock_key_works_from_every_table() -> None:
    assert row_work.locked(at(HELD, "holes", 1, "at"), 5.0).design.holes[1].locked == BOTH
    assert row_work.locked(at(HELD, "rows", 0, "hole 1"), 5.0).design.holes[1].locked == BOTH
    form = next(i for i, line in enumerate(fields(HELD.design)) if line.path == ("tube", "length"))
    assert row_work.locked(at(HELD, "setup", form, "value"), 5.0).design.tube.locked
    assert "tube" in row_work.locked(at(HELD, "setup", 1, "value"), 5.0).said.text
    assert "hole" in row_work.locked(at(HELD, "rows", 0, "note"), 5.0).said.text
    three = working.ranged(HELD, "holes", range(1, 4), "at", "at")
    done = row_work.locked(three, 5.0)
    assert [bool(hole.locked) for hole in done.design.holes] == [False, True, True, True, False, False]
    assert done.history.undo_name == "lock 3 holes"


def test_drilled_is_locked_too() -> None:
    done = typed(HELD, "holes", 1, "drilled", "yes")
    assert (done.design.holes[1].drilled, done.design.holes[1].locked) == (True, BOTH)
    assert done.history.undo_name == "mark hole 2 as drilled"
    back = at(done, "holes", 1, "drilled").stepped(later(done))
    assert back.design == HELD.design
    assert "yes or no" in refused(HELD, 1, "drilled", "half")


# How wide


def test_a_width_is_a_length_or_the_name_of_a_bit() -> None:
    assert typed(HELD, "holes", 2, "width", "6.5").design.holes[2].diameter == pytest.approx(6.5 * MM)
    assert typed(HELD, "holes", 2, "width", '1/4"').design.holes[2].diameter == pytest.approx(float(INCH) / 4)
    inches = replace(opened("dust-lark").design, units="in")
    letters = desk_of(replace(inches, shop=replace(inches.shop, bits="inch all"))).holding()
    done = typed(letters, "holes", 2, "width", "f")
    assert done.design.holes[2].diameter == pytest.approx(0.257 * float(INCH))
    assert "F" in shown(done, "holes", 2, "bit")


def test_the_next_bit() -> None:
    desk = at(HELD, "holes", 2, "width")
    before = desk.design.holes[2].diameter
    assert desk.nudged(1, 5.0).design.holes[2].diameter == pytest.approx(before + 0.5 * MM)
    assert desk.nudged(-1, 5.0).design.holes[2].diameter == pytest.approx(before - 0.5 * MM)


def test_a_width_between_bits_names_the_nearest() -> None:
    done = typed(HELD, "holes", 2, "width", "6.2 mm")
    assert text(done, "holes", 2, "bit") == "6 mm"
    assert cell(done, "holes", 2, "bit").tone == "reach"
    assert "nearest" in cell(done, "holes", 2, "bit").note
    assert cell(START, "holes", 2, "bit").note == ""


@pytest.mark.parametrize("what", ["", "0", "-3", "17", "drill", "5 kg"])
def test_what_is_no_width(what: str) -> None:
    assert refused(HELD, 2, "width", what).endswith(".")


# Whose finger


def test_a_finger_and_its_side() -> None:
    thumb = typed(HELD, "holes", 0, "finger", "lt back")
    assert (thumb.design.holes[0].finger, thumb.design.holes[0].side) == ("LT", 180.0)
    assert shown(thumb, "holes", 0, "finger") == "LT back"
    front = typed(thumb, "holes", 0, "finger", "L1 front")
    assert front.design.holes[0] == HELD.design.holes[0]
    for what in ("", "L5", "thumb", "L1 left"):
        assert "is no finger" in refused(HELD, 0, "finger", what)


def test_a_hole_that_nobody_covers_leaves_the_fingerings() -> None:
    done = typed(HELD, "holes", 0, "finger", "none")
    assert all(len(row.holes) == 5 for row in done.design.rows)
    assert len(done.going_to("rows").columns) == len(START.going_to("rows").columns) - 1
    assert done.undone().design == HELD.design


# What follows


def test_what_the_last_edit_moved() -> None:
    done = typed(HELD, "holes", 2, "at", f"{(HELD.design.holes[2].at + 0.7 * MM) / MM:.5f}")
    assert moved_by(done.sheet, 2) == pytest.approx(0.7 * MM, abs=1e-8)
    assert shown(done, "holes", 2, "moved") == "→0.7"
    assert "before your last edit" in cell(done, "holes", 2, "moved").note
    assert shown(replace(done.undone(), signs=TYPED), "holes", 2, "moved") == "<0.7"
    assert shown(done, "holes", 1, "moved") == ""
    foot = typed(HELD, "holes", COUNT, "at", "356 mm")
    assert shown(foot, "holes", COUNT, "moved") == f"←{(HELD.design.tube.length - 356 * MM) / MM:.1f}"
    assert moved_by(START.sheet, 0) == 0.0
    fewer = row_work.deleted(at(HELD, "holes", 0, "at"), 5.0)
    assert moved_by(fewer.sheet, 0) == 0.0


def test_too_little_wood_is_marked() -> None:
    design = HELD.design
    close = typed(HELD, "holes", 2, "at", f"{(design.holes[1].at + 9 * MM) / MM:.5f} mm")
    assert cell(close, "holes", 2, "wood").tone == "reach"
    assert cell(close, "holes", 1, "wood").tone == "reach"
    assert "5.0 mm" in cell(close, "holes", 2, "wood").note
    assert cell(START, "holes", 2, "wood").tone == "plain"
    only = replace(example(), holes=example().holes[:1], rows=())
    assert shown(desk_of(only), "holes", 0, "wood") == ""


def test_what_a_hand_cannot_do_is_named_by_its_fingers() -> None:
    assert reach_notes(START.sheet.design) == {}
    far = typed(HELD, "holes", 5, "at", "330 mm")
    assert "too far apart for this hand" in cell(far, "holes", 5, "reach").note
    assert shown(far, "holes", 5, "reach") == "! R2-R3"
    assert shown(far, "holes", 0, "reach") == "ok"


def test_how_touchy_a_hole_is() -> None:
    """Cents for a tenth of a millimetre, as the prediction's derivatives have them."""
    prediction = START.answer.prediction
    assert prediction is not None
    most = float(shown(START, "holes", 5, "slip"))
    shifts = abs(prediction.sensitivity.at[:, 5]) * 1e-4
    assert 0 < most <= shifts.max() + 0.05
    assert shown(START, "holes", COUNT, "slip") == ""
    assert shown(desk_of(working.nameless_scale()), "holes", 0, "slip") == ""


def test_a_slip_is_a_step_of_the_ruler_in_inches_too() -> None:
    """What stands out does not depend on the units it is told in."""
    inches = desk_of(replace(example(), units="in"))
    sheet = inches.sheet
    assert sheet.answer.prediction is not None
    for key, which in (("slip", "at"), ("wider", "diameter")):
        for desk, step in ((inches, "1/64 in"), (START, "0.1 mm")):
            assert step in next(c.words for c in columns(desk.sheet) if c.key == key)
        for row in range(COUNT):
            cents = slip(inches.design, getattr(sheet.answer.prediction.sensitivity, which), row)
            assert shown(inches, "holes", row, key) == f"{cents * 0.0254 / 64:.1f}"
            assert cell(inches, "holes", row, key).tone == cell(START, "holes", row, key).tone


def test_thin_wood_and_a_bit_that_does_not_fit_carry_a_sign() -> None:
    tight = desk_of(replace(example(), shop=replace(example().shop, wood=0.05)))
    assert shown(tight, "holes", 0, "wood").startswith("!")
    assert not text(tight, "holes", 0, "wood").startswith("!")
    odd = typed(HELD, "holes", 0, "width", "6.27 mm")
    assert shown(odd, "holes", 0, "bit").startswith("!")
    assert not text(odd, "holes", 0, "bit").startswith("!")


def test_where_a_place_comes_from() -> None:
    done = answered(START.solving())
    assert shown(done, "holes", 5, "placed") == ""
    assert "rule" in {shown(done, "holes", i, "placed") for i in range(COUNT)}
    assert shown(START, "holes", 0, "placed") == ""


# The foot, and other holes


def test_the_foot_is_below_the_holes() -> None:
    sheet = START.sheet
    assert [is_foot(sheet, row) for row in range(COUNT + 1)] == [False] * COUNT + [True]
    assert shown(START, "holes", COUNT, "finger") == "foot"
    assert shown(START, "holes", COUNT, "at") == f"{START.design.tube.length / MM:.1f}"
    for key in ("number", "width", "bit", "wood", "reach", "slip", "wider", "placed", "drilled"):
        assert shown(START, "holes", COUNT, key) == text(START, "holes", COUNT, key) == ""
    for key, what in (("width", "6 mm"), ("finger", "L1"), ("drilled", "yes")):
        assert "the foot, not a hole" in refused(HELD, COUNT, key, what)
    assert at(START, "holes", COUNT, "drilled").stepped(5.0).said.text == "There is nothing to turn here."
    assert at(START, "holes", COUNT, "width").nudged(1, 5.0).said.text == "There is nothing to nudge here."
    assert (
        row_work.deleted(at(START, "holes", COUNT, "at"), 5.0).said.text
        == "There is nothing to take out here."
    )


def test_a_new_hole_is_half_way_and_open_to_nobody() -> None:
    design = START.design
    new = blank_hole(START.sheet, 2)
    assert new == Hole(
        pytest.approx((design.holes[1].at + design.holes[2].at) / 2, abs=1e-6), design.holes[1].diameter
    )
    first = blank_hole(START.sheet, 0)
    assert 0 < first.at < design.holes[0].at
    last = blank_hole(START.sheet, COUNT)
    assert design.holes[-1].at < last.at < design.tube.length
    only = blank_hole(desk_of(working.without_holes()).sheet, 0)
    assert 0 < only.at < design.tube.length


def test_holes_are_put_in_and_taken_out() -> None:
    added = answered(row_work.inserted(at(START, "holes", COUNT, "at"), 5.0))
    assert len(added.design.holes) == COUNT + 1
    assert added.history.undo_name == "add hole"
    three = working.ranged(START, "holes", range(3, COUNT + 1), "at", "at")
    fewer = answered(row_work.deleted(three, 5.0))
    assert len(fewer.design.holes) == 3
    assert fewer.history.undo_name == "delete 3 holes"
    assert {len(row.holes) for row in fewer.design.rows} == {3}
    assert fewer.undone().design is START.design
