"""Doors of places: folders of designs, command lines, names that become files, plug-ins' data."""

from __future__ import annotations

import contextlib
import importlib.metadata  # noqa: F401 - while a door is open there is no path on which it would be found
import io
import os
import re
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from unittest import mock

from scaledesign.cli import main
from scaledesign.cli.exit_codes import INTERNAL
from scaledesign.extend import asking, finding
from scaledesign.extend.catalogue import Catalogue, comparable
from scaledesign.extend.hookspecs import hookimpl
from scaledesign.files import document_file
from scaledesign.files.settings import load_settings
from scaledesign.model.document import Design
from scaledesign.model.scale import Scale
from scaledesign.model.system import Fingering, Slot, System
from scaledesign.outputs.filing import write
from scaledesign.outputs.make import Made, base_name, file_name
from scaledesign.view import scale_files
from scaledesign.workshop.book import read_book
from tests.fuzz.files_doors import designs, holds, laid, sentences
from tests.fuzz.typed_doors import text_of

DEVICES = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)(\..*)?", re.IGNORECASE)
"""Names that mean no file on Windows (Microsoft, Naming Files, Paths, and Namespaces; from memory)."""


def emptied(folder: Path) -> None:
    """Take everything out of a folder of ours, links as links."""
    for entry in os.scandir(folder):
        if entry.is_dir(follow_symlinks=False):
            emptied(Path(entry.path))
            Path(entry.path).rmdir()
        else:
            Path(entry.path).unlink()


def book(data: bytes, folder: Path) -> None:
    """A folder of designs with whatever may lie in one; what can be read is, and the rest is named.

    Each piece between zeros is a thing in the folder: its first byte says what, then comes its name,
    and after a line
    end what is in it.
    """
    place = folder / "flutes"
    place.mkdir(exist_ok=True)
    emptied(place)
    laid(place, "whole.toml", designs()[1])
    for piece in data.split(b"\0")[:20]:
        kind, (name, _, body) = piece[:1], piece[1:].partition(b"\n")
        with contextlib.suppress(OSError, ValueError):
            _put(kind, place / os.fsdecode(name.replace(b"/", b"_")[:200] + b".toml"), body)
    found = read_book(place)
    sentences(found.passed_over, "what a book passes over")
    holds(any(flute.path.name == "whole.toml" for flute in found.flutes), "a whole flute is not found")


def _put(kind: bytes, path: Path, body: bytes) -> None:
    if path.exists() and not path.is_file():  # a pipe of that name would be waited for
        return
    if kind == b"l":
        path.symlink_to(path)
    elif kind == b"s":
        path.symlink_to("..")
    elif kind == b"p":
        os.mkfifo(path)
    elif kind == b"d":
        path.mkdir()
        (path / "x.toml").symlink_to("x.toml")
    elif kind == b"h":
        with path.open("wb") as file:
            file.truncate(int.from_bytes(body[:5], "big"))
    else:
        path.write_bytes(body)


def books() -> tuple[bytes, ...]:
    """Folders with good and odd things in them."""
    one = b"fone\n" + designs()[1]
    return (
        one, one + b"\0lloop\0ssub\0ppipe\0dfolder\0hhuge\n\x80\0\0\0\0", b"f\xff\xfe\n" + designs()[2],
        b"f\x1b[2J\nname = 1",
        b"f" + "\u202ename".encode() + b"\nx", b"f.hidden\n\0fa\nb", b"fCON\n" + designs()[3],
        b"ft\tab\rx\n[",
    )  # fmt: skip


COMMANDS = (
    "check flute.toml", "predict flute.toml --json", "predict flute.toml --no-losses --units in",
    "holes flute.toml --from foot",
    "scales", "scales --search ney", "scales --notes 5", "scales just dorian --tonic D4 --reference 442",
    "systems --json",
    "chart flute.toml --as txt", "chart flute.toml -o out.txt --ascii", "holes flute.toml -o out.csv",
    "completion bash",
    "registers flute.toml", "calibrate flute.toml --bare 'A4 -4' --length 360mm -o new.toml",
    "calibrate flute.toml --row 1='A4 -4' --in-place",
    "bench flute.toml --blew 'A4 -4' --hole 1 --temperature '20 °C' -o new.toml", "tuning flute.toml --json",
    "tuning scale.toml -o out.toml",
    "tuning tuning.syx --key D4", "listen flute.toml take.wav", "book .", "hands flute.toml --hand large",
    "plugins", "plugins off reed scales",
    "new --tube '16 x 3.8 mm' --key D5 -o new.toml", "hear flute.toml --row 1 -o out.wav",
    "template flute.toml -o out.svg",
    "print flute.toml --into all", "sheet flute.toml --picture mark.png -o out.pdf",
    "notes flute.toml -o out.mid", "--version", "predict --help",
)  # fmt: skip


def arguments(data: bytes, folder: Path) -> None:
    """A whole command line: an answer or one sentence, files nobody gave up as they were."""
    place = folder / "here"
    place.mkdir(exist_ok=True)
    for name, body in _own_files().items():
        laid(place, name, body)
    given = [os.fsdecode(part) for part in data.split(b"\0")[:40]]
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", write_through=True) for _ in range(2))
    before = Path.cwd()
    os.chdir(place)
    try:
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            mock.patch("sys.stdin", io.StringIO()),
        ):
            code = (
                main(given) if given[0] not in ("grid", "accuracy") and not given[0].endswith(".toml") else 0
            )
    finally:
        os.chdir(before)
    said, complained = (stream.buffer.getvalue().decode("utf-8") for stream in (out, err))
    holds(code != INTERNAL and "Traceback" not in complained, f"a fault of its own: {complained[-3000:]}")
    holds(code == 0 or bool(complained or said), "nothing is said of a command that failed")
    for text in (said, complained):
        wrong = re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]", text)
        holds(
            wrong is None,
            f"prints what no screen shows: {text[max(0, wrong.start() - 60) : wrong.start() + 20]!r}"
            if wrong
            else "",
        )
    for name, body in _own_files().items():
        path = place / name
        if not path.is_file() or (path.read_bytes() != body and not _given_up(name, given)):
            raise AssertionError(f"{name} is not what it was, and nobody gave it up")
    emptied(place)


def _given_up(name: str, given: Sequence[str]) -> bool:
    return name in given and ("--in-place" in given or "--force" in given)


@cache
def _own_files() -> dict[str, bytes]:
    from tests.fuzz.files_doors import scales, tunings
    from tests.fuzz.media_doors import png, sounds

    return {
        "flute.toml": designs()[1], "scale.toml": scales()[0], "tuning.syx": tunings()[0],
        "take.wav": sounds()[0], "mark.png": png(8, 6),
    }  # fmt: skip


def command_lines() -> tuple[bytes, ...]:
    """Command lines that answer."""
    import shlex

    return tuple(b"\0".join(map(os.fsencode, shlex.split(line))) for line in COMMANDS)


ARGUMENT_WORDS = (
    *(word for line in COMMANDS for word in line.split()), "--force", "--in-place", "--example",
    "marsh-wren", "-o", "--json",
    "../out.toml", "/nowhere/x", "flute.toml/x", "@flute.toml", "--units=in", "--from=foot", "-1", "1e309",
    "nan", "\udcff", "", "~", "-",
)  # fmt: skip


def filed(data: bytes, folder: Path) -> None:
    """Names that become names of files: a flute's, a scale's. None leads out of the folder."""
    name = text_of(data)[:400]
    place = folder / "asked"
    place.mkdir(exist_ok=True)
    flute = document_file.loads(designs()[1].decode())
    called = Design(
        **{each: getattr(flute, each) for each in flute.__dataclass_fields__} | {"name": name, "text": None}
    )
    for stem in ("", name[:50]):
        base = base_name(called, stem)
        holds(not DEVICES.fullmatch(base), f"a folder would be called {base!r}")
        made = file_name(called, "holes", "csv", stem)
        _one_name(made)
        write(place, [Made(made, b"x")], force=True)
        holds([each.name for each in os.scandir(place)] == [made], "another file than was asked for")
        emptied(place)
    if name.strip():
        plain = scale_files.plain_name(name)
        _one_name(f"{plain}.toml")
        holds(not DEVICES.fullmatch(f"{plain}.toml"), f"a scale would be called {plain!r}")
        scale_files.own_place(Scale(name, (0.0, 500.0)), Catalogue((), (), (), ()))
    text = "".join(
        sign if sign.isprintable() and sign not in "'\\" and not "\ud800" <= sign <= "\udfff" else "_"
        for sign in name
    )
    laid(folder, "settings.toml", f"[paper]\npicture = '{text}'\n[book]\nfolder = '{text}'\n".encode())
    load_settings()


def _one_name(name: str) -> None:
    holds(
        name not in (".", "..") and not set(name) & set('/\\:*?"<>|\0') and name.isprintable(),
        f"no name: {name!r}",
    )
    holds(len(name.encode("utf-8")) <= 255, f"too long a name: {name[:40]!r}")


def filed_examples() -> tuple[bytes, ...]:
    """Names, good and odd."""
    texts = (
        "Marsh wren", "../../etc/passwd", "/etc/passwd", "C:\\flutes", "C:x", "CON", "nul.txt", "~/x",
        "a\0b", "", ".", "..", "...",
        "\u202egnp.exe", "é" * 300, "\U0001f3b6" * 90, "字" * 200, "lpt1", "COM¹", "a/b\\c:d*e?f", "-rf",
        "Ǆ" * 200, "ﬃ" * 100, "ß" * 100,
    )  # fmt: skip
    return tuple(text.encode() for text in texts)


def offered(data: bytes, folder: Path) -> None:
    """What a plug-in offers, as values: any texts and numbers, taken or refused in words."""
    values = [text_of(part) for part in data.split(b"\0")[:20_000]]  # more would be this test's own time
    numbers = [_number(text) for text in values[4:]]
    name, words, source, also = (*values[:4], "", "", "", "")[:4]

    class Theirs:
        @hookimpl
        def register_scales(self, register):
            register(Scale(name, tuple(numbers), words=words, source=source, also=(also,) if also else ()))

        @hookimpl
        def register_systems(self, register):
            slots = tuple(Slot(text) for text in words.split())
            register(
                System(name, words, slots, home=source, degrees=(len(values),), opening=tuple(values[4:]))
            )

        @hookimpl
        def register_cross_fingerings(self, register):
            register(name, Fingering(words, degree=len(values), flat=1))

    offer = asking.ask(finding.Candidate(name, "folder", also, source, Theirs), 2.0)
    status = offer.status()
    sentences([text for text in (status.problem, *status.remarks) if text], "what is said of a plug-in")
    for scale in offer.scales:
        sentences([scale.name], "a scale that was taken")
        comparable(scale.name)


def _number(text: str) -> object:
    for kind in (int, float):
        with contextlib.suppress(ValueError, OverflowError):
            return kind(text)
    return text


def offers() -> tuple[bytes, ...]:
    """Offers that are taken, or nearly."""
    return tuple(
        text.encode()
        for text in (
            "fourths\0Three notes, a fourth apart.\0my own\0\0000\000500\0001000",
            "two\0L1 R1\0fourths\0x\0XX\0XO\0OO",
            "x\0\0\0\0000\0001e309",
            "two\0L1 L2 R1\0home\0\0XXX\0XXO\0XOO\0OOO\0H",
            "n\0w\0s\0\0000\000nan",
            "reed scales\0w\0s\0also\0000\000-1",
        )
    )


def distributions(data: bytes, folder: Path) -> None:
    """Metadata of installed packages: entry points of any text; none is imported for being listed."""
    info = folder / "strange.dist-info"
    info.mkdir(exist_ok=True)
    laid(info, "entry_points.txt", data)
    laid(info, "METADATA", data[:200])
    with mock.patch.object(sys, "path", [str(folder)]):
        for one in finding._installed():
            holds(isinstance(one.name, str) and isinstance(one.version, str), "no text")
            refused = asking.Offer(one, problem="switched off", off=True).status()
            sentences([text for text in (refused.name, refused.version) if text], "a plug-in's name")


POINTS = b"""[console_scripts]
other = other:main

[scaledesign]
cane_scales = cane_scales
reed_scales = reeds.scales:plugin [extra]
"""
