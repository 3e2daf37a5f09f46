"""How the flute lies under a hand, and the layout without a tape, while the grid is open.

Lists that are worked out in a thread; what is taken from one is one step of the design. Apart from the lists
themselves (``view/hands_list.py``, ``view/by_eye_list.py``), which know no screen.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from scaledesign.errors import ScaledesignError
from scaledesign.view.listing import Listing, Taken

if TYPE_CHECKING:
    from scaledesign.model.document import Hand
    from scaledesign.model.edits import Become
    from scaledesign.ui.app import GridApp
    from scaledesign.view.columns import Sheet


class ByHandWork:
    """The lists, and what becomes of a choice."""

    def __init__(self, app: GridApp) -> None:
        self._app = app

    def hands(self, own: str | Hand | None = None) -> None:
        """What a hand cannot cover, and what would help; ``own``: another than the design's, to try."""
        from scaledesign.view import hands_list

        self._list(
            "Under the hand",
            lambda sheet: hands_list.under_hand(sheet, own),
            self._take_remedy,
            "Trying what would help",
        )

    def _take_remedy(self, taken: Taken) -> None:
        from scaledesign.view import hands_list

        if taken.second:
            self._ask_hand()
        else:
            self._do(hands_list.put_in(taken.value))

    def _ask_hand(self) -> None:
        from scaledesign.model.hands import HANDS
        from scaledesign.ui.chooser import Chooser, Item
        from scaledesign.workshop.reach import hand_words

        units = self._app.main.desk.design.units
        items = tuple(Item(name, name, hand_words(name, units)) for name in HANDS)
        hint = "a name, or span and finger tip: " + ("62, 15" if units == "mm" else "2 1/2, 5/8")
        chooser = Chooser(self._app.look, "Whose hand?", items, free=True, hint=hint)
        self._app.push_screen(chooser, lambda text: self._take_hand(text) if text else None)

    def _take_hand(self, text: str) -> None:
        from scaledesign.model.hands import parse_hand

        main = self._app.main
        try:
            own = parse_hand(text, main.desk.design.units)
        except ScaledesignError as error:
            main.show(main.desk.saying(str(error), "wrong"))
            return
        self.hands(own)

    def without_a_tape(self) -> None:
        """The layout by a cord, by fingers, by the bore; rules of thumb."""
        from scaledesign.view import by_eye_list

        self._list(
            "Without a tape",
            by_eye_list.without_a_tape,
            lambda taken: self._do(by_eye_list.put_in(taken.value)),
            "Laying it out in every way",
        )

    def _do(self, edit: Become) -> None:
        """One step of the design; it was played already, so nothing moves any more."""
        main = self._app.main
        main.show(main.desk.doing(edit, time.monotonic(), laid_out=True))

    def _list(
        self,
        title: str,
        work: Callable[[Sheet], tuple[Listing, ...]],
        take: Callable[[Taken], None],
        busy: str,
    ) -> None:
        from scaledesign.ui.worked_list import WorkedList

        sheet = self._app.main.desk.sheet
        dialog = WorkedList(self._app.look, title, busy, lambda: work(sheet))
        self._app.push_screen(dialog, lambda taken: take(taken) if taken else None)
