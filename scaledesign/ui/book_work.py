"""The maker's book while the grid is open: read in a thread, listed, and taken from as one step.

Apart from the lists (``view/book_list.py``), which know no screen. The folder is that of the settings, else
it is asked for once.
"""

from __future__ import annotations

import threading
import time
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from scaledesign.errors import EditError, ScaledesignError
from scaledesign.files.remembered import load_remembered, remember

if TYPE_CHECKING:
    from collections.abc import Callable

    from scaledesign.ui.app import GridApp
    from scaledesign.view.listing import Listing, Taken
    from scaledesign.workshop.book import Book
    from scaledesign.workshop.book_advice import Advice

REMEMBERED = "book"
"""Where the folder is noted that was typed here."""


class BookReading:
    """A book that is being read in a thread of its own; nobody waits for it unless he wants to."""

    def __init__(self, folder: Path, tell: Callable[[], None]) -> None:
        """``tell`` is called in the thread when the book is there, or cannot be."""
        self._folder, self._tell = folder, tell
        self._book: Book | None = None
        self._problem: ScaledesignError | None = None
        self._done = threading.Event()
        threading.Thread(target=self._read, name="book", daemon=True).start()

    def _read(self) -> None:
        from scaledesign.workshop.book import read_book

        try:
            self._book = read_book(self._folder)
        except ScaledesignError as error:
            self._problem = error
        except Exception as error:  # noqa: BLE001 - the last door before the screen
            self._problem = EditError(
                f"{self._folder} cannot be read ({type(error).__name__}: {error})", "look at its files"
            )
        self._done.set()
        self._tell()

    def __call__(self, wait: bool) -> Book | None:
        """The book; None while it is not read yet, unless it is waited for.

        Raises
        ------
        ScaledesignError
            when the folder cannot be read.
        """
        if wait:
            self._done.wait()
        if self._problem is not None:
            raise self._problem
        return self._book


class BookWork:
    """What is done with the book."""

    def __init__(self, app: GridApp) -> None:
        self._app = app

    @property
    def folder(self) -> Path | None:
        """Where the finished flutes lie: by the settings, else as typed here; None where nobody said."""
        if self._app.settings.book:
            return Path(self._app.settings.book)
        typed = load_remembered().left(REMEMBERED, "")
        return Path(typed) if typed and Path(typed).is_dir() else None

    def reading(self) -> Callable[[bool], Book | None]:
        """The book for a new flute, which begins to be read; the dialog says it anew when it is there."""
        if self.folder is None:
            return lambda wait: None
        return BookReading(self.folder, self._told)

    def _told(self) -> None:
        """In the thread: the dialog says anew what the flute would come to."""
        self._app.call_later(self._app.on_main_screen_answered)

    def show(self) -> None:
        """The flutes with what each taught, and what they say of the one in hand."""
        folder = self.folder
        if folder is None:
            self._ask()
        else:
            self._list(folder)

    def _ask(self) -> None:
        """Which folder; it is remembered."""
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking
        from scaledesign.view.book_folder import BookFolder

        asking: Asking[BookFolder, Path] = Asking(
            "The book", BookFolder.questions, BookFolder.tail, lambda answers: answers.ready,
            lambda answers: answers.path.absolute(), "read it", 1,
        )  # fmt: skip
        screen = QuestionScreen[Path](self._app.look, asking, BookFolder(self._app.files.folder))
        self._app.push_screen(screen, lambda folder: self._named(folder) if folder is not None else None)

    def _named(self, folder: Path) -> None:
        remember(lambda known: known.with_layout(**{REMEMBERED: str(folder)}))
        self._list(folder)

    def _list(self, folder: Path) -> None:
        from scaledesign.ui.worked_list import WorkedList

        sheet, path = self._app.main.desk.sheet, self._app.main.desk.path

        def work() -> tuple[Listing, ...]:
            from scaledesign.view.book_list import lists
            from scaledesign.workshop.book import read_book

            return lists(sheet, read_book(folder), path)

        dialog = WorkedList(self._app.look, "The book", "Reading your finished flutes", work)
        self._app.push_screen(dialog, lambda taken: self._take(taken) if taken else None)

    def _take(self, taken: Taken) -> None:
        if taken.page == 0:
            self._app.files.open_path(taken.value)
        else:
            self._put_in(taken.value)

    def _put_in(self, advice: Advice) -> None:
        from scaledesign.view.book_list import put_in

        main = self._app.main
        try:
            edit = put_in(main.desk.design, advice, datetime.now())
        except ScaledesignError as error:
            main.show(main.desk.saying(str(error), "wrong"))
            return
        main.show(main.desk.doing(edit, time.monotonic()).saying(edit.design.log[-1].note, "strong"))
