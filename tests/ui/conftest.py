"""The grid in a home of its own, and a small flute of a maker's to open in it."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
import textual.app
import textual.pilot

from scaledesign import locations
from scaledesign.ui import engine

WREN = locations.EXAMPLES / "marsh-wren.toml"


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Nobody's settings, nobody's files; the engine's afterthoughts come at once."""
    folder = tmp_path / "home"
    folder.mkdir()
    work = tmp_path / "work"
    work.mkdir()
    monkeypatch.chdir(work)
    monkeypatch.setenv("SCALEDESIGN_HOME", str(folder))
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setattr(engine, "PAUSE", 0.001)
    return folder


@pytest.fixture(autouse=True)
def no_idling(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pilot's way to wait, until the processor is idle, would wait for other programs too.

    ``Grid.drained`` counts messages instead.
    """

    async def step(*_: float) -> None:
        await asyncio.sleep(0)

    monkeypatch.setattr(textual.app, "wait_for_idle", step)
    monkeypatch.setattr(textual.pilot, "wait_for_idle", step)


@pytest.fixture
def wren(home: Path, tmp_path: Path) -> Path:
    """A copy of an example as a file of one's own."""
    path = tmp_path / "work" / "wren.toml"
    path.write_bytes(WREN.read_bytes())
    return path


@pytest.fixture
def small(wren: Path) -> Path:
    """A flute of three holes as a file, beside the other one: what it can play is found in a moment."""
    from scaledesign.files import document_file
    from tests.view.small_flute import flute

    path = wren.with_name("small.toml")
    path.write_text(document_file.dumps(flute()), encoding="utf-8")
    return path
