"""A pattern flute on the screen: its numbers held against its notes, and carried to another tube or key.

Apart from the lists and questions themselves (``view/slips_list.py``, ``view/carry_questions.py``,
``view/carried_list.py``), which know no screen.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from scaledesign.view.desk import PANES, Desk
from scaledesign.view.listing import Taken
from scaledesign.view.selection import Selection

if TYPE_CHECKING:
    from scaledesign.ui.app import GridApp
    from scaledesign.view.lines import Line
    from scaledesign.workshop.carry import Carried


class PatternWork:
    """Checking a pattern, and carrying it over."""

    def __init__(self, app: GridApp) -> None:
        self._app = app

    def check(self) -> None:
        """The numbers that its notes contradict."""
        from scaledesign.ui.worked_list import WorkedList
        from scaledesign.view import slips_list

        sheet = self._app.main.desk.sheet
        dialog = WorkedList(
            self._app.look, "Check the pattern", "Trying each number as the wrong one",
            lambda: slips_list.checked(sheet),
        )  # fmt: skip
        self._app.push_screen(dialog, lambda taken: self._go(taken) if taken else None)

    def _go(self, taken: Taken) -> None:
        from scaledesign.view.slips_list import Wrong

        wrong = taken.value
        assert isinstance(wrong, Wrong)
        main = self._app.main
        desk = main.desk
        if taken.second and wrong.edit is not None:
            main.show(desk.doing(wrong.edit, time.monotonic(), laid_out=True))
            return
        desk = desk.going_to(wrong.pane)
        keys = [column.key for column in PANES[wrong.pane].columns(desk.sheet)]
        column = keys.index(wrong.column) if wrong.column in keys else 0
        main.show(desk.going(Selection(wrong.row, column)).saying(wrong.said, "strong"))

    def carry(self) -> None:
        """Tube, key, scale, hand; then the new flute beside the pattern."""
        from scaledesign.ui.dialog import wrapped
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking
        from scaledesign.view.carry_questions import ASKED, CarryOver
        from scaledesign.workshop.carry import Other

        def preview(answers: CarryOver, width: int) -> tuple[Line, ...]:
            return wrapped(answers.preview(), width, "true" if answers.wanted() is not None else "plain")

        def wanted(answers: CarryOver) -> Other:
            want = answers.wanted()
            assert want is not None  # the dialog asks only when there is one
            return want

        asking: Asking[CarryOver, Other] = Asking(
            "Carry it over", CarryOver.questions, preview, lambda answers: answers.wanted() is not None,
            wanted, "carry it over", ASKED,
        )  # fmt: skip
        screen = QuestionScreen[Other](self._app.look, asking, CarryOver(self._app.main.desk.design))
        self._app.push_screen(screen, lambda want: self._carried(want) if want is not None else None)

    def _carried(self, want: object) -> None:
        from scaledesign.ui.worked_list import WorkedList
        from scaledesign.view import carried_list
        from scaledesign.workshop.carry import Other, carried

        assert isinstance(want, Other)
        sheet = self._app.main.desk.sheet
        dialog = WorkedList(
            self._app.look, "Carried over", "Laying it out after the pattern",
            lambda: carried_list.beside(sheet, carried(sheet.design, want)),
        )  # fmt: skip
        self._app.push_screen(dialog, lambda taken: self._open(taken.value) if taken else None)

    def _open(self, found: Carried) -> None:
        app = self._app

        def then() -> None:
            desk = Desk.of(found.design, None, saved=False, like=app.main.desk)
            words = app.worded(
                "After the pattern. Before you drill: cut the tube long, blow it, press {blow}."
            )
            app.files.take_desk(desk.saying(words, "strong"))

        app.files.after_asking(then)
