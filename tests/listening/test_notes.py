"""What is played into a microphone is told again: where, which pitch, which octave, and what is no note.

A short form of ``tests/bench/recordings.py``, whose aims stand here: a median error under 2 cents and no note
in another octave with the breath 10 dB below the tone.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scaledesign.errors import RecordingError
from scaledesign.listening.exact import exact
from scaledesign.listening.notes import heard_in
from scaledesign.listening.sound_file import Recording
from tests.listening.playing import Blown, in_a_room, performed, with_breath
from tests.listening.takes import HIGH, LOW, Score, measured, takes

RATE = 22050


def recording(notes: list[Blown], breath: float = 10.0, seed: int = 1) -> tuple[Recording, list]:
    samples, truths = performed(notes, RATE, seed)
    samples = in_a_room(with_breath(samples, breath, RATE, seed + 1), RATE, seed=seed + 2)
    return Recording((0.7 * samples / np.abs(samples).max()).astype(np.float32), RATE, 0.0), truths


def cents(high: float, low: float) -> float:
    return 1200 * float(np.log2(high / low))


def test_median_under_two_cents_and_no_other_octave_at_10_db(tmp_path: Path) -> None:
    scores: list[Score] = []
    for seed, take in enumerate(takes(3)):
        if take.breath != 10 or take.rate > 48000 or not any(note.vibrato for note in take.notes):
            continue
        scores.append(measured(*take.recorded(tmp_path, 100 * seed)))
        assert np.median(np.abs(scores[-1].off)) < 2.0, take.name
    off = np.abs([one for score in scores for one in score.off])
    assert sum(score.notes for score in scores) >= 24
    assert sum(score.octaves for score in scores) == 0
    assert sum(score.missed + score.strays for score in scores) == 0
    assert np.median(off) < 1.0
    assert off.max() < 5.0


def test_the_mean_is_that_of_cents_over_whole_waves_wherever_the_note_is_cut() -> None:
    sway = Blown(440.0, 2.0, vibrato=40, swell=0.4, waves=5.3)
    heard, _ = recording([sway], breath=30)
    found = [exact(heard, 0.6, end, 440.0) for end in np.arange(1.1, 1.9, 0.03)]
    off = [cents(each.frequency, 440.0) for each in found if each]
    assert len(off) == len(found)
    assert np.abs(off).max() < 1.5  # a plain mean of part of a wave would be off by 4 and more
    last = found[-1]
    assert last is not None
    assert last.vibrato == pytest.approx(40, abs=3)
    assert last.waves == pytest.approx(5.3, abs=0.15)
    assert last.spread == pytest.approx(40 / np.sqrt(2), abs=3)


@pytest.mark.parametrize("levels", [(0.0, -8.0, -14.0), (-14.0, 0.0, -7.0, -10.0), (0.0, -30.0)])
@pytest.mark.parametrize("times", [1 / 3, 1 / 2, 1.0, 2.0, 3.0])
def test_a_pitch_tracked_in_the_wrong_octave_is_put_right(levels: tuple[float, ...], times: float) -> None:
    heard, truths = recording([Blown(523.0, 1.2, vibrato=15, swell=0.2, levels=levels)])
    found = exact(heard, truths[0].start, truths[0].end, 523.0 * times)
    assert found is not None
    assert cents(found.frequency, 523.0) == pytest.approx(0.0, abs=1.0)


def test_where_a_note_is_and_that_slides_and_short_ones_are_none() -> None:
    notes = [
        Blown(440.0, 1.0), Blown(494.0, 0.18), Blown(523.0, 1.2, gap=0.0, slide=0.3), Blown(587.0, 1.0),
        Blown(440.0, 0.9, vibrato=20),
    ]  # fmt: skip
    heard, truths = recording(notes, breath=20)
    found = heard_in(heard, LOW, HIGH)
    assert [round(note.frequency) for note in found.notes] == [440, 523, 587, 440]
    for note, truth in zip(found.notes, [truths[0], *truths[2:]], strict=True):
        assert note.start > truth.start - 0.15
        assert note.start + note.seconds < truth.end + 0.12
        assert note.seconds > 0.6 * (truth.end - truth.start)
    assert [note.reason for note in found.passed_over] == ["short"]
    assert found.passed_over[0].frequency == pytest.approx(494, rel=0.02)
    assert not found.overdriven


def test_breath_hum_and_silence_hold_no_note() -> None:
    rng = np.random.default_rng(5)
    time = np.arange(3 * RATE) / RATE
    noise = 0.1 * rng.standard_normal(3 * RATE)
    hum = 0.3 * np.sin(2 * np.pi * 50 * time) + 0.2
    for samples in (noise, hum, noise + hum, 0 * noise):
        found = heard_in(Recording(samples.astype(np.float32), RATE, 0.0), 250.0, HIGH)
        assert not found.notes
    for count in (0, 1, 500):
        assert not heard_in(Recording(np.zeros(count, np.float32), RATE, 0.0), LOW, HIGH).notes


def test_a_hum_beneath_changes_nothing() -> None:
    heard, _ = recording([Blown(440.0, 1.2, vibrato=20)])
    time = np.arange(len(heard.samples)) / RATE
    hum = (0.5 * np.sin(2 * np.pi * 50 * time)).astype(np.float32)
    found = heard_in(replace(heard, samples=heard.samples + hum), LOW, HIGH)
    assert [cents(note.frequency, 440.0) for note in found.notes] == [pytest.approx(0.0, abs=1.0)]


def test_how_far_it_is_is_told_and_it_stops_when_nobody_wants_it() -> None:
    heard, _ = recording([Blown(440.0, 1.0), Blown(494.0, 1.0)])
    shares: list[float] = []
    assert len(heard_in(heard, LOW, HIGH, shares.append).notes) == 2
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)
    assert not heard_in(heard, LOW, HIGH, cancelled=lambda: True).notes


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "parselmouth", None)
    with pytest.raises(RecordingError) as caught:
        heard_in(Recording(np.zeros(RATE, np.float32), RATE, 0.0))
    assert str(caught.value).startswith("Listening needs a pitch tracker, which is not there; in the folder ")
    assert str(caught.value).endswith('you cloned: .venv/bin/pip install -c constraints.txt ".[recording]".')
