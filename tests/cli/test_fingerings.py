"""fingerings: what is asked for is found, readable in a terminal, whole as JSON, and written when asked."""

from __future__ import annotations

from pathlib import Path

import pytest

import scaledesign
from scaledesign.paper.text import WIDTH
from tests.cli.running import Run

QUICK = ("--no-halves", "--register", "1")


def test_the_best_of_one_note(run: Run) -> None:
    result = run("fingerings", "--example", "reed-bunting", "--note", "F5", *QUICK)
    assert (result.code, result.err) == (0, "")
    title, key, table, legend = result.out.split("\n\n")
    assert title.startswith("Reed bunting")
    assert "● closed   ○ open" in key
    assert "partly" not in key
    header, *lines = table.splitlines()
    assert len(lines) == 3
    assert lines[0].split()[:3] == ["F5", "○●●", "○○○"]
    assert lines[1].startswith(" ")
    assert header.split() == ["note", "fingering", "off", "cost"]
    assert lines[0].endswith("fork")
    assert "what weighs most, from 5 cents on. fork: " in " ".join(legend.split())
    assert "common practice" in legend.replace("\n", " ")


def test_the_parts_of_a_cost_where_they_are_asked_for(run: Run) -> None:
    result = run("fingerings", "--example", "reed-bunting", "--note", "F5", *QUICK, "--parts")
    _, _, table, legend = result.out.split("\n\n")
    parts = table.splitlines()[0].split()[4:]
    assert "fork" in parts
    for column in parts:
        assert f"{column}:" in legend


def test_costs_add_up_in_json(run: Run) -> None:
    found = run(
        "fingerings", "--example", "reed-bunting", "--note", "F5", "--best", "5", *QUICK, "--json"
    ).object
    (note,) = found["notes"]
    assert note["note"] == "F5"
    assert note["frequency_hz"] == pytest.approx(698.456, abs=0.01)
    assert len(note["fingerings"]) == 5
    costs = [each["cost_cents"] for each in note["fingerings"]]
    assert costs == sorted(costs)
    for each in note["fingerings"]:
        assert each["cost_cents"] == pytest.approx(sum(each["costs_cents"].values()))
        assert each["register"] == 1
        assert "H" not in each["fingering"]
    assert note["fingerings"][0]["fingering"] == "OXX OOO"


def test_partly_open_holes_and_their_share(run: Run) -> None:
    words = ("fingerings", "--example", "reed-bunting", "--register", "1", "--note", "Ab4")
    half = run(*words)
    assert "Ab4: no fingering within 50 cents" in half.out
    assert "--open-share" in half.out
    less = run(*words, "--open-share", "0.06", "--ascii").out
    assert "XXX XX/" in less
    assert "/ partly open" in less
    assert run(*words, "--open-share", "0.06", "--json").object["open_share"] == 0.06


def test_the_notes_of_the_rows_where_nothing_is_said(run: Run, flute: Path) -> None:
    found = run("fingerings", flute, *QUICK, "--json").object
    assert [note["note"] for note in found["notes"]] == ["A4", "C5", "D5", "E5", "G5", "A5"]


def test_a_scale_on_another_tonic_over_two_registers(run: Run, flute: Path) -> None:
    found = run("fingerings", flute, "--scale", "major", "--tonic", "C5", "--no-halves", "--json").object
    names = [note["note"] for note in found["notes"]]
    assert len(names) == 15
    assert set(names[:7]) == {name[:1] + octave for name, octave in zip("ABCDEFG", "4455555", strict=True)}
    assert found["notes"][14]["frequency_hz"] == pytest.approx(4 * found["notes"][0]["frequency_hz"])


def test_a_chart_of_all_semitones_goes_into_the_design(run: Run, flute: Path) -> None:
    before = scaledesign.load(flute)
    result = run("fingerings", flute.name, "--chromatic", "--chart", "--no-halves", "--in-place")
    assert (result.code, result.err) == (0, "")
    assert max(map(len, result.out.splitlines())) <= WIDTH
    assert "fingers move." in result.out
    assert "The chart costs" not in result.out
    after = scaledesign.load(flute)
    more = [row for row in after.rows if row not in before.rows]
    assert [row for row in after.rows if row in before.rows] == list(before.rows)
    assert f"{len(more)} more rows" in result.out
    assert len(more) > 10
    for row in more:
        assert (row.role, row.weight) in {("alternate", 0.005), ("chromatic", 0.01)}
        assert row.role == "alternate" or row.register == 1
    prediction = scaledesign.predict(after)
    for row, off in zip(after.rows, prediction.cents, strict=True):
        assert abs(off) <= 51 or row in before.rows
    assert list(prediction.target) == sorted(prediction.target)
    again = run("fingerings", flute.name, "--chromatic", "--chart", "--no-halves", "--in-place")
    assert "0 more rows" in again.out
    parts = run("fingerings", flute.name, "--chart", *QUICK, "--parts")
    assert "fingers move. The chart costs" in " ".join(parts.out.split())
    assert scaledesign.load(flute) == after


def test_trills_between_notes(run: Run) -> None:
    words = (
        "fingerings",
        "--example",
        "reed-bunting",
        "--note",
        "B4",
        "--note",
        "C5",
        "--note",
        "D5",
        "--trills",
    )
    text = run(*words, "--best", "1", *QUICK).out
    lines = text.split("\n\n")[2].splitlines()
    assert [line.split()[:2] for line in lines[1:]] == [["B4", "C5"], ["C5", "D5"]]
    (first, second) = run(*words, *QUICK, "--json").object["pairs"]
    assert first["trills"][0]["fingers"] == ["R1"]
    assert second["trills"][0]["low"]["fingering"] == "XXX OOO"
    assert second["trills"][0]["high"]["fingering"] == "XXO OOO"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--note", "H5"), "'H5'"),
        (("--note", "A4", "--trills"), "a trill needs two notes"),
        (("--register", "3"), "third register"),
        (("--scale", "no such scale"), "no such scale"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(
    run: Run, flute: Path, words: tuple[str, ...], said: str
) -> None:
    result = run("fingerings", flute, *words)
    assert result.code == 3
    assert said in result.err
    assert result.err.count("\n") == 1


@pytest.mark.parametrize(
    "words",
    [
        ("--best", "0"),
        ("--open-share", "1"),
        ("--open-share", "half"),
        ("--chart", "--trills"),
        ("--register", "4"),
    ],
)
def test_what_is_no_argument_is_said_too(run: Run, flute: Path, words: tuple[str, ...]) -> None:
    result = run("fingerings", flute, *words)
    assert result.code == 2
    assert "scaledesign fingerings" in result.err


def test_a_design_without_rows_is_asked_which_notes(run: Run, tmp_path: Path) -> None:
    tube = tmp_path / "tube.toml"
    tube.write_text('instrument = { mouth = "notch" }\ntube = { length = 400, bore = 16, wall = 3 }\n')
    assert "--chromatic" in run("fingerings", tube).err
    found = run("fingerings", tube, "--note", "698 Hz", "--register", "3", "--json").object
    assert found["notes"][0]["note"] == "698 Hz"


def test_an_example_is_not_written_to(run: Run) -> None:
    result = run("fingerings", "--example", "reed-bunting", "--note", "F5", *QUICK, "--in-place")
    assert result.code == 3
    assert "example" in result.err


def test_a_note_beyond_the_flute_is_not_a_matter_of_half_holes(run: Run, flute: Path) -> None:
    result = run("fingerings", flute, "--note", "A0")
    assert "A0: no fingering" in result.out
    assert "--open-share" not in result.out
