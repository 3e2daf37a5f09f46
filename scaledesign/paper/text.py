"""Plain text that fits a terminal and a message: tables in columns, paragraphs, bullets.

Apart because every list on paper is set the same way. Strings in, strings out; no numbers are rounded
and no units chosen here.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence

WIDTH = 80
"""Characters a line: an ordinary terminal."""
GAP = "  "
NAME = 64
"""Characters of a flute's name that are printed on a line; the rest is left out."""
LONG_NAME = 100
"""The same at the head of a page, where a long name is set smaller."""
_JOINERS = "\u200c\u200d\u200e\u200f"
"""Signs without a width that words of some languages need."""
_HELD = "\N{NO-BREAK SPACE}"
_AFTER_NUMBER = re.compile(r"(?<=\d) (?=\d+/\d|(?:mm|in|cents|Hz|Pa|dB)\b)|(?<=±) (?=\d)")
"""Blanks at which no line may end: between a number, its fraction and its unit."""


def table(header: Sequence[str], rows: Sequence[Sequence[str]], align: str) -> str:
    """Set ``rows`` in columns under ``header``; columns that are empty throughout are left out.

    ``align`` holds one letter a column: "l" for words, "r" for numbers.
    """
    used = [i for i in range(len(header)) if any(row[i] for row in rows)]
    lines = [[header[i] for i in used], *([row[i] for i in used] for row in rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(used))]
    sides = [align[i] for i in used]
    return "\n".join(
        GAP.join(
            cell.rjust(width) if side == "r" else cell.ljust(width)
            for cell, width, side in zip(line, widths, sides, strict=True)
        ).rstrip()
        for line in lines
    )


def paragraph(text: str, indent: str = "") -> str:
    """``text`` on lines of at most ``WIDTH`` characters."""
    return _filled(text, indent, indent)


def on_one_line(text: str, most: int | None = None) -> str:
    """Somebody's own words on one line, without signs that cannot be shown; cut after ``most`` characters."""
    shown = "".join(sign if sign.isprintable() or sign in _JOINERS else " " for sign in text)
    line = " ".join(shown.split())
    return line if most is None or len(line) <= most else line[: most - 1] + "…"


def held_together(text: str) -> str:
    """``text`` that breaks no line between a number, its fraction and its unit."""
    return _AFTER_NUMBER.sub(_HELD, text)


def bullets(texts: Iterable[str]) -> str:
    """One "- " paragraph for each text."""
    return "\n".join(_filled(text, "- ", "  ") for text in texts)


def _filled(text: str, first: str, rest: str) -> str:
    return textwrap.fill(
        held_together(text),
        WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
        break_long_words=False,
    ).replace(_HELD, " ")
