"""What makers know of their flutes, held against the program: common practice, no source, every one of it."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import scaledesign
from scaledesign.model.document import Design, Station, Tube, Units, Window
from scaledesign.model.units import INCH, parse_length
from scaledesign.workshop.advice import tube_remarks

FIRST, APART, FINGERS = 4.0, 19 / 16, ("L1", "L2", "L3", "R1", "R2", "R3")


def six_holes(
    *,
    bore: str = "5/8",
    wall: str = "1/8",
    diameter: str = "1/4",
    apart: float = APART,
    hand: str = "medium",
    length: float = 12.0,
    extra: str = "",
) -> Design:
    """The tube of the trade: six holes of one size, evenly apart, numbered from the mouth; inches."""
    holes = "".join(
        f'[[holes]]\nat = {FIRST + apart * i}\ndiameter = "{diameter}"\nfinger = "{finger}"\n'
        for i, finger in enumerate(FINGERS)
    )
    rows = "".join(f'[[rows]]\nnote = "A4"\nholes = "{"X" * (6 - n)}{"O" * n}"\n' for n in range(7))
    return scaledesign.loads(
        f'units = "in"\ninstrument = {{ mouth = "duct", material = "bamboo" }}\n'
        f'tube = {{ length = {length}, bore = "{bore}", wall = "{wall}" }}\n'
        f'shop = {{ bits = "inch 1/64", largest = 0.6, hand = "{hand}" }}\n{extra}{holes}{rows}'
    )


def said(design: Design, words: str) -> list[str]:
    return [note for note in scaledesign.predict(design).notes if words in note]


def of_hands(design: Design) -> list[str]:
    return said(design, " hand")


def test_the_tube_of_the_trade_rises_from_foot_to_mouth_under_a_grown_hand() -> None:
    """Common practice, no source."""
    design = six_holes()
    assert (np.diff(scaledesign.predict(design).frequency) > 0).all()
    assert not of_hands(design)
    assert not of_hands(six_holes(hand="large"))


@pytest.mark.parametrize("wall", ["3.2 mm", "1/8", "3.5 mm", "3.8 mm"])
@pytest.mark.parametrize("bore", ["1/2", "5/8", "3/4"])
def test_usual_walls_and_bores_get_no_warning(bore: str, wall: str) -> None:
    """Common practice, no source."""
    assert tube_remarks(six_holes(bore=bore, wall=wall)) == ()


def test_a_wall_of_cane_like_paper_does() -> None:
    """Common practice, no source."""
    (note,) = tube_remarks(six_holes(wall="0.04"))
    assert "bamboo" in note
    assert "bind it" in note


def test_a_deeper_key_wants_a_wider_bore_and_says_how_wide() -> None:
    """Common practice, no source."""
    least = []
    for key in ("D4", "C4", "A3", "F3"):
        wanted = scaledesign.Wanted(0.012, 0.0035, key, "pentatonic minor", "five-hole pentatonic")
        (note,) = tube_remarks(scaledesign.new_design(wanted).design)
        assert "deeper key wants a wider bore" in note
        found = re.search(r"at this length ([\d.]+ mm) or more", note)
        assert found is not None
        least.append(parse_length(found[1], "mm"))
    assert least[0] > 0.012
    assert (np.diff(least) > 0).all()


def test_half_an_inch_on_thirty_is_too_slender_and_just_inside_the_limit_is_not() -> None:
    """Common practice, no source."""
    (note,) = tube_remarks(six_holes(bore="1/2", length=30))
    assert note.startswith("Too slender")
    served = re.search(r"at this length ([\d/ ]+ in) or more would serve; .* up to ([\d/ ]+ in)\.", note)
    assert served is not None
    assert tube_remarks(six_holes(bore=served[1].removesuffix(" in"), length=30)) == ()
    longest = parse_length(served[2], "in") / float(INCH)
    assert tube_remarks(six_holes(bore="1/2", length=longest)) == ()
    assert tube_remarks(six_holes(bore="1/2", length=longest + 1 / 16)) != ()


@given(st.floats(0.010, 0.030), st.floats(41.0, 80.0), st.sampled_from(["mm", "in"]))
def test_the_bore_that_is_said_to_serve_does(bore: float, ratio: float, units: Units) -> None:
    """Common practice, no source."""
    tube = Tube(bore * ratio, (Station(0.0, bore),), (Station(0.0, 0.0035),))
    (note,) = tube_remarks(Design(tube, units=units))
    served = re.search(r"at this length (.*) or more would serve; .* up to (.*)\.", note)
    assert served is not None
    wider = Station(0.0, parse_length(served[1], units))
    assert tube_remarks(Design(replace(tube, bore=(wider,)), units=units)) == ()
    shorter = parse_length(served[2], units)
    assert tube_remarks(Design(replace(tube, length=shorter), units=units)) == ()


@pytest.mark.parametrize("extra", ["", 'voicing = { window = { length = "7/32", width = "3/8" } }\n'])
def test_half_a_millimetre_of_window_moves_every_note_by_as_much_as_is_said(extra: str) -> None:
    """Common practice, no source."""
    if extra:
        design = six_holes(extra=extra)
        window = design.voicing.window
        assert window is not None
    else:  # a usual window for this bore: 0.55 bores wide, 0.3 long, 2 mm thick
        design = six_holes()
        bore = design.tube.bore[0].value
        window = Window(0.3 * bore, 0.55 * bore, 0.002)
    longer = replace(window, length=window.length + 5e-4)
    moved = replace(design, voicing=replace(design.voicing, window=longer))
    before, after = scaledesign.predict(design), scaledesign.predict(moved)
    rise = 1200 * np.log2(after.frequency / before.frequency)
    assert (rise > 3).all()
    (note,) = said(design, "A window 0.02 in longer")
    low, high = (float(number) for number in re.findall(r"by (\d+) to (\d+) cents", note)[0])
    assert low == pytest.approx(rise.min(), abs=1.5)
    assert high == pytest.approx(rise.max(), abs=1.5)


@pytest.mark.parametrize("hand", ["small", "medium", "large"])
def test_holes_closer_than_a_finger_warn(hand: str) -> None:
    """Limits proposed for this program, no source: closer than 16 mm for everybody, 23 for a large hand."""
    crowded = six_holes(diameter="3/16", apart=15.5 / 25.4, hand=hand)
    assert any("too close for the fingers" in note for note in of_hands(crowded))
    near = six_holes(diameter="3/16", apart=22.5 / 25.4, hand=hand)
    assert any("too close for the fingers" in note for note in of_hands(near)) == (hand == "large")


def test_what_a_small_hand_cannot_span_warns() -> None:
    """Limits proposed for this program, no source: 95 mm over three fingers, 45 mm over two."""
    assert of_hands(six_holes(apart=47.6 / 25.4, length=18, hand="small"))
    far = six_holes(hand="small")
    holes = list(far.holes)
    holes[0] = replace(holes[0], at=holes[1].at - 0.0455)
    warned = of_hands(replace(far, holes=tuple(holes)))
    assert any("Holes 1 and 2 are 1 51/64 in apart" in note for note in warned)


def test_a_hole_wider_than_a_small_finger_seals_warns() -> None:
    """Limit proposed for this program, no source: 13 mm, 16 less 3 for the seal."""
    for diameter, wide in (("13.2 mm", True), ("12.8 mm", False)):
        design = six_holes(diameter=diameter, hand="small", bore="3/4")
        assert any("may not seal" in note for note in of_hands(design)) == wide
