"""Rescue of a finished flute on the screen: its plans as a list, one taken, and what to do then.

Apart from the plans themselves (``view/rescue_list.py``). The reckoning is done in the list's thread.
"""

from __future__ import annotations

import time
from datetime import datetime
from typing import TYPE_CHECKING

from scaledesign.errors import ScaledesignError
from scaledesign.model.document import Design
from scaledesign.view.listing import Listing, Taken

if TYPE_CHECKING:
    from scaledesign.ui.app import GridApp
    from scaledesign.view.columns import Sheet
    from scaledesign.workshop.rescue import Proposal, Rescue

TITLE = "Rescue"
DONE = "Plan of rescue, by your readings; off is still the drawing's. Do it, blow, type what the tuner says."


class RescueWork:
    """What mends the flute in hand."""

    def __init__(self, app: GridApp) -> None:
        self._app = app
        self._kept: tuple[Design, Listing] | None = None
        """What was worked out last, for which flute."""

    def show(self) -> None:
        """The plans, worked out."""
        from scaledesign.ui.worked_list import WorkedList

        sheet = self._app.main.desk.sheet
        dialog = WorkedList(
            self._app.look, TITLE, "Trying every change of holes and foot", lambda: (self._plans(sheet),)
        )
        self._app.push_screen(dialog, lambda taken: self._take(sheet, taken) if taken else None)

    def _plans(self, sheet: Sheet) -> Listing:
        from scaledesign.view import rescue_list

        kept = self._kept
        if kept is None or kept[0] != sheet.design:
            kept = self._kept = sheet.design, rescue_list.plans(sheet)
        return kept[1]

    def _take(self, sheet: Sheet, taken: Taken) -> None:
        from scaledesign.ui.dialog import Reading
        from scaledesign.view import rescue_list

        main = self._app.main
        found: Rescue
        plan: Proposal
        found, plan = taken.value
        words = rescue_list.words_for(sheet, found)
        if not taken.second:
            try:
                edit = rescue_list.put_in(main.desk.design, words, plan, datetime.now())
            except ScaledesignError as error:
                main.show(main.desk.saying(str(error), "wrong"))
                return
            desk = main.desk.doing(edit, time.monotonic(), laid_out=True)
            main.show(desk.saying(DONE, "strong"))
        self._app.push_screen(
            Reading(self._app.look, "What to do", lambda width: rescue_list.to_do(words, plan, width)),
            lambda _: self.show() if taken.second else None,
        )
