"""Whole rows and blocks: insert, duplicate, delete, move, sort, fill down, copy, paste, lock.

Functions from desk to desk. Apart from ``desk.py``, which knows single cells and time.
"""

from __future__ import annotations

from dataclasses import replace

from scaledesign.model.document import Row
from scaledesign.model.edits import (
    AddHole,
    DeleteRow,
    Edit,
    InsertRow,
    MoveRow,
    RemoveHole,
    ReorderRows,
    Several,
)
from scaledesign.view import scale_edits
from scaledesign.view.clipboard import format_table, parse_table, plain_text
from scaledesign.view.columns import Column, Sheet, Spot
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.hole_locks import is_foot, lock_edit
from scaledesign.view.holes import blank_hole
from scaledesign.view.rows import hole_of, new_row
from scaledesign.view.scale_pane import row_of
from scaledesign.view.selection import Selection
from scaledesign.view.setup import about_tube

NO_VALUE = (2, 0.0, "")
"""What a row without a value is sorted by."""
NO_ROWS_HERE = "Rows are added and taken out in the grid, holes in the hole list."


def inserted(desk: Desk, now: float) -> Desk:
    """A row before the cursor's, alike but without its reading; in the hole list a hole."""
    row = desk.selection.row
    if desk.pane == "holes":
        edit: Edit = AddHole(blank_hole(desk.sheet, row), row)
        return desk.doing(edit, now)
    if desk.pane == "scale":
        return scale_edits.inserted(desk, now)
    if desk.pane == "setup":
        return desk.saying(NO_ROWS_HERE, "faint")
    count = len(desk.design.rows)
    place = min(row, count)
    like = place if place < count else None
    edit = InsertRow(new_row(desk.sheet, like), place)
    return desk.doing(edit, now)


def duplicated(desk: Desk, now: float) -> Desk:
    """The cursor's row once more, below itself."""
    row = desk.selection.row
    if desk.pane != "rows" or row >= len(desk.design.rows):
        return desk.saying(NO_ROWS_HERE, "faint")
    edit = Several(f"duplicate row {row + 1}", (InsertRow(new_row(desk.sheet, row), row + 1),))
    done = desk.doing(edit, now)
    return done if done.said.tone == "wrong" else _keeping(done, done.selection.moved(1, 0))


def deleted(desk: Desk, now: float) -> Desk:
    """The selected rows taken out; in the hole list the holes, the foot excepted."""
    chosen = desk.selection.rows
    if desk.pane == "scale":
        return scale_edits.removed(desk, now)
    if desk.pane == "setup":
        return desk.saying(NO_ROWS_HERE, "faint")
    things = desk.design.holes if desk.pane == "holes" else desk.design.rows
    chosen = range(chosen.start, min(chosen.stop, len(things)))
    if not chosen:
        return desk.saying("There is nothing to take out here.", "faint")
    take: type[DeleteRow] | type[RemoveHole] = DeleteRow if desk.pane == "rows" else RemoveHole
    edits = tuple(take(i) for i in reversed(chosen))
    kind = "rows" if desk.pane == "rows" else "holes"
    edit = edits[0] if len(edits) == 1 else Several(f"delete {len(edits)} {kind}", edits)
    done = desk.doing(edit, now)
    return _keeping(done, Selection(chosen.start, desk.selection.column))


def shifted_rows(desk: Desk, by: int, now: float) -> Desk:
    """The selected rows moved up (-1) or down (+1), the cursor with them."""
    if desk.pane != "rows":
        return desk.saying("Only rows of the grid can be moved; holes lie as they lie on the tube.", "faint")
    chosen, count = desk.selection.rows, len(desk.design.rows)
    start = chosen.start + by
    if start < 0 or chosen.stop + by > count or chosen.stop > count:
        return desk
    rest = [i for i in range(count) if i not in chosen]
    order = (*rest[:start], *chosen, *rest[start:])
    edit: Edit = MoveRow(chosen.start, start)
    if len(chosen) > 1:
        edit = Several(f"move rows {chosen.start + 1} to {chosen.stop}", (ReorderRows(order),))
    chosen_now = desk.selection
    done = desk.doing(edit, now)
    anchor = None if chosen_now.anchor_row is None else chosen_now.anchor_row + by
    return _keeping(done, replace(chosen_now, row=chosen_now.row + by, anchor_row=anchor))


def sorted_rows(desk: Desk, now: float) -> Desk:
    """The rows sorted by the cursor's column, low first; sorted so already, the other way round.

    Rows without a value come last either way.
    """
    if desk.pane != "rows" or not desk.design.rows:
        return desk.saying("Only rows of the grid can be sorted.", "faint")
    sheet, column = desk.sheet, desk.column
    values = {row: _order(column, sheet, row) for row in range(len(desk.design.rows))}
    known = [row for row in values if values[row] != NO_VALUE]
    rest = [row for row in values if values[row] == NO_VALUE]
    order = (*sorted(known, key=values.__getitem__), *rest)
    if order == tuple(values):
        order = (*sorted(known, key=values.__getitem__, reverse=True), *rest)
    if order == tuple(values):
        return desk.saying("Already sorted.", "faint")
    name = f"sort rows by {column.title or 'number'}"
    edit = Several(name, (ReorderRows(order),))
    return desk.doing(edit, now)


def _order(column: Column, sheet: Sheet, row: int) -> tuple[int, float, str]:
    """What a row is sorted by: numbers before texts; ``NO_VALUE`` where there is nothing."""
    value = column.order(sheet, row) if column.order else column.text(sheet, row)
    if column.key == "note":
        value = sheet.number("target", row)
    if isinstance(value, float | int):
        return NO_VALUE if value != value else (0, float(value), "")
    return (1, 0.0, str(value)) if value else NO_VALUE


def filled(desk: Desk, now: float) -> Desk:
    """The first row of the selection copied into the others; a single cell takes what stands above it."""
    rows = desk.selection.rows
    if len(rows) == 1:
        if not rows.start:
            return desk.saying("There is nothing above to fill from.", "faint")
        rows = range(rows.start - 1, rows.stop)
    sheet = desk.sheet
    rows = range(rows.start, min(rows.stop, PANES[desk.pane].count(sheet)))
    columns = [desk.columns[i] for i in desk.selection.columns]
    source = {column.key: column.text(sheet, rows.start) for column in columns}
    keys = _filled_columns(columns)
    texts = [((desk.pane, row, key), source[key]) for row in rows[1:] for key in keys]
    if not texts:
        return desk.saying("There is nothing to fill here.", "faint")
    return desk.write(texts, now, "fill down")


def _filled_columns(columns: list[Column]) -> list[str]:
    """Columns that take a text; the target in Hz only where the note is not among them."""
    keys = [column.key for column in columns if column.write is not None]
    return [key for key in keys if key != "hertz" or "note" not in keys]


def copied(desk: Desk) -> str:
    """The selection as tab-separated text, exact."""
    sheet, columns = desk.sheet, desk.columns
    return format_table(
        tuple(
            tuple(columns[i].text(sheet, row) for i in desk.selection.columns)
            for row in desk.selection.rows
            if row < PANES[desk.pane].count(sheet)
        )
    )


def pasted(desk: Desk, text: str, now: float) -> Desk:
    """Tab-separated text put in from the cursor on; rows, or degrees, that are not there are added.

    One value fills the whole selection. A cell that reads as a whole fingering (XXX XOO) sets the holes of
    its row wherever it stands.
    """
    from scaledesign.errors import QuantityError

    try:
        block = parse_table(text)
    except QuantityError as fault:
        return desk.saying(str(fault), "wrong")
    if not block:
        return desk.saying("There is nothing to paste.", "faint")
    top, left = desk.selection.rows.start, desk.selection.columns.start
    if len(block) == 1 and len(block[0]) == 1:
        block = (block[0] * len(desk.selection.columns),) * len(desk.selection.rows)
    columns = desk.columns[left:]
    keys = [column.key for column, _ in zip(columns, block[0], strict=False)]
    fingering = next((c.key for c in desk.columns if c.key.startswith("hole ")), "")
    count = PANES[desk.pane].count(desk.sheet)
    texts: list[tuple[Spot, str]] = []
    for i, line in enumerate(block if desk.pane in ("rows", "scale") else block[: count - top]):
        for key, cell in zip(keys, map(plain_text, line), strict=False):
            whole = desk.pane == "rows" and _is_fingering(cell, desk)
            if key == "hertz" and "note" in keys and not whole:
                continue
            texts.append(((desk.pane, top + i, fingering if whole else key), cell))
    name = f"paste {len(block)} by {len(keys)}" if len(texts) > 1 else "paste"
    return _range(desk.write(texts, now, name), top, left, len(block), len(keys))


def _is_fingering(cell: str, desk: Desk) -> bool:
    letters = "".join(cell.split())
    count = len(desk.design.fingered())
    return count > 1 and len(letters) == count and set(letters.upper()) <= set("XOH")


def _range(desk: Desk, top: int, left: int, rows: int, columns: int) -> Desk:
    return _keeping(desk, Selection(top + rows - 1, left + columns - 1, top, left))


def locked(desk: Desk, now: float) -> Desk:
    """The hole the cursor is about locked, or freed; in the form the foot."""
    sheet = desk.sheet
    if desk.pane == "setup":
        if not about_tube(sheet, desk.selection.row):
            return desk.saying("Put the cursor on a line of the tube to lock its foot.", "faint")
        return desk.doing(lock_edit(sheet, len(desk.design.holes)), now)
    if desk.pane in ("rows", "scale"):
        hole = hole_of(desk.column, sheet)
        if hole is None:
            return desk.saying("Put the cursor on a hole, here or in the hole list, to lock it.", "faint")
        return desk.doing(lock_edit(sheet, hole), now)
    edits = tuple(lock_edit(sheet, row) for row in desk.selection.rows)
    return desk.doing(edits[0] if len(edits) == 1 else Several(f"lock {len(edits)} holes", edits), now)


def hole_at_cursor(desk: Desk) -> int | None:
    """The hole (0-based) that the cursor is about, or None."""
    if desk.pane == "holes":
        return None if is_foot(desk.sheet, desk.selection.row) else desk.selection.row
    return hole_of(desk.column, desk.sheet) if desk.pane == "rows" else None


def row_number(desk: Desk) -> int | None:
    """The row (0-based) of the grid that is in hand, whichever pane is in use; in the scale the degree's.

    None where there are no rows.
    """
    if desk.pane == "scale" and (played := row_of(desk.sheet, desk.selection.row)) is not None:
        return played
    count = len(desk.design.rows)
    return min(desk.selections["rows"].row, count - 1) if count else None


def row_at_cursor(desk: Desk) -> Row | None:
    """The same row itself."""
    number = row_number(desk)
    return None if number is None else desk.design.rows[number]


def _keeping(desk: Desk, selection: Selection) -> Desk:
    """Another selection, the message kept."""
    return replace(desk.going(selection), said=desk.said)
