"""A reading that the others contradict takes no wood off: it is blown again until it fits, or must be so."""

from __future__ import annotations

import pytest

from scaledesign.model.document import Design
from scaledesign.model.pitch import cents_between, format_reading, reading_frequency
from scaledesign.workshop.making import acts
from scaledesign.workshop.making.plan import next_step, plan
from scaledesign.workshop.making.step import Step
from scaledesign.workshop.making.tries import READINGS
from scaledesign.workshop.noting import by_hole
from tests.workshop.making.reeds import Maker, planned


def before(kind: str) -> Maker:
    maker = Maker(planned(), mouth=0.003, bore=0.005, tuner=1.0)
    while next_step(maker.design).kind != kind:
        maker.do(next_step(maker.design))
    return maker


@pytest.fixture(scope="module")
def drilled() -> Maker:
    """Its first hole is drilled, and to be blown."""
    return before("read")


@pytest.fixture(scope="module")
def bare() -> Maker:
    """Blown bare and cut; then comes the first hole."""
    return before("drill")


def heard(maker: Maker, design: Design, step: Step, cents: float) -> Design:
    """The same note blown so many cents off what it truly was to be."""
    said = format_reading(step.sounds * 2 ** (cents / 1200), 440.0)
    read = acts.blown(design, said, maker.when, hole=step.hole, holes=step.holes, register=step.register)
    return acts.resolved(read.design)


@pytest.mark.parametrize("cents", [-30, -60, 40])
def test_a_hole_whose_reading_is_left_out_is_blown_again(drilled: Maker, cents: float) -> None:
    step = next_step(drilled.design)
    design = heard(drilled, drilled.design, step, cents)
    assert design.learned.left_out
    found = plan(design)
    assert (found.now.kind, found.now.hole, found.now.holes) == ("read", step.hole, step.holes)
    assert "left out" in found.now.why
    # it is left out of what is told, too
    assert abs(cents_between(step.sounds, found.now.sounds)) < 2.0
    assert next(each.off for each in found.holes if each.hole == step.hole) is None
    # blown as it should sound, it goes on
    again = next_step(heard(drilled, design, step, 0.0))
    assert "left out" not in again.why


def test_a_bare_tube_whose_reading_is_left_out_is_blown_again_until_it_must_be_so(bare: Maker) -> None:
    design, long = bare.design, bare.design.log[-1].length
    told = next(entry for entry in reversed(design.log) if entry.event == "measured")
    true = reading_frequency(told.measured, 440.0)
    for count in range(1, READINGS):
        said = format_reading(true * 2 ** ((40 + count) / 1200), 440.0)
        design = acts.resolved(acts.blown(design, said, bare.when).design)
        found = plan(design)
        assert said in design.learned.left_out
        assert (found.now.kind, found.now.now, found.notes) == ("blow", long, ())
        assert abs(cents_between(true, found.now.sounds)) < 5.0
        assert ("measure the tube's length again" in found.now.why) == (count > 1)
    often = acts.resolved(acts.blown(design, said, bare.when).design)
    found = plan(often)
    assert found.now.kind == "drill"
    assert any("is taken as it is" in note and "length again" in note for note in found.notes)
    # tries that do not go together are not believed
    wild = format_reading(true * 2 ** (70 / 1200), 440.0)
    assert next_step(acts.resolved(acts.blown(design, wild, bare.when).design)).kind == "blow"


@pytest.mark.parametrize("cents", [-40, 22, 60])
def test_two_bare_readings_that_are_unlike_cut_nothing(cents: float) -> None:
    maker = Maker(planned(), mouth=0.003, bore=0.005, tuner=1.0)
    maker.do(next_step(maker.design))
    first = maker.design
    assert next_step(first).kind == "cut"
    told = next(entry for entry in reversed(first.log) if entry.event == "measured")
    true = reading_frequency(told.measured, 440.0)

    def blown(design: Design, off: float) -> Design:
        said = format_reading(true * 2 ** (off / 1200), 440.0)
        return acts.resolved(acts.blown(design, said, maker.when).design)

    unlike = blown(first, cents)
    step = next_step(unlike)
    assert (step.kind, step.now) == ("blow", told.length)
    assert f"{abs(cents)} cents apart" in step.why
    # the third is like one of them
    assert next_step(blown(unlike, 4.0)).kind == "cut"
    # one like the other asks for nothing more
    assert next_step(blown(first, 6.0)).kind == "cut"
    # what never settles, and leaves nothing out, is gone on with by all that was heard
    wild = unlike
    for off in (-1.5 * cents, 2.0 * cents):
        assert next_step(wild).kind == "blow"
        wild = blown(wild, off)
    assert len(wild.log) == READINGS
    assert next_step(wild).kind == ("blow" if wild.learned.left_out else "cut")


def test_what_cannot_be_blown_again_is_not_asked_for(bare: Maker, drilled: Maker) -> None:
    said = bare.design.log[-1].measured
    first = bare.design.log[0].measured
    words = "The bare tube ({}) is 42 cents sharp of what the other readings say, and is left out: was it {}"
    note = words.format("{}", "noted where it belongs? Blow it again, or take it back.")
    assert by_hole(bare.design, (note.format(said),)) == (note.format(said),)
    (longer,) = by_hole(bare.design, (note.format(first),))
    (bored,) = by_hole(drilled.design, (note.format(said),))
    for told in (longer, bored):
        assert "Blow it again" not in told
        assert told.endswith("It cannot be blown again, the flute is another by now: take it back.")
    again = acts.blown(bare.design, "A4 -8", bare.when).design
    assert by_hole(again, (note.format(said),))[0].endswith("It was blown again since.")


def test_a_whole_flute_is_not_filed_by_a_reading_that_is_left_out() -> None:
    maker = Maker(planned(), mouth=0.003, bore=0.005, tuner=1.0, patient=False)
    while "all its holes" not in (step := next_step(maker.design)).why:
        maker.do(step)
    design = heard(maker, maker.design, step, -45.0)
    assert design.learned.left_out
    now = next_step(design)
    assert (now.kind, now.holes) == ("read", step.holes)
    assert "left out" in now.why
