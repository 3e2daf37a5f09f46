"""Notes set in time: samples of everything that sounds, one after another or together.

Apart from a single tone, and from the score, which counts in beats and knows names. Plain numbers, so that
whoever has frequencies can have them heard.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.sounding.tones import RATE, tone
from scaledesign.values import dataclass

PEAK = 0.8
"""Of full scale: the loudest sample of a melody."""
TAIL = 0.15
"""s of silence behind the last note, so that no player cuts it off."""


@dataclass(frozen=True, slots=True)
class Event:
    """One note in time. A frequency that is none (0 or NaN) is a silence."""

    frequency: float
    """Hz."""
    start: float
    """s from the beginning."""
    seconds: float
    loudness: float = 1.0
    """Amplitude beside that of the other notes."""


def in_a_row(notes: Sequence[tuple[float, float]]) -> tuple[Event, ...]:
    """Events of ``(frequency in Hz, seconds)``, one after another; 0 or NaN is a silence."""
    events, start = [], 0.0
    for frequency, seconds in notes:
        events.append(Event(frequency, start, seconds))
        start += seconds
    return tuple(events)


def melody(events: Sequence[Event], *, vibrato: float = 0.0, rate: int = RATE) -> Floats:
    """Samples of all events together.

    Parameters
    ----------
    events : in any order; they may overlap
    vibrato : float, cents up and down
    rate : int, samples a second

    Returns
    -------
    (N,) array to the end of the last event and ``TAIL``, its loudest sample ``PEAK``; where nothing sounds, 0
    """
    end = max((event.start + event.seconds for event in events), default=0.0)
    out = np.zeros(round((end + TAIL) * rate))
    for event in events:
        if not (isfinite(event.frequency) and event.frequency > 0 and event.seconds > 0):
            continue
        first = round(event.start * rate)
        samples = tone(event.frequency, event.seconds, vibrato=vibrato, rate=rate)[: len(out) - first]
        out[first : first + len(samples)] += event.loudness * samples
    loudest = float(np.max(np.abs(out), initial=0.0))
    return out * (PEAK / loudest) if loudest else out
