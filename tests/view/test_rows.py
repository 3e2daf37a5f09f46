"""The grid's cells: what is typed, what is shown."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.errors import QuantityError
from scaledesign.model.document import Row
from scaledesign.view import row_work
from scaledesign.view.lines import TYPED, text_of
from scaledesign.view.rows import BAR, hole_of, new_row, off_bar, target_text
from tests.view import working
from tests.view.working import at, cell, column, desk_of, example, opened, shown, text, typed

START = opened()
HELD = START.holding()


def row_after(key: str, what: str, row: int = 2) -> Row:
    """A row after something was typed into one of its cells, the holes held still."""
    done = typed(HELD, "rows", row, key, what)
    assert not done.drafts, done.said.text
    return done.design.rows[row]


def refused(key: str, what: str, row: int = 2) -> str:
    """What is said of a text that cannot be read; nothing else changes."""
    done = typed(HELD, "rows", row, key, what)
    assert done.design is HELD.design
    return done.drafts["rows", row, key].problem


# Targets


@pytest.mark.parametrize(
    ("typed_text", "note", "hertz"),
    [
        ("Bb4", "Bb4", 466.16),
        ("bb4", "Bb4", 466.16),
        ("F#5", "F#5", 739.99),
        (" c5 ", "C5", 523.25),
        ("523.3 Hz", "523.3 Hz", 523.3),
        ("3/2", "3/2", 660.0),
        ("702 c", "702 c", 660.03),
        ("2", "2", 880.0),
    ],
)
def test_a_target_is_a_note_a_frequency_or_an_interval(typed_text: str, note: str, hertz: float) -> None:
    done = typed(HELD, "rows", 2, "note", typed_text)
    assert done.design.rows[2].note == note
    assert done.sheet.number("target", 2) == pytest.approx(hertz, abs=0.02)
    assert target_text(typed_text) == note


@pytest.mark.parametrize("what", ["", "H4", "A", "5 Hz", "0/2", "50000 Hz", "?"])
def test_what_is_no_target(what: str) -> None:
    assert refused("note", what).endswith(".")
    with pytest.raises(QuantityError):
        target_text(what)


@pytest.mark.parametrize(
    ("what", "note"),
    [
        ("530", "530 Hz"),
        ("530.25", "530.25 Hz"),
        ("1234.567", "1234.567 Hz"),
        ("530 Hz", "530 Hz"),
        ("E5", "E5"),
        ("3/2", "3/2"),
    ],
)
def test_a_target_typed_in_hertz(what: str, note: str) -> None:
    assert row_after("hertz", what).note == note


def test_a_frequency_is_the_whole_wish() -> None:
    """Cents that were added to the note before do not come on top."""
    desk = typed(typed(HELD, "rows", 2, "cents", "25"), "rows", 2, "hertz", "530")
    assert desk.design.rows[2].cents == 0
    assert desk.sheet.number("target", 2) == pytest.approx(530.0)
    assert desk.history.undo_name == "set note of row 3"
    kept = typed(typed(HELD, "rows", 2, "cents", "25"), "rows", 2, "hertz", "E5")
    assert kept.design.rows[2].cents == 25.0


def test_hertz_that_no_flute_plays() -> None:
    assert "20 to 12000 Hz" in refused("hertz", "5")
    assert refused("hertz", "")


@pytest.mark.parametrize(
    ("what", "cents"),
    [
        ("5", 5.0),
        ("-7", -7.0),
        ("−7", -7.0),
        ("+2.5", 2.5),
        ("3 c", 3.0),
        ("3 cents", 3.0),
        ("", 0.0),
        ("600", 600.0),
    ],
)
def test_cents(what: str, cents: float) -> None:
    desk = typed(typed(HELD, "rows", 2, "cents", "11"), "rows", 2, "cents", what)
    assert desk.design.rows[2].cents == cents


@pytest.mark.parametrize("what", ["601", "-601", "sharp", "5 Hz", "1e999"])
def test_what_is_no_cents(what: str) -> None:
    assert refused("cents", what)


def test_a_cent_is_nudged_from_any_cell_of_the_target() -> None:
    for key in ("note", "cents", "hertz"):
        desk = at(HELD, "rows", 2, key).nudged(-3, 5.0)
        assert desk.design.rows[2].cents == START.design.rows[2].cents - 3


# Fingerings


@pytest.mark.parametrize(
    ("what", "state"),
    [
        ("x", "X"),
        ("O", "O"),
        ("0", "O"),
        ("h", "H"),
        ("●", "X"),
        ("○", "O"),
        ("◐", "H"),
        ("", "X"),
        (" o ", "O"),
    ],
)
def test_a_hole_is_closed_open_or_partly_open(what: str, state: str) -> None:
    assert row_after("hole 3", what).holes[3] == state


def test_a_whole_fingering_goes_in_at_any_hole() -> None:
    assert row_after("hole 4", "XXO hox").holes == ("X", "X", "O", "H", "O", "X")
    assert row_after("hole 0", "●●● ○○○").holes == ("X", "X", "X", "O", "O", "O")


@pytest.mark.parametrize("what", ["q", "xx", "XXXXXXX", "ajar"])
def test_what_is_no_state_of_a_hole(what: str) -> None:
    assert "x for closed" in refused("hole 3", what)


def test_a_hole_goes_round() -> None:
    desk, seen = at(HELD, "rows", 0, "hole 3"), []
    for _ in range(3):
        desk = desk.stepped(working.later(desk))
        seen.append(desk.design.rows[0].holes[3])
    assert sorted(seen) == ["H", "O", "X"]
    assert desk.design == HELD.design


def test_a_flute_with_one_hole() -> None:
    """A single letter is its state and its whole fingering."""
    design = working.three_holes()
    one = replace(design, holes=design.holes[:1], rows=(Row("A4", ("X",)),))
    assert typed(desk_of(one).holding(), "rows", 0, "hole 0", "o").design.rows[0].holes == ("O",)


def test_a_column_knows_its_hole() -> None:
    desk = desk_of(working.three_holes())
    assert hole_of(column(desk, "rows", "hole 0"), desk.sheet) == 0
    assert hole_of(column(desk, "rows", "hole 1"), desk.sheet) == 2
    assert hole_of(column(desk, "rows", "note"), desk.sheet) is None


# Role, register, share, weight


@pytest.mark.parametrize(
    ("what", "role", "weight"),
    [
        ("scale", "scale", 1.0),
        ("between", "chromatic", 0.01),
        ("other", "alternate", 0.005),
        ("chromatic", "chromatic", 0.01),
        ("S", "scale", 1.0),
        ("alt", "alternate", 0.005),
    ],
)
def test_a_role_brings_its_weight(what: str, role: str, weight: float) -> None:
    start = row_work.inserted(at(HELD, "rows", 2, "note"), 5.0)
    assert (start.design.rows[2].role, start.design.rows[2].weight) == ("chromatic", 0.0)
    row = typed(start, "rows", 2, "role", what).design.rows[2]
    assert (row.role, row.weight) == (role, pytest.approx(weight))


def test_the_role_that_it_has_keeps_a_weight_of_the_makers_own() -> None:
    desk = typed(HELD, "rows", 2, "weight", "0.3")
    assert typed(desk, "rows", 2, "role", "scale").design.rows[2].weight == 0.3


def test_roles_and_registers_go_round() -> None:
    desk = at(HELD, "rows", 2, "role")
    for role in ("chromatic", "alternate", "scale"):
        desk = desk.stepped(working.later(desk))
        assert desk.design.rows[2].role == role
    assert desk.design == HELD.design
    desk = at(HELD, "rows", 2, "register")
    for register in (2, 3, 1):
        desk = desk.stepped(working.later(desk))
        assert desk.design.rows[2].register == register


@pytest.mark.parametrize(
    ("key", "what"),
    [
        ("role", ""),
        ("role", "solo"),
        ("register", "0"),
        ("register", "4"),
        ("register", "1.5"),
        ("register", "two"),
        ("share", "0"),
        ("share", "100"),
        ("share", "a third"),
        ("weight", "-1"),
        ("weight", "much"),
        ("weight", ""),
    ],
)
def test_what_is_none(key: str, what: str) -> None:
    desk = typed(HELD, "rows", 2, "hole 0", "h")
    done = typed(desk, "rows", 2, key, what)
    assert list(done.drafts) == [("rows", 2, key)]
    assert done.design is desk.design


def test_how_much_of_a_hole_is_open() -> None:
    """Shown where it counts, whole; a row without such a hole has none to show."""
    assert text(HELD, "rows", 2, "share") == shown(HELD, "rows", 2, "share") == ""
    desk = typed(HELD, "rows", 2, "hole 0", "h")
    assert text(desk, "rows", 2, "share") == "50"
    desk = typed(desk, "rows", 2, "share", "33.3 %")
    assert desk.design.rows[2].open_share == pytest.approx(0.333)
    assert (shown(desk, "rows", 2, "share"), text(desk, "rows", 2, "share")) == ("33", "33.3")
    assert typed(desk, "rows", 2, "share", "").design.rows[2].open_share == 0.5


# What it plays


def test_what_a_row_plays_and_how_sure_that_is() -> None:
    assert shown(START, "rows", 0, "plays").split() == [
        "A4",
        "0",
        f"±{START.sheet.number('uncertainty', 0):.0f}",
    ]
    assert text(START, "rows", 0, "plays") == "A4 +0"
    assert text(START, "rows", 0, "off") == f"{START.sheet.number('cents', 0):+.1f}"
    assert shown(START, "rows", 0, "hertz") == "440.0"


def test_a_row_that_cannot_sound_says_so_and_the_others_play_on() -> None:
    desk = desk_of(working.silent())
    silent = cell(desk, "rows", 2, "plays")
    assert (silent.text, silent.tone) == ("no pitch", "reach")
    assert "register" in silent.note
    assert text(desk, "rows", 2, "off") == ""
    assert shown(desk, "rows", 2, "off").strip() == ""
    assert shown(desk, "rows", 0, "plays").startswith("D")


def test_before_the_engine_has_looked_nothing_is_said_of_pitch() -> None:
    assert shown(desk_of(working.nameless_scale()), "rows", 0, "plays") == ""
    added = row_work.inserted(at(START, "rows", 0, "note"), 5.0)
    assert shown(added, "rows", 0, "plays") == ""


def test_old_numbers_are_faint_until_there_are_new_ones() -> None:
    asked = at(START, "rows", 2, "cents").typed("9", 5.0)
    assert {span.tone for span in cell(asked, "rows", 2, "off").line if span.text.strip()} == {"faint"}
    done = working.answered(asked)
    assert cell(done, "rows", 2, "off").line[0].tone == "true"


@pytest.mark.parametrize("signs", [START.signs, TYPED])
@pytest.mark.parametrize(
    "cents", [0.0, 3.0, -3.0, 12.0, -12.0, 25.0, -25.0, 26.0, -900.0, 900.0, float("nan")]
)
def test_a_bar_to_the_right_is_sharp_to_the_left_flat(signs: object, cents: float) -> None:
    """As wide for every error, its middle where it was, and marked where it does not fit."""
    sheet = replace(START.sheet, signs=signs)
    bar = text_of(off_bar(cents, 5.0, sheet))
    half = BAR // 2
    assert len(bar) == BAR
    if cents != cents:
        assert bar.strip() == ""
        return
    assert bar[half] == sheet.signs.down
    filled = (bar[:half].strip(), bar[half + 1 :].strip())
    assert not filled[0] or cents < 0
    assert not filled[1] or cents > 0
    assert any(filled) or abs(cents) < 12
    assert (sheet.signs.sharp in bar) == (cents > 25)
    assert (sheet.signs.flat in bar) == (cents < -25)


def test_rows_of_the_scale_stand_out() -> None:
    scale = next(i for i, row in enumerate(START.design.rows) if row.role == "scale")
    between = next(i for i, row in enumerate(START.design.rows) if row.role == "chromatic")
    assert cell(START, "rows", scale, "note").tone == "strong"
    assert cell(START, "rows", between, "note").tone == "plain"


# New rows


def test_a_new_row_is_like_another_but_counts_for_nothing_yet() -> None:
    like = new_row(START.sheet, 2)
    assert (
        replace(like, role=START.design.rows[2].role, weight=START.design.rows[2].weight)
        == START.design.rows[2]
    )
    assert like.weight == 0
    measured = replace(example(), rows=(replace(example().rows[0], measured="A4 -4"),))
    assert new_row(desk_of(measured).sheet, 0).measured == ""
    lowest = new_row(desk_of(working.without_rows()).sheet, None)
    assert (lowest.note, set(lowest.holes), len(lowest.holes)) == ("A4", {"X"}, 6)


def test_a_note_typed_below_the_last_row_is_a_new_row_that_moves_nothing() -> None:
    count = len(START.design.rows)
    done = typed(START, "rows", count, "note", "C6")
    assert done.design.rows[count].note == "C6"
    for new, old in zip(done.design.holes, START.design.holes, strict=True):
        assert new.at == pytest.approx(old.at, abs=2e-5)
        assert new.diameter == old.diameter
    assert done.undone().design is START.design


def test_a_reading_that_is_none_is_refused() -> None:
    for what in ("A4 four", "4", "H4"):
        assert "is not what a tuner shows" in refused("measured", what)


def test_bare_cents_are_a_reading_of_the_row_s_own_note() -> None:
    done = typed(START, "rows", 0, "measured", "-4")
    assert done.design.rows[0].measured == "A4 -4"


def test_a_note_with_its_cents_sets_both() -> None:
    done = typed(START, "rows", 2, "note", "C5 +10")
    assert (done.design.rows[2].note, done.design.rows[2].cents) == ("C5", 10.0)
