"""A desk painted: each table and each picture of the screen is given what it shows now.

Apart from the screen, which knows when; here is only what goes where. What a widget has on the terminal
already it does not send again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from textual.timer import Timer
from textual.widget import Widget

from scaledesign.ui import engine
from scaledesign.ui.cell_table import CellTable, Shown
from scaledesign.ui.picture import Picture
from scaledesign.ui.room import most_said
from scaledesign.view import pictures, screen_words
from scaledesign.view.columns import PaneName, Sheet
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.lines import Line

if TYPE_CHECKING:
    from scaledesign.view.guide import Guide

PATIENCE = 0.1
"""Seconds for which old numbers stand as they are while the engine works. Dimmed at once, the whole screen
would flicker with every key."""


class Painter:
    """Paints desks on the widgets of one screen."""

    def __init__(self, screen: Widget, keys: Mapping[str, tuple[str, ...]]) -> None:
        self._screen = screen
        self._keys = keys
        self._ear = pictures.Ear()
        self._again: Callable[[], None] = lambda: None
        """Paint the newest desk."""
        self._patience: Timer | None = None
        self._dim = False
        """Old numbers are painted as such."""
        self._pause: Timer | None = None
        self._said = screen_words.LEAST_SAID
        """Lines for what was said."""

    def table(self, pane: PaneName) -> CellTable:
        """The table of a pane."""
        return self._screen.query_one(f"#{pane}", CellTable)

    @property
    def at_rest(self) -> bool:
        """Whether all is drawn until the next key."""
        return self._pause is None

    def paint(self, desk: Desk, sounding: bool, guide: Guide | None) -> None:
        """Everything that is shown; while the engine works only what was typed, the rest when it is done."""
        self._again = lambda: self.paint(desk, sounding, guide)
        keys = self._keys
        self._draw("title", lambda width, height: (screen_words.title(desk, keys, width),))
        self._draw("tabs", lambda width, height: (screen_words.tabs(desk, sounding),))
        self._say(desk)
        self._draw("footer", lambda width, height: (screen_words.footer_line(desk, keys, width),))
        if guide is not None:
            walk = guide.lines(keys, self._screen.app.size.width)
            self._screen.query_one("#guide").styles.height = len(walk)
            self._draw("guide", lambda width, height: walk)
        self._listen_later(desk)
        if self._is_patient(desk):
            self._fill(desk.pane, desk, replace(desk.sheet, stale=False))
            return
        for pane in screen_words.ORDER:
            self._fill(pane, desk, desk.sheet)
        self._draw("flute", lambda width, height: pictures.flute(desk, width, height))
        self._draw("errors", lambda width, height: pictures.errors(desk, width, height))
        self._draw("spectrum", lambda width, height: self._ear.lines(desk, width, height))

    def _say(self, desk: Desk) -> None:
        """What was said and the verdict, in as many lines as they want and there is room for.

        While the engine works no line is taken away: what it finds may want it again.
        """
        width, height = self._screen.app.size
        lines = screen_words.status(desk, self._keys, width, most_said(height))
        if len(lines) > self._said or (len(lines) < self._said and desk.want is None):
            self._said = len(lines)
            self._screen.query_one("#status").styles.height = self._said
        self._draw("status", lambda width, height: lines)

    def _is_patient(self, desk: Desk) -> bool:
        """Whether the numbers are old, but not so long that anybody would take them for new."""
        if not desk.sheet.stale:
            if self._patience is not None:
                self._patience.stop()
            self._patience, self._dim = None, False
        elif self._patience is None and not self._dim:
            self._patience = self._screen.set_timer(PATIENCE, self._lose_patience)
        return self._patience is not None

    def _lose_patience(self) -> None:
        self._patience, self._dim = None, True
        self._again()

    def _fill(self, pane: PaneName, desk: Desk, sheet: Sheet) -> None:
        table = self.table(pane)
        if not table.display:
            return
        own = PANES[pane]
        columns = own.columns(sheet)
        if table.shown is not None and _same(table.shown.columns, columns):
            columns = table.shown.columns
        table.show(Shown(own, sheet, columns, own.count(sheet), desk.selections[pane], own.spare))

    def _draw(self, name: str, draw: Callable[[int, int], tuple[Line, ...]]) -> None:
        picture = self._screen.query_one(f"#{name}", Picture)
        if picture.display:
            picture.show(draw)

    def _listen_later(self, desk: Desk) -> None:
        """The sound of the row in hand is worked out once no key comes: it may not hold up the next."""
        if self._pause is not None:
            self._pause.stop()
        due = self._screen.query_one("#spectrum").display and self._ear.due(desk)
        self._pause = self._screen.set_timer(engine.PAUSE, lambda: self._listen(desk)) if due else None

    def _listen(self, desk: Desk) -> None:
        self._pause = None
        self._ear.listen(desk)
        self._draw("spectrum", lambda width, height: self._ear.lines(desk, width, height))


def _same(old: tuple[object, ...], new: tuple[object, ...]) -> bool:
    """Whether columns are the same in name and width, so that nothing has to be measured again."""
    return len(old) == len(new) and all(
        getattr(a, "key", "") == getattr(b, "key", "") and getattr(a, "title", "") == getattr(b, "title", "")
        for a, b in zip(old, new, strict=True)
    )
