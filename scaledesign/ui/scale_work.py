"""What is done with scales while the grid is open: retune the flute, try several tunings, keep a scale.

Each is a dialog; what it hands back is one step of the design, or a file. Apart from the questions and lists
themselves (``view/scale_retuning.py`` and beside it), which know no screen.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from scaledesign.errors import ScaledesignError
from scaledesign.model.edits import Become, Edit
from scaledesign.view.listing import Listing, Taken

if TYPE_CHECKING:
    from collections.abc import Iterator

    from scaledesign.ui.app import GridApp
    from scaledesign.view.scale_beside import Tunings
    from scaledesign.view.scale_keeping import Kept
    from scaledesign.workshop.asked import Asked
    from scaledesign.workshop.beside import Tried


class ScaleWork:
    """Dialogs about scales, and what becomes of the answers."""

    def __init__(self, app: GridApp) -> None:
        self._app = app

    def retune(self) -> None:
        """Another scale or tonic, one begun elsewhere, stretched, mixed."""
        from scaledesign.ui.retuning import RetuneScreen
        from scaledesign.view.scale_retuning import Retuning
        from scaledesign.workshop import ask

        desk = self._app.main.desk
        answers = Retuning(desk.design, ask.offers(), self._app.files.folder)
        screen = RetuneScreen(self._app.look, desk, answers)
        self._app.push_screen(screen, lambda edit: self._do(edit) if edit else None)

    # Several tunings

    def tunings(self) -> None:
        """The flute under two to four tunings; one may be taken."""
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking
        from scaledesign.view.scale_beside import NEEDED, Tunings
        from scaledesign.workshop import ask

        asking: Asking[Tunings, tuple[Asked, ...]] = Asking(
            "Tunings side by side", Tunings.questions, Tunings.tail, lambda asked: asked.ready,
            Tunings.wishes, "try them", NEEDED,
        )  # fmt: skip
        answers = Tunings(self._app.main.desk.design, ask.offers())
        screen = QuestionScreen(self._app.look, asking, answers)
        self._app.push_screen(screen, lambda wishes: self._try(wishes) if wishes else None)

    def _try(self, wishes: tuple[Asked, ...]) -> None:
        from scaledesign.ui.worked_list import WorkedList
        from scaledesign.view.scale_beside import beside_list
        from scaledesign.workshop.beside import one_by_one

        sheet = self._app.main.desk.sheet
        left: list[bool] = []

        def until_left() -> Iterator[Tried]:
            for tried in one_by_one(sheet.design, wishes):
                yield tried
                if left:  # Escape: the rest is not worked out
                    return

        def work() -> tuple[Listing, ...]:
            return (beside_list(sheet, until_left()),)

        def done(taken: Taken | None) -> None:
            left.append(True)
            if taken is not None:
                self._take(taken)

        dialog = WorkedList(self._app.look, "Tunings side by side", "Solving the holes for each", work)
        self._app.push_screen(dialog, done)

    def _take(self, taken: Taken) -> None:
        from scaledesign.model.document import Design

        design = taken.value
        assert isinstance(design, Design)
        told = design.tuning
        self._do(Become(f"retune to {told.tonic} {told.scale}", design))

    # Keeping

    def keep(self) -> None:
        """Keep the scale: among one's own, or in a file."""
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking
        from scaledesign.view.scale_keeping import Keeping
        from scaledesign.workshop import ask

        asking: Asking[Keeping, Kept] = Asking(
            "Keep the scale", Keeping.questions, Keeping.tail, lambda asked: asked.ready, Keeping.kept,
            "keep it", 2,
        )  # fmt: skip
        answers = Keeping(self._app.main.desk.design, ask.offers(), self._app.files.folder)
        screen = QuestionScreen(self._app.look, asking, answers)
        self._app.push_screen(screen, lambda kept: self._write(kept) if kept else None)

    def _write(self, kept: Kept) -> None:
        from scaledesign.view.scale_files import keep_own

        if kept.data is not None:
            self._app.files.put(kept.path, kept.data)
            return
        try:
            keep_own(kept.scale, kept.path)
        except ScaledesignError as error:
            self._app.main.show(self._app.main.desk.saying(str(error), "wrong"))
            return
        self._app.say(f"From now on {kept.scale.name!r} is found by its name, here and in every flute.")

    def _do(self, edit: Edit) -> None:
        self._app.main.show(self._app.main.desk.doing(edit, time.monotonic()))
