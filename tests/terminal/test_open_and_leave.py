"""What .ci/run opens the grid with tells a program that opens it from one that does not."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.terminal.maker import NAME, PROGRAM

RUNNER = Path(__file__).with_name("open_and_leave.py")


def run(folder: Path, command: str, text: str = NAME) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-I", RUNNER, text, command],
        env={**os.environ, "SCALEDESIGN_HOME": str(folder)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_bare_command_opens_the_grid_and_is_left(tmp_path: Path) -> None:
    done = run(tmp_path, f"echo first && {PROGRAM}")
    assert (done.returncode, done.stdout.split()) == (0, ["first"])


def test_a_command_that_only_prints_has_not_opened_it(tmp_path: Path) -> None:
    done = run(tmp_path, f"{PROGRAM} solve --example marsh-wren")
    assert done.returncode == 1
    assert f"'{NAME}' never stood on the screen" in done.stdout


def test_a_command_that_fails_gives_its_exit_code(tmp_path: Path) -> None:
    done = run(tmp_path, f"{PROGRAM} grid nowhere.toml")
    assert done.returncode == 3
    assert "nowhere.toml" in done.stdout
