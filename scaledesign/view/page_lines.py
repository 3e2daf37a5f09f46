"""A page of the handbook as lines of a width: for a terminal and for the grid.

What is typed, and what the program answers, keeps its shape. A picture cannot be shown here: its words and
its file are named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath

from scaledesign.paper.page_blocks import (
    Block,
    Heading,
    Paragraph,
    Picture,
    Run,
    Table,
    Typed,
    Words,
    blocks_of,
    plain,
)
from scaledesign.view.lines import Line, Span, Tone, text_of

TONES: dict[str, Tone] = {"plain": "plain", "strong": "strong", "stressed": "plain", "code": "label"}
UNDERLINE = {1: "=", 2: "-"}
LEAST = 12
"""Cells that the last column of a table keeps at least."""


def page_lines(text: str, width: int, *, folded: bool = True) -> tuple[Line, ...]:
    """A page of Markdown as lines.

    Parameters
    ----------
    width : cells
    folded : False: what is typed stays on one line where that is longer than the width, to be copied whole
    """
    lines: list[Line] = []
    before: Block | None = None
    for block in blocks_of(text):
        close = isinstance(block, Paragraph) and isinstance(before, Paragraph) and block.mark and before.mark
        if before is not None and not close:
            lines.append(())
            if isinstance(block, Heading) and block.level == 2:
                lines.append(())
        lines += _block(block, width, folded)
        before = block
    return tuple(lines)


def as_text(lines: Iterable[Line]) -> str:
    """Lines without their tones."""
    return "".join(f"{text_of(line).rstrip()}\n" for line in lines)


def _block(block: Block, width: int, folded: bool) -> Iterator[Line]:
    match block:
        case Heading(level, words):
            title = plain(words)
            for line in _filled((Span(title, "strong"),), width, "", ""):
                yield line
                if level in UNDERLINE:
                    yield (Span(UNDERLINE[level] * len(text_of(line)), "faint"),)
        case Paragraph(words, mark, depth):
            first = "  " * depth + (f"{mark} " if mark else "")
            yield from _filled(_spans(words), width, first, " " * len(first))
        case Typed(kind, name, lines):
            yield from _kept(kind, name, lines, width, folded)
        case Table():
            yield from _table(block, width)
        case Picture(words, file):
            yield from _filled((Span(f"[Picture {file}: {words}]", "faint"),), width, "", "  ")


def _spans(words: Words) -> tuple[Span, ...]:
    return tuple(Span(_shown(run), TONES[run.look]) for run in words)


def _shown(run: Run) -> str:
    """A run's letters; the name of the page that it leads to, where they do not say it."""
    if "://" in run.target:
        return run.text if run.target.endswith(run.text) else f"{run.text} ({run.target})"
    page = PurePosixPath(run.target.partition("#")[0])
    if page.suffix != ".md" or run.text.casefold() == page.stem.casefold() or ".." in page.parts:
        return run.text
    return f"{run.text} ({page.stem})"


def _kept(kind: str, name: str, lines: tuple[str, ...], width: int, folded: bool) -> Iterator[Line]:
    tone: Tone = "label" if kind in ("sh", "keys") else "plain"
    if kind == "toml" and name:
        yield (Span(f"{name}:", "faint"),)
    widest = max((len(line) for line in lines), default=0)
    room = 0 if width - 2 < widest <= width else 2
    copied = kind != "text" and not folded
    for line in lines:
        while len(line) > width - room and not copied:
            at = line.rfind(" ", 1, width - room + 1)
            at = at if at > 8 else width - room
            yield (Span(" " * room + line[:at], tone),)
            line = "    " + line[at:].lstrip()
        yield (Span(" " * room + line, tone),)


def _table(table: Table, width: int) -> Iterator[Line]:
    """Columns beside each other; the last one is folded where it does not fit."""
    rows = [[_spans(cell) for cell in row] for row in (table.header, *table.rows)]
    sizes = [max(len(text_of(row[i])) for row in rows) for i in range(len(table.header))]
    left = sum(size + 2 for size in sizes[:-1])
    if left + LEAST > width:  # each row as a little list
        yield from _stacked(rows, width)
        return
    room = min(sizes[-1], width - left)
    for number, row in enumerate(rows):
        if number == 0 and not any(text_of(cell) for cell in row):
            continue
        spans: list[Span] = []
        for cell, size, right in zip(row[:-1], sizes, table.right, strict=False):
            gap = " " * (size - len(text_of(cell)))
            spans += [Span(gap), *cell, Span("  ")] if right else [*cell, Span(f"{gap}  ")]
        last = list(_filled(row[-1], room, "", "")) or [()]
        if table.right[-1]:
            last = [(Span(" " * (room - len(text_of(line)))), *line) for line in last]
        yield (*spans, *last[0])
        for line in last[1:]:
            yield (Span(" " * left), *line)
        if number == 0:
            yield (Span("-" * min(width, left + room), "faint"),)


def _stacked(rows: list[list[tuple[Span, ...]]], width: int) -> Iterator[Line]:
    for row in rows[1:]:
        first, *rest = row
        yield from _filled(first, width, "", "  ")
        for cell in rest:
            if text_of(cell):
                yield from _filled(cell, width, "    ", "    ")


def _filled(spans: tuple[Span, ...], width: int, first: str, rest: str) -> Iterator[Line]:
    """Running text on lines of a width, each word with its tone."""
    line: list[Span] = [Span(first)] if first else []
    used, empty = len(first), True
    for word in _parted(spans):
        size = sum(len(span.text) for span in word)
        if not empty and used + 1 + size > width:
            yield tuple(line)
            line, used, empty = [Span(rest)] if rest else [], len(rest), True
        if not empty:
            line.append(Span(" "))
            used += 1
        line += word
        used += size
        empty = False
    if not empty:
        yield tuple(line)


def _parted(spans: tuple[Span, ...]) -> Iterator[list[Span]]:
    """Words, each a few spans that no line may part."""
    word: list[Span] = []
    for span in spans:
        parts = span.text.split(" ")
        for place, part in enumerate(parts):
            if place and word:
                yield word
                word = []
            if part:
                word.append(Span(part, span.tone))
    if word:
        yield word
