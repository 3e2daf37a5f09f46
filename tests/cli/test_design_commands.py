"""solve, predict, holes, chart and check, on a maker's file and on our examples."""

from __future__ import annotations

import csv
import io
import shlex
import sys
from pathlib import Path
from typing import get_args

import pytest

import scaledesign
from scaledesign import locations
from scaledesign.cli import main
from scaledesign.cli.options import FORMS, example_names
from scaledesign.paper.tables import Form
from scaledesign.paper.text import WIDTH
from tests.cli.running import Run

EXAMPLES = example_names()


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_solves_to_a_hole_list_with_a_tolerance_on_every_note(run: Run, name: str) -> None:
    result = run("solve", "--example", name)
    assert (result.code, result.err) == (0, "")
    assert max(map(len, result.out.splitlines())) <= WIDTH
    first_sight = result.out.split("\n\n")[1]
    assert first_sight.startswith("± ")
    found = run("solve", "--example", name, "--json").object
    assert all(row["uncertainty_cents"] > 0 for row in found["rows"])
    assert all(hole["placed"] in {"solved", "rule", "locked", "undetermined"} for hole in found["holes"])


def test_solve_shows_what_to_trust_then_holes_then_notes_then_cautions(run: Run, flute: Path) -> None:
    text = run("solve", flute).out
    order = [
        text.index(words)
        for words in (
            "Sedge warbler",
            "until you blow the bare tube",
            "from edge",
            "fingering",
            "Before you start",
        )
    ]
    assert order == sorted(order)


def test_solve_writes_only_where_it_is_told(run: Run, flute: Path) -> None:
    before = flute.read_bytes()
    assert run("solve", flute).code == 0
    assert flute.read_bytes() == before
    assert run("solve", flute, "-o", "solved.toml").code == 0
    assert flute.read_bytes() == before
    solved = scaledesign.load(flute.parent / "solved.toml")
    assert solved != scaledesign.load(flute)
    assert run("solve", flute, "--in-place").code == 0
    assert scaledesign.load(flute) == solved
    assert flute.read_text(encoding="utf-8").startswith("# My first one.\n")


def test_a_file_that_is_there_is_kept(run: Run, flute: Path) -> None:
    other = flute.parent / "other.toml"
    other.write_text("precious")
    result = run("solve", flute, "-o", "other.toml")
    assert result.code == 3
    assert result.err == "other.toml is there already; give another name, or --force to replace it.\n"
    assert other.read_text() == "precious"
    assert run("solve", flute, "-o", "other.toml", "--force").code == 0
    assert other.read_text() != "precious"


def test_an_example_is_not_written_to(run: Run) -> None:
    result = run("solve", "--example", EXAMPLES[0], "--in-place")
    assert result.code == 3
    assert "name your own file with -o" in result.err


def test_an_example_is_not_written_to_by_another_name(run: Run, flute: Path) -> None:
    example = locations.EXAMPLES / f"{EXAMPLES[0]}.toml"
    before = example.read_bytes()
    link = flute.with_name("link.toml")
    link.symlink_to(example)
    for words in (
        ("solve", link, "--in-place"),
        ("solve", flute, "-o", link, "--force"),
        ("chart", flute, "-o", example, "--force"),
        ("calibrate", link, "--bare", "A4 -4", "--length", "355 mm", "--in-place"),
    ):
        result = run(*words)
        assert (result.code, result.out) == (3, "")
        assert "an example is not written to" in result.err
    assert example.read_bytes() == before


def test_a_list_that_cannot_be_written_is_said_and_nothing_is_lost(run: Run, flute: Path) -> None:
    result = run("chart", flute, "-o", "nowhere/chart.txt")
    assert (result.code, result.out) == (3, "")
    assert result.err.startswith("there is no folder nowhere; make it first")


def test_solve_json_names_what_the_facade_names(run: Run, flute: Path) -> None:
    found = run("solve", flute, "--json").object
    solution = scaledesign.solve(scaledesign.load(flute))
    assert [hole["at_m"] for hole in found["holes"]] == [hole.at for hole in solution.design.holes]
    assert [hole["diameter_m"] for hole in found["holes"]] == [h.diameter for h in solution.design.holes]
    assert [row["frequency_hz"] for row in found["rows"]] == pytest.approx(
        list(solution.prediction.frequency)
    )
    assert [row["cents"] for row in found["rows"]] == pytest.approx(list(solution.prediction.cents))
    for row in found["rows"]:
        parts = (row["common_cents"] ** 2 + row["rest_cents"] ** 2) ** 0.5
        assert row["uncertainty_cents"] == pytest.approx(parts)


def test_a_note_that_cannot_be_met_has_its_own_exit_code(run: Run, flute: Path) -> None:
    """All holes locked where they are, far from what the notes want."""
    locked = flute.read_text(encoding="utf-8").replace("diameter = 8\n", "diameter = 8\nlocked = true\n")
    locked = locked.replace("wall   = 3.8\n", "wall   = 3.8\nlocked = true\n")
    flute.write_text(locked, encoding="utf-8")
    result = run("solve", flute)
    assert result.code == 1
    assert result.err == ""
    assert "locked" in result.out
    assert "flat" in result.out or "sharp" in result.out


def test_predict_changes_nothing_and_losses_matter(run: Run, flute: Path) -> None:
    before = flute.read_bytes()
    text = run("predict", flute)
    assert (text.code, text.err) == (0, "")
    with_losses = run("predict", flute, "--json").object
    without = run("predict", flute, "--no-losses", "--json").object
    for lossy, ideal in zip(with_losses["rows"], without["rows"], strict=True):
        assert 0 < ideal["frequency_hz"] / lossy["frequency_hz"] - 1 < 0.02
    assert flute.read_bytes() == before


def test_holes_in_inches_from_the_foot(run: Run, flute: Path) -> None:
    result = run("holes", flute, "--units", "in", "--from", "foot")
    assert result.code == 0
    assert "In inches, from the foot" in result.out
    assert "2 49/64" in result.out  # 355.4 - 285 mm = 2.772 in
    assert result.out.rstrip().endswith("come before this list.")


def test_holes_from_an_unknown_cut_end(run: Run, flute: Path) -> None:
    result = run("holes", flute, "--from", "cut-end")
    assert result.code == 3
    assert "tube.chamber" in result.err


def test_chart(run: Run, flute: Path) -> None:
    assert "C5  ● ● ●   ● ● ○" in run("chart", flute).out
    assert run("chart", flute, "--ascii").out.isascii()


def test_the_forms_offered_are_those_there_are() -> None:
    assert get_args(Form) == FORMS


@pytest.mark.parametrize(("form", "dialect"), [("tsv", "excel-tab"), ("csv", "excel")])
def test_holes_and_chart_for_a_spreadsheet(run: Run, flute: Path, form: str, dialect: str) -> None:
    design = scaledesign.load(flute)
    result = run("holes", flute, "--as", form, "--from", "foot")
    assert (result.code, result.err) == (0, "")
    holes = list(csv.DictReader(io.StringIO(result.out, newline=""), dialect=dialect))
    assert [float(hole["from foot (mm)"]) for hole in holes] == pytest.approx(
        [1000 * (design.tube.length - hole.at) for hole in reversed(design.holes)], abs=5e-4
    )
    result = run("chart", flute, "--as", form)
    assert result.code == 1  # no hole is where its note wants it
    assert result.err.startswith(
        "Six notes of this flute do not come out: row 6 (A5 -212), row 5 (G5 -209), row 4 (E5 "
    )
    rows = list(csv.DictReader(io.StringIO(result.out, newline=""), dialect=dialect))
    assert [row["note"] for row in rows] == [row.note for row in design.rows]
    assert [float(row["off (cents)"]) for row in rows] == pytest.approx(
        list(scaledesign.predict(design).cents), abs=5e-3
    )


def test_a_list_is_written_as_its_name_ends_or_as_it_is_told(run: Run, flute: Path) -> None:
    printed = {form: run("holes", flute, "--as", form).out for form in FORMS}
    assert printed["text"] == run("holes", flute).out
    for name, form in (("holes.CSV", "csv"), ("holes.tsv", "tsv"), ("holes.txt", "text"), ("holes", "text")):
        result = run("holes", flute, "-o", name)
        assert (result.code, result.out, result.err) == (0, f"Written to {name}.\n", "")
        assert (flute.parent / name).read_bytes() == printed[form].encode()
    assert run("holes", flute, "-o", "holes.txt", "--as", "csv", "--force").code == 0
    assert (flute.parent / "holes.txt").read_bytes() == printed["csv"].encode()


def test_csv_ends_its_lines_alike_on_every_system(
    monkeypatch: pytest.MonkeyPatch, flute: Path, run: Run
) -> None:
    """Where a terminal makes two signs of a line end, the first of ours must not be doubled."""
    expected = run("chart", flute, "--as", "csv").out
    stream = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(stream, encoding="utf-8", newline="\r\n"))
    assert main(["chart", str(flute), "--as", "csv"]) == 1
    assert stream.getvalue() == expected.encode()
    assert expected.count("\r\n") == expected.count("\n") == 7


def test_a_chart_in_a_file_keeps_its_circles(run: Run, flute: Path) -> None:
    assert run("chart", flute, "-o", "chart.txt").out == "Written to chart.txt.\n"
    assert (flute.parent / "chart.txt").read_text(encoding="utf-8") == run("chart", flute).out


def test_a_list_replaces_nothing_unasked_and_never_its_design(run: Run, flute: Path) -> None:
    other = flute.parent / "chart.csv"
    other.write_text("precious")
    assert "is there already" in run("chart", flute, "-o", other).err
    assert other.read_text() == "precious"
    before = flute.read_bytes()
    for words in ("holes", "chart"):
        result = run(words, flute, "-o", "flute.toml", "--force")
        assert (result.code, result.out) == (3, "")
        assert result.err == "flute.toml is the design itself; give the list another name.\n"
    assert flute.read_bytes() == before


def test_json_is_a_form_of_its_own(run: Run, flute: Path) -> None:
    assert run("holes", flute, "--json", "--as", "csv").code == 2
    assert run("holes", flute, "--json", "-o", "holes.json").code == 0
    assert (flute.parent / "holes.json").read_text(encoding="utf-8") == run("holes", flute, "--json").out


def test_an_example_is_copied_before_it_is_calibrated(run: Run) -> None:
    """Every command that is suggested can be typed as it stands."""
    for words in ("solve", "predict", "holes"):
        (calibrate,) = commands_in(run(words, "--example", EXAMPLES[0]).out, "calibrate")
        (copy,) = commands_in(run(words, "--example", EXAMPLES[0]).out, "solve")
    assert run(*copy).code == 0
    assert run(*calibrate).code == 0


def commands_in(text: str, name: str) -> list[list[str]]:
    lines = [shlex.split(line)[1:] for line in text.splitlines() if line.startswith("    scaledesign ")]
    return [words for words in lines if words[0] == name]


def test_solve_says_what_moved_and_whether_it_is_kept(run: Run, flute: Path) -> None:
    text = run("solve", flute).out
    assert "Before: hole 1 at 150.0, 8.0 wide; hole 2 at" in text
    assert text.endswith("\nNot written; to keep it, add --in-place.\n")
    assert run("solve", flute, "--in-place").out.endswith(f"\nWritten to {flute}.\n")


def test_the_bench_list_carries_the_warnings(run: Run, flute: Path) -> None:
    flute.write_text(flute.read_text(encoding="utf-8").replace("at = 175", "at = 158"), encoding="utf-8")
    assert "Holes 1 and 2" in run("holes", flute).out


def test_check_looks_up_the_names(run: Run, flute: Path) -> None:
    text = flute.read_text(encoding="utf-8")
    flute.write_text(text.replace('"pentatonic minor"', '"pentatonik minor"'), encoding="utf-8")
    result = run("check", flute)
    assert (result.code, result.out) == (3, "")
    assert f"{flute}: No scale is named 'pentatonik minor'; did you mean" in result.err
    flute.write_text(text.replace('"six-hole pentatonic"', '"six-whole pentatonic"'), encoding="utf-8")
    assert "No fingering system is named" in run("check", flute).err


def test_check_names_every_fault_and_goes_on(run: Run, flute: Path) -> None:
    broken = flute.parent / "broken.toml"
    broken.write_text(
        flute.read_text(encoding="utf-8").replace("bore ", "boer ").replace('"A4"\nscale', '"H4"\nscale'),
        encoding="utf-8",
    )
    result = run("check", broken, flute)
    assert result.code == 3
    assert "bore" in result.err
    assert "H4" in result.err
    assert result.out == f"{flute}: nothing is wrong with it.\n"
