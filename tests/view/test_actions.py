"""The table of actions: names and keys that do not clash, a maker's own keys, words for keys."""

from __future__ import annotations

from itertools import combinations

import pytest

from scaledesign.view.actions import ACTIONS, BY_NAME, GROUPS, bindings, footer, key_words, keymap, worded
from scaledesign.view.columns import PaneName
from scaledesign.view.deeds import DEEDS
from scaledesign.view.desk import PANES
from tests.view.working import at, opened

PANE_NAMES = tuple(PANES)


def test_every_action_has_its_words() -> None:
    assert len(BY_NAME) == len(ACTIONS)
    for action in ACTIONS:
        assert action.group in GROUPS
        assert action.words.endswith(".")
        assert 0 < len(action.title) <= 16
        assert set(action.panes) <= set(PANE_NAMES)


def test_no_two_actions_want_one_key() -> None:
    for one, other in combinations(ACTIONS, 2):
        if not one.panes or not other.panes or set(one.panes) & set(other.panes):
            assert not set(one.keys) & set(other.keys), (one.name, other.name)


def test_places_in_the_footer_are_all_different() -> None:
    places = [action.footer for action in ACTIONS if action.footer]
    assert len(places) == len(set(places))


@pytest.mark.parametrize("pane", PANE_NAMES)
def test_each_key_does_one_thing(pane: PaneName) -> None:
    found = bindings(keymap(), pane)
    for action in ACTIONS:
        for key in action.keys:
            assert (found.get(key) == action.name) == (not action.panes or pane in action.panes)


def test_a_makers_own_keys_take_the_place_of_ours() -> None:
    keys = keymap([("lock", "ctrl+j, Ctrl+U"), ("sort", "ctrl+l"), ("measure", "")])
    assert keys["lock"] == ("ctrl+j", "ctrl+u")
    assert keys["sort"] == ("ctrl+l",)
    assert keys["measure"] == ()
    found = bindings(keys, "holes")
    assert (found["ctrl+j"], found["ctrl+l"]) == ("lock", "sort")
    assert "ctrl+t" not in found
    assert "m" not in found


def test_own_keys_may_be_written_as_help_shows_them() -> None:
    every = {key for action in ACTIONS for key in action.keys} | {
        "ctrl+right_square_bracket",
        "slash",
        "plus",
    }
    for key in every:
        assert keymap([("save", key_words(key))])["save"] == (key,)
        assert keymap([("save", key)])["save"] == (key,)
    keys = keymap([("sharper", " ? , Ctrl+] ,page down")])
    assert keys["sharper"] == ("question_mark", "ctrl+right_square_bracket", "pagedown")
    assert keys["help"] == ("f1",)


def test_a_key_is_taken_from_whoever_had_it() -> None:
    keys = keymap([("save", "ctrl+z")])
    assert keys["undo"] == ()
    assert bindings(keys, "rows")["ctrl+z"] == "save"
    assert keymap() == {action.name: action.keys for action in ACTIONS}


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("ctrl+z", "Ctrl+Z"),
        ("f2", "F2"),
        ("shift+f6", "Shift+F6"),
        ("m", "m"),
        ("right_square_bracket", "]"),
        ("question_mark", "?"),
        ("enter", "Enter"),
        ("ctrl+up", "Ctrl+Up"),
        ("alt+down", "Alt+Down"),
    ],
)
def test_keys_as_a_person_says_them(key: str, said: str) -> None:
    assert key_words(key) == said


def test_sentences_name_the_keys_in_force() -> None:
    assert worded("Press {blow}, then {lock}.", keymap()) == "Press F4, then Ctrl+L."
    assert worded("Press {blow}.", keymap([("blow", "ctrl+b")])) == "Press Ctrl+B."
    assert worded("Press {blow}.", keymap([("blow", "")])) == f"Press {BY_NAME['blow'].title}."
    assert worded("Nothing to press.", keymap()) == "Nothing to press."


def test_the_footer_says_what_undo_takes_back_and_whether_holes_are_held() -> None:
    shown = {name: (key, said) for name, key, said in footer(keymap(), "set cents of row 3", held=True)}
    assert shown["undo"] == ("Ctrl+Z", "undo set cents of row 3")
    assert shown["hold"] == ("F9", "let go")
    calm = {name: said for name, _, said in footer(keymap(), "", held=False)}
    assert "undo" not in calm
    assert calm["hold"] == "hold holes"
    order = [BY_NAME[name].footer for name in calm]
    assert order == sorted(order)
    assert "hold" not in {name for name, _, _ in footer(keymap([("hold", "")]), "", held=False)}


def test_deeds_are_actions() -> None:
    assert set(DEEDS) <= set(BY_NAME)


@pytest.mark.parametrize("name", sorted(DEEDS))
@pytest.mark.parametrize("pane", PANE_NAMES)
def test_every_deed_can_be_done_anywhere_and_taken_back(name: str, pane: PaneName) -> None:
    key = {"rows": "note", "holes": "at", "setup": "value", "scale": "written"}[pane]
    desk = at(opened(), pane, 1, key)
    done = DEEDS[name](desk, 5.0)
    assert done is not desk or name in ("up", "down")
    while done.history.past:
        done = done.undone()
    assert done.design is desk.design


def test_all_is_selected_but_the_spare_line() -> None:
    done = DEEDS["select_all"](opened(), 5.0)
    assert list(done.selection.rows) == list(range(len(done.design.rows)))
    assert list(done.selection.columns) == list(range(1, len(done.columns)))
