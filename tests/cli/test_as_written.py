"""What sounds is called as the maker writes it: the same flute written in flats and in sharps.

Each command says the same of both but for the letters, in words and as JSON. So nothing is spelled otherwise,
and nothing but the spelling depends on it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import scaledesign
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design
from scaledesign.sounding.wav import wav_bytes
from tests.cli.running import Run

SHARP = {"Db": "C#", "Eb": "D#", "Gb": "F#", "Ab": "G#", "Bb": "A#"}
BARE = ("--bare", "375 Hz", "--length", "16.5 in")
"""Of the tube while it is longer: a note that no row is written with."""
COMMANDS = (
    ("predict",),
    ("predict", "--json"),
    ("registers",),
    ("registers", "--json"),
    ("calibrate", *BARE),
    ("calibrate", "--json", *BARE),
    ("bench",),
    ("bench", "--blew", "375 Hz", "--length", "16.5 in", "--in-place"),
    ("bench", "--blew", "330 Hz", "--length", "16.5 in"),
    ("compare", "two.toml"),
    ("hear", "-o", "heard.musicxml", "--force"),
    ("hear", "--json", "--drone", "311 Hz", "-o", "heard.mid", "--force"),
    ("chart", "--as", "text"),
    ("holes",),
)


def respelled(text: str) -> str:
    """With the notes that are written with flats written with sharps."""
    return re.sub(r"\b([A-G]b)(?=\d)", lambda note: SHARP[note[1]], text)


@pytest.fixture
def written(tmp_path: Path) -> tuple[Path, Path]:
    """An example in flats, one row a mere interval, and the same in sharps; in folders of their own."""
    flats = scaledesign.load(EXAMPLES / "dust-lark.toml")
    rows = (*flats.rows[:9], replace(flats.rows[9], note="800 c"), *flats.rows[10:])
    flats = replace(flats, rows=rows, text=None)
    sharps = replace(flats, rows=tuple(replace(row, note=respelled(row.note)) for row in rows))
    return kept(flats, tmp_path / "flats"), kept(sharps, tmp_path / "sharps")


def kept(design: Design, folder: Path) -> Path:
    folder.mkdir()
    for name in ("flute.toml", "two.toml"):
        scaledesign.save(design, folder / name)
    return folder


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_both_are_told_the_same_but_for_the_letters(
    run: Run, written: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    command, *more = words
    said = []
    for folder in written:
        monkeypatch.chdir(folder)
        result = run(command, "flute.toml", *more)
        said.append(result.out + result.err)
    flats, sharps = said
    assert "b" in re.sub(r"[^A-Gb#0-9]", "", flats)
    assert not re.search(r"[A-G]#\d", flats)
    assert not re.search(r"[A-G]b\d", sharps)
    assert respelled(flats) == sharps


def test_a_recording_is_read_as_the_rows_are_written(
    run: Run, written: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """And so are the readings that it enters into the file."""
    tone = np.concatenate([piece for hertz in (392.0, 440.0, 466.0, 622.0) for piece in played(hertz)])
    said = []
    for folder in written:
        (folder / "notes.wav").write_bytes(wav_bytes(tone))
        monkeypatch.chdir(folder)
        said.append(run("listen", "flute.toml", "notes.wav", "--order", "any", "--in-place").out)
        said[-1] += "\n".join(row.measured for row in scaledesign.load(folder / "flute.toml").rows)
    flats, sharps = said
    assert "Bb4" in flats
    assert "#" not in flats
    assert respelled(flats) == sharps


def played(hertz: float) -> tuple[np.ndarray, np.ndarray]:
    """A second and a bit of a tone, and silence after it."""
    time = np.arange(50000) / 44100
    return sum(0.2 / k * np.sin(2 * np.pi * hertz * k * time) for k in (1, 2, 3)), np.zeros(9000)


def test_a_scale_is_read_as_it_is_written(run: Run) -> None:
    shown = run("scales", "minor", "--tonic", "Eb4").out
    assert "Gb4" in shown
    assert not re.search(r"[A-G]#\d", shown)
    listed = run("scales", "minor", "--tonic", "Eb4", "--json").out
    assert not re.search(r"[A-G]#\d", listed)


@pytest.mark.parametrize(("tonic", "other"), [("Bb4", r"[A-G]#\d"), ("B4", r"[A-G]b\d")])
def test_what_suits_is_read_as_that_scale_is_written(run: Run, flute: Path, tonic: str, other: str) -> None:
    """On its own tonic, whatever the flute's rows are."""
    shown = run("suits", flute, "--scale", "major", "--tonic", tonic, "--all").out
    assert tonic in shown
    assert not re.search(other, shown)
