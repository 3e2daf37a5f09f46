"""The line that opens over a cell to type into.

It knows no cell: it is told where to stand and what to begin with, and says what was typed and where to go
next.
"""

from __future__ import annotations

from collections.abc import Callable

from textual import events

from scaledesign.ui.text_line import TextLine

LEAVE = {"up": (-1, 0), "down": (1, 0), "tab": (0, 1), "shift+tab": (0, -1)}
"""Keys that take the text and go on to a neighbouring cell."""
ARROWS = {"left": (0, -1), "right": (0, 1)}
"""The same, while a new text is typed over the old."""
Done = Callable[[str | None, tuple[int, int]], None]
"""Told at once when the editor closes: what to put into the cell, None to leave it as it was; and the rows
and columns to move on by."""


class CellEditor(TextLine):
    """An input over a cell."""

    DEFAULT_CSS = """
    CellEditor { display: none; height: 1; border: none; padding: 0; }
    CellEditor:focus { border: none; }
    """

    def __init__(self, done: Done, keys: Callable[[events.Key], None]) -> None:
        """``keys`` gets every key first and asks ``use`` about it: see ``CellTable``."""
        super().__init__(id="editor", compact=True, select_on_focus=False)
        self._done, self._keys = done, keys
        self._fresh = False

    @property
    def open(self) -> bool:
        """Whether a cell is being edited."""
        return bool(self.display)

    def begin(self, place: tuple[int, int, int], text: str, *, fresh: bool) -> None:
        """Open at a column, a line and a width with a text; ``fresh``: it replaces what was there."""
        x, y, width = place
        self._fresh = fresh
        self.styles.offset = (x, y)
        self.styles.width = width
        self.display = True
        self.value = text
        self.cursor_position = len(text)
        self.screen.set_focus(self, scroll_visible=False)

    def use(self, event: events.Key) -> bool:
        """Whether a key was for the editor, which has done what it means; all others are the screen's."""
        key = event.key
        if not self.open:
            return False
        if key == "escape":
            self._end(None, (0, 0))
        elif key == "enter":
            self._end(self.value, (1, 0) if self._fresh else (0, 0))
        elif key in LEAVE:
            self._end(self.value, LEAVE[key])
        elif self._fresh and key in ARROWS:
            self._end(self.value, ARROWS[key])
        elif key == "f2":
            self._fresh = False
        else:
            return self.follow(event)
        return True

    def take(self) -> None:
        """Close as if the text had been taken with Enter, the cursor staying."""
        if self.open:
            self._end(self.value, (0, 0))

    def on_key(self, event: events.Key) -> None:
        """Hand the key on."""
        event.stop()
        event.prevent_default()
        self._keys(event)

    def on_blur(self) -> None:
        """Focus went elsewhere in this window, by the mouse say: what was typed is taken.

        Who types fast has the next cell open before this tells of the one before.
        """
        if self.app.app_focus and self.screen.focused is not self:
            self.take()

    def _end(self, text: str | None, move: tuple[int, int]) -> None:
        self.display = False
        self._done(text, move)
