"""Samples as the bytes of a WAV file: one channel, 16 bits, PCM.

Apart from the disk: whoever has the bytes puts them there in one step (``files/document_file.put_bytes``).
"""

from __future__ import annotations

import io
import wave

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.sounding.tones import RATE

FULL = 32767
"""The largest sample."""


def wav_bytes(samples: Floats, rate: int = RATE) -> bytes:
    """Bytes of a WAV file.

    Parameters
    ----------
    samples : (N,) array within -1 and 1; what lies beyond is cut
    rate : int, samples a second
    """
    whole = np.rint(np.clip(samples, -1.0, 1.0) * FULL).astype("<i2")
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(whole.tobytes())
    return out.getvalue()
