"""The lines around the tables: what is said of the flute, how far to trust it, what to do."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scaledesign.model.document import Design
from scaledesign.view.actions import keymap, worded
from scaledesign.view.columns import PaneName
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.field_words import LABELS
from scaledesign.view.lines import text_of
from scaledesign.view.screen_words import status, status_line, title_line, trust_line, verdict_line
from tests.view import working
from tests.view.working import NAMES, answered, at, desk_of, example, opened, set_field, typed, words

START = opened()
KEYS = keymap()


def verdict(desk: Desk) -> str:
    return text_of(verdict_line(desk, KEYS))


def test_the_title_names_flute_key_scale_and_tube() -> None:
    assert words(title_line(START)).split("  ") == [
        " Marsh wren",
        "A4 pentatonic minor",
        "15.9 x 3.8 mm duct",
    ]
    edited = typed(START, "rows", 0, "cents", "3")
    assert "Marsh wren (not saved)" in words(title_line(edited))
    assert "not saved" not in words(title_line(edited.saved(Path("wren.toml"))))
    assert "not saved" not in words(title_line(typed(START, "rows", 0, "note", "H4")))
    own = set_field(START.holding(), "1, 6/5, 3/2", "tuning", "degrees")
    assert "A4 own degrees" in words(title_line(own))


@pytest.mark.parametrize("name", NAMES)
def test_until_the_tube_is_blown_the_title_says_how_to_trust_it_more(name: str) -> None:
    (span,) = trust_line(opened(name), KEYS)
    assert span.text.startswith("± ")
    assert "until you blow the bare tube: F4" in span.text
    (own,) = trust_line(opened(name), keymap([("blow", "ctrl+b")]))
    assert "Ctrl+B" in own.text


def test_once_blown_it_only_says_how_sure_it_is() -> None:
    blown = typed(START, "rows", 0, "measured", "A4 -4")
    (before,), (after,) = trust_line(START, KEYS), trust_line(blown, KEYS)
    assert "blow" not in after.text
    assert int(after.text.split()[1]) < int(before.text.split()[1]) / 2


def test_where_nothing_is_known_no_trust_is_claimed() -> None:
    for design in (working.bare(), working.without_rows(), working.nameless_scale()):
        assert trust_line(desk_of(design), KEYS) == ()


def test_the_status_says_the_newest_message_then_the_cell_then_its_column() -> None:
    desk = at(START, "rows", 0, "note")
    assert words(status_line(desk, KEYS)) == worded(PANES["rows"].columns(desk.sheet)[1].words, KEYS)
    assert words(status_line(desk.saying("Good morning.", "strong"), KEYS)) == "Good morning."
    wrong = typed(START, "rows", 0, "note", "H4").going_to("holes").going_to("rows")
    (span,) = status_line(wrong, KEYS)
    assert (span.tone, span.text) == ("wrong", wrong.drafts["rows", 0, "note"].problem)
    moved = typed(START.holding(), "holes", 2, "at", "182 mm").going_to("rows")
    there = at(moved, "holes", 2, "moved")
    assert "before your last edit" in words(status_line(there, KEYS))


@pytest.mark.parametrize("pane", list(PANES))
def test_there_is_always_something_to_say_of_a_cell(pane: PaneName) -> None:
    desk = START.going_to(pane)
    for row in range(PANES[pane].count(desk.sheet)):
        for column in range(1, len(desk.columns)):
            there = desk.going(replace(desk.selection, row=row, column=column))
            heading = PANES[pane].heading(desk.sheet, row)
            assert heading or text_of(status_line(there, KEYS))


def test_every_field_is_explained_when_the_cursor_is_on_it() -> None:
    row = working.line_of(START, "tube", "wall")
    assert words(status_line(at(START, "setup", row, "value"), KEYS)).endswith(LABELS["tube", "wall"][1])


LONG = "It cannot be written to this folder; choose another, and check what room is left. " * 4


@pytest.mark.parametrize("most", [2, 3, 4])
@pytest.mark.parametrize("width", [30, 60, 80, 140])
def test_what_does_not_fit_beneath_the_tables_has_a_mark_and_a_key(width: int, most: int) -> None:
    stuck = typed(START, "rows", 2, "cents", "250")
    wrong = typed(START, "rows", 0, "note", "H4").going_to("holes").going_to("rows")
    said = START.saying(LONG, "wrong")
    for desk, key in ((stuck.going(stuck.selection), "F1"), (wrong, "F1"), (said, "Ctrl+W")):
        lines = status(desk, KEYS, width, most)
        shown = " ".join(" ".join(text_of(line).split()) for line in lines)
        assert 2 <= len(lines) <= most
        assert max(len(text_of(line)) for line in lines) <= width
        first = " ".join(words(status_line(desk, KEYS)).split())
        assert first in shown or f"… {key}" in shown
        if desk is not said:
            text, *more = verdict_line(desk, KEYS)
            assert text.text in shown or f"…{''.join(span.text for span in more).rstrip()}" in "".join(
                text_of(line) for line in lines
            ) or "… Ctrl+W" in shown  # fmt: skip
            assert not more or "Ctrl+W" in shown


def test_what_fits_beneath_the_tables_is_said_whole() -> None:
    lines = status(START.saying(LONG[:300], "wrong"), KEYS, 80, 4)
    assert " ".join(text_of(line) for line in lines) == LONG[:300].strip()
    stuck = typed(START, "rows", 2, "cents", "250")
    told = " ".join(" ".join(text_of(line) for line in status(stuck, KEYS, 80, 4)).split())
    assert told.endswith(f"{stuck.answer.binding[0]} ({len(stuck.answer.notes)} remarks: Ctrl+W)")


# The verdict


def test_in_tune_is_said_first() -> None:
    counted = sum(row.role == "scale" for row in START.design.rows)
    assert verdict(START).startswith(f"On paper {counted} notes of the scale within 1 cent")
    assert verdict_line(START, KEYS)[0].tone == "true"


def test_while_the_engine_works_the_verdict_says_that_it_may_change() -> None:
    asked = at(START, "rows", 2, "cents").typed("3", 5.0)
    assert "…" in verdict(asked)
    assert "…" not in verdict(answered(asked))
    assert verdict(Desk.of(example(), None)) == "Working it out..."


def test_what_is_off_is_named() -> None:
    off = typed(START.holding(), "rows", 2, "cents", "30")
    assert verdict(off).startswith("Holes held still. Off by more than 5 cents: C5")
    assert verdict_line(off, KEYS)[0].tone == "flat"
    assert verdict_line(typed(START.holding(), "rows", 2, "cents", "-30"), KEYS)[0].tone == "sharp"


def test_what_is_in_the_way_is_said_before_what_is_off() -> None:
    stuck = typed(START, "rows", 2, "cents", "250")
    assert verdict(stuck).startswith(stuck.answer.notes[0])
    assert len(stuck.answer.notes) > 1
    assert f"({len(stuck.answer.notes)} remarks: Ctrl+W)" in verdict(stuck)


def test_slips_are_counted() -> None:
    one = typed(START, "rows", 2, "note", "H4")
    assert verdict(one) == "✗ 1 cell holds a text that could not be read."
    two = typed(one, "rows", 3, "cents", "flat")
    assert verdict(two) == "✗ 2 cells hold texts that could not be read."


@pytest.mark.parametrize(
    ("design", "said"),
    [
        (working.bare(), "No rows yet: type a note"),
        (working.without_rows(), "No rows yet: type a note"),
        (working.without_holes(), "Row 1 (A4) stays 5 cents flat"),
        (
            replace(working.without_holes(), rows=working.without_holes().rows[:1]),
            "1 note of the scale within",
        ),
        (working.silent(), "Row 3 (D5) has no pitch as fingered."),
        (working.nameless_scale(), "No scale is named 'moonlit'"),
    ],
    ids=["bare", "no rows", "no holes", "one row", "no pitch", "no scale"],
)
def test_what_is_lacking_is_said(design: Design, said: str) -> None:
    assert said in verdict(answered(desk_of(design).solving()))
