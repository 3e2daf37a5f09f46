"""The program on the screen: what is open, what is remembered, every dialog between the two.

The main screen works on one desk; here are the things around it: files, the journal that a crash leaves
behind, settings, the palette, the guide. Each dialog hands back a value and one method takes it.
"""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App
from textual.filter import LineFilter, Monochrome, NoColor

from scaledesign.errors import ScaledesignError
from scaledesign.files import document_file
from scaledesign.files.journal import Journal, Leftover, leftovers
from scaledesign.files.remembered import load_remembered, remember
from scaledesign.files.settings import load_settings
from scaledesign.files.stamp import changed
from scaledesign.locations import is_example
from scaledesign.model.document import Design
from scaledesign.model.edits import Become
from scaledesign.model.history import History
from scaledesign.ui.look import LOOKS, NIGHT, PLAIN, Look, Typed
from scaledesign.ui.main_screen import MainScreen
from scaledesign.view.actions import ACTIONS, key_words, keymap, worded
from scaledesign.view.desk import MEASURES, Desk
from scaledesign.view.lines import DRAWN, SIGNS, TYPED, Line, Signs
from scaledesign.view.opening import first_path
from scaledesign.view.screen_words import drafts_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from scaledesign.ui.question_screen import QuestionScreen
    from scaledesign.view.bare_tube import BareTube, Outcome
    from scaledesign.view.file_questions import Export, SaveAs

TRACE = "SCALEDESIGN_TRACE"
"""Environment variable that asks for the trace of a fault."""
RETRY, TRIES = 0.05, 60
"""Seconds between looks at whether the engine is done after a save, and how many."""
WATCH = 3.0
"""Seconds between looks at whether somebody else wrote to the file."""


class GridApp(App[None], inherit_bindings=False):
    """The grid."""

    ENABLE_COMMAND_PALETTE = False
    TITLE = "scaledesign"
    DEFAULT_CSS = """
    GridApp Input:nocolor { text-style: underline; }
    GridApp Input:nocolor > .input--cursor { text-style: reverse; }
    GridApp Input:nocolor > .input--placeholder { text-style: dim underline; }
    """

    def __init__(
        self,
        path: Path | None = None,
        *,
        ascii_only: bool = False,
        colours: bool = True,
        painted: Callable[[], None] = lambda: None,
    ) -> None:
        """Open ``path``, or the last flute, or the first example; ``painted`` is called once it is seen.

        Raises
        ------
        DesignError
            when ``path`` cannot be opened.
        """
        super().__init__()
        self._painted = painted
        for look in LOOKS.values():
            self.register_theme(look.theme)
        settings, self.faults = load_settings([action.name for action in ACTIONS])
        known = load_remembered()
        self.newcomer = path is None and not known.recent
        self.folder = known.folder if known.folder and known.folder.is_dir() else Path.cwd()
        if path is not None and not is_example(path):
            self.folder = path.absolute().parent
        chosen = settings.theme or known.left("theme", "night")
        self.look: Look = NIGHT
        self._put_on(LOOKS["plain" if not colours else chosen if chosen in LOOKS else "night"])
        self.keys = keymap(settings.keys)
        signs = settings.signs or known.left("signs", "")
        self.signs: Signs = TYPED if ascii_only else SIGNS.get(signs, DRAWN)
        measure = known.left("measure", "edge")
        self.units = settings.units or None
        self.sounding = known.left("sounding", False)
        self.desk = self._opened(path, known.recent)
        self.desk = replace(self.desk, signs=self.signs)
        for able in MEASURES:
            if able == measure:
                self.desk = replace(self.desk, measure=able)
        self.journal = Journal.open(self.desk.path, self.desk.design.text)
        self._warned = False

    def _opened(self, path: Path | None, recent: tuple[Path, ...]) -> Desk:
        if path is not None:
            return _desk(document_file.load(path), path)
        first = first_path(recent)
        try:
            return _desk(document_file.load(first), first)
        except ScaledesignError:
            first = first_path(())
            return _desk(document_file.load(first), first)

    def get_default_screen(self) -> MainScreen:
        """The main screen."""
        return MainScreen(self.desk, self.keys, self.look, self.keep, self.act, sounding=self.sounding)

    @property
    def main(self) -> MainScreen:
        """The main screen, under whatever dialog there is."""
        screen = self.screen_stack[0]
        assert isinstance(screen, MainScreen)
        return screen

    def on_mount(self) -> None:
        """Say what is to be said at the beginning, once the screen is painted."""
        self.call_after_refresh(self._begin)
        self.set_interval(WATCH, self._look_at_file)

    def _begin(self) -> None:
        self._painted()
        desk = self.main.desk
        if self.faults:
            self._say(self.faults[0])
        elif desk.path is not None and self.journal.others_open(desk.path):
            self._say(f"Another window has {desk.path.name} open too: who saves last is asked first.")
        elif self.newcomer:
            self._say(
                "A finished flute to look around in. {new}: your own. {guide}: a short walk. {help}: help."
            )
        if desk.path is not None:
            remember(lambda known: known.with_recent(desk.path) if desk.path else known)
        found = leftovers()
        if found:
            self._offer(found[0], len(found))

    def on_main_screen_answered(self) -> None:
        """A dialog that says something of the flute says it anew."""
        from scaledesign.ui.question_screen import QuestionScreen

        if isinstance(self.screen, QuestionScreen):
            self.screen.look_again()

    def act(self, name: str) -> None:
        """An action of the table that leads to a file, a dialog or another look."""
        does: dict[str, Callable[[], None]] = {
            "save": self.save, "save_as": self.save_as, "open": self.open, "export": self.export,
            "quit": self.leave, "new": self.new, "blow": self.blow, "help": self.help, "why": self.why,
            "palette": self.palette, "theme": self.next_look, "signs": self.next_signs,
        }  # fmt: skip
        does[name]()

    def _say(self, text: str) -> None:
        self.main.show(self.main.desk.saying(worded(text, self.keys), "strong"))

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
        if self.journal.problem and not self._warned and self.is_running:
            self._warned = True
            self.call_later(self._say, self.journal.problem)

    def _offer(self, left: Leftover, count: int) -> None:
        """Unsaved work of a window that is gone: go on with it, later, or never."""
        from scaledesign.ui.dialog import Deciding

        name = left.path.name if left.path else "a new flute"
        when = left.when.astimezone().strftime("%d %B, %H:%M")
        words = f"The program was stopped before {name} was saved. Its last state, of {when}, was kept."
        if left.changed:
            words += " The file itself has been written to since."
        if count > 1:
            words += f" {count - 1} more will be asked about the next time."
        answers = (("go", "Go on with it"), ("later", "Leave it for later"), ("drop", "Throw it away"))

        def take(answer: str | None) -> None:
            if answer == "go":
                self._recover(left)
            elif answer == "drop":
                left.discard()

        self.push_screen(Deciding(self.look, "Unsaved work", words, answers), take)

    def _recover(self, left: Leftover) -> None:
        try:
            design = document_file.loads(left.text, str(left.path or "what was kept"))
        except ScaledesignError as error:
            self._say(f"What was kept cannot be read: {error}")
            return
        journal = left.take()
        if journal is None:
            self._say("Another window has taken it already.")
            return
        saved = None
        if left.path is not None:
            try:
                saved = document_file.load(left.path)
            except ScaledesignError:
                saved = None
        desk = Desk.of(design, left.path, saved=False, like=self.main.desk)
        desk = replace(desk, history=replace(History.start(design), saved=saved))
        self.journal.close()
        self.journal = journal
        self.main.show(desk.saying(worded("Here is your unsaved work. {save} keeps it.", self.keys)))

    def _look_at_file(self) -> None:
        """Notice when somebody else wrote to the file."""
        path = self.main.desk.path
        if path is None or self._told_changed == self.journal.stamp:
            return
        if changed(self.journal.stamp, path):
            self._told_changed = self.journal.stamp
            self._say(f"{path.name} was changed by another window or program. Saving will ask you first.")

    _told_changed: object = ""

    # Files

    def take_desk(self, desk: Desk) -> None:
        """Another design in place of the one that was open."""
        self.journal.close()
        self.journal = Journal.open(desk.path, desk.design.text)
        self.main.show(desk)
        if desk.path is not None:
            path = desk.path
            remember(lambda known: known.with_recent(path))
            self.folder = path.parent
            if self.journal.others_open(path):
                self._say(f"Another window has {path.name} open too: who saves last is asked first.")

    def after_asking(self, then: Callable[[], None]) -> None:
        """Do something that gives up the open design, after asking about what is unsaved."""
        desk = self.main.desk
        if not desk.unsaved and not desk.drafts:
            then()
            return
        from scaledesign.ui.dialog import Deciding

        answers: tuple[tuple[str, str], ...]
        answers = (("save", "Save it"), ("leave", "Leave without saving"), ("stay", "Go back"))
        words = f"{desk.title} has changes that are not saved."
        if desk.drafts:
            words = f"{drafts_words(desk)} No file can hold that; correct it, or go on without it."
        if not desk.unsaved:
            answers = (("leave", "Leave without it"), ("stay", "Go back"))

        def take(answer: str | None) -> None:
            if answer == "save":
                self.save(then)
            elif answer == "leave":
                then()

        self.push_screen(
            Deciding(self.look, "Save first?" if desk.unsaved else "A text is left", words, answers), take
        )

    def save(self, then: Callable[[], None] | None = None) -> None:
        """Write to the design's file; ask for one where it has none."""
        path = self.main.desk.path
        if path is None:
            self.save_as(then)
        elif changed(self.journal.stamp, path):
            self._ask_over(path, then)
        else:
            self._write(path, then)

    def _ask_over(self, path: Path, then: Callable[[], None] | None) -> None:
        from scaledesign.ui.dialog import Deciding

        words = f"{path.name} was changed by another window or program since you opened it."
        answers = (("as", "Save under another name"), ("over", "Write over it"), ("stay", "Go back"))

        def take(answer: str | None) -> None:
            if answer == "over":
                self._write(path, then)
            elif answer == "as":
                self.save_as(then)

        self.push_screen(Deciding(self.look, "The file changed", words, answers), take)

    def save_as(self, then: Callable[[], None] | None = None) -> None:
        """Ask for a file and write to it."""
        from scaledesign.ui.question_screen import Asking, QuestionScreen
        from scaledesign.view.file_questions import SaveAs, file_name

        desk = self.main.desk
        name = desk.path.name if desk.path else file_name(desk.title, self.folder)
        asking: Asking[SaveAs, Path] = Asking(
            "Save as", SaveAs.questions, SaveAs.tail, lambda answers: answers.ready,
            lambda answers: answers.path, "save", 1,
        )  # fmt: skip
        screen: QuestionScreen[Path] = QuestionScreen(self.look, asking, SaveAs(self.folder, name, desk.path))
        self.push_screen(
            screen, lambda path: self._over(path, lambda: self._write(path, then)) if path else None
        )

    def _write(self, path: Path, then: Callable[[], None] | None) -> None:
        desk = self.main.desk
        if is_example(path):
            self._say("An example is not written to; {save_as} asks for a name of your own.")
            return
        try:
            text = document_file.dumps(desk.design)
            document_file.put(text, path)
        except ScaledesignError as error:
            self.main.show(desk.saying(str(error), "wrong"))
            return
        self.journal.saved(path, text)
        self._told_changed = ""
        self.folder = path.parent
        remember(lambda known: known.with_recent(path))
        self.main.show(desk.saved(path))
        self._write_again(path, desk.revision, then, TRIES)

    def _write_again(self, path: Path, revision: int, then: Callable[[], None] | None, tries: int) -> None:
        """Write what the engine still owed at the save: the holes on disk are those on the screen.

        Then go on to what was to follow, unless the maker has gone on with something else meanwhile.
        """
        if not self.screen_stack:  # the screen has closed meanwhile
            return
        desk = self.main.desk
        if desk.revision != revision or desk.path != path:
            return
        if desk.want is not None and tries:
            self.set_timer(RETRY, lambda: self._write_again(path, revision, then, tries - 1))
        elif desk.want is None and desk.unsaved:
            self.save(then)
        elif then is not None:
            then()

    def open(self) -> None:
        """Choose a design to open."""
        from scaledesign.ui.chooser import Chooser, Item
        from scaledesign.view.opening import offers

        items = tuple(
            Item(str(offer.path), offer.name, offer.words, offer.kind)
            for offer in offers(load_remembered().recent, self.folder)
        )
        chooser = Chooser(self.look, "Open a flute", items, free=True, hint="a part of its name, or a path")
        self.push_screen(chooser, lambda text: self.after_asking(lambda: self._load(text)) if text else None)

    def _load(self, text: str) -> None:
        from scaledesign.view.file_questions import design_place

        path = design_place(text, self.folder)
        try:
            desk = _desk(document_file.load(path), path, like=self.main.desk)
        except ScaledesignError as error:
            self._read_faults(path.name, str(error))
            return
        self.take_desk(desk)

    def _read_faults(self, name: str, text: str) -> None:
        from scaledesign.ui.dialog import Reading, wrapped

        def lines(width: int) -> tuple[Line, ...]:
            return tuple(line for fault in text.splitlines() for line in (*wrapped(fault, width), ()))

        self.push_screen(Reading(self.look, f"{name} cannot be opened", lines))

    def export(self) -> None:
        """Ask what to write where, and write it."""
        from scaledesign.ui.question_screen import Asking, QuestionScreen
        from scaledesign.view.file_questions import Export

        def now(answers: Export) -> Export:
            return replace(answers, sheet=self.main.desk.sheet, waiting=self.main.desk.want is not None)

        asking: Asking[Export, tuple[Path, str]] = Asking(
            "Export",
            Export.questions,
            lambda answers, width: now(answers).tail(width),
            lambda answers: now(answers).ready,
            lambda answers: (answers.path, now(answers).text()),
            "write it",
            3,
        )
        screen: QuestionScreen[tuple[Path, str]] = QuestionScreen(
            self.look, asking, Export(self.main.desk.sheet, self.folder, own=self.main.desk.path)
        )
        self.push_screen(screen, lambda made: self._over(made[0], lambda: self._put(*made)) if made else None)

    def _put(self, path: Path, text: str) -> None:
        try:
            document_file.put(text, path)
        except ScaledesignError as error:
            self.main.show(self.main.desk.saying(str(error), "wrong"))
        else:
            self._say(f"Written to {path}.")

    def _over(self, path: Path, then: Callable[[], None]) -> None:
        """Do something that replaces a file, after asking where it is not this flute's own."""
        if not path.exists() or path == self.main.desk.path:
            then()
            return
        from scaledesign.ui.dialog import Deciding

        words = f"{path} is there already."
        answers = (("stay", "Keep it"), ("over", "Replace it"))
        self.push_screen(
            Deciding(self.look, "Replace the file?", words, answers),
            lambda answer: then() if answer == "over" else None,
        )

    # The flute

    def new(self) -> None:
        """Five questions, and a flute laid out."""
        self.after_asking(self._ask_new)

    def _ask_new(self) -> None:
        from scaledesign.ui.question_screen import Asking, QuestionScreen
        from scaledesign.view import new_flute
        from scaledesign.view.lines import Span
        from scaledesign.view.new_flute import NewFlute
        from scaledesign.workshop import ask

        def preview(flute: NewFlute, width: int) -> tuple[Line, ...]:
            from scaledesign.ui.dialog import wrapped

            good = flute.wanted() is not None
            return wrapped(flute.preview(), width, "true" if good else "plain") or ((Span(""),),)

        asking: Asking[NewFlute, Design] = Asking(
            "A new flute",
            lambda flute: (*flute.questions(), *flute.extras()),
            preview,
            lambda flute: flute.wanted() is not None,
            lambda flute: new_flute.made(flute).design,
            "lay it out",
            len(new_flute.QUESTIONS),
        )
        start = NewFlute(ask.offers(), self.units)
        screen: QuestionScreen[Design] = QuestionScreen(self.look, asking, start)
        self.push_screen(screen, lambda design: self._take_new(design) if design else None)

    def _take_new(self, design: Design) -> None:
        desk = Desk.of(design, None, saved=False, like=self.main.desk)
        words = worded("Laid out. Before you drill: cut the tube long, blow it, press {blow}.", self.keys)
        if not self.main.wide:
            desk = desk.going_to("holes")  # where do the holes go? is what a maker asks first
        self.take_desk(desk.saying(words, "strong"))

    def blow(self) -> None:
        """Blow the bare tube, type what the tuner shows, and the ± shrinks."""
        from scaledesign.ui.question_screen import Asking, QuestionScreen
        from scaledesign.view.bare_tube import BareTube

        asking: Asking[BareTube, Outcome] = Asking(
            "Blow the bare tube",
            BareTube.questions,
            lambda tube, width: _blown(tube, self.main.desk.signs, width),
            lambda tube: tube.outcome() is not None,
            _outcome_of,
            "keep it",
            1,
        )
        screen: QuestionScreen[Outcome] = QuestionScreen(self.look, asking, BareTube(self.main.desk.design))
        self.push_screen(screen, lambda outcome: self._take_outcome(outcome) if outcome else None)

    def _take_outcome(self, outcome: Outcome) -> None:
        desk = self.main.desk.doing(Become("blow the bare tube", outcome.design), time.monotonic())
        self.main.show(desk.saying(outcome.words, "strong"))

    # Looking

    def help(self) -> None:
        """Help for where the cursor is, and every key."""
        from scaledesign.ui.dialog import Reading
        from scaledesign.view.help import help_lines

        desk = self.main.desk
        self.push_screen(Reading(self.look, "Help", lambda width: help_lines(desk, self.keys, width)))

    def why(self) -> None:
        """Everything there is to say of the flute."""
        from scaledesign.ui.dialog import Reading
        from scaledesign.view.help import why_lines

        desk = self.main.desk
        self.push_screen(Reading(self.look, "What there is to say", lambda width: why_lines(desk, width)))

    def palette(self) -> None:
        """Every command by name."""
        from scaledesign.ui.chooser import Chooser, Item

        history = self.main.desk.history
        steps = {"undo": history.undo_name, "redo": history.redo_name}
        items = tuple(
            Item(
                action.name,
                f"{action.title} {steps.get(action.name, '')}".rstrip(),
                action.words,
                " ".join(key_words(k) for k in self.keys[action.name][:1]),
            )
            for action in ACTIONS
            if action.name != "palette"
        )
        self.push_screen(
            Chooser(self.look, "Commands", items), lambda name: self.main.do(name) if name else None
        )

    def _put_on(self, look: Look) -> None:
        self.look = look
        self.no_color = look is PLAIN
        self.theme = look.name

    def get_line_filters(self) -> Sequence[LineFilter]:
        """In the plain look no colour reaches the terminal; the others are chosen, whatever NO_COLOR says."""
        filters = [kept for kept in super().get_line_filters() if not isinstance(kept, Monochrome)]
        colours = [NoColor()] if self.look is PLAIN else filters
        return [*colours, Typed()] if self.signs is TYPED else colours

    def next_look(self) -> None:
        """The next of the looks."""
        names = list(LOOKS)
        self._put_on(LOOKS[names[(names.index(self.look.name) + 1) % len(names)]])
        self.main.restyle(self.look)
        name = self.look.name
        remember(lambda known: known.with_layout(theme=name))
        words = {"night": "Night.", "day": "Day.", "plain": "No colours."}
        self.main.show(self.main.desk.saying(words[name]))

    def next_signs(self) -> None:
        """Circles and lines, or plain letters."""
        signs = self.signs = TYPED if self.main.desk.signs is DRAWN else DRAWN
        remember(lambda known: known.with_layout(signs=signs.name))
        self.main.restyle(self.look)
        self.main.show(replace(self.main.desk, signs=signs))

    def leave(self) -> None:
        """Leave, after asking about what is unsaved."""
        self.after_asking(self._end)

    def _end(self) -> None:
        self.journal.close()
        measure, sounding = self.main.desk.measure, self.main.sounding
        remember(lambda known: known.with_layout(measure=measure, sounding=sounding))
        self.exit()

    def _handle_exception(self, error: Exception) -> None:
        """Leave with a sentence; the journal has the work. Textual's own report where a trace is wanted."""
        if self.is_headless or os.environ.get(TRACE):
            super()._handle_exception(error)
            return
        said = (
            f"This is a fault of scaledesign's own ({type(error).__name__}: {error}). What you did is kept: "
            f"start it again to go on. Please report it; {TRACE}=1 before the command shows where it was."
        )
        self.exit(return_code=1, message=said)

    async def action_quit(self) -> None:
        """What a closing terminal asks for."""
        self.leave()


def _outcome_of(tube: BareTube) -> Outcome:
    outcome = tube.outcome()
    assert outcome is not None  # the dialog asks only when there is one
    return outcome


def _blown(tube: BareTube, signs: Signs, width: int) -> tuple[Line, ...]:
    """What the bare tube should sound; once the tuner has spoken, the ± before and after."""
    from scaledesign.ui.dialog import wrapped
    from scaledesign.view.bare_tube import before_after

    outcome = tube.outcome()
    if outcome is None:
        refusal = tube.refusal()
        return wrapped(refusal or tube.expected(), width, "wrong" if refusal else "plain")
    odd = (line for note in outcome.notes for line in wrapped(note, width, "reach"))
    return (*before_after(outcome, signs, width), (), *wrapped(outcome.words, width, "true"), *odd)


def _desk(design: Design, path: Path, like: Desk | None = None) -> Desk:
    """A desk for a file; an example is a start of one's own, without a file."""
    return Desk.of(design, None if is_example(path) else path, like=like)
