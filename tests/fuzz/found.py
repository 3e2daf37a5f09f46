"""What was found and mended: inputs that once brought a traceback, a hang or a flood.

Door by door, small; what has to be large to do harm is among those "made to take long" beside the doors.
"""

from __future__ import annotations

from collections.abc import Mapping

from tests.fuzz.files_doors import HEAD
from tests.fuzz.media_doors import riff

_BLANKS = " " * 20_000
_LAST = f'{HEAD}[[rows]]\nnote = "A4"\nholes = ""\n'
_DEGREES = ",".join(f'"{n} c"' for n in range(8000))
_FILLED = "length = 0x" + "f" * 6000


def _design(*texts: str) -> tuple[bytes, ...]:
    return tuple(text.encode() for text in texts)


FOUND: Mapping[str, tuple[bytes, ...]] = {
    "names": (f"\x021{_BLANKS}9".encode(),),
    "design": (
        *_design(
            HEAD.replace("length = 355", _FILLED),
            HEAD.replace("16", "0x" + "f" * 6000),
            HEAD.replace("16", "[[0x" + "f" * 6000 + ", 1]]"),
            f"format = 0x{'f' * 6000}\n",
            HEAD.replace("16", "0e-999999999"),
            HEAD.replace("16", "0." + "1" * 5000),
            HEAD.replace("16", '"1e99999999999999999999"'),
            f'{_LAST}measured = "A{_BLANKS}x"\n',
            f'{_LAST}measured = "A4 +\\t4"\n',
            f'{_LAST}measured = "A4 +\u00a04"\n',
            f'{HEAD}[tuning]\ntonic = "{"A" * 5000}"\n',
            f'{HEAD}[tuning]\nscale = "\\u001b[2J"\n',
            HEAD.replace("duct", "duct\x7f"),
            HEAD.replace("length", "le\x0ength"),
            ".".join("a" * 20_000) + " = 1\n",
            "[" + ".".join("a" * 2000) + "]\n" + "".join(f"k{n} = 1\n" for n in range(2000)),
            HEAD + "[[rows]]\nx.y.z = 1\n" * 2000,
            HEAD.replace("16", "[" + ",".join(f"[{n}, 16]" for n in range(8000)) + "]"),
            f"{HEAD}[tuning]\ndegrees = [{_DEGREES}]\n",
        ),
        b"\xff" * 100,
    ),
    "scale": _design(
        '[scale]\nname = "x"\ndegrees = ' + "[" * 5000,
        '[scale]\nname = "x"\ndegrees = ["1", "2"]\nsteps = [0, 0x' + "f" * 6000 + "]\n",
        '[scale]\nname = "x"\ndegrees = ["1"]\nsteps = [1e999, nan]\n',
        f'[scale]\nname = "x"\ndegrees = ["1", "3{_BLANKS}/x"]\n',
        '[scale]\nname = "x"\ndegrees = [' + '"x",' * 5000 + "]\n",
        '[scale]\nname = "x"\nwords = 0x' + "f" * 6000 + "\n",
        '[scale]\nname = "\\u001b[2J\\n"\ndegrees = ["1"]\nperiod = 5\n',
    ),
    "start": _design("a = " + "[" * 5000),
    "tuning": (b"\xf0\xf7" * 30_000, b"\xf0" * 30_000),
    "settings": _design(
        "".join(f"k{n} = 1\n" for n in range(3000)),
        '[keys]\n"a\\n\\u001b[2J" = 1\n',
        "theme = 0x" + "f" * 6000 + "\n",
        "theme = " + "[" * 5000,
    ),
    "journal": (
        b"# x\n# journal: 1\n# file: -\n# on disk: -\n# when: 0001-01-01T00:00:00+23:59\n# text: -\n\n",
        b"# x\n# journal: 1\n# file: -\n# on disk: -\n# when: 9999-12-31T23:59:59-23:59\n# text: -\n\n",
    ),
    "shelf-notes": (
        b'{"format": 1, "version": "1", "files": {"a": [1e999, 1, {}]}}',
        b"[" * 50_000,
    ),
    "typed": tuple(
        bytes((reader,)) + text.encode()
        for reader in range(22)
        for text in (
            "A4 +\t4",
            f"A{_BLANKS}x",
            f"1{_BLANKS}1",
            f"1{_BLANKS},1",
            "1e9999999999999999999",
            "1," * 9999,
            "\U000c93b6" * 120,
        )
    ),
    "form": (
        *(bytes((n,)) + b"[0x" + b"f" * 6000 + b"]" for n in range(0, 250, 3)),
        b"\x98" + b"d\x98duct" * 150_000,
    ),
    "arguments": (
        b"tuning\0tun\x7fing.syx\0--key\0\xf8(\xd4>\xab\x04D-0.5",
        b"predict\0flute.toml\0--\x1b[2J",
        b"print\0--int\x1b[2J",
        b"new\0--bore\0\x1b[2J\x07",
        b"calibrate\0flute.toml\0--bar\r\ne\0A4",
        b"predict\0flute.toml\0--units=a\r\nb",
    ),
    "sound": (
        riff(3, 1, 44100, 8, 64, b"\xff\xff\xff\xff\xff\xff\xef\x7f" * 50),
        riff(3, 1, 44100, 4, 32, b"\x01\0\x80\x7f" * 50),
        riff(3, 2, 44100, 8, 32, b"\xff\xff\x7f\x7f" * 50),
    ),
    "looked-into": (
        b'<svg xmlns="http://www.w3.org/2000/svg">' + b"<g>" * 5000 + b"</g>" * 5000 + b"</svg>",
        b'<svg xmlns="http://www.w3.org/2000/svg">' + b"<a/>" * 30_000 + b"</svg>",
        b'<svg xmlns="http://www.w3.org/2000/svg"><g id="a0"><path/></g>'
        + b"".join(
            b'<g id="a%d"><use href="#a%d"/><use href="#a%d"/></g>' % (n, n - 1, n - 1) for n in range(1, 40)
        )
        + b"</svg>",
    ),
    "book": (
        b"f\xe2" + b"\x80\xae" * 120 + b"\nname = 1",
        b"lloop",
        b"dfolder",
        b"ppipe",
        b"f\xff\xfe\nx",
        b"f\x1b[2J\nname = 1",
        b"f\n\0lx\0ly",
    ),
    "filed": tuple(
        name.encode() for name in ("con", "NUL", "Com¹", "é" * 300, "ß" * 200, "lpt1" + "9" * 300)
    ),
    "distributions": (
        b"[scaledesign]\n\0\x1b[2J = a:b\n",
        b"[scaledesign]\n" + b"cane = cane.scales:plugin [extra]" * 30_000,
        b"[other]\n" + b"x=1\n" * 200_000 + b"[scaledesign]\n",
    ),
    "foretold": _design(HEAD.replace("16", "0.0001")),
    "printed": _design(HEAD.replace("16", "0.0001")),
}
