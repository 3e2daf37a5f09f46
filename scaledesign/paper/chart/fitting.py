"""How large a chart can be printed: notes on a line, size of everything, length of the flutes.

Apart from the page, which puts head and foot around what is found here. All that the style allows is tried:
the fewest pages win, then the largest print. Print that leaves much of a page empty counts for less, so that
few notes go on more lines in larger cells, and a last page is not left nearly bare for a little more size.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import sqrt

from scaledesign.paper.chart import along, cards, rows
from scaledesign.paper.chart.drawn_holes import BROADEST, drawn_flute
from scaledesign.paper.chart.flow import Piece, Size, flowed
from scaledesign.paper.chart.setting import Setting
from scaledesign.paper.chart.styles import Plan

FOOT = 5.0
"""mm that a page's number takes, where there are several."""
STEP = 0.96
"""Share of the last try's size that the next one has."""
WASTE = 0.6
"""How much of its worth a size loses where it leaves a whole page empty."""
STRETCHES = 12
"""Lengths of the flutes that are tried between the longest and the shortest."""

PLANS: dict[Plan, tuple[Callable[[Setting, Size], tuple[Piece, ...]], Callable[[Setting, int], float]]] = {
    "cards": (cards.cards, cards.most_unit),
    "along": (along.along, along.most_unit),
    "rows": (rows.rows, rows.most_unit),
}
"""What draws each plan of a page, and how large it can be with so many notes on a line."""


def fitted(setting: Setting, rooms: tuple[float, float], last: float) -> list[list[Piece]]:
    """The pieces of each page.

    Parameters
    ----------
    setting : Setting
    rooms : mm on the first page, and on the others
    last : mm that the last page keeps for its notes
    """
    style = setting.style
    draw, most_unit = PLANS[style.plan]
    least, most = style.large if setting.choices.large else style.units
    end = Piece(last, tuple)

    def pages_of(size: Size) -> list[list[Piece]]:
        pieces = (*draw(setting, size), end)
        pages = flowed(pieces, rooms)
        return pages if len(pages) == 1 else flowed(pieces, (rooms[0] - FOOT, rooms[1] - FOOT))

    def bare(pages: Sequence[Sequence[Piece]]) -> list[float]:
        foot = FOOT if len(pages) > 1 else 0.0
        return [_bare(page, rooms[min(i, 1)] - foot) for i, page in enumerate(pages)]

    def stretched(size: Size) -> tuple[list[list[Piece]], Size]:
        """With flutes as long as they can be without one page more."""
        short, long = (span * size.unit for span in style.spans)
        pages = pages_of(size)
        if short < long:
            for i in range(STRETCHES):
                longer = replace(size, span=long - (long - short) * i / STRETCHES)
                tried = pages_of(longer)
                if min(bare(tried)) >= 0.0 and len(tried) == len(pages):
                    return tried, longer
        return pages, size

    tries = []
    for count in style.counts:
        unit = min(most, most_unit(setting, count))
        while unit >= least:
            size = Size(count, unit, style.spans[0] * unit)
            pages = pages_of(size)
            tries.append(((min(bare(pages)) < 0.0, len(pages)), size))
            unit *= STEP
    if not tries:  # a note with many ways is broader than a line at the usual sizes
        unit = min(least, max(most_unit(setting, count) for count in style.counts))
        tries = [((True, 1), Size(style.counts[0], unit, style.spans[0] * unit))]
    fewest = min(key for key, _ in tries)
    best: list[list[Piece]] = []
    worth = -1.0
    for size in sorted((size for key, size in tries if key == fewest), key=lambda size: -size.unit):
        if size.unit <= worth:
            break  # nothing smaller is better
        pages, longer = stretched(size)
        its = _legible(setting, longer) * (1.0 - WASTE * max(max(bare(pages)), 0.0))
        if its > worth:
            best, worth = pages, its
    return [[piece for piece in page if piece is not end] for page in best]


def _legible(setting: Setting, size: Size) -> float:
    """How well it is read: the mean of how large names are, and holes, which a short flute leaves no room."""
    style, holes = setting.style, setting.chart.holes
    if not holes or style.plan == "rows":
        return size.unit
    width = style.tube * size.unit
    flute = drawn_flute(holes, setting.chart.mouth, width=width, span=size.span, head=0.0, tail=0.0)
    widest = max(max(hole.half_across, hole.half_along) for hole in flute.holes)
    return sqrt(size.unit * 2 * widest / (BROADEST * style.tube))


def _bare(page: Sequence[Piece], room: float) -> float:
    """Share of a page that stays empty; negative where its pieces do not go on it."""
    return 1.0 - sum(piece.height for piece in page) / room
