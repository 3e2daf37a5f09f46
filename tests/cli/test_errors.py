"""One sentence on stderr, the right exit code, never a traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from scaledesign.cli.exit_codes import MEANINGS
from scaledesign.cli.options import example_names
from tests.cli.running import Run


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("sovle",), 2, "did you mean solve?"),
        (("bagpipe",), 2, "scaledesign --help lists them"),
        (("solve",), 2, "FILE"),
        (("solve", ""), 2, "the name of a file is empty"),
        (("compare", "flute.toml", ""), 2, "the name of a file is empty"),
        (("tuning", "major", "--add", "-5c"), 2, "--add=-5"),
        (("solve", "--example", "nobody"), 2, "nobody"),
        (("solve", "a.toml", "--exmaple"), 2, "scaledesign solve: --exmaple"),
        (("solve", "a.toml", "--from", "middle"), 2, "middle"),
        (("solve", "missing.toml"), 3, "missing.toml"),
        (("predict", "."), 3, "."),
        (("holes", "broken.toml"), 3, "broken.toml"),
        (("chart", "bytes.toml"), 3, "bytes.toml"),
        (("calibrate", "flute.toml"), 2, "--bare"),
        (("calibrate", "flute.toml", "--bare", "loud", "--length", "355"), 3, "loud"),
        (("calibrate", "flute.toml", "--row", "C5 -4"), 3, "C5 -4"),
        (("calibrate", "flute.toml", "--row", "9=C5 -4"), 3, "rows are 1 to 6"),
        (("calibrate", "flute.toml", "--row", "1=loud"), 3, "loud"),
        (("calibrate", "flute.toml", "--bare", "A4", "--length", "long"), 3, "long"),
        (("calibrate", "flute.toml", "--bare", "A4", "--length", "355", "--temperature", "warm"), 3, "warm"),
        (
            ("solve", "flute.toml", "-o", "no/such/folder.toml"),
            3,
            "there is no folder no/such; make it first",
        ),
        (("new", "-o", "new.toml"), 2, "--tube, --key"),
        (("new", "--bore", "16", "-o", "new.toml"), 2, "--wall, --key"),
        (
            ("new", "--tube", "16 x 3", "--wall", "3", "--key", "A4", "-o", "new.toml"),
            2,
            "already says the wall",
        ),
        (("new", "--bore", "5/8", "--wall", "3", "--key", "A4", "-o", "n.toml"), 3, 'write "5/8 in"'),
        (("new", "--tube", "16 x 0", "--key", "A4", "-o", "n.toml"), 3, "wall = 0 mm"),
        (("new", "--tube", "16", "--key", "A4", "-o", "new.toml"), 3, "bore x wall"),
        (("new", "--tube", "16 x thick", "--key", "A4", "-o", "new.toml"), 3, "thick"),
        (("new", "--bore", "16", "--wall", "3", "--key", "H4", "-o", "new.toml"), 3, "H4"),
        (("new", "--bore", "x", "--wall", "3", "--key", "A4", "-o", "new.toml"), 3, "x"),
        (
            (
                "new",
                "--bore",
                "16",
                "--wall",
                "3",
                "--key",
                "A4",
                "--scale",
                "pentatonik minor",
                "-o",
                "n.toml",
            ),
            3,
            "did you mean 'pentatonic",
        ),
        (("completion", "tcsh"), 2, "tcsh"),
    ],
)
def test_it_says_what_is_wrong(run: Run, flute: Path, words: tuple[str, ...], code: int, said: str) -> None:
    (flute.parent / "broken.toml").write_text("[tube\n")
    (flute.parent / "bytes.toml").write_bytes(b"\xff\xfe\x00name")
    before = {path: path.read_bytes() for path in flute.parent.iterdir()}
    result = run(*words)
    assert result.code == code
    assert result.out == ""
    assert said in result.err
    assert "Traceback" not in result.err
    assert result.err.count("\n") == 1
    assert {path: path.read_bytes() for path in flute.parent.iterdir()} == before


def test_nothing_at_all_shows_what_there_is(run: Run) -> None:
    result = run()
    assert (result.code, result.out) == (2, "")
    assert "scaledesign new -o flute.toml" in result.err


def test_a_fault_of_our_own_is_owned_up_to(run: Run, flute: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a hole in the sum")

    monkeypatch.setattr("scaledesign.solve", fails, raising=False)
    before = flute.read_bytes()
    result = run("solve", flute, "--in-place")
    assert (result.code, result.out) == (4, "")
    assert "fault of scaledesign's own (ZeroDivisionError: a hole in the sum)" in result.err
    assert "SCALEDESIGN_TRACE=1" in result.err
    assert result.err.count("\n") == 1
    assert flute.read_bytes() == before
    monkeypatch.setenv("SCALEDESIGN_TRACE", "1")
    traced = run("solve", flute)
    assert traced.code == 4
    assert "in fails" in traced.err


def test_help_states_the_exit_codes(run: Run) -> None:
    text = " ".join(run("--help").out.split())
    assert all(f"{code} {meaning}" in text for code, meaning in MEANINGS.items())


def test_a_reader_that_goes_away() -> None:
    command = f'"{sys.executable}" -m scaledesign solve --example {example_names()[0]}'
    script = f'{command} | true; echo "${{PIPESTATUS[0]}}"'
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True)
    assert done.stderr == ""
    assert done.stdout.strip() in {"141", "0"}


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "scaledesign", "chart", "--example", example_names()[0]],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
        )
    assert done.returncode == 3
    assert done.stderr == "No space left on device; check the name and the disk.\n"


def ascii_terminal(*words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "scaledesign", *words, "--example", example_names()[0]],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    )
    assert done.returncode == 0
    assert done.stderr == b""
    return done.stdout.decode("ascii")


def test_a_terminal_that_knows_ascii_only_gets_the_signs_spelled_out() -> None:
    text = ascii_terminal("solve")
    assert "+/- " in text
    assert "?" not in text


def test_a_chart_without_circles_is_one_in_letters() -> None:
    text = ascii_terminal("chart")
    assert "X closed   o open" in text
    assert "?" not in text
