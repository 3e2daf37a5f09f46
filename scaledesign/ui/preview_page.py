"""A page painted on the screen, white whatever the look; or lines of text in its place.

Apart from the dialog around it. It is given cells, or lines, and shows them in the middle.
"""

from __future__ import annotations

from functools import lru_cache

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from scaledesign.ui.look import Look
from scaledesign.ui.strips import lean
from scaledesign.view.lines import Line
from scaledesign.view.preview_paint import Cells


class PageView(Widget):
    """Cells in the middle of the room there is."""

    DEFAULT_CSS = """
    PageView { height: 1fr; width: 100%; }
    """

    def __init__(self, look: Look) -> None:
        super().__init__(id="page")
        self.look = look
        self.cells: Cells | None = None
        self.lines: tuple[Line, ...] = ()

    def show_page(self, cells: Cells) -> None:
        """Show a page, or what is in view of it."""
        self.cells, self.lines = cells, ()
        self.refresh()

    def show_lines(self, lines: tuple[Line, ...]) -> None:
        """Show a text, from the upper left."""
        self.cells, self.lines = None, lines
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One line."""
        width = self.size.width
        blank = self.look.style("plain", "head")
        if self.cells is None:
            spans = self.lines[y] if y < len(self.lines) else ()
            segments = [Segment(span.text, self.look.style(span.tone, "head")) for span in spans]
            return Strip(lean(Strip(segments).adjust_cell_length(width, blank)))
        cells = self.cells
        lines, columns = cells.signs.shape
        row = y - (self.size.height - lines) // 2
        if not 0 <= row < lines:
            return Strip.blank(width, blank)
        left = " " * ((width - columns) // 2)
        greys = zip(cells.ink[row].tolist(), cells.paper[row].tolist(), strict=True)
        signs = zip(cells.signs[row].tolist(), greys, strict=True)
        segments = [Segment(left, blank), *(Segment(sign, _style(*pair)) for sign, pair in signs)]
        return Strip(lean(Strip(segments).adjust_cell_length(width, blank)))


@lru_cache(maxsize=1024)
def _style(ink: int, paper: int) -> Style:
    return Style.from_color(Color.from_rgb(ink, ink, ink), Color.from_rgb(paper, paper, paper))
