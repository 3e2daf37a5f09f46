"""From pieces of a chart to pages: what goes where, and how much air is between.

Apart from the styles, which make the pieces, and from the page, which adds head and foot. A heading never
stands alone at the bottom of a page.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from scaledesign.paper.chart.marks import Mark, moved
from scaledesign.values import dataclass

MOST_AIR = 10.0
"""mm that are added between two pieces, at most, where a page has room to spare."""


@dataclass(frozen=True, slots=True)
class Size:
    """How large a chart is tried."""

    most: int
    """Notes on a line."""
    unit: float
    """How much larger than the style's own measures everything is."""
    span: float
    """mm from the first hole to the last, where flutes stand upright."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A band of the page, as high as ``height`` mm, and what draws its marks, counted from its top left."""

    height: float
    draw: Callable[[], tuple[Mark, ...]]
    heading: bool = False
    """Whether it must stay with the piece after it."""
    title: str = ""
    """Of the section that begins with it."""


def flowed(pieces: Sequence[Piece], rooms: tuple[float, float]) -> list[list[Piece]]:
    """Pieces page by page, as many on each as it holds.

    Parameters
    ----------
    pieces : in their order
    rooms : mm on the first page, and on the others
    """
    pages: list[list[Piece]] = [[]]
    left = rooms[0]
    groups: list[list[Piece]] = [[]]
    for piece in pieces:
        groups[-1].append(piece)
        if not piece.heading:
            groups.append([])
    for group in filter(None, groups):
        height = sum(piece.height for piece in group)
        if height > left and pages[-1]:
            pages.append([])
            left = rooms[1]
        pages[-1] += group
        left -= height
    return pages


def carried_over(pages: Sequence[Sequence[Piece]], page: int) -> str:
    """Title of the section that goes on at the top of a page; '' where a new one begins there."""
    if not pages[page] or pages[page][0].title:
        return ""
    return next((piece.title for one in reversed(pages[:page]) for piece in reversed(one) if piece.title), "")


def stacked(pieces: Sequence[Piece], x: float, y: float, room: float) -> tuple[Mark, ...]:
    """The marks of a page's pieces, one below the other from ``y`` mm on, with room to spare between them."""
    spare = max(room - sum(piece.height for piece in pieces), 0.0)
    gaps = sum(not piece.heading for piece in pieces)
    air = min(spare / gaps, MOST_AIR) if gaps else 0.0
    made: list[Mark] = []
    for piece in pieces:
        made += moved(piece.draw(), x, y)
        y += piece.height + (0.0 if piece.heading else air)
    return tuple(made)
