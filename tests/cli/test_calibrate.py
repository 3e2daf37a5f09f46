"""calibrate: a reading in, a smaller ± out."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

import scaledesign
from scaledesign.model.edits import apply
from scaledesign.model.units import format_length
from scaledesign.paper.unblown import told_length
from scaledesign.view.measured import measured_edit
from scaledesign.workshop.readings import typed
from tests.cli.running import Run

LONG = ("--length", "355.4 mm")
"""How long the bare tube of ``flute`` is when it is blown: cut to what is planned."""


def test_the_bare_tube(run: Run, flute: Path) -> None:
    before = run("predict", flute, "--json").object
    result = run("calibrate", flute, *LONG, "--bare", "A4 +30", "--in-place")
    assert (result.code, result.err) == (0, "")
    assert "going by the readings" in result.out
    assert f"Written to {flute}." in result.out
    assert result.out.endswith(f"Lay the holes out for it:\n    scaledesign solve {flute} --in-place\n")
    after = run("predict", flute, "--json").object
    for old, new in zip(before["rows"], after["rows"], strict=True):
        assert new["uncertainty_cents"] < old["uncertainty_cents"] / 2
    assert scaledesign.load(flute).voicing.calibrated


def test_a_reading_that_cannot_be_of_this_tube_is_not_written(run: Run, flute: Path) -> None:
    before = flute.read_bytes()
    result = run("calibrate", flute, *LONG, "--bare", "F7 +0", "--in-place")
    assert result.code == 3
    assert "- Nothing learnt" in result.out
    assert "ritten" not in result.out
    assert flute.read_bytes() == before


def test_rows(run: Run, flute: Path) -> None:
    result = run("calibrate", flute, "--row", "1=A4 +20", "--row", "2=C5 +5", "-o", "new.toml", "--json")
    found = result.object
    assert found["taken_as_cut"] == {"holes": [6], "foot": True}
    assert found["after"]["rows"][0]["uncertainty_cents"] < found["before"]["rows"][0]["uncertainty_cents"]
    rows = scaledesign.load(flute.parent / "new.toml").rows
    assert [row.measured for row in rows] == ["A4 +20", "C5 +5", "", "", "", ""]
    assert not scaledesign.load(flute).voicing.calibrated


def test_what_a_reading_proves_to_be_cut_is_marked_as_in_the_grid(run: Run, flute: Path) -> None:
    """A reading typed is one design, wherever it is typed; what that marks is said, and how to undo it."""
    before = scaledesign.load(flute)
    looked = run("calibrate", flute, "--row", "4=+26").out
    assert "Holes 4, 5 and 6 and the foot are taken as cut: no solve moves them.\n" in looked
    out = run("calibrate", flute, "--row", "4=+26", "--in-place").out
    assert "Holes 4, 5 and 6 and the foot are taken as cut: no solve moves them. If one is" in out
    assert "write drilled = true under each" in out
    assert out.endswith(f"\n    scaledesign solve {flute} --in-place\n")
    after = scaledesign.load(flute)
    edit = measured_edit(before, 3, typed(before, 3, "+26"), after.log[-1].when)
    assert edit is not None
    assert after == apply(before, edit)
    run("calibrate", flute, "--row", "3=C5 −2", "--in-place")
    once_more = measured_edit(after, 2, typed(after, 2, "C5 −2"), scaledesign.load(flute).log[-1].when)
    assert once_more is not None
    assert scaledesign.load(flute) == apply(after, once_more)


def test_a_flute_that_is_all_drilled_is_not_to_be_laid_out(run: Run, flute: Path) -> None:
    design = scaledesign.load(flute)
    first = replace(design.holes[0], drilled=True)
    scaledesign.save(replace(design, holes=(first, *design.holes[1:])), flute)
    plays = run("predict", flute, "--json").object["rows"][5]["frequency_hz"]
    out = run("calibrate", flute, "--row", f"6={plays:.1f} Hz", "--in-place").out
    assert out.endswith(f"To see what few changes would mend it:\n    scaledesign rescue {flute}\n")


def test_what_is_printed_once_written_is_what_predict_prints(run: Run, flute: Path) -> None:
    """The notes, their ±, and how far the readings are off what their notes are expected to play."""
    run("calibrate", flute, *LONG, "--bare", "A4 +30", "--in-place")
    found = run("calibrate", flute, "--row", "1=+24", "--row", "4=+60", "-o", "new.toml", "--json").object
    told = run("calibrate", flute, "--row", "1=+24", "--row", "4=+60", "--in-place").out
    shown = run("predict", flute).out
    table = shown[shown.index("   note  ") : shown.index("±: in cents")]
    assert table in told
    plays = {row["row"]: row["frequency_hz"] for row in run("predict", flute, "--json").object["rows"]}
    for reading in found["readings"][1:]:
        row = int(reading["reading"].removeprefix("row "))
        off = 1200 * math.log2(reading["frequency_hz"] / plays[row])
        assert reading["after_cents"] == pytest.approx(off, abs=0.01)
        line = next(line for line in told.splitlines() if line.startswith(f"row {row} "))
        assert int(re.findall(r"[+-]?\d+", line)[-1]) == round(off)


def test_what_is_only_looked_at_is_not_built_on(run: Run, flute: Path) -> None:
    out = run("calibrate", flute, *LONG, "--bare", "A4 +30").out
    assert out.endswith("\nNot written; to keep it, add --in-place.\n")


def test_a_sharper_reading_means_a_shorter_mouth(run: Run, flute: Path) -> None:
    added = [
        run("calibrate", flute, *LONG, "--bare", reading, "--json").object["added_length_m"]
        for reading in ("A4 +0", "A4 +20", "A4 +40")
    ]
    assert added == sorted(added, reverse=True)


def test_fahrenheit_and_another_length(run: Run, flute: Path) -> None:
    warm = run("calibrate", flute, *LONG, "--bare", "A4 +30", "--temperature", "86 °F", "--json").object
    cool = run("calibrate", flute, *LONG, "--bare", "A4 +30", "--temperature", "15 °C", "--json").object
    assert warm["added_length_m"] > cool["added_length_m"]
    long = run("calibrate", flute, "--bare", "A4 +30", "--length", "370 mm", "--json").object
    assert long["added_length_m"] < warm["added_length_m"]


def test_bare_tube_and_its_overblown_note(run: Run, flute: Path) -> None:
    """Readings beside the model, what was learnt, what to blow next: at 80 columns."""
    first = run("calibrate", flute, *LONG, "--bare", "A4 +30", "--in-place").out
    assert "Blow next: the bare tube overblown, about A5 " in first
    both = run("calibrate", flute, *LONG, "--bare", "A5 +40", "--in-place").out
    for out in (first, both):
        assert all(len(line) <= 80 for line in out.splitlines() if str(flute) not in line)
    lines = both.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("reading "))
    assert lines[start].split("  ")[-1].strip() == "off now"
    assert lines[start + 1].startswith("the bare tube  ")
    assert "A4 +30" in lines[start + 1]
    assert lines[start + 2].startswith("the bare tube, register 2  ")
    assert any(line.startswith("the mouth adds") and line.count("±") == 2 for line in lines)
    once = run("calibrate", flute, *LONG, "--bare", "A4 +30", "--bare", "A5 +40", "-o", "both.toml").out
    assert "the bare tube, register 2" in once


def test_the_same_in_json(run: Run, flute: Path) -> None:
    found = run("calibrate", flute, *LONG, "--bare", "A4 +30", "--bare", "A5 +40", "--json").object
    first, second = found["readings"]
    assert (first["reading"], first["said"], first["odd"]) == ("the bare tube", "A4 +30", False)
    assert second["reading"] == "the bare tube, register 2"
    assert abs(first["after_cents"]) < abs(first["before_cents"])
    assert set(found["learnt"]) == {"added_length", "drift", "bore", "wall", "warmth"}
    mouth = found["learnt"]["added_length"]
    assert mouth["value_m"] == pytest.approx(found["added_length_m"], abs=1e-6)
    assert mouth["uncertainty_m"] < mouth["uncertainty_before_m"] / 4
    assert found["learnt"]["warmth"]["uncertainty_before_k"] == 1.0
    best = found["next"][0]
    assert best["row"] is None
    assert best["mean_uncertainty_after_cents"] <= best["mean_uncertainty_cents"]


def test_a_contradicted_reading_is_marked(run: Run, flute: Path) -> None:
    result = run("calibrate", flute, *LONG, "--bare", "A4 +30", "--bare", "A4 +60")
    assert result.out.count("contradicted") == 2
    assert "do not go together" in result.out


def test_readings_of_the_file_alone(run: Run, flute: Path) -> None:
    """Nothing new is typed: the file's own readings are fitted again, and the file stays as it is."""
    run("calibrate", flute, *LONG, "--bare", "A4 +30", "--row", "2=C5 +8", "--in-place")
    before = flute.read_bytes()
    again = run("calibrate", flute, "--in-place")
    assert again.code == 0
    assert "row 2" in again.out
    assert flute.read_bytes() == before


def test_the_last_reading_taken_back_leaves_the_file_as_it_was_but_for_the_log(run: Run, flute: Path) -> None:
    before = scaledesign.load(flute)
    run("calibrate", flute, "--row", "2=C5 +8", "--in-place")
    assert "[learned]" in flute.read_text(encoding="utf-8")
    result = run("calibrate", flute, "--row", "2=", "--in-place")
    assert result.code == 0
    assert "as it was before the first" in result.out
    after = scaledesign.load(flute)
    assert (after.voicing, after.learned, after.rows) == (before.voicing, before.learned, before.rows)
    assert "[learned]" not in flute.read_text(encoding="utf-8")


def test_a_bare_tube_of_which_nobody_knows_the_length_is_not_taken_as_planned(run: Run, flute: Path) -> None:
    """A maker saws it longer than planned, as told: what is typed without a length would spoil every hole."""
    before = flute.read_bytes()
    result = run("calibrate", flute, "--bare", "G#4 +10", "--in-place")
    assert (result.code, result.out) == (2, "")
    assert "nobody knows yet how long this tube was" in result.err
    design = scaledesign.load(flute)
    told = f'--length "{format_length(told_length(design, "mm"), "mm")}"'
    assert told in result.err
    assert told.replace(" mm", "").replace('"', "") in " ".join(run("predict", flute).out.split())
    assert len(result.err.splitlines()) == 1
    assert flute.read_bytes() == before


def test_the_length_need_not_be_said_where_it_is_known(run: Run, flute: Path) -> None:
    """By the log, as the tube was last; by the file, once the tube is cut to what stands there."""
    run("calibrate", flute, "--bare", "G#4 +10", "--length", "385 mm", "--in-place")
    run("calibrate", flute, "--bare", "G#5 +20", "--in-place")
    assert [entry.length for entry in scaledesign.load(flute).log] == [0.385, 0.385]
    text = flute.read_text(encoding="utf-8").partition("[[log]]")[0]
    cut = flute.parent / "cut.toml"
    design = scaledesign.loads(text)
    scaledesign.save(replace(design, tube=replace(design.tube, locked=True)), cut)
    assert run("calibrate", cut, "--bare", "A4 +30", "--in-place").code == 0
    assert [entry.length for entry in scaledesign.load(cut).log] == [pytest.approx(0.3554)]
