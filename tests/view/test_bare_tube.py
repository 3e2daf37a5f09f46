"""The dialog for the bare tube: a reading typed as makers type it, and the ± that shrinks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import scaledesign
from scaledesign.files.document_file import loads
from scaledesign.locations import PACKAGE
from scaledesign.model.document import Design, Station, Tube
from scaledesign.model.pitch import format_reading
from scaledesign.model.units import format_length
from scaledesign.paper.report import trust
from scaledesign.paper.unblown import told_length
from scaledesign.solver.problem import voicing_of
from scaledesign.view.bare_tube import NO_FLUTE, BareTube, Outcome, before_after
from scaledesign.view.lines import DRAWN, TYPED, Line, Signs, text_of
from scaledesign.workshop import calibration

NEW = scaledesign.load(PACKAGE / "examples" / "marsh-wren.toml")
WREN = replace(NEW, tube=replace(NEW.tube, locked=True))
"""Cut to what is planned, so that its length is known."""
HERON = scaledesign.load(PACKAGE / "examples" / "grey-heron.toml")
QUESTIONS = ("reading", "length", "temperature")
NO_ROWS = Design(tube=Tube(0.4, (Station(0.0, 0.016),), (Station(0.0, 0.004),)))


def answered(design: Design = WREN, **answers: str) -> BareTube:
    tube = BareTube(design)
    for name, text in answers.items():
        tube = tube.answered(name, text)
    return tube


def outcome(tube: BareTube) -> Outcome:
    found = tube.outcome()
    assert found is not None, tube.refusal()
    return found


def problems(tube: BareTube) -> dict[str, str]:
    return {question.name: question.problem for question in tube.questions() if question.problem}


def bar(line: Line) -> int:
    """Cells of the bar at the end of a line, a part of one counted as one."""
    return len(line[-1].text.strip())


# Before the tuner is read


def test_there_are_three_questions_and_one_that_only_the_tube_can_answer() -> None:
    tube = BareTube(WREN)
    questions = tube.questions()
    assert tuple(q.name for q in questions) == QUESTIONS
    assert all(q.words and q.help for q in questions)
    assert [q.taken for q in questions] == ["", format_length(WREN.tube.length, "mm"), "22 °C"]
    assert problems(tube) == {}
    assert (tube.outcome(), tube.refusal()) == (None, "")


def test_what_to_look_for_is_said_before_anything_is_typed() -> None:
    frequency, doubt = calibration.bare_tube(WREN)
    assert BareTube(WREN).expected() == (
        f"At {format_length(WREN.tube.length, 'mm')} it should sound about "
        f"{format_reading(frequency, 440.0)}, ± {doubt:.0f} cents."
    )


def test_a_longer_or_cooler_tube_is_expected_flatter() -> None:
    longer = answered(length="380").expected()
    assert longer.startswith("At 380.0 mm it should sound about G#4 ")
    assert answered(length="38 cm").expected() == longer
    assert answered(length="380", temperature="10 °C").expected() != longer


def test_inches_are_shown_where_the_design_is_in_inches() -> None:
    design = replace(WREN, units="in")
    assert answered(design).questions()[1].taken == format_length(WREN.tube.length, "in")
    assert answered(design, length="15").expected().startswith("At 15 in it should sound about G#4")
    assert answered(design, length='15"').outcome() == answered(design, length="15 in").outcome()


def test_a_tube_that_is_not_cut_has_no_length_until_its_maker_measures_it() -> None:
    """It was to be left longer than planned; taken as planned, the reading would spoil every hole."""
    tube = BareTube(NEW)
    told = format_length(told_length(NEW, "mm"), "mm")
    assert told_length(NEW, "mm") > NEW.tube.length + 0.005
    length = tube.questions()[1]
    assert length.taken == ""
    assert f"left at {told}" in length.help
    assert tube.expected().startswith(f"At {told} it should sound about ")
    assert tube.missing() == ""
    read = tube.answered("reading", "G#4 +10")
    assert (read.outcome(), read.refusal()) == (None, "")
    assert read.missing().startswith("How long was the tube")
    done = outcome(read.answered("length", told))
    assert done.design.log[-1].length == pytest.approx(told_length(NEW, "mm"), abs=1e-4)
    again = BareTube(done.design)  # from now on the log knows it
    assert again.questions()[1].taken == told
    assert outcome(again.answered("reading", "G#5 +20")).design.log[-1].length == pytest.approx(
        done.design.log[-1].length
    )


# After


def test_a_reading_shrinks_the_doubt_to_what_was_promised() -> None:
    """The ± is that which the command line tells of the same flute."""
    found = outcome(answered(reading="A4 +30"))
    assert found.after < found.before / 3
    assert f"± {found.before:.0f} cents until you blow" in trust(WREN, scaledesign.predict(WREN), "f", "mm")
    told = trust(found.design, scaledesign.predict(found.design), "f", "mm")
    assert told.startswith(f"± {found.after:.0f} cents")
    assert found.design.voicing.calibrated
    before, after = voicing_of(WREN).added_length, found.design.voicing.added_length
    assert found.design.log[-1].measured == "A4 +30"
    assert after < before
    assert found.words == (
        f"± {found.after:.0f} cents instead of ± {found.before:.0f}: "
        f"the mouth adds {after * 1e3:.1f} mm of tube, not {before * 1e3:.1f} mm."
    )


def test_the_tube_is_expected_as_it_was_read() -> None:
    found = outcome(answered(reading="G#4 +20", length="380", temperature="18 °C"))
    again = answered(found.design, length="380", temperature="18 °C").expected()
    assert "should sound about G#4 +20, ±" in again


def test_a_reading_as_expected_says_so() -> None:
    frequency, _ = calibration.bare_tube(WREN)
    found = outcome(answered(reading=f"{frequency:.4f} Hz"))
    assert found.words.endswith("of tube, as was thought.")
    assert found.after < found.before / 3


def test_the_order_of_the_answers_and_the_way_they_are_written_do_not_matter() -> None:
    one = answered(reading="G#4 +12", length="380 mm", temperature="22 °C")
    other = answered(temperature="71.6 °F", length="38 cm", reading=" g#4  + 12 cents ")
    assert outcome(one).after == pytest.approx(outcome(other).after, abs=1e-9)
    added = [outcome(each).design.voicing.added_length for each in (one, other)]
    assert added[0] == pytest.approx(added[1], abs=1e-9)


def test_an_answer_taken_back_is_the_usual_one() -> None:
    tube = answered(reading="A4 +30")
    assert tube.answered("length", "380").answered("length", " ").outcome() == tube.outcome()


def test_a_second_reading_teaches_less() -> None:
    first = outcome(answered(reading="A4 +30"))
    second = outcome(answered(first.design, reading="A4 +24", length="357"))
    assert first.before - first.after > 10 * abs(second.before - second.after)
    assert second.before == first.after
    same = outcome(answered(first.design, reading="A4 +29"))
    assert same.words.startswith(f"Still ± {same.after:.0f} cents: the mouth adds ")
    assert len(second.design.log) == len(first.design.log) + 1


def test_a_tube_without_notes_yet_tells_the_doubt_of_the_tube() -> None:
    tube = answered(NO_ROWS, reading="G4 -20", length="400")
    found = outcome(tube)
    assert found.before == pytest.approx(calibration.bare_tube(NO_ROWS)[1])
    assert found.after < found.before / 2


def test_rows_that_count_for_nothing_still_have_a_doubt() -> None:
    design = replace(WREN, rows=tuple(replace(row, weight=0.0) for row in WREN.rows))
    found = outcome(answered(design, reading="A4 +30"))
    assert found.after < found.before


def test_comments_of_the_file_it_came_from_are_kept() -> None:
    """Two files that mean the same flute, one after the other."""
    text = (PACKAGE / "examples" / "marsh-wren.toml").read_text(encoding="utf-8")
    for comment in ("# mine", "# hers"):
        found = outcome(answered(loads(f"{comment}\n{text}"), reading="A4 +30", length="360.5"))
        assert scaledesign.dumps(found.design).startswith(comment)


# Slips and refusals


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("reading", "loud", "'loud' is not what a tuner shows; write what the tuner shows"),
        ("reading", "A +4", "A4 -4"),
        ("reading", "5 Hz", "20 to 12000 Hz"),
        ("length", "long", 'write "16 mm"'),
        ("length", "0", "length = 0 mm: that is too little"),
        ("length", "380,5", "380.5 with a point"),
        ("length", "-380", "leave out the minus sign"),
        ("temperature", "warm", "22 °C"),
        ("temperature", "300", "temperature = 300 °C: that is too much; it should be from -20 °C to 60 °C."),
    ],
)
def test_a_slip_keeps_its_text_and_says_what_would_be_right(name: str, text: str, said: str) -> None:
    good = answered(reading="A4 +30")
    tube = good.answered(name, text)
    assert list(problems(tube)) == [name]
    assert said in problems(tube)[name]
    assert next(q.answer for q in tube.questions() if q.name == name) == text
    assert (tube.outcome(), tube.refusal()) == (None, "")
    assert (tube.expected() == "") == (name != "reading")
    assert tube.answered(name, getattr(good, name)).outcome() == good.outcome()


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        ("A7 +10", "was it overblown?"),
        ("A3 +10", "is the octave right?"),
        ("B4", "even without a mouth this tube would sound flatter"),
    ],
)
def test_a_reading_that_no_mouth_could_give_teaches_nothing(reading: str, said: str) -> None:
    tube = answered(reading=reading)
    assert problems(tube) == {}
    assert tube.refusal().startswith("Nothing learnt: ")
    assert said in tube.refusal()
    assert tube.outcome() is None


def test_an_overblown_note_of_the_tube_is_known_for_one() -> None:
    once = outcome(answered(reading="A4 +10"))
    found = outcome(answered(once.design, reading="A5 +25"))
    assert found.words.startswith("Taken as the bare tube, register 2. ")
    assert "register" not in once.words
    assert found.after < once.after


def test_a_reading_far_from_what_was_expected_is_taken_with_a_word() -> None:
    found = outcome(answered(reading="G#4 -60"))
    assert any("check the tube's length and bore" in note for note in found.notes)
    assert outcome(answered(reading="A4 +5")).notes == ()


@pytest.mark.parametrize("length", ["3", "38", "3.8", "10 m"])
def test_a_length_that_is_no_flute(length: str) -> None:
    tube = answered(reading="A4", length=length)
    assert tube.expected() == NO_FLUTE
    assert tube.refusal() == NO_FLUTE


def test_an_ideal_mouth_has_nothing_to_learn() -> None:
    design = replace(WREN, instrument=replace(WREN.instrument, mouth="open"))
    tube = BareTube(design)
    assert "ideal open end; give it a real mouth" in problems(tube)["reading"]
    assert tube.expected() == ""
    assert tube.answered("reading", "A4").outcome() is None


def test_a_flute_whose_scale_nobody_offers_says_so() -> None:
    design = replace(WREN, tuning=replace(WREN.tuning, scale="moon"))
    tube = answered(design, reading="A4 +30")
    assert "moon" in tube.refusal()
    assert tube.outcome() is None


def test_no_such_question() -> None:
    with pytest.raises(KeyError):
        BareTube(WREN).answered("humidity", "50")


# The drawing


@pytest.mark.parametrize("signs", [DRAWN, TYPED], ids=["drawn", "typed"])
@pytest.mark.parametrize("width", [40, 60, 120])
def test_the_bars_are_to_scale(signs: Signs, width: int) -> None:
    found = outcome(answered(reading="A4 +30"))
    before, now = before_after(found, signs, width)
    assert text_of(before).startswith(f"before {signs.plus_minus} {found.before:.0f} cents")
    assert text_of(now).startswith(f"now    {signs.plus_minus} {found.after:.0f} cents")
    assert len(text_of(before)) == width
    assert bar(now) == pytest.approx(bar(before) * found.after / found.before, abs=1)
    assert text_of(now).isascii() == (signs is TYPED)


def test_a_bar_is_exact_to_an_eighth_of_a_cell() -> None:
    found = replace(outcome(answered(reading="A4 +30")), before=80.0, after=10.0)
    head = len("now    ± 10 cents  ")
    assert text_of(before_after(found, DRAWN, head + 8)[1]).endswith("  █")
    assert text_of(before_after(found, DRAWN, head + 12)[1]).endswith("  █▌")
    assert text_of(before_after(found, DRAWN, head + 1)[1]).endswith("  ▏")


@pytest.mark.parametrize("width", range(30))
def test_a_narrow_screen_cuts_and_never_overflows(width: int) -> None:
    for line in before_after(outcome(answered(reading="A4 +30")), DRAWN, width):
        assert len(text_of(line)) <= width


def test_a_maker_who_claimed_too_much_learns_it() -> None:
    sure = replace(WREN, voicing=replace(WREN.voicing, added_length=0.027, uncertainty=0.0001))
    expected, _ = calibration.bare_tube(sure)
    found = outcome(answered(sure, reading=f"{expected * 1.03:.1f} Hz"))
    assert any("lie far from the added length in the file" in note for note in found.notes)


def test_a_doubt_that_grows_is_drawn_as_it_is() -> None:
    found = replace(outcome(answered(reading="A4 +30")), before=10.0, after=30.0)
    before, now = before_after(found, DRAWN, 60)
    assert len(text_of(now)) == 60
    assert bar(before) < bar(now)


LIKELY = {
    "reading": ("A4 +30", "G#4", "432 Hz", "20 Hz", "12000 Hz", "C0", "F4 -50"),
    "length": ("380", "15 in", "200", "79", "9.9 m", "1e-9"),
    "temperature": ("-20", "60 °C", "72 °F"),
}
ODD = st.one_of(st.text(max_size=10), st.text(alphabet=" 0123456789./-+#bABCDEFGmcinHz°CF", max_size=14))
ANSWERS = st.sampled_from(QUESTIONS).flatmap(
    lambda name: st.tuples(st.just(name), st.one_of(st.sampled_from(LIKELY[name]), ODD))
)


@given(st.sampled_from((WREN, HERON, NO_ROWS)), st.lists(ANSWERS, max_size=4))
def test_nothing_that_is_typed_raises(design: Design, typed: list[tuple[str, str]]) -> None:
    tube = BareTube(design)
    for name, text in typed:
        tube = tube.answered(name, text)
        assert next(q.answer for q in tube.questions() if q.name == name) == text
    tube.expected()
    found, refusal = tube.outcome(), tube.refusal()
    assert found is None or not refusal
    if problems(tube) or not tube.reading.strip():
        assert found is None
    else:
        assert found or refusal or tube.missing()
    if found:
        assert found.design.voicing.calibrated
        before_after(found, DRAWN, 80)
