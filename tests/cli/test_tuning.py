"""tuning: made of another, in a fixed order; to scale files, MIDI instruments, your own scales, flutes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import scaledesign
from scaledesign.cli import tuning_command
from scaledesign.extend.registry import catalogue
from scaledesign.files import midi_tuning, scale_file
from scaledesign.model.document import Design
from scaledesign.model.key_table import KEYS, KeyTable
from scaledesign.model.pitch import cents_between
from scaledesign.paper.text import WIDTH
from scaledesign.workshop import ask
from tests.cli.running import Run

SHIPPED = cache(catalogue)
"""What comes with the program, looked for once where nothing else is asked."""


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Folders of the user's, empty."""
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "home"))
    ask.offers.cache_clear()  # what was found before is forgotten, and what is found here too
    yield tmp_path / "home"
    ask.offers.cache_clear()


def cents(run: Run, *words: str | Path) -> list[float]:
    result = run("tuning", *words, "--json")
    assert (result.code, result.err) == (0, "")
    return [degree["cents"] for degree in result.object["degrees"]]


def notes(design: Design) -> list[str]:
    return [row.note for row in design.rows]


def test_the_table_has_every_degree_and_fits_a_terminal(run: Run) -> None:
    result = run("tuning", "just major", "--rotate", "2", "--tonic", "D4", "--reference", "442")
    assert (result.code, result.err) == (0, "")
    assert max(map(len, result.out.splitlines())) <= WIDTH
    head, table, source = result.out.strip().split("\n\n")
    assert head.startswith(
        "just major from the 2nd\nThe notes of just major, begun on its 2nd.\n7 notes on D4"
    )
    header, *lines = table.splitlines()
    assert header.split() == ["note", "cents", "step", "ratio", "Hz", "tuner"]
    assert [line.split()[1] for line in lines] == ["D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5"]
    assert lines[1].split()[4] == "10/9"
    assert source.startswith("Source: rotated from just major, degree 2; just major: ratios")


def test_the_order_is_fixed(run: Run) -> None:
    steps = ("--add", "550 c", "--stretch", "12", "--remove", "4", "--degree", "3=400 c", "--rotate", "2")
    assert cents(run, "major", *steps) == pytest.approx([0, 202, 400, 550, 707, 909, 1010, 1212])
    mixed = cents(run, "major", "--mix", "just major", "--share", "0.25")
    assert mixed[2] == pytest.approx(400 + 0.25 * (1200 * math.log2(5 / 4) - 400))
    assert cents(run, "major", "--mix", "just major")[4] == pytest.approx((700 + 1200 * math.log2(1.5)) / 2)


def test_degrees_may_change_in_any_order(run: Run) -> None:
    steps = ("--degree", "3=500 c", "--degree", "4=550 c")
    assert cents(run, "major", *steps)[2:4] == [500, 550]
    past = run("tuning", "major", "--degree", "3=550 c", "--remove", "4", "--json").object
    assert [degree["cents"] for degree in past["degrees"]] == [0, 200, 550, 700, 900, 1100, 1200]


@pytest.mark.parametrize(
    ("size", "expected"), [("6/5", 315.641), ("316.5 c", 316.5), ("523.3 Hz", 300.162), ("C5 +16", 316.0)]
)
def test_a_degree_in_whatever_is_known_of_it(run: Run, size: str, expected: float) -> None:
    assert cents(run, "pentatonic minor", "--degree", f"2={size}")[1] == pytest.approx(expected, abs=1e-3)


def test_a_scale_file_keeps_ratios_and_is_found_again(run: Run) -> None:
    steps = ("--degree", "7=7/4", "--add", "600 c", "--name", "Seventh major", "--words", "Ours.")
    result = run("tuning", "just major", *steps, "-o", "own.toml")
    assert "Written to own.toml." in result.out
    text = Path("own.toml").read_text(encoding="utf-8")
    assert '"5/4"' in text
    assert '"7/4"' in text
    assert '"600 c"' in text
    scale = scale_file.load(Path("own.toml"))
    assert (scale.name, scale.words) == ("Seventh major", "Ours.")
    assert cents(run, "own.toml", "--rotate", "1") == [*scale.cents, scale.period]
    rotated = run("tuning", "own.toml", "--rotate", "3", "-o", "third.toml")
    assert rotated.code == 0
    assert '"6/5"' in Path("third.toml").read_text(encoding="utf-8")


def test_nothing_is_replaced_unasked(run: Run, flute: Path) -> None:
    before = flute.read_text(encoding="utf-8")
    refused = run("tuning", "major", "-o", flute)
    assert refused.code == 3
    assert "is there already" in refused.err
    assert flute.read_text(encoding="utf-8") == before
    assert run("tuning", "major", "-o", "a.txt").err.startswith("a.txt is neither a scale file nor a MIDI")
    assert run("tuning", "major", "-o", "a.toml").code == 0
    assert run("tuning", "dorian", "-o", "a.toml", "--force").code == 0
    assert scale_file.load(Path("a.toml")).name == "dorian"


def test_a_midi_instrument_gets_the_tuning_and_gives_it_back(run: Run) -> None:
    assert run("tuning", "just major", "--tonic", "D4", "-o", "d.syx").code == 0
    assert len(Path("d.syx").read_bytes()) == 408
    back = run("tuning", "d.syx", "--tonic", "D4", "--json").object
    assert back["name"] == "just major"
    assert back["source"] == "read from d.syx, a MIDI tuning"
    sizes = [degree["cents"] for degree in back["degrees"]]
    for ratio in (9 / 8, 5 / 4, 4 / 3, 3 / 2, 5 / 3, 15 / 8, 2):
        assert min(abs(size - 1200 * math.log2(ratio)) for size in sizes) < 0.0062
    assert abs(cents_between(440.0, back["reference_hz"])) < 0.0031
    assert run("tuning", "d.syx").out.splitlines()[2].startswith("12 notes on C4")


def test_keys_can_be_changed_at_once_instead(run: Run) -> None:
    steps = ("--program", "5", "--single-note", "-o", "now.syx")
    assert run("tuning", "slendro", *steps).code == 0
    data = Path("now.syx").read_bytes()
    assert data.startswith(bytes.fromhex("F07F7F08020540"))
    (table,) = midi_tuning.load(Path("now.syx")).tables
    assert run("tuning", "slendro", "--every-key", "-o", "every.syx").code == 0
    assert len(run("tuning", "every.syx", "--tonic", "A4", "--json").object["degrees"]) == 6
    assert (table.program, None in table.semitones) == (5, False)


def test_a_file_of_several_tunings_says_which_it_took(run: Run, tmp_path: Path) -> None:
    low = KeyTable("low", tuple(map(float, range(KEYS))), 3)
    high = KeyTable("high", tuple(min(key + 0.25, 127.5) for key in range(KEYS)), 9)
    (tmp_path / "two.syx").write_bytes(midi_tuning.bulk_dump(low) + midi_tuning.bulk_dump(high))
    first = run("tuning", "two.syx")
    assert "- two.syx holds several tunings, and this is the first; --program takes" in first.out
    second = run("tuning", "two.syx", "--program", "9", "--json").object
    assert (second["name"], second["remarks"]) == ("high", [])
    assert second["reference_hz"] == pytest.approx(440 * 2 ** (0.25 / 12))
    assert run("tuning", "two.syx", "--program", "4").err == (
        "'4': there is no such tuning in two.syx; it has 3, 9.\n"
    )


def test_your_own_scales_are_found_by_name(run: Run, home: Path) -> None:
    result = run("tuning", "slendro", "--stretch", "-20", "--name", "Low reed", "--mine")
    assert (result.code, result.err) == (0, "")
    assert "From now on it is found by its name, 'Low reed'." in result.out
    assert (home / "scales" / "low-reed.toml").is_file()
    scale = catalogue().scale("low reed")
    assert (scale.kind, scale.period) == ("your own", pytest.approx(1180))
    again = run("tuning", "major", "--name", "Low reed", "--mine")
    assert "is there already" in again.err
    assert run("tuning", "major", "--name", "Low reed", "--mine", "--force").code == 0
    assert catalogue().scale("low reed").period == 1200
    taken = run("tuning", "slendro", "--name", "Major", "--mine")
    assert (taken.code, taken.err) == (
        3,
        "'major' is the name of a scale already; give yours another --name.\n",
    )


def test_a_flute_takes_a_degree_and_its_rows_follow(run: Run, flute: Path) -> None:
    steps = ("--degree", "2=5/4", "--into", flute)
    tried = run("tuning", flute, *steps)
    assert "- Row 2: C5 is C#5 now." in tried.out
    assert "is as it was; to write it, add --in-place." in " ".join(tried.out.split())
    assert notes(scaledesign.load(flute))[1] == "C5"
    done = run("tuning", flute, *steps, "--in-place")
    assert f"scaledesign solve {flute} --in-place" in done.out
    design = scaledesign.load(flute)
    assert notes(design) == ["A4", "C#5", "D5", "E5", "G5", "A5"]
    assert (design.tuning.scale, design.tuning.degrees) == ("", ("1", "5/4", "500 c", "700 c", "1000 c"))
    assert flute.read_text(encoding="utf-8").startswith("# My first one.")
    shown = run("tuning", flute)
    assert shown.out.startswith("Sedge warbler\n")


def test_a_flute_tuned_beside_the_first_leaves_it_alone(run: Run, flute: Path) -> None:
    before, other = flute.read_bytes(), flute.with_name("other.toml")
    done = run("tuning", flute, "--degree", "2=5/4", "--into", flute, "-o", other)
    assert f"scaledesign solve {other} --in-place" in done.out
    assert notes(scaledesign.load(other)) == ["A4", "C#5", "D5", "E5", "G5", "A5"]
    assert other.read_text(encoding="utf-8").startswith("# My first one.")
    assert flute.read_bytes() == before


def test_degrees_stay_as_they_were_written(run: Run, flute: Path) -> None:
    text = flute.read_text(encoding="utf-8")
    own = 'degrees = ["1", "316.0 c", "4 / 3", "702 c"]'
    flute.write_text(text.replace('scale = "pentatonic minor"', own), encoding="utf-8")
    assert run("tuning", flute, "--add", "9/5", "--into", flute, "--in-place").code == 0
    assert scaledesign.load(flute).tuning.degrees == ("1", "316.0 c", "4 / 3", "702 c", "9/5")


def test_a_degree_taken_out_or_added_moves_no_other_row(run: Run, flute: Path) -> None:
    found = run("tuning", flute, "--remove", "3", "--add", "900 c", "--into", flute, "--json").object
    assert found["into"]["rewritten"] == []
    assert found["into"]["left"] == [3]
    assert any("Row 3 has no counterpart" in said for said in found["into"]["notes"])
    assert found["written"] == []


def test_a_flute_takes_a_named_scale_and_another_tonic(run: Run, flute: Path) -> None:
    steps = ("--tonic", "D5", "--reference", "442", "--into", flute, "--in-place")
    assert run("tuning", "pentatonic major", *steps).code == 0
    design = scaledesign.load(flute)
    assert notes(design) == ["D5", "E5", "F#5", "A5", "B5", "D6"]
    assert (design.tuning.tonic, design.tuning.scale, design.tuning.reference) == (
        "D5",
        "pentatonic major",
        442.0,
    )
    moved = run("tuning", flute, "--tonic", "C5", "--degree", "2=9/8", "--into", flute, "--in-place")
    assert moved.code == 0
    assert notes(scaledesign.load(flute)) == ["C5", "D5", "E5", "G5", "A5", "C6"]


def test_a_narrow_octave_has_to_be_a_scale_of_ones_own(run: Run, flute: Path) -> None:
    steps = ("--stretch", "-8", "--into", flute, "--in-place")
    before = flute.read_text(encoding="utf-8")
    assert "keep it among your own scales with --mine" in run("tuning", flute, *steps).err
    assert flute.read_text(encoding="utf-8") == before
    assert run("tuning", flute, *steps, "--name", "narrow", "--mine").code == 0
    assert scaledesign.load(flute).tuning.scale == "narrow"
    assert run("predict", flute).code == 0


def test_json_is_one_object(run: Run, flute: Path) -> None:
    found = run("tuning", flute, "--add", "5/3", "--into", flute, "--json").object
    assert found["degrees"][4] == {
        "number": 5,
        "note": "F#5",
        "cents": pytest.approx(884.359, abs=1e-3),
        "ratio": "5/3",
        "frequency_hz": pytest.approx(440 * 5 / 3),
        "tuner": "F#5 -16",
    }
    assert found["into"]["degrees"] == ["1", "300 c", "500 c", "700 c", "5/3", "1000 c"]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("majr",), 3, "did you mean 'major'"),
        (("none.toml",), 3, "there is no such file"),
        (("none.syx",), 3, "cannot be read"),
        (("major", "--rotate", "8"), 3, "'8': there is no such degree in major; it has degrees 1 to 7"),
        (("major", "--rotate", "0"), 3, "there is no such degree"),
        (("major", "--mix", "slendro"), 3, "has 5 degrees, and major has 7"),
        (("major", "--mix", "dorian", "--share", "nan"), 3, "is no share of a mixture"),
        (("major", "--share", "0.5"), 2, "--mix, which is missing"),
        (("major", "--stretch", "inf"), 3, "is too much for an octave"),
        (("major", "--stretch", "1e9"), 3, "is too much for an octave"),
        (("major", "--stretch", "nan"), 3, "leaves nothing of an octave"),
        (("major", "--stretch", "wide"), 2, "--stretch takes a number"),
        (("major", "--degree", "316 c"), 3, 'write --degree "2=316 c"'),
        (("major", "--degree", "9=316 c"), 3, "there is no degree 9; degrees are 1 to 7"),
        (("major", "--degree", "2=much"), 3, "write cents (316 c), a ratio (6/5)"),
        (("major", "--degree", "3=500 c"), 3, "major has that degree already"),
        (("major", "--degree", "1=20 c"), 3, "the first degree is the tonic"),
        (("major", "--remove", "1"), 3, "the first degree is the tonic and stays"),
        (("major", "--remove", "3", "--remove", "3"), 3, "there is no such degree to take out"),
        (("major", "--add", "1250 c"), 3, "lies outside the period"),
        (("major", "--tonic", "H4"), 3, "is not a note with its octave"),
        (("major", "--tonic", "A9"), 3, "cannot be heard"),
        (("major", "--reference", "0"), 3, "is no pitch for A4"),
        (("major", "--name", "  "), 3, "is no name"),
        (("major", "--single-note", "-o", "a.toml"), 2, "ends in .syx"),
        (("major", "--every-key"), 2, "--every-key is for a file named with -o that ends in .syx"),
        (("major", "--in-place"), 2, "--into back, which is missing"),
        (("major", "--into", "none.toml"), 3, "there is no such file"),
        (("major", "--program", "128", "-o", "a.syx"), 3, "write 0 to 127"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_writes_nothing(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], code: int, said: str
) -> None:
    monkeypatch.setattr(tuning_command, "catalogue", SHIPPED)
    result = run("tuning", *words)
    assert (result.code, result.out) == (code, "")
    assert said in result.err
    assert result.err.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_an_example_is_not_written_to(run: Run) -> None:
    from scaledesign.locations import EXAMPLES

    example = EXAMPLES / "marsh-wren.toml"
    refused = run("tuning", example, "--degree", "2=6/5", "--into", example, "--in-place")
    assert "an example is not written to" in refused.err
