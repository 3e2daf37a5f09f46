"""How far every row is off, at a glance: a bar a row, up for sharp and down for flat.

Apart from the sheet, which says the same in numbers, and from the flute and its sound: it knows no design,
only cents. Bars rise in half lines where the signs have half blocks.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, isfinite

from scaledesign.model.document import Role
from scaledesign.model.units import format_cents
from scaledesign.view.canvas import Canvas, cells_of
from scaledesign.view.lines import Line, Signs, Tone, tone_of

AXIS = 6
"""Cells for the scale on the left, its upright line the last of them."""
WIDEST = 7
"""Cells a row may take: a few rows should not become a wall."""
STEPS = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 500, 1000, 2000, 5000)
"""Cents a plot may reach."""
WILD, CALM = 3.0, 4.0
"""A row is cut at the edge instead of shown whole where it is off by more than so many times the third
quartile of all rows, and by more than so many tolerances."""
NONE = "none"
"""Said of a row that has no pitch."""


def error_lines(
    names: Sequence[str],
    cents: Sequence[float],
    doubt: Sequence[float],
    tolerance: float,
    signs: Signs,
    width: int,
    height: int,
    *,
    selected: int | None = None,
    roles: Sequence[Role] = (),
) -> tuple[Line, ...]:
    """One bar a row about a zero line, the tolerance marked, doubt as a whisker.

    Parameters
    ----------
    names : what each row is called
    cents : how far each row is off; nan where it has no pitch
    doubt : one standard deviation of each, cents
    tolerance : cents a row may be off before it is flagged
    signs : Signs
    width, height : cells and lines; rows that find no cell of their own share one, and the worst is shown
    selected : index of the row that stands out, or None
    roles : roles of the rows; those that are not of the scale are named faintly

    Returns
    -------
    ``height`` lines of ``width`` cells.
    """
    canvas = Canvas(width, height)
    if canvas.height and canvas.width > AXIS and len(names):
        _Plot(names, cents, doubt, tolerance, signs, canvas, selected, roles).draw()
    return canvas.lines()


def reach_of(cents: Sequence[float], tolerance: float) -> float:
    """Cents that the plot reaches either way: what most rows need, and at least twice the tolerance."""
    sizes = sorted(abs(value) for value in cents if isfinite(value))
    need = 2 * tolerance
    if sizes:
        most = max(WILD * sizes[3 * (len(sizes) - 1) // 4], CALM * tolerance)
        need = max(need, *(size for size in sizes if size <= most), 0.0)
    return float(next((step for step in STEPS if step >= need), STEPS[-1]))


class _Plot:
    """One plot while it is made."""

    def __init__(
        self,
        names: Sequence[str],
        cents: Sequence[float],
        doubt: Sequence[float],
        tolerance: float,
        signs: Signs,
        canvas: Canvas,
        selected: int | None,
        roles: Sequence[Role],
    ) -> None:
        self.names, self.cents, self.doubt, self.tolerance = names, cents, doubt, tolerance
        self.signs, self.canvas, self.selected, self.roles = signs, canvas, selected, roles
        below = 1 if canvas.height == 2 or canvas.height > 3 else 0
        self.lines = canvas.height - below
        if self.lines % 2 == 0:
            self.lines, below = self.lines - 1, below + 1
        self.zero = self.lines // 2
        self.names_row = self.lines if below else None
        self.numbers_row = self.lines + 1 if below > 1 else None
        self.reach = reach_of(cents, tolerance)
        self.per_cent = self.lines / 2 / self.reach
        band = round(tolerance * self.per_cent)
        self.band = band if band < self.zero else 0
        """Lines from the zero line to the edge of the tolerance; 0: within the zero line itself."""
        room = canvas.width - AXIS
        self.group = ceil(len(names) / room)
        self.slots = [range(i, min(i + self.group, len(names))) for i in range(0, len(names), self.group)]
        self.slot = min(WIDEST, room // len(self.slots))
        self.bar = max(1, self.slot - 1 - (self.slot > 4))

    def draw(self) -> None:
        """Scale, tolerance, bars, names."""
        self._scale()
        for place, rows in enumerate(self.slots):
            self._row(AXIS + place * self.slot, self._worst(rows))
        self._write()

    def _worst(self, rows: range) -> int:
        """Of the rows that share a cell, the one that is shown: one without a pitch, or the furthest off."""
        return max(rows, key=lambda i: abs(self.cents[i]) if isfinite(self.cents[i]) else float("inf"))

    def _scale(self) -> None:
        signs, put, last = self.signs, self.canvas.put, self.lines - 1
        dotted, double = ("┈", "═") if signs.parts else (".", "=")
        span = len(self.slots) * self.slot
        marks = {0: f"+{self.reach:g}", last: f"{signs.minus}{self.reach:g}"} if last else {}
        if self.band:
            for row, sign in ((self.zero - self.band, "+"), (self.zero + self.band, signs.minus)):
                marks[row] = f"{sign}{self.tolerance:g}"
                put(row, AXIS, dotted * span, "faint")
        marks[self.zero] = "0" if self.band else f"{signs.plus_minus}{self.tolerance:g}"
        put(self.zero, AXIS, (signs.across if self.band else double) * span, "faint")
        for row in range(self.lines):
            put(row, 0, marks.get(row, "").rjust(AXIS - 1)[: AXIS - 1], "label")
            put(row, AXIS - 1, signs.cross if row == self.zero else signs.down, "faint")

    def _row(self, column: int, row: int) -> None:
        value, signs, put = self.cents[row], self.signs, self.canvas.put
        middle = column + self.bar // 2
        if not isfinite(value):
            fits = self.slot > len(NONE)
            put(self.zero, column if fits else middle, NONE if fits else signs.wrong, "wrong")
            return
        tone = tone_of(value, self.tolerance)
        if self.lines == 1:
            put(0, middle, {"sharp": signs.sharp, "flat": signs.flat}.get(tone, signs.true), tone)
            return
        self._whisker(middle, value, self.doubt[row])
        up = -1 if value > 0 else 1
        halves = self._halves(value)
        for step in range(self.zero + 1):
            fill = self._fill(halves - 2 * step, step, up)
            if fill:
                put(self.zero + up * step, column, fill * self.bar, tone)
        if not halves:
            put(self.zero, middle, signs.point, tone)
        if abs(value) > self.reach:
            put(self.zero + up * self.zero, column, (signs.sharp if up < 0 else signs.flat) * self.bar, tone)

    def _halves(self, value: float) -> int:
        """Half lines of a bar, from the middle of the zero line; what is flagged shows at least one."""
        if self.signs.parts:
            return max(round(2 * abs(value) * self.per_cent), int(abs(value) > self.tolerance))
        lines = max(round(abs(value) * self.per_cent), int(abs(value) > self.tolerance))
        return 2 * lines + 1 if lines else 0

    def _fill(self, left: int, step: int, up: int) -> str:
        """The sign ``step`` lines from the zero line of a bar with ``left`` half lines still to draw."""
        near, far = ("▄", "▀") if up < 0 else ("▀", "▄")
        if not self.signs.parts:
            return self.signs.full if left > 0 and step else ""
        if step == 0:
            return far if left > 0 else ""
        return "█" if left > 0 else near if left == 0 else ""

    def _whisker(self, column: int, value: float, doubt: float) -> None:
        """From as flat to as sharp as the row may well be."""
        if not isfinite(doubt):
            return
        top, bottom = (self.zero - round((value + by) * self.per_cent) for by in (doubt, -doubt))
        if top < bottom:
            for row in range(max(0, top), min(self.lines - 1, bottom) + 1):
                self.canvas.put(row, column, "┊" if self.signs.parts else ":", "faint")

    def _write(self) -> None:
        """Names, and the cents under them where a line is left over and every number fits."""
        shown = [self._worst(rows) for rows in self.slots]
        if self.selected is not None and 0 <= self.selected < len(self.names):
            shown[self.selected // self.group] = self.selected
        order = sorted(range(len(shown)), key=lambda at: (shown[at] != self.selected, self._aside(shown[at])))
        if self.names_row is not None:
            for at in order:
                self._label(self.names_row, at, cells_of(self.names[shown[at]], self.signs), shown[at])
        numbers = [self._number(row) for row in shown]
        if self.numbers_row is not None and max(map(len, numbers)) < self.slot:
            for at, text in enumerate(numbers):
                self._label(self.numbers_row, at, text, shown[at])
        self.canvas.put(self.lines, 0, "cents", "label")

    def _aside(self, row: int) -> bool:
        """Whether a row is not of the scale."""
        return row < len(self.roles) and self.roles[row] != "scale"

    def _number(self, row: int) -> str:
        value = self.cents[row]
        return format_cents(value).replace("-", self.signs.minus) if isfinite(value) else NONE

    def _label(self, line: int, at: int, text: str, row: int) -> None:
        start = AXIS + at * self.slot + (self.bar - len(text)) // 2
        start = min(max(AXIS, start), self.canvas.width - len(text))
        around = max(AXIS, start - 1), min(self.canvas.width, start + len(text) + 1)
        if self.canvas.free(line, *around):
            tone: Tone = "strong" if row == self.selected else "faint" if self._aside(row) else "label"
            self.canvas.put(line, start, text, tone)
