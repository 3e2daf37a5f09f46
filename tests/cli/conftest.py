"""Running the command line in this process, and a small flute of a maker's to run it on."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.cli import main
from tests.cli.running import Result, Run

FLUTE = """\
# My first one.
format = 1
units  = "mm"
name   = "Sedge warbler"

[instrument]
mouth    = "duct"
system   = "six-hole pentatonic"
material = "bamboo"

[tube]
length = 355.4
bore   = 15.9
wall   = 3.8

[voicing]
window = { length = 5, width = 9, wall = 2, flue_length = 12, flue_height = 1.0 }

[tuning]
tonic = "A4"
scale = "pentatonic minor"

[[holes]]
at = 150
diameter = 8
finger = "L1"

[[holes]]
at = 175
diameter = 8
finger = "L2"

[[holes]]
at = 200
diameter = 8
finger = "L3"

[[holes]]
at = 235
diameter = 8
finger = "R1"

[[holes]]
at = 260
diameter = 8
finger = "R2"

[[holes]]
at = 285
diameter = 8
finger = "R3"

[[rows]]
note = "A4"
holes = "XXX XXX"

[[rows]]
note = "C5"
holes = "XXX XXO"

[[rows]]
note = "D5"
holes = "XXX XOO"

[[rows]]
note = "E5"
holes = "XXX OOO"

[[rows]]
note = "G5"
holes = "XXO OOO"

[[rows]]
note = "A5"
holes = "XOO OOO"
"""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Run in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def command(*words: str | Path) -> Result:
        capsys.readouterr()
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return Result(code, out, err)

    return command


@pytest.fixture
def flute(tmp_path: Path) -> Path:
    """A file with six holes where nobody has thought about them."""
    path = tmp_path / "flute.toml"
    path.write_text(FLUTE, encoding="utf-8")
    return path
