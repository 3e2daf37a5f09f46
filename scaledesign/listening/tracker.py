"""The pitch along a recording, a hundred times a second: praat-parselmouth asked in pieces.

The one module that knows the tracker, which is the extra ``[recording]`` and is fetched when something is
listened to. What it finds is good to a few cents a moment; what is made of it is ``steady`` and ``exact``'s.
Its licence is the GPL, ours the MIT: it is installed by who wants it, and nothing of it is part of this
program.

P. Boersma 1993, Accurate short-term analysis of the fundamental frequency and the harmonics-to-noise ratio of
a sampled sound, Proc. Institute of Phonetic Sciences Amsterdam 17, 97-110: the method.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from scaledesign.errors import RecordingError
from scaledesign.listening.sound_file import INSTALL, Recording
from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass

STEP = 0.01
"""s between two moments."""
PIECE, OVERLAP = 20.0, 0.3
"""s that are tracked at once, and how far the pieces reach into each other."""
VOICED = 0.45
"""Strength below which there is no pitch: noise that repeats itself no more than that is breath."""
BEST, OCTAVE, JUMP, ONSET = 15, 0.05, 0.35, 0.14
"""Pitches thought of at each moment, and what a lower octave, a jump, a beginning costs: the tracker's own,
but for the octave, which costs more: a nearly pure tone in breath repeats itself after two waves as well."""


@dataclass(frozen=True)
class Track:
    """Every moment of a recording: (N,) each."""

    time: Floats
    """s"""
    frequency: Floats
    """Hz; 0 where there is no pitch"""
    level: Floats
    """dB, root mean square over one step, full scale 0"""


def track(
    recording: Recording,
    lowest: float,
    highest: float,
    told: Callable[[float], None] = lambda share: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Track:
    """The pitch along a recording.

    Parameters
    ----------
    recording : Recording
    lowest, highest : Hz, between which pitches are looked for
    told : called with the share that is done
    cancelled : asked between pieces; what is done by then comes back

    Raises
    ------
    RecordingError
        when the tracker is not installed.
    """
    try:
        import parselmouth  # type: ignore[import-not-found]  # it has no types
    except ImportError as error:
        raise RecordingError(None, "Listening needs a pitch tracker, which is not there", INSTALL) from error
    rate, samples = recording.rate, recording.samples
    times = (np.arange(int(recording.seconds / STEP)) + 0.5) * STEP
    frequency, level = np.zeros(len(times)), np.full(len(times), -200.0)
    highest = min(highest, 0.45 * rate)
    margin = OVERLAP + 6.0 / lowest
    first = 0.0
    while first < recording.seconds and not cancelled():
        last = min(first + PIECE, recording.seconds)
        begin, end = int(max(0.0, first - margin) * rate), int(min(last + margin, recording.seconds) * rate)
        piece = _without_rumble(samples[begin:end].astype(float), rate, 0.6 * lowest)
        mine = (times >= first) & (times < last)
        if len(piece) > 6.5 * rate / lowest:
            found = parselmouth.Sound(piece, rate).to_pitch_ac(
                STEP, lowest, BEST, False, 1e-4, VOICED, OCTAVE, JUMP, ONSET, highest
            )
            there = found.xs() + begin / rate
            hertz = found.selected_array["frequency"]
            nearest = np.clip(np.floor((times[mine] - there[0]) / STEP + 0.5).astype(int), 0, len(there) - 1)
            close = np.abs(there[nearest] - times[mine]) <= STEP
            frequency[mine] = np.where(close, hertz[nearest], 0.0)
        level[mine] = _levels(piece, times[mine] - begin / rate, rate)
        first = last
        told(first / recording.seconds)
    return Track(times, frequency, level)


def _without_rumble(samples: Floats, rate: float, below: float) -> Floats:
    """Samples without what lies an octave and more below ``below`` Hz: steps, hum, wind."""
    size = 1 << len(samples).bit_length()
    spectrum = np.fft.rfft(samples, size)
    spectrum *= np.clip(2.0 * np.fft.rfftfreq(size, 1.0 / rate) / below - 1.0, 0.0, 1.0)
    return np.fft.irfft(spectrum, size)[: len(samples)]


def _levels(samples: Floats, times: Floats, rate: float) -> Floats:
    """Level (dB) about each time, over two steps."""
    summed = np.concatenate([[0.0], np.cumsum(samples**2)])
    begin = np.clip(np.rint((times - STEP) * rate).astype(int), 0, len(samples))
    end = np.clip(np.rint((times + STEP) * rate).astype(int), 0, len(samples))
    power = (summed[end] - summed[begin]) / np.maximum(end - begin, 1)
    return np.asarray(10.0 * np.log10(np.maximum(power, 1e-20)))
