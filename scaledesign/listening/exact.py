"""The pitch of one steady note, to a fraction of a cent, its spread and its vibrato.

Each harmonic of the tracked pitch is turned down to rest (multiplied with a wave of the opposite sense, over
a few periods at a time); how fast its phase still turns says how far off the tracked pitch is at that moment.
Harmonics are weighed by how far each stands out of the breath beside it, moments are not weighed by loudness:
in a vibrato loudness goes with pitch, and the louder half of each wave would win.

**The note's pitch is the mean of its cents over whole waves of its vibrato.** It is taken over all of the
stretch with weights that rise and fall within one wave at either end, which leaves nothing of a sway of that
period whatever its phase, and little of anything faster.

Whether it is the right octave is asked of the spectrum: energy halfway between the harmonics makes it an
octave lower, at thirds of the way a twelfth; a note of which only every second (third) harmonic is there is
an octave (a twelfth) higher.
"""

from __future__ import annotations

import numpy as np

from scaledesign.listening.sound_file import Recording
from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass

HOP = 0.005
"""s between two looks at the phase."""
WINDOW, PERIODS = 0.024, 4
"""s that one look takes, and periods, whichever is more."""
HARMONICS = 8
STANDS_OUT = 3.0
"""Times the breath beside it that a harmonic must be to be heard."""
RAMP = 0.2
"""s in which the weights rise and fall where there is no vibrato."""
VIBRATO = (3.0, 9.0)
"""Hz"""
SEEN, CLEAR = 3.0, 6.0
"""Cents up and down of a vibrato that is told, and how many times it stands out of other sways."""
BESIDE = 2.5
"""How many times the breath between the harmonics what lies halfway must be, to be of the note."""
SLIGHT = -30.0
"""Decibels below the note at which what lies halfway is none of it."""
SLIP = 6.0
"""Standard deviations, robustly taken, from a note's middle at which a look at the phase has slipped."""
OCTAVES = (2, 3)
SELDOM = 4
"""Every how many-th look serves to ask for the octave."""


@dataclass(frozen=True)
class Pitch:
    """What one steady note is."""

    frequency: float
    """Hz, the mean in cents over whole waves"""
    spread: float
    """cents, one standard deviation of its moments, vibrato and all"""
    vibrato: float
    """cents up and down; 0 where there is none"""
    waves: float
    """Hz of the vibrato; 0 where there is none"""
    above_breath: float
    """dB by which its harmonics together stand over the breath among them"""


def exact(recording: Recording, start: float, end: float, near: float, lowest: float = 0.0) -> Pitch | None:
    """The pitch of a stretch; None where it has none.

    Parameters
    ----------
    recording : Recording
    start, end : s
    near : Hz, the tracked pitch, or a multiple or a part of the true one
    lowest : Hz below which the flute has no note
    """
    rate = recording.rate
    window = max(WINDOW, PERIODS / near)
    begin = max(0, int((start - window) * rate))
    samples = recording.samples[begin : int((end + window) * rate)].astype(float)
    times = np.arange(start, end, HOP) - begin / rate
    near = _right_octave(samples, times[::SELDOM], rate, near, lowest)
    moments, above = _moments(samples, times, rate, near)
    if moments is None:
        return None
    moments = _without_slips(moments)
    width, waves = _vibrato(moments)
    ramp = min(1.0 / waves if waves else RAMP, 0.5 * HOP * len(moments))
    weights = _over_whole_waves(len(moments), ramp)
    mean = float(weights @ moments)
    calm = np.convolve(moments, np.ones(5) / 5, "valid") if len(moments) > 5 else moments
    return Pitch(float(near * 2.0 ** (mean / 1200.0)), float(calm.std()), width, waves, above)


def _turned(samples: Floats, times: Floats, rate: float, frequencies: Floats, near: float) -> np.ndarray:
    """(K, T) complex: what there is of each frequency about each time, its phase turned down to rest."""
    periods = max(PERIODS, int(np.ceil(WINDOW * near)))
    count = max(8, round(periods / near * rate))
    taper = np.hanning(count + 2)[1:-1]
    taper /= taper.sum()
    first = np.clip(np.rint(times * rate).astype(int) - count // 2, 0, max(0, len(samples) - count))
    if len(samples) < count:
        samples = np.pad(samples, (0, count - len(samples)))
    frames = np.lib.stride_tricks.sliding_window_view(samples, count)[first]  # (T, W)
    inside = np.arange(count) / rate
    angles = 2 * np.pi * frequencies[:, None] * inside
    # not @: products so small are slower when they are shared among threads
    even, odd = (np.einsum("kw,tw->kt", wave * taper, frames) for wave in (np.cos(angles), np.sin(angles)))
    turned = even - 1j * odd
    return np.asarray(turned * np.exp(-2j * np.pi * frequencies[:, None] * (first / rate)))


def _moments(samples: Floats, times: Floats, rate: float, near: float) -> tuple[Floats | None, float]:
    """Cents from ``near`` between each look and the next, and dB above the breath; None where nothing is."""
    count = int(min(HARMONICS, 0.47 * rate / near))
    if count < 1 or len(times) < 4:
        return None, 0.0
    number = np.arange(1, count + 1)
    both = _turned(samples, times, rate, np.concatenate([number, number - 0.5, [count + 0.5]]) * near, near)
    power = (np.abs(both) ** 2).mean(axis=1)
    breath = np.maximum(0.5 * (power[count : 2 * count] + power[count + 1 :]), 1e-30)
    out = power[:count] / breath
    heard = out > STANDS_OUT
    if not heard.any():
        return None, 0.0
    turned = both[:count][heard]
    step = np.angle(turned[:, 1:] * turned[:, :-1].conj()) / (2 * np.pi * HOP * number[heard][:, None])
    weight = (number[heard] ** 2) * (out[heard] - 1.0)
    hertz = near + (weight[:, None] * step).sum(axis=0) / weight.sum()
    cents = 1200.0 * np.log2(np.maximum(hertz, 0.5 * near) / near)
    return cents, float(10 * np.log10(power[:count][heard].sum() / breath[heard].sum()))


def _without_slips(cents: Floats) -> Floats:
    """The moments with those that are none of the note's put on its middle."""
    middle = np.median(cents)
    usual = max(1.4826 * float(np.median(np.abs(cents - middle))), 1.0)
    return np.where(np.abs(cents - middle) > SLIP * usual, middle, cents)


def _vibrato(cents: Floats) -> tuple[float, float]:
    """Cents up and down, and Hz, of a vibrato; (0, 0) where there is none."""
    count = len(cents)
    if count * HOP < 2.0 / VIBRATO[1] + 0.2:
        return 0.0, 0.0
    place = np.arange(count)
    level = cents - np.polyval(np.polyfit(place, cents, 1), place)
    taper = np.hanning(count + 2)[1:-1]
    size = 1 << (8 * count).bit_length()
    found = 2.0 * np.abs(np.fft.rfft(level * taper, size)) / taper.sum()
    hertz = np.fft.rfftfreq(size, HOP)
    asked = (hertz >= VIBRATO[0]) & (hertz <= VIBRATO[1])
    if not asked.any():
        return 0.0, 0.0
    best = int(np.flatnonzero(asked)[found[asked].argmax()])
    others = found[(hertz > 1.5 * VIBRATO[1]) & (hertz < 40.0)]
    usual = float(np.median(others)) if len(others) else 0.0
    if found[best] < max(SEEN, CLEAR * usual) or hertz[best] * count * HOP < 1.0:
        return 0.0, 0.0
    return float(found[best]), float(hertz[best])


def _over_whole_waves(count: int, ramp: float) -> Floats:
    """(count,) weights, their sum 1: an even stretch averaged once more over ``ramp`` s."""
    wave = max(1, min(round(ramp / HOP), count))
    weights = np.convolve(np.ones(count - wave + 1), np.ones(wave))
    return np.asarray(weights / weights.sum())


def _right_octave(samples: Floats, times: Floats, rate: float, near: float, lowest: float) -> float:
    """The tracked pitch, or the part or the multiple of it that the spectrum asks for."""
    for parts in OCTAVES:
        if near / parts >= lowest and near / parts > 30.0 and _between(samples, times, rate, near, parts):
            return near / parts
    for parts in OCTAVES:
        if parts * near < 0.2 * rate and not _between(samples, times, rate, parts * near, parts):
            return parts * near
    return near


def _between(samples: Floats, times: Floats, rate: float, above: float, parts: int) -> bool:
    """Whether a note ``above`` has harmonics at whole parts of it too: whether that part is the pitch."""
    part = above / parts
    count = int(min(HARMONICS * parts, 0.47 * rate / part - 1))
    number = np.arange(1, count + 1)
    ours = number % parts != 0
    places = np.concatenate([number, number - 0.5, [count + 0.5]]) * part
    power = (np.abs(_turned(samples, times, rate, places, part)) ** 2).mean(axis=1)
    breath = np.maximum(np.maximum(power[count : 2 * count], power[count + 1 :]), 1e-30)
    over = np.maximum(power[:count] - breath, 0.0)
    stands = ours & (power[:count] > BESIDE * breath)
    whole = over[~ours].sum()
    return bool(over[stands].sum() > max(whole, 1e-30) * 10 ** (SLIGHT / 10))
