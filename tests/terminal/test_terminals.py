"""What terminals are like: small and large, resized, without circles, without colours, hung up; and files."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

import scaledesign
from tests.terminal.maker import (
    LARGE,
    NAME,
    PROGRAM,
    SMALL,
    copy_of_example,
    leave,
    open_grid,
    save_under_a_name,
    settled,
)  # fmt: skip
from tests.terminal.tmux import Terminal

pytestmark = pytest.mark.system("tmux")

COLOUR = re.compile(r"(?:^|;)(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;|$)")


def raise_cents(terminal: Terminal, cents: str) -> None:
    """Type cents into the first row, and see them."""
    terminal.wait_at_rest(settled)
    terminal.press("Right")
    terminal.wait_for("How much sharper")
    terminal.type(cents)
    terminal.press("Enter")
    terminal.wait_for(f"+{cents}")
    terminal.wait_for("(not saved)")


def cents_in(path: Path) -> float:
    return scaledesign.load(path).rows[0].cents


@pytest.mark.parametrize("size", [SMALL, LARGE])
def test_first_paint(tmp_path: Path, size: tuple[int, int]) -> None:
    """A newcomer sees a finished flute, whole lines of it, the keys and how to begin."""
    with open_grid(tmp_path, size=size) as terminal:
        begin = (
            "until you blow the bare tube"  # what a newcomer is told may stand where the verdict has its dots
        )
        screen = terminal.wait_at_rest(lambda screen: settled(screen) and begin in screen.splitlines()[0])
        lines = terminal.lines()
        assert len(lines) == size[1]
        assert all(len(line) <= size[0] for line in lines)
        assert lines[0].split()[:3] == ["Marsh", "wren", "A4"]
        assert begin in lines[0]
        assert any(line.split()[:3] == ["note", "cents", "Hz"] for line in lines)
        assert lines[-1].startswith(" F1 help")
        assert ("from edge" in screen) == (size == LARGE)
        leave(terminal)


def test_keys_and_odd_bytes_right_after_the_start(tmp_path: Path) -> None:
    """What is typed ahead is done once there is a screen; a byte that is no UTF-8 ends nothing."""
    path = copy_of_example(tmp_path)
    with open_grid(tmp_path, path, size=SMALL) as terminal:
        terminal.press("Right")
        terminal.type("7")
        terminal.press("Down")
        terminal.wait_at_rest(settled)
        terminal.send(0xFC, 0x80)
        terminal.press("Escape")
        terminal.wait_at_rest(settled)
        terminal.press("C-s")
        terminal.wait_for("Saved to")
        leave(terminal)
    assert cents_in(path) == 7


def test_resizing_keeps_everything(tmp_path: Path) -> None:
    """Smaller and back: the screen is the same again, and an open cell is not forgotten."""
    with open_grid(tmp_path, copy_of_example(tmp_path), size=LARGE) as terminal:
        raise_cents(terminal, "7")
        large = terminal.wait_at_rest(settled)
        terminal.resize(*SMALL)
        small = terminal.wait_at_rest(lambda screen: " fingerings   holes   setup " in screen)
        assert len(small.splitlines()) == SMALL[1]
        assert "+7" in small
        terminal.resize(30, 8)
        terminal.wait_at_rest(lambda screen: len(screen.splitlines()) == 8)
        terminal.resize(*LARGE)
        assert terminal.wait_at_rest(lambda screen: "from edge" in screen and settled(screen)) == large
        terminal.press("C-s")
        terminal.wait_for("Saved to wren.toml.")
        leave(terminal)
    assert cents_in(tmp_path / "wren.toml") == 7


@pytest.mark.parametrize("poor", [{"TERM": "linux"}, {"LC_ALL": "C"}, {"LC_ALL": "C", "TERM": "vt100"}])
def test_a_poor_terminal_gets_plain_letters(tmp_path: Path, poor: dict[str, str]) -> None:
    """Every pane and dialog in ASCII, and it can be worked with."""
    file = copy_of_example(tmp_path)
    with open_grid(tmp_path, file, size=LARGE, env=poor) as terminal:
        raise_cents(terminal, "7")
        shown = [terminal.wait_at_rest(settled)]
        for key, seen in (
            ("F1", "Help"),
            ("C-p", "Commands"),
            ("C-n", "Save first?"),
            ("C-o", "Open a flute"),
        ):
            terminal.press(key)
            shown.append(terminal.wait_for(seen))
            terminal.press("Escape")
            terminal.wait_until_gone(seen)
        terminal.press("F3")
        shown.append(terminal.wait_at_rest(settled))
        terminal.press("C-s")
        terminal.wait_for("Saved to wren.toml.")
        leave(terminal)
    for screen in shown:
        assert screen.isascii(), sorted({sign for sign in screen if not sign.isascii()})
    assert cents_in(file) == 7


def test_no_colour(tmp_path: Path) -> None:
    """With NO_COLOR nothing is coloured, whichever dialog is open; without it something is."""

    def colours(screen: str) -> list[str]:
        return [code for code in re.findall(r"\x1b\[([0-9;:]*)m", screen) if COLOUR.search(code)]

    for env in ({"NO_COLOR": "1"}, {}):
        with open_grid(tmp_path, copy_of_example(tmp_path), size=LARGE, env=env) as terminal:
            terminal.wait_at_rest(settled)
            shown = [terminal.screen(codes=True)]
            terminal.press("F1")
            terminal.wait_for("Moving about")
            shown.append(terminal.screen(codes=True))
            terminal.press("Escape")
            terminal.wait_until_gone("Moving about")
            leave(terminal)
        assert all(bool(colours(screen)) == (not env) for screen in shown)


@pytest.mark.system("setpriv")
def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    """Saving says so in one sentence; the work stays, and can be saved elsewhere."""
    closed, opened = tmp_path / "closed", tmp_path / "open"
    closed.mkdir()
    opened.mkdir()
    file = copy_of_example(closed)
    before = file.read_bytes()
    closed.chmod(0o555)
    as_a_maker = ("setpriv", "--bounding-set", "-dac_override") if os.geteuid() == 0 else ()
    env = {"SCALEDESIGN_HOME": str(tmp_path / "home")}
    with Terminal([*as_a_maker, PROGRAM, "grid", file], folder=opened, env=env) as terminal:
        raise_cents(terminal, "7")
        terminal.press("C-s")
        screen = terminal.wait_for("wren.toml: it cannot be written")
        said = " ".join(line.strip() for line in screen.splitlines()[-3:-1])
        assert said.count("wren.toml") == 1
        assert "permission denied" in said
        assert "+7" in screen
        assert "(not saved)" in screen
        save_under_a_name(terminal, "F12", "../open/mine")
        leave(terminal)
    closed.chmod(0o755)
    assert file.read_bytes() == before
    assert [path.name for path in closed.iterdir()] == ["wren.toml"]
    assert cents_in(opened / "mine.toml") == 7


def test_two_windows_on_one_file(tmp_path: Path) -> None:
    """The second is told; who saves last is asked, and nothing is lost either way."""
    file = copy_of_example(tmp_path)
    with open_grid(tmp_path, file) as one, open_grid(tmp_path, file) as other:
        raise_cents(one, "7")
        raise_cents(other, "9")
        one.press("C-s")
        one.wait_for("Saved to wren.toml.")
        other.wait_for("was changed by another window or program")
        other.press("C-s")
        other.wait_for("The file changed")
        assert cents_in(file) == 7
        other.press("Enter")
        save_under_a_name(other, "", "other")
        leave(one)
        leave(other)
    assert cents_in(file) == 7
    assert cents_in(tmp_path / "other.toml") == 9


def test_the_second_window_is_told_at_once(tmp_path: Path) -> None:
    file = copy_of_example(tmp_path)
    with open_grid(tmp_path, file) as one:
        one.wait_for(NAME)
        with open_grid(tmp_path, file) as other:
            other.wait_for("Another window has wren.toml open too")
            leave(other)
        leave(one)


@pytest.mark.parametrize("named", [True, False])
def test_the_terminal_is_closed(tmp_path: Path, named: bool) -> None:
    """The work is offered at the next start, taken up, and saved; after that nothing is left over."""
    file = copy_of_example(tmp_path)
    words = (file,) if named else ()
    with open_grid(tmp_path, *words) as terminal:
        raise_cents(terminal, "7")
        terminal.wait_at_rest(settled)
        terminal.hang_up()
    assert scaledesign.load(file).rows[0].cents == 0
    with open_grid(tmp_path) as terminal:
        screen = terminal.wait_for("Unsaved work")
        assert ("before wren.toml was saved" in screen) == named
        terminal.press("Enter")
        terminal.wait_for("Here is your unsaved work.")
        terminal.wait_for("+7")
        if named:
            terminal.press("C-s")
            terminal.wait_for("Saved to wren.toml.")
        else:
            save_under_a_name(terminal, "C-s", "kept")
        leave(terminal)
    assert cents_in(file if named else tmp_path / "kept.toml") == 7
    with open_grid(tmp_path) as terminal:
        terminal.wait_for("The note you want")
        assert "Unsaved work" not in terminal.wait_at_rest(settled)
        leave(terminal)
