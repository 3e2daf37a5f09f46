"""A fingering chart in plain text: one line a note, for a message or an arm's length.

Apart from the report because the player gets it: notes and fingers, nothing about acoustics. A fingering
that would not be heard as its note is not promised to anybody.
"""

from __future__ import annotations

from collections.abc import Sequence

from scaledesign.model.document import Design, HoleState, Row
from scaledesign.paper.text import paragraph, table

CIRCLES: dict[HoleState, str] = {"X": "●", "O": "○", "H": "◐"}
LETTERS: dict[HoleState, str] = {"X": "X", "O": "o", "H": "/"}
HEARD = 50.0
"""Cents beyond which a fingering is nearer to another note, and no lip mends it."""


def fingering_chart(design: Design, cents: Sequence[float] = (), *, ascii_only: bool = False) -> str:
    """Chart of the notes in the file's order.

    Thumb holes stand first and apart, then the upper and the lower hand, mouth to the left.

    Parameters
    ----------
    design : Design
    cents : (R,) how far each row is off, NaN where it cannot sound; those that miss by more than ``HEARD``
        are left out and named, those of the scale are kept. Empty: all are kept
    ascii_only : bool
        letters instead of circles, for a terminal or a phone that spoils them
    """
    signs = LETTERS if ascii_only else CIRCLES
    heard = [abs(float(off)) <= HEARD for off in cents]
    far = {i for i, true in enumerate(heard) if not true and design.rows[i].role != "scale"}
    shown = [row for i, row in enumerate(design.rows) if i not in far]
    key = f"{signs['X']} closed   {signs['O']} open"
    if any("H" in row.holes for row in shown):
        key += f"   {signs['H']} partly open"
    head = f"{design.name or 'Flute'} in {design.tuning.tonic}"
    if design.tuning.scale:
        head += f", {design.tuning.scale}"
    rows = [(row.note, _fingers(design, row, signs), _words(row, shown[:i])) for i, row in enumerate(shown)]
    lines = table(("", "", ""), rows, "lll").splitlines()[1:]
    if far:
        notes = ", ".join(dict.fromkeys(design.rows[i].note for i in sorted(far)))
        lines += ["", paragraph(f"Left out, because it would not sound as its note: {notes}.")]
    return "\n".join((paragraph(head), f"{key}   mouth to the left", "", *lines))


def _fingers(design: Design, row: Row, signs: dict[HoleState, str]) -> str:
    """Thumbs, upper hand, lower hand."""
    groups: dict[str, list[str]] = {"T": [], "L": [], "R": []}
    fingered = (hole for hole in design.holes if hole.finger != "none")
    for hole, state in zip(fingered, row.holes, strict=True):
        group = "T" if hole.finger.endswith("T") else hole.finger[0]
        groups[group].append(signs[state])
    return "   ".join(" ".join(group) for group in groups.values() if group)


def _words(row: Row, above: Sequence[Row]) -> str:
    """How to blow it, and whether it is of the scale; "also" where the note stands above already."""
    words = [] if row.register == 1 else ["blow harder" if row.register == 2 else "blow harder still"]
    if row.role != "scale" and any(other.note == row.note for other in above):
        words.append("also")
    elif row.role == "chromatic":
        words.append("between")
    return ", ".join(words)
