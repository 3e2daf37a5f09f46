"""Help: the cell in hand first, then every column and every key, at any width."""

from __future__ import annotations

import pytest

from scaledesign.view.actions import ACTIONS, key_words, keymap
from scaledesign.view.columns import PaneName
from scaledesign.view.desk import PANES
from scaledesign.view.help import help_lines, why_lines
from scaledesign.view.lines import text_of
from tests.view import working
from tests.view.working import at, desk_of, opened, typed, words

START = opened()
KEYS = keymap()
WIDTHS = (56, 76, 130)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("pane", list(PANES))
def test_help_fits_its_width_and_leaves_nothing_out(pane: PaneName, width: int) -> None:
    lines = help_lines(START.going_to(pane), KEYS, width)
    assert max(len(text_of(line)) for line in lines) <= width
    told = " ".join(words(*lines).split())
    for action in ACTIONS:
        assert " ".join(action.words.split())[:18] in told
        for key in action.keys:
            assert key_words(key) in told
    if pane != "setup":
        for column in PANES[pane].columns(START.sheet)[1:]:
            if not column.key.startswith("hole "):
                assert column.words.split(".")[0][:18] in told


@pytest.mark.parametrize("name", ["note", "hertz", "hole 2", "measured"])
def test_the_column_in_hand_comes_first(name: str) -> None:
    desk = at(START, "rows", 0, name)
    first, second = help_lines(desk, KEYS, 200)[:2]
    assert text_of(first) == desk.column.title
    assert text_of(second) == desk.column.words[: len(text_of(second))]


def test_the_field_in_hand_comes_first() -> None:
    desk = at(START, "setup", working.line_of(START, "tube", "bore"), "value")
    first, second = help_lines(desk, KEYS, 300)[:2]
    assert text_of(first) == "bore"
    assert text_of(second).startswith("22 bores long: comfortable. Inside diameter.")


def test_help_says_a_makers_own_keys() -> None:
    told = words(*help_lines(START, keymap([("lock", "ctrl+j"), ("solve", "")]), 76))
    assert "Ctrl+J" in told
    assert "Ctrl+L " not in told


@pytest.mark.parametrize("design", [working.bare(), working.without_rows(), working.nameless_scale()])
def test_help_where_there_is_nothing(design: working.Design) -> None:
    for pane in PANES:
        assert help_lines(desk_of(design).going_to(pane), KEYS, 76)


def test_why_says_slips_first_then_everything_the_engine_found() -> None:
    stuck = typed(START, "rows", 2, "cents", "250")
    wrong = typed(stuck, "rows", 3, "note", "H4")
    lines = why_lines(wrong, 60)
    assert text_of(lines[0]).startswith("fingerings, row 4: 'H4' is not a note")
    assert lines[0][0].tone == "wrong"
    told = " ".join(words(*lines).split())
    for note in stuck.answer.notes:
        assert " ".join(note.split()) in told
    assert max(len(text_of(line)) for line in lines) <= 60


def test_why_where_all_is_well() -> None:
    assert words(*why_lines(desk_of(working.bare()), 60)) == "Nothing binds and nothing is odd."
