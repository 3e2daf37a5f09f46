"""Plans of rescue as a list: lines that fit, notes now and then beneath, a plan taken as one step."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import cache

import scaledesign
from scaledesign.model.document import Design
from scaledesign.model.edits import apply
from scaledesign.view import rescue_list
from scaledesign.view.desk import Desk
from scaledesign.view.lines import text_of
from scaledesign.view.listing import Listing
from scaledesign.view.rescue_words import RescueWords
from scaledesign.workshop.readings import read_too_early
from scaledesign.workshop.rescue import Proposal, Rescue, rescue
from tests.view.working import words
from tests.workshop.slips import Slip, slipped

SLIPS = (Slip(3, "diameter", -0.8e-3), Slip(4, "diameter", 0.6e-3))


@cache
def flute() -> Design:
    return slipped("marsh-wren", SLIPS, 2).design


@cache
def listing() -> Listing:
    return rescue_list.plans(Desk.of(flute(), None).sheet)


def first() -> tuple[Rescue, Proposal]:
    value = listing().entries[1].value
    assert isinstance(value, tuple)
    return value


def test_it_begins_with_the_flute_as_it_is_and_the_first_plan_in_hand() -> None:
    here, plan, *_ = listing().entries
    assert text_of(here.line).startswith("as it is now")
    assert here.value is None
    assert here.refusal
    assert listing().start == 1
    assert "mends it" in text_of(plan.line)
    assert "changes mend it" in listing().said


def test_every_line_fits_the_narrowest_dialog() -> None:
    for entry in listing().entries:
        assert len(text_of(entry.line)) <= 73
        for width in (76, 120):
            lines = entry.about(width, listing().about)
            assert len(lines) <= listing().about
            assert max(len(text_of(line)) for line in lines) <= width


def test_beneath_stands_what_it_does_to_the_notes() -> None:
    found, plan = first()
    said = words(*listing().entries[1].about(120, 30))
    assert "now" in said
    assert "then" in said
    judged = [i for i, is_judged in enumerate(found.aim.judged) if is_judged]
    for i in judged:
        assert f"{plan.cents[i]:+.0f}".replace("-", "−").replace("+0", "0").replace("−0", "0") in said
    assert "±" in said


def test_a_plan_is_taken_as_one_step() -> None:
    found, plan = first()
    sheet = Desk.of(flute(), None).sheet
    edit = rescue_list.put_in(flute(), rescue_list.words_for(sheet, found), plan, datetime(2026, 3, 1))
    assert edit.label == "plan of rescue"
    after = apply(flute(), edit)
    assert after.holes[3].diameter > flute().holes[3].diameter
    assert after.holes[4].diameter < flute().holes[4].diameter
    assert all(hole.locked for hole in after.holes)


def test_what_to_do_has_its_cautions_at_the_step() -> None:
    found, plan = first()
    said = words(*rescue_list.to_do(RescueWords(found, "mm"), plan, 76))
    narrow, opened = said.index("Narrow hole 5"), said.index("Open hole 4")
    assert narrow < said.index("Fillers and glues") < opened < said.index("Drilling")
    assert said.count("Dust: ") == 1


def test_a_flute_in_tune_lists_how_it_stands_alone() -> None:
    tuned = slipped("marsh-wren", (), 1).design
    only = rescue_list.plans(Desk.of(tuned, None).sheet)
    assert [entry.value for entry in only.entries] == [None]
    assert only.said.startswith("Nothing to mend in the scale")
    assert only.second == ("", "")


def test_what_is_said_of_odd_few_and_common_readings() -> None:
    def said(**readings: str) -> str:
        design = scaledesign.load(scaledesign_example())
        rows = tuple(replace(row, measured=readings.get(f"r{i}", "")) for i, row in enumerate(design.rows, 1))
        told = RescueWords(rescue(replace(design, rows=rows)), "mm")
        return " ".join((told.verdict(), *told.remarks(), *told.beyond()))

    few = said(r1="A4 -3", r6="E5 -20")
    assert "As far as they tell, one change" in few
    assert "Too few notes were read to cut by" in few
    assert "first, which is least known" in few
    sharp = said(r1="A4 +13", r3="C5 -2", r4="D5 +0", r6="E5 -1", r9="G5 +2", r11="A5 +1")
    assert "only a longer tube flattens it" in sharp
    assert "blow it once more" in sharp
    flat = said(r1="A4 -23", r3="C5 -20", r4="D5 -20", r6="E5 -21", r9="G5 -22", r11="A5 -18")
    assert "cents flat together" in flat
    assert "not a hole's" in flat


def scaledesign_example() -> str:
    from scaledesign.locations import EXAMPLES

    return str(EXAMPLES / "marsh-wren.toml")


def test_a_note_that_was_read_before_holes_were_drilled_is_named() -> None:
    """Rows typed from the lowest on are taken as read while it was drilled, until one is typed again."""
    design = scaledesign.calibrate(flute(), rows={5: "E5 +20"}, when=datetime(2026, 3, 1)).design
    entry = replace(design.log[-1], drilled=("X", "O", "O", "O", "O", "O"))
    early = replace(
        design, log=(*design.log[:-1], entry), holes=tuple(replace(h, drilled=True) for h in design.holes)
    )
    assert read_too_early(early) == (5,)
    said = " ".join(RescueWords(rescue(early), "mm").remarks())
    assert f"{design.rows[5].note} was read before all holes were there, as the log has it" in said
    assert read_too_early(replace(early, log=(*early.log, replace(entry, drilled=())))) == ()
