"""A finished file in the system's own viewer: asked for and left alone, never waited for long.

Apart because each system has its own way. Where there is no screen to show it on, over SSH say, nothing is
started: a viewer for text could take the terminal away from the grid.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

PATIENCE = 2.0
"""Seconds in which a viewer may say that it cannot; one that still runs then is taken to show the file."""
SCREENS = ("WAYLAND_DISPLAY", "DISPLAY")
"""Environment variables one of which is there where there is a screen, besides on a Mac and on Windows."""
_LEFT: list[subprocess.Popen[bytes]] = []
"""Viewers that still run."""


def open_file(path: Path, environment: Mapping[str, str] = os.environ) -> bool:
    """Whether the system's viewer took a file, or a folder. For a thread: it may take ``PATIENCE``."""
    if sys.platform == "win32":
        return _on_windows(path)
    command = _command(environment)
    if not command:
        return False
    quiet = subprocess.DEVNULL
    try:
        viewer = subprocess.Popen(
            [command, str(path)], stdin=quiet, stdout=quiet, stderr=quiet, start_new_session=True
        )
    except OSError:
        return False
    try:
        return viewer.wait(PATIENCE) == 0
    except subprocess.TimeoutExpired:
        _LEFT.append(viewer)
        return True


def _command(environment: Mapping[str, str]) -> str:
    """The program that opens a file with whatever is meant for it, '' where there is none."""
    if sys.platform == "darwin":
        return shutil.which("open") or ""
    seen = any(environment.get(screen) for screen in SCREENS)
    return (shutil.which("xdg-open") or "") if seen else ""


def _on_windows(path: Path) -> bool:
    try:
        os.startfile(path)  # type: ignore[attr-defined, unused-ignore]  # Windows alone has it
    except OSError:
        return False
    return True
