"""The table that every pane is shown in: frozen columns, a cursor, a range, drawn line by line.

It draws what it is given and says what the maker did; it holds no design, computes and formats nothing.
"""

from __future__ import annotations

from collections.abc import Callable

from rich.segment import Segment
from textual import events
from textual.geometry import Offset, Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from scaledesign.ui.look import NIGHT, Ground, Look
from scaledesign.ui.strips import Runs, lean, part_changed
from scaledesign.values import dataclass
from scaledesign.view.columns import Align, Column, Pane, Sheet, cell_of
from scaledesign.view.lines import Line, Span, shortened
from scaledesign.view.selection import Selection

GAP = 1
"""Cells between two columns."""
WORTH_CUTTING = 15
"""Cells of a column at the edge from which a part of it is worth showing."""


@dataclass(frozen=True)
class Shown:
    """What a table shows."""

    pane: Pane
    sheet: Sheet
    columns: tuple[Column, ...]
    count: int
    selection: Selection
    spare: bool
    """Whether an empty line stands below the last row, to type a new one into."""


class CellTable(ScrollView, can_focus=True):
    """One pane of the screen."""

    DEFAULT_CSS = "CellTable { scrollbar-size: 0 1; overflow: auto auto; }"

    @dataclass
    class Chosen(Message):
        """The maker put the cursor somewhere with the mouse."""

        table: CellTable
        row: int
        column: int
        stretch: bool
        """Shift was held, or the mouse dragged."""

    @dataclass
    class Opened(Message):
        """The maker asked to change the cell at the cursor with a double click."""

        table: CellTable

    @dataclass
    class Pasted(Message):
        """Text came from the terminal's own paste."""

        table: CellTable
        text: str

    def __init__(
        self, name: str, look: Look = NIGHT, keys: Callable[[events.Key], None] = lambda event: None
    ) -> None:
        """``keys`` gets every key at once: handed up from widget to widget, a burst would lose its order."""
        super().__init__(id=name)
        self._keys = keys
        self.look = look
        self.shown: Shown | None = None
        self._lines: dict[int, Strip] = {}
        """Rows as they are on the screen; -1 is the head."""
        self._made: dict[int, tuple[object, Strip]] = {}
        """Rows as they were drawn last, each with all that it was drawn from."""
        self._starts: tuple[int, ...] = ()
        self._dragging = False

    def show(self, shown: Shown) -> None:
        """Show something else; only what changed on the screen is drawn again."""
        before, self.shown = self.shown, shown
        fresh = before is None or before.columns is not shown.columns
        if fresh:
            starts = [0]
            for column in shown.columns:
                starts.append(starts[-1] + column.width + GAP)
            self._starts = tuple(starts)
        rows = shown.count + shown.spare
        size = Size(self._starts[-1], rows + 1)
        if size != self.virtual_size:
            self.virtual_size = size
            fresh = True
        if before is None or before.selection != shown.selection:
            self._keep_cursor_seen()
        self._draw_again(fresh)

    def restyle(self, look: Look) -> None:
        """Draw with another look."""
        self.look = look
        self._draw_again(fresh=True)

    # Where things are

    @property
    def _frozen_width(self) -> int:
        return 0 if self.shown is None else self._starts[self.shown.pane.frozen]

    def _keep_cursor_seen(self) -> None:
        """Scroll so that the cursor's cell is in view, the head and the frozen columns aside."""
        shown = self.shown
        width, height = self.scrollable_content_region.size
        if shown is None or height < 2:
            return
        x, y = self.scroll_offset
        row = shown.selection.row
        y = min(max(y, row - (height - 2)), row)
        start, end = self._starts[shown.selection.column], self._starts[shown.selection.column + 1]
        if shown.selection.column >= shown.pane.frozen:
            x = min(max(x, end - width), start - self._frozen_width)
        x, y = max(0, x), max(0, y)
        if (x, y) != self.scroll_offset:
            self.scroll_to(x, y, animate=False, force=True, immediate=True)

    @property
    def _left(self) -> int:
        """Cells scrolled away beside the frozen columns: whole columns, so that no number loses its head."""
        fixed, scroll = self._frozen_width, self.scroll_offset.x
        return next((start - fixed for start in self._starts if start - fixed >= scroll), scroll)

    def cell_region(self, row: int, column: int) -> Region:
        """Where a cell is on the screen."""
        assert self.shown is not None
        fixed = column < self.shown.pane.frozen
        x = self._starts[column] - (0 if fixed else self._left)
        area = self.scrollable_content_region
        return Region(
            area.x + x, area.y + 1 + row - self.scroll_offset.y, self.shown.columns[column].width, 1
        )

    def _cell_at(self, offset: Offset) -> tuple[int, int] | None:
        """Row and column under a place in the widget; row -1 is the head."""
        if self.shown is None:
            return None
        x = offset.x if offset.x < self._frozen_width else offset.x + self._left
        column = next((i for i in range(len(self.shown.columns)) if x < self._starts[i + 1]), None)
        if column is None:
            return None
        row = -1 if offset.y == 0 else offset.y - 1 + self.scroll_offset.y
        return (row, column) if row < self.shown.count + self.shown.spare else None

    # Drawing

    def _draw_again(self, fresh: bool = False) -> None:
        """Draw anew; the terminal is sent the lines that came out different, or all of them."""
        before, self._lines = self._lines, {}
        if fresh:
            self.refresh()
            return
        rows = {y: self._row_at(y) for y in range(self.size.height)}
        regions = [
            region
            for y, row in rows.items()
            if row is not None and (region := self._changed(y, before.get(row), self._whole(row)))
        ]
        if regions:
            self.refresh(*regions)

    def _changed(self, y: int, before: Strip | None, after: Strip) -> Region | None:
        """The part of a line in which it came out different."""
        if before == after:
            return None
        width = self.size.width
        part = None if before is None else part_changed(_runs(before), _runs(after))
        if part is None or self._left or part[1] >= self.scrollable_content_region.width - 1:
            return Region(0, y, width, 1)  # whole columns scrolled away, or a mark at the edge
        return Region(part[0], y, part[1] - part[0], 1)

    def _row_at(self, y: int) -> int | None:
        """The row on a line of the widget; -1 for the head, None below the last row."""
        row = -1 if y == 0 else y - 1 + self.scroll_offset.y
        return row if self.shown is not None and row < self.shown.count + self.shown.spare else None

    def _whole(self, row: int) -> Strip:
        """A row in its full width."""
        line = self._lines.get(row)
        if line is None:
            line = self._lines[row] = self._head() if row < 0 else self._line(row)
        return line

    def render_line(self, y: int) -> Strip:
        """One line of the table as the terminal shows it."""
        width = self.scrollable_content_region.width
        row = self._row_at(y)
        if self.shown is None or row is None:
            return Strip.blank(width, self.look.style("plain"))
        whole = self._whole(row)
        fixed, scroll = self._frozen_width, self._left
        if scroll:
            whole = Strip.join([whole.crop(0, fixed), whole.crop(fixed + scroll)])
        blank = self.look.style("plain", "head" if row < 0 else "page")
        edge = self._whole_width(width)
        if edge < width:
            mark = self.shown.sheet.signs.toward_foot if row < 0 else ""
            more = Segment(mark.rjust(width - edge), self.look.style("faint", "head") if row < 0 else blank)
            whole = Strip([*whole.crop(0, edge), more])
        elif width + scroll + GAP not in self._starts and whole.crop(width - 1, width + 1).text.strip():
            cut = Segment(self.shown.sheet.signs.ellipsis, blank)
            whole = Strip([*whole.crop(0, width - 1), cut])
        return Strip(lean(whole.adjust_cell_length(width, blank)))

    def _whole_width(self, width: int) -> int:
        """How much of the width whole columns take; of columns cut by the edge only wide texts count."""
        scroll = self._left
        if self._starts[-1] - GAP - scroll <= width:
            return width
        last = next(i for i, start in enumerate(self._starts[1:]) if start - GAP - scroll > width)
        start = self._starts[last] - scroll
        return width if width - start >= WORTH_CUTTING else max(self._frozen_width, start - GAP)

    def _head(self) -> Strip:
        shown = self.shown
        assert shown is not None
        style = self.look.style("label", "head")
        here = self.look.style("strong", "head")
        segments = []
        for index, column in enumerate(shown.columns):
            current = index in shown.selection.columns and self.has_focus
            text = _fit(column.title, column.width, column.align)
            segments.append(Segment(text + " " * GAP, here if current else style))
        return Strip(lean(segments))

    def _line(self, row: int) -> Strip:
        """A row; where its cells are as they were, and stand on the same ground, the strip there was."""
        shown = self.shown
        assert shown is not None
        if row < shown.count:
            cells = tuple(cell_of(shown.sheet, shown.pane.name, row, column).line for column in shown.columns)
        else:
            first = shown.sheet.signs.cross
            cells = tuple((Span("" if i else first, "faint"),) for i in range(len(shown.columns)))
        selection = shown.selection
        here = selection if row in selection.rows else None
        key = (cells, here, self.has_focus, self.look, shown.sheet.signs, shown.columns)
        before = self._made.get(row)
        if before is None or before[0] != key:
            before = self._made[row] = (key, self._strip(row, cells))
        return before[1]

    def _strip(self, row: int, cells: tuple[Line, ...]) -> Strip:
        shown = self.shown
        assert shown is not None
        segments: list[Segment] = []
        selection = shown.selection
        for index, (column, line) in enumerate(zip(shown.columns, cells, strict=True)):
            ground: Ground = "page"
            if row == selection.row and index == selection.column:
                ground = "cursor" if self.has_focus else "resting"
            elif row in selection.rows and index in selection.columns and self.has_focus:
                ground = "range"
            elif row == selection.row and index == 0:
                ground = "resting"
            segments += self._cell(line, column, ground)
            between: Ground = "range" if ground == "range" and index + 1 in selection.columns else "page"
            segments.append(Segment(" " * GAP, self.look.style("plain", between)))
        return Strip(lean(segments))

    def _cell(self, line: Line, column: Column, ground: Ground) -> list[Segment]:
        if len(line) == 1:
            text = _fit(
                line[0].text,
                column.width,
                column.align,
                self.shown.sheet.signs.ellipsis if self.shown else "",
            )
            return [Segment(text, self.look.style(line[0].tone, ground))]
        segments, left = [], column.width
        for span in shortened(line, left, self.shown.sheet.signs.ellipsis if self.shown else ""):
            text = span.text
            segments.append(Segment(text, self.look.style(span.tone, ground)))
            left -= len(text)
        if left:
            segments.append(Segment(" " * left, self.look.style("plain", ground)))
        return segments

    # What the maker does

    def on_key(self, event: events.Key) -> None:
        """Hand the key on."""
        event.stop()
        event.prevent_default()
        self._keys(event)

    def on_focus(self) -> None:
        """The cursor shows."""
        self._draw_again(fresh=True)

    def on_blur(self) -> None:
        """The cursor rests."""
        self._draw_again(fresh=True)

    def on_resize(self) -> None:
        """The cursor stays in view."""
        self._keep_cursor_seen()

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """A cell is chosen; with Shift the range is drawn to it."""
        place = self._place(event)
        if place is not None and event.button == 1:
            self._dragging = True
            self.capture_mouse()
            self.post_message(self.Chosen(self, *place, stretch=event.shift))

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Dragged, the range follows."""
        if self._dragging and event.button:
            place = self._place(event)
            selection = self.shown.selection if self.shown else Selection()
            if place is not None and place != (selection.row, selection.column):
                self.post_message(self.Chosen(self, *place, stretch=True))

    def on_mouse_up(self) -> None:
        """The range is drawn."""
        self._dragging = False
        self.release_mouse()

    def on_click(self, event: events.Click) -> None:
        """Clicked twice, a cell opens."""
        if event.chain == 2:
            self.post_message(self.Opened(self))

    def _place(self, event: events.MouseEvent) -> tuple[int, int] | None:
        place = self._cell_at(event.get_content_offset_capture(self))
        return None if place is None or place[0] < 0 else place

    def on_paste(self, event: events.Paste) -> None:
        """The terminal's own paste."""
        event.stop()
        self.post_message(self.Pasted(self, event.text))


def _runs(strip: Strip) -> Runs:
    return ((segment.text, segment.style) for segment in strip)


def _fit(text: str, width: int, align: Align, ellipsis: str = "") -> str:
    """A text in a column, cut with a mark where it is too long."""
    if len(text) > width:
        text = text[: width - len(ellipsis)] + ellipsis
    if align == "left":
        return text.ljust(width)
    return text.rjust(width) if align == "right" else text.center(width)
