"""What a tube can become: verdicts against the flute that is begun, monotone facts, nodes, absurd tubes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from scaledesign.errors import EditError
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.model.units import INCH
from scaledesign.workshop import advice, ask, reach, tube_advice, tube_advice_layout
from scaledesign.workshop.registers import registers
from scaledesign.workshop.start import Wanted, blank_design, length_for
from scaledesign.workshop.tube_advice import Becoming, becoming, bores, exact, in_key
from scaledesign.workshop.tube_advice_verdict import GRADES, OFF, Choice

IN = float(INCH)
SCALE, SYSTEM = "pentatonic minor", "six-hole pentatonic"


def tube(bore: float, length: float | None, **more: object) -> Wanted:
    want = Wanted(bore, 0.003, "", SCALE, SYSTEM, length=length)
    return replace(want, **more)


@cache
def usual(length: float = 0.51) -> Becoming:
    return becoming(tube(0.016, length))


@cache
def slender() -> Becoming:
    return becoming(Wanted(0.5 * IN, IN / 8, "", SCALE, SYSTEM, length=30 * IN, units="in", bits="inch 1/64"))


def of_key(found: Becoming, key: str) -> Choice:
    return next(each for each in found.choices if each.wanted.key == key)


def test_a_longer_tube_loses_no_key_and_none_gets_worse() -> None:
    short = {each.wanted.key: each for each in usual(0.40).choices}
    long = {each.wanted.key: each for each in usual().choices}
    assert set(short) < set(long)
    for key, each in short.items():
        assert GRADES.index(long[key].verdict) <= GRADES.index(each.verdict), key


def test_keys_are_those_that_the_tube_is_long_enough_for() -> None:
    found = usual()
    assert found.deeper is not None
    key, length = found.deeper
    assert length > 0.51
    assert all(each.length <= 0.51 and each.leave <= 0.51 for each in found.choices)
    blank = blank_design(replace(found.wanted, key=key))
    assert length == pytest.approx(length_for(blank, note_frequency(parse_note(key), 440.0)), abs=1e-6)
    assert key not in {each.wanted.key for each in found.choices}


def test_slenderness_is_judged_as_everywhere_else() -> None:
    for each in (*usual().choices, *slender().choices):
        told = next(one for one in each.aspects if one.name == "slenderness")
        assert advice.verdict(each.bores) in told.words
        if each.laid is not None:
            assert advice.slenderness(each.laid.design) == pytest.approx(each.bores, rel=0.02)


def test_half_an_inch_on_thirty_is_too_slender_and_what_would_serve_is_named() -> None:
    found = slender()
    assert advice.verdict(found.deepest.bores) == "too slender"
    assert GRADES.index(found.deepest.verdict) >= GRADES.index("poor")
    said = found.remarks[0]
    assert "Too slender uncut: 30 in is 60 bores" in said
    assert "a bore of 3/4 in or more would serve, best 7/8 in to 1 1/2 in" in said
    assert "In this bore cut it to 20 in or less" in said
    best = found.best
    assert best is not None
    assert best.verdict == "good"
    assert f"{best.wanted.key} best" in said
    for each in found.choices:
        if advice.verdict(each.bores) == "too slender":
            assert each.verdict in ("poor", "no")


def test_the_best_keys_flute_is_laid_out_in_tune_within_reach() -> None:
    best = usual().best
    assert best is not None
    whole = exact(best)
    assert whole.laid is not None
    assert whole.laid.exact
    assert whole.verdict in ("good", "will do")
    assert not reach.misfits(whole.laid.design)
    assert np.abs(whole.laid.cents).max() <= OFF[0]
    assert whole.length == pytest.approx(best.length, abs=1e-3)
    assert whole.leave > whole.length


@pytest.mark.parametrize("key", ["F4", "D5"])
def test_the_second_octave_is_that_of_the_flute_that_new_makes(key: str) -> None:
    one = of_key(usual(), key)
    made = ask.new_design(one.wanted).design
    played = [each for each in registers(made).fingerings if each.of_the_scale]
    freely = sum(each.registers[1].speech == "speaks" for each in played)
    at_all = sum(each.registers[1].speech in ("speaks", "weakly") for each in played)
    needed = 0.6 * len(played)
    assert one.octave == ("yes" if freely >= needed else "weakly" if at_all >= needed else "no")


def test_what_is_laid_out_together_is_what_new_lays_out() -> None:
    one = of_key(usual(), "B4")
    assert one.laid is not None
    made = ask.new_design(one.wanted).design
    assert one.laid.design.tube.length == pytest.approx(made.tube.length, abs=1e-3)
    for about, hole in zip(one.laid.design.holes, made.holes, strict=True):
        assert about.at == pytest.approx(hole.at, abs=0.008)


def test_a_node_just_where_a_hole_must_be() -> None:
    free = of_key(usual(), "A4")
    assert free.laid is not None
    place = free.laid.design.holes[3].at
    want = tube(0.016, 0.51, avoid=((place - 0.003, place + 0.003),), key="A4")
    (laid,) = tube_advice_layout.laid_out([want], tube_advice_layout.lengths([want]))
    assert laid is not None
    (start, end) = want.avoid[0]
    for hole in laid.design.holes:
        assert hole.at + hole.diameter / 2 <= start + 1e-4 or hole.at - hole.diameter / 2 >= end - 1e-4
    assert np.abs(laid.cents).max() < 5


def test_where_nodes_leave_no_way_the_verdict_names_them() -> None:
    one = in_key(tube(0.016, 0.51, avoid=((0.195, 0.300),), key="A4"))
    assert one.verdict in ("poor", "no")
    assert "no hole may go at 195.0 to 300.0 mm" in one.reason
    full = in_key(tube(0.016, 0.51, avoid=((0.03, 0.5),), key="A4"))
    assert full.verdict == "no"
    assert "no room for its holes" in full.reason


def test_a_foot_on_a_node_is_told() -> None:
    length = tube_advice_layout.lengths([tube(0.016, 0.51, key="A4")])[0]
    one = in_key(tube(0.016, 0.51, avoid=((length - 0.003, length + 0.003),), key="A4"))
    assert "The foot of A4 falls on the stretch" in tube_advice.node_words(one)


def test_a_tube_without_limit_is_offered_keys_of_all_proportions() -> None:
    found = becoming(tube(0.016, None))
    assert found.deeper is None
    assert {"comfortable", "slender", "a little stout"} <= {
        advice.verdict(each.bores) for each in found.choices
    }
    assert found.best is not None
    assert advice.verdict(found.best.bores) == "comfortable"


def test_an_impossible_key_is_not_laid_out_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(want: Wanted) -> None:
        raise AssertionError("that takes half a minute")

    monkeypatch.setattr(ask, "new_design", never)
    one = in_key(tube(0.008, None, wall=0.002, key="D6"))
    assert one.verdict == "no"
    assert "holes narrower than your bits" in one.reason


@pytest.mark.parametrize(
    ("bore", "length", "said"),
    [
        (0.003, 0.4, "makes no flute; take 4.0 mm to 60.0 mm"),
        (0.080, 0.4, "makes no flute"),
        (0.016, 0.050, "too short for a bore of 16.0 mm"),
    ],
)
def test_an_absurd_tube_is_told_in_a_sentence(bore: float, length: float, said: str) -> None:
    with pytest.raises(EditError, match=said) as told:
        becoming(tube(bore, length))
    assert "\n" not in str(told.value)


def test_the_bore_to_look_for() -> None:
    found = bores(tube(0.0, None, key="A4"))
    assert found.best is not None
    assert found.best.verdict == "good"
    assert 0.013 <= found.best.wanted.bore <= 0.018
    assert found.good is not None
    assert found.good[0] < found.best.wanted.bore < found.good[1]
    by_bore = sorted(found.choices, key=lambda each: each.wanted.bore)
    assert advice.verdict(by_bore[0].bores) == "too slender"
    assert advice.verdict(by_bore[-1].bores) == "stout"
    orders = [each.order for each in found.choices]
    assert orders == sorted(orders)


def test_a_length_that_is_too_short_for_the_key_in_any_bore() -> None:
    with pytest.raises(EditError, match="too short for A4 in any bore"):
        bores(tube(0.0, 0.15, key="A4"))
    with pytest.raises(EditError, match="too high for a flute"):
        bores(tube(0.0, None, key="C9"))


def test_bores_are_told_in_both_units() -> None:
    assert tube_advice.bore_words(0.016, "mm") == "16 mm (about 5/8 in)"
    assert tube_advice.bore_words(5 / 8 * IN, "in") == "5/8 in (15.9 mm)"
