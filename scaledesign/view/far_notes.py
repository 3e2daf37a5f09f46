"""A typed note that no hole or length could bring a row to: a slip of the finger, kept as a text.

Apart from the columns, which read any note: a file may hold what it likes, and so may what is pasted. Only a
note typed by itself is held against what its row plays, since one wrong figure would move every hole.
"""

from __future__ import annotations

from math import isfinite, log2

from scaledesign.errors import QuantityError, UnknownNameError
from scaledesign.model.document import Design
from scaledesign.model.spelling import tuner_note
from scaledesign.view.columns import Sheet, Spot
from scaledesign.workshop import ask

FAR = 1.5
"""Octaves: a row that is brought further is another flute (proposed here, no source)."""
COLUMNS = ("note", "hertz")


def refuse_far(sheet: Sheet, spot: Spot, text: str, after: Design) -> None:
    """Refuse a note typed into ``spot`` that lies far from what the row plays and from what it was to play.

    ``after`` is the design with it. Nothing is refused of a row that pulls at no hole, nor while nobody
    knows what it plays as it is fingered now.

    Raises
    ------
    QuantityError
    """
    pane, row, key = spot
    if pane != "rows" or key not in COLUMNS or row >= len(sheet.design.rows):
        return
    now, plays = sheet.design.rows[row], sheet.number("frequency", row)
    told = sheet.answer.design.rows[row]
    if not now.weight or not plays > 0 or (told.register, told.holes) != (now.register, now.holes):
        return
    try:
        wanted = ask.targets(after)[row]
    except UnknownNameError:
        return
    away = log2(wanted / plays)
    before = sheet.number("target", row)
    if abs(away) <= FAR or (isfinite(before) and abs(log2(wanted / before)) <= FAR):
        return
    note, _ = tuner_note(sheet.design, plays)
    raise QuantityError(
        text,
        f"lies {abs(away):.1f} octaves {'above' if away > 0 else 'below'} what this fingering plays, "
        f"{note.name}: no hole or length brings it there",
        f"write a note within {FAR:g} octaves of it",
    )
