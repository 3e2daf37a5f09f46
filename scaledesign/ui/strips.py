"""Lines as a terminal is sent them: no code that changes nothing seen, no cell that stands there already.

Apart because tables and drawings send alike. A blank has no colour of its own but what is behind it, so it
goes with its neighbour; of a line that came out different only the part between the first and the last cell
that differ is sent.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style

OBEYED = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
"""Signs that a terminal obeys, and halves of signs, which it is never sent."""
Runs = Iterable[tuple[str, object]]
"""Texts, each with what it looks like."""


def lean(segments: Iterable[Segment]) -> list[Segment]:
    """The same line in as few segments as look the same."""
    found: list[Segment] = []
    text, style = "", Style.null()
    for more, other, _ in segments:
        other = other or Style.null()
        if not more:
            continue
        if not more.isprintable():  # the name of a stranger's file may hold anything
            more = OBEYED.sub("?", more)
        if not text:
            text, style = more, other
        elif other == style or (more.isspace() and _goes_with(other, style)):
            text += more
        elif text.isspace() and _goes_with(style, other):
            text, style = text + more, other
        else:
            found.append(Segment(text, style))
            text, style = more, other
    if text:
        found.append(Segment(text, style))
    return found


@lru_cache(maxsize=1024)
def _goes_with(blank: Style, style: Style) -> bool:
    """Whether a blank looks the same in both."""
    lined = any(one.underline or one.reverse for one in (blank, style))
    return blank.bgcolor == style.bgcolor and not lined


def part_changed(old: Runs, new: Runs) -> tuple[int, int] | None:
    """The first cell in which two lines differ, and the one after the last; None where they are the same.

    A line with signs of two cells counts as changed in every cell.
    """
    before, after = _cells(old), _cells(new)
    if before == after:
        return None
    most = max(len(before), len(after))
    if None in (*before, *after):
        return 0, 2 * most
    blank: list[tuple[str, object] | None] = [("", None)]
    before += blank * (most - len(before))
    after += blank * (most - len(after))
    other = [i for i in range(most) if before[i] != after[i]]
    return other[0], other[-1] + 1


def _cells(runs: Runs) -> list[tuple[str, object] | None]:
    """Each cell with its look; a None at the front where a sign is not one cell wide."""
    runs = list(runs)
    cells: list[tuple[str, object] | None] = [(sign, look) for text, look in runs for sign in text]
    wide = any(not text.isascii() and cell_len(text) != len(text) for text, _ in runs)
    return [None, *cells] if wide else cells
