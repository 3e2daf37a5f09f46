"""Usual answers: they fit together, and to the tube."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest

import scaledesign
from scaledesign.cli import options
from scaledesign.errors import EditError, UnknownNameError
from scaledesign.extend.registry import catalogue
from scaledesign.model import bits, hands
from scaledesign.model.document import Mouth, Units
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.workshop import usual
from scaledesign.workshop.start import Wanted, blank_design, length_for

FOUND = catalogue()


def length_of(key: str, bore: float, mouth: Mouth) -> float:
    design = blank_design(Wanted(bore, 0.003, key, "", "", mouth=mouth))
    return length_for(design, note_frequency(parse_note(key), 440.0))


@pytest.mark.parametrize("mouth", usual.MOUTHS)
@pytest.mark.parametrize("bore", [0.008, 0.012, 0.016, 0.019, 0.025, 0.035])
def test_the_usual_key_is_the_natural_note_of_a_comfortable_tube(bore: float, mouth: Mouth) -> None:
    """Half a whole step either way at most, which is 6 percent of 22 bores."""
    key = usual.usual_key(bore, 0.003, mouth)
    assert len(key) == 2
    assert length_of(key, bore, mouth) / bore == pytest.approx(22, rel=0.075)


def test_the_usual_key_of_a_short_tube_is_the_deepest_that_it_reaches() -> None:
    tube = 0.25
    key = usual.usual_key(0.016, 0.003, "duct", tube)
    assert length_of(key, 0.016, "duct") <= tube
    below = {"D": "C", "E": "D", "F": "E"}[key[0]] + key[1]
    assert length_of(below, 0.016, "duct") > tube


def test_a_long_tube_does_not_ask_for_a_deeper_key() -> None:
    assert usual.usual_key(0.016, 0.003, "duct", 0.9) == usual.usual_key(0.016, 0.003, "duct")


@pytest.mark.parametrize(("bore", "longest"), [(0.001, None), (0.2, None), (0.016, 0.001)])
def test_no_key_is_usual_where_there_is_no_flute(bore: float, longest: float | None) -> None:
    assert usual.usual_key(bore, 0.003, "duct", longest) == ""


def test_the_mouths_are_those_that_the_command_line_offers() -> None:
    """All but the ideal one, which is for checks."""
    assert tuple(usual.MOUTHS) == options.MOUTHS
    assert {*usual.MOUTHS, "open"} == set(get_args(Mouth))


def test_what_is_usual_exists() -> None:
    assert usual.mouth_named(usual.USUAL_MOUTH) == usual.USUAL_MOUTH
    assert usual.USUAL_HAND in hands.NAMES
    assert set(usual.USUAL_BITS) == set(get_args(Units))
    assert set(usual.USUAL_BITS.values()) <= set(bits.NAMES)
    assert FOUND.scale(usual.usual_scale(FOUND)).name == "pentatonic minor"
    assert usual.usual_scale(FOUND, "six-hole diatonic") == "major"


@pytest.mark.parametrize("name", [scale.name for scale in usual.playable(FOUND)])
def test_every_scale_on_offer_has_a_system_that_plays_it(name: str) -> None:
    scale = usual.scale_named(FOUND, name)
    system = usual.usual_system(FOUND, scale)
    assert usual.system_named(FOUND, system, scale) == system
    assert system in [name for name, _ in usual.systems_to_choose(FOUND, scale)]
    if len(scale.cents) == 5:
        assert system == usual.USUAL_SYSTEM


def test_names_are_found_however_they_are_written() -> None:
    assert usual.mouth_named(" Duct ") == "duct"
    assert usual.hand_named("LARGE") == "large"
    assert usual.bits_named("Metric 0.5") == "metric 0.5"
    assert usual.scale_named(FOUND, "Pentatonic  MINOR").name == "pentatonic minor"
    scale = FOUND.scale("major")
    assert usual.system_named(FOUND, "Six-Hole Diatonic", scale) == "six-hole diatonic"


def test_names_that_nobody_offers_or_that_do_not_fit() -> None:
    with pytest.raises(UnknownNameError, match="did you mean 'notch'"):
        usual.mouth_named("notsh")
    with pytest.raises(UnknownNameError, match="medium"):
        usual.hand_named("mediun")
    with pytest.raises(UnknownNameError, match="bit set"):
        usual.bits_named("metric 7")
    with pytest.raises(EditError, match="No fingering system plays the 24 notes of quarter tones"):
        usual.scale_named(FOUND, "quarter tones")
    with pytest.raises(EditError, match="choose a system that fits"):
        usual.system_named(FOUND, "six-hole pentatonic", FOUND.scale("dorian"))


def test_a_flute_of_usual_answers_is_met() -> None:
    key = usual.usual_key(0.0159, 0.003, usual.USUAL_MOUTH)
    want = Wanted(0.0159, 0.003, key, usual.usual_scale(FOUND), usual.USUAL_SYSTEM)
    assert scaledesign.new_design(replace(want, hand=usual.USUAL_HAND)).obstacles == ()
