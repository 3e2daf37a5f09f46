"""The maker's own picture, for the head of chart and sheet: checked, and as the press takes it.

Apart from the pages because they take it alike, and from the press because a broken picture is the maker's to
mend. The press takes files of text only, so that a PNG or a JPEG goes inside an SVG of its own shape.

A picture can be small as a file and endless to draw. Pixels are counted before anything unpacks them, in
pictures inside an SVG too, and the parts of an SVG as often as they are drawn (``own_svg.py``). An SVG with
filters is sent back: how long they take, no size tells.
"""

from __future__ import annotations

import base64
import re
import zlib
from collections.abc import Iterator
from typing import Literal
from xml.etree import ElementTree

from scaledesign.errors import EditError
from scaledesign.paper import own_svg
from scaledesign.paper.press import PressError, pressed

PictureKind = Literal["png", "jpeg", "svg"]
PNG, JPEG = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"
LARGEST = 8_000_000
"""Bytes; more than any print shows, and mail does not take it."""
LONGEST = 6000
"""Pixels on a side: 1000 an inch where a page is six inches wide."""
UNPACKED = 64_000_000
"""Bytes of all its pixels: 4000 by 4000 in colours that let the paper through."""
_FRAMES = (*range(0xC0, 0xC4), *range(0xC5, 0xC8), *range(0xC9, 0xCC), *range(0xCD, 0xD0))
"""Markers of a JPEG after which its height and width stand (ITU-T T.81, table B.1)."""
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
"""Samples a pixel by colour type of a PNG (ISO/IEC 15948, table 11.1)."""
_TURNS = {
    2: "-1 0 0 1 {w} 0", 3: "-1 0 0 -1 {w} {h}", 4: "1 0 0 -1 0 {h}",
    5: "0 1 1 0 0 0", 6: "0 1 -1 0 {h} 0", 7: "0 -1 -1 0 {h} {w}", 8: "0 -1 1 0 0 {w}",
}  # fmt: skip
"""How a picture is turned that was taken with the camera held otherwise, by its Exif orientation, tag 274
(CIPA DC-008; the numbers from memory). From 5 on it lies on its side."""
_MOST_CHUNKS = 10_000
"""Parts of a PNG."""
_BLOCK = 1 << 20
"""Bytes that are unpacked at a time."""
_FILTER = re.compile(r"(?<![-\w])filter\s*:")


class PictureError(EditError):
    """A picture that cannot be printed: what is the matter with ``named``, and the remedy."""

    def __init__(self, said: str, remedy: str, named: str = "your own picture") -> None:
        super().__init__(f"{named} {said}", remedy)
        self.said = said

    def of(self, file: str) -> PictureError:
        """The same, with the picture called by its file."""
        return PictureError(self.said, self.remedy, f"the picture {file}")


def kind_of(data: bytes) -> PictureKind:
    """What a picture is, by how it begins.

    Raises
    ------
    EditError
        when it is none of the three.
    """
    if data.startswith(PNG):
        return "png"
    if data.startswith(JPEG):
        return "jpeg"
    if b"<svg" in data[:4096]:
        return "svg"
    raise PictureError("is no PNG, JPEG or SVG", "give a file of one of these kinds")


def own_picture(data: bytes) -> bytes:
    """A PNG, JPEG or SVG as an SVG that can be printed.

    Raises
    ------
    EditError
        when it is none of these, is broken, far too large, has filters, or shows another file.
    """
    if len(data) > LARGEST:
        raise PictureError(f"has {len(data) / 1e6:.0f} MB", f"give one of at most {LARGEST / 1e6:.0f} MB")
    made = _checked(data)
    mark = {"kind": "picture", "x": 0, "y": 0, "width": 30, "height": 20, "file": "own.svg", "align": "left"}
    try:
        pressed("chart", {"paper": "a4", "title": "", "pages": [[mark]]}, "pdf", {"own.svg": made})
    except PressError:
        raise _broken() from None
    return made


def _broken() -> PictureError:
    return PictureError("cannot be read", "give a PNG, JPEG or SVG file that opens elsewhere")


def _checked(data: bytes, left: list[float] | None = None) -> bytes:
    """The picture as an SVG, once it is known that it can be drawn in bounded time and memory.

    ``left``: bytes that its pixels may have, and after it what is left of them.
    """
    left = [float(UNPACKED)] if left is None else left
    kind = kind_of(data)
    if kind == "svg":
        _look_into(data, left)
        return data
    turn = 1
    if kind == "png":
        width, height = _png_size(data, left)
    else:
        width, height = _jpeg_size(data, left)
        data, turn = _without_notes(data)
    across, down = (height, width) if turn >= 5 else (width, height)
    turned = f' transform="matrix({_TURNS[turn].format(w=width, h=height)})"' if turn > 1 else ""
    link = f"data:image/{kind};base64,{base64.b64encode(data).decode('ascii')}"
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'width="{across}" height="{down}" viewBox="0 0 {across} {down}">'
        f'<image width="{width}" height="{height}"{turned} xlink:href="{link}"/></svg>'
    ).encode("ascii")


def _look_into(svg: bytes, left: list[float]) -> None:
    """See that an SVG has no filters, and that the pictures in it can be drawn too."""
    try:
        root = own_svg.parsed(svg)
    except own_svg.TooMuchError as error:
        raise PictureError(str(error), "save it as PNG") from None
    except (ElementTree.ParseError, LookupError, ValueError):  # the latter: an encoding nobody knows
        raise _broken() from None
    for element in root.iter():
        name = str(element.tag).rpartition("}")[2]
        style = element.get("style") or (name == "style" and element.text) or ""
        if element.get("filter", "none") != "none" or _FILTER.search(style):
            raise PictureError("has filters, such as a blur or a shadow", "save it as PNG")
        if name == "foreignObject":
            raise PictureError("has parts that only a browser shows", "save it as PNG")
        if name == "image":
            for key, link in element.items():
                if key.rpartition("}")[2] == "href":
                    _checked(_linked(link), left)


def _linked(link: str) -> bytes:
    """The picture that stands in a link (RFC 2397)."""
    head, _, body = link.strip().partition(",")
    if not head.startswith("data:"):
        raise PictureError("shows another file", "put that picture into it, or save it as PNG")
    try:
        return base64.b64decode(body)
    except ValueError:
        raise _broken() from None


def _sized(width: int, height: int, unpacked: float, left: list[float]) -> tuple[int, int]:
    """Width and height, if there is a picture and it is not endless."""
    if not width or not height:
        raise _broken()
    if max(width, height) > LONGEST:
        raise PictureError(f"has {width} × {height} pixels", f"save it with at most {LONGEST} on a side")
    left[0] -= unpacked
    if left[0] < 0:
        raise PictureError(f"has {width} × {height} pixels", "save it with some 2000 on a side")
    return width, height


def _png_size(data: bytes, left: list[float]) -> tuple[int, int]:
    """Width and height in pixels; the picture is whole (ISO/IEC 15948, section 5)."""
    chunks = list(_chunks(data))
    head = b"".join(body for name, body in chunks[:1] if name == b"IHDR")
    if len(head) != 13 or head[9] not in _CHANNELS or chunks[-1][0] != b"IEND":
        raise _broken()
    width, height = (int.from_bytes(head[i : i + 4], "big") for i in (0, 4))
    wanted = width * height * head[8] * _CHANNELS[head[9]] / 8
    _sized(width, height, max(wanted, 3.0 * width * height), left)
    unpacker, packed = zlib.decompressobj(), b"".join(body for name, body in chunks if name == b"IDAT")
    try:
        while wanted > 0:
            block = unpacker.decompress(packed, _BLOCK)
            if not block:
                raise _broken()
            wanted -= len(block)
            packed = unpacker.unconsumed_tail
    except zlib.error:
        raise _broken() from None
    return width, height


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    place = len(PNG)
    for _ in range(_MOST_CHUNKS):
        if place >= len(data):
            return
        length = int.from_bytes(data[place : place + 4], "big")
        named = data[place + 4 : place + 8 + length]
        check = data[place + 8 + length : place + 12 + length]
        if len(check) < 4 or zlib.crc32(named) != int.from_bytes(check, "big"):
            raise _broken()
        yield named[:4], named[4:]
        place += 12 + length
    raise _broken()


def _jpeg_size(data: bytes, left: list[float]) -> tuple[int, int]:
    """Width and height in pixels, from the first frame's head; the file has its end (ITU-T T.81, annex B)."""
    for marker, start, end in _segments(data):
        if marker in _FRAMES and end - start >= 9 and b"\xff\xd9" in data[-64:]:
            height, width = (int.from_bytes(data[start + i : start + i + 2], "big") for i in (5, 7))
            return _sized(width, height, 3.0 * width * height, left)
    raise _broken()


def _segments(data: bytes) -> Iterator[tuple[int, int, int]]:
    """Marker, begin and end of what stands at the head of a JPEG, as far as its first frame."""
    place, marker = 2, 0
    while place + 9 < len(data) and data[place] == 0xFF and marker not in _FRAMES:
        marker, begin = data[place + 1], place
        place += 2 + int.from_bytes(data[place + 2 : place + 4], "big")
        yield marker, begin, place


def _without_notes(data: bytes) -> tuple[bytes, int]:
    """A JPEG without the camera's notes, and which way round they say it is to be shown, 1 to 8.

    Some programs turn a picture by the note and others do not, and it may tell where it was taken.
    """
    for marker, start, end in _segments(data):
        if marker == 0xE1 and data[start + 4 : start + 10] == b"Exif\0\0":
            return data[:start] + data[end:], _orientation(data[start + 10 : end])
    return data, 1


def _orientation(notes: bytes) -> int:
    """What the first list of the notes (TIFF 6.0, section 2) says of it; 1 where it says nothing."""
    order: Literal["little", "big"] = "little" if notes.startswith(b"II") else "big"
    first = int.from_bytes(notes[4:8], order)
    many = int.from_bytes(notes[first : first + 2], order)
    for entry in range(first + 2, first + 2 + 12 * many, 12):
        if int.from_bytes(notes[entry : entry + 2], order) == 274:
            turn = int.from_bytes(notes[entry + 8 : entry + 10], order)
            return turn if turn in _TURNS else 1
    return 1
