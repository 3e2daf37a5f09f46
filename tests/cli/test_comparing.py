"""suits, share and compare: the answer first, lines that fit a terminal, JSON, files written when asked."""

from __future__ import annotations

from pathlib import Path

import pytest

import scaledesign
from scaledesign.cli.exit_codes import CANNOT_USE, OK, USAGE
from scaledesign.paper.text import WIDTH
from tests.cli.running import Run


def fits(text: str) -> bool:
    return max(map(len, text.splitlines())) <= WIDTH


def test_suits_shows_the_best_dozen_and_says_how_to_see_all(run: Run) -> None:
    words = ("suits", "--example", "marsh-wren", "--no-halves")
    result = run(*words)
    assert (result.code, result.err) == (OK, "")
    assert fits(result.out)
    _, answer, best, more, *_ = result.out.split("\n\n")
    assert answer.startswith("Its own pentatonic minor on A4 is clean: ")
    header, first, *others = best.splitlines()
    assert header.split()[:2] == ["scale", "on"]
    assert first.split()[:5] == ["pentatonic", "minor", "A4", "clean", "0"]
    assert len(others) == 11
    can = {one["scale"] for one in run(*words, "--json").object["suits"] if one["verdict"] != "not"}
    said = " ".join(more.split())
    again = "scaledesign suits --example marsh-wren --no-halves --all"
    assert said == f"{len(can) - 12} more scales can be played: {again}"


def test_suits_on_one_tonic_is_as_short(run: Run) -> None:
    words = ("suits", "--example", "marsh-wren", "--no-halves", "--within", "100", "--tonic", "A")
    result = run(*words)
    assert len(result.out.split("\n\n")[2].splitlines()) == 1 + 12
    assert "--tonic A --within 100 --no-halves --all" in " ".join(result.out.split())
    assert len(run(*words, "--all").out.split("\n\n")[2].splitlines()) > 100


def test_suits_shows_every_scale_on_every_tonic(run: Run) -> None:
    result = run("suits", "--example", "marsh-wren", "--no-halves", "--all")
    assert (result.code, result.err) == (OK, "")
    assert fits(result.out)
    overview = result.out.split("\n\n")[2]
    lines = [line for line in overview.splitlines() if line.startswith("pentatonic minor ")]
    header = overview.splitlines()[0].split()
    assert lines[0].split()[2:][header.index("A4")] == "+"
    assert "H" not in lines[0].split()


def test_suits_of_some_scales_ranks_them(run: Run) -> None:
    words = (
        "suits",
        "--example",
        "marsh-wren",
        "--no-halves",
        "--scale",
        "pentatonic minor",
        "--scale",
        "Dorian",
    )
    result = run(*words)
    assert fits(result.out)
    table = result.out.split("\n\n")[2].splitlines()
    assert len(table) == 1 + 2 * 12
    assert table[1].split()[:4] == ["pentatonic", "minor", "A4", "clean"]
    found = run(*words, "--json").object
    assert len(found["suits"]) == 24
    assert found["suits"][0]["worst_cents"] == pytest.approx(0, abs=1)
    assert {one["verdict"] for one in found["suits"]} <= {"clean", "with care", "not"}


def test_suits_of_one_scale_on_one_tonic_gives_its_fingerings(run: Run, flute: Path) -> None:
    words = ("suits", flute, "--no-halves", "--scale", "pentatonic minor", "--tonic", "A")
    result = run(*words)
    assert fits(result.out)
    assert "pentatonic minor on A4 cannot be played in tune: " in " ".join(result.out.split())
    assert "XXX XXX" in result.out
    (one,) = run(*words, "--json").object["suits"]
    judged = [note for note in one["fingerings"] if note["judged"]]
    assert len(judged) == one["notes"] == 6
    assert max(abs(note["cents"]) for note in judged) == pytest.approx(abs(one["worst_cents"]))


def test_suits_tells_only_the_worst_of_many_notes_that_cannot_be_played(run: Run) -> None:
    words = ("suits", "--example", "marsh-wren", "--no-halves", "--scale", "31 equal", "--tonic", "A")
    result = run(*words)
    assert "31 equal on A4 cannot be played" in result.out
    assert len(result.out.splitlines()) < 30
    assert "beyond" not in result.out.split("\n\n")[2]
    assert len(run(*words, "--all").out.splitlines()) > 60


def test_a_tonic_that_the_flute_does_not_have_is_refused_alike(run: Run) -> None:
    suits = run("suits", "--example", "marsh-wren", "--scale", "dorian", "--tonic", "A1")
    share = run("share", "--example", "marsh-wren", "--scale", "dorian on A1")
    assert (suits.code, share.code) == (CANNOT_USE, CANNOT_USE)
    assert suits.err == share.err == "A1 is none of the flute's notes; take one from A4 to A6.\n"


@pytest.mark.parametrize(
    "words",
    [("--scale", "dorion"), ("--tonic", "D2"), ("--tonic", "H"), ("--within", "1"), ("--within", "nan")],
)
def test_suits_says_what_it_cannot_use(run: Run, flute: Path, words: tuple[str, ...]) -> None:
    result = run("suits", flute, "--no-halves", *words)
    assert result.code == CANNOT_USE
    assert result.err.count("\n") == 1


def test_share_prints_each_scale_and_writes_the_compromise(run: Run, tmp_path: Path) -> None:
    words = ("share", "--example", "marsh-wren", "--scale", "just pentatonic minor x 0.5", "-o", "both.toml")
    result = run(*words)
    assert result.err == ""
    assert fits(result.out)
    assert "its own pentatonic minor on A4" in result.out
    assert "Written to both.toml." in result.out
    assert "315.641 c, C5  " in result.out
    written = scaledesign.load(tmp_path / "both.toml")
    assert written.tuning.scale == "pentatonic minor"
    assert next(row.note for row in written.rows if row.note.endswith(" c")) == "315.641 c"
    assert run(*words).code == CANNOT_USE  # it is there already
    found = run("share", "--example", "marsh-wren", "--scale", "just pentatonic minor x 0.5", "--json").object
    own, just = found["scales"]
    assert own["weight"] == 1.0
    assert abs(own["rms_cents"]) < abs(just["rms_cents"]) < abs(just["rms_before_cents"])


def test_a_misspelt_scale_is_one_short_sentence(run: Run, flute: Path) -> None:
    result = run("suits", flute, "--scale", "zzz")
    assert result.code == CANNOT_USE
    assert "more: scaledesign scales lists them" in result.err
    assert len(result.err) < 200


def test_share_needs_a_scale(run: Run, flute: Path) -> None:
    assert run("share", flute).code == USAGE
    assert run("share", flute, "--scale", "dorian x lots").code == CANNOT_USE


@pytest.mark.parametrize("weight", ["nan", "inf", "-1", "1e9"])
def test_share_refuses_what_is_no_weight(run: Run, flute: Path, weight: str) -> None:
    result = run("share", flute, "--scale", "dorian", "--own", weight)
    assert (result.code, result.out) == (CANNOT_USE, "")
    assert "is no weight" in result.err


@pytest.fixture
def two(run: Run, tmp_path: Path) -> tuple[Path, Path]:
    """A solved flute, and the same with its third hole elsewhere."""
    one, other = tmp_path / "one.toml", tmp_path / "other.toml"
    run("solve", "--example", "marsh-wren", "-o", one)
    text = one.read_text(encoding="utf-8")
    other.write_text(text.replace("= 183.9", "= 186.0"), encoding="utf-8")
    return one, other


def test_compare_says_what_differs_first(run: Run, two: tuple[Path, Path]) -> None:
    result = run("compare", "one.toml", "other.toml", "one.toml")
    assert (result.code, result.err) == (OK, "")
    assert fits(result.out)
    said = result.out.split("\n\n")[1].splitlines()
    assert said == [
        "1  one.toml",
        "2  other.toml: hole 3 moves 2.1 mm toward the foot.",
        "3  one.toml: no difference.",
    ]
    one, other, again = run("compare", "one.toml", "other.toml", "one.toml", "--json").object["compared"]
    assert other["differences"] == ["hole 3 moves 2.1 mm toward the foot"]
    assert {**again, "differences": []} == one
    assert one["octave_off_note"] == "E5"
    assert f" {one['octave_off_cents']:+.0f}  E5 " in result.out
    assert "spare: millimetres" in " ".join(result.out.split())


def test_compare_adopts_one_and_keeps_the_log(run: Run, two: tuple[Path, Path]) -> None:
    one, other = two
    before = one.read_text(encoding="utf-8")
    assert run("compare", one, other, "--adopt", "2", "-o", one).code == CANNOT_USE
    assert one.read_text(encoding="utf-8") == before
    result = run("compare", one, other, "--adopt", "2", "-o", one, "--force")
    assert result.code == OK
    assert "it tells of the wood" in result.out
    written = scaledesign.load(one)
    assert written.holes == scaledesign.load(other).holes
    assert [entry.note for entry in written.log] == ["Adopted other.toml in place of one.toml."]


def test_compare_of_one_file_has_nothing_to_adopt(run: Run, two: tuple[Path, Path]) -> None:
    result = run("compare", "one.toml", "--adopt", "9", "-o", "three.toml")
    assert result.code == CANNOT_USE
    assert "nothing but the one FILE to adopt" in result.err


def test_compare_solves_one_flute_for_several_tunings(
    run: Run, two: tuple[Path, Path], tmp_path: Path
) -> None:
    words = ("compare", "one.toml", "--tuning", "just pentatonic minor", "--tuning", "major")
    result = run(*words, "--adopt", "2", "-o", "just.toml")
    assert (result.code, result.err) == (OK, "")
    assert fits(result.out)
    assert "2  just pentatonic minor on A4: hole 1 moves" in result.out
    assert "3  major on A4: not tried." in result.out
    assert scaledesign.load(tmp_path / "just.toml").tuning.scale == "just pentatonic minor"
    assert run(*words, "--adopt", "3", "-o", "major.toml").code == CANNOT_USE
    assert not (tmp_path / "major.toml").exists()


@pytest.mark.parametrize(
    "words",
    [
        ("one.toml", "other.toml", "--tuning", "major"),
        ("one.toml", "other.toml", "--adopt", "2"),
        ("one.toml", "other.toml", "-o", "three.toml"),
        ("one.toml", "other.toml", "--adopt", "3", "-o", "three.toml"),
        ("one.toml", "nowhere.toml"),
    ],
)
def test_compare_says_what_it_cannot_use(run: Run, two: tuple[Path, Path], words: tuple[str, ...]) -> None:
    result = run("compare", *words)
    assert result.code == CANNOT_USE
    assert result.err.count("\n") == 1
    assert not Path("three.toml").exists()
