"""Doors of sound and pictures: recordings, and the picture that a maker puts on paper."""

from __future__ import annotations

import base64
import io
import math
import struct
import wave
import zlib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from scaledesign.listening import sound_file
from scaledesign.outputs import usual
from scaledesign.paper import own_picture
from tests.fuzz.files_doors import holds, laid


def sound(data: bytes, folder: Path) -> None:
    """A recording: samples that are numbers, no more of them than the file has."""
    found = sound_file.read(laid(folder, "take.wav", data))
    holds(len(found.samples) / found.rate <= sound_file.LONGEST + 1, "a recording is too long")
    holds(0 <= found.clipped <= 1, "no share")
    loud = (float(found.samples.min()), float(found.samples.max())) if found.samples.size else (0.0, 0.0)
    holds(-2 <= loud[0] <= loud[1] <= 2, "a sample is no number, or louder than a file can say")


def picture(data: bytes, folder: Path) -> None:
    """A picture: checked and pressed, or refused."""
    own_picture.own_picture(usual.picture(laid(folder, "picture", data)))


def looked_into(data: bytes, folder: Path) -> None:
    """A picture, checked and not pressed: what keeps the press from what it cannot take."""
    made = own_picture._checked(usual.picture(laid(folder, "picture", data)))
    holds(b"<svg" in made, "no picture came out")


def wav(samples: bytes, channels: int = 1, width: int = 2, rate: int = 44100) -> bytes:
    """A plain WAV file."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate)
        file.writeframes(samples)
    return out.getvalue()


def riff(
    kind: int, channels: int, rate: int, block: int, bits: int, data: bytes, claimed: int | None = None
) -> bytes:
    """A WAV file that says whatever one likes."""
    form = struct.pack("<HHIIHH", kind, channels & 0xFFFF, rate, 0, block & 0xFFFF, bits)
    size = len(data) if claimed is None else claimed
    return b"RIFF\0\0\0\0WAVEfmt " + struct.pack("<I", 16) + form + b"data" + struct.pack("<I", size) + data


@cache
def sounds() -> tuple[bytes, ...]:
    """Short recordings of every kind that is read."""
    tone = [math.sin(0.06 * n) for n in range(3000)]
    two = b"".join(struct.pack("<h", int(20000 * value)) for value in tone)
    found = [
        wav(two), wav(two, 2), wav(two, 1, 1), wav(two, 1, 3, 48000), wav(two, 1, 4, 96000),
        riff(3, 1, 44100, 4, 32, struct.pack("<3000f", *tone)), riff(3, 2, 44100, 16, 64,
        struct.pack("<3000d", *tone)),
    ]  # fmt: skip
    import numpy as np
    import soundfile

    for rate, channels in ((44100, 1), (96000, 2)):
        out = io.BytesIO()
        soundfile.write(out, np.array([tone] * channels).T * 0.5, rate, format="FLAC", subtype="PCM_16")
        found.append(out.getvalue())
    return tuple(found)


def worst_sounds() -> Iterator[bytes]:
    """Recordings made to be large: many channels, long, high rates, empty but endless."""
    import numpy as np
    import soundfile

    out = io.BytesIO()
    soundfile.write(out, np.zeros((20_000_000, 2), np.int16), 192000, format="FLAC", subtype="PCM_16")
    limit = sound_file.LARGEST - 100
    flac = out.getvalue()
    for kind, channels, rate, block, bits, byte, size in (
        (1, 4, 32000, 4, 8, b"\0", limit),
        (1, 1, 8000, 1, 8, b"\0", 9_000_000),
        (1, 1, 32000, 1, 8, b"\0", 38_000_000),
        (1, 2, 384000, 2, 8, b"\0", limit),
        (1, 4, 48000, 16, 32, b"\0", limit),
        (3, 4, 48000, 32, 64, b"\xff", limit),
        (1, 10**9, 44100, 0xFFFF, 8, b"\0", 10_000),
        (1, 65535, 44100, 65535, 8, b"\0", 1_000_000),
        (1, 0, 0, 0, 0, b"\0", 0),
    ):
        yield riff(kind, channels, rate, block, bits, byte * size)
    yield riff(1, 1, 44100, 2, 16, bytes(1000), 0xFFFFFFFF)
    yield b"RIFF\0\0\0\0WAVE" + b"LIST\0\0\0\0" * 1_000_000
    yield b"RIFF\0\0\0\0WAVE" + b"LIST\xff\xff\xff\xff" * 100
    yield flac
    yield flac[:18] + b"\xff" * 8 + flac[26:]


def png(
    width: int, height: int, depth: int = 8, kind: int = 2, rows: bytes | None = None, level: int = 9
) -> bytes:
    """A PNG of one colour, or one that says it is of another size."""
    channels = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}.get(kind, 1)
    raw = rows if rows is not None else bytes((width * channels * depth // 8 + 1) * height)

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    palette = chunk(b"PLTE", b"\0\0\0\xff\xff\xff") if kind == 3 else b""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0))
    return own_picture.PNG + head + palette + chunk(b"IDAT", zlib.compress(raw, level)) + chunk(b"IEND", b"")


JPEG = base64.b64decode(
    "/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDAAgGBgcGBQgHBwcJCQgKDBQNDAsLDBkSEw8UHRofHh0aHBwgJC4nICIsIxwcKDcpLDAxNDQ0Hyc5PTgy"
    "PC4zNDL/wAALCAAIAAgBAREA/8QAFQABAQAAAAAAAAAAAAAAAAAAAAX/xAAUEAEAAAAAAAAAAAAAAAAAAAAA/9oACAEBAAA/AKpAP//Z"
)
"""Eight by eight grey pixels, made by hand from the tables of ITU-T T.81."""
SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="30" height="20" viewBox="0 0 30 20">'
    b'<defs><linearGradient id="g"><stop offset="0" stop-color="red"/></linearGradient>'
    b'<path id="p" d="M0 0L9 9"/>'
    b'<clipPath id="c"><rect width="9" height="9"/></clipPath></defs><style>.a { fill: none }</style>'
    b'<g class="a" clip-path="url(#c)"><use href="#p"/><circle cx="5" cy="5" r="4" fill="url(#g)"/></g>'
    b'<text x="1" y="9" font-size="4">reed</text><rect x="1" width="4" height="5" style="fill: blue"/></svg>'
)


@cache
def pictures() -> tuple[bytes, ...]:
    """Small pictures of every kind that is taken."""
    link = base64.b64encode(png(2, 2)).decode()
    return (
        png(8, 6), png(8, 6, 16, 6), png(8, 6, 8, 0), png(8, 6, 8, 3), png(8, 6, 8, 4), SVG,
        SVG.replace(b"<text", f'<image width="3" href="data:image/png;base64,{link}"/><text'.encode()),
        JPEG, b"\xff\xd8\xff\xe1\x00\x24Exif\0\0" + TURNED + JPEG[2:],
    )  # fmt: skip


TURNED = b"MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0"
"""A camera's note that it was held on its side."""
SVG_WORDS = (
    "svg", "g", "use", "image", "pattern", "mask", "clipPath", "symbol", "defs", "filter", "text", "tspan",
    "style", "path",
    "marker", "switch", "foreignObject", "script", "a", "radialGradient", "href", "xlink:href", "transform",
    "viewBox",
    "#p", "#g", "#c", "url(#g)", "url(#c)", "data:image/png;base64,AAAA", "file:///etc/passwd", "width",
    "height",
    "1e308", "nan", "0", "-1", "1e-30", "100000000%", "scale(0)", "rotate(1e30)", "matrix(1e30 0 0 1e30 0 0)",
    "stroke-dasharray", "stroke-width", "M0 0A1e30 1 0 0 0 1 1", "<!DOCTYPE svg [<!ENTITY a 'b'>]>", "&a;",
)  # fmt: skip


def worst_pictures() -> tuple[bytes, ...]:
    """Pictures made to be drawn long: large, deep, multiplying, with sizes that are lies."""
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="30" height="20">{}</svg>'
    laughs = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 12))
    doubling = "".join(
        f'<g id="a{n}"><use href="#a{n - 1}"/><use href="#a{n - 1}"/></g>' for n in range(1, 30)
    )
    patterns = "".join(
        f'<pattern id="p{n}" width="1" height="1"><rect width="9" height="9" fill="url(#p{n - 1})"/>'
        f'<rect width="9" height="9" fill="url(#p{n - 1})"/></pattern>'
        for n in range(1, 30)
    )
    box = '<rect width="9" height="9"'
    masks = "".join(
        f'<mask id="m{n}"><g mask="url(#m{n - 1})">{box} mask="url(#m{n - 1})"/></g></mask>'
        for n in range(1, 30)
    )
    clips = "".join(
        f'<clipPath id="c{n}" clip-path="url(#c{n - 1})">{box} clip-path="url(#c{n - 1})"/></clipPath>'
        for n in range(1, 40)
    )
    marker = '<marker id="k" markerWidth="3"><path d="{}" /></marker><path marker-mid="url(#k)" d="{}"/>'
    big = base64.b64encode(png(6000, 6000, 16, 6)).decode()
    texts = (
        f'<!DOCTYPE svg [<!ENTITY a0 "lol">{laughs}]><svg xmlns="http://www.w3.org/2000/svg"><text>&a11;</text></svg>',
        svg.format(f'<g id="a0"><rect width="1" height="1"/></g>{doubling}<use href="#a29"/>'),
        svg.format('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'),
        svg.format(
            f'<pattern id="p0" width="1" height="1">{box}/></pattern>{patterns}{box} fill="url(#p29)"/>'
        ),
        svg.format(f'<mask id="m0"><rect width="1" height="1"/></mask>{masks}{box} mask="url(#m29)"/>'),
        svg.format(
            f'<clipPath id="c0"><rect width="1" height="1"/></clipPath>{clips}{box} clip-path="url(#c39)"/>'
        ),
        svg.format(
            f'<pattern id="p" width="1e-9" height="1e-9" patternUnits="userSpaceOnUse">{box}/></pattern>'
            '<rect width="1e9" height="1e9" fill="url(#p)"/>'
        ),
        svg.format("<g>" * 100_000 + "</g>" * 100_000),
        svg.format("<g>" * 1_000_000 + "</g>" * 1_000_000),
        svg.format("<svg>" * 2000 + "</svg>" * 2000),
        svg.format("<a/>" * 1_900_000),
        svg.format('<rect width="1" height="1"/>' * 250_000),
        svg.format('<path d="' + "M0 0L9 9" * 900_000 + '"/>'),
        svg.format('<path stroke="red" stroke-dasharray="1e-6" d="M0 0L1e6 1e6"/>'),
        svg.format('<path stroke="red" stroke-width="1e30" stroke-dasharray="1e-3 1e-3" d="M0 0L30 20"/>'),
        svg.format("<text>" + "reed " * 1_000_000 + "</text>"),
        svg.format(marker.format("M0 0L9 9" * 9000, "M0 0L9 9" * 90_000)),
        svg.format(f'<image width="30" height="20" href="data:image/png;base64,{big}"/>' * 20),
        svg.format('<image width="30" height="20" href="#a" id="a"/>'),
        svg.format("<style>" + "*" * 1_000_000 + "</style>"),
        svg.format(
            "<style>"
            + ".a .b > c { fill: red }" * 100_000
            + "</style>"
            + '<g class="a b">' * 300
            + "</g>" * 300
        ),
        svg.format(f"{box}/>").replace("30", "1e300"),
        svg.format(f"{box}/>").replace("30", "1000000000"),
        "<svg" + " a='b'" * 1_000_000 + "/>",
        "<svg " + "".join(f"a{n}='b' " for n in range(500_000)) + "/>",
    )
    return (
        *(text.encode() for text in texts),
        png(100_000, 100_000, rows=bytes(1000)), png(6000, 6000, 16, 6), png(6000, 6000, 8, 2), png(1, 6000),
        png(6000, 1, 1, 3),
        png(6000, 6000, 255, 6, rows=bytes(1000)), png(5000, 5000, 1, 0), png(4000, 3000, 8, 2, level=1),
        own_picture.PNG + b"\0\0\0\0IEND\xae\x42\x60\x82" * 600_000,
        JPEG.replace(b"\x00\x08\x00\x08\x01\x01", b"\x17\x70\x17\x70\x01\x01"),
        b"\xff\xd8\xff\xe0\0\x02" * 1_000_000 + JPEG[2:],
    )  # fmt: skip
