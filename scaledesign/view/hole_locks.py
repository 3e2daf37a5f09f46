"""What no solve moves: the locks of the hole list, what is drilled, and who placed a hole.

Apart from its other columns, which say where holes are and how wide.
"""

from __future__ import annotations

from scaledesign.errors import EditError, QuantityError
from scaledesign.model.edits import Edit, SetField, SetHole, Several
from scaledesign.paper.hole_list import PLACED_WORDS
from scaledesign.view.columns import Cell, Sheet
from scaledesign.view.lines import Span

BOTH = frozenset({"at", "diameter"})


def is_foot(sheet: Sheet, row: int) -> bool:
    """Whether a row of the list is the foot, which stands below the holes."""
    return row >= len(sheet.design.holes)


def needs_hole(sheet: Sheet, row: int, text: str) -> bool:
    """Whether a row is a hole; only nothing can be typed into what the foot has not."""
    if not is_foot(sheet, row):
        return True
    if text.strip():
        raise EditError("this is the foot, not a hole", "change its place, or lock it")
    return False


def show_number(sheet: Sheet, row: int) -> Cell:
    """The number of a hole, a mark before it where it is locked; of the foot the mark alone."""
    lock = show_lock(sheet, row)
    number = "" if is_foot(sheet, row) else str(row + 1)
    if not lock.text:
        return Cell(number, "faint")
    return Cell(spans=(Span(sheet.signs.locked, "held"), Span(number, "faint")), note=lock.note)


def show_lock(sheet: Sheet, row: int) -> Cell:
    """Which of place and width is locked."""
    design = sheet.design
    if is_foot(sheet, row):
        return Cell(f"{sheet.signs.locked} foot" if design.tube.locked else "", "held")
    words = lock_text(sheet, row)
    drilled = design.holes[row].drilled
    note = f"{'Locked (drilled)' if drilled else 'You locked it'}: no solve moves it." if words else ""
    return Cell(f"{sheet.signs.locked} {words}" if words else "", "held", note=note)


def lock_text(sheet: Sheet, row: int) -> str:
    """The lock as it is typed."""
    if is_foot(sheet, row):
        return "yes" if sheet.design.tube.locked else ""
    words = {BOTH: "both", frozenset({"at"}): "place", frozenset({"diameter"}): "width"}
    return words.get(sheet.design.holes[row].locked, "")


def lock_edit(sheet: Sheet, row: int) -> Edit:
    """Lock a hole or the foot that is free, free one that is locked."""
    design = sheet.design
    if is_foot(sheet, row):
        return SetField("tube", "locked", not design.tube.locked)
    return SetHole(row, "locked", frozenset() if design.holes[row].locked else BOTH)


def write_lock(sheet: Sheet, row: int, text: str) -> Edit:
    """A lock typed."""
    said = text.strip().casefold()
    words = {
        "": frozenset(),
        "no": frozenset(),
        "both": BOTH,
        "yes": BOTH,
        "place": {"at"},
        "width": {"diameter"},
    }
    if said not in words:
        raise QuantityError(text, "is no lock", "write both, place, width or no")
    if is_foot(sheet, row):
        return SetField("tube", "locked", bool(words[said]))
    return SetHole(row, "locked", frozenset(words[said]))


def show_placed(sheet: Sheet, row: int) -> Cell:
    """Who placed a hole."""
    if is_foot(sheet, row):
        return Cell()
    if "at" in sheet.design.holes[row].locked:
        note = "Locked (drilled): it is where it was drilled." if sheet.design.holes[row].drilled else ""
        return Cell(PLACED_WORDS["locked"], "faint", note=note)
    placed = sheet.answer.placed
    return Cell(PLACED_WORDS[placed[row]], "faint") if row < len(placed) else Cell()


def show_drilled(sheet: Sheet, row: int) -> Cell:
    """Whether a hole is drilled."""
    if is_foot(sheet, row):
        return Cell()
    return Cell("yes" if sheet.design.holes[row].drilled else sheet.signs.true, "plain")


def drilled_edit(sheet: Sheet, row: int) -> Edit | None:
    """Mark a hole as drilled, which locks it; or as not drilled, which frees it."""
    if is_foot(sheet, row):
        return None
    now = not sheet.design.holes[row].drilled
    edit = SetHole(row, "drilled", now)
    name = f"mark hole {row + 1} as {'drilled' if now else 'not drilled'}"
    return Several(name, (edit, SetHole(row, "locked", BOTH if now else frozenset())))


def write_drilled(sheet: Sheet, row: int, text: str) -> Edit | None:
    """Drilled, or not, typed."""
    said = text.strip().casefold()
    if said not in ("", "y", "yes", "n", "no"):
        raise QuantityError(text, "is neither yes nor no", "write yes or no")
    if not needs_hole(sheet, row, text):
        return None
    return drilled_edit(sheet, row) if said.startswith("y") != sheet.design.holes[row].drilled else None
