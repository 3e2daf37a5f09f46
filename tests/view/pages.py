"""Small pages as PNG, drawn here: paper with black boxes on it."""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

from scaledesign.view.preview_png import SIGNATURE

KINDS = {1: 0, 2: 4, 3: 2, 4: 6}
"""Colour type by samples a pixel."""


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def packed(samples: NDArray[np.uint8], filters: NDArray[np.uint8]) -> bytes:
    """A PNG of (height, width, channels) samples, each line stored by the filter that is asked for."""
    height, width, channels = samples.shape
    whole = np.zeros((height + 1, width + 1, channels), int)
    whole[1:, 1:] = samples
    here, left, up, corner = whole[1:, 1:], whole[1:, :-1], whole[:-1, 1:], whole[:-1, :-1]
    guess = left + up - corner
    by_left, by_up, by_corner = abs(guess - left), abs(guess - up), abs(guess - corner)
    paeth = np.where(
        (by_left <= by_up) & (by_left <= by_corner), left, np.where(by_up <= by_corner, up, corner)
    )
    foretold = np.stack([np.zeros_like(here), left, up, (left + up) // 2, paeth])
    coded = ((here - foretold[filters, np.arange(height)]) % 256).astype(np.uint8).reshape(height, -1)
    raw = np.hstack([filters[:, None].astype(np.uint8), coded]).tobytes()
    head = struct.pack(">IIBBBBB", width, height, 8, KINDS[channels], 0, 0, 0)
    data = zlib.compress(raw, 1)
    half = len(data) // 2
    return SIGNATURE + b"".join(
        (chunk(b"IHDR", head), chunk(b"tEXt", b"x"), chunk(b"IDAT", data[:half]), chunk(b"IDAT", data[half:]),
         chunk(b"IEND", b""))
    )  # fmt: skip


def page(*boxes: tuple[int, int, int, int], width: int = 144, height: int = 288) -> bytes:
    """A page of an inch by two, with boxes (left, top, right, bottom) in pixels."""
    light = np.full((height, width, 1), 255, np.uint8)
    for left, top, right, bottom in boxes:
        light[top:bottom, left:right] = 0
    return packed(light, np.zeros(height, np.uint8))
