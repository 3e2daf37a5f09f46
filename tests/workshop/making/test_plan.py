"""Following the plan, one step at a time, ends with a flute in tune; and it can be laid aside at any step."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from scaledesign import dumps, loads
from scaledesign.errors import EditError
from scaledesign.model.pitch import reading_frequency
from scaledesign.model.widths import as_it_is, length_now
from scaledesign.workshop.making import acts
from scaledesign.workshop.making.last_steps import DAYS, FIRST
from scaledesign.workshop.making.plan import ended, next_step, plan
from scaledesign.workshop.noting import taken_back
from tests.workshop.making.reeds import START, Maker, planned


@pytest.fixture(scope="module")
def made() -> Maker:
    maker = Maker(planned(), mouth=-0.006, bore=-0.015, tuner=1.0)
    maker.finish()
    return maker


def test_the_plan_ends_with_every_note_in_tune(made: Maker) -> None:
    assert np.abs(made.off()).max() < 5.0
    kinds = [step.kind for step in made.told]
    assert kinds[0] == "blow"
    assert kinds.index("cut") < kinds.index("drill")
    assert kinds.count("drill") == 2


def test_holes_are_drilled_from_the_foot_and_each_pilot_is_surely_flat(made: Maker) -> None:
    drills = [step for step in made.told if step.kind == "drill"]
    assert [step.hole for step in drills] == [1, 0]
    for step in drills:
        assert step.to < step.final
        assert step.sharp <= 0.05
        assert step.bit == step.to


def test_no_step_of_the_way_made_a_note_sharp(made: Maker) -> None:
    """Noise of the tuner aside, no width that was told is wider than the last one of its hole."""
    for hole in (0, 1):
        told = [s.to for s in made.told if s.hole == hole and s.kind in ("drill", "open", "file")]
        assert told == sorted(told)
    assert not [step for step in made.told if step.kind == "fill"]


def test_after_work_comes_a_reading(made: Maker) -> None:
    kinds = [step.kind for step in made.told]
    for work, after in pairwise(kinds):
        if work in ("drill", "open", "file", "undercut"):
            assert after == "read"


def test_what_should_be_heard_is_heard(made: Maker) -> None:
    """Each note that was foretold came out within four of its ±, but for the first, of a longer tube."""
    heard = [entry for entry in made.design.log if entry.event == "measured"]
    told = [step for step in made.told if step.kind in ("read", "blow")]
    assert len(heard) == len(told)
    off = [
        1200 * np.log2(reading_frequency(entry.measured, 440.0) / step.sounds) / step.sure
        for entry, step in zip(heard, told, strict=True)
    ]
    assert np.abs(off[1:]).max() < 4.0


def test_a_flute_laid_aside_is_taken_up_where_it_was() -> None:
    maker = Maker(planned())
    for _ in range(6):
        maker.do(next_step(maker.design))
    again = loads(dumps(maker.design))
    assert next_step(again) == next_step(replace(maker.design, text=None))
    assert as_it_is(again).holes[1].diameter == maker.told[3].to or len(maker.told) > 3


def test_a_tube_far_too_long_is_cut_in_two_goes() -> None:
    maker = Maker(planned())
    maker.do(next_step(maker.design))
    first = next_step(maker.design)
    assert first.kind == "cut"
    assert first.to > 1.03 * first.final
    maker.do(first)
    assert next_step(maker.design).kind == "blow"
    maker.do(next_step(maker.design))
    second = next_step(maker.design)
    assert second.kind == "cut"
    assert first.final * 0.97 < second.to < first.to
    assert second.off < 0.0


def test_a_reading_far_from_what_was_foretold_is_asked_for_again() -> None:
    maker = Maker(planned())
    while next_step(maker.design).kind != "read":
        maker.do(next_step(maker.design))
    step = next_step(maker.design)
    wrong = maker.shows(step.sounds * 2 ** (45 / 1200))
    design = acts.resolved(acts.blown(maker.design, wrong, START, hole=step.hole, holes=step.holes).design)
    asked = next_step(design)
    assert asked.kind == "read"
    assert "once more" in asked.why
    true = maker.shows(maker.truth(design.rows[step.row], length_now(design)))
    for _ in range(2):
        design = acts.blown(design, true, START, hole=step.hole, holes=step.holes).design
    assert next_step(acts.resolved(design)).kind in ("open", "file")


def test_the_whole_flute_is_blown_on_other_days_too_and_who_does_not_wait_ends_as_well() -> None:
    maker = Maker(planned(), mouth=0.005, tuner=3.0)
    while not (step := next_step(maker.design)).rest:
        maker.do(step)
    hasty = Maker(maker.design, mouth=0.005, tuner=3.0, patient=False)
    hasty.stated, hasty.when = maker.stated, maker.when
    maker.finish()
    waits = [k for k, step in enumerate(maker.told) if step.rest]
    assert 1 <= len(waits) < DAYS
    assert {step.kind for step in maker.told if step.rest} == {"read"}
    assert "drill" not in [step.kind for step in maker.told[waits[0] :]]
    assert len({entry.when.date() for entry in maker.design.log}) == 1 + len(waits)
    assert np.abs(maker.off()).max() < 5.0
    hasty.finish()
    assert len({entry.when.date() for entry in hasty.design.log}) == 1


def test_what_is_drilled_stays_and_the_rest_follows() -> None:
    maker = Maker(planned(), mouth=0.008, bore=0.02)
    while not maker.design.holes[1].drilled:
        maker.do(next_step(maker.design))
    at = maker.design.holes[1].at
    before = maker.design.holes[0].at
    maker.finish()
    assert maker.design.holes[1].at == at
    assert maker.design.holes[0].at != before


def test_the_account_tells_how_each_hole_stands() -> None:
    maker = Maker(planned())
    assert [account.state for account in plan(maker.design).holes] == ["planned", "planned"]
    assert [account.hole for account in plan(maker.design).holes] == [1, 0]
    assert [account.row for account in plan(maker.design).holes] == [1, 2]
    maker.finish()
    accounts = plan(maker.design).holes
    assert [account.state for account in accounts] == ["in tune", "in tune"]
    true = maker.off()
    for account in accounts:
        assert abs(account.off - true[account.row]) < 4 * account.sure


def test_mistakes_are_told_in_one_sentence() -> None:
    design = planned()
    with pytest.raises(EditError, match="not drilled yet"):
        acts.opened(design, 1, START, diameter=0.008)
    design = acts.drilled(design, 1, 0.006, START)
    with pytest.raises(EditError, match="drilled already"):
        acts.drilled(design, 1, 0.006, START)
    with pytest.raises(EditError, match=r"6\.0 mm wide already"):
        acts.opened(design, 1, START, diameter=0.005)
    with pytest.raises(EditError, match="no hole 3"):
        acts.drilled(design, 2, 0.006, START)
    design = acts.cut(design, 0.37, START)
    with pytest.raises(EditError, match=r"370\.0 mm long already"):
        acts.cut(design, 0.38, START)


def test_the_foot_stays_once_nothing_is_left_to_do(made: Maker) -> None:
    """A flute that was made is not made shorter by an edit of its rows; taken back, it is not done."""
    ahead = plan(made.design)
    kept = ended(made.design, ahead)
    assert (made.design.tube.locked, kept.tube.locked) == (False, True)
    assert ended(kept, ahead) is kept
    assert ended(made.design, plan(planned())) is made.design
    last = kept.log[-1]
    assert acts.FINISHED in last.note
    back, _ = taken_back(kept)
    assert not back.tube.locked
    read = acts.blown(kept, last.measured, last.when, holes=last.holes, register=last.register or 1).design
    assert read.log[:-1] == kept.log
    assert taken_back(read)[0].tube.locked, "it was finished before that"


def test_a_foot_that_the_maker_marked_as_cut_stays_so_when_the_last_thing_is_taken_back(made: Maker) -> None:
    own = replace(made.design, tube=replace(made.design.tube, locked=True))
    assert ended(own, plan(own)) is own
    back, _ = taken_back(own)
    assert back.tube.locked
    assert len(back.log) == len(own.log) - 1


def test_a_note_that_is_blown_again_says_why() -> None:
    """The first time of a day, or a chance to be off, or what cannot be undone, each in words of its own."""
    maker = Maker(planned(), tuner=3.0, patient=False)
    maker.finish()
    asked = [step for step in maker.told if step.kind == "read" and step.row is not None]
    assert any(step.why == FIRST for step in asked)
    assert any("chances in 100" in step.why for step in asked)
    since: set[int] = set()
    for step in maker.told:
        if step.kind != "read":
            since.clear()
        elif step.why == FIRST and step.row is not None:
            assert step.row not in since, "asked again in the same words"
            since.add(step.row)


def test_a_hole_that_no_note_was_blown_of_is_not_called_in_tune() -> None:
    """A hole that only a note between is made for: it is drilled, and nobody heard it."""
    design = planned()
    rows = tuple(replace(row, weight=0.0) if i == 1 else row for i, row in enumerate(design.rows))
    maker = Maker(replace(design, rows=rows))
    maker.finish()
    states = {account.hole: account.state for account in plan(maker.design).holes}
    assert states[1] == "drilled"
    assert states[0] == "in tune"
