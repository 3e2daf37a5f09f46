"""The first flute in the grid, as the handbook has it: every key pressed, every screen as the page shows it.

A ``keys`` block is what is pressed, one thing a line: a key, several with blanks between, a text in quotes. A
``screen`` block after it is what stands on the screen then: its lines one after the other, a line of …
standing for any lines between, … within a line for any letters.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scaledesign.locations import HANDBOOK
from scaledesign.view.actions import keymap
from tests.ui.driving import NARROW, opened

_FENCE = re.compile(r"^```(keys|screen)\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def _key(word: str) -> str:
    """A key of the page as the terminal names it."""
    return keymap([("undo", word)])["undo"][0]


def _stands(shown: str, page: str) -> str:
    """'' where a screen has the lines of the page in their order, else the first line that is not there."""
    lines = [line.strip() for line in shown.splitlines()]
    place, near = 0, False
    for line in page.splitlines():
        if line.strip() in ("…", ""):
            near = False
            continue
        like = re.compile(".*".join(re.escape(part) for part in line.strip().split("…")) + "$")
        found = next((n for n in range(place, len(lines)) if like.match(lines[n])), None)
        if found is None or (near and found != place):
            return line
        place, near = found + 1, True
    return ""


async def test_the_first_flute_in_the_grid(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    blocks = _FENCE.findall((HANDBOOK / "first-grid.md").read_text(encoding="utf-8"))
    assert len(blocks) > 10
    async with opened(size=NARROW) as grid:
        for kind, body in blocks:
            if kind == "screen":
                missing = _stands(grid.shown(), body)
                assert not missing, f"{missing!r} is not on\n{grid.shown()}"
                continue
            for line in body.splitlines():
                if line.startswith('"'):
                    await grid.type(line.strip('"'))
                else:
                    await grid.press(*(_key(word) for word in line.split()))
    assert (tmp_path / "reed-warbler.toml").exists()


def test_a_screen_that_is_otherwise_is_found() -> None:
    screen = "one\n  two 3 cents\nthree\nfour"
    assert not _stands(screen, "two 3 cents\nthree")
    assert not _stands(screen, "one\n…\nfo…")
    assert _stands(screen, "one\nthree") == "three"
    assert _stands(screen, "two 4 cents") == "two 4 cents"
