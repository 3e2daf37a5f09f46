"""An evening at a real terminal: new flute, scale, lock, reading, paste, undo, save, reopen."""

from __future__ import annotations

from pathlib import Path

import pytest

import scaledesign
from scaledesign.model.document import Design
from tests.terminal.maker import NAME, leave, open_grid, place_of_field, save_under_a_name, settled, tables
from tests.terminal.tmux import Terminal

pytestmark = pytest.mark.system("tmux")

FROM_A_SPREADSHEET = "A4\t3\nB4\t-2\nC#5\t4"


def new_flute(terminal: Terminal) -> None:
    terminal.wait_for(NAME)
    terminal.press("C-n")
    terminal.wait_for("Your tube: bore x wall")
    terminal.type("5/8 in x 1/8 in")
    terminal.wait_for("comfortable")
    for question in ("How it is blown", "The lowest note", "The scale it plays", "Hands that will play it"):
        terminal.press("Enter")
        terminal.wait_for(question)
    terminal.press("Enter")
    terminal.wait_for("Laid out.")


def edit_everything(terminal: Terminal) -> None:
    """Scale, lock, reading, paste: four steps, each seen before the next."""
    terminal.press("F6")
    terminal.wait_for("from the sounding edge.")
    terminal.press("F6")
    terminal.wait_until_gone("from the sounding edge.")
    terminal.press("C-Home", *["Down"] * place_of_field("tuning", "scale"))
    terminal.wait_for("Five notes, dark and open")
    terminal.type("pentatonic major")
    terminal.press("Enter")
    terminal.wait_for("A4 pentatonic major")
    terminal.wait_at_rest(settled)

    terminal.press("S-F6")
    terminal.wait_for("from the sounding edge.")
    terminal.press("C-Home", "C-l")
    terminal.wait_for("undo lock hole 1")
    terminal.wait_at_rest(settled)

    terminal.press("S-F6")
    terminal.wait_for("The note you want")
    terminal.press("C-Home", *["Right"] * 11)
    terminal.wait_for("What your tuner shows")
    terminal.type("A4 -12")
    terminal.press("Enter")
    terminal.wait_for("A4 −12")
    terminal.wait_for("the reading of row 1")
    terminal.wait_at_rest(settled)

    terminal.press("C-Home")
    terminal.wait_for("The note you want")
    terminal.paste(FROM_A_SPREADSHEET)
    terminal.wait_for("undo paste 3 by 2")
    terminal.wait_at_rest(settled)


def undo_everything(terminal: Terminal) -> None:
    for step in ("paste 3 by 2", "note the reading of row 1", "lock hole 1", "retune"):
        terminal.wait_for(lambda screen, step=step: f"undo {step}" in screen.splitlines()[-1])
        terminal.press("C-z")
    terminal.wait_for(lambda screen: "undo" not in screen.splitlines()[-1])
    to_the_top(terminal)  # from the form, where the first step was made


def to_the_top(terminal: Terminal, *first: str) -> None:
    """The form scrolled back and the cursor where it is at the start; from the grid, Shift+F6 twice first."""
    terminal.press(*first, "C-Home", "F6", "F6", "C-Home")
    terminal.wait_for("The note you want")


def reopened(folder: Path) -> str:
    """What the program shows when it is started once more, with the flute it had last."""
    with open_grid(folder) as terminal:
        terminal.wait_for("The note you want")
        screen = tables(terminal.wait_at_rest(settled))
        leave(terminal)
    return screen


def same_flute(one: Design, other: Design) -> bool:
    return scaledesign.dumps(one) == scaledesign.dumps(other)


def test_undo_all_save_and_reopen(tmp_path: Path) -> None:
    """After undoing everything the file holds the flute as it was laid out, and the screen shows it."""
    with open_grid(tmp_path) as terminal:
        new_flute(terminal)
        laid_out = tables(terminal.wait_at_rest(settled))
        save_under_a_name(terminal, "C-s", "first")
        edit_everything(terminal)
        assert tables(terminal.screen()) != laid_out
        undo_everything(terminal)
        assert tables(terminal.wait_at_rest(settled)) == laid_out
        save_under_a_name(terminal, "F12", "second")
        leave(terminal)
    first, second = (scaledesign.load(tmp_path / f"{name}.toml") for name in ("first", "second"))
    assert same_flute(first, second)
    before = (tmp_path / "second.toml").read_bytes()
    assert reopened(tmp_path) == laid_out
    assert (tmp_path / "second.toml").read_bytes() == before


def test_edits_kept_save_and_reopen(tmp_path: Path) -> None:
    """With the edits kept the file holds every one of them, and the screen shows the same flute again."""
    with open_grid(tmp_path) as terminal:
        new_flute(terminal)
        edit_everything(terminal)
        to_the_top(terminal, "S-F6", "S-F6")
        edited = tables(terminal.wait_at_rest(settled))
        save_under_a_name(terminal, "C-s", "warbler")
        leave(terminal)
    path = tmp_path / "warbler.toml"
    before = path.read_bytes()
    design = scaledesign.load(path)
    assert design.tuning.scale == "pentatonic major"
    assert design.holes[0].locked == {"at", "diameter"}
    assert [(row.note, row.cents) for row in design.rows[:3]] == [("A4", 3), ("B4", -2), ("C#5", 4)]
    assert design.rows[0].measured == "A4 -12"
    assert [entry.measured for entry in design.log] == ["A4 -12"]
    assert reopened(tmp_path) == edited
    assert path.read_bytes() == before
    assert not list((tmp_path / "home").rglob("journal/*.toml"))
