"""A desk painted: each table and each picture of the screen is given what it shows now.

Apart from the screen, which knows when; here is only what goes where. What a widget has on the terminal
already it does not send again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from textual.widget import Widget

from scaledesign.ui.cell_table import CellTable, Shown
from scaledesign.ui.picture import Picture
from scaledesign.view import pictures, screen_words
from scaledesign.view.columns import PaneName
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.guide import Guide
from scaledesign.view.lines import Line


class Painter:
    """Paints desks on the widgets of one screen."""

    def __init__(self, screen: Widget, keys: Mapping[str, tuple[str, ...]]) -> None:
        self._screen = screen
        self._keys = keys
        self._ear = pictures.Ear()

    def table(self, pane: PaneName) -> CellTable:
        """The table of a pane."""
        return self._screen.query_one(f"#{pane}", CellTable)

    def paint(self, desk: Desk, *, sounding: bool, guide: Guide | None) -> None:
        """Everything that is shown."""
        keys = self._keys
        for pane in screen_words.ORDER:
            self._fill(pane, desk)
        self._draw("title", lambda width, height: (screen_words.title(desk, keys, width),))
        self._draw("tabs", lambda width, height: (screen_words.tabs(desk, sounding),))
        self._draw("status", lambda width, height: screen_words.status(desk, keys, width))
        self._draw("footer", lambda width, height: (screen_words.footer_line(desk, keys, width),))
        self._draw("flute", lambda width, height: pictures.flute(desk, width, height))
        self._draw("errors", lambda width, height: pictures.errors(desk, width, height))
        self._draw("spectrum", lambda width, height: self._ear.lines(desk, width, height))
        if guide is not None:
            walk = guide.lines(keys, self._screen.app.size.width)
            self._screen.query_one("#guide").styles.height = len(walk)
            self._draw("guide", lambda width, height: walk)

    def _fill(self, pane: PaneName, desk: Desk) -> None:
        table, sheet = self.table(pane), desk.sheet
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

    def to_hear(self, desk: Desk) -> bool:
        """Whether the sound shown is not that of the row in hand."""
        return self._screen.query_one("#spectrum").display and self._ear.due(desk)

    def listen(self, desk: Desk) -> None:
        """The sound of the row in hand, worked out and drawn."""
        self._ear.listen(desk)
        self._draw("spectrum", lambda width, height: self._ear.lines(desk, width, height))


def _same(old: tuple[object, ...], new: tuple[object, ...]) -> bool:
    """Whether columns are the same in name and width, so that nothing has to be measured again."""
    return len(old) == len(new) and all(
        getattr(a, "key", "") == getattr(b, "key", "") and getattr(a, "title", "") == getattr(b, "title", "")
        for a, b in zip(old, new, strict=True)
    )
