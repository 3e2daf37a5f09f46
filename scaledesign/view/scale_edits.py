"""Whole degrees of the tuning put in and taken out; functions from desk to desk.

Apart from the cells of the table (``scale_pane.py``) and from rows and holes (``row_work.py``).
"""

from __future__ import annotations

from dataclasses import replace

from scaledesign.errors import ScaledesignError
from scaledesign.model.degrees import SetDegrees, adding, cents_text, removing
from scaledesign.model.edits import Edit, Several, apply
from scaledesign.view.desk import Desk
from scaledesign.view.selection import Selection
from scaledesign.view.wording import sentence
from scaledesign.workshop import ask

TYPE_IT = "Type the new degree into this line, such as 316 c or 6/5: it goes where it belongs by size."


def inserted(desk: Desk, now: float) -> Desk:
    """A degree half-way between the cursor's and the one before, to be moved from there."""
    degrees, row = desk.sheet.degrees, desk.selection.row
    if row >= len(degrees):
        return desk.saying(TYPE_IT, "faint")
    above = max(1, row)
    cents = float(round((degrees[above - 1].cents + degrees[above].cents) / 2))
    try:
        edit = adding(desk.design, ask.scale_of(desk.design), cents_text(cents))
    except ScaledesignError as error:
        return desk.saying(sentence(error), "wrong")
    done = desk.doing(edit, now)
    return replace(done.going(Selection(above, done.selection.column)), said=done.said)


def removed(desk: Desk, now: float) -> Desk:
    """The selected degrees taken out; the tonic and the place where they repeat stay."""
    chosen = [row for row in desk.selection.rows if row < len(desk.sheet.degrees)]
    if not chosen:
        return desk.saying("There is nothing to take out here.", "faint")
    if chosen == [len(desk.sheet.degrees) - 1]:
        return desk.saying("Here the degrees repeat: type another size, or take out a degree above.", "faint")
    edits: list[Edit] = []
    design = desk.design
    try:
        for row in reversed(chosen):
            if row < len(desk.sheet.degrees) - 1:
                edit: SetDegrees = removing(design, ask.scale_of(design), row)
                design = apply(design, edit)
                edits.append(edit)
    except ScaledesignError as error:
        return desk.saying(sentence(error), "wrong")
    whole = edits[0] if len(edits) == 1 else Several(f"take out {len(edits)} degrees", tuple(edits))
    done = desk.doing(whole, now)
    return replace(done.going(Selection(chosen[0], desk.selection.column)), said=done.said)
