"""Where a recording holds a note: stretches of steady pitch and level, beginnings, slides and ends cut off.

A note's pitch is averaged over ``WAVE`` s, about one wave of a vibrato; where that average stays put there is
the core of a note. It is then widened as far as pitch and level still belong to it, and its ends are shaved.
What sounds but never holds is told too, with the reason. Common practice, no source: every number here.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from scaledesign.listening.tracker import STEP, Track
from scaledesign.physics.arrays import Floats, Indices
from scaledesign.values import dataclass

WAVE = 0.2
"""s"""
MOVES = 22.0
"""Cents that the average moves within one wave, at most, where a note holds."""
SHORTEST = 0.25
"""s of a note that counts, its ends cut off."""
NOTICED = 0.12
"""s of sound with a pitch that is worth a word."""
FAINT = 32.0
"""Decibels below the loud notes where nothing counts."""
BEGUN = 7.0
"""Decibels below a note's own level where it has not begun, or is over."""
SHAVED = 0.06
"""s cut off at each end."""
NEAR, WIDE = 16.0, 2.2
"""A moment belongs to a note within so many cents, or so many of its standard deviations."""
UNSTEADY = 70.0
"""Cents of standard deviation beyond which nobody can say which note it is."""
Reason = Literal["", "short", "unsteady"]


@dataclass(frozen=True)
class Stretch:
    """A stretch of a recording with a pitch, moments ``first`` to ``last`` of its track (not in it)."""

    first: int
    last: int
    frequency: float
    """Hz, its middle pitch"""
    reason: Reason = ""
    """Why it does not count; "" where it does."""


def stretches(track: Track) -> tuple[Stretch, ...]:
    """Every note held, and what else had a pitch, in order of time."""
    voiced = track.frequency > 0
    if not voiced.any():
        return ()
    loud = float(np.percentile(track.level[voiced], 90))
    voiced &= track.level > loud - FAINT
    cents = np.zeros(len(voiced))
    cents[voiced] = 1200.0 * np.log2(track.frequency[voiced])
    found: list[Stretch] = []
    for first, last in _runs(voiced, 2):
        found += _within(track, voiced, cents, first, last)
    return tuple(found)


def _runs(true: np.ndarray, bridged: int = 0) -> list[tuple[int, int]]:
    """Where a mask is true, gaps of so many moments bridged."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], true, [False]]).astype(int)))
    runs: list[tuple[int, int]] = []
    for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if runs and first - runs[-1][1] <= bridged:
            runs[-1] = (runs[-1][0], last)
        else:
            runs.append((first, last))
    return runs


def _within(track: Track, voiced: np.ndarray, cents: Floats, first: int, last: int) -> list[Stretch]:
    """The notes of one stretch of sound without a pause."""
    if (last - first) * STEP < NOTICED:
        return []
    places = np.arange(first, last)
    held = voiced[first:last]
    pitch = _middles(np.interp(places, places[held], cents[first:last][held]))
    cores = _cores(pitch)
    middle = _hertz(float(np.median(pitch)))
    if not cores:
        return [Stretch(first, last, middle, "short" if (last - first) * STEP < 2 * WAVE else "unsteady")]
    level = track.level[first:last]
    found = []
    for number, (begin, end) in enumerate(cores):
        least = cores[number - 1][1] if number else 0
        most = cores[number + 1][0] if number + 1 < len(cores) else len(pitch)
        note = np.median(pitch[begin:end])
        spread = float(pitch[begin:end].std())
        if spread > UNSTEADY:
            found.append(Stretch(first + begin, first + end, _hertz(float(note)), "unsteady"))
            continue
        own = np.abs(pitch - note) <= max(NEAR, WIDE * spread)
        own &= level >= np.median(level[begin:end]) - BEGUN
        inside = next(
            ((a, b) for a, b in _runs(own, 2) if a < (begin + end) // 2 < b),
            (begin, end),
        )
        shaved = round(SHAVED / STEP)
        a, b = max(inside[0], least) + shaved, min(inside[1], most) - shaved
        if (b - a) * STEP < SHORTEST:
            if (end - begin) * STEP >= NOTICED or (inside[1] - inside[0]) * STEP >= NOTICED:
                found.append(Stretch(first + begin, first + end, _hertz(float(note)), "short"))
            continue
        found.append(Stretch(first + a, first + b, _hertz(float(note))))
    return found


def _middles(pitch: Floats) -> Floats:
    """Each moment's pitch with single slips to another octave taken out: the middle of five."""
    padded = np.pad(pitch, 2, mode="edge")
    return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, 5), axis=1))


def _cores(pitch: Floats) -> list[tuple[int, int]]:
    """Where the average over a wave stays put."""
    wave = round(WAVE / STEP)
    if len(pitch) < wave:
        return [(0, len(pitch))] if float(np.ptp(pitch)) < 3 * MOVES else []
    half = wave // 2
    average = np.convolve(np.pad(pitch, half, mode="edge"), np.ones(wave) / wave, "valid")[: len(pitch)]
    moved = np.abs(average[wave:] - average[:-wave])
    still = np.zeros(len(pitch), bool)
    still[half : half + len(moved)] = moved < MOVES
    edge: Indices = np.flatnonzero(still)
    if len(edge):  # the half waves at either end go with their neighbours
        still[:half] = still[half]
        still[half + len(moved) :] = still[half + len(moved) - 1]
    else:
        still[:] = float(np.ptp(average)) < MOVES
    # a core whose average runs away slowly is parted by nothing; its spread will tell
    return [run for run in _runs(still) if (run[1] - run[0]) * STEP >= 0.06]


def _hertz(cents: float) -> float:
    return float(2.0 ** (cents / 1200.0))
