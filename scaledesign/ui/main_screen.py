"""The screen a maker looks at all day: flute, grid, hole list, form and sound around one desk.

Holds the desk, asks the engine and lays out what the desk says. What a key or the mouse does to the desk is
``main_acts.py``'s, files and dialogs are ``app.py``'s.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import ExitStack
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.geometry import Size
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget

from scaledesign.ui import engine
from scaledesign.ui.cell_table import CellTable
from scaledesign.ui.engine import Engine
from scaledesign.ui.look import Look
from scaledesign.ui.painter import PATIENCE, Painter
from scaledesign.ui.picture import Picture
from scaledesign.ui.room import Room, room
from scaledesign.values import dataclass
from scaledesign.view import screen_words
from scaledesign.view.columns import PaneName
from scaledesign.view.desk import PANES, Desk, Want
from scaledesign.workshop.answer import Answer

if TYPE_CHECKING:
    from scaledesign.ui.cell_editor import CellEditor
    from scaledesign.ui.main_acts import MainActs
    from scaledesign.view.guide import Guide

Part = TypeVar("Part", bound=Widget)

KEEP = 0.01
"""Seconds after which what was done is kept: by then it is painted, and no key has come. While the engine is
at work it is kept a little later, so that its answer does not wait for that."""


class MainScreen(Screen[None]):
    """One design on one desk."""

    DEFAULT_CSS = """
    MainScreen { layers: page editor; layout: vertical; }
    MainScreen #title, MainScreen #tabs, MainScreen #footer { height: 1; }
    MainScreen #status, MainScreen #guide { height: 2; }
    MainScreen #flute { height: 4; }
    MainScreen #body { height: 1fr; }
    MainScreen #left { width: 1fr; }
    MainScreen #right { width: 1fr; }
    MainScreen .gone { display: none; }
    MainScreen #errors, MainScreen #spectrum { height: 1fr; }
    MainScreen #scale { height: 1fr; }
    MainScreen.wide #flute { height: 7; }
    MainScreen.wide #tabs { display: none; }
    MainScreen.wide #right { margin-left: 1; }
    MainScreen.wide #errors { height: 8; }
    MainScreen.wide #spectrum { height: 8; }
    MainScreen.wide.sounding #errors, MainScreen.wide.sounding #spectrum { height: 1fr; }
    CellEditor { layer: editor; position: absolute; }
    """

    @dataclass
    class Answered(Message):
        """The engine has worked something out in the background."""

        answer: Answer
        want: Want

    def __init__(
        self,
        desk: Desk,
        keys: Mapping[str, tuple[str, ...]],
        look: Look,
        keep: Callable[[Desk], None] = lambda desk: None,
        beyond: Callable[[str], None] = lambda name: None,
        *,
        sounding: bool = False,
    ) -> None:
        """Show a desk; ``keep`` is called after each edit, at the latest before the next.

        ``beyond`` does the actions that lead to files and dialogs, at once: no later key overtakes them.
        ``sounding``: a look at the sound is in front, as the maker left it.
        """
        super().__init__()
        self.keep = keep
        self.beyond = beyond
        self.guide: Guide | None = None
        self._unkept = False
        self._due = False
        """Whether the desk is to be asked about and painted."""
        self._bare = ExitStack()
        """What keeps the screen from being painted before there is anything on it."""
        self._seen = False
        """Whether the screen was ever painted."""
        self._early: list[events.Key] | None = []
        """Keys that came before it was; None from then on."""
        self._arranged = Size()
        """The terminal's size that all was given its room in."""
        self._painted = desk
        self.desk = desk
        self.keys = keys
        self.look = look
        self.sounding = sounding
        self.wide = True
        self._painter = Painter(self, keys)
        self._engine = Engine(self._told)

    def compose(self) -> ComposeResult:
        """The flute on top, tables beneath, what to know and what to press at the bottom."""
        found = self._room()
        self.set_class(found.wide, "wide", update=False)
        self.set_class(self.sounding, "sounding", update=False)

        def placed(widget: Part) -> Part:
            """As ``_arrange`` leaves it, before it has a style that would have to be found again."""
            widget.set_class(not found.shown[widget.id or ""], "gone", update=False)
            return widget

        yield Picture("title", self.look, "head")
        yield Picture("flute", self.look)
        yield Picture("tabs", self.look, "head")
        with Horizontal(id="body"):
            with placed(Vertical(id="left")) as left:
                yield placed(CellTable("rows", self.look, self.on_key))
                yield (holes := placed(CellTable("holes", self.look, self.on_key)))
            with placed(Vertical(id="right")):
                yield placed(CellTable("setup", self.look, self.on_key))
                yield placed(CellTable("scale", self.look, self.on_key))
                yield placed(Picture("errors", self.look))
                yield placed(Picture("spectrum", self.look))
        left.styles.width, holes.styles.height = found.left, found.holes
        yield placed(Picture("guide", self.look, "range"))
        yield Picture("status", self.look, "head")
        yield Picture("footer", self.look)

    def on_mount(self) -> None:
        """Everything is there: show the desk."""
        self._bare.enter_context(self.app.batch_update())
        self.show(self.desk)
        self.set_focus(self.table)

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        """Before the first paint every style has only just been found: it is not looked for again."""
        event.refresh_styles = event.refresh_styles and self._seen

    # Showing

    @property
    def table(self) -> CellTable:
        """The table of the pane in use."""
        return self._painter.table(self.desk.pane)

    def show(self, desk: Desk) -> None:
        """Put another desk in place of the one there is; it is asked about and painted once no key waits."""
        self._keep()
        if desk.history is not self.desk.history:
            self._unkept = True
        self.desk = desk
        if not self._due:
            self._due = True
            self.call_later(self._catch_up)

    def _catch_up(self) -> None:
        """Ask the engine for what it owes and paint; many keys that came together are one."""
        self._due = False
        if not self._seen:  # what is typed is seen first; to load the engine takes its time
            if self._arranged != self.app.size:
                self._arrange()
            self._shown()
            return
        want = self.desk.want
        if want is None:
            self._engine.stop()
        elif want is not self._engine.asked:
            answer = self._engine.ask(want)
            if answer is not None:
                self._take(answer, want)
        self._shown()

    @property
    def editor(self) -> CellEditor:
        """The line over a cell, made when it is first asked for: the first paint does without."""
        from scaledesign.ui.cell_editor import CellEditor

        for made in self.query(CellEditor):
            return made
        editor = CellEditor(self.acts.take_text, self.on_key)
        self.mount(editor)
        return editor

    def _load_engine(self) -> None:
        """What the first paint did without, and the keys that did not wait for it."""
        _ = self.editor
        early, self._early = self._early or [], None
        for event in early:
            self.on_key(event)
        want = self.desk.want
        if want is not None and want is not self._engine.asked:
            self._engine.load(want)

    def _shown(self) -> None:
        """Paint what changed since the desk that was painted last."""
        before, self._painted = self._painted, self.desk
        if self.guide is not None:
            self.guide = self.guide.seen(self.desk)
        if before.pane != self.desk.pane or _counts(before) != _counts(self.desk):
            self._arrange()
            self.set_focus(self.table)
        self._paint()
        if self._unkept:
            self.set_timer(PATIENCE if self.desk.sheet.stale else KEEP, self._keep)

    def on_unmount(self) -> None:
        """A window that is closed from outside keeps the last edit too."""
        self._keep()

    def _keep(self) -> None:
        """What the maker did is kept, once it has been painted and before anything else is done."""
        if self._unkept:
            self._unkept = False
            self.keep(self.desk)

    def _paint(self) -> None:
        self._painter.paint(self.desk, self.sounding, self.guide)
        if not self._seen:
            self._seen = True
            self._bare.close()
            self.call_after_refresh(self._load_engine)

    @property
    def at_rest(self) -> bool:
        """Whether all is worked out and drawn until the next key."""
        return self.desk.want is None and self._painter.at_rest

    def _room(self) -> Room:
        """What there is room for in the terminal as it is."""
        desk, size = self.desk, self.app.size
        guided = self.guide is not None
        found = room(size, desk.pane, *_counts(desk), sounding=self.sounding, guide=guided)
        self._arranged, self.wide = size, found.wide
        return found

    def _arrange(self) -> None:
        """Show what there is room for."""
        found = self._room()
        self.set_class(self.wide, "wide")
        self.set_class(self.sounding, "sounding")
        for name, seen in found.shown.items():
            self.query_one(f"#{name}").set_class(not seen, "gone")
        self.query_one("#left").styles.width = found.left
        self._painter.table("holes").styles.height = found.holes

    def lay_out(self) -> None:
        """Other tables or pictures are to be in front: show them, and what is on them, at once."""
        self._arrange()
        self._paint()

    def on_resize(self) -> None:
        """The terminal changed its size; a new screen is told its own more than once."""
        if self._seen and self._arranged != self.app.size:
            self.lay_out()

    def restyle(self, look: Look) -> None:
        """Another look."""
        self.look = look
        for widget in (*self.query(CellTable), *self.query(Picture)):
            widget.restyle(look)
        self._paint()

    # The engine

    def _take(self, answer: Answer, want: Want) -> None:
        """An answer; where it is not the last word, the rest is worked out when the maker pauses."""
        history = self.desk.history
        self.desk = self.desk.answered(answer, want.revision)
        self._unkept |= self.desk.history is not history
        final = answer.final
        self._engine.later(
            None if final else self.set_timer(engine.PAUSE, lambda: self._engine.think(want)).stop
        )

    def _told(self, answer: Answer, want: Want) -> None:
        if self.is_running:
            self.post_message(self.Answered(answer, want))

    def on_main_screen_answered(self, message: Answered) -> None:
        """The newest answer is shown; an older one is dropped."""
        if message.want.revision == self.desk.revision:
            self._take(message.answer, message.want)
            self._shown()

    # Keys and mouse

    @cached_property
    def acts(self) -> MainActs:
        """What keys and the mouse do, loaded when the first is to be heard: the first paint does without."""
        from scaledesign.ui.main_acts import MainActs

        return MainActs(self)

    def do(self, name: str) -> None:
        """Do what an action of the table names."""
        self.acts.do(name)

    def on_key(self, event: events.Key) -> None:
        """A key is kept until the screen was painted, or does what it means."""
        if self._early is None:
            self.acts.key(event)
            return
        event.stop()
        event.prevent_default()
        self._early.append(event)

    def on_cell_table_chosen(self, message: CellTable.Chosen) -> None:
        """The mouse chose a cell."""
        pane = _pane_name(message.table)
        self.acts.choose(pane, message.row, message.column, stretch=message.stretch)

    def on_cell_table_opened(self, message: CellTable.Opened) -> None:
        """The mouse opened a cell."""
        self.acts.do_edit()

    def on_cell_table_pasted(self, message: CellTable.Pasted) -> None:
        """The terminal pasted."""
        self.acts.paste(message.text)

    def on_click(self, event: events.Click) -> None:
        """A click on the tabs or on the last line does what is written there."""
        widget = event.widget
        if isinstance(widget, Picture) and widget.id == "tabs":
            self.acts.open_tab(event.x)
        elif isinstance(widget, Picture) and widget.id == "footer":
            self.acts.do_written(event.x, widget.size.width)

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Focus that came by other ways than our keys chooses the pane."""
        if isinstance(event.widget, CellTable) and event.widget is self.focused:
            pane = _pane_name(event.widget)
            if pane != self.desk.pane:
                self.show(self.desk.going_to(pane))


def _counts(desk: Desk) -> tuple[int, int]:
    """Holes, and lines of the scale where that is the table in use."""
    return len(desk.design.holes), PANES["scale"].count(desk.sheet) if desk.pane == "scale" else 0


def _pane_name(table: CellTable) -> PaneName:
    return next(pane for pane in screen_words.ORDER if pane == table.id)
