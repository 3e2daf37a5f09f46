"""scales: the list by kind, what narrows it, one scale in full on any tonic, and the rule of equal steps."""

from __future__ import annotations

from pathlib import Path

import pytest

from scaledesign.cli.exit_codes import CANNOT_USE
from scaledesign.extend.catalogue import KINDS
from scaledesign.extend.registry import catalogue
from scaledesign.paper.text import WIDTH
from tests.cli.running import Run


def test_the_list_is_by_kind(run: Run) -> None:
    lines = run("scales").out.splitlines()
    headings = [line for line in lines if line and not line.startswith(" ")][: len(KINDS)]
    assert headings == [kind[0].upper() + kind[1:] for kind in KINDS]
    assert max(map(len, lines)) <= WIDTH
    assert sum(line.startswith("  N equal") for line in lines) == 1
    assert "for every N from 5 to 72" in " ".join(" ".join(lines).split())


def test_only_so_many_notes(run: Run) -> None:
    found = run("scales", "--notes", "5", "--json").object["scales"]
    assert len(found) >= 15
    assert all(len(scale["cents"]) == 5 for scale in found)
    text = run("scales", "--notes", "5").out
    assert "pentatonic minor" in text
    assert "dorian  " not in text
    assert "N equal" in text
    assert "N equal" not in run("scales", "--notes", "73").out


def test_only_what_a_word_is_said_of(run: Run) -> None:
    names = [scale["name"] for scale in run("scales", "--search", "Thrasher", "--json").object["scales"]]
    assert names == [f"dizi 1978 {number}" for number in range(1, 6)]
    text = run("scales", "--search", "GONG").out
    assert "pentatonic major" in text
    assert "N equal" not in text
    both = run("scales", "--search", "chinese", "--notes", "5").out
    assert "pythagorean pentatonic major" in both
    assert "dizi" not in both
    assert "There is no scale with 'qqq' in what is said of it" in run("scales", "--search", "qqq").out


def test_json_lists_every_scale_with_its_kind(run: Run) -> None:
    found = run("scales", "--json").object
    keys = {"name", "also", "kind", "cents", "period_cents", "words", "source"}
    assert [set(scale) for scale in found["scales"]] == [keys] * len(catalogue().scales())
    assert all(scale["source"] and scale["words"] and scale["kind"] for scale in found["scales"])
    (rule,) = found["by_rule"]
    assert (rule["name"], rule["least"], rule["most"]) == ("N equal", 5, 72)


def test_one_scale_in_full(run: Run) -> None:
    """Quarter-comma meantone on C4 as in temperaments.csv: E4 386.3137 cents, 327.0320 Hz; 5/4."""
    result = run("scales", "quarter-comma", "meantone", "--tonic", "C4")
    assert result.code == 0
    rows = [line.split() for line in result.out.splitlines()]
    assert ["5", "E4", "386.3", "76.0", "5/4", "327.03", "E4", "-14"] in rows
    assert ["2", "Db4", "76.0", "76.0", "273.37", "Db4", "-24"] in rows
    assert ["13", "C5", "1200.0", "117.1", "2", "523.25", "C5", "+0"] in rows
    assert "Source: P. Aaron, Toscanello in musica, 1523" in result.out
    assert max(map(len, result.out.splitlines())) <= WIDTH


def test_ratios_as_the_file_gave_them(run: Run) -> None:
    (scale,) = run("scales", "pythagorean chromatic", "--json").object["scales"]
    ratios = [degree["ratio"] for degree in scale["degrees"]]
    assert ratios[:7] == ["1", "2187/2048", "9/8", "32/27", "81/64", "4/3", "729/512"]
    assert ratios[-1] == "2"
    (scale,) = run("scales", "dorian", "--json").object["scales"]
    assert [degree["ratio"] for degree in scale["degrees"]] == ["1", *[None] * 6, "2"]


def test_another_reference(run: Run) -> None:
    (scale,) = run("scales", "19 equal", "--reference", "442", "--json").object["scales"]
    assert (scale["tonic"], scale["reference_hz"], scale["kind"]) == ("A4", 442.0, "equal steps")
    assert [degree["number"] for degree in scale["degrees"]] == list(range(1, 21))
    assert scale["degrees"][5]["frequency_hz"] == pytest.approx(442 * 2 ** (5 / 19))
    assert scale["degrees"][-1]["frequency_hz"] == pytest.approx(884)


def test_a_scale_of_too_many_notes_to_write(run: Run) -> None:
    result = run("scales", "31 equal", "--tonic", "D5")
    assert "too many to have a written note each" in result.out
    assert " 2    38.7  38.7" in result.out
    (scale,) = run("scales", "31 equal", "--json").object["scales"]
    assert {degree["note"] for degree in scale["degrees"]} == {None}
    assert len(scale["degrees"]) == 32


def test_scales_of_every_kind_can_be_shown(run: Run) -> None:
    for found in {scale.kind: scale for scale in catalogue().scales()}.values():
        text = run("scales", found.name, "--tonic", "D4")
        assert text.code == 0
        assert max(map(len, text.out.splitlines())) <= WIDTH, found.name


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("dorain",), "did you mean 'dorian'"),
        (("4", "equal"), "did you mean '5 equal'"),
        (("dorian", "--tonic", "H4"), "not a note"),
        (("dorian", "--reference", "0"), "cannot be heard"),
        (("dorian", "--reference", "nan"), "cannot be heard"),
        (("dorian", "--tonic", "C0"), "cannot be heard"),
    ],
)
def test_what_cannot_be_shown_is_said_in_a_sentence(run: Run, words: tuple[str, ...], said: str) -> None:
    result = run("scales", *words)
    assert (result.code, result.out) == (CANNOT_USE, "")
    assert said in result.err


def test_a_scale_of_your_own_is_listed_last(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mine.toml").write_text('[scale]\nname = "marsh"\ndegrees = ["1", "5/4", "3/2"]\n')
    monkeypatch.setenv("SCALEDESIGN_PLUGINS", str(tmp_path))
    text = run("scales").out
    assert "Others\n  marsh                       3" in text
    assert "none given" in run("scales", "marsh").out


def test_other_names_are_said_to_be_that(run: Run) -> None:
    assert run("tuning", "pentatonic minor").out.startswith("pentatonic minor, also yu, ")
