"""Recordings as files: every form a recorder writes says the same, and nothing broken gets through."""

from __future__ import annotations

import os
import struct
import sys
from pathlib import Path

import numpy as np
import pytest

from scaledesign.errors import RecordingError
from scaledesign.listening.sound_file import LARGEST, read
from tests.listening.playing import wav

RATE = 44100
TIME = np.arange(RATE) / RATE
TONE = 0.5 * np.sin(2 * np.pi * 523.3 * TIME) + 0.1 * np.sin(2 * np.pi * 1046.6 * TIME)


def flac(path: Path, bits: int = 24) -> Path:
    import soundfile

    soundfile.write(path, TONE, RATE, subtype=f"PCM_{bits}")
    return path


@pytest.mark.parametrize(
    ("bits", "channels", "form"),
    [(8, 1, ""), (16, 1, ""), (16, 2, ""), (24, 1, ""), (24, 2, "extensible"), (32, 1, ""),
     (32, 1, "floating"), (64, 3, "floating"), (16, 1, "flac"), (24, 1, "flac")],
)  # fmt: skip
def test_every_form_says_the_same(tmp_path: Path, bits: int, channels: int, form: str) -> None:
    if form == "flac":
        path = flac(tmp_path / "a.flac", bits)
    else:
        path = wav(
            tmp_path / "a.wav", TONE, RATE, bits, channels,
            floating=form == "floating", extensible=form == "extensible",
        )  # fmt: skip
    found = read(path)
    assert found.rate == RATE / 2
    assert found.seconds == pytest.approx(1.0, abs=0.01)
    inside = slice(200, 21000)
    apart = found.samples[inside] - TONE[::2][: len(found.samples)][inside]
    assert np.abs(apart).max() < 4 / 2 ** min(bits, 16)


def test_a_rate_that_is_low_enough_stays(tmp_path: Path) -> None:
    found = read(wav(tmp_path / "a.wav", TONE[:8000], 8000, 16))
    assert (found.rate, len(found.samples)) == (8000, 8000)


def test_what_lies_above_the_new_rate_is_filtered_away_and_not_folded_down(tmp_path: Path) -> None:
    high = 0.5 * np.sin(2 * np.pi * 40000 * np.arange(96000) / 96000)
    assert np.abs(read(wav(tmp_path / "a.wav", high, 96000, 24)).samples[100:]).max() < 1e-3


def test_the_loudest_channel_is_heard_and_what_is_cut_off_is_noticed(tmp_path: Path) -> None:
    both = np.stack([0.01 * TONE, TONE], axis=1).reshape(-1)
    path = wav(tmp_path / "a.wav", both, RATE, 16)
    head = bytearray(path.read_bytes())
    head[22:24], head[32:34] = struct.pack("<H", 2), struct.pack("<H", 4)
    path.write_bytes(bytes(head))
    found = read(path)
    assert np.abs(found.samples).max() > 0.4
    assert found.clipped == 0
    assert read(wav(tmp_path / "b.wav", 4 * TONE, RATE, 16)).clipped > 0.3


GOOD = b"RIFF\xff\xff\xff\xffWAVE"
DATA = b"data\x10\0\0\0" + bytes(16)
RATE_BYTES = struct.pack("<I", 44100)
FORM = b"fmt \x10\0\0\0" + struct.pack("<HHIIHH", 1, 1, 44100, 88200, 2, 16)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"Dear maker,", "is neither WAV nor FLAC"),
        (GOOD, "is a broken WAV file"),
        (GOOD + FORM, "is a broken WAV file"),
        (GOOD + DATA, "is a broken WAV file"),
        (GOOD + FORM + b"data\0\0\0\0", "holds no sound"),
        (GOOD + FORM.replace(b"\x01\0\x01\0", b"\x55\0\x01\0", 1) + DATA, "of a kind"),
        (GOOD + FORM[:-4] + b"\x02\0\x28\0" + DATA, "of a kind"),
        (GOOD + b"junk\xff\xff\xff\xff" * 9, "is a broken WAV file"),
        (GOOD + FORM.replace(RATE_BYTES, struct.pack("<I", 7)) + DATA,
         "samples a second"),
        (GOOD + FORM.replace(RATE_BYTES, bytes(4)) + DATA, "samples a second"),
        (b"fLaC" + bytes(40), "is a broken FLAC file"),
    ],
)  # fmt: skip
def test_what_is_no_recording_is_said_in_one_sentence(tmp_path: Path, data: bytes, said: str) -> None:
    path = tmp_path / "x.wav"
    path.write_bytes(data)
    with pytest.raises(RecordingError) as caught:
        read(path)
    assert said in str(caught.value)
    assert str(path) in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_file_cut_short_is_read_as_far_as_it_goes_and_random_bytes_never_break_the_program(
    tmp_path: Path,
) -> None:
    whole = wav(tmp_path / "a.wav", TONE, RATE, 16).read_bytes()
    (tmp_path / "b.wav").write_bytes(whole[: len(whole) // 2])
    assert read(tmp_path / "b.wav").seconds == pytest.approx(0.5, abs=0.02)
    rng = np.random.default_rng(3)
    path = tmp_path / "c.wav"
    for _ in range(150):
        broken = bytearray(whole[:3000])
        for place in rng.integers(0, 80, 6):
            broken[place] = int(rng.integers(256))
        path.write_bytes(bytes(broken))
        try:
            assert np.isfinite(read(path).samples).all()
        except RecordingError as error:
            assert str(path) in str(error)  # noqa: PT017 - either is right, and nothing else


def test_numbers_that_are_none_are_silence_or_full_scale(tmp_path: Path) -> None:
    path = wav(tmp_path / "a.wav", TONE[:8000], 8000, 32, floating=True)
    data = bytearray(path.read_bytes())
    data[-8:-4] = struct.pack("<f", np.nan)
    data[-4:] = struct.pack("<f", np.inf)
    path.write_bytes(bytes(data))
    assert read(path).samples[-2:].tolist() == [0.0, 1.0]


def test_what_is_too_large_or_too_long_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "big.wav"
    with path.open("wb") as file:
        file.truncate(LARGEST + 1)
    with pytest.raises(RecordingError, match="is larger than 200 MB"):
        read(path)
    form = b"fmt \x10\0\0\0" + struct.pack("<HHIIHH", 1, 1, 8000, 8000, 1, 8)
    with path.open("wb") as file:
        file.write(GOOD + form + b"data" + struct.pack("<I", 8000 * 60 * 25))
        file.truncate(8000 * 60 * 25 + 100)
    with pytest.raises(RecordingError, match="is 25 minutes long; cut it to 20"):
        read(path)


def test_names_that_lead_nowhere(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="cannot be read"):
        read(tmp_path / "none.wav")
    with pytest.raises(RecordingError, match="cannot be read"):
        read(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes in folders here")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.wav")
    with pytest.raises(RecordingError, match="is no file"):
        read(tmp_path / "pipe.wav")


def test_flac_without_the_extra_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = flac(tmp_path / "a.flac")
    monkeypatch.setitem(sys.modules, "soundfile", None)
    with pytest.raises(RecordingError, match=r'pip install -c constraints.txt "\.\[recording\]"'):
        read(path)
