"""A page of the handbook taken apart: headings, paragraphs, lists, tables, pictures, and what is typed.

The small part of Markdown that our pages are written in, and nothing more; for a terminal it is set by
``view/page_lines.py``, for a browser by ``paper/page_web.py``. Comments between ``<!--`` and ``-->`` are for
whoever keeps the pages.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal

from scaledesign.values import dataclass

Look = Literal["plain", "strong", "stressed", "code"]


@dataclass(frozen=True, slots=True)
class Run:
    """Letters that look alike; ``target`` is where they lead, '' for nowhere."""

    text: str
    look: Look = "plain"
    target: str = ""


Words = tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Heading:
    """A title; level 1 is the page's own."""

    level: int
    words: Words


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; ``mark`` begins an entry of a list, ``depth`` is how deep that list lies."""

    words: Words
    mark: str = ""
    depth: int = 0


@dataclass(frozen=True, slots=True)
class Typed:
    """Lines that keep their shape; ``kind`` is what they are: sh, text, toml, keys, with a file's name."""

    kind: str
    name: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a header; ``right`` says which columns hold numbers."""

    header: tuple[Words, ...]
    rows: tuple[tuple[Words, ...], ...]
    right: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing: its words, and its file beside the page."""

    words: str
    file: str


Block = Heading | Paragraph | Typed | Table | Picture

_RUN = re.compile(r"\*\*(.+?)\*\*|`([^`]+)`|\[([^\]]+)\]\(([^)\s]+)\)|\*([^*\s](?:[^*]*[^*\s])?)\*")
_FENCE = re.compile(r"^( *)```(\w*)(?: +(\S+))?$")
_ENTRY = re.compile(r"^( *)(-|\d+\.) +(.*)$")
_PICTURE = re.compile(r"^!\[([^\]]*)\]\(([^)\s]+)\)$")
_COMMENT = re.compile(r"^<!--.*?-->\n?", re.DOTALL | re.MULTILINE)


def words_of(text: str) -> Words:
    """Running text as runs."""
    runs, place = [], 0
    for found in _RUN.finditer(text):
        if found.start() > place:
            runs.append(Run(text[place : found.start()]))
        strong, code, label, target, stressed = found.groups()
        if strong:
            runs += [Run(run.text, "strong", run.target) for run in words_of(strong)]
        elif code:
            runs.append(Run(code, "code"))
        elif stressed:
            runs.append(Run(stressed, "stressed"))
        else:
            runs += [Run(run.text, run.look, target) for run in words_of(label)]
        place = found.end()
    if place < len(text):
        runs.append(Run(text[place:]))
    return tuple(runs)


def plain(words: Words) -> str:
    """The letters alone."""
    return "".join(run.text for run in words)


def blocks_of(text: str) -> tuple[Block, ...]:
    """A page taken apart."""
    return tuple(_blocks(_COMMENT.sub("", text).splitlines()))


def _blocks(lines: list[str]) -> Iterator[Block]:
    held: list[str] = []
    place = 0

    def running() -> Iterator[Block]:
        if held:
            entry = _ENTRY.match(held[0])
            mark, depth, first = (
                ("", 0, held[0].strip()) if not entry else (entry[2], len(entry[1]) // 2, entry[3])
            )
            rest = [line.strip() for line in held[1:]]
            yield Paragraph(words_of(" ".join((first, *rest))), mark, depth)
            held.clear()

    while place < len(lines):
        line = lines[place]
        place += 1
        if fence := _FENCE.match(line):
            yield from running()
            inside = []
            while place < len(lines) and lines[place].strip() != "```":
                inside.append(lines[place].removeprefix(fence[1]))
                place += 1
            place += 1
            yield Typed(fence[2], fence[3] or "", tuple(inside))
        elif line.startswith("    ") and not held:
            inside = [line[4:]]
            while place < len(lines) and lines[place].startswith("    "):
                inside.append(lines[place][4:])
                place += 1
            yield Typed("example", "", tuple(inside))
        elif not line.strip():
            yield from running()
        elif line.startswith("#"):
            yield from running()
            sign, _, title = line.partition(" ")
            yield Heading(len(sign), words_of(title))
        elif picture := _PICTURE.match(line.strip()):
            yield from running()
            yield Picture(picture[1], picture[2])
        elif line.startswith("|"):
            yield from running()
            rows = [line]
            while place < len(lines) and lines[place].startswith("|"):
                rows.append(lines[place])
                place += 1
            yield _table(rows)
        else:
            if _ENTRY.match(line):
                yield from running()
            held.append(line)
    yield from running()


def _table(lines: list[str]) -> Table:
    header, rule, *rows = ([cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]] for line in lines)
    return Table(
        tuple(_cell(cell) for cell in header),
        tuple(tuple(_cell(cell) for cell in row) for row in rows),
        tuple(cell.endswith(":") for cell in rule),
    )


def _cell(text: str) -> Words:
    return words_of(text.replace("\\|", "|"))
