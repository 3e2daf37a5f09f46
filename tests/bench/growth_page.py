"""The curves of ``growth.py`` as one picture: time above, memory below, both scales in powers of ten.

Drawn with what draws the handbook's pictures, so that it looks like them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from tests.handbook.drawing import BLUE, GREY, INK, WOOD, Drawing, Frame

if TYPE_CHECKING:
    from tests.bench.growth import Grown

WIDE, HIGH, LEFT, TOP, BETWEEN = 380.0, 300.0, 60.0, 82.0, 76.0
LINE = 12.5
"""Pixels from one name to the next, at least."""
COLOURS = (WOOD, BLUE, INK, "#6f8f3a", "#8a4f7d")


def page(found: Sequence[Grown]) -> str:
    """The file."""
    drawing = Drawing("How time and memory grow with the work", TOP + 2 * HIGH + BETWEEN + 48, 660)
    drawing.text(LEFT - 40, 24, "How time and memory grow with the work", bold=True)
    drawing.text(
        LEFT - 40, 42, "behind each name: the exponent of its size, fitted to the larger half of its sizes",
        colour=GREY,
    )  # fmt: skip
    names = [each.curve.name for each in found]
    _plot(drawing, TOP, "seconds", found, names, lambda each: each.seconds, lambda each: each.time_exponent)
    _plot(
        drawing, TOP + HIGH + BETWEEN, "MB", found, names,
        lambda each: [one / 1e6 for one in each.bytes], lambda each: each.memory_exponent,
    )  # fmt: skip
    return drawing.svg()


def _plot(
    drawing: Drawing, top: float, up: str, found: Sequence[Grown], names: list[str],
    values: Callable[[Grown], Sequence[float]], exponent: Callable[[Grown], tuple[float, float]],
) -> None:  # fmt: skip
    """One frame with every curve, and the names at their ends, apart from each other."""
    every = [value for each in found for value in values(each)]
    sizes = [size for each in found for size in each.sizes]
    low, high = np.floor(np.log10(min(every))), np.ceil(np.log10(max(every)))
    last = float(np.ceil(np.log10(max(sizes)) * 2) / 2)
    frame = Frame(drawing, (0, last), (low, high), left=LEFT, top=top, wide=WIDE, high=HIGH)
    for power in range(int(low), int(high) + 1):
        row = float(frame.py([power])[0])
        drawing.line([LEFT, LEFT + WIDE], [row, row], "#dddddd")
        drawing.text(LEFT - 6, row + 4, f"{10.0**power:g}", align="end", colour=GREY)
    for power in range(int(last) + 1):
        column = float(frame.px([power])[0])
        drawing.line([column, column], [top + HIGH, top + HIGH + 4], GREY)
        drawing.text(column, top + HIGH + 17, f"{10**power:,}", align="middle", colour=GREY)
    drawing.text(LEFT + WIDE, top + HIGH + 34, "size", align="end", colour=GREY)
    drawing.text(LEFT - 40, top - 8, up, colour=GREY)
    ends = []
    for each in found:
        colour = COLOURS[names.index(each.curve.name) % len(COLOURS)]
        x, y = np.log10(each.sizes), np.log10(values(each))
        frame.curve(x, y, colour=colour, wide=1.5)
        ends.append((float(frame.py(y)[-1]), float(frame.px(x)[-1]), each, colour))
    ends.sort(key=lambda one: one[0])
    for place, (y, x, each, colour) in zip(
        _apart([one[0] for one in ends], top, top + HIGH), ends, strict=True
    ):
        drawing.line([x + 3, LEFT + WIDE + 8, LEFT + WIDE + 20], [y, y, place], "#cccccc")
        drawing.text(
            LEFT + WIDE + 24, place + 4, f"{each.curve.name}  {exponent(each)[0]:z.2f}", colour=colour
        )


def _apart(places: Sequence[float], top: float, foot: float) -> list[float]:
    """Rising places with a line's height between them, as near to where they were as there is room."""
    apart: list[float] = []
    for place in places:
        apart.append(max(place, apart[-1] + LINE if apart else top))
    for number in range(len(apart) - 1, -1, -1):
        limit = foot if number == len(apart) - 1 else apart[number + 1] - LINE
        apart[number] = min(apart[number], limit)
    return apart
