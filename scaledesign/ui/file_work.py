"""The open design and its file: save, open, the journal that a crash leaves behind, other windows.

Apart from the app, which has all the rest around the main screen. Nothing is replaced or given up unasked; it
shows desks and dialogs through the app and knows no widget.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from scaledesign.errors import ScaledesignError
from scaledesign.files import document_file
from scaledesign.files.journal import Journal, Leftover, leftovers
from scaledesign.files.remembered import Remembered, remember
from scaledesign.files.stamp import changed
from scaledesign.locations import is_example
from scaledesign.model.document import Design
from scaledesign.model.history import History
from scaledesign.view.desk import Desk
from scaledesign.view.opening import first_path

if TYPE_CHECKING:
    from scaledesign.files.document_recover import Recovered
    from scaledesign.ui.app import GridApp

RETRY, TRIES = 0.05, 60
"""Seconds between looks at whether the engine is done after a save, and how many."""


class FileWork:
    """What is done with files while the grid is open."""

    def __init__(self, app: GridApp, path: Path | None, known: Remembered) -> None:
        """Open ``path``, or the last flute, or the first example.

        Raises
        ------
        DesignError
            when ``path`` cannot be opened.
        """
        self._app = app
        self.folder = known.folder if known.folder and known.folder.is_dir() else Path.cwd()
        """Where dialogs look first."""
        if path is not None and not is_example(path):
            self.folder = path.absolute().parent
        self._broken: Path | None = None
        """A file that could not be opened whole at the start."""
        self._rest: Recovered | None = None
        """What was left of it."""
        self.first = self._opened(path, known.recent)
        """The desk that the grid opens with."""
        self.journal = Journal.open(self.first.path, self.first.design.text)
        self._warned = False
        self._told_changed: object = ""

    def _opened(self, path: Path | None, recent: tuple[Path, ...]) -> Desk:
        """The desk for ``path``, what is left of it, the last flute, or the first example."""
        first = path if path is not None else first_path(recent)
        try:
            return _desk_of(document_file.load(first), first)
        except ScaledesignError:
            self._broken = first
            if path is None:
                first = first_path(())
                return _desk_of(document_file.load(first), first)
            self._rest = _rest_of(first)
            if self._rest is None:
                raise
            return _desk_of_rest(self._rest)

    @property
    def _desk(self) -> Desk:
        return self._app.main.desk

    def begin(self) -> str:
        """Take note of the flute that was opened; a sentence where there is something to say of its file."""
        if self._broken is not None and self._rest is not None:
            self._tell_left_out(self._broken, self._rest)
        elif self._broken is not None:
            return f"{self._broken.name}, your last flute, cannot be opened; {{open}} and its name say why."
        path = self._desk.path
        if path is None:
            return ""
        remember(lambda known: known.with_recent(path))
        return self._also_open(path)

    def _also_open(self, path: Path) -> str:
        if not self.journal.others_open(path):
            return ""
        return f"Another window has {path.name} open too: who saves last is asked first."

    # The journal

    def keep(self, desk: Desk) -> None:
        """Keep what is unsaved, so that a crash loses at most the last edit."""
        if desk.unsaved:
            try:
                self.journal.write(document_file.dumps(desk.design))
            except ScaledesignError:
                return
        else:
            self.journal.clear()
        if self.journal.problem and not self._warned and self._app.is_running:
            self._warned = True
            self._app.call_later(self._app.say, self.journal.problem)

    def offer_left_over(self) -> None:
        """Unsaved work of a window that is gone: go on with it, later, or never."""
        found = leftovers()
        if not found:
            return
        from scaledesign.ui import dialogs

        left = found[0]

        def take(answer: str | None) -> None:
            if answer == "go":
                self._recover(left)
            elif answer == "drop":
                left.discard()

        self._app.push_screen(dialogs.left_over(self._app.look, left, len(found)), take)

    def _recover(self, left: Leftover) -> None:
        app = self._app
        try:
            design = document_file.loads(left.text, str(left.path or "what was kept"))
        except ScaledesignError as error:
            app.say(f"What was kept cannot be read: {error}")
            return
        journal = left.take()
        if journal is None:
            app.say("Another window has taken it already.")
            return
        saved = None
        if left.path is not None:
            try:
                saved = document_file.load(left.path)
            except ScaledesignError:
                saved = None
        desk = Desk.of(design, left.path, saved=False, like=self._desk)
        desk = replace(desk, history=replace(History.start(design), saved=saved))
        self.journal.close()
        self.journal = journal
        app.main.show(desk.saying(app.worded("Here is your unsaved work. {save} keeps it.")))

    def look_at_file(self) -> None:
        """Notice when somebody else wrote to the file."""
        path = self._desk.path
        if path is None or self._told_changed == self.journal.stamp:
            return
        if changed(self.journal.stamp, path):
            self._told_changed = self.journal.stamp
            self._app.say(f"{path.name} was changed by another window or program. Saving will ask you first.")

    # Another design

    def take_desk(self, desk: Desk) -> None:
        """Another design in place of the one that was open."""
        self.journal.close()
        self.journal = Journal.open(desk.path, desk.design.text)
        self._app.main.show(desk)
        if desk.path is not None:
            path = desk.path
            remember(lambda known: known.with_recent(path))
            self.folder = path.parent
            if also := self._also_open(path):
                self._app.say(also)

    def after_asking(self, then: Callable[[], None]) -> None:
        """Do something that gives up the open design, after asking about what is unsaved."""
        desk = self._desk
        if not desk.unsaved and not desk.drafts:
            then()
            return
        from scaledesign.ui import dialogs

        def take(answer: str | None) -> None:
            if answer == "save":
                self.save(then)
            elif answer == "leave":
                then()

        self._app.push_screen(dialogs.unsaved(self._app.look, desk), take)

    def open(self) -> None:
        """Choose a design to open."""
        from scaledesign.ui import dialogs

        self._app.push_screen(
            dialogs.flutes(self._app.look, self.folder),
            lambda text: self.after_asking(lambda: self._load(text)) if text else None,
        )

    def _load(self, text: str) -> None:
        from scaledesign.view.file_questions import design_place

        self._load_path(design_place(text, self.folder))

    def open_path(self, path: Path) -> None:
        """Open a design that was chosen elsewhere."""
        self.after_asking(lambda: self._load_path(path))

    def _load_path(self, path: Path) -> None:
        try:
            desk = _desk_of(document_file.load(path), path, like=self._desk)
        except ScaledesignError as error:
            self._offer_rest(path, str(error))
            return
        self.take_desk(desk)

    def _offer_rest(self, path: Path, faults: str) -> None:
        """A file that cannot be opened whole: say why, and open the rest where the maker wants it."""
        from scaledesign.ui import dialogs

        found = _rest_of(path)
        if found is None:
            self._app.push_screen(dialogs.file_faults(self._app.look, path.name, faults))
            return

        def take(answer: str | None) -> None:
            if answer == "rest":
                self.take_desk(_desk_of_rest(found, like=self._desk))
                self.folder = path.absolute().parent
                self._tell_left_out(path, found)

        self._app.push_screen(dialogs.damaged(self._app.look, path.name, found), take)

    def _tell_left_out(self, path: Path, found: Recovered) -> None:
        from scaledesign.ui import dialogs

        self._app.push_screen(dialogs.left_out(self._app.look, path.name, found))

    # Saving

    def save(self, then: Callable[[], None] | None = None) -> None:
        """Write to the design's file; ask for one where it has none."""
        path = self._desk.path
        if path is None:
            self.save_as(then)
        elif changed(self.journal.stamp, path):
            self._ask_over(path, then)
        else:
            self._write(path, then)

    def _ask_over(self, path: Path, then: Callable[[], None] | None) -> None:
        from scaledesign.ui import dialogs

        def take(answer: str | None) -> None:
            if answer == "over":
                self._write(path, then)
            elif answer == "as":
                self.save_as(then)

        self._app.push_screen(dialogs.changed_file(self._app.look, path), take)

    def save_as(self, then: Callable[[], None] | None = None) -> None:
        """Ask for a file and write to it."""
        from scaledesign.ui import dialogs

        self._app.push_screen(
            dialogs.save_as(self._app.look, self._desk, self.folder),
            lambda path: self._over(path, lambda: self._write(path, then)) if path else None,
        )

    def _write(self, path: Path, then: Callable[[], None] | None) -> None:
        desk = self._desk
        if is_example(path):
            self._app.say("An example is not written to; {save_as} asks for a name of your own.")
            return
        try:
            text = document_file.dumps(desk.design)
            if desk.unsaved:
                self.journal.write(text)  # else what is kept would be older than the file for a moment
            unkept = document_file.put_design(text, path)
        except ScaledesignError as error:
            self._app.main.show(desk.saying(str(error), "wrong"))
            return
        self.journal.saved(path, text)
        self._told_changed = ""
        self.folder = path.parent
        remember(lambda known: known.with_recent(path))
        self._app.main.show(desk.saved(path, unkept))
        self._write_again(path, desk.revision, then, TRIES)

    def _write_again(self, path: Path, revision: int, then: Callable[[], None] | None, tries: int) -> None:
        """Write what the engine still owed at the save: the holes on disk are those on the screen.

        Then go on to what was to follow, unless the maker has gone on with something else meanwhile.
        """
        if not self._app.screen_stack:  # the screen has closed meanwhile
            return
        desk = self._desk
        if desk.revision != revision or desk.path != path:
            return
        if desk.want is not None and tries:
            self._app.set_timer(RETRY, lambda: self._write_again(path, revision, then, tries - 1))
        elif desk.want is None and desk.unsaved:
            self.save(then)
        elif then is not None:
            then()

    def put(self, path: Path, made: str | bytes) -> None:
        """Write what is no design to a file, after asking where one is there."""
        self._over(path, lambda: self._put(path, made))

    def _put(self, path: Path, made: str | bytes) -> None:
        try:
            if isinstance(made, bytes):
                document_file.put_bytes(made, path)
            else:
                document_file.put(made, path)
        except ScaledesignError as error:
            self._app.main.show(self._desk.saying(str(error), "wrong"))
        else:
            self._app.say(f"Written to {path}.")

    def _over(self, path: Path, then: Callable[[], None]) -> None:
        """Do something that replaces a file, after asking where it is not this flute's own."""
        if not path.exists() or path == self._desk.path:
            then()
            return
        from scaledesign.ui import dialogs

        self._app.push_screen(
            dialogs.file_there(self._app.look, path), lambda answer: then() if answer == "over" else None
        )


def _rest_of(path: Path) -> Recovered | None:
    """What is left of a damaged file, None where that is no flute."""
    try:
        return document_file.recover(path)
    except ScaledesignError:
        return None


def _desk_of_rest(found: Recovered, like: Desk | None = None) -> Desk:
    """A desk for what is left of a file: without a file, so that no save can go over the one it came from."""
    return Desk.of(found.design, None, like=like)


def _desk_of(design: Design, path: Path, like: Desk | None = None) -> Desk:
    """A desk for a file; an example is a start of one's own, without a file."""
    return Desk.of(design, None if is_example(path) else path, like=like)
