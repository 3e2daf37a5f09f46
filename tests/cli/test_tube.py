"""tube on the command line: the list, one key, the bores, and the command that begins the flute."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

import scaledesign
from tests.cli.running import Run

TUBE = "5/8 in x 1/8 in x 20 in"


def test_the_command_of_the_best_begins_just_that_flute(run: Run, tmp_path: Path) -> None:
    found = run("tube", TUBE, "--avoid", "8 3/4..9 in", "--json").object
    best = found["choices"][0]
    assert best["key"] == found["best"]
    assert best["verdict"] == "good"
    words = shlex.split(best["command"])
    assert words[0] == "scaledesign"
    made = run(*words[1:])
    assert made.code == 0, made.err
    design = scaledesign.load(tmp_path / "flute.toml")
    assert design.tuning.tonic == best["key"]
    assert design.tube.length == pytest.approx(best["length_m"], abs=1e-3)
    assert design.tube.avoid == ((pytest.approx(8.75 * 0.0254), pytest.approx(9 * 0.0254)),)
    assert all(each["leave_m"] >= each["length_m"] for each in found["choices"])


def test_the_list_ends_with_what_to_type_next(run: Run) -> None:
    shown = run("tube", TUBE, "--hand", "large")
    assert shown.code == 0
    assert "Best in " in shown.out
    typed = [line.strip() for line in shown.out.splitlines() if line.startswith("    scaledesign")]
    assert len(typed) == 2
    assert all("--hand large" in line for line in typed)
    assert max(map(len, shown.out.splitlines())) <= 100


def test_one_key_in_full(run: Run) -> None:
    shown = run("tube", TUBE, "--key", "C3")
    assert shown.code == 3
    assert shown.err.count("\n") == 1
    assert "20 in is too short for C3" in shown.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "name a TUBE, or a --key"),
        ((TUBE, "--length", "20 in"), "the length belongs into TUBE"),
        (("80 x 3 mm",), "makes no flute"),
        (("16 x 3 x 40 mm",), "too short for a bore of 16.0 mm"),
        (("16",), "that is not a tube"),
        ((TUBE, "--avoid", "9..8"), "that stretch ends before it starts"),
        ((TUBE, "--avoid", "9"), "that is no stretch of the tube"),
        (("--key", "C9"), "C9 is too high for a flute"),
        (("--key", "A4", "--length", "6 in"), "too short for A4 in any bore"),
        ((TUBE, "--scale", "moonlit"), "moonlit"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(run: Run, words: tuple[str, ...], said: str) -> None:
    told = run("tube", *words)
    assert told.code != 0
    assert said in told.err
    assert told.err.strip().count("\n") == 0


def test_no_other_keys_where_none_is_listed(run: Run) -> None:
    told = run("tube", "16 x 3 x 140 mm")
    assert "No key makes a flute of this tube" in told.out
    assert "keys make no flute of it; --all says why." in " ".join(told.out.split())
    assert "other keys" not in told.out
