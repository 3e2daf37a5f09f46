"""The dialog for a new flute, answered as makers do: in any order, in inches, with slips."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.errors import EditError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.registry import catalogue
from scaledesign.model.document import Units
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.model.units import INCH
from scaledesign.view.new_flute import QUESTIONS, NewFlute, made
from scaledesign.view.questions import Question
from scaledesign.workshop.start import BORES, Wanted

FOUND = catalogue()
NOTHING = NewFlute(FOUND)


def answered(**answers: str) -> NewFlute:
    flute = NOTHING
    for name, text in answers.items():
        flute = flute.answered(name, text)
    return flute


def asked(flute: NewFlute, name: str) -> Question:
    (question,) = (q for q in (*flute.questions(), *flute.extras()) if q.name == name)
    return question


def wanted(flute: NewFlute) -> Wanted:
    want = flute.wanted()
    assert want is not None
    return want


# The newcomer: type the tube, press Enter


def test_there_are_five_questions_and_no_complaint_before_anything_is_typed() -> None:
    questions = NOTHING.questions()
    assert tuple(q.name for q in questions) == QUESTIONS
    assert all(q.words and q.help for q in questions)
    assert not any(q.problem or q.answer for q in (*questions, *NOTHING.extras()))
    assert NOTHING.wanted() is None
    assert NOTHING.preview() == "First, your tube: bore x wall, and its length if it is all you have."


@pytest.mark.parametrize("tube", ["16 x 3", "5/8 in x 1/8 in x 20 in", '5/8" by 1/8"', "22 mm x 4 mm"])
def test_a_tube_alone_makes_a_flute_that_is_in_tune(tube: str) -> None:
    flute = answered(tube=tube)
    assert all(question.taken for question in flute.questions())
    assert flute.preview().endswith("bores: comfortable.")
    solution = made(flute)
    assert solution.obstacles == ()
    assert solution.design.tuning.scale == "pentatonic minor"
    assert len(solution.design.holes) == 6


def test_inches_stay_inches() -> None:
    flute = answered(tube="5/8 in x 1/8 in x 20 in")
    want = wanted(flute)
    assert (want.units, want.bits) == ("in", "inch 1/64")
    assert want.bore == pytest.approx(float(INCH) * 5 / 8)
    assert want.length == pytest.approx(float(INCH) * 20)
    assert flute.preview().startswith("About 14 1/8 in long, 23 bores")
    assert "in" in asked(flute, "hand").choices[0].words.split()


def test_bare_numbers_are_in_the_units_of_the_screen() -> None:
    flute = replace(NOTHING, units="in").answered("tube", "5/8 x 1/8")
    assert wanted(flute).bore == pytest.approx(float(INCH) * 5 / 8)
    assert "5/8 x 1/8" in asked(flute, "tube").help


def test_the_preview_tells_the_length_that_is_made() -> None:
    """To the centimetre: the solver trims the last of it."""
    flute = answered(tube="16 x 3", key="D5", scale="major")
    assert flute.preview().startswith("About 261 mm long, 16 bores: a little stout")
    assert made(flute).design.tube.length == pytest.approx(0.260, abs=0.01)


# Usual answers follow what is known


def test_the_key_follows_the_bore_and_the_mouth_until_the_maker_types_one() -> None:
    keys = [asked(answered(tube=tube), "key").taken for tube in ("25 x 4", "16 x 3", "9 x 2")]
    pitch = [note_frequency(parse_note(key), 440.0) for key in keys]
    assert pitch == sorted(set(pitch))
    flute = answered(tube="16 x 3")
    assert (asked(flute, "key").usual, asked(flute, "key").note) == ("A4", "usual for this bore")
    typed = flute.answered("key", "F#4").answered("tube", "25 x 4")
    assert asked(typed, "key").taken == "F#4"
    assert asked(typed, "key").note == ""
    assert asked(typed.answered("key", ""), "key").taken == keys[0]


def test_a_short_tube_says_which_key_it_reaches() -> None:
    flute = answered(tube="16 x 3 x 300 mm")
    assert asked(flute, "key").taken == "C5"
    assert "long enough" in asked(flute, "key").note
    assert made(flute).design.tube.length <= 0.3


def test_the_fingering_follows_from_the_scale_and_the_scale_from_the_fingering() -> None:
    flute = answered(tube="16 x 3", scale="dorian")
    assert wanted(flute).system == "six-hole diatonic"
    assert " six-hole diatonic: Seven notes" in asked(flute, "system").help
    assert [choice.answer for choice in asked(flute, "system").choices] == [
        "six-hole diatonic",
        "six-hole-and-thumb",
    ]
    thumb = answered(tube="16 x 3", system="six-hole-and-thumb")
    assert (wanted(thumb).scale, wanted(thumb).system) == ("major", "six-hole-and-thumb")
    assert " six-hole-and-thumb: " in asked(thumb, "system").help
    assert wanted(answered(tube="16 x 3", scale="hirajoshi")).system == "six-hole pentatonic"


@pytest.mark.parametrize(
    ("tube", "hand", "note"),
    [
        ("16 x 3", "", "reach 38.0, tip 19.5 mm"),
        ("16 x 3", "Large", "reach 44.0, tip 23.0 mm"),
        ("5/8 x 1/8 in", "small", "reach 1 19/64, tip 5/8 in"),
        ("16 x 3", "tiny", ""),
    ],
)
def test_a_hand_says_what_it_is_and_nothing_of_the_fingering(tube: str, hand: str, note: str) -> None:
    """Short enough to stand beside the answer at 80 columns."""
    flute = answered(tube=tube, hand=hand)
    assert asked(flute, "hand").note == note
    assert "notes" not in asked(flute, "hand").help
    assert all("tips" in choice.words for choice in asked(flute, "hand").choices)


def test_every_scale_to_choose_can_be_made_and_has_its_line() -> None:
    choices = asked(NOTHING, "scale").choices
    assert "quarter tones" not in [choice.answer for choice in choices]
    for choice in choices:
        flute = answered(tube="16 x 3", scale=choice.answer)
        assert wanted(flute).scale == choice.answer
        assert choice.words.split()[0].isdigit()


@pytest.mark.parametrize("name", ["mouth", "hand", "system", "bits"])
def test_every_choice_is_an_answer(name: str) -> None:
    for choice in asked(NOTHING, name).choices:
        flute = answered(tube="16 x 3").answered(name, choice.answer)
        assert asked(flute, name).problem == ""
        assert getattr(wanted(flute), name) == choice.answer


def test_extras_are_usual_until_they_are_said() -> None:
    flute = answered(tube="16 x 3")
    assert (wanted(flute).name, wanted(flute).material, wanted(flute).bits) == ("", "", "metric 0.5")
    named = flute.answered("name", "Stonechat").answered("material", "elder").answered("bits", "metric 0.1")
    design = made(named).design
    assert (design.name, design.instrument.material, design.shop.bits) == (
        "Stonechat",
        "elder",
        "metric 0.1",
    )


def test_the_order_of_the_answers_does_not_matter() -> None:
    answers = {"hand": "small", "scale": "major", "key": "D5", "tube": "14 x 2.5", "mouth": "notch"}
    forth, back = answered(**answers), answered(**dict(reversed(answers.items())))
    assert forth == back
    assert wanted(forth) == wanted(back)


def test_case_and_blanks_do_not_matter() -> None:
    flute = answered(tube=" 16x3 ", mouth=" Rim", key="a4 ", scale="Pentatonic  Minor", hand="SMALL")
    want = wanted(flute)
    assert (want.mouth, want.key, want.scale, want.hand) == ("rim", "A4", "pentatonic minor", "small")


# Slips


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("tube", "5/8 in", "bore x wall"),
        ("tube", "5/8 x thick", "thick"),
        ("tube", "16,5 x 3", "16.5 with a point"),
        ("tube", "16 x 0", "wall = 0 mm"),
        ("tube", "160 x 3", "A bore of 160.0 mm makes no flute; take 4.0 mm to 60.0 mm."),
        ("mouth", "flap", "duct, notch, rim, transverse"),
        ("key", "H4", "is not a note"),
        ("key", "A", "octave"),
        ("scale", "pentatonic miner", "did you mean 'pentatonic minor'"),
        ("scale", "quarter tones", "No fingering system plays the 24 notes"),
        ("hand", "tiny", "small"),
        ("system", "six-hole diatonic", "choose a system that fits"),
        ("bits", "metric 7", "bit set"),
    ],
)
def test_a_slip_keeps_its_text_and_says_what_would_be_right(name: str, text: str, said: str) -> None:
    """Once, beside the question it belongs to, and in the line that tells what becomes of it."""
    good = answered(tube="16 x 3", scale="pentatonic minor")
    flute = good.answered(name, text)
    assert asked(flute, name).answer == text
    assert said in asked(flute, name).problem
    assert [q.name for q in (*flute.questions(), *flute.extras()) if q.problem] == [name]
    assert flute.preview() == asked(flute, name).problem
    assert flute.wanted() is None
    with pytest.raises(EditError):
        made(flute)
    assert flute.answered(name, getattr(good, name)) == good


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        ({"tube": "16 x 3", "key": "C8"}, "C8 is too high for a flute; take a key from C2 to C7."),
        ({"tube": "50 x 3", "key": "C7"}, "or a deeper key."),
        ({"tube": "16 x 3 x 100", "key": "A4"}, "100.0 mm is too short for A4, which wants about 35"),
    ],
)
def test_what_no_flute_can_be_is_said_before_anything_is_laid_out(answers: dict[str, str], said: str) -> None:
    flute = answered(**answers)
    assert not any(question.problem for question in flute.questions())
    assert said in flute.preview()
    assert flute.wanted() is None


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("D4", "comfortable"),
        ("C4", "slender"),
        ("G3", "too slender"),
        ("D5", "a little stout"),
        ("A5", "stout"),
    ],
)
def test_the_preview_judges_the_length_by_the_bore(key: str, said: str) -> None:
    told = answered(tube="16 x 3", key=key).preview()
    assert told.split(": ")[1].startswith(said)


def test_a_tube_a_little_too_short_says_what_that_costs() -> None:
    """And it is so: the low note comes out sharp."""
    flute = answered(tube="16 x 3 x 345", key="A4")
    assert flute.preview() == (
        "A4 wants about 358 mm and your tube has 345 mm: its lowest notes will be sharp."
    )
    solution = made(flute)
    lowest = int(solution.prediction.target.argmin())
    assert solution.prediction.cents[lowest] > 5


def test_no_such_question() -> None:
    with pytest.raises(KeyError):
        NOTHING.answered("colour", "red")


@pytest.mark.parametrize("found", [Catalogue(), Catalogue(_scales=FOUND.scales()), FOUND])
def test_whatever_plug_ins_are_switched_off(found: Catalogue) -> None:
    """With nothing to play there is no flute; nothing breaks."""
    flute = NewFlute(found).answered("tube", "16 x 3")
    assert (flute.wanted() is None) == (found != FOUND)
    assert flute.preview()


TUBES = ("16 x 3", "5/8 in x 1/8 in", "16 x 3 x 0.001", "5 x 900", "60 x 1", "4 x 0.1 x 900", "1e-9 x 1")
NAMES = ("A4", "C7", "C2", "notch", "major", "blues", "shruti", "small", "six-hole-and-thumb", "inch all")
TEXT = st.one_of(
    st.text(max_size=12),
    st.text(alphabet=' 0123456789./xX-+"mincb#,', max_size=16),
    st.sampled_from((*TUBES, *NAMES)),
)


@given(
    st.lists(
        st.tuples(st.sampled_from((*QUESTIONS, "system", "bits", "material", "name")), TEXT), max_size=8
    ),
    st.sampled_from([None, "mm", "in"]),
)
def test_nothing_that_is_typed_raises(typed: list[tuple[str, str]], units: Units | None) -> None:
    flute = NewFlute(FOUND, units)
    for name, text in typed:
        flute = flute.answered(name, text)
        assert asked(flute, name).answer == text
    told = flute.preview()
    assert told
    assert "\n" not in told
    want = flute.wanted()
    if want is not None:
        assert not any(question.problem for question in (*flute.questions(), *flute.extras()))
        assert BORES[0] <= want.bore <= BORES[1]
