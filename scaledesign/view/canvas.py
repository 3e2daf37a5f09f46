"""A sheet of cells to draw on, one sign a cell, which becomes styled lines of one exact width.

Apart because every picture needs it and none should count columns twice: what is put beyond the edge is cut,
what lies under it is overdrawn. It knows no flute and no plot, and no sign of its own.
"""

from __future__ import annotations

from unicodedata import combining, east_asian_width

from scaledesign.view.lines import Line, Signs, Span, Tone

UNKNOWN = "?"
"""Stands for a character that is not one cell wide, or that the signs have no means to show."""


class Canvas:
    """``height`` lines of ``width`` cells, blank at first."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = max(0, width), max(0, height)
        self._text = [[" "] * self.width for _ in range(self.height)]
        self._tone: list[list[Tone]] = [["plain"] * self.width for _ in range(self.height)]

    def put(self, row: int, column: int, text: str, tone: Tone = "plain") -> None:
        """Write ``text`` from a cell on, over what is there; beyond the edges it is cut."""
        if not 0 <= row < self.height:
            return
        start, stop = max(column, 0), min(column + len(text), self.width)
        if start < stop:
            self._text[row][start:stop] = text[start - column : stop - column]
            self._tone[row][start:stop] = [tone] * (stop - start)

    def at(self, row: int, column: int) -> str:
        """The sign in a cell; blank beyond the edges."""
        inside = 0 <= row < self.height and 0 <= column < self.width
        return self._text[row][column] if inside else " "

    def free(self, row: int, start: int, stop: int) -> bool:
        """Whether the cells from ``start`` up to ``stop`` are on the sheet and blank."""
        if not (0 <= row < self.height and 0 <= start <= stop <= self.width):
            return False
        return all(sign == " " for sign in self._text[row][start:stop])

    def lines(self) -> tuple[Line, ...]:
        """The sheet as lines, each of exactly ``width`` cells."""
        return tuple(_spans(*row) for row in zip(self._text, self._tone, strict=True))


def _spans(text: list[str], tones: list[Tone]) -> Line:
    spans, start = [], 0
    for column in range(1, len(text) + 1):
        if column == len(text) or tones[column] != tones[start]:
            spans.append(Span("".join(text[start:column]), tones[start]))
            start = column
    return tuple(spans)


def cells_of(text: str, signs: Signs) -> str:
    """``text`` with one character a cell, and ASCII only where the signs are."""
    if text.isascii() and text.isprintable():
        return text
    spelled = text.replace("♯", "#").replace("♭", "b").replace("−", signs.minus)
    narrow = (
        sign if sign.isprintable() and not combining(sign) and east_asian_width(sign) not in "WF" else UNKNOWN
        for sign in spelled
    )
    return "".join(sign if signs.dots or sign.isascii() else UNKNOWN for sign in narrow)
