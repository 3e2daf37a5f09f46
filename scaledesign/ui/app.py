"""The program on the screen: the main screen, what is remembered of it, and the dialogs over it.

The main screen works on one desk; here are the things around it: settings, looks, the palette, the guide, a
fault's last words. Files and the journal are ``file_work.py``'s, the dialogs ``dialogs.py``'s: each hands
back a value and one method takes it.
"""

from __future__ import annotations

import codecs
import os
import sys
import time
from dataclasses import replace
from functools import cached_property, partial
from importlib import import_module
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.filter import LineFilter, Monochrome, NoColor

from scaledesign.errors import own_fault
from scaledesign.files.journal import Journal
from scaledesign.files.remembered import load_remembered, remember
from scaledesign.model.document import Design
from scaledesign.model.edits import Become
from scaledesign.outputs import usual
from scaledesign.ui.errand import Errand
from scaledesign.ui.file_work import FileWork
from scaledesign.ui.look import LOOKS, NIGHT, PLAIN, Look, Typed
from scaledesign.ui.main_screen import MainScreen
from scaledesign.view.actions import ACTIONS, keymap, worded
from scaledesign.view.desk import MEASURES, Desk
from scaledesign.view.lines import DRAWN, SIGNS, TYPED, Signs
from scaledesign.view.remarks import plugin_remarks

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.driver import Driver

    from scaledesign.ui.bench_work import BenchWork
    from scaledesign.ui.book_work import BookWork
    from scaledesign.ui.by_hand_work import ByHandWork
    from scaledesign.ui.hear_work import HearWork
    from scaledesign.ui.pattern_work import PatternWork
    from scaledesign.ui.print_work import PrintWork
    from scaledesign.ui.recording_work import RecordingWork
    from scaledesign.ui.rescue_work import RescueWork
    from scaledesign.ui.scale_work import ScaleWork
    from scaledesign.ui.search_work import SearchWork
    from scaledesign.ui.tube_work import TubeWork
    from scaledesign.view.bare_tube import Outcome

TRACE = "SCALEDESIGN_TRACE"
"""Environment variable that asks for the trace of a fault."""
WATCH = 3.0
"""Seconds between looks at whether somebody else wrote to the file."""


ACTS = {
    "save": "files.save", "save_as": "files.save_as", "open": "files.open", "print": "printing.ask",
    "quit": "leave", "new": "new", "blow": "blow", "help": "help", "why": "why",
    "find": "search.fingering", "trills": "search.trills", "chart": "search.chart", "suits": "search.suits",
    "chances": "search.chances", "compare": "search.compare", "earlier": "search.earlier",
    "hear": "hearing.rows", "hear_scale": "hearing.scale", "hear_wanted": "hearing.wanted",
    "listen": "recording.ask",
    "tube": "tubes.ask",
    "retune": "scales.retune", "tunings": "scales.tunings", "keep_scale": "scales.keep",
    "benchwork": "making.tasks", "bench": "making.bench",
    "book": "book.show",
    "rescue": "rescuing.show",
    "pattern": "patterns.check", "carry": "patterns.carry",
    "hands": "by_hand.hands", "by_eye": "by_hand.without_a_tape",
    "read": "read", "palette": "palette", "theme": "next_look", "signs": "next_signs",
}  # fmt: skip
"""The actions that lead to a file, a dialog or another look, and what of the app does each."""


def _part(module: str, name: str) -> Any:
    """A part of the app that is loaded and made when it is first asked for: the first paint needs none."""
    return cached_property(lambda app: getattr(import_module(f"scaledesign.ui.{module}"), name)(app))


class GridApp(App[None], inherit_bindings=False, inherit_css=False):
    """The grid.

    Of Textual's own style of an app it takes two lines: the rest is for what it never shows.
    """

    DEFAULT_CSS = "GridApp { background: $background; color: $foreground; }"

    ENABLE_COMMAND_PALETTE = False
    TITLE = "scaledesign"

    search: SearchWork = _part("search_work", "SearchWork")
    hearing: HearWork = _part("hear_work", "HearWork")
    scales: ScaleWork = _part("scale_work", "ScaleWork")
    printing: PrintWork = _part("print_work", "PrintWork")
    tubes: TubeWork = _part("tube_work", "TubeWork")
    recording: RecordingWork = _part("recording_work", "RecordingWork")
    making: BenchWork = _part("bench_work", "BenchWork")
    rescuing: RescueWork = _part("rescue_work", "RescueWork")
    patterns: PatternWork = _part("pattern_work", "PatternWork")
    by_hand: ByHandWork = _part("by_hand_work", "ByHandWork")
    book: BookWork = _part("book_work", "BookWork")

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
        self._looked = False
        """Whether plug-ins and scale files were looked through for what had to be left out."""
        for look in LOOKS.values():
            self.register_theme(look.theme)
        self.settings, self.faults = usual.settings([action.name for action in ACTIONS])
        settings = self.settings
        known = load_remembered()
        self.newcomer = path is None and not known.recent
        chosen = settings.theme or known.left("theme", "night")
        self.look: Look = NIGHT
        self._put_on(LOOKS["plain" if not colours else chosen if chosen in LOOKS else "night"])
        self.stylesheet.set_variables(self.get_css_variables())
        self.keys = keymap(settings.keys)
        signs = settings.signs or known.left("signs", "")
        self.signs: Signs = TYPED if ascii_only else SIGNS.get(signs, DRAWN)
        measure = known.left("measure", "edge")
        self.units = settings.units or None
        self.sounding = known.left("sounding", False)
        self.files = FileWork(self, path, known)
        self.desk = replace(self.files.first, signs=self.signs)
        for able in MEASURES:
            if able == measure:
                self.desk = replace(self.desk, measure=able)

    def get_driver_class(self) -> type[Driver]:
        """Textual's; a byte that is no UTF-8 is read as the sign that stands for one, and ends nothing."""
        found = super().get_driver_class()
        module = sys.modules[found.__module__]
        if hasattr(module, "getincrementaldecoder"):
            forgiving = partial(codecs.getincrementaldecoder("utf-8"), errors="replace")
            vars(module)["getincrementaldecoder"] = lambda encoding: forgiving
        return found

    def get_default_screen(self) -> MainScreen:
        """The main screen."""
        return MainScreen(self.desk, self.keys, self.look, self.files.keep, self.act, sounding=self.sounding)

    @property
    def main(self) -> MainScreen:
        """The main screen, under whatever dialog there is."""
        screen = self.screen_stack[0]
        assert isinstance(screen, MainScreen)
        return screen

    @property
    def journal(self) -> Journal:
        """Where unsaved work is kept."""
        return self.files.journal

    def on_mount(self) -> None:
        """Say what is to be said at the beginning, once the screen is painted."""
        self.call_after_refresh(self._begin)
        self.set_interval(WATCH, self.files.look_at_file)

    def _begin(self) -> None:
        self._painted()
        also = self.files.begin()
        if self.faults:
            self.say(self.faults[0])
        elif also:
            self.say(also)
        elif self.newcomer:
            self.say(
                "A finished flute to look around in. {new}: your own. {guide}: a short walk. {help}: help."
            )
        self.files.offer_left_over()

    def on_main_screen_answered(self) -> None:
        """A dialog that says something of the flute says it anew; what is less pressing is looked for."""
        from scaledesign.ui.question_screen import QuestionScreen

        if not self._looked:
            self._looked = True
            Errand(lambda cancelled: plugin_remarks(), self._told_of_plugins).leave()
        if isinstance(self.screen, QuestionScreen):
            self.screen.look_again()

    def _told_of_plugins(self, broken: tuple[str, ...]) -> None:
        if broken and not self.faults and self.is_running:
            self.call_later(self.say, f"{broken[0]} {{why}} lists all.")

    def act(self, name: str) -> None:
        """An action of the table that leads to a file, a dialog or another look."""
        attrgetter(ACTS[name])(self)()

    def worded(self, text: str) -> str:
        """A text with the maker's own keys in it."""
        return worded(text, self.keys)

    def say(self, text: str) -> None:
        """Say something on the main screen."""
        self.main.show(self.main.desk.saying(self.worded(text), "strong"))

    # The flute

    def new(self) -> None:
        """A few questions, and a flute laid out."""
        self.files.after_asking(self._ask_new)

    def _ask_new(self) -> None:
        from scaledesign.ui import dialogs

        self.push_screen(
            dialogs.new(self.look, self.units, self.book.reading()),
            lambda design: self._take_new(design) if design else None,
        )

    def take_new(self, design: Design | None) -> None:
        """A flute that was begun takes the place of the one that was open; None: none was."""
        if design is not None:
            self._take_new(design)

    def _take_new(self, design: Design) -> None:
        desk = Desk.of(design, None, saved=False, like=self.main.desk)
        words = self.worded("Laid out. Before you drill: cut the tube long, blow it, press {blow}.")
        if not self.main.wide:
            desk = desk.going_to("holes")  # where do the holes go? is what a maker asks first
        self.files.take_desk(desk.saying(words, "strong"))

    def blow(self) -> None:
        """Blow the bare tube, type what the tuner shows, and the ± shrinks."""
        from scaledesign.ui import dialogs

        self.push_screen(
            dialogs.blow(self.look, lambda: self.main.desk),
            lambda outcome: self._take_outcome(outcome) if outcome else None,
        )

    def _take_outcome(self, outcome: Outcome) -> None:
        desk = self.main.desk.doing(Become("blow the bare tube", outcome.design), time.monotonic())
        self.main.show(desk.saying(outcome.told, "strong"))

    # Looking

    def help(self) -> None:
        """Help for where the cursor is, and every key."""
        from scaledesign.ui import dialogs

        self.push_screen(dialogs.help_for(self.look, self.main.desk, self.keys))

    def why(self) -> None:
        """Everything there is to say of the flute."""
        from scaledesign.ui import dialogs

        self.push_screen(dialogs.why(self.look, self.main.desk))

    def read(self) -> None:
        """The pages of the handbook, and the one that is chosen."""
        from scaledesign.ui import dialogs

        def show(name: str | None) -> None:
            if name:
                self.push_screen(dialogs.handbook_page(self.look, name), lambda _: self.read())

        self.push_screen(dialogs.handbook(self.look), show)

    def palette(self) -> None:
        """Every command by name."""
        from scaledesign.ui import dialogs

        self.push_screen(
            dialogs.commands(self.look, self.main.desk, self.keys),
            lambda name: self.main.do(name) if name else None,
        )

    def _put_on(self, look: Look) -> None:
        self.look = look
        self.no_color = look is PLAIN
        self.theme = look.name

    def refresh_css(self, animate: bool = True) -> None:
        """Find every style anew; the look was on before anything had one, so that there is none at first."""
        if self.screen_stack and self.screen.children:
            super().refresh_css(animate)

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

    # The end

    def leave(self) -> None:
        """Leave, after asking about what is unsaved."""
        self.files.after_asking(self._end)

    def _end(self) -> None:
        self.hearing.stop()
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
            f"{own_fault(error)}. What you did is kept: start it again to go on. Please report it; "
            f"{TRACE}=1 before the command shows where it was."
        )
        self.exit(return_code=1, message=said)

    async def action_quit(self) -> None:
        """What a closing terminal asks for."""
        self.leave()
