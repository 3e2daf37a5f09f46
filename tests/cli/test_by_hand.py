"""hands and cord: the answer first, lines that fit, JSON in SI, designs written where asked."""

from __future__ import annotations

from pathlib import Path

import pytest

import scaledesign
from scaledesign.cli.exit_codes import CANNOT_USE, OK, USAGE
from scaledesign.workshop.reach import misfits
from tests.cli.running import Run
from tests.workshop.hand_flutes import flute

HERS = ("--spread", "33,31,33", "--gap", "80", "--pad", "16")
"""One pair of the small flute is too far for it, 33.8 mm."""


@pytest.fixture
def four(tmp_path: Path) -> Path:
    """A flute of four holes, in tune."""
    path = tmp_path / "four.toml"
    scaledesign.save(flute(), path)
    return path


def test_hands_without_a_flute_lists_the_named_ones(run: Run) -> None:
    result = run("hands")
    assert result.code == OK
    assert [line.split()[0] for line in result.out.splitlines()[1:4]] == ["small", "medium", "large"]
    assert run("hands", "--json").object["hands"][1]["spread_m"] == [0.038, 0.034, 0.038]


def test_hands_says_first_what_does_not_fit(run: Run, four: Path) -> None:
    result = run("hands", four, *HERS)
    assert result.code == OK
    lines = result.out.splitlines()
    assert lines[2] == "Hole 3 (R2) and hole 4 (R3) are 33.8 mm apart: 2.8 mm too far for this hand."
    assert max(map(len, lines)) <= 80
    assert "Before you start" in result.out
    said = " ".join(result.out.split())
    assert "tips: nearer than" in said
    assert "around:" not in said  # no hole lies off the line: no such column
    assert "good to about 15 % of it" in said


def test_a_remedy_is_written_with_the_hand_and_fits(run: Run, four: Path, tmp_path: Path) -> None:
    out = tmp_path / "hers.toml"
    asked = ("hands", four, *HERS)
    found = run(*asked, "--json").object
    (first, *_) = found["misfits"]
    best = first["remedies"][0]
    assert best["met"]
    assert not best["breaks"]
    result = run(*asked, "--take", str(best["number"]), "-o", out)
    assert f"Written to {out}." in result.out
    design = scaledesign.load(out)
    assert design.shop.hand != "large"
    left = [(one.kind, [i + 1 for i in one.holes]) for one in misfits(design)]
    assert (first["kind"], first["holes"]) not in left
    assert [float(c) for c in scaledesign.predict(design).cents] == pytest.approx(best["cents"], abs=0.01)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--span", "62"), "add --pad"),
        (("--spread", "30,28,30"), "add --gap"),
        (("--spread", "30,28", "--gap", "60", "--pad", "14"), "three"),
        (("--gap", "60"), "add --spread or --span"),
        (("--hand", "smal"), "small"),
        (("--span", "700", "--pad", "15"), "no hand"),
        (("--take", "99"), "there is no remedy 99; nothing needs one"),
    ],
)
def test_a_hand_that_is_none_is_said_in_a_sentence(
    run: Run, four: Path, words: tuple[str, ...], said: str
) -> None:
    result = run("hands", four, *words)
    assert result.code == CANNOT_USE
    assert said in result.err
    assert len(result.err.strip().splitlines()) <= 2


def test_a_remedys_number_has_to_be_one(run: Run) -> None:
    assert run("hands", "--example", "marsh-wren", "--take", "0").code == USAGE


def test_cord_tells_each_way_and_how_to_go_about_it(run: Run) -> None:
    result = run("cord", "--example", "marsh-wren", "--with", "bore")
    assert result.code == OK
    assert max(map(len, result.out.splitlines())) <= 80
    assert "1  Cut a stick just as long as the bore is wide at the foot" in result.out
    assert "All together: A4 0, C5 " in result.out


def test_cord_writes_places_that_are_locked(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "by-eye.toml"
    asked = ("cord", "--example", "marsh-wren", "--with", "fingers", "--finger", "18 mm")
    (one,) = run(*asked, "--json").object["ways"]
    assert one["measure_m"] == pytest.approx(0.018)
    run(*asked, "-o", out)
    design = scaledesign.load(out)
    assert design.tube.locked
    assert [hole.at for hole in design.holes] == pytest.approx([each["at_m"] for each in one["holes"]])
    assert [float(c) for c in scaledesign.predict(design).cents] == pytest.approx(
        one["chosen_cents"], abs=0.01
    )


def test_cord_judges_rules_of_thumb_and_writes_one(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "even.toml"
    asked = ("cord", "--example", "marsh-wren", "--with", "rules")
    result = run(*asked)
    assert "common practice, no source" in " ".join(result.out.split())
    assert "Not in tune: worst note" in " ".join(result.out.split())
    rules = {one["rule"]: one for one in run(*asked, "--json").object["rules"]}
    assert len(rules) == 5
    run(*asked, "--rule", "evenly spaced", "-o", out)
    written = [hole.at for hole in scaledesign.load(out).holes]
    assert written == pytest.approx(rules["evenly spaced"]["at_m"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "x.toml"), "--with cord, fingers, bore or rules"),
        (("--with", "rules", "-o", "x.toml"), "say which"),
        (("--with", "rules", "--rule", "evenly", "-o", "x.toml"), "evenly spaced"),
        (("--rule", "evenly spaced"), "--with rules"),
        (("--finger", "wide"), "wide"),
    ],
)
def test_what_cord_cannot_do_is_said(
    run: Run, words: tuple[str, ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = run("cord", "--example", "marsh-wren", *words)
    assert result.code == CANNOT_USE
    assert said in result.err
    assert not (tmp_path / "x.toml").exists()
