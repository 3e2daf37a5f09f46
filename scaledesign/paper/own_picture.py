"""The maker's own picture, for the head of chart and sheet: checked, and as the press takes it.

Apart from the pages because they take it alike, and from the press because a broken picture is the maker's to
mend. The press takes files of text only, so that a PNG or a JPEG goes inside an SVG of its own shape.
"""

from __future__ import annotations

import base64
import zlib
from collections.abc import Iterator
from xml.etree import ElementTree

from scaledesign.errors import EditError
from scaledesign.paper.press import PressError, pressed

PNG, JPEG = b"\x89PNG\r\n\x1a\n", b"\xff\xd8"
LARGEST = 8_000_000
"""Bytes; more than any print shows, and mail does not take it."""
_FRAMES = (*range(0xC0, 0xC4), *range(0xC5, 0xC8), *range(0xC9, 0xCC), *range(0xCD, 0xD0))
"""Markers of a JPEG after which its height and width stand (ITU-T T.81, table B.1)."""


def own_picture(data: bytes) -> bytes:
    """A PNG, JPEG or SVG as an SVG that can be printed.

    Raises
    ------
    EditError
        when it is none of these, is broken, or is far too large.
    """
    if len(data) > LARGEST:
        raise EditError(
            f"your own picture has {len(data) / 1e6:.0f} MB", f"give one of at most {LARGEST / 1e6:.0f} MB"
        )
    if data.startswith(PNG):
        made = _inside(data, "png", *_png_size(data))
    elif data.startswith(JPEG):
        made = _inside(data, "jpeg", *_jpeg_size(data))
    elif b"<svg" in data[:4096]:
        made = data
    else:
        raise EditError("your own picture is no PNG, JPEG or SVG", "give a file of one of these kinds")
    try:
        ElementTree.fromstring(made)
        marks = [
            {"kind": "picture", "x": 0, "y": 0, "width": 30, "height": 20, "file": "own.svg", "align": "left"}
        ]
        pressed("chart", {"paper": "a4", "title": "", "pages": [marks]}, "svg", {"own.svg": made})
    except (ElementTree.ParseError, PressError):
        raise _broken() from None
    return made


def _broken() -> EditError:
    return EditError("your own picture cannot be read", "give a PNG, JPEG or SVG file that opens elsewhere")


def _inside(data: bytes, kind: str, width: int, height: int) -> bytes:
    if not width or not height:
        raise _broken()
    link = f"data:image/{kind};base64,{base64.b64encode(data).decode('ascii')}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{width}" '
        f'height="{height}" viewBox="0 0 {width} {height}"><image width="{width}" height="{height}" '
        f'xlink:href="{link}"/></svg>'
    ).encode("ascii")


def _png_size(data: bytes) -> tuple[int, int]:
    """Width and height in pixels; the picture is whole (ISO/IEC 15948, section 5)."""
    chunks = dict.fromkeys((b"IHDR", b"IDAT", b"IEND"), b"")
    found = set()
    for name, body in _chunks(data):
        chunks[name] = chunks.get(name, b"") + body
        found.add(name)
    try:
        if not {b"IHDR", b"IDAT", b"IEND"} <= found or not zlib.decompress(chunks[b"IDAT"]):
            raise _broken()
    except zlib.error:
        raise _broken() from None
    head = chunks[b"IHDR"]
    return int.from_bytes(head[:4], "big"), int.from_bytes(head[4:8], "big")


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    place = len(PNG)
    while place < len(data):
        length = int.from_bytes(data[place : place + 4], "big")
        named = data[place + 4 : place + 8 + length]
        check = data[place + 8 + length : place + 12 + length]
        if len(check) < 4 or zlib.crc32(named) != int.from_bytes(check, "big"):
            raise _broken()
        yield named[:4], named[4:]
        place += 12 + length


def _jpeg_size(data: bytes) -> tuple[int, int]:
    """Width and height in pixels, from the first frame's head; the file has its end (ITU-T T.81, annex B)."""
    place = 2
    while place + 9 < len(data) and data[place] == 0xFF:
        marker, length = data[place + 1], int.from_bytes(data[place + 2 : place + 4], "big")
        if marker in _FRAMES:
            if b"\xff\xd9" not in data[-64:]:
                break
            height, width = (int.from_bytes(data[place + i : place + i + 2], "big") for i in (5, 7))
            return width, height
        place += 2 + length
    raise _broken()
