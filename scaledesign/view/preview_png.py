"""A reader of pictures: a PNG as the press makes it in, the ink on white paper out.

Apart because it is the one place that knows the format, and because a library for pictures of every kind
would be a large thing to install for this one use. Eight bits a sample, grey or colour, with or without
alpha, not interlaced; anything else is refused. After ISO/IEC 15948:2004, "Portable Network Graphics (PNG)",
clauses 5 (chunks) and 9 (filters).
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Greys = NDArray[np.uint8]
"""(height, width), 0 black to 255 white."""

SIGNATURE = b"\x89PNG\r\n\x1a\n"
CHANNELS = {0: 1, 2: 3, 4: 2, 6: 4}
"""Samples a pixel, for each colour type: grey, colour, grey with alpha, colour with alpha."""
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])
"""Share of red, green and blue in how light a pixel is; ITU-R BT.709-6, item 3.2."""
WHITE = 255
NONE, SUB, UP, AVERAGE, PAETH = range(5)


class PictureError(ValueError):
    """Not a picture that is read here."""


def page_of(data: bytes) -> Greys:
    """How light each pixel of a PNG is, on white paper.

    Raises
    ------
    PictureError
        when it is no PNG, or of a kind that the press does not make.
    """
    filters, coded = _lines(data)
    if coded.shape[2] >= 3 and _is_grey(coded):
        coded = coded[:, :, 2:]  # one colour stands for three: what is stored alike is alike
    samples = _unfiltered(filters, coded)
    colours = samples[:, :, : 3 if samples.shape[2] >= 3 else 1]
    alpha = samples[:, :, -1] if samples.shape[2] % 2 == 0 else None
    if colours.shape[2] == 1 and (alpha is None or bool((alpha == WHITE).all())):
        return colours[:, :, 0]
    light = colours @ WEIGHTS if colours.shape[2] == 3 else colours[:, :, 0].astype(float)
    if alpha is not None:
        light = WHITE + (light - WHITE) * (alpha / WHITE)
    page: Greys = np.rint(light).astype(np.uint8)
    return page


def _lines(data: bytes) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """The filter of each line, and what is stored of its samples."""
    width, height, channels, packed = _parts(data)
    try:
        raw = np.frombuffer(zlib.decompress(packed), np.uint8)
    except zlib.error as error:
        raise PictureError(f"the picture is damaged ({error})") from error
    if raw.size != height * (width * channels + 1):
        raise PictureError("the picture is not whole")
    lines = raw.reshape(height, width * channels + 1)
    if lines[:, 0].max() > PAETH:
        raise PictureError("the picture has a filter that is not known")
    return lines[:, 0], lines[:, 1:].reshape(height, width, channels)


def _parts(data: bytes) -> tuple[int, int, int, bytes]:
    """Width, height, channels, and the packed samples."""
    packed, head = bytearray(), b""
    for name, body in _chunks(data):
        if name == b"IHDR":
            head = body
        elif name == b"IDAT":
            packed += body
    if len(head) != 13:
        raise PictureError("the picture has no head")
    width, height = int.from_bytes(head[:4], "big"), int.from_bytes(head[4:8], "big")
    depth, kind, interlaced = head[8], head[9], head[12]
    if depth != 8 or kind not in CHANNELS or interlaced or not width or not height:
        raise PictureError("the picture is of another kind than the press makes")
    return width, height, CHANNELS[kind], bytes(packed)


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    if not data.startswith(SIGNATURE):
        raise PictureError("that is no PNG")
    place = len(SIGNATURE)
    while place + 12 <= len(data):
        size = int.from_bytes(data[place : place + 4], "big")
        yield data[place + 4 : place + 8], data[place + 8 : place + 8 + size]
        place += 12 + size


def _unfiltered(filters: NDArray[np.uint8], coded: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Undo the filters: each sample was stored less what its neighbours foretell."""
    height, width, channels = coded.shape
    # One blank column at the left and one blank line above stand for the neighbours beyond the edge.
    whole = np.zeros((height + 1, width + 1, channels), np.uint8)
    whole[1:, 1:] = coded
    slow = np.flatnonzero(filters >= AVERAGE)
    first, last = (int(slow[0]), int(slow[-1]) + 1) if slow.size else (height, height)
    _by_lines(whole, filters, 0, first)
    _by_slants(whole, filters, first, last)
    _by_lines(whole, filters, last, height)
    return whole[1:, 1:]


def _by_lines(whole: NDArray[np.uint8], filters: NDArray[np.uint8], start: int, stop: int) -> None:
    """Lines whose samples need only the one before, or only those above."""
    for y in range(start, stop):
        if filters[y] == SUB:
            np.cumsum(whole[y + 1], axis=0, dtype=np.uint8, out=whole[y + 1])
        elif filters[y] == UP:
            whole[y + 1] += whole[y]


def _by_slants(whole: NDArray[np.uint8], filters: NDArray[np.uint8], start: int, stop: int) -> None:
    """Any lines: on a slant from lower left to upper right no sample needs another; one step does them all.

    A sample's neighbours at the left and above lie on the slant before, the one between them on the slant
    before that.
    """
    _, across, channels = whole.shape
    width, height = across - 1, stop - start
    if height <= 0:
        return
    flat = whole[start:].reshape(-1, channels)
    kinds = filters[start:stop, None]
    # One formula does three filters: (left and a) + (above and b) >> shift; the average has all of it.
    a = -np.isin(kinds, (SUB, AVERAGE)).astype(np.int16)
    b = -np.isin(kinds, (UP, AVERAGE)).astype(np.int16)
    shift = (kinds == AVERAGE).astype(np.int16)
    nearest = kinds == PAETH
    # What stands at index y + 1 of a slant is its sample in line y; index 0 is the line above the part.
    before, last = (np.zeros((height + 1, channels), np.int16) for _ in range(2))
    for slant in range(width + height - 1):
        top, end = max(0, slant - width + 1), min(height, slant + 1)
        # The sample (y, x) lies at (y + 1) * across + x + 1, and x is slant - y: the next is width further.
        place = top * width + across + slant + 1
        here = flat[place : place + (end - top - 1) * width + 1 : width]
        if slant < width:
            last[0], before[0] = flat[slant + 1], flat[slant]
        left, up, corner = last[top + 1 : end + 1], last[top:end], before[top:end]
        foretold = ((left & a[top:end]) + (up & b[top:end])) >> shift[top:end]
        over, beside = up - corner, left - corner
        by_left, by_up, by_corner = np.abs(over), np.abs(beside), np.abs(over + beside)
        paeth = np.where(by_up <= by_corner, up, corner)
        paeth = np.where(by_left <= np.minimum(by_up, by_corner), left, paeth)
        found = (np.where(nearest[top:end], paeth, foretold) + here) & 255
        here[:] = found
        before, last = last, before
        last[top + 1 : end + 1] = found


def _is_grey(colours: NDArray[np.uint8]) -> bool:
    return bool((colours[:, :, 0] == colours[:, :, 1]).all() and (colours[:, :, 1] == colours[:, :, 2]).all())
