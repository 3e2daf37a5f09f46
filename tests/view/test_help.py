"""Help: the cell in hand first, then every column and every key, at any width."""

from __future__ import annotations

import pytest

from scaledesign.view.actions import ACTIONS, key_words, keymap, worded
from scaledesign.view.columns import PaneName
from scaledesign.view.desk import PANES
from scaledesign.view.guide import STEPS
from scaledesign.view.help import blow_next, help_lines, question_lines, why_lines
from scaledesign.view.lines import text_of
from scaledesign.view.questions import Choice, Question
from scaledesign.view.screen_words import status_line
from scaledesign.workshop.next_reading import next_readings
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
                assert worded(column.words, KEYS).split(".")[0][:18] in told


@pytest.mark.parametrize("name", ["note", "hertz", "hole 2", "measured"])
def test_the_column_in_hand_comes_first(name: str) -> None:
    desk = at(START, "rows", 0, name)
    first, second = help_lines(desk, KEYS, 200)[:2]
    assert text_of(first) == desk.column.title
    assert text_of(second) == worded(desk.column.words, KEYS)[: len(text_of(second))]


def test_the_field_in_hand_comes_first() -> None:
    desk = at(START, "setup", working.line_of(START, "tube", "bore"), "value")
    first, second = help_lines(desk, KEYS, 300)[:2]
    assert text_of(first) == "bore"
    assert text_of(second).startswith("23 bores long: comfortable. Inside diameter.")


def test_what_had_no_room_beneath_the_tables_is_whole_in_help_and_in_why() -> None:
    wrong = typed(START, "rows", 0, "note", "H4").going_to("holes").going_to("rows")
    assert wrong.drafts["rows", 0, "note"].problem in " ".join(words(*help_lines(wrong, KEYS, 60)).split())
    said = "A sentence of what became of it, so long that it is parted. " * 6
    assert said.strip() in " ".join(words(*why_lines(START.saying(said), 60)).split())


def test_help_says_a_makers_own_keys() -> None:
    told = words(*help_lines(START, keymap([("lock", "ctrl+j"), ("solve", "")]), 76))
    assert "Ctrl+J" in told
    assert "Ctrl+L " not in told


@pytest.mark.parametrize("pane", list(PANES))
def test_no_help_sentence_has_a_key_of_ours_in_it(pane: PaneName) -> None:
    sheet = START.sheet
    told = [PANES[pane].help(sheet, row, column) for column in PANES[pane].columns(sheet) for row in range(60)
            if row < PANES[pane].count(sheet)]  # fmt: skip
    told += [action.words for action in ACTIONS] + [step.words for step in STEPS]
    for words_ in told:
        for key in ("Ctrl+", "[ and ]", "Space", "F1"):
            assert key not in words_


def test_the_sentences_of_help_say_a_makers_own_keys() -> None:
    own = keymap(
        [("sharper", "ctrl+j"), ("flatter", "ctrl+u"), ("turn", "f9"), ("palette", "ctrl+b"), ("solve", "")]
    )
    desk = at(START, "rows", 0, "cents")
    assert "Ctrl+U and Ctrl+J change it by one." in words(*help_lines(desk, own, 200))
    assert words(status_line(desk, own)).endswith("Ctrl+U and Ctrl+J change it by one.")
    lock = help_lines(at(START, "holes", 0, "lock"), own, 200)[1]
    assert text_of(lock) == "F9 locks it where it is, and frees it again."
    solve = next(text_of(line) for line in help_lines(desk, own, 200) if "solve again" in text_of(line))
    assert solve.startswith("Ctrl+B ")


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


def test_what_to_blow_next_is_said_once_the_maker_has_begun() -> None:
    assert blow_next(START) == ""
    blown = typed(START, "rows", 0, "measured", "A4 +3")
    said = blow_next(blown)
    best = next_readings(blown.design)[0]
    assert (best.row, best.register) == (None, 2)
    assert said.startswith("Blow next: the bare tube overblown, about A5 ")
    assert f"from {best.now:.0f} to {best.then:.0f} cents" in said
    assert said in " ".join(words(*why_lines(blown, 60, said)).split())
    assert blow_next(desk_of(working.without_rows())) == ""


def test_a_question_is_said_with_all_its_answers() -> None:
    choices = (Choice("duct", "blown through a slot"), Choice("ideal", "for reckoning"))
    question = Question("mouth", "How is it blown?", "dukt", "duct", "Of two.", choices, "as most", "no such")
    told = " ".join(words(*question_lines(question, 40)).split())
    for part in ("How is it blown?", "Of two.", "Left empty: duct.", "Now: as most", "no such"):
        assert part in told
    assert all(choice.answer in told and choice.words in told for choice in choices)
    assert words(*question_lines(Question("name", "Which?", ""), 40)) == "Which?"
