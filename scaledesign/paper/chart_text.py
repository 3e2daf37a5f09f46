"""A fingering chart in plain text: one line a note, for a message or an arm's length.

Apart from the report because the player gets it: notes and fingers, nothing about acoustics.
"""

from __future__ import annotations

from scaledesign.model.document import Design, HoleState, Row
from scaledesign.paper.text import paragraph, table

CIRCLES: dict[HoleState, str] = {"X": "●", "O": "○", "H": "◐"}
LETTERS: dict[HoleState, str] = {"X": "X", "O": "o", "H": "/"}


def fingering_chart(design: Design, *, ascii_only: bool = False) -> str:
    """Chart of every note in the file's order.

    Thumb holes stand first and apart, then the upper and the lower hand, mouth to the left.

    Parameters
    ----------
    design : Design
    ascii_only : bool
        letters instead of circles, for a terminal or a phone that spoils them
    """
    signs = LETTERS if ascii_only else CIRCLES
    rows = [(row.note, _fingers(design, row, signs), _words(row)) for row in design.rows]
    key = f"{signs['X']} closed   {signs['O']} open"
    if any("H" in row.holes for row in design.rows):
        key += f"   {signs['H']} half open"
    head = f"{design.name or 'Flute'} in {design.tuning.tonic}"
    if design.tuning.scale:
        head += f", {design.tuning.scale}"
    lines = table(("", "", ""), rows, "lll").splitlines()[1:]
    return "\n".join((paragraph(head), f"{key}   mouth to the left", "", *lines))


def _fingers(design: Design, row: Row, signs: dict[HoleState, str]) -> str:
    """Thumbs, upper hand, lower hand."""
    groups: dict[str, list[str]] = {"T": [], "L": [], "R": []}
    fingered = (hole for hole in design.holes if hole.finger != "none")
    for hole, state in zip(fingered, row.holes, strict=True):
        group = "T" if hole.finger.endswith("T") else hole.finger[0]
        groups[group].append(signs[state])
    return "   ".join(" ".join(group) for group in groups.values() if group)


def _words(row: Row) -> str:
    words = [] if row.register == 1 else ["blow harder" if row.register == 2 else "blow harder still"]
    words += {"scale": [], "chromatic": ["between"], "alternate": ["also"]}[row.role]
    return ", ".join(words)
