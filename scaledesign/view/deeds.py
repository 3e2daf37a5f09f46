"""What the actions do that change nothing but the desk: one function from desk to desk for each.

Beside the table of actions (``actions.py``), which only names them. Actions that need a file, a dialog or the
clipboard are the screen's.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from scaledesign.view import row_work
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.selection import Selection

Deed = Callable[[Desk, float], Desk]
"""A desk and the time in seconds give the desk afterwards."""


def _all_selected(desk: Desk) -> Desk:
    last = max(0, PANES[desk.pane].count(desk.sheet) - 1)
    return desk.going(Selection(last, len(desk.columns) - 1, 0, 1))


DEEDS: Mapping[str, Deed] = {
    "clear": Desk.cleared,
    "sharper": lambda desk, now: desk.nudged(1, now),
    "flatter": lambda desk, now: desk.nudged(-1, now),
    "fill": row_work.filled,
    "select_all": lambda desk, now: _all_selected(desk),
    "undo": lambda desk, now: desk.undone(),
    "redo": lambda desk, now: desk.redone(),
    "insert": row_work.inserted,
    "duplicate": row_work.duplicated,
    "delete": row_work.deleted,
    "up": lambda desk, now: row_work.shifted_rows(desk, -1, now),
    "down": lambda desk, now: row_work.shifted_rows(desk, 1, now),
    "sort": row_work.sorted_rows,
    "lock": row_work.locked,
    "measure": lambda desk, now: desk.measuring(),
    "hold": lambda desk, now: desk.holding(),
    "solve": lambda desk, now: desk.solving(),
}
