"""One note of a flute as samples: a few harmonics, a little breath, the frequency exact.

Apart from the melody, which sets notes one after another. Plain numbers in, an array out; no note name, no
design, no file.

A blown note is periodic, so its partials are whole multiples of the frequency. Their levels fall off evenly
in decibels, faster the higher the note: fuller low, nearly pure high. These levels and the breath's are
common practice, no source; others may be given. The same input gives the same samples.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from scaledesign.physics.arrays import Floats

RATE = 44100
"""Samples a second."""
HARMONICS = 8
ATTACK = 0.045
"""s until a note is there; its harmonics come a little later the higher they are."""
RELEASE = 0.09
"""s, within the note's length."""
BREATH = 0.012
"""Amplitude of the steady breath beside the tone's own; at the beginning there is more."""
WAVES = 4.8
"""Hz of the vibrato: common practice, no source."""

_STEEP = ((260.0, 5.0), (520.0, 8.0), (1050.0, 13.0), (2100.0, 20.0))
"""Frequency (Hz), and the decibels by which each harmonic lies below the one before."""
_HEARD = 3e-4
"""Amplitude of the faintest harmonic that is made."""
_PUFF = (4.0, 0.05)
"""How much more breath there is at the beginning, and the time (s) in which that is gone."""
_SETTLING = (0.25, 0.35)
"""s before the vibrato begins, and until it is whole."""
_NOISE = 1 << 16
"""Samples of breath; it is periodic, so that it can go on without a seam."""


def levels(frequency: float) -> tuple[float, ...]:
    """Amplitudes of the harmonics of a note, the fundamental's 1."""
    known = np.log([hertz for hertz, _ in _STEEP])
    fall = float(np.interp(math.log(frequency), known, [steep for _, steep in _STEEP]))
    return tuple(10.0 ** (-fall * above / 20.0) for above in range(HARMONICS))


def tone(
    frequency: float,
    seconds: float,
    *,
    harmonics: Sequence[float] = (),
    vibrato: float = 0.0,
    breath: float = BREATH,
    rate: int = RATE,
) -> Floats:
    """Samples of one note, which begins and ends in silence.

    Parameters
    ----------
    frequency : float, Hz
        of the fundamental, kept from the first sample to the last; harmonics that would not fit below half
        of ``rate`` are left out
    seconds : float
        of the whole note, fading in and out included
    harmonics : amplitudes of the fundamental and what lies above it; empty: ``levels``
    vibrato : float, cents up and down
    breath : float
        amplitude of the steady noise of breath, the tone's being 1
    rate : int, samples a second

    Returns
    -------
    (N,) array, N = seconds x rate, within -1 and 1
    """
    count = round(seconds * rate)
    time = np.arange(count) / rate
    cycles = frequency * (time + _swayed(time, vibrato))
    amplitudes = [
        level if level > _HEARD else 0.0
        for number, level in enumerate(harmonics or levels(frequency), start=1)
        if number * frequency < 0.45 * rate
    ]
    whole = sum(amplitudes) or 1.0
    attack = min(ATTACK, 0.3 * seconds)
    out = np.zeros(count)
    turning = np.exp(2j * np.pi * cycles)
    turned = turning
    for above, level in enumerate(amplitudes):
        turned = turned * turning if above else turning
        if level:
            late = min(attack * (1.0 + 0.25 * above), 0.6 * seconds)
            out += level * _rise(time, late) * turned.imag
    puff, gone = _PUFF
    blown = breath * (1.0 + puff * np.exp(-time / gone)) * _rise(time, 0.25 * attack)
    out += blown * np.resize(_noise(rate), count)
    out *= _rise(seconds - time, min(RELEASE, 0.4 * seconds)) / (whole + breath * (1.0 + puff))
    return out


def _rise(time: Floats, length: float) -> Floats:
    """From 0 to 1 in ``length`` seconds, without a corner."""
    risen: Floats = 0.5 - 0.5 * np.cos(np.pi * np.clip(time / length, 0.0, 1.0))
    return risen


def _swayed(time: Floats, cents: float) -> Floats:
    """Seconds by which a vibrato is ahead of the even tone: its frequency is even on the whole."""
    if not cents:
        return np.zeros_like(time)
    depth = math.log(2.0) * cents / 1200.0 / (2.0 * math.pi * WAVES)
    begins, whole = _SETTLING
    ahead: Floats = depth * _rise(time - begins, whole) * np.sin(2.0 * np.pi * WAVES * (time - begins))
    return ahead


@lru_cache(maxsize=4)
def _noise(rate: int) -> Floats:
    """Noise of breath, loudest near 2 kHz, within -1 and 1.

    From the generator's bits themselves, which are the same everywhere and in every version.
    """
    bits = np.random.PCG64(1).random_raw(_NOISE)
    white = np.fft.rfft(bits / 2.0**63 - 1.0)
    hertz = np.fft.rfftfreq(_NOISE, 1.0 / rate)
    shape = (hertz / 2000.0) / (1.0 + (hertz / 2000.0) ** 2) ** 1.5
    shaped = np.fft.irfft(white * shape, _NOISE)
    loudest: Floats = shaped / np.max(np.abs(shaped))
    return loudest
