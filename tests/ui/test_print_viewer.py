"""A finished file in the system's viewer, which may be missing, broken or slow."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import pytest

from scaledesign.ui import print_viewer
from scaledesign.ui.print_viewer import open_file

SCREEN = {"DISPLAY": ":0"}
pytestmark = pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="the way of Linux is tried here")


@pytest.fixture
def viewer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A place for a viewer of the test's own, the only one on the path."""
    path = tmp_path / "bin" / "xdg-open"
    path.parent.mkdir()
    monkeypatch.setenv("PATH", f"{path.parent}:/usr/bin:/bin")
    monkeypatch.setattr(print_viewer.shutil, "which", lambda name: str(path) if path.exists() else None)
    return path


def program(path: Path, text: str) -> None:
    path.write_text(f"#!/bin/sh\n{text}\n")
    path.chmod(0o755)


def test_a_file_is_handed_to_the_viewer(viewer: Path, tmp_path: Path) -> None:
    program(viewer, f'printf %s "$1" >{tmp_path / "seen"}')
    assert open_file(tmp_path / "my chart.pdf", SCREEN)
    assert (tmp_path / "seen").read_text() == str(tmp_path / "my chart.pdf")


@pytest.mark.parametrize("text", ["exit 3", None], ids=["it cannot", "no such program"])
def test_what_cannot_be_opened_is_said(viewer: Path, tmp_path: Path, text: str | None) -> None:
    if text:
        program(viewer, text)
    assert not open_file(tmp_path / "chart.pdf", SCREEN)


def test_a_viewer_that_is_no_program(viewer: Path, tmp_path: Path) -> None:
    viewer.write_text("not a program")
    assert not open_file(tmp_path / "chart.pdf", SCREEN)


def test_nothing_is_started_where_there_is_no_screen(viewer: Path, tmp_path: Path) -> None:
    program(viewer, f"touch {tmp_path / 'started'}")
    assert not open_file(tmp_path / "chart.pdf", {"TERM": "xterm"})
    assert not (tmp_path / "started").exists()


def test_a_viewer_that_stays_open_is_not_waited_for(
    viewer: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program(viewer, "exec sleep 20")
    monkeypatch.setattr(print_viewer, "PATIENCE", 0.05)
    begun = time.monotonic()
    assert open_file(tmp_path / "chart.pdf", SCREEN)
    assert time.monotonic() - begun < 5
    for left in print_viewer._LEFT:
        left.kill()
        left.wait()
    print_viewer._LEFT.clear()
