"""The notes of a recording: read, tracked, cut into steady notes, each one's pitch exact.

What a caller asks for; the steps are the modules beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from scaledesign.listening.exact import exact
from scaledesign.listening.sound_file import Recording, read
from scaledesign.listening.steady import Reason, stretches
from scaledesign.listening.tracker import STEP, track
from scaledesign.values import dataclass

RANGE = (80.0, 3500.0)
"""Hz between which notes are looked for where nobody says."""
OVERDRIVEN = 1e-4
"""Share of samples at full scale from which a recording was too loud."""


@dataclass(frozen=True)
class Note:
    """One steady note, or with a ``reason`` something that sounded and is none."""

    start: float
    """s"""
    seconds: float
    frequency: float
    """Hz, the mean in cents over whole waves of its vibrato"""
    spread: float = 0.0
    """cents, one standard deviation of its moments"""
    vibrato: float = 0.0
    """cents up and down; 0 where there is none"""
    waves: float = 0.0
    """Hz of the vibrato"""
    above_breath: float = 0.0
    """dB"""
    reason: Reason = ""


@dataclass(frozen=True)
class Listened:
    """What a recording holds."""

    seconds: float
    notes: tuple[Note, ...]
    """Steady notes, in order of time."""
    passed_over: tuple[Note, ...]
    """What sounded and is no steady note, with the reason."""
    overdriven: bool


def listen(
    path: Path,
    lowest: float = RANGE[0],
    highest: float = RANGE[1],
    told: Callable[[float], None] = lambda share: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Listened:
    """Listen to a file.

    Parameters
    ----------
    path : Path, WAV or FLAC
    lowest, highest : Hz, between which notes are looked for
    told : called with the share that is done, from 0 to 1
    cancelled : asked now and then; what is there by then comes back

    Raises
    ------
    RecordingError
        when it cannot be read, or the tracker is not installed.
    """
    return heard_in(read(path, cancelled), lowest, highest, told, cancelled)


def heard_in(
    recording: Recording,
    lowest: float = RANGE[0],
    highest: float = RANGE[1],
    told: Callable[[float], None] = lambda share: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Listened:
    """The same of what has been read.

    Raises
    ------
    RecordingError
        when the tracker is not installed.
    """
    along = track(recording, lowest, highest, lambda share: told(0.8 * share), cancelled)
    found = stretches(along)
    notes, passed = [], []
    for number, each in enumerate(found):
        if cancelled():
            break
        start, seconds = each.first * STEP, (each.last - each.first) * STEP
        pitch = None
        if not each.reason:
            pitch = exact(recording, start, start + seconds, each.frequency, lowest)
        if pitch is None:
            passed.append(Note(start, seconds, each.frequency, reason=each.reason or "unsteady"))
        else:
            notes.append(
                Note(
                    start, seconds, pitch.frequency, pitch.spread, pitch.vibrato, pitch.waves,
                    pitch.above_breath,
                )
            )  # fmt: skip
        told(0.8 + 0.2 * (number + 1) / len(found))
    return Listened(recording.seconds, tuple(notes), tuple(passed), recording.clipped > OVERDRIVEN)
