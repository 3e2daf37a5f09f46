"""A recording read from a file: WAV or FLAC, any width and rate, its loudest channel, made small.

WAV is read here, so that a recorder's plain files need no library; FLAC by soundfile, which comes with the
extra ``[recording]``. A file is data: it is read in blocks, bounded in size and length, and what is broken or
strange is said in one sentence. What comes out has at most ``MOST_RATE`` samples a second: a flute's partials
that count lie far below half of that.

Multimedia Programming Interface and Data Specifications 1.0, 1991, and its addition on extensible formats
(from memory): the chunks of a WAV file.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from scaledesign.errors import RecordingError
from scaledesign.locations import install
from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass
from scaledesign.wanted import go_on

Samples = NDArray[np.float32]
LONGEST = 20 * 60.0
"""s of a recording."""
LARGEST = 200 * 2**20
"""bytes of a file."""
RATES = (8000, 384000)
"""Samples a second that recorders write."""
MOST_CHANNELS = 4
MOST_RATE = 32000
"""Samples a second that are kept at most."""
FULL = 0.999
"""Share of full scale at which a sample is cut off."""
INSTALL = install("recording")

_BLOCK = 1 << 16
"""Frames read at once."""
_TAPS = 32
"""Samples, before and after, that each one kept is made of, for each one left out."""
_PCM, _FLOATING, _EXTENSIBLE = 1, 3, 0xFFFE
_CHUNKS = 1000
"""Chunks of a WAV file that are looked at before its samples."""


@dataclass(frozen=True)
class Recording:
    """What a microphone heard: (N,) samples within -1 and 1, and how many there are a second."""

    samples: Samples
    rate: float
    clipped: float
    """Share of the samples that were as loud as the file can say."""

    @property
    def seconds(self) -> float:
        """How long it is."""
        return len(self.samples) / self.rate


@dataclass(frozen=True)
class _Form:
    """How samples lie in a file."""

    rate: int
    channels: int
    frames: int


def read(path: Path, cancelled: Callable[[], bool] = lambda: False) -> Recording:
    """Read a recording.

    Raises
    ------
    RecordingError
        when it is no sound that can be read, or too long, or the reader is not installed.
    """
    try:
        return _read(path, cancelled)
    except OSError as error:
        raise RecordingError(
            path, f"cannot be read ({error.strerror or error})", "check the name and the disk"
        ) from error


def _read(path: Path, cancelled: Callable[[], bool]) -> Recording:
    if path.exists() and not path.is_file():  # a pipe would be waited for without end
        raise RecordingError(path, "cannot be read (it is no file)", "check the name")
    if path.stat().st_size > LARGEST:
        raise RecordingError(
            path, f"is larger than {LARGEST >> 20} MB", "cut it shorter, or record mono with 16 bits"
        )
    with path.open("rb") as file:
        head = file.read(12)
        if head[:4] == b"RIFF" and head[8:] == b"WAVE":
            return _put_together(path, *_wav(path, file), cancelled)
    if head[:4] == b"fLaC":
        return _put_together(path, *_flac(path), cancelled)
    what = "is empty" if not head else "is neither WAV nor FLAC"
    raise RecordingError(path, what, "save the recording as WAV or FLAC")


def _put_together(
    path: Path, form: _Form, blocks: Callable[[], Iterator[Floats]], cancelled: Callable[[], bool]
) -> Recording:
    """The samples of the loudest channel, every so many left out once what they hide is filtered away.

    The file is read twice: only one channel is ever kept, as long as it may be (some 150 MB).
    """
    if not RATES[0] <= form.rate <= RATES[1] or not 1 <= form.channels <= MOST_CHANNELS:
        raise RecordingError(
            path,
            f"says it has {form.channels} channels of {form.rate} samples a second",
            "save it anew: mono, 44100 Hz",
        )
    if form.frames > LONGEST * form.rate:
        raise RecordingError(
            path, f"is {form.frames / form.rate / 60:.0f} minutes long", f"cut it to {LONGEST / 60:.0f}"
        )
    keep = -(-form.rate // MOST_RATE)
    power, cut, count = np.zeros(form.channels), np.zeros(form.channels), 0
    for block in blocks():
        go_on()
        if cancelled():
            break
        whole = _within(block)
        power += (whole**2).sum(axis=0)
        cut += (np.abs(whole) >= FULL).sum(axis=0)
        count += len(block)
    if count == 0 and not cancelled():
        raise RecordingError(path, "holds no sound", "record it again")
    loudest = int(power.argmax())
    kept, filled, thin = np.empty(count // keep + 1, np.float32), 0, _Thinner(keep)
    for block in blocks():
        go_on()
        if cancelled():
            break
        part = thin.take(_within(block[:, loudest]))[: len(kept) - filled]
        kept[filled : filled + len(part)] = part
        filled += len(part)
    return Recording(kept[:filled], form.rate / keep, float(cut[loudest] / max(count, 1)))


def _within(samples: Floats) -> Floats:
    """Samples within -1 and 1, whatever a file of floating numbers says."""
    if not np.isfinite(samples).all():
        samples = np.nan_to_num(samples, nan=0.0, posinf=1.0, neginf=-1.0)
    return np.clip(samples, -1.0, 1.0)


class _Thinner:
    """Keeps one sample in so many of a stream, with a windowed sinc before it."""

    def __init__(self, keep: int) -> None:
        self._keep = keep
        reach = _TAPS * keep
        place = np.arange(-reach, reach + 1) / keep
        taps = np.sinc(0.9 * place) * np.kaiser(2 * reach + 1, 8.0)
        self._taps = taps / taps.sum()
        self._left = np.zeros(reach)

    def take(self, samples: Floats) -> Samples:
        if self._keep == 1:
            return samples.astype(np.float32)
        stream = np.concatenate([self._left, samples])
        outs = max(0, (len(stream) - len(self._taps)) // self._keep + 1)
        if not outs:
            self._left = stream
            return np.zeros(0, np.float32)
        windows = np.lib.stride_tricks.sliding_window_view(stream, len(self._taps))[:: self._keep]
        self._left = stream[outs * self._keep :]
        return np.asarray(np.einsum("tw,w->t", windows[:outs], self._taps), np.float32)


def _wav(path: Path, file: BinaryIO) -> tuple[_Form, Callable[[], Iterator[Floats]]]:
    """How a WAV file's samples lie, and the samples in blocks; the file stands behind its first 12 bytes."""
    size = path.stat().st_size
    form = b""
    for _ in range(_CHUNKS):
        head = file.read(8)
        if len(head) < 8:
            break
        name, length = struct.unpack("<4sI", head)
        if name == b"data":
            if len(form) < 16:
                break
            return _samples(path, file, form, min(length, size - file.tell()))
        if name == b"fmt ":
            form = file.read(min(length, 64))
            file.seek(max(0, length - len(form)), 1)
        else:
            file.seek(length, 1)
        file.seek(length % 2, 1)
    raise RecordingError(path, "is a broken WAV file", "save the recording anew")


def _samples(
    path: Path, file: BinaryIO, form: bytes, length: int
) -> tuple[_Form, Callable[[], Iterator[Floats]]]:
    kind, channels, rate, _, block, bits = struct.unpack("<HHIIHH", form[:16])
    if kind == _EXTENSIBLE and len(form) >= 26:
        (kind,) = struct.unpack("<H", form[24:26])
    width = block // max(channels, 1)
    known = {_PCM: (1, 2, 3, 4), _FLOATING: (4, 8)}.get(kind, ())
    if width not in known or block != width * channels or not 8 * (width - 1) < bits <= 8 * width:
        raise RecordingError(
            path, "is a WAV file of a kind that cannot be read", "save it as WAV with 16 bits"
        )
    frames = length // block

    def blocks() -> Iterator[Floats]:
        left = frames
        with path.open("rb") as again:
            again.seek(start)
            while left:
                data = again.read(min(left, _BLOCK) * block)
                whole = len(data) // block
                if not whole:
                    return
                left -= whole
                yield _numbers(data[: whole * block], kind, width).reshape(whole, channels)

    start = file.tell()
    return _Form(rate, channels, frames), blocks


def _numbers(data: bytes, kind: int, width: int) -> Floats:
    """Samples within -1 and 1."""
    if kind == _FLOATING:
        with np.errstate(invalid="ignore"):  # numbers that are none are seen to by who asks
            return np.frombuffer(data, f"<f{width}").astype(float)
    if width == 1:
        return (np.frombuffer(data, np.uint8).astype(float) - 128.0) / 128.0
    if width == 3:
        wide = np.zeros((len(data) // 3, 4), np.uint8)
        wide[:, 1:] = np.frombuffer(data, np.uint8).reshape(-1, 3)
        return wide.view("<i4").reshape(-1) / 2.0**31
    return np.frombuffer(data, f"<i{width}") / 2.0 ** (8 * width - 1)


def _flac(path: Path) -> tuple[_Form, Callable[[], Iterator[Floats]]]:
    try:
        import soundfile  # type: ignore[import-untyped]  # it has no types
    except ImportError as error:
        raise RecordingError(path, "is FLAC, and what reads that is not there", INSTALL) from error
    except OSError as error:  # its own library is missing
        raise RecordingError(path, f"cannot be read ({error})", "save it as WAV") from error
    broken = RecordingError(path, "is a broken FLAC file", "save the recording anew")
    try:
        about = soundfile.info(str(path))
    except RuntimeError as error:
        raise broken from error
    frames = int(about.frames)
    form = _Form(int(about.samplerate), int(about.channels), frames)

    def blocks() -> Iterator[Floats]:
        left = min(frames, int(LONGEST * RATES[1]))
        try:
            with soundfile.SoundFile(str(path)) as file:
                while left > 0:
                    block: Any = file.read(min(left, _BLOCK), dtype="float64", always_2d=True)
                    if not len(block):
                        return
                    left -= len(block)
                    yield block
        except RuntimeError as error:
            raise broken from error

    return form, blocks
