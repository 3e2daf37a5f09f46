"""new: from options, and from questions on a terminal."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

import scaledesign
from scaledesign.model.document import Units
from scaledesign.model.units import INCH
from scaledesign.solver.spare import spare_wanted
from tests.cli.running import Run


def test_from_options_in_millimetres(run: Run, tmp_path: Path) -> None:
    result = run("new", "--bore", "16", "--wall", "3", "--key", "A4", "-o", "flute.toml")
    assert (result.code, result.err) == (0, "")
    design = scaledesign.load(tmp_path / "flute.toml")
    assert (design.tube.bore[0].value, design.tube.wall[0].value) == (0.016, 0.003)
    assert design.tuning.tonic == "A4"
    assert "scaledesign calibrate flute.toml" in result.out
    assert result.out.endswith("\n    scaledesign bench flute.toml\n")
    spare = spare_wanted(design, "mm")
    longer = f"Leave the tube {1000 * spare:.0f} mm longer, {1000 * (design.tube.length + spare):.1f} mm from"
    assert longer in " ".join(result.out.split())


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
    leave = next(line for line in result.out.splitlines() if line.startswith("Leave the tube "))
    assert " in longer, " in leave
    assert " mm" not in leave
    assert "plicatic acid" in result.out


def test_the_length_follows_from_the_key_or_is_said_to_be_too_short(run: Run) -> None:
    long = run("new", "--bore", "16", "--wall", "3", "--key", "A4", "-o", "a.toml", "--json").object
    assert 0.30 < long["tube"]["length_m"] < 0.40
    short = run("new", "--bore", "16", "--wall", "3", "--key", "A4", "--length", "340", "-o", "b.toml")
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


@pytest.mark.parametrize(
    ("tube", "units", "parts"),
    [
        ("5/8 in x 1/8 in x 20 in", "in", (5 / 8, 1 / 8, 20)),
        ("5/8 x 1/8 x 20 in", "in", (5 / 8, 1 / 8, 20)),
        ('5/8" by 1/8"', "in", (5 / 8, 1 / 8, None)),
        ("16 x 3 x 400 mm", "mm", (16, 3, 400)),
        ("16×3", "mm", (16, 3, None)),
    ],
)
def test_a_tube_as_makers_say_it(
    run: Run, tmp_path: Path, tube: str, units: Units, parts: tuple[float, float, float | None]
) -> None:
    result = run("new", "--tube", tube, "--key", "A4", "-o", "flute.toml")
    assert (result.code, result.err) == (0, "")
    design = scaledesign.load(tmp_path / "flute.toml")
    scale = float(INCH) if units == "in" else 1e-3
    assert design.units == units
    assert design.tube.bore[0].value == pytest.approx(parts[0] * scale)
    assert design.tube.wall[0].value == pytest.approx(parts[1] * scale)
    assert design.tube.blank == (None if parts[2] is None else pytest.approx(parts[2] * scale))


def test_bare_numbers_of_a_tube_are_in_the_units_given(run: Run, tmp_path: Path) -> None:
    assert run("new", "--tube", "5/8 x 1/8", "--units", "in", "--key", "A4", "-o", "a.toml").code == 0
    assert scaledesign.load(tmp_path / "a.toml").tube.bore[0].value == pytest.approx(float(INCH) * 5 / 8)


def test_what_cannot_be_printed_is_not_written(run: Run, tmp_path: Path) -> None:
    result = run("new", "--tube", "16 x 3", "--key", "A4", "--from", "cut-end", "-o", "flute.toml")
    assert result.code == 3
    assert "tube.chamber" in result.err
    assert list(tmp_path.iterdir()) == []


class Asked(NamedTuple):
    """What a command asked on a terminal came to."""

    code: int
    out: str
    err: str


def on_a_terminal(folder: Path, answers: str, *words: str) -> Asked:
    """Run ``new`` with its questions answered from a pseudo-terminal."""
    terminal, inside = pty.openpty()
    os.write(terminal, answers.encode())
    with subprocess.Popen(
        [sys.executable, "-m", "scaledesign", "new", *words, "-o", "flute.toml"],
        stdin=inside,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=folder,
        text=True,
    ) as asked:
        os.close(inside)
        out, err = asked.communicate(timeout=60)
    os.close(terminal)
    return Asked(asked.returncode, out, err)


def test_questions_on_a_terminal(tmp_path: Path) -> None:
    """A wrong answer is asked again, Enter takes the usual one, what was given is not asked."""
    tube, mouth = ("", "16,5 x 3", "16.5 x 3"), ("flap", "duct")
    scale, system = ("quarter tones", "?", "dorian"), ("six-hole pentatonic", "")
    hand, bits, material = ("",), ("?", ""), ("bamboo",)
    answers = (*tube, *mouth, *scale, *system, *hand, *bits, *material)
    lines = "".join(f"{answer}\n" for answer in answers)
    code, out, err = on_a_terminal(tmp_path, lines, "--key", "A4", "--name", "Dipper")
    assert code == 0, err
    assert err.count("Your tube") == 3
    assert "16.5 with a point" in err
    assert err.count("How it is blown") == 2
    assert "No fingering system plays the 24 notes" in err
    assert "pentatonic major: 5 notes" in err.replace("\n  ", " ")
    assert "choose a system that fits (six-hole diatonic" in err
    assert "inch letters" in err
    assert "Lowest note" not in err
    assert "What you call it" not in err
    assert "Dipper" in out
    design = scaledesign.load(tmp_path / "flute.toml")
    assert (design.tube.bore[0].value, design.instrument.material) == (0.0165, "bamboo")
    assert (design.tuning.scale, design.instrument.system) == ("dorian", "six-hole diatonic")


def test_the_key_that_suits_the_bore_is_offered(tmp_path: Path) -> None:
    code, _, err = on_a_terminal(tmp_path, "16 x 3\nnotch\n?\n\n" + "\n" * 6)
    assert code == 0, err
    assert "such as A4 or F#4 [A4]: " in err
    assert "'?' is not a note" in err
    design = scaledesign.load(tmp_path / "flute.toml")
    assert (design.tuning.tonic, design.instrument.mouth) == ("A4", "notch")


def test_a_piece_of_the_tube_that_is_given_is_not_asked_again(tmp_path: Path) -> None:
    code, _, err = on_a_terminal(tmp_path, "3\n" + "\n" * 7, "--bore", "16", "--key", "A4")
    assert code == 0, err
    assert "Thickness of its wall" in err
    assert "Your tube" not in err
    assert "Inside diameter" not in err


def test_the_end_of_input_stops_it(tmp_path: Path) -> None:
    code, out, err = on_a_terminal(tmp_path, "16 x 3\n\x04", "--name", "Dipper")
    assert (code, out) == (130, "")
    assert err.endswith("\nStopped.\n")
    assert list(tmp_path.iterdir()) == []
