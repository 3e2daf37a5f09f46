"""Keys that come in one piece, as over a slow line, mean what they would mean one after the other."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import scaledesign
from tests.terminal.maker import copy_of_example, leave, open_grid, settled

pytestmark = pytest.mark.system("tmux")

ONE_LETTER_WRONG = ("w", "r", "e", "m", "BSpace", "n", "2", "Left", "-")
"""wren-2, with a slip and an afterthought."""


def test_in_a_dialog(tmp_path: Path) -> None:
    with open_grid(tmp_path, copy_of_example(tmp_path)) as terminal:
        terminal.wait_at_rest(settled)
        terminal.press("F12")
        terminal.wait_for("Where to keep this flute")
        terminal.press("C-a", "C-k", *ONE_LETTER_WRONG, "Enter")
        terminal.wait_for("Saved to wren-2.toml.")
        leave(terminal)


def test_in_a_list(tmp_path: Path) -> None:
    with open_grid(tmp_path, copy_of_example(tmp_path)) as terminal:
        terminal.wait_at_rest(settled)
        terminal.press("C-o")
        terminal.wait_for("Open a flute")
        terminal.press(*ONE_LETTER_WRONG)
        terminal.wait_for("  wren-2  ")
        terminal.press("Escape")
        terminal.wait_until_gone("Open a flute")
        leave(terminal)


def test_in_a_cell(tmp_path: Path) -> None:
    file = copy_of_example(tmp_path)
    with open_grid(tmp_path, file) as terminal:
        terminal.wait_at_rest(settled)
        terminal.press("Right", "2", "BSpace", "1", "3", "Enter", "C-z", "F6", "F6", "F6", "C-y")
        screen = terminal.wait_at_rest(lambda screen: settled(screen) and "undo set cents of row 1" in screen)
        assert re.search(r"1 A4 +\+13 ", screen)
        terminal.press("C-s")
        terminal.wait_for("Saved to wren.toml.")
        leave(terminal)
    assert scaledesign.load(file).rows[0].cents == 13
