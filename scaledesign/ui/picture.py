"""A drawing on the screen: styled lines made for the room there is.

Asks a function for lines of its own size each time something changed; knows nothing of what is drawn.
"""

from __future__ import annotations

from collections.abc import Callable

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from scaledesign.ui.look import NIGHT, Ground, Look
from scaledesign.view.lines import Line

Draw = Callable[[int, int], tuple[Line, ...]]
"""Lines for a width and a height in cells."""


class Picture(Widget):
    """Lines that a function draws."""

    def __init__(self, name: str, look: Look = NIGHT, ground: Ground = "page") -> None:
        super().__init__(id=name)
        self.look = look
        self.ground: Ground = ground
        self._draw: Draw = lambda width, height: ()
        self._lines: tuple[Line, ...] | None = None

    def show(self, draw: Draw) -> None:
        """Draw with another function."""
        self._draw = draw
        self._lines = None
        self.refresh()

    def restyle(self, look: Look) -> None:
        """Draw with another look."""
        self.look = look
        self.refresh()

    def on_resize(self) -> None:
        """The room changed."""
        self._lines = None

    def render_line(self, y: int) -> Strip:
        """One line."""
        width, height = self.size
        if self._lines is None:
            self._lines = self._draw(width, height)
        blank = self.look.style("plain", self.ground)
        if y >= len(self._lines):
            return Strip.blank(width, blank)
        segments = [Segment(span.text, self.look.style(span.tone, self.ground)) for span in self._lines[y]]
        return Strip(segments).adjust_cell_length(width, blank)
