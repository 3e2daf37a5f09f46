"""listen: a recording in, readings out; the flute that made it by ``hear`` is heard as it plays."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

import scaledesign
from scaledesign.sounding.wav import wav_bytes
from tests.cli.running import Run


@pytest.fixture
def notes(run: Run, flute: Path) -> Path:
    path = flute.parent / "notes.wav"
    assert run("hear", flute, "-o", path, "--vibrato").code == 0
    return path


def test_what_hear_plays_is_heard_and_entered(run: Run, flute: Path, notes: Path) -> None:
    before = flute.read_bytes()
    shown = run("listen", flute, notes)
    assert (shown.code, shown.err) == (0, "")
    assert "6 steady notes, of 6 rows." in shown.out
    assert "add --in-place" in shown.out
    assert flute.read_bytes() == before
    assert max(len(line) for line in shown.out.splitlines()) <= 80
    plays = run("predict", flute, "--json").object["rows"]
    found = run("listen", flute, notes, "--in-place", "--json").object
    assert [note["row"] for note in found["notes"]] == [1, 2, 3, 4, 5, 6]
    for note, row in zip(found["notes"], plays, strict=True):
        assert note["frequency_hz"] == pytest.approx(row["frequency_hz"], rel=6e-4)
        assert note["vibrato_hz"] == pytest.approx(4.8, abs=0.4)
    assert found["learnt"]["added_length"]["uncertainty_m"] < 0.002
    design = scaledesign.load(flute)
    assert all(row.measured for row in design.rows)
    assert [entry.event for entry in design.log] == ["measured"] * 6
    assert design.voicing.calibrated


def test_the_bare_tube(run: Run, flute: Path) -> None:
    time = np.arange(66150) / 44100
    tone = sum(0.3 / k * np.sin(2 * np.pi * 431.0 * k * time) for k in (1, 2, 3))
    path = flute.parent / "tube.wav"
    path.write_bytes(wav_bytes(np.concatenate([np.zeros(9000), tone, np.zeros(9000)])))
    result = run(
        "listen", flute, path, "--bare", "--length", "360 mm", "--temperature", "20 °C", "-o", "cut.toml"
    )
    assert result.code == 0
    assert "the bare tube" in result.out
    assert "the mouth adds" in result.out
    (entry,) = scaledesign.load(flute.parent / "cut.toml").log
    assert (entry.holes, entry.measured, entry.length, entry.temperature) == ((), "A4 -36", 0.36, 20.0)


def test_nothing_to_enter_is_said_and_nothing_is_written(run: Run, flute: Path) -> None:
    path = flute.parent / "hiss.wav"
    path.write_bytes(wav_bytes(0.1 * np.random.default_rng(1).standard_normal(44100)))
    before = flute.read_bytes()
    result = run("listen", flute, path, "--in-place")
    assert result.code == 3
    assert "No steady note was found" in result.out
    assert "ritten" not in result.out
    assert flute.read_bytes() == before
    assert run("listen", flute, path, "--json").object["notes"] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("none.wav",), "none.wav cannot be read"),
        (("flute.toml",), "is neither WAV nor FLAC"),
        (("none.wav", "--length", "300 mm"), "--length is the bare tube's"),
        (("none.wav", "--temperature", "warm"), "'warm'"),
    ],
)
def test_what_cannot_be_is_one_sentence(run: Run, flute: Path, words: tuple[str, ...], said: str) -> None:
    words = tuple(str(flute) if word == "flute.toml" else word for word in words)
    result = run("listen", flute, *words)
    assert result.code == 3
    assert said in result.err
    assert len(result.err.strip().splitlines()) == 1


def test_without_the_extra_one_sentence_says_how_to_install_it(
    run: Run, flute: Path, notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "parselmouth", None)
    result = run("listen", flute, notes)
    assert result.code == 3
    assert result.err.strip() == (
        "Listening needs a pitch tracker, which is not there; "
        'in the folder you cloned: .venv/bin/pip install -c constraints.txt ".[recording]".'
    )
