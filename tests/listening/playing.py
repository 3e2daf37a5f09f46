"""A maker who plays into a microphone, made up: what is in the samples is known to the last cent.

Independent of ``scaledesign.sounding``. A note has harmonics with levels of its own (the fundamental weak,
if asked), begins flat with a chiff of noise, sways in pitch and in loudness together, and wanders. Breath is
pink noise; the room answers with a tail of decaying noise; the file has any rate, width and number of
channels. All levels are common practice, no source.

The truth of a note is the mean of its pitch in cents over whole waves of its vibrato, from the end of its
beginning to the beginning of its end: the sway is symmetric in cents, so that is the pitch it sways about.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path

import numpy as np

SETTLING = 0.12
"""s that a note takes to come to its pitch."""


@dataclass(frozen=True)
class Blown:
    """One note as it is blown."""

    frequency: float
    seconds: float
    vibrato: float = 0.0
    """cents up and down"""
    waves: float = 5.0
    """Hz"""
    swell: float = 0.0
    """share by which loudness goes with the vibrato"""
    levels: tuple[float, ...] = (0.0, -8.0, -14.0, -22.0, -28.0, -36.0)
    """decibels of the harmonics"""
    gap: float = 0.25
    """s of silence behind it; 0: it slides into the next"""
    slide: float = 0.12
    """s that the slide takes"""
    wander: float = 0.0
    """cents, one standard deviation, of what breath does; none on the whole"""
    scoop: float = 25.0
    """cents by which it begins flat"""
    loudness: float = 1.0


@dataclass(frozen=True)
class Truth:
    """Where a note truly is."""

    start: float
    end: float
    frequency: float


def wander(count: int, rate: float, cents: float, rng: np.random.Generator) -> np.ndarray:
    """Slow noise of so many cents, its mean none."""
    step = 0.02
    coarse = rng.standard_normal(int(count / rate / step) + 4)
    coarse = np.convolve(coarse, np.ones(5) / 5, "same")
    slow = np.interp(np.arange(count) / rate, np.arange(len(coarse)) * step, coarse)
    slow -= slow.mean()
    return cents * slow / (slow.std() or 1.0)


def performed(
    notes: list[Blown], rate: int = 44100, seed: int = 0, lead: float = 0.3
) -> tuple[np.ndarray, list[Truth]]:
    """Samples of notes one after another, without breath or room, and where each is."""
    rng = np.random.default_rng(seed)
    total = lead + sum(n.seconds + n.gap for n in notes) + 0.3
    count = int(total * rate)
    cents = np.zeros(count)
    level = np.zeros((max(len(n.levels) for n in notes), count))
    truths: list[Truth] = []
    at, slid = lead, False
    for index, note in enumerate(notes):
        first, last = int(at * rate), int((at + note.seconds) * rate)
        time = np.arange(last - first) / rate
        pitch = 1200.0 * np.log2(note.frequency) + np.zeros(len(time))
        begun = time >= SETTLING
        pitch += note.vibrato * np.sin(2 * np.pi * note.waves * time + rng.uniform(0, 2 * np.pi))
        sway = pitch - 1200.0 * np.log2(note.frequency)
        if note.wander:
            pitch[begun] += wander(int(begun.sum()), rate, note.wander, rng)
        if not slid:
            pitch -= note.scoop * np.exp(-time / 0.025) * (time < SETTLING)
        cents[first:last] = pitch
        loud = 1.0 + (note.swell * sway / note.vibrato if note.vibrato else 0.0)
        rise = 1.0 if slid else np.clip(time / 0.05, 0, 1) ** 1.5
        slides = note.gap == 0 and index + 1 < len(notes)
        fall = 1.0 if slides else np.clip((note.seconds - time) / 0.08, 0, 1)
        for k, decibels in enumerate(note.levels):
            late = 1.0 if slid else np.clip((time - 0.012 * k) / (0.05 + 0.02 * k), 0, 1)
            level[k, first:last] = note.loudness * 10 ** (decibels / 20) * loud * rise * fall * late
        end = at + note.seconds - (note.slide if slides else 0.08)
        truths.append(Truth(at + (note.slide if slid else SETTLING), end, note.frequency))
        if slides:  # the slide lies within the end of this note
            slide = int(note.slide * rate)
            goal = 1200.0 * np.log2(notes[index + 1].frequency)
            ramp = 0.5 - 0.5 * np.cos(np.pi * np.arange(slide) / slide)
            cents[last - slide : last] = (1 - ramp) * cents[last - slide : last] + ramp * goal
        slid = slides
        at += note.seconds + note.gap
    frequency = np.where(cents > 0, 2.0 ** (cents / 1200.0), 0.0)
    phase = 2 * np.pi * np.cumsum(frequency) / rate
    out = np.zeros(count)
    for k in range(len(level)):
        fits = (k + 1) * frequency < 0.48 * rate
        out += np.where(fits, level[k], 0.0) * np.sin((k + 1) * phase + rng.uniform(0, 2 * np.pi))
    for note, truth in zip(notes, truths, strict=True):  # the chiff
        if truth.start - SETTLING > 0:
            first = int((truth.start - SETTLING) * rate)
            chiff = rng.standard_normal(int(0.05 * rate)) * np.hanning(int(0.05 * rate))
            out[first : first + len(chiff)] += 0.15 * note.loudness * chiff[: count - first]
    return out, truths


def pink(count: int, rate: int, rng: np.random.Generator) -> np.ndarray:
    """Pink noise above 50 Hz, its power 1."""
    spectrum = np.fft.rfft(rng.standard_normal(count))
    hertz = np.fft.rfftfreq(count, 1 / rate)
    spectrum *= np.where(hertz > 50, 1 / np.sqrt(np.maximum(hertz, 50)), 0)
    noise = np.fft.irfft(spectrum, count)
    return noise / noise.std()


def with_breath(samples: np.ndarray, decibels: float, rate: int, seed: int = 1) -> np.ndarray:
    """Breath so many decibels below the tone, where it sounds; half of it goes on between the notes."""
    rng = np.random.default_rng(seed)
    window = int(0.05 * rate)
    power = np.convolve(samples**2, np.ones(window) / window, "same")
    loud = power > 0.05 * power.max()
    level = np.sqrt(np.median(power[loud]) * 10 ** (-decibels / 10))
    envelope = np.convolve(np.where(loud, 1.0, 0.5), np.ones(window) / window, "same")
    return samples + level * envelope * pink(len(samples), rate, rng)


def in_a_room(samples: np.ndarray, rate: int, decibels: float = -15.0, seed: int = 2) -> np.ndarray:
    """A tail of 0.4 s, all of it so many decibels beside the sound itself."""
    rng = np.random.default_rng(seed)
    time = np.arange(int(0.4 * rate)) / rate
    tail = rng.standard_normal(len(time)) * np.exp(-6.9 * time / 0.4) * (time > 0.004)
    tail *= 10 ** (decibels / 20) / np.sqrt((tail**2).sum())
    size = 1 << (len(samples) + len(tail)).bit_length()
    return samples + np.fft.irfft(np.fft.rfft(samples, size) * np.fft.rfft(tail, size), size)[: len(samples)]


def wav(
    path: Path,
    samples: np.ndarray,
    rate: int,
    bits: int = 16,
    channels: int = 1,
    *,
    floating: bool = False,
    extensible: bool = False,
) -> Path:
    """Write a WAV file; a second channel is fainter and hissing."""
    cut = np.clip(samples, -1, 1)
    if channels > 1:
        other = np.clip(0.5 * cut + 0.01 * np.random.default_rng(9).standard_normal(len(cut)), -1, 1)
        cut = np.stack([cut, *[other] * (channels - 1)], axis=1)
    flat = np.ascontiguousarray(cut).reshape(-1)
    if floating:
        data = flat.astype("<f4" if bits == 32 else "<f8").tobytes()
    elif bits == 8:
        data = np.rint(flat * 127 + 128).astype(np.uint8).tobytes()
    elif bits == 24:
        data = np.rint(flat * (2**23 - 1)).astype("<i4").reshape(-1, 1).view(np.uint8)[:, :3].tobytes()
    else:
        data = np.rint(flat * (2.0 ** (bits - 1) - 1)).astype(f"<i{bits // 8}").tobytes()
    block = channels * bits // 8
    kind = 3 if floating else 1
    form = struct.pack("<HHIIHH", 0xFFFE if extensible else kind, channels, rate, rate * block, block, bits)
    if extensible:
        guid = struct.pack("<H", kind) + bytes.fromhex("000000001000800000aa00389b71")
        form += struct.pack("<HHI", 22, bits, 0) + guid
    body = b"WAVE" + b"fmt " + struct.pack("<I", len(form)) + form
    body += b"LIST" + struct.pack("<I", 3) + b"abc\0"
    body += b"data" + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2)
    path.write_bytes(b"RIFF" + struct.pack("<I", len(body)) + body)
    return path
