"""Takes to measure listening with: a maker's recordings, from easy to hard, each through a file.

The bench measures all of them, the tests a few.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from scaledesign.listening.notes import Listened, heard_in
from scaledesign.listening.sound_file import read
from tests.listening.playing import Blown, Truth, in_a_room, performed, wav, with_breath

LOW, HIGH = 150.0, 2600.0
"""Hz between which notes are looked for, as wide as any flute's."""
OCTAVE_OFF = 500.0
"""Cents from which a note is told in another octave, or as another partial."""


@dataclass(frozen=True)
class Take:
    """One recording: what is played, and how it is recorded."""

    name: str
    notes: list[Blown]
    breath: float = 10.0
    """dB by which the tone is over the breath"""
    room: float | None = -15.0
    """dB of the room's answer; None: none"""
    gain: float = 0.7
    """loudest sample; above 1 it is cut off"""
    rate: int = 44100
    bits: int = 16
    channels: int = 1
    form: str = "wav"
    """wav, floating, extensible or flac"""

    def recorded(self, folder: Path, seed: int) -> tuple[Path, list[Truth]]:
        """The file, and what is truly in it."""
        samples, truths = performed(self.notes, self.rate, seed)
        samples = with_breath(samples, self.breath, self.rate, seed + 1)
        if self.room is not None:
            samples = in_a_room(samples, self.rate, self.room, seed + 2)
        samples = np.clip(self.gain * samples / np.abs(samples).max(), -1, 1)
        path = folder / f"{self.name.replace(' ', '-')}.{'flac' if self.form == 'flac' else 'wav'}"
        if self.form == "flac":
            import soundfile

            soundfile.write(path, samples, self.rate, subtype=f"PCM_{self.bits}")
            return path, truths
        wav(
            path, samples, self.rate, self.bits, self.channels,
            floating=self.form == "floating", extensible=self.form == "extensible",
        )  # fmt: skip
        return path, truths


@dataclass(frozen=True)
class Score:
    """How notes were told."""

    notes: int
    """truly played"""
    missed: int
    strays: int
    """steady notes told that nobody played"""
    octaves: int
    """told in another octave, or as another partial"""
    off: tuple[float, ...]
    """cents, of the others"""


def measured(path: Path, truths: list[Truth]) -> Score:
    """Listen to a file and hold it against the truth."""
    return scored(heard_in(read(path), LOW, HIGH), truths)


def scored(heard: Listened, truths: list[Truth]) -> Score:
    off, octaves, missed, claimed = [], 0, 0, set()
    for truth in truths:
        over = [
            min(note.start + note.seconds, truth.end) - max(note.start, truth.start) for note in heard.notes
        ]
        best = int(np.argmax(over)) if over else -1
        if best < 0 or over[best] < 0.4 * (truth.end - truth.start):
            missed += 1
            continue
        claimed.add(best)
        cents = 1200.0 * np.log2(heard.notes[best].frequency / truth.frequency)
        if abs(cents) > OCTAVE_OFF:
            octaves += 1
        else:
            off.append(float(cents))
    return Score(len(truths), missed, len(heard.notes) - len(claimed), octaves, tuple(off))


def drawn(rng: np.random.Generator, count: int, **how: object) -> list[Blown]:
    """Notes of two octaves, none like the one before, none in tune."""
    notes: list[Blown] = []
    step = 0
    for _ in range(count):
        step = int(rng.choice([s for s in range(25) if s != step]))
        frequency = 262.0 * 2 ** (step / 12 + rng.uniform(-30, 30) / 1200)
        notes.append(Blown(frequency, float(rng.uniform(0.8, 1.6)), **how))
    return notes


def slurred(rng: np.random.Generator, count: int) -> list[Blown]:
    """Octave jumps without a breath between, up and down again; the upper note purer."""
    notes = []
    for _ in range(count // 2):
        low = float(rng.uniform(280, 650))
        how = Blown(low, 1.0, vibrato=20, swell=0.25, gap=0.0, slide=0.02)
        notes += [how, replace(how, frequency=2 * low * 2 ** (rng.uniform(-20, 20) / 1200),
                               levels=(0.0, -14.0, -22.0))]  # fmt: skip
    return notes


WEAK = (-14.0, 0.0, -7.0, -10.0, -18.0, -24.0)
"""dB: the fundamental far below the second harmonic."""
PURE = (0.0, -26.0, -40.0)


def takes(each: int = 24) -> list[Take]:
    """Every kind of take, with so many notes each."""
    rng = np.random.default_rng(1847)
    swaying: dict[str, object] = {"vibrato": 20.0, "swell": 0.25}
    alive = swaying | {"wander": 2.0}
    makers: list[Callable[[], Take]] = [
        lambda: Take("even tone", drawn(rng, each), breath=40, room=None),
        lambda: Take("even tone in breath", drawn(rng, each)),
        lambda: Take("vibrato", drawn(rng, each, **swaying)),
        lambda: Take("vibrato and wandering", drawn(rng, each, **alive)),
        lambda: Take("slides", drawn(rng, each, gap=0.0, **alive)),
        lambda: Take("octave jumps", slurred(rng, each)),
        lambda: Take("weak fundamental", drawn(rng, each, levels=WEAK, **alive)),
        lambda: Take("nearly pure", drawn(rng, each, levels=PURE, **alive)),
        lambda: Take("overdriven", drawn(rng, each, **alive), gain=4.0),
        lambda: Take("96 kHz stereo", drawn(rng, each, **alive), rate=96000, bits=24, channels=2),
        lambda: Take("48 kHz flac", drawn(rng, each, gap=0.0, **alive), rate=48000, bits=24, form="flac"),
        lambda: Take("8 bits at 22 kHz", drawn(rng, each, **alive), rate=22050, bits=8),
        lambda: Take("5 dB only", drawn(rng, each, **alive), breath=5),
    ]
    return [make() for make in makers]
