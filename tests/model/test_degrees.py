"""Degrees of a design: as written, changed one by one, and every row stays with the degree it plays."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.errors import QuantityError, ScaledesignError
from scaledesign.model.degrees import (
    adding,
    degree_text,
    degrees,
    own_degrees,
    ratio_text,
    read_degree,
    removing,
    setting,
    settled,
)
from scaledesign.model.document import Design, Row, Station, Tube, Tuning
from scaledesign.model.edits import apply
from scaledesign.model.pitch import parse_note
from scaledesign.model.retune import rotated
from scaledesign.model.scale import Scale, Tuned, parse_degree, row_targets, scale_of_degrees

JUST = Scale(
    "just five", tuple(1200 * math.log2(ratio) for ratio in (1, 6 / 5, 4 / 3, 3 / 2, 9 / 5)), source="ratios"
)
EQUAL = Scale("five", (0, 300, 500, 700, 1000))


def design(*notes: str, tuning: Tuning | None = None) -> Design:
    return Design(
        tube=Tube(0.36, (Station(0.0, 0.016),), (Station(0.0, 0.0035),)),
        tuning=tuning or Tuning(tonic="A4", scale="just five"),
        rows=tuple(Row(note, ()) for note in notes),
    )


FLUTE = design("A4", "C5", "D5", "E5", "G5", "A5", "C6")


def edited(flute: Design, scale: Scale, index: int, text: str) -> Design:
    edit = setting(flute, scale, index, text)
    return flute if edit is None else apply(flute, edit)


def notes(changed: Design) -> list[str]:
    return [row.note for row in changed.rows]


def test_a_named_scale_is_shown_in_every_way_a_degree_is_known() -> None:
    third, *_, last = degrees(FLUTE, JUST)[1:]
    assert (third.text, third.note, third.closing) == ("6/5", "C5", False)
    assert third.cents == pytest.approx(315.641, abs=1e-3)
    assert third.frequency == pytest.approx(528.0)
    assert (last.text, last.note, last.closing) == ("2", "A5", True)
    assert last.frequency == pytest.approx(880.0)


def test_own_degrees_are_shown_as_written() -> None:
    own = Tuning(tonic="A4", degrees=("1", "316 c", "4 / 3", "702.0 c"))
    shown = degrees(design(tuning=own), scale_of_degrees(own.degrees))
    assert [each.text for each in shown] == ["1", "316 c", "4 / 3", "702.0 c", "2"]


@pytest.mark.parametrize(
    ("text", "kept", "cents"),
    [
        ("5/4", "5/4", 386.314),
        (" 340.5 c", "340.5 c", 340.5),
        ("523.3 Hz", "300.162 c", 300.162),
        ("261.65 Hz", "300.162 c", 300.162),
        ("C5 +16", "316 c", 316.0),
        ("c6 −4", "296 c", 296.0),
    ],
)
def test_one_degree_is_written_anew_by_whatever_the_maker_knows(text: str, kept: str, cents: float) -> None:
    changed = edited(FLUTE, JUST, 1, text)
    assert changed.tuning == Tuning(tonic="A4", degrees=("1", kept, "4/3", "3/2", "9/5"))
    scale = scale_of_degrees(changed.tuning.degrees)
    assert scale.cents[1] == pytest.approx(cents, abs=1e-3)
    before, after = row_targets(FLUTE, JUST), row_targets(changed, scale)
    for index, (old, new) in enumerate(zip(before, after, strict=True)):
        moved = cents - JUST.cents[1] if index in (1, 6) else 0.0
        assert 1200 * math.log2(new / old) == pytest.approx(moved, abs=1e-3)


def test_what_is_there_already_is_no_edit() -> None:
    assert setting(FLUTE, JUST, 1, "6/5") is None
    assert setting(FLUTE, JUST, 0, "0 c") is None
    assert edited(FLUTE, JUST, 1, " 6/5 ") is FLUTE


def test_undo_can_group_the_edits_of_one_degree_and_says_what_they_did() -> None:
    edit = setting(FLUTE, JUST, 2, "490 c")
    assert edit is not None
    assert (edit.label, edit.cell) == ("set degree 3", ("tuning", "degrees", 2))


def test_a_row_is_written_anew_where_its_degree_has_another_place() -> None:
    changed = edited(FLUTE, JUST, 1, "5/4")
    assert notes(changed) == ["A4", "C#5", "D5", "E5", "G5", "A5", "C#6"]


def test_a_degree_that_passes_another_takes_its_rows_along() -> None:
    edit = setting(FLUTE, JUST, 1, "600 c")
    assert edit is not None
    changed = apply(FLUTE, edit)
    assert changed.tuning.degrees == ("1", "4/3", "600 c", "3/2", "9/5")
    assert edit.left_behind(FLUTE) == ()
    targets = row_targets(changed, edit.new)
    assert targets[1] == pytest.approx(440 * 2**0.5)
    assert targets[2:6] == pytest.approx(row_targets(FLUTE, JUST)[2:6])


def test_a_degree_added_moves_no_row_and_one_taken_out_leaves_its_rows_behind() -> None:
    more = adding(FLUTE, JUST, "5/3")
    fuller = apply(FLUTE, more)
    assert fuller.tuning.degrees == ("1", "6/5", "4/3", "3/2", "5/3", "9/5")
    assert (notes(fuller), more.left_behind(FLUTE)) == (notes(FLUTE), ())
    assert row_targets(fuller, more.new) == pytest.approx(row_targets(FLUTE, JUST))
    fewer = removing(FLUTE, JUST, 1)
    left = apply(FLUTE, fewer)
    assert left.tuning.degrees == ("1", "4/3", "3/2", "9/5")
    assert fewer.left_behind(FLUTE) == (1, 6)
    assert notes(left) == notes(FLUTE)
    assert row_targets(left, fewer.new)[1] == pytest.approx(440 * 2**0.25)


def test_a_row_between_degrees_whose_note_becomes_a_degree_is_named() -> None:
    flute = design("A4", "F#5", "523.3 Hz", "702 c")
    more = adding(flute, JUST, "5/3")
    assert more.left_behind(flute) == (1,)
    assert notes(apply(flute, more)) == notes(flute)


def test_where_the_degrees_repeat_can_be_written_too() -> None:
    changed = edited(FLUTE, JUST, 5, "1205 c")
    assert changed.tuning.degrees == ("1", "6/5", "4/3", "3/2", "9/5", "1205 c")
    back = edited(changed, scale_of_degrees(changed.tuning.degrees), 5, "2")
    assert back.tuning.degrees == ("1", "6/5", "4/3", "3/2", "9/5", "2")
    assert scale_of_degrees(back.tuning.degrees).period == 1200


@pytest.mark.parametrize(
    ("index", "text", "said"),
    [
        (1, "316", "is a ratio beyond 64 to 1"),
        (1, "", "is neither a ratio nor cents; write cents (316 c), a ratio (6/5)"),
        (1, "H5", "is not what a tuner shows; write cents (316 c)"),
        (1, "5 Hz", "is beyond what a flute plays"),
        (1, "-3 c", "lies below the tonic"),
        (1, "4/3", "just five has that degree already"),
        (1, "1300 c", "lies outside the period of just five"),
        (0, "10 c", "the first degree is the tonic"),
        (5, "1190 c", "cannot repeat before 1200 c"),
        (5, "900 c", "'900 c': the highest degree is 1017.596 c up; write more than"),
        (1, "3", "'3' is the ratio 3 to 1, 1902 c, and lies outside the period of just five"),
        (6, "900 c", "'7': there is no such degree; there are 5"),
    ],
)
def test_what_is_no_degree_is_one_sentence(index: int, text: str, said: str) -> None:
    with pytest.raises(ScaledesignError) as caught:
        edited(FLUTE, JUST, index, text)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


@given(st.text("0123456789/. cHz#bA+-−", max_size=9), st.integers(0, 5))
def test_no_text_breaks_the_reader(text: str, index: int) -> None:
    try:
        changed = edited(FLUTE, JUST, index, text)
    except ScaledesignError:
        return
    scale_of_degrees(changed.tuning.degrees or ("1",))


@given(st.fractions(1, 2, max_denominator=65000))
def test_a_ratio_is_found_again_after_arithmetic(ratio: object) -> None:
    cents = 1200 * math.log2(ratio) + 700.1 - 700.1
    numerator, _, denominator = ratio_text(cents, 10**6).partition("/")
    assert int(numerator) / int(denominator or 1) == float(ratio)


@given(st.floats(0, 7000))
def test_any_size_has_a_text_that_reads_back(cents: float) -> None:
    assert parse_degree(degree_text(cents)) == pytest.approx(cents, abs=1e-9)


def test_sizes_that_are_no_ratios_stay_cents() -> None:
    sizes = [701.955, 702.0, 100.0, 1e-5, 315.64, 0.0, 1200.0, 2400.0]
    texts = ["701.955 c", "702 c", "100 c", "0.00001 c", "315.64 c", "1", "2", "4"]
    assert [degree_text(cents) for cents in sizes] == texts
    assert ratio_text(1200 * math.log2(531441 / 524288)) == ""


def test_a_rotated_scale_of_ratios_is_one_of_ratios() -> None:
    from_third = rotated(JUST, 2)
    assert own_degrees(from_third) == ("1", "9/8", "27/20", "3/2", "9/5")
    exact = settled(from_third)
    assert exact.cents == tuple(map(parse_degree, own_degrees(from_third)))
    assert exact.source == from_third.source
    with pytest.raises(QuantityError, match="cannot repeat before"):
        own_degrees(Scale("narrow", (0.0, 500.0), 1190.0))


def test_a_frequency_counts_in_any_octave() -> None:
    tuned = Tuned(EQUAL, parse_note("A4"), 442.0)
    assert read_degree("C3", tuned) == (300.0, "300 c")
    assert read_degree("221 Hz", tuned) == (0.0, "1")
