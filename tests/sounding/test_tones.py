"""A tone has the pitch that was asked for, no clicks, no clipping, and is the same every time."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.sounding.melody import PEAK, TAIL, Event, in_a_row, melody
from scaledesign.sounding.tones import BREATH, RATE, levels, tone
from scaledesign.sounding.wav import wav_bytes
from tests.sounding.reading import crossings_pitch, pitch_of, samples_of


def cents(found: float, wanted: float) -> float:
    return 1200.0 * math.log2(found / wanted)


@settings(max_examples=25, deadline=None)
@given(st.floats(110.0, 3500.0))
def test_the_pitch_in_the_file_is_the_one_asked_for(frequency: float) -> None:
    """Breath included: from the bytes of the file, by the turning of the phase."""
    samples, rate = samples_of(wav_bytes(melody([Event(frequency, 0.0, 1.2)])))
    steady = samples[round(0.15 * rate) : round(1.05 * rate)]
    assert abs(cents(pitch_of(steady, rate), frequency)) < 0.1


@pytest.mark.parametrize("frequency", [261.626, 440.0, 587.33, 1046.5, 2000.1])
def test_counting_its_waves_says_the_same(frequency: float) -> None:
    """A second estimate that knows no spectrum; without breath, which makes waves of its own at a zero."""
    samples = tone(frequency, 1.2, breath=0.0)
    steady = samples[round(0.15 * RATE) : round(1.05 * RATE)]
    assert abs(cents(crossings_pitch(steady, RATE), frequency)) < 0.1


def test_the_estimates_can_tell_a_tenth_of_a_cent() -> None:
    time = np.arange(RATE) / RATE
    off = np.sin(2 * np.pi * 440.0 * 2 ** (0.2 / 1200) * time)
    assert cents(pitch_of(off, RATE), 440.0) == pytest.approx(0.2, abs=0.02)
    assert cents(crossings_pitch(off, RATE), 440.0) == pytest.approx(0.2, abs=0.02)


@pytest.mark.parametrize("seconds", [0.02, 0.1, 0.5, 2.0])
@pytest.mark.parametrize("frequency", [196.0, 880.0, 3000.0])
def test_it_begins_and_ends_in_silence(frequency: float, seconds: float) -> None:
    samples = tone(frequency, seconds)
    assert len(samples) == round(seconds * RATE)
    assert np.max(np.abs(samples)) <= 1.0
    assert max(abs(samples[0]), abs(samples[-1])) < 0.002
    steepest = 2 * math.pi * frequency * sum(n * a for n, a in enumerate(levels(frequency), 1)) / RATE
    assert np.max(np.abs(np.diff(samples))) < steepest + 10 * BREATH


def test_low_notes_are_fuller_than_high_ones() -> None:
    low, high = levels(262.0), levels(1760.0)
    assert low[0] == high[0] == 1.0
    assert all(a > b for a, b in zip(low[1:], high[1:], strict=True))


def test_harmonics_may_be_given_and_none_folds_back() -> None:
    """A partial above half the rate would come back as a wrong low one."""
    spectrum = np.abs(np.fft.rfft(tone(9000.0, 1.0, harmonics=(1.0, 1.0, 1.0), breath=0.0)))
    strong = np.flatnonzero(spectrum > 0.01 * spectrum.max())
    assert set(np.round(strong / 100.0)) <= {90.0, 180.0}


def test_a_vibrato_leaves_the_note_where_it_is() -> None:
    samples = tone(523.25, 4.0, vibrato=12.0, breath=0.0)
    whole = samples[round(1.0 * RATE) : round((1.0 + 12 / 4.8) * RATE)]
    assert abs(cents(crossings_pitch(whole, RATE), 523.25)) < 0.5
    parts = [
        cents(crossings_pitch(whole[i : i + 2000], RATE), 523.25) for i in range(0, len(whole) - 2000, 500)
    ]
    assert 10.0 < max(parts) < 13.0
    assert -13.0 < min(parts) < -10.0


def test_the_same_notes_are_the_same_bytes() -> None:
    notes = in_a_row([(440.0, 0.3), (495.0, 0.3)])
    assert wav_bytes(melody(notes)) == wav_bytes(melody(notes))


def test_how_long_it_is_and_how_loud() -> None:
    data = wav_bytes(melody([*in_a_row([(440.0, 0.4), (math.nan, 0.2), (0.0, 0.1), (660.0, 0.3)])]))
    samples, rate = samples_of(data)
    assert len(samples) == round((1.0 + TAIL) * rate)
    assert np.max(np.abs(samples)) == pytest.approx(PEAK, abs=1e-3)
    silence = samples[round(0.41 * rate) : round(0.69 * rate)]
    assert not silence.any()
    assert not samples[-round(TAIL * rate) :].any()


@settings(max_examples=10, deadline=None)
@given(st.lists(st.tuples(st.floats(100, 4000), st.floats(0, 0.3), st.floats(0, 0.3)), max_size=16))
def test_however_many_sound_together_nothing_clips(notes: list[tuple[float, float, float]]) -> None:
    samples = melody([Event(*note) for note in notes])
    assert np.max(np.abs(samples), initial=0.0) <= PEAK + 1e-9
    assert np.isfinite(samples).all()


def test_what_lies_beyond_full_scale_is_cut_and_does_not_wrap() -> None:
    samples, _ = samples_of(wav_bytes(np.array([2.0, -2.0])))
    assert samples[0] > 0.99
    assert samples[1] < -0.99
