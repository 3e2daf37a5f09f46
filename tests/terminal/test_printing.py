"""Everything of a flute into a folder, from the keyboard of a small terminal, after a look at it."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.outputs.usual import FOLDER
from tests.terminal.maker import NAME, SMALL, copy_of_example, leave, open_grid, settled

pytestmark = pytest.mark.system("tmux")

BEGINNINGS = {"pdf": b"%PDF-", "html": b"<!", "txt": b"Marsh wren", "csv": b"hole,", "musicxml": b"<?xml",
              "mid": b"MThd"}  # fmt: skip


def test_all_of_it_into_a_folder(tmp_path: Path) -> None:
    own = copy_of_example(tmp_path)
    with open_grid(tmp_path, own, size=SMALL, env={"COLORTERM": "truecolor"}) as terminal:
        terminal.wait_for(NAME)
        terminal.wait_at_rest(settled)
        terminal.press("C-e")
        terminal.wait_for("What to print or write")
        terminal.type("all")
        terminal.wait_for("-notes.mid.")

        terminal.press("F3")
        screen = terminal.wait_for(lambda screen: " %" in screen.splitlines()[0])
        assert "marsh-wren-template.pdf" in screen.splitlines()[0]
        assert "48;2;255;255;255" in terminal.screen(codes=True)  # white paper
        terminal.press("Tab", "Tab")
        terminal.wait_for(lambda screen: "chart.pdf" in screen and " %" in screen.splitlines()[0])
        terminal.press("c")
        terminal.wait_for("480 %")
        terminal.press("Escape")
        terminal.wait_for("What to print or write")

        terminal.press("Enter")
        terminal.wait_for("In which form")
        terminal.press("Enter")
        terminal.wait_for(f"{len(FOLDER)} files written to")
        folder = tmp_path / "marsh-wren"
        made = {path.name: path.read_bytes() for path in folder.iterdir()}
        assert set(made) == {f"marsh-wren-{kind}.{form}" for kind, form in FOLDER}
        for name, data in made.items():
            assert data.lower().startswith(BEGINNINGS[name.rpartition(".")[2]].lower()), name
        leave(terminal)
