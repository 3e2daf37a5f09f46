"""registers: the answer first, a table that fits, JSON for programs; nothing but sentences for odd flutes."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.cli.options import example_names
from scaledesign.paper.text import WIDTH
from tests.cli.running import Run

EXAMPLES = example_names()


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_is_answered_in_a_terminal(run: Run, name: str) -> None:
    result = run("registers", "--example", name)
    assert (result.code, result.err) == (0, "")
    assert max(map(len, result.out.splitlines())) <= WIDTH
    title, answer, table, legend, advice = result.out.split("\n\n")
    assert answer.startswith("Second octave: ")
    header, *lines = table.splitlines()
    assert header.split()[:4] == ["note", "fingering", "low", "octave"]
    assert len(lines) > 5
    assert all(line.split()[-1] in {"speaks", "weakly", "hardly", "none"} for line in lines)
    for column in ("12th", "Pa", "cutoff", "harder", "firm"):
        assert (column in header.split()) == (f"{column}:" in legend)
    assert advice.startswith("- ")
    assert name.replace("-", " ").capitalize() in title


@pytest.mark.parametrize("name", EXAMPLES)
def test_json_has_every_number_behind_the_verdict(run: Run, name: str) -> None:
    found = run("registers", "--example", name, "--json").object
    assert found["verdicts"][0].startswith("Second octave: ")
    assert 10 < found["bores_long"] < 40
    for fingering in found["fingerings"]:
        assert fingering["softer_cents"] < 0 < fingering["harder_cents"] < fingering["doubled_cents"]
        for register in fingering["registers"]:
            assert register["verdict"] in {"speaks", "weakly", "hardly", "none"}
            assert register["quality"] > 0
            if fingering["cutoff_hz"] is not None:
                share = register["frequency_hz"] / fingering["cutoff_hz"]
                assert register["share_of_cutoff"] == pytest.approx(share)


def test_a_file_of_the_makers(run: Run, flute: Path) -> None:
    text = run("registers", flute).out
    assert text.startswith("Sedge warbler: duct flute")
    assert "A window of 5.0 mm asks a breath of" in text
    assert "12th" not in text.split("\n\n")[2]


TUBE = """\
instrument = {{ mouth = "{mouth}" }}
tube = {{ length = {length}, bore = 16, wall = 3 }}
"""


@pytest.mark.parametrize("mouth", ["duct", "notch", "rim", "transverse", "open"])
@pytest.mark.parametrize("length", [30, 128, 350, 960])
def test_a_bare_tube_of_any_length_and_mouth(run: Run, tmp_path: Path, mouth: str, length: int) -> None:
    """No rows, and registers that may not exist: an answer all the same."""
    path = tmp_path / "tube.toml"
    path.write_text(TUBE.format(mouth=mouth, length=length), encoding="utf-8")
    result = run("registers", path)
    assert (result.code, result.err) == (0, "")
    assert "Second octave: " in result.out
    (fingering,) = run("registers", path, "--json").object["fingerings"]
    assert fingering["rows"] == []


def test_predict_says_what_the_mouth_is_taken_for(run: Run, tmp_path: Path) -> None:
    """Added length, drift and cavity, each with its doubt; a usual cavity is told and not reckoned with."""
    path = tmp_path / "tube.toml"
    text = TUBE.format(mouth="transverse", length=350)
    path.write_text(f"{text}voicing = {{ added_length = 45 }}\n", encoding="utf-8")
    unknown = run("predict", path, "--json").object["voicing"]
    path.write_text(f"{text}voicing = {{ added_length = 45, cavity = 16 }}\n", encoding="utf-8")
    known = run("predict", path, "--json").object["voicing"]
    assert (unknown["cavity_m"], unknown["usual_cavity_m"]) == (0, pytest.approx(0.015))
    assert (known["cavity_m"], known["usual_cavity_m"]) == (pytest.approx(0.016), pytest.approx(0.016))
    assert unknown["usual_cavity_uncertainty_m"] > known["usual_cavity_uncertainty_m"] == 0
    assert unknown["drift_uncertainty_m_per_khz2"] > known["drift_uncertainty_m_per_khz2"] > 0
    assert unknown["drift_m_per_khz2"] == 0


def test_a_file_that_is_not_there(run: Run) -> None:
    result = run("registers", "nowhere.toml")
    assert result.code != 0
    assert result.err.count("\n") == 1
