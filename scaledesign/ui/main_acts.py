"""What keys and the mouse mean on the main screen, and what its own actions do.

Each act gives the screen another desk, or other tables in front, and the screen (``main_screen.py``) shows
it. Apart from that because the first paint needs no key: this is loaded after it, with the engine. Actions
that change nothing but the desk are ``view/deeds.py``'s, those that lead to files and dialogs ``app.py``'s.
"""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING

from textual import events

from scaledesign.view import row_work, screen_words
from scaledesign.view.actions import bindings
from scaledesign.view.columns import PaneName
from scaledesign.view.deeds import DEEDS
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.guide import Guide
from scaledesign.view.moving import jumped
from scaledesign.view.selection import Selection

if TYPE_CHECKING:
    from scaledesign.ui.main_screen import MainScreen


class MainActs:
    """From a key to the desk that comes of it; ``do_NAME`` for each action that is done here."""

    def __init__(self, screen: MainScreen) -> None:
        self._screen = screen

    @property
    def _desk(self) -> Desk:
        return self._screen.desk

    # Keys

    def key(self, event: events.Key) -> None:
        """A key means what the table of actions says; a letter begins a new text in the cell."""
        screen, desk = self._screen, self._desk
        if screen.editor.open:
            self._key_while_editing(event)
            return
        page = max(1, screen.table.scrollable_content_region.height - 2)
        jump = jumped(desk, event.key, page)
        if jump is not None:
            _taken(event)
            screen.show(desk.going(jump))
            return
        if event.character and event.character in desk.column.letters and event.character != " ":
            _taken(event)
            self._to_front()
            screen.show(self._desk.typed(event.character, time.monotonic()))
            return
        name = bindings(screen.keys, desk.pane).get(event.key)
        if name is not None:
            _taken(event)
            self.do(name)
        elif event.is_printable and event.character:
            _taken(event)
            self.edit(event.character)

    def _key_while_editing(self, event: events.Key) -> None:
        """A key the editor has no use for takes the text and does what it does; others are the editor's."""
        editor = self._screen.editor
        if editor.use(event):
            _taken(event)
            return
        name = bindings(self._screen.keys, self._desk.pane).get(event.key)
        if name is not None and not event.is_printable:
            _taken(event)
            editor.take()
            self.do(name)

    def do(self, name: str) -> None:
        """Do what an action of the table names: to the desk, here, or where files and dialogs are."""
        own = getattr(self, f"do_{name}", None)
        if name in DEEDS:
            self._to_front()
            self._screen.show(DEEDS[name](self._desk, time.monotonic()))
        elif own is not None:
            own()
        else:
            self._screen.beyond(name)

    def _to_front(self) -> bool:
        """Bring the table in use to the front: what is changed must be seen. Whether it was hidden."""
        if self._screen.table.display:
            return False
        self._screen.sounding = False
        self._screen.lay_out()
        self._screen.set_focus(self._screen.table)
        return True

    # The mouse

    def choose(self, pane: PaneName, row: int, column: int, *, stretch: bool) -> None:
        """The mouse chose a cell."""
        self._screen.editor.take()
        desk = self._desk if pane == self._desk.pane else self._desk.going_to(pane)
        self._screen.show(desk.going(desk.selection.at(row, column, stretch=stretch)))
        self._screen.set_focus(self._screen.table)

    def open_tab(self, x: int) -> None:
        """A click on the line of the tabs, at a column, brings what is named there to the front."""
        screen, pane = self._screen, screen_words.tab_at(self._desk, x)
        screen.sounding = pane is None
        if pane is not None:
            screen.desk = self._desk.going_to(pane)
        screen.lay_out()
        screen.set_focus(screen.table)

    def do_written(self, x: int, width: int) -> None:
        """A click on the last line, at a column of so many, does what is written there."""
        if name := screen_words.footer_at(self._desk, self._screen.keys, width, x):
            self.do(name)

    # Editing a cell

    def edit(self, text: str | None) -> None:
        """Open the editor over the cursor's cell, with its own text or with a new one."""
        screen, desk = self._screen, self._desk
        pane, selection = PANES[desk.pane], desk.selection
        if selection.row < pane.count(desk.sheet) and pane.heading(desk.sheet, selection.row):
            return
        if desk.column.write is None:
            screen.show(desk.typed("", time.monotonic()))
            return
        if self._to_front():
            screen.call_after_refresh(self.edit, text)
            return
        region = screen.table.cell_region(selection.row, selection.column)
        room = screen.app.size.width - region.x
        start = desk.text if text is None else text
        width = min(room, max(region.width, len(start) + 6, 12))
        screen.editor.begin((region.x, region.y, width), start, fresh=text is not None)

    def take_text(self, text: str | None, move: tuple[int, int]) -> None:
        """The maker took the text of the editor, or left it."""
        screen = self._screen
        if screen.focused in (None, screen.editor):
            screen.set_focus(screen.table)
        if text is None:
            return
        desk = self._desk.typed(text, time.monotonic())
        if move != (0, 0):
            moved = desk.going(desk.selection.moved(*move))
            desk = replace(moved, said=desk.said)
        screen.show(desk)

    def paste(self, text: str) -> None:
        """Put a text of rows and columns into the cells from the cursor on."""
        self._screen.show(row_work.pasted(self._desk, text, time.monotonic()))

    def do_edit(self) -> None:
        """Change the cell in place."""
        self.edit(None)

    def do_turn(self) -> None:
        """The next choice; where there is none, the cell opens."""
        desk = self._desk
        column, row = desk.column, desk.selection.row
        offered = column.choices(desk.sheet, row) if column.choices and desk.pane == "setup" else ("",)
        if column.step is None or not offered:
            self.edit(None)
        else:
            self._screen.show(desk.stepped(time.monotonic()))

    def do_copy(self) -> None:
        """Copy the selection."""
        self._screen.app.copy_to_clipboard(row_work.copied(self._desk))
        self._screen.show(self._desk.saying(_copied(self._desk.selection)))

    def do_cut(self) -> None:
        """Copy the selection and empty it."""
        self._screen.app.copy_to_clipboard(row_work.copied(self._desk))
        self.do("clear")

    def do_paste(self) -> None:
        """Paste what was copied here."""
        self.paste(self._screen.app.clipboard)

    # What is in front

    def do_guide(self) -> None:
        """The walk through a first flute begins, or ends."""
        self._screen.guide = Guide(self._desk) if self._screen.guide is None else None
        self._screen.lay_out()

    def do_next_pane(self) -> None:
        """The next table."""
        self._turn_pane(1)

    def do_previous_pane(self) -> None:
        """The table before."""
        self._turn_pane(-1)

    def _turn_pane(self, by: int) -> None:
        self._screen.sounding = False
        order = screen_words.ORDER
        place = order.index(self._desk.pane) + by
        self._screen.show(self._desk.going_to(order[place % len(order)]))
        self._screen.lay_out()

    def do_sound(self) -> None:
        """The sound, large or small."""
        screen = self._screen
        screen.sounding = not screen.sounding
        screen.lay_out()
        if screen.sounding and self._desk.pane in ("setup", "scale"):
            screen.desk = self._desk.going_to("rows")
            screen.lay_out()
        screen.set_focus(screen.table)


def _taken(event: events.Key) -> None:
    """A key did what it means: nobody else is to hear of it."""
    event.stop()
    event.prevent_default()


def _copied(selection: Selection) -> str:
    rows, columns = len(selection.rows), len(selection.columns)
    return "Copied." if rows * columns == 1 else f"Copied {rows} by {columns} cells."
