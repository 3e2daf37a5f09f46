"""The maker's own picture: what can be printed is, what cannot be is told in one sentence."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from scaledesign.errors import EditError
from scaledesign.paper.own_picture import LARGEST, own_picture
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
    assert [int(tone) > 128 for tone in tones] == [True, False, False, True, True, True]  # type: ignore[arg-type]


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
    with pytest.raises(EditError, match="cannot be read"):
        own_picture(SVG.replace(b"<rect", link + b"<rect"))
