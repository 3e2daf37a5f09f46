"""calibrate: a reading in, a smaller ± out."""

from __future__ import annotations

from pathlib import Path

import scaledesign
from tests.cli.running import Run


def test_the_bare_tube(run: Run, flute: Path) -> None:
    before = run("predict", flute, "--json").object
    result = run("calibrate", flute, "--bare", "A4 +30", "--in-place")
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
    result = run("calibrate", flute, "--bare", "F7 +0", "--in-place")
    assert result.code == 3
    assert "- Nothing learnt" in result.out
    assert "ritten" not in result.out
    assert flute.read_bytes() == before


def test_rows(run: Run, flute: Path) -> None:
    result = run("calibrate", flute, "--row", "1=A4 +20", "--row", "2=C5 +5", "-o", "new.toml", "--json")
    found = result.object
    assert found["after"]["rows"][0]["uncertainty_cents"] < found["before"]["rows"][0]["uncertainty_cents"]
    rows = scaledesign.load(flute.parent / "new.toml").rows
    assert [row.measured for row in rows] == ["A4 +20", "C5 +5", "", "", "", ""]
    assert not scaledesign.load(flute).voicing.calibrated


def test_holes_that_are_drilled_are_to_be_locked_first(run: Run, flute: Path) -> None:
    out = run("calibrate", flute, "--row", "1=A4 +20", "--in-place").out
    assert "locked = true" in out
    assert out.endswith(f"\n    scaledesign solve {flute} --in-place\n")


def test_what_is_only_looked_at_is_not_built_on(run: Run, flute: Path) -> None:
    out = run("calibrate", flute, "--bare", "A4 +30").out
    assert out.endswith("\nNot written; to keep it, add --in-place.\n")


def test_a_sharper_reading_means_a_shorter_mouth(run: Run, flute: Path) -> None:
    added = [
        run("calibrate", flute, "--bare", reading, "--json").object["added_length_m"]
        for reading in ("A4 +0", "A4 +20", "A4 +40")
    ]
    assert added == sorted(added, reverse=True)


def test_fahrenheit_and_another_length(run: Run, flute: Path) -> None:
    warm = run("calibrate", flute, "--bare", "A4 +30", "--temperature", "86 °F", "--json").object
    cool = run("calibrate", flute, "--bare", "A4 +30", "--temperature", "15 °C", "--json").object
    assert warm["added_length_m"] > cool["added_length_m"]
    long = run("calibrate", flute, "--bare", "A4 +30", "--length", "370 mm", "--json").object
    assert long["added_length_m"] < warm["added_length_m"]
