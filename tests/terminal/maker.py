"""What a maker does at the program in a real terminal: start it, find a field, wait until holes have settled.

Apart from ``tmux.py``, which knows no flute.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from pathlib import Path

import scaledesign
from scaledesign.locations import EXAMPLES
from scaledesign.view.setup import fields
from tests.terminal.tmux import Terminal

PROGRAM = Path(sys.executable).with_name("scaledesign")
EXAMPLE = EXAMPLES / "marsh-wren.toml"
NAME = "Marsh wren"
SMALL, LARGE = (80, 24), (140, 40)


def open_grid(
    folder: Path, *files: Path, size: tuple[int, int] = LARGE, env: Mapping[str, str] = {}
) -> Terminal:
    """The program in a terminal, with a file or bare; its own files are kept in ``folder``/home."""
    words = ("grid", *files) if files else ()
    own = {"SCALEDESIGN_HOME": str(folder / "home"), **env}
    return Terminal([PROGRAM, *words], folder=folder, size=size, env=own)


def copy_of_example(folder: Path) -> Path:
    """A maker's own file to work on."""
    path = folder / "wren.toml"
    path.write_bytes(EXAMPLE.read_bytes())
    return path


def place_of_field(*path: str) -> int:
    """How many lines down the form a field stands, for a duct flute."""
    return [field.path for field in fields(scaledesign.load(EXAMPLE))].index(path)


def settled(screen: str) -> bool:
    """Whether the engine owes nothing more: until then the verdict, the last line but one, has dots."""
    verdict = "".join(screen.rstrip().splitlines()[-2:-1])
    return verdict.strip() != "" and "…" not in verdict and "..." not in verdict


def tables(screen: str) -> str:
    """The screen without what tells of the last step.

    That is title, messages, keys, how far holes have moved and by whom they were placed.
    """
    kept = "\n".join(screen.splitlines()[1:-3])
    told = re.compile(r"[←→][\d/]+|\b(?:solve|rule|yours)[d…]*")
    return re.sub(r" +$", "", told.sub(lambda word: " " * len(word[0]), kept), flags=re.MULTILINE)


def save_under_a_name(terminal: Terminal, key: str, name: str) -> None:
    """Save with a key; the file gets an ending of its own."""
    terminal.press(key)
    terminal.wait_for("Where to keep this flute")
    terminal.press("C-a", "C-k")
    terminal.wait_for("Type a name for the file.")
    terminal.type(name)
    terminal.wait_for(lambda screen: re.search(rf"file +{re.escape(name)}\b", screen) is not None)
    terminal.press("Enter")
    terminal.wait_for(f"Saved to {Path(name).name}.toml.")


def leave(terminal: Terminal) -> None:
    """Leave by Ctrl+Q, with nothing to ask."""
    terminal.press("C-q")
    assert terminal.exit_code() == 0
