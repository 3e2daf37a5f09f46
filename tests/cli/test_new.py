"""new: from options, and from questions on a terminal."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

import scaledesign
from scaledesign.model.units import INCH
from tests.cli.running import Run


def test_from_options_in_millimetres(run: Run, tmp_path: Path) -> None:
    result = run("new", "--bore", "16", "--wall", "3", "--key", "A4", "-o", "flute.toml")
    assert (result.code, result.err) == (0, "")
    design = scaledesign.load(tmp_path / "flute.toml")
    assert (design.tube.bore[0].value, design.tube.wall[0].value) == (0.016, 0.003)
    assert design.tuning.tonic == "A4"
    assert "scaledesign calibrate flute.toml" in result.out


def test_from_options_in_inches(run: Run, tmp_path: Path) -> None:
    result = run(
        "new", "--units", "in", "--bore", "5/8", "--wall", "1/8", "--key", "F#4", "--mouth", "duct",
        "--scale", "pentatonic minor", "--system", "six-hole pentatonic", "--hand", "large",
        "--bits", "inch 1/64", "--material", "cedar", "--name", "Wheatear", "-o", "flute.toml",
    )  # fmt: skip
    assert (result.code, result.err) == (0, "")
    design = scaledesign.load(tmp_path / "flute.toml")
    assert design.units == "in"
    assert design.name == "Wheatear"
    assert design.tube.bore[0].value == pytest.approx(float(INCH) * 5 / 8)
    assert "In inches" in result.out
    assert "plicatic acid" in result.out


def test_the_length_follows_from_the_key_or_is_said_to_be_too_short(run: Run) -> None:
    long = run("new", "--bore", "16", "--wall", "3", "--key", "A4", "-o", "a.toml", "--json").object
    assert 0.30 < long["tube"]["length_m"] < 0.40
    short = run("new", "--bore", "16", "--wall", "3", "--key", "A4", "--length", "250", "-o", "b.toml")
    assert short.code == 1
    assert "flat" in short.out or "sharp" in short.out


def test_a_system_is_found_for_the_scale_and_a_scale_for_the_system(run: Run, tmp_path: Path) -> None:
    tube = ("--bore", "16", "--wall", "3", "--key", "D5")
    run("new", *tube, "--scale", "dorian", "-o", "a.toml")
    design = scaledesign.load(tmp_path / "a.toml")
    assert (design.instrument.system, design.tuning.scale) == ("six-hole diatonic", "dorian")
    run("new", *tube, "--system", "six-hole diatonic", "-o", "b.toml")
    assert scaledesign.load(tmp_path / "b.toml").tuning.scale == "major"


def test_json_is_one_object(run: Run) -> None:
    found = run("new", "--bore", "16", "--wall", "3", "--key", "A4", "-o", "a.toml", "--json").object
    assert {"holes", "rows", "notes", "tube"} <= set(found)


def test_questions_on_a_terminal(tmp_path: Path) -> None:
    """A wrong answer is asked again, Enter takes the usual one, what was given is not asked."""
    terminal, inside = pty.openpty()
    asked = subprocess.Popen(
        [sys.executable, "-m", "scaledesign", "new", "--key", "A4", "--name", "Dipper", "-o", "flute.toml"],
        stdin=inside,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=tmp_path,
        text=True,
    )
    os.close(inside)
    answers = ["", "16,5", "16.5", "", "3", "", "flap", "duct", "", "", "", "", "bamboo"]
    os.write(terminal, "".join(f"{answer}\n" for answer in answers).encode())
    out, err = asked.communicate(timeout=60)
    os.close(terminal)
    assert asked.returncode == 0, err
    assert err.count("Inside diameter") == 2
    assert "16.5 with a point" in err
    assert err.count("Thickness") == 2
    assert err.count("How it is blown") == 2
    assert "Lowest note" not in err
    assert "What you call it" not in err
    assert "Dipper" in out
    design = scaledesign.load(tmp_path / "flute.toml")
    assert (design.tube.bore[0].value, design.instrument.material) == (0.0165, "bamboo")
