"""A plug-in made by typing what DEVELOPERS.md says, in a fresh environment: it installs, loads and passes.

The environment is new and empty but for a line that lends it the checkout and what the tests have; pip puts
the plug-in into it. ``tests/packaging`` tries the program itself in an empty one,
``tests/cli`` a plug-in of one file.
"""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[2]
DEVELOPERS = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")

pytestmark = pytest.mark.slow


def typed(first: str) -> list[str]:
    """The lines of the block of commands that begins so."""
    (block,) = (part for part in DEVELOPERS.split("```") if part.startswith(f"sh\n{first}"))
    return block.splitlines()[1:]


class Fresh:
    """An environment of its own, a home of its own, and a folder that one is in."""

    def __init__(self, folder: Path) -> None:
        venv = folder / "venv"
        subprocess.run([sys.executable, "-m", "venv", "--without-pip", venv], check=True)
        self.python = venv / "bin" / "python"
        (site,) = (venv / "lib").glob("python*/site-packages")
        (site / "lent.pth").write_text(f"{CHECKOUT}\n{sysconfig.get_path('purelib')}\n")
        self.place = folder / "work"
        self.place.mkdir()
        self.home = folder / "home"

    def type(self, line: str) -> str:
        """What a line prints; it must succeed."""
        program, *words = shlex.split(line)
        if program == "cd":
            self.place /= words[0]
            return ""
        if program == "pip":  # the tests' own, working on the new environment; nothing is fetched
            words = ["--python", str(self.python), *words, "--quiet", "--no-deps", "--no-build-isolation"]
        command = [sys.executable if program == "pip" else str(self.python), "-m", program, *words]
        kept = {
            name: os.environ[name]
            for name in os.environ.keys() - {"PYTHONPATH", "PYTEST_ADDOPTS", "SCALEDESIGN_PLUGINS"}
        }
        run = subprocess.run(
            command,
            cwd=self.place,
            env={**kept, "SCALEDESIGN_HOME": str(self.home), "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"},
            capture_output=True,
            text=True,
            check=False,
        )
        assert run.returncode == 0, f"{line}\n{run.stdout}\n{run.stderr}"
        return run.stdout


def test_what_the_documentation_says_to_type_works(tmp_path: Path) -> None:
    fresh = Fresh(tmp_path)
    said = [fresh.type(line) for line in typed('scaledesign plugins new "cane scales" --package')]
    assert "2 passed" in said[-2]
    assert said[-1] == "cane scales: nothing is wrong with it.\n"
    found = json.loads(fresh.type("scaledesign plugins --json"))["plugins"]
    (mine,) = (one for one in found if one["origin"] != "bundled")
    assert (mine["name"], mine["origin"], mine["version"]) == ("cane scales", "installed", "0.1")
    assert mine["ok"]
    assert len(mine["contributes"]) == 3
