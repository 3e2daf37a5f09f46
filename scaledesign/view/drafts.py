"""Texts that could not be read: where each belongs after rows, holes or the lines of the form have changed.

A text stays with the thing it was typed for. Rows and holes are known again as the very values they were,
lines of the form by what they set. Apart from the desk, so that no edit has to say what it does to them.
"""

from __future__ import annotations

from collections.abc import Mapping

from scaledesign.model.document import Design, Hole, Row
from scaledesign.view.columns import Draft, Spot
from scaledesign.view.scale_degrees import degrees_of
from scaledesign.view.setup import fields

Drafts = Mapping[Spot, Draft]


def carried(before: Design, after: Design, old: Drafts, new: Drafts) -> dict[Spot, Draft]:
    """Texts beside the design that an edit made: ``old`` ones follow what they belong to.

    Those that came with the edit stand where they were typed; degrees move by size, so theirs follow too.
    """
    older = {spot: draft for spot, draft in new.items() if old.get(spot) is draft or spot[0] == "scale"}
    fresh = {spot: draft for spot, draft in new.items() if spot not in older}
    return followed(before, after, older) | fresh


def followed(before: Design, after: Design, drafts: Drafts) -> dict[Spot, Draft]:
    """Texts beside a design as they belong beside the one it became; those of what is gone are gone."""
    moved: dict[Spot, Draft] = {}
    for spot, draft in drafts.items():
        place = _place(before, after, spot)
        if place is not None:
            moved[place] = draft
    return moved


def _place(before: Design, after: Design, spot: Spot) -> Spot | None:
    pane, row, key = spot
    new: int | None
    if pane == "setup":
        lines = [field.path for field in fields(after)]
        path = fields(before)[row].path
        new = lines.index(path) if path in lines else None
    elif pane == "scale":
        new = _degree(before, after, row)
    elif pane == "holes":
        foot = row == len(before.holes)
        new = len(after.holes) if foot else _found(before.holes, after.holes, row)
    else:
        new = _found(before.rows, after.rows, row)
        if key.startswith("hole "):
            letter = _letter(before, after, int(key.removeprefix("hole ")))
            key = f"hole {letter}"
            new = None if letter is None else new
    return None if new is None else (pane, new, key)


def _degree(before: Design, after: Design, row: int) -> int | None:
    """The line of a degree now: by its size, or where there are as many as before; new ones come last."""
    old, new = (degrees_of(design) for design in (before, after))
    if row >= len(old):
        return len(new) + row - len(old)
    sizes = [degree.cents for degree in new]
    if old[row].cents in sizes:
        return sizes.index(old[row].cents)
    return row if len(old) == len(new) else None


def _found(old: tuple[Row | Hole, ...], new: tuple[Row | Hole, ...], place: int) -> int | None:
    """Where a row or hole stands now; changed itself, it stands where it stood."""
    if place < len(old):
        for i, item in enumerate(new):
            if item is old[place]:
                return i
    return place if len(new) >= len(old) else None


def _letter(before: Design, after: Design, letter: int) -> int | None:
    """Which letter of a fingering belongs to the same hole now."""
    hole = _found(before.holes, after.holes, before.fingered()[letter])
    fingered = after.fingered()
    return fingered.index(hole) if hole in fingered else None
