"""hear: what is played and written is what was predicted, wanted, or what a scale gives."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import pytest

import scaledesign
from scaledesign.errors import SilentError
from scaledesign.model.pitch import cents_between
from scaledesign.paper.text import WIDTH
from scaledesign.sounding import player
from tests.cli.running import Run
from tests.sounding.reading import midi_of, musicxml_of, pitch_of, samples_of

SCALE = """\
[scale]
name    = "three of mine"
source  = "made up for this test"
degrees = ["1", "5/4", "3/2"]
"""


@pytest.fixture(autouse=True)
def nothing_plays(monkeypatch: pytest.MonkeyPatch) -> None:
    def silent(*_: object) -> bool:
        raise SilentError("there is no loudspeaker here", "write a file instead")

    monkeypatch.setattr(player, "play_file", silent)


def frequencies(run: Run, *words: str | Path) -> list[float]:
    return [note["frequency_hz"] for note in run("hear", *words, "--json").object["notes"]]


def test_it_plays_what_is_predicted(run: Run, flute: Path) -> None:
    expected = scaledesign.predict(scaledesign.load(flute)).frequency
    assert frequencies(run, flute) == pytest.approx(list(expected))
    assert frequencies(run, flute, "--what", "both")[1::2] == pytest.approx(list(expected))


def test_what_was_wanted_is_the_target(run: Run, flute: Path) -> None:
    expected = [440.0 * 2 ** (step / 12) for step in (0, 3, 5, 7, 10, 12)]
    assert frequencies(run, flute, "--what", "wanted") == pytest.approx(expected)
    assert frequencies(run, flute, "--what", "both")[::2] == pytest.approx(expected)


def test_rows_and_their_order(run: Run, flute: Path) -> None:
    wanted = frequencies(run, flute, "--what", "wanted")
    some = frequencies(run, flute, "--what", "wanted", "--rows", "2-3, 1")
    assert some == [wanted[1], wanted[2], wanted[0]]
    assert frequencies(run, flute, "--what", "wanted", "--rows", "3-1") == wanted[2::-1]
    assert frequencies(run, flute, "--what", "wanted", "--rows", "3-1", "--order", "up") == wanted[:3]


def test_only_the_scale_unless_all_are_asked_for(run: Run) -> None:
    rows = scaledesign.load(Path(scaledesign.__file__).parent / "examples/marsh-wren.toml").rows
    scale = [row for row in rows if row.role == "scale"]
    assert 0 < len(scale) < len(rows)
    assert len(frequencies(run, "--example", "marsh-wren", "--what", "wanted")) == len(scale)
    assert len(frequencies(run, "--example", "marsh-wren", "--what", "wanted", "--rows", "all")) == len(rows)


def test_a_flute_beside_another_scale(run: Run, flute: Path) -> None:
    """The same notes, as that scale tunes them, on the flute's key or another."""
    words = (flute, "--what", "wanted", "--scale", "just major")
    found = frequencies(run, *words)
    apart = [cents_between(*found[i : i + 2]) for i in range(0, len(found), 2)]
    fourth, fifth = 1200 * math.log2(4 / 3) - 500, 1200 * math.log2(3 / 2) - 700
    assert apart == pytest.approx([0, 0, fourth, fifth, 0, 0], abs=1e-6)
    on_d = frequencies(run, *words, "--tonic", "D4")
    assert cents_between(*on_d[:2]) == pytest.approx(fifth, abs=1e-6)


def test_a_row_that_cannot_sound_is_left_out_and_named(run: Run, tmp_path: Path) -> None:
    """A third register that this tube has not; what was wanted of it can be heard all the same."""
    row = '[[rows]]\nnote = "{}"\nholes = ""\nregister = {}\n'
    tube = "instrument = { mouth = 'duct' }\ntube = { length = 30, bore = 16, wall = 3 }\n"
    (tmp_path / "short.toml").write_text(tube + row.format("C7", 3) + row.format("C6", 1), encoding="utf-8")
    result = run("hear", "short.toml", "-o", "a.mid")
    assert result.code == 0
    assert "Left out: row 1 does not sound on this flute." in result.out
    assert len(midi_of((tmp_path / "a.mid").read_bytes()).notes) == 1
    assert len(frequencies(run, "short.toml", "--what", "wanted")) == 2
    assert "none of these rows sounds" in run("hear", "short.toml", "--rows", "1").err


def test_two_scales_without_a_flute(run: Run) -> None:
    notes = run("hear", "--scale", "major", "--scale", "just major", "--tonic", "D5", "--json").object[
        "notes"
    ]
    assert [note["note"] for note in notes[:6:2]] == ["D5", "E5", "F#5"]
    assert {note["tuning"] for note in notes} == {"major", "just major"}
    assert notes[5]["cents"] == pytest.approx(1200 * math.log2(5 / 4) - 400)
    assert notes[-1]["frequency_hz"] == pytest.approx(440 * 2 ** (17 / 12))
    whole = frequencies(run, "--scale", "major", "--scale", "blues", "--whole")
    assert len(whole) == 8 + 7


def test_a_scale_file(run: Run, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(SCALE, encoding="utf-8")
    expected = pytest.approx([440.0, 550.0, 660.0, 880.0])
    assert frequencies(run, "mine.toml") == expected
    assert frequencies(run, "--scale", "mine.toml") == expected
    up_and_down = frequencies(run, "mine.toml", "--order", "up-down")
    assert up_and_down == pytest.approx([440, 550, 660, 880, 660, 550, 440])


@pytest.mark.parametrize(
    ("held", "hertz"), [("tonic", 440.0), ("1/2", 220.0), ("A3", 220.0), ("221.5 Hz", 221.5)]
)
def test_a_note_held_under_it(run: Run, flute: Path, held: str, hertz: float) -> None:
    notes = run("hear", flute, "--together", "--drone", held, "--json").object["notes"]
    (drone,) = (note for note in notes if note["held_under"])
    assert drone["frequency_hz"] == pytest.approx(hertz)
    assert {(note["start_s"], note["length_s"]) for note in notes} == {(0.0, 3.0)}


def test_the_three_files_say_the_same(run: Run, flute: Path, tmp_path: Path) -> None:
    told = frequencies(run, flute)
    for name in ("a.wav", "a.mid", "tuned.mid", "a.musicxml"):
        more = ("--midi", "tuning") if name == "tuned.mid" else ()
        result = run("hear", flute, "--tempo", "120", "-o", name, *more)
        assert (result.code, result.err) == (0, "")
        assert result.out.endswith(f"Written to {name}.\n")
    samples, rate = samples_of((tmp_path / "a.wav").read_bytes())
    for i, hertz in enumerate(told):
        steady = samples[round((i * 0.5 + 0.15) * rate) : round((i * 0.5 + 0.4) * rate)]
        assert abs(cents_between(hertz, pitch_of(steady, rate))) < 0.3
    keys = [69 + cents_between(440, hertz) / 100 for hertz in told]
    for name, finest in (("a.mid", 1.3e-4), ("tuned.mid", 4e-5)):
        notes = midi_of((tmp_path / name).read_bytes()).notes
        assert [note.key for note in notes] == pytest.approx(keys, abs=finest)
    (shown,) = musicxml_of((tmp_path / "a.musicxml").read_text(encoding="utf-8")).values()
    assert [note.semitones for note in shown] == pytest.approx(keys, abs=1e-6)
    assert [note.name for note in shown] == ["A4", "C5", "D5", "E5", "G5", "A5"]
    assert shown[1].holes[-2:] == (("R2", "yes"), ("R3", "no"))


def test_what_is_printed_fits_a_terminal(run: Run) -> None:
    result = run("hear", "--example", "grey-heron", "--what", "both", "--rows", "all", "-o", "a.mid")
    assert max(map(len, result.out.splitlines())) <= WIDTH
    assert "as you wanted them, then as the flute plays them" in result.out
    assert "until you blow the bare tube" in " ".join(result.out.split())
    different = run("hear", "--scale", "major", "--scale", "blues", "--whole", "-o", "b.mid").out
    assert different.count("   note") == 2


def test_where_nothing_plays_it_is_written_beside_and_nothing_replaced(
    run: Run, flute: Path, tmp_path: Path
) -> None:
    (tmp_path / "notes.wav").write_text("mine")
    result = run("hear", flute, "--rows", "1", "--vibrato")
    assert (result.code, result.err) == (0, "")
    assert "There is no loudspeaker here; it was written to notes-2.wav instead." in result.out
    assert (tmp_path / "notes.wav").read_text() == "mine"
    samples, rate = samples_of((tmp_path / "notes-2.wav").read_bytes())
    assert len(samples) > rate


def test_what_plays_is_not_written(run: Run, flute: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[Path] = []
    monkeypatch.setattr(player, "play_file", lambda path, *_: heard.append(path) or True)
    assert run("hear", flute, "--rows", "1").code == 0
    assert len(heard) == 1
    assert sorted(path.name for path in Path().iterdir()) == ["flute.toml"]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ((), 3, "name a design file, a scale file or --scale"),
        (("nowhere.toml",), 3, "nowhere.toml"),
        (("flute.toml", "--rows", "0"), 3, "they are 1 to 6"),
        (("flute.toml", "--rows", "2-9"), 3, "they are 1 to 6"),
        (("flute.toml", "--rows", "-"), 3, "they are 1 to 6"),
        (("flute.toml", "--tempo", "0"), 3, "beats a minute"),
        (("flute.toml", "--tempo", "nan"), 3, "beats a minute"),
        (("flute.toml", "--drone", "loud"), 3, "'loud'"),
        (("flute.toml", "-o", "flute.toml"), 3, "flute.toml is there already"),
        (("flute.toml", "-o", "flute.toml", "--force"), 3, "end it with .wav, .mid or .musicxml"),
        (("flute.toml", "-o", "no/such/notes.wav"), 3, "there is no folder no/such; make it first"),
        (("--scale", "majr"), 3, "did you mean"),
        (("--scale", "major", "--scale", "blues"), 3, "add --whole"),
        (("--scale", "major", "--what", "both"), 3, "asks for a flute"),
        (("--scale", "major", "--tonic", "H4"), 3, "H4"),
        (("--scale", "major", "--together", "--whole"), 2, "do not go together"),
    ],
)
def test_what_cannot_be_heard_is_one_sentence(
    run: Run, flute: Path, words: tuple[str, ...], code: int, said: str
) -> None:
    before = flute.read_bytes()
    result = run("hear", *words)
    assert result.code == code
    assert said in result.err
    assert result.err.count("\n") == 1
    assert result.out == ""
    assert flute.read_bytes() == before


def test_help_needs_neither_numpy_nor_music21() -> None:
    code = "import sys\nfrom scaledesign.cli import main\nmain(['hear', '--help'])\nprint(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert {"numpy", "music21"}.isdisjoint(run.stdout.splitlines()[-1].split())


def test_many_long_names_fit_the_lines(run: Run) -> None:
    names = ("pythagorean pentatonic minor", "just pentatonic minor", "septimal pentatonic")
    words = (word for name in names for word in ("--scale", name))
    result = run("hear", "--example", "marsh-wren", "--what", "both", *words, "-o", "all.wav")
    assert result.code == 0
    assert max(map(len, result.out.splitlines())) <= 80
    assert all(name in " ".join(result.out.split()) for name in names)
