"""The grid opens, answers and asks for a new flute while three bad plug-ins lie in the user's folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scaledesign.extend import registry
from scaledesign.workshop import ask
from tests.ui.conftest import home, no_idling, wren
from tests.ui.driving import opened

__all__ = ["home", "no_idling", "wren"]

BAD = {
    "raises": "raise SystemExit('out of reeds')",
    "sleeps": (
        "import time\nfrom scaledesign.api import hookimpl\nprint('snoring')\n\n"
        "@hookimpl\ndef register_scales(register): time.sleep(1000)"
    ),
    "nonsense": (
        "from scaledesign.api import hookimpl\nprint('\\x1b[2Jwhat?' * 1000)\n\n"
        "@hookimpl\ndef register_systems(register): register('what?')"
    ),
}


@pytest.fixture(autouse=True)
def _looked_for_anew() -> Iterator[None]:
    """What was found before is forgotten, and what is found here too."""
    ask.offers.cache_clear()
    yield
    ask.offers.cache_clear()


async def test_the_grid_runs_with_all_three(
    home: Path,
    wren: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    folder = home / "plugins"
    folder.mkdir()
    for name, code in BAD.items():
        (folder / f"{name}.py").write_text(code)
    monkeypatch.setattr(registry, "TIME_LIMIT", 0.5)
    async with opened(wren) as grid:
        problems = {one.name: one.problem for one in ask.offers().plugins() if not one.ok}
        assert set(problems) == set(BAD)
        before = grid.cell(1, "off")
        await grid.go(1, "note")
        await grid.type("C5")
        await grid.press("enter")
        assert grid.cell(1, "note").strip() == "C5"
        assert grid.cell(1, "off") != before
        assert "what?" not in grid.shown()
        assert "snoring" not in grid.shown()
        await grid.press("ctrl+z", "ctrl+n")
        await grid.type("5/8 in x 1/8 in")
        assert "About" in grid.shown(), "a first answer is worked out from what the others offer"
