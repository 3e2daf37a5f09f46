"""Charts proposed: what is there, what is new, and all of it as one step."""

from __future__ import annotations

from scaledesign.model.edits import apply
from scaledesign.view import chart_list, fingering_list
from scaledesign.view.chart_list import SCALE, SEMITONES
from scaledesign.view.lines import text_of
from tests.view.small_flute import choice, flute, sheet
from tests.view.test_fingering_list import chosen


def test_a_chart_of_the_scale_and_one_of_all_semitones() -> None:
    scale, semitones = chart_list.charts(sheet(), choice())
    assert (scale.name, semitones.name) == (SCALE, SEMITONES)
    assert len(semitones.entries) == 25
    lines = [text_of(entry.line) for entry in scale.entries]
    assert lines[0].split()[:3] == ["A4", "●●●", "1"]
    assert "new" not in lines[0]
    assert all(len(line) <= 73 for line in lines)


def test_what_is_new_becomes_rows_in_one_step() -> None:
    semitones = chart_list.charts(sheet(), choice())[1]
    new = [text_of(entry.line) for entry in semitones.entries if " new " in text_of(entry.line)]
    assert f"{len(new)} rows are new" in semitones.said
    assert semitones.verb == f"add {len(new)} rows"
    edit = fingering_list.as_rows(flute(), chosen(semitones.entries[0].value), "add a chart")
    assert edit is not None
    after = apply(flute(), edit)
    assert len(after.rows) == len(flute().rows) + len(new)
    assert {row.role for row in after.rows} == {"scale", "chromatic", "alternate"}
    assert all(row in after.rows for row in flute().rows)


def test_a_note_that_nothing_plays_is_said() -> None:
    semitones = chart_list.charts(sheet(), choice())[1]
    silent = [text_of(entry.line) for entry in semitones.entries if "nothing plays it" in text_of(entry.line)]
    assert silent
    assert f"{len(silent)} notes have no fingering" in semitones.said


def test_a_chart_that_is_there_has_nothing_to_add() -> None:
    entries = chart_list.charts(sheet(), choice())[1].entries
    edit = fingering_list.as_rows(flute(), chosen(entries[0].value), "add a chart")
    assert edit is not None
    from tests.view.working import desk_of

    again = chart_list.charts(desk_of(apply(flute(), edit)).sheet, choice())[1]
    assert again.verb == "nothing to add"
    assert {entry.value for entry in again.entries} == {None}
    assert "has a row for every note" in again.entries[0].refusal
