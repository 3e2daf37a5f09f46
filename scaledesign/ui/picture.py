"""A drawing on the screen: styled lines made for the room there is.

Asks a function for lines of its own size each time something changed; knows nothing of what is drawn.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import zip_longest

from rich.segment import Segment
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from scaledesign.ui.look import NIGHT, Ground, Look
from scaledesign.ui.strips import Runs, lean, part_changed
from scaledesign.view.lines import DRAWN, Line

Draw = Callable[[int, int], tuple[Line, ...]]
"""Lines for a width and a height in cells."""


class Picture(Widget):
    """Lines that a function draws."""

    def __init__(self, name: str, look: Look = NIGHT, ground: Ground = "page") -> None:
        super().__init__(id=name)
        self.look = look
        self.ground: Ground = ground
        self._draw: Draw = lambda width, height: ()
        self._lines: tuple[Line, ...] = ()
        self._room = Size()
        """What the lines were made for; none yet."""

    def show(self, draw: Draw) -> None:
        """Draw with another function; the terminal is sent the lines that came out different."""
        self._draw = draw
        before, room, self._room = self._lines, self._room, Size()
        if not room or room != self.size:
            self.refresh()
            return
        pairs = enumerate(zip_longest(before, self._made(), fillvalue=()))
        parts = ((y, part_changed(_runs(old), _runs(new))) for y, (old, new) in pairs if old != new)
        other = [Region(part[0], y, part[1] - part[0], 1) for y, part in parts if part]
        if other:
            self.refresh(*other)

    def restyle(self, look: Look) -> None:
        """Draw with another look."""
        self.look = look
        self.refresh()

    def _made(self) -> tuple[Line, ...]:
        """The lines for the room there is."""
        if self._room != self.size:
            self._room = self.size
            self._lines = self._draw(*self.size)
        return self._lines

    def render_line(self, y: int) -> Strip:
        """One line."""
        lines, width = self._made(), self.size.width
        blank = self.look.style("plain", self.ground)
        if y >= len(lines):
            return Strip.blank(width, blank)
        strip = Strip(Segment(span.text, self.look.style(span.tone, self.ground)) for span in lines[y])
        if strip.cell_length > width > 0 and strip.crop(width).text.strip():
            strip = Strip([*strip.crop(0, width - 1), Segment(DRAWN.ellipsis, blank)])  # never without a mark
        return Strip(lean(strip.adjust_cell_length(width, blank)))


def _runs(line: Line) -> Runs:
    return ((span.text, span.tone) for span in line)
