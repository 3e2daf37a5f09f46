"""A page as blocks, set for a terminal or as Markdown; no number is rounded here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scaledesign.paper.text import bullets, paragraph, table
from scaledesign.values import dataclass

UNDERLINE = {1: "=", 2: "=", 3: "-"}
"""What stands under a heading of each level on a terminal."""


@dataclass(frozen=True)
class Heading:
    """A title; level 1 is the page's own."""

    level: int
    words: str


@dataclass(frozen=True)
class Paragraph:
    """Running text; on a terminal, ``lead`` stands before it, in Markdown in bold."""

    words: str
    lead: str = ""


@dataclass(frozen=True)
class Bullets:
    """Short texts, one under the other."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """Rows under a header; ``align`` holds "l" for words, "r" for numbers, one letter a column."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str


Block = Heading | Paragraph | Bullets | Table


def as_text(blocks: Iterable[Block]) -> str:
    """The page on a terminal of 80 columns."""
    return "\n\n".join(_text(block) for block in blocks) + "\n"


def as_markdown(blocks: Iterable[Block]) -> str:
    """The page as a file of Markdown."""
    return "\n\n".join(_markdown(block) for block in blocks) + "\n"


def _text(block: Block) -> str:
    match block:
        case Heading(level, words):
            return f"{words}\n{UNDERLINE[level] * len(words)}"
        case Paragraph(words, lead):
            return paragraph(f"{lead}: {words}" if lead else words)
        case Bullets(texts):
            return bullets(texts)
        case Table(header, rows, align):
            return table(header, rows, align)


def _markdown(block: Block) -> str:
    match block:
        case Heading(level, words):
            return f"{'#' * level} {words}"
        case Paragraph(words, lead):
            return paragraph(f"**{lead}:** {words}" if lead else words)
        case Bullets(texts):
            return bullets(texts)
        case Table(header, rows, align):
            rule = tuple("---:" if side == "r" else "---" for side in align)
            return "\n".join(_cells(cells) for cells in (header, rule, *rows))


def _cells(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"
