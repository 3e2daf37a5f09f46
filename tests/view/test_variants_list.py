"""Flutes side by side: figures, what differs in words, and one taken over."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from scaledesign.model.document import LogEntry
from scaledesign.model.edits import apply
from scaledesign.view import variants_list
from scaledesign.view.lines import text_of
from tests.view.small_flute import flute, sheet
from tests.view.working import words

NOW = datetime(2026, 3, 1, 12, 30, 15, 77)


def other() -> object:
    holes = flute().holes
    return replace(flute(), holes=(*holes[:2], replace(holes[2], at=holes[2].at + 2e-3)))


def test_figures_stand_beside_each_other_and_differences_in_words() -> None:
    found = variants_list.compared(sheet(), [("heron", other())])
    assert [text_of(entry.line).split("  ")[0] for entry in found.entries] == ["this flute, now", "heron"]
    assert found.start == 1
    assert all(len(text_of(entry.line)) <= 73 for entry in found.entries)
    said = words(*found.entries[1].about(76, found.about))
    assert "Hole 3 moves 2.0 mm toward the foot." in said
    assert "Furthest off: C5 in row 2." in said
    assert found.entries[0].value is None
    assert "No difference" not in said


def test_a_flute_in_other_units_is_drawn_in_those_of_the_flute_in_hand() -> None:
    found = variants_list.compared(sheet(), [("twin", replace(flute(), units="in"))])
    said = words(*found.entries[1].about(76, found.about))
    assert " mm" in said
    assert " in" not in said.replace("in row", "")


def test_the_same_flute_has_no_difference() -> None:
    found = variants_list.compared(sheet(), [("twin", flute())])
    assert "No difference that a hand or an ear would find." in words(
        *found.entries[1].about(76, found.about)
    )


def test_one_taken_over_keeps_the_log_of_the_wood() -> None:
    entry = LogEntry(datetime(2026, 2, 1), "note", note="cut the blank")
    first = replace(flute(), log=(entry,))
    edit, remarks = variants_list.taken_over(first, other(), "heron", NOW)
    after = apply(first, edit)
    assert edit.label == "take over heron"
    assert after.holes[2].at == flute().holes[2].at + 2e-3
    assert [each.note for each in after.log] == ["cut the blank", "Took over heron."]
    assert remarks == ()
