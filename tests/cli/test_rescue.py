"""rescue: the answer first, steps with cautions, every note before and after; sentences for all else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import scaledesign
from scaledesign.paper.text import WIDTH
from tests.cli.running import Run
from tests.workshop.slips import Slip, slipped

READ = ("A4 +1", "C5 +1", "D5 -3", "E5 -17", "G5 -5", "A5 -2")
ROWS = (1, 3, 4, 6, 9, 11)
TYPED = [word for row, said in zip(ROWS, READ, strict=True) for word in ("--row", f"{row}={said}")]


@pytest.fixture
def flute(tmp_path: Path) -> Path:
    path = tmp_path / "flute.toml"
    scaledesign.save(slipped("marsh-wren", (Slip(3, "diameter", -0.8e-3),), 1).design, path)
    return path


def test_the_first_plan_in_full(run: Run) -> None:
    result = run("rescue", "--example", "marsh-wren", *TYPED)
    assert (result.code, result.err) == (0, "")
    assert max(map(len, result.out.splitlines())) <= WIDTH
    said = " ".join(result.out.split())
    assert "E5 is 16 cents flat, the worst of 6 notes" in said
    assert "One change mends it: open hole 4 (R1) to 8." in said
    assert "Blow E5" in said
    assert said.index("1. Open hole 4") < said.index("Dust: Breathing") < said.index("you read now ± then")
    assert "scaledesign rescue --example marsh-wren --plan 2" in said


def test_another_plan_in_full(run: Run) -> None:
    result = run("rescue", "--example", "marsh-wren", *TYPED, "--plan", "2")
    assert "1. Undercut hole 4 (R1)" in result.out
    assert "Files and knives: " in result.out


def test_every_number_as_json(run: Run) -> None:
    found = run("rescue", "--example", "marsh-wren", *TYPED, "--json").object
    plan = found["plans"][0]
    assert plan["mends"] is True
    (act,) = plan["acts"]
    assert (act["kind"], act["hole"], act["was_m"]) == ("open", 4, pytest.approx(0.0075))
    assert found["notes"][act["blow_note"] - 1]["note"] == "E5"
    assert act["first_hz"] < act["then_hz"]
    assert len(plan["notes"]) == len(found["notes"])
    assert found["worst_cents"] > plan["worst_cents"]


def test_a_plan_is_written_and_readings_with_it(run: Run, flute: Path, tmp_path: Path) -> None:
    before = scaledesign.load(flute)
    out = tmp_path / "mended.toml"
    result = run("rescue", flute, "-o", out)
    assert result.code == 0
    assert f"Written to {out}." in " ".join(result.out.split())
    after = scaledesign.load(out)
    assert after.holes[3].diameter > before.holes[3].diameter + 0.5e-3
    assert after.rows[5].measured == ""
    assert after.log[-1].note.startswith("Plan of rescue: open hole 4 (R1) to ")
    assert scaledesign.load(flute) == before


def test_in_inches(run: Run, flute: Path) -> None:
    """Widths between bits to 1/64, the thousandths that callipers show behind; bits as they are stamped."""
    said = run("rescue", flute, "--units", "in").out.split("you read")[0]
    assert re.search(r"open hole 4 \(R1\) to \d+/64 in \(0\.3\d\d\)\.", " ".join(said.split()))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "No note of this flute was read; blow its rows"),
        ([*TYPED, "--hold", "7"], "'7': that is no hole of this flute; write --hold 1 to 6, or foot"),
        ([*TYPED, "--most", "9"], "9 changes are no rescue; ask for 1 to 4"),
        ([*TYPED, "--plan", "8"], "There is no plan 8"),
        ([*TYPED[:4], "--row", "6=bad"], "'bad'"),
    ],
)
def test_what_cannot_be_done_is_said_in_a_sentence(run: Run, words: list[str], said: str) -> None:
    result = run("rescue", "--example", "marsh-wren", *words)
    assert result.code != 0
    assert said in result.err
    assert result.out == ""
