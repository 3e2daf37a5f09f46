"""What plays a row, and trills: what the list shows, and what becomes of a choice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.errors import EditError
from scaledesign.model.document import Row
from scaledesign.model.edits import apply
from scaledesign.view import chart_list, fingering_list
from scaledesign.view.fingering_list import Chosen
from scaledesign.view.lines import text_of
from tests.view.small_flute import choice, desk, flute, sheet
from tests.view.working import at, desk_of, words


def chosen(value: object) -> Chosen:
    assert isinstance(value, Chosen)
    return value


def test_the_best_comes_first_and_the_rows_own_is_marked() -> None:
    (listing,) = fingering_list.fingerings(sheet(), 1, choice)
    lines = [text_of(entry.line) for entry in listing.entries]
    own = [line for line in lines if "as it is now" in line]
    assert len(own) == 1
    assert own[0].startswith("●●○")
    costs = [chosen(entry.value).notes[0][1].total for entry in listing.entries]
    assert costs == sorted(costs)
    assert lines[0] == own[0]
    assert listing.said == f"Row 2, C5: {len(lines)} fingerings of this flute as it stands, the best first."


def test_every_line_fits_the_narrowest_dialog() -> None:
    for listing in fingering_list.fingerings(sheet(), 1, choice):
        for entry in listing.entries:
            assert len(text_of(entry.line)) <= 73
            assert len(entry.about(76, listing.about)) <= listing.about


def test_an_entry_says_how_steady_it_is_and_can_be_heard() -> None:
    entry = fingering_list.fingerings(sheet(), 1, choice)[0].entries[0]
    said = " ".join(words(*entry.about(76, 6)).split())
    assert "It speaks freely, 9 times as firm as it takes. Half as much breath again raises it" in said
    assert entry.tune is not None
    assert entry.tune.notes[0][0] == pytest.approx(chosen(entry.value).notes[0][1].frequency)


def test_the_row_is_fingered_anew_in_one_step() -> None:
    design = flute()
    entries = fingering_list.fingerings(sheet(), 1, choice)[0].entries
    other = next(chosen(e.value) for e in entries if "H" in chosen(e.value).notes[0][1].letters)
    edit = fingering_list.into_row(design, 1, other)
    assert edit is not None
    assert edit.label == "finger C5 in row 2"
    row = apply(design, edit).rows[1]
    assert "".join(row.holes) == other.notes[0][1].letters
    assert (row.note, row.open_share) == ("C5", 0.5)


def test_what_the_row_has_is_no_step() -> None:
    entries = fingering_list.fingerings(sheet(), 1, choice)[0].entries
    assert fingering_list.into_row(flute(), 1, chosen(entries[0].value)) is None
    assert fingering_list.as_rows(flute(), chosen(entries[0].value), "add") is None


def test_another_fingering_becomes_a_row_beside_it() -> None:
    entries = fingering_list.fingerings(sheet(), 1, choice)[0].entries
    edit = fingering_list.as_rows(flute(), chosen(entries[1].value), "add a fingering of C5")
    assert edit is not None
    after = apply(flute(), edit)
    assert [row.note for row in after.rows] == ["A4", "C5", "C5", "D5", "E5"]
    assert after.rows[2].role == "alternate"
    assert after.rows[1] == flute().rows[1]


def test_the_cursor_goes_to_the_new_row_and_stays_on_its_own_among_many() -> None:
    here = at(desk(), "rows", 2, "note")
    entries = fingering_list.fingerings(sheet(), 1, choice)[0].entries
    one = fingering_list.adding(here, chosen(entries[1].value), "add a fingering of C5", 5.0)
    new = one.design.rows[one.selections["rows"].row]
    assert (new.note, new.role) == ("C5", "alternate")
    assert one.said.text == "Add a fingering of C5. 1 row more."
    assert one.undone().design == flute()
    chart = chart_list.charts(sheet(), choice())[1].entries[0].value
    many = fingering_list.adding(here, chosen(chart), "add a chart", 5.0)
    assert many.design.rows[many.selections["rows"].row] == flute().rows[2]
    again = fingering_list.adding(here, chosen(entries[0].value), "add", 5.0)
    assert again.design is here.design
    assert again.said.text == "The design has these fingerings already."


def test_a_row_with_its_own_share_has_a_list_of_its_own() -> None:
    rows = (flute().rows[0], Row("B4", ("X", "X", "H"), open_share=0.2), *flute().rows[1:])
    found = fingering_list.fingerings(desk_of(replace(flute(), rows=rows)).sheet, 1, choice)
    assert [listing.name for listing in found] == ["holes 20% open", "holes 50% open"]
    assert {chosen(entry.value).open_share for entry in found[0].entries} == {0.2}
    assert any("as it is now" in text_of(entry.line) for entry in found[0].entries)


def test_a_note_that_nothing_plays_gets_what_comes_nearest() -> None:
    design = replace(flute(), rows=(*flute().rows, Row("A5", ("O", "O", "O"), cents=-300.0)))
    found = fingering_list.fingerings(desk_of(design).sheet, 4, choice)
    assert [listing.name for listing in found] == ["holes 50% open", "holes 10% open"]
    assert len(found[0].entries) == 1
    assert "no fingering within 50 cents. This one comes nearest" in found[0].said


def test_a_row_that_is_far_off_is_told_so() -> None:
    rows = (flute().rows[0], Row("C5", ("O", "O", "O")), *flute().rows[2:])
    (listing,) = fingering_list.fingerings(desk_of(replace(flute(), rows=rows)).sheet, 1, choice)
    assert "How the row is fingered now is not among them." in listing.said
    assert len(listing.entries) > 1


def test_trills_go_to_the_next_note_and_become_two_rows() -> None:
    listing = fingering_list.trill_list(sheet(), 1, choice)
    assert listing.said.startswith("C5 to D5: ")
    first = listing.entries[0]
    low, high = (found.letters for _, found in chosen(first.value).notes)
    assert (low, high) == ("XXO", "XOO")
    assert text_of(first.line).split()[-1] == "L2"
    assert fingering_list.as_rows(flute(), chosen(first.value), "add a trill") is None
    other = fingering_list.as_rows(flute(), chosen(listing.entries[-1].value), "add a trill")
    assert other is not None
    assert len(apply(flute(), other).rows) > len(flute().rows)


def test_the_highest_note_trills_with_the_one_below() -> None:
    assert fingering_list.trill_list(sheet(), 3, choice).said.startswith("D5 to E5: ")


def test_a_single_note_has_no_trill() -> None:
    design = replace(flute(), rows=flute().rows[:1])
    with pytest.raises(EditError, match="two notes"):
        fingering_list.trill_list(replace(desk().sheet, design=design), 0, choice)
