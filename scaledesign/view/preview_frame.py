"""Which part of a page is seen, and how large: whole page, its width, closer, further, moved about.

Apart because it is only sums: it knows neither the picture nor the screen, only their sizes. A cell of a
terminal is taken to be twice as tall as it is wide.
"""

from __future__ import annotations

from dataclasses import replace

from scaledesign.values import dataclass

TRUE_SIZE = 10.0
"""Cells an inch that are called 100 %: about true size where a cell is as wide as on most screens."""
STEP = 2**0.5
"""From one size to the next: two steps are twice as large."""
CLOSE = 48.0
"""Cells an inch at which the smallest print can be read."""
LEAST, MOST = 1.0, 128.0
"""Cells an inch."""
MARGIN = 0.3
"""Inches from the edge of a page at which its text may begin."""
SHARE = 4
"""A step aside is this part of what is in view."""

Size = tuple[float, float]
"""Width and height of a page, inches."""
Room = tuple[int, int]
"""Columns and lines to show it in."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A size, and the first cell of the page that is in view."""

    scale: float
    """Cells an inch, across."""
    left: int = 0
    top: int = 0

    @classmethod
    def of_page(cls, page: Size, room: Room) -> Frame:
        """The whole page in view."""
        return cls(min(_across(page, room), 2 * room[1] / page[1])).within(page, room)

    @classmethod
    def of_width(cls, page: Size, room: Room) -> Frame:
        """Its whole width in view, from the top."""
        return cls(_across(page, room)).within(page, room)

    @classmethod
    def at_text(cls, page: Size, room: Room) -> Frame:
        """The upper left of what is on the page, close."""
        return cls(CLOSE, round(MARGIN * CLOSE), round(MARGIN * CLOSE / 2)).within(page, room)

    @property
    def percent(self) -> int:
        """How large it is, for people."""
        return round(100 * self.scale / TRUE_SIZE)

    def cells(self, page: Size) -> Room:
        """Columns and lines of the whole page at this size."""
        return max(1, round(page[0] * self.scale)), max(1, round(page[1] * self.scale / 2))

    def within(self, page: Size, room: Room) -> Frame:
        """The same, not beyond the page's edges."""
        scale = max(LEAST, min(MOST, self.scale))
        columns, lines = replace(self, scale=scale).cells(page)
        return Frame(
            scale,
            max(0, min(self.left, columns - room[0])),
            max(0, min(self.top, lines - room[1])),
        )

    def zoomed(self, by: int, page: Size, room: Room) -> Frame:
        """So many steps closer, or further for less than none."""
        return self.sized(self.scale * STEP**by, page, room)

    def sized(self, scale: float, page: Size, room: Room) -> Frame:
        """So many cells an inch; what is in the middle stays there."""
        scale = max(LEAST, min(MOST, scale))
        columns, lines = self.cells(page)
        across = (self.left + min(columns, room[0]) / 2) * scale / self.scale
        down = (self.top + min(lines, room[1]) / 2) * scale / self.scale
        moved = Frame(scale, round(across - room[0] / 2), round(down - room[1] / 2))
        return moved.within(page, room)

    def close(self, page: Size, room: Room) -> Frame:
        """Close enough to read it; what is in the middle stays there."""
        return self.sized(CLOSE, page, room)

    def moved(self, right: int, down: int, page: Size, room: Room) -> Frame:
        """So many steps aside."""
        across, along = max(1, room[0] // SHARE), max(1, room[1] // SHARE)
        moved = replace(self, left=self.left + right * across, top=self.top + down * along)
        return moved.within(page, room)


def _across(page: Size, room: Room) -> float:
    return room[0] / page[0]
