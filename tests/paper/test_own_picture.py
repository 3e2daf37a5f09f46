"""The maker's own picture: what can be printed is, what cannot be is told in one sentence."""

from __future__ import annotations

import base64
import io
import struct
import tracemalloc
import zlib

import numpy as np
import pytest
from PIL import Image, ImageOps

from scaledesign.errors import EditError
from scaledesign.paper.own_picture import LARGEST, LONGEST, own_picture
from scaledesign.paper.press import pressed

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3 2"><rect width="3" height="2"/></svg>'


def drawn(kind: str, mode: str = "RGB") -> bytes:
    """Three times two dozen pixels, the left half black."""
    picture = Image.new("L", (36, 24), 255)
    picture.paste(0, (0, 0, 18, 24))
    stream = io.BytesIO()
    picture.convert(mode).save(stream, kind)
    return stream.getvalue()


@pytest.mark.parametrize(
    ("kind", "mode"), [("PNG", "RGB"), ("PNG", "L"), ("PNG", "P"), ("JPEG", "RGB"), ("JPEG", "L")]
)
def test_pixels_come_through(kind: str, mode: str) -> None:
    svg = own_picture(drawn(kind, mode))
    mark = {
        "kind": "picture",
        "x": 10,
        "y": 10,
        "width": 36,
        "height": 24,
        "file": "own.svg",
        "align": "left",
    }
    (png,) = pressed(
        "chart", {"paper": "a4", "title": "", "pages": [[mark]]}, "png", {"own.svg": svg}, ppi=25.4
    )
    page = Image.open(io.BytesIO(png)).convert("L")
    tones = [page.getpixel((x, 20)) for x in (5, 12, 26, 30, 44, 50)]
    assert [int(tone) > 128 for tone in tones] == [True, False, False, True, True, True]


def shown(svg: bytes, size: tuple[int, int]) -> Image.Image:
    """The picture on a page, a pixel for a pixel."""
    mark = {"kind": "picture", "x": 0, "y": 0, "width": size[0], "height": size[1], "file": "own.svg",
            "align": "left"}  # fmt: skip
    data = {"paper": "a4", "title": "", "pages": [[mark]]}
    (png,) = pressed("chart", data, "png", {"own.svg": svg}, ppi=25.4)
    return Image.open(io.BytesIO(png)).convert("L").crop((0, 0, *size))


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("orientation", range(10))
def test_a_photograph_stands_as_the_camera_was_held(orientation: int, order: str) -> None:
    """Against another reader of the same note in the file."""
    picture = Image.new("L", (36, 24), 255)
    picture.paste(0, (0, 0, 12, 8))
    picture.paste(128, (24, 0, 36, 8))
    exif = Image.Exif()
    exif.endian = order
    exif[274] = orientation
    stream = io.BytesIO()
    picture.save(stream, "JPEG", exif=exif, quality=95)
    wanted = ImageOps.exif_transpose(Image.open(stream)).convert("L")
    svg = own_picture(stream.getvalue())
    assert b"Exif" not in base64.b64decode(svg.partition(b"base64,")[2].partition(b'"')[0])
    found = shown(svg, wanted.size)
    assert np.abs(np.asarray(found, float) - np.asarray(wanted, float)).mean() < 6


def test_an_svg_goes_as_it_is() -> None:
    assert own_picture(SVG) == SVG


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_half_a_file_cannot_be_read(kind: str) -> None:
    whole = drawn(kind)
    for part in (whole[: len(whole) // 2], whole[:-12], whole[:40], whole[:2] + b"\0" * 30):
        with pytest.raises(EditError, match="your own picture"):
            own_picture(part)


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7", b"words", b"\0" * 99, SVG[:-9], b"<svg>" + b"\xff" * 9])
def test_what_is_no_picture_is_told(data: bytes) -> None:
    with pytest.raises(EditError, match=r"^your own picture (is no|cannot be read).*; give a"):
        own_picture(data)


def test_a_huge_one_is_told() -> None:
    with pytest.raises(EditError, match=r"^your own picture has 9 MB; give one of at most 8 MB\.$"):
        own_picture(b"\x89PNG\r\n\x1a\n" + bytes(LARGEST + 1_000_000))


def test_a_picture_that_asks_for_another_file_is_told() -> None:
    """No file of the computer gets onto a page by way of a picture."""
    link = b'<image xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="own.png" width="1" height="1"/>'
    with pytest.raises(EditError, match="shows another file; put that picture into it"):
        own_picture(SVG.replace(b"<rect", link + b"<rect"))
    link = link.replace(b"own.png", b"file:///etc/hostname")
    inner = base64.b64encode(SVG.replace(b"<rect", link + b"<rect"))
    with pytest.raises(EditError, match="shows another file"):
        own_picture(SVG.replace(b"<rect", within(b"svg+xml", inner) + b"<rect"))


def within(kind: bytes, data: bytes) -> bytes:
    """A picture inside an SVG."""
    return b'<image href="data:image/%s;base64,%s" width="3" height="2"/>' % (kind, data)


def endless(side: int, packed: bytes) -> bytes:
    """A PNG that says it has ``side`` times ``side`` grey pixels."""
    chunks = {b"IHDR": struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0), b"IDAT": packed, b"IEND": b""}
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks.items()
    )


def test_a_small_file_with_endless_pixels_is_told_before_it_is_unpacked() -> None:
    """Half a gigabyte of pixels, by itself and within an SVG; and a small picture with a long tail."""
    packer = zlib.compressobj(9)
    packed = b"".join(packer.compress(bytes(1 << 20)) for _ in range(256)) + packer.flush()
    jpeg = bytearray(drawn("JPEG"))
    frame = jpeg.index(b"\xff\xc0")
    jpeg[frame + 5 : frame + 9] = b"\xff" * 4
    png = endless(LONGEST + 1, packed)
    for data in (png, bytes(jpeg), SVG.replace(b"<rect", within(b"png", base64.b64encode(png)) + b"<rect")):
        with pytest.raises(EditError, match=r"has \d+ × \d+ pixels; save it with at most 6000 on a side"):
            own_picture(data)
    tracemalloc.start()
    own_picture(endless(9, packed))
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 10e6


def test_fewer_pixels_than_a_png_says_are_told() -> None:
    with pytest.raises(EditError, match="cannot be read"):
        own_picture(endless(3000, zlib.compress(bytes(100))))


@pytest.mark.parametrize(
    "part",
    [b'<g filter="url(#a)"/>', b'<g style="x:1;filter: blur(9px)"/>', b"<style>g{filter:blur(9px)}</style>"],
)
def test_filters_are_told(part: bytes) -> None:
    """They can take any time."""
    with pytest.raises(EditError, match="has filters, such as a blur or a shadow; save it as PNG"):
        own_picture(SVG.replace(b"<rect", part + b"<rect"))
    own_picture(SVG.replace(b"<rect", b'<g style="color-interpolation-filters:sRGB"/><rect'))


def test_parts_that_only_a_browser_shows_are_told() -> None:
    with pytest.raises(EditError, match="has parts that only a browser shows; save it as PNG"):
        own_picture(SVG.replace(b"<rect", b'<foreignObject width="1" height="1"/><rect'))
