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
    from scaledesign.ui.app import GridApp
    from scaledesign.view.by_eye_list import Placed
    from scaledesign.view.columns import Sheet
    from scaledesign.view.hands_list import Fitted


class ByHandWork:
    """The lists, and what becomes of a choice."""

    def __init__(self, app: GridApp) -> None:
        self._app = app

    def hands(self) -> None:
        """What the hand cannot cover, and what would help."""
        from scaledesign.view import hands_list

        self._list("Under the hand", hands_list.under_hand, self._take_remedy, "Trying what would help")

    def _take_remedy(self, taken: Taken) -> None:
        from scaledesign.view import hands_list

        if taken.second:
            self._ask_hand()
            return
        chosen: Fitted = taken.value  # type: ignore[assignment]
        main = self._app.main
        main.show(main.desk.doing(hands_list.put_in(chosen), time.monotonic()))

    def _ask_hand(self) -> None:
        from scaledesign.model.hands import HANDS
        from scaledesign.ui.chooser import Chooser, Item
        from scaledesign.workshop.reach import hand_words

        units = self._app.main.desk.design.units
        items = tuple(Item(name, name, hand_words(name, units)) for name in HANDS)
        hint = "a name, or span and finger tip: 62, 15"
        chooser = Chooser(self._app.look, "Whose hand?", items, free=True, hint=hint)
        self._app.push_screen(chooser, lambda text: self._take_hand(text) if text else None)

    def _take_hand(self, text: str) -> None:
        from scaledesign.view import hands_list

        main = self._app.main
        try:
            edit = hands_list.another_hand(main.desk.design, text)
            main.show(main.desk.doing(edit, time.monotonic()))
        except ScaledesignError as error:
            main.show(main.desk.saying(str(error), "wrong"))
            return
        self.hands()

    def without_a_tape(self) -> None:
        """The layout by a cord, by fingers, by the bore; rules of thumb."""
        from scaledesign.view import by_eye_list

        def take(taken: Taken) -> None:
            chosen: Placed = taken.value  # type: ignore[assignment]
            main = self._app.main
            main.show(main.desk.doing(by_eye_list.put_in(chosen), time.monotonic()))

        self._list("Without a tape", by_eye_list.without_a_tape, take, "Laying it out in every way")

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
