"""What is said of registers: the verdict first, a remedy that works for what is off, the maker's units."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

import scaledesign
from scaledesign.model.document import Design, Mouth, Voicing, Window
from scaledesign.model.units import parse_length
from scaledesign.workshop.register_words import OFF, advices, in_short, verdicts, widest
from scaledesign.workshop.registers import BREATH, registers
from tests.solver.remake_examples import EXAMPLES, PLANS
from tests.workshop.tubes import flute

FILES = [plan.file for plan in PLANS]


def said(design: Design) -> tuple[str, ...]:
    return advices(design, registers(design))


def about(design: Design, words: str) -> list[str]:
    return [note for note in said(design) if words in note]


def with_window(length: float) -> Design:
    """A flute blown through a window of some length, its mouth worth what it was."""
    return replace(flute(), voicing=Voicing(0.03, window=Window(length, 0.009, 0.002)))


@pytest.mark.parametrize("file", FILES)
def test_the_second_octave_comes_first_with_its_answer(file: str) -> None:
    """Every note of the scale is named once, the best first; the third register where lips can ask for it."""
    design = scaledesign.load(EXAMPLES / file)
    found = registers(design)
    lines = verdicts(found)
    assert re.match(r"Second octave: (yes|weakly|hardly|no)\b", lines[0])
    assert len(lines) == (1 if design.instrument.mouth == "duct" else 2)
    assert all(line.endswith(".") for line in lines)
    notes = [one.note for one in found.fingerings if one.of_the_scale]
    if "all" not in lines[0]:
        named = re.sub(r": (on [A-G]\S* )?[a-z][^;]*", "", lines[0].removeprefix("Second octave:"))
        for note in notes:
            assert len(re.findall(rf"(?<!\S){re.escape(note)}(?![\w#])", named)) == 1, (note, named)


def test_one_answer_for_all_notes() -> None:
    lean, stout, nothing = flute(30.0, "transverse"), flute(9.0), flute(0.3, bore=0.06)
    assert verdicts(registers(replace(lean, rows=lean.rows[:3])))[0] == (
        "Second octave: yes, on all 3 notes of the scale."
    )
    assert verdicts(registers(replace(stout, rows=stout.rows[:1])))[0] == (
        "Second octave: weakly, on A4: the tube is 9 bores long, stout."
    )
    assert verdicts(registers(nothing))[0].startswith("Second octave: no, on none of the 7 notes")


def test_weak_low_notes_are_told_too() -> None:
    slender = verdicts(registers(flute(60.0)))
    assert slender[0].startswith("Second octave: yes")
    assert slender[1].startswith("Low notes: weakly, on all 7 notes of the scale")
    assert "60 bores long, too slender" in slender[1]


@pytest.mark.parametrize("mouth", ["duct", "notch", "rim", "transverse"])
def test_one_verdict_on_the_tube_wherever_it_is_given(mouth: Mouth) -> None:
    """The sentence that a prediction has, with its remedy."""
    for bores in (8.0, 60.0):
        design = flute(bores, mouth)
        assert said(design)[0] in scaledesign.predict(design).notes


@pytest.mark.parametrize("file", FILES)
def test_an_octave_that_is_off_gets_a_remedy(file: str) -> None:
    """As far off as the numbers say, with a hole to change or a word why none can be."""
    design = scaledesign.load(EXAMPLES / file)
    for played in registers(design).fingerings:
        octave = played.registers[1]
        notes = about(design, f"The octave of {played.note} is ")
        wanted = played.of_the_scale and octave.speech != "none" and abs(octave.stretch) >= OFF
        assert len(notes) == wanted, played.note
        if wanted:
            way = "sharp" if octave.stretch > 0 else "flat"
            assert f"{abs(octave.stretch):.0f} cents {way}: " in notes[0]


def test_the_remedy_for_a_flat_octave_works() -> None:
    """One millimetre of it: the low note stays, the octave rises about as far as is said."""
    design = scaledesign.load(EXAMPLES / "reed-bunting.toml")
    (note,) = about(design, "The octave of E5 is ")
    hole, wide, way, cents = re.findall(
        r"make hole (\d) wider and move it toward the foot\. ([\d.]+ mm) wider and ([\d.]+ mm) nearer the "
        r"foot keeps E5 and raises its octave (\d+) cents",
        note,
    )[0]
    index = int(hole) - 1
    before = design.holes[index]
    changed = replace(
        before,
        diameter=before.diameter + parse_length(wide, "mm"),
        at=before.at + parse_length(way, "mm"),
    )
    holes = (*design.holes[:index], changed, *design.holes[index + 1 :])
    old, new = (
        next(one for one in registers(each).fingerings if one.note == "E5")
        for each in (design, replace(design, holes=holes))
    )
    assert 1200 * abs(new.low.frequency / old.low.frequency - 1) < 3
    assert new.registers[1].stretch - old.registers[1].stretch == pytest.approx(float(cents), rel=0.25)


def test_a_hole_that_may_not_be_wider_is_not_to_be_widened() -> None:
    design = scaledesign.load(EXAMPLES / "reed-bunting.toml")
    narrow = replace(design, shop=replace(design.shop, largest=0.0095))
    assert widest(narrow) == 0.0095
    (note,) = about(narrow, "The octave of E5 is ")
    assert "hole 2 is nearly as wide as it may be, so take a narrower bore or a thinner wall" in note


def test_a_hole_that_is_drilled_is_for_the_next_flute() -> None:
    design = scaledesign.load(EXAMPLES / "reed-bunting.toml")
    drilled = replace(design, holes=tuple(replace(hole, drilled=True) for hole in design.holes))
    assert "next flute" in about(drilled, "The octave of E5 is ")[0]
    assert not about(design, "next flute")


@pytest.mark.parametrize(
    ("mouth", "words"),
    [
        ("transverse", "draw the stopper back; 1.0 mm lowers it"),
        ("duct", "leave bore behind the window; 1.0 mm lowers it"),
        ("rim", "bend it with lip and breath"),
    ],
)
def test_a_sharp_octave_of_the_closed_tube(mouth: Mouth, words: str) -> None:
    design = replace(flute(14.0, mouth), rows=flute().rows[:1], voicing=Voicing(0.04))
    (note,) = about(design, "The octave of A4 is ")
    assert "cents sharp" in note
    assert words in note


def test_both_numbers_where_an_octave_lies_near_the_cutoff() -> None:
    """And nothing where none does."""
    design = scaledesign.load(EXAMPLES / "reed-bunting.toml")
    (note,) = about(design, "cutoff")
    for share, octave, edge in re.findall(r"(\d\.\d\d) \((\d+) of (\d+) Hz\)", note):
        assert float(share) > 0.7
        assert float(share) == pytest.approx(int(octave) / int(edge), abs=0.006)
    low = replace(flute(), rows=flute().rows[:2])
    assert not about(low, "cutoff")


def test_a_window_that_is_too_long_is_to_be_shortened_as_far_as_helps() -> None:
    design = with_window(0.012)
    (note,) = about(design, "Shorten the window")
    served = re.search(r"to ([\d.]+ mm) for the second octave", note)
    assert served is not None
    better = with_window(parse_length(served[1], "mm"))
    assert not about(better, "Shorten the window")
    octaves = [one.registers[1] for one in registers(better).fingerings]
    top = max(one.pressure for one in octaves if one.speech != "none")
    assert 0.9 * BREATH[1] < top <= BREATH[1]


def test_a_window_that_is_too_short_is_to_be_lengthened_as_far_as_helps() -> None:
    design = with_window(0.002)
    (note,) = about(design, "Lengthen the window")
    served = re.search(r"to ([\d.]+ mm) for the low notes", note)
    assert served is not None
    better = with_window(parse_length(served[1], "mm"))
    assert not about(better, "Lengthen the window")
    low = min(one.low.pressure for one in registers(better).fingerings)
    assert BREATH[0] <= low < 1.1 * BREATH[0]


def test_what_a_window_asks_is_told_of_a_known_window_alone() -> None:
    """With an organ pipe's mouth beside it; lips are asked for nothing."""
    (note,) = about(with_window(0.005), "asks a breath")
    assert "The mouth of an organ pipe of A4 would be" in note
    assert about(flute(), "under [voicing] to hear what breath")
    assert not about(flute(mouth="notch"), "breath each register asks")


def test_a_stopper_that_nobody_measured() -> None:
    """A third of what the mouth adds; no word once the file says where it is."""
    unknown = replace(flute(mouth="transverse"), voicing=Voicing(0.045))
    (note,) = about(unknown, "stopper, so none is reckoned with")
    assert "It usually stands 15.0 mm behind" in note
    assert note in scaledesign.predict(unknown).notes
    known = replace(unknown, voicing=Voicing(0.045, cavity=0.015))
    assert not about(known, "stopper, so none")
    assert not about(flute(), "stopper, so none")


def test_what_blowing_harder_does_is_told_last() -> None:
    """From 30 percent softer to 50 percent harder, and for twice the pressure: 942/Q cents."""
    found = registers(flute())
    note = said(flute())[-1]
    softer, harder, low, high = (
        int(number) for number in re.findall(r"by (-\d+) to \+(\d+) cents; .* by (\d+) to (\d+)\.", note)[0]
    )
    twice = [one.leaning(2.0) for one in found.fingerings]
    assert (low, high) == (round(min(twice)), round(max(twice)))
    assert softer < 0 < harder < high


@pytest.mark.parametrize("file", FILES)
def test_a_line_for_every_row(file: str) -> None:
    """Its octave for a low row, itself for an overblown one."""
    design = scaledesign.load(EXAMPLES / file)
    for played in registers(design).fingerings:
        for row in played.rows:
            verdict, *_ = in_short(played, design.rows[row].register)
            low = design.rows[row].register == 1
            assert ("octave" in verdict) == low


def test_inches_for_who_measures_in_inches() -> None:
    notes = said(scaledesign.load(EXAMPLES / "grey-heron.toml"))
    assert any("1/32 in wider" in note for note in notes)
    assert not any(" mm" in note for note in notes)
