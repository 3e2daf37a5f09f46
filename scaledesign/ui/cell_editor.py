"""The line that opens over a cell to type into.

It knows no cell: it is told where to stand and what to begin with, and says what was typed and where to go
next.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual import events
from textual.message import Message
from textual.widgets import Input

LEAVE = {"up": (-1, 0), "down": (1, 0), "tab": (0, 1), "shift+tab": (0, -1)}
"""Keys that take the text and go on to a neighbouring cell."""
ARROWS = {"left": (0, -1), "right": (0, 1)}
"""The same, while a new text is typed over the old."""


class CellEditor(Input):
    """An input over a cell."""

    DEFAULT_CSS = """
    CellEditor { display: none; height: 1; border: none; padding: 0; }
    CellEditor:focus { border: none; }
    """

    @dataclass
    class Done(Message):
        """The editor closed."""

        text: str | None
        """What to put into the cell; None: leave it as it was."""
        move: tuple[int, int]
        """Rows and columns to move on by."""

    def __init__(self) -> None:
        super().__init__(id="editor", compact=True, select_on_focus=False)
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

    def press(self, event: events.Key) -> None:
        """A key that was on its way to the table when the editor opened."""
        self.on_key(event)
        if not self.open or event.key in (*LEAVE, "enter", "escape"):
            return
        if event.key == "backspace":
            self.action_delete_left()
        elif event.is_printable and event.character:
            self.insert_text_at_cursor(event.character)

    def take(self) -> None:
        """Close as if the text had been taken with Enter, the cursor staying."""
        if self.open:
            self.display = False
            self.post_message(self.Done(self.value, (0, 0)))

    def on_key(self, event: events.Key) -> None:
        """Keys that end the editing; all others are the input's own."""
        if event.key == "escape":
            self._end(event, None, (0, 0))
        elif event.key == "enter":
            self._end(event, self.value, (1, 0) if self._fresh else (0, 0))
        elif event.key in LEAVE:
            self._end(event, self.value, LEAVE[event.key])
        elif self._fresh and event.key in ARROWS:
            self._end(event, self.value, ARROWS[event.key])
        elif event.key == "f2":
            self._fresh = False
            event.stop()

    def on_blur(self) -> None:
        """Focus went elsewhere, by the mouse say: what was typed is taken."""
        self.take()

    def _end(self, event: events.Key, text: str | None, move: tuple[int, int]) -> None:
        event.stop()
        event.prevent_default()
        self.display = False
        self.post_message(self.Done(text, move))
