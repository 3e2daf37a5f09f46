"""Where a moving key leads: arrows, Tab, Home, End and the pages; with Shift they draw out a range.

These keys are what every table has; they are not in the table of actions.
"""

from __future__ import annotations

from scaledesign.view.desk import Desk, lines_of
from scaledesign.view.selection import Selection

STEPS = {"up": (-1, 0), "down": (1, 0), "left": (0, -1), "right": (0, 1), "tab": (0, 1)}


def jumped(desk: Desk, key: str, page: int) -> Selection | None:
    """The selection after a moving key; None for any other key. ``page``: rows that are in view."""
    now = desk.selection
    if key == "shift+tab":
        return now.moved(0, -1)
    stretch, plain = key.startswith("shift+"), key.removeprefix("shift+")
    if plain in STEPS:
        return now.moved(*STEPS[plain], stretch=stretch)
    last, end = lines_of(desk.pane, desk.sheet) - 1, len(desk.columns) - 1
    places = {
        "pageup": (now.row - page, now.column),
        "pagedown": (now.row + page, now.column),
        "home": (now.row, 1),
        "end": (now.row, end),
        "ctrl+home": (0, 1),
        "ctrl+end": (last, end),
    }
    return now.at(*places[plain], stretch=stretch) if plain in places else None
