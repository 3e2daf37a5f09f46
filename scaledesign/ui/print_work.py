"""Printing and writing to files while the grid is open: one dialog, a look at the page, the files themselves.

Apart from the questions (``view/print_questions.py``) and the making (``outputs``), which know no screen.
Nothing is replaced unasked; what was chosen is remembered for the next time.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from scaledesign.errors import ScaledesignError
from scaledesign.files.remembered import load_remembered, remember
from scaledesign.ui.errand import Errand, tried

if TYPE_CHECKING:
    from collections.abc import Callable

    from scaledesign.outputs.kinds import Form, Kind
    from scaledesign.ui.app import GridApp
    from scaledesign.ui.preview_screen import Seen
    from scaledesign.ui.question_screen import QuestionScreen
    from scaledesign.view.print_look import Looked
    from scaledesign.view.print_questions import Printed, Printing, Usual


def _viewer(path: Path) -> bool:
    from scaledesign.ui.print_viewer import open_file

    return open_file(path)


class PrintWork:
    """The dialog, and what follows from it."""

    def __init__(self, app: GridApp, viewer: Callable[[Path], bool] = _viewer) -> None:
        """``viewer`` opens a file in the system's own viewer, or says that there is none."""
        self._app = app
        self.viewer = viewer

    def ask(self) -> None:
        """Ask what to print or write."""
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking
        from scaledesign.view.print_questions import NEEDED, Printing
        from scaledesign.view.print_words import besides, tail

        desk, keys = self._app.main.desk, self._app.keys
        usual, problem = self._usual()
        asking: Asking[Printing, Printed] = Asking(
            "Print and export",
            Printing.questions,
            lambda answers, width: tail(self._now(answers), keys, width),
            lambda answers: self._now(answers).ready,
            lambda answers: self._made(self._now(answers)),
            "write it",
            NEEDED,
            lambda answers, width: besides(self._now(answers), keys, width),
        )
        also = {"f3": ("look at it first", self._look), "f4": ("write it and open it", self._write_and_open)}
        answers = Printing(desk.sheet, self._app.files.folder, own=desk.path, usual=usual)
        screen = QuestionScreen(self._app.look, asking, answers, also)
        screen.problem = problem
        self._app.push_screen(screen, lambda printed: self._take(printed) if printed else None)

    def _usual(self) -> tuple[Usual, str]:
        """What counts where nothing is typed, and what is against the settings."""
        from scaledesign.outputs.usual import choices
        from scaledesign.view.print_questions import Usual

        settings, problem = self._app.settings, ""
        try:
            own = choices(settings)
        except ScaledesignError as error:  # the maker's picture cannot be used: print without
            problem = str(error)
            own = choices(replace(settings, paper=replace(settings.paper, picture="")))
        return Usual.of(own, settings.paper, load_remembered()), problem

    def _now(self, answers: Printing) -> Printing:
        """The answers for the desk there is by now: the engine may still be at work."""
        desk = self._app.main.desk
        return replace(answers, sheet=desk.sheet, waiting=desk.want is not None)

    @staticmethod
    def _made(answers: Printing) -> Printed:
        made = answers.made()
        remember(lambda known: known.with_layout(**answers.kept()))
        return made

    # A look at it first

    def _look(self, dialog: QuestionScreen[Printed]) -> None:
        from scaledesign.ui.look import PLAIN
        from scaledesign.ui.preview_screen import PreviewScreen
        from scaledesign.view.print_look import look_at

        answers = self._now(_printing(dialog))
        if answers.sheet.answer.prediction is None or answers.waiting:
            return  # the dialog says so already
        work, choices, typed = answers.work, answers.choices, not self._app.signs.dots
        coloured = self._app.look is not PLAIN and self._app.console.color_system in ("256", "truecolor")

        def make(kind: Kind, form: Form) -> Looked:
            return look_at(work, kind, form, choices, ascii_only=typed)

        screen = PreviewScreen(
            self._app.look,
            "letters" if typed else "greys" if coloured else "dots",
            answers.shelf,
            answers.wanted[0],
            make,
            answers.name_of,
            answers.inches,
        )
        self._app.push_screen(screen, lambda seen: self._looked(dialog, seen) if seen else None)

    def _looked(self, dialog: QuestionScreen[Printed], seen: Seen) -> None:
        """The questions follow what was in view; then it is written, or not."""
        dialog.take(_printing(dialog).looking_at(*seen.sort))
        if seen.then:
            self._write(dialog, seen.then == "open")

    def _write_and_open(self, dialog: QuestionScreen[Printed]) -> None:
        self._write(dialog, True)

    def _write(self, dialog: QuestionScreen[Printed], opened: bool) -> None:
        dialog.take(_printing(dialog).answered("then", "open" if opened else ""))
        dialog.finish()

    # The files

    def _take(self, printed: Printed) -> None:
        """Write what was made, after asking where other files are in its place."""
        there = printed.replaced
        if not there:
            self._put(printed)
            return
        from scaledesign.ui import dialogs

        self._app.push_screen(
            dialogs.files_there(self._app.look, there),
            lambda answer: self._put(printed) if answer == "over" else None,
        )

    def _put(self, printed: Printed) -> None:
        from scaledesign.outputs.make import write

        main = self._app.main
        try:
            paths = write(printed.folder, printed.made, new=True, force=True, own=main.desk.path)
        except ScaledesignError as error:
            main.show(main.desk.saying(str(error), "wrong"))
            return
        many = len(paths) > 1
        said = f"{len(paths)} files written to {printed.folder}." if many else f"Written to {paths[0]}."
        self._app.say(said)
        if printed.opened:
            first = paths[0] if len({path.suffix for path in paths}) == 1 else printed.folder
            Errand(lambda cancelled: tried(lambda: self.viewer(first)), partial(self._tell, said)).leave()

    def _tell(self, said: str, opened: tuple[bool | None, str]) -> None:
        """From whatever thread: say what became of it, where the program still runs."""
        more = "Opened in your viewer." if opened[0] else "There is no viewer here that opens it."
        if self._app.is_running:
            self._app.call_later(self._app.say, f"{said} {more}")


def _printing(dialog: QuestionScreen[Printed]) -> Printing:
    from scaledesign.view.print_questions import Printing

    answers = dialog.answers
    assert isinstance(answers, Printing)  # the dialog is ours
    return answers
