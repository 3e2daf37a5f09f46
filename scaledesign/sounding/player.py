"""Sound out of the loudspeaker: the player that the system has, and how to stop it.

Apart from what is played. No library is needed: Linux and a Mac have small programs that play a file, Windows
does it itself. Where there is none, or none that reaches a loudspeaker (over SSH, say), it is said in one
sentence.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any

from scaledesign.errors import SilentError
from scaledesign.physics.arrays import Floats
from scaledesign.sounding.melody import Event, in_a_row, melody
from scaledesign.sounding.tones import RATE
from scaledesign.sounding.wav import wav_bytes

PLAYERS: tuple[tuple[str, ...], ...] = (
    (("afplay",),) if sys.platform == "darwin" else (("pw-play",), ("paplay",), ("aplay", "-q"))
)
"""Programs that play a file, the likeliest first; not asked on Windows."""
REMEDY = "write a file instead, such as -o notes.wav"
PATIENCE = 10.0
"""s that a player may take longer than the sound lasts, before it is taken for one that hangs."""
_POLL = 0.03
"""s between two looks at whether it is over."""


def never() -> bool:
    """Nobody stops it."""
    return False


def play_notes(notes: Sequence[tuple[float, float]], cancelled: Callable[[], bool] = never) -> bool:
    """Play ``(frequency in Hz, seconds)`` one after another; see ``play``. For a thread."""
    return play_events(in_a_row(notes), cancelled)


def play_events(
    events: Sequence[Event], cancelled: Callable[[], bool] = never, *, vibrato: float = 0.0
) -> bool:
    """Play notes set in time; see ``play``."""
    return play(melody(events, vibrato=vibrato), cancelled)


def play(samples: Floats, cancelled: Callable[[], bool] = never, *, rate: int = RATE) -> bool:
    """Play samples, and wait until they have been heard.

    Parameters
    ----------
    samples : (N,) array within -1 and 1
    cancelled : asked about 30 times a second; once it says so, the sound ends
    rate : int, samples a second

    Returns
    -------
    False if it was cancelled

    Raises
    ------
    SilentError
        when this machine has no player, or none that plays.
    """
    with tempfile.TemporaryDirectory(prefix="scaledesign-") as folder:
        path = Path(folder) / "notes.wav"
        path.write_bytes(wav_bytes(samples, rate))
        return play_file(path, len(samples) / rate, cancelled)


def play_file(path: Path, seconds: float, cancelled: Callable[[], bool] = never) -> bool:
    """Play a WAV file that lasts so many seconds; see ``play``."""
    if sys.platform == "win32":
        return _on_windows(path, seconds, cancelled)
    found = [(program, *options) for program, *options in PLAYERS if shutil.which(program)]
    if not found:
        names = ", ".join(program for program, *_ in PLAYERS)
        raise SilentError(f"this machine has no player of sound (looked for {names})", REMEDY)
    for command in found:
        heard = _run((*command, str(path)), seconds + PATIENCE, cancelled)
        if heard is not None:
            return heard
    names = ", ".join(program for program, *_ in found)
    raise SilentError(f"no loudspeaker was reached (tried {names})", REMEDY)


def _run(command: tuple[str, ...], most: float, cancelled: Callable[[], bool]) -> bool | None:
    """Whether it was heard to the end; None when the program could not play, or not in ``most`` seconds."""
    end = time.monotonic() + most
    quiet = subprocess.DEVNULL
    try:
        process = subprocess.Popen(command, stdin=quiet, stdout=quiet, stderr=quiet)
    except OSError:
        return None
    try:
        while process.poll() is None and time.monotonic() < end:
            if cancelled():
                return False
            time.sleep(_POLL)
        return True if process.poll() == 0 else None
    finally:  # a key that interrupts ends the sound too
        if process.poll() is None:
            process.kill()
            process.wait()


def _on_windows(path: Path, seconds: float, cancelled: Callable[[], bool]) -> bool:
    """As ``play_file``, by what Windows has; a thread plays there while we wait."""
    winsound: Any = import_module("winsound")  # Windows alone has it
    how = winsound.SND_FILENAME | winsound.SND_ASYNC | winsound.SND_NODEFAULT
    try:
        winsound.PlaySound(str(path), how)
    except RuntimeError:
        raise SilentError("Windows could not play the sound", REMEDY) from None
    end = time.monotonic() + seconds
    try:
        while time.monotonic() < end:
            if cancelled():
                return False
            time.sleep(_POLL)
        return True
    finally:
        winsound.PlaySound(None, 0)
