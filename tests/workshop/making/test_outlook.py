"""What is foretold of a flute in the making is as sure as it says, held against flutes that are made up."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np

from scaledesign.model.pitch import format_reading
from scaledesign.workshop.making import acts
from scaledesign.workshop.making.opening import Opening, as_built, finished
from scaledesign.workshop.making.outlook import Outlook, outlook_of
from scaledesign.workshop.making.plan import next_step
from scaledesign.workshop.readings import readings_of
from tests.workshop.making.reeds import START, Maker, planned


def _at_the_pilot(offset: float = 0.0) -> tuple[Maker, object]:
    """A flute whose first hole is drilled, and heard ``offset`` cents from what was foretold."""
    maker = Maker(planned())
    while next_step(maker.design).kind != "read":
        maker.do(next_step(maker.design))
    step = next_step(maker.design)
    said = format_reading(step.sounds * 2 ** (offset / 1200), 440.0)
    maker.design = acts.blown(maker.design, said, START, hole=step.hole, holes=step.holes).design
    return maker, step


def test_what_a_pilot_told_is_told_of_the_finished_hole() -> None:
    """A pilot heard 10 cents sharper than foretold makes the finished note most of 10 cents sharper."""
    told = []
    for offset in (0.0, 10.0):
        maker, step = _at_the_pilot(offset)
        row = maker.design.rows[step.row]
        outlook = Outlook(maker.design)
        width = np.array([step.final])
        told.append(outlook.tell(finished(maker.design, (row,), step.hole, width)))
    moved = 1200 * np.log2(told[1].frequency[0, 0] / told[0].frequency[0, 0])
    assert 6.0 < moved < 10.0


def test_a_reading_makes_sure_and_a_second_one_surer() -> None:
    maker, step = _at_the_pilot()
    row = maker.design.rows[step.row]
    sound = as_built(maker.design, row, step.hole, np.array([step.to]) if step.to else np.array([0.006]))
    before = Outlook(replace(maker.design, log=maker.design.log[:-1])).tell(sound).sure[0, 0]
    once = Outlook(maker.design).tell(sound).sure[0, 0]
    again = acts.blown(maker.design, maker.design.log[-1].measured, START, hole=step.hole, holes=step.holes)
    twice = Outlook(again.design).tell(sound).sure[0, 0]
    assert before > once > twice


def test_a_second_reading_tells_more_on_another_day() -> None:
    """Breath and thermometer are of the day: of that day no reading tells them from the flute."""
    maker, step = _at_the_pilot()
    row, said = maker.design.rows[step.row], maker.design.log[-1].measured
    sound = as_built(maker.design, row, step.hole, np.array([0.006]))
    same, other = (
        Outlook(acts.blown(maker.design, said, when, hole=step.hole, holes=step.holes).design)
        for when in (START, START + timedelta(days=1))
    )
    assert other.tell(sound).sure[0, 0] < 0.95 * same.tell(sound).sure[0, 0]


def test_a_tube_that_lay_overnight_is_taken_to_be_colder_still() -> None:
    """The same reading: the flute is sharper than it says, most where it is the first of another day."""
    maker, step = _at_the_pilot()
    row, said = maker.design.rows[step.row], maker.design.log[-1].measured
    sound = as_built(maker.design, row, step.hole, np.array([0.006]))
    told = [
        acts.blown(maker.design, said, when, hole=step.hole, holes=step.holes).design
        for when in (START, START + timedelta(days=1))
    ]
    assert [readings_of(design)[-1].since for design in told] == [1, -1]
    warm, cold = (Outlook(design).tell(sound).frequency[0, 0] for design in told)
    assert 0.5 < 1200 * np.log2(cold / warm) < 2.4


def test_further_from_the_pilot_it_is_less_sure() -> None:
    maker, step = _at_the_pilot()
    line = Opening(Outlook(maker.design), step.hole, maker.design.rows[step.row], 523.25).line
    assert (np.diff(line.off) > 0).all()
    assert line.sure[-1] > line.sure[0]


def test_the_plan_ahead_does_not_change_what_was_heard() -> None:
    """An outlook that is kept tells the same as one made anew, after the rest of the plan was moved."""
    maker, _ = _at_the_pilot(4.0)
    outlook_of(maker.design)
    holes = maker.design.holes
    moved = replace(maker.design, holes=(replace(holes[0], at=holes[0].at + 0.003), holes[1]))
    sound = finished(moved, moved.rows)
    kept, anew = outlook_of(moved).tell(sound), Outlook(moved).tell(sound)
    assert np.allclose(kept.frequency, anew.frequency, rtol=1e-7)
    assert np.allclose(kept.sure, anew.sure, rtol=1e-5)
