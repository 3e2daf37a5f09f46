"""A page in the cells of a terminal: blocks in greys, dots without colours, letters without either.

Apart from where the page comes from and how the cells reach the screen. A page is how light each point is;
what comes back are signs with two greys a cell, that of the sign and that of the paper behind it. Blocks read
best, since a stroke thinner than a point becomes a grey and not a gap; they were chosen over dots by looking
at both.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass
from scaledesign.view.impedance_plot import BRAILLE, DOTS
from scaledesign.view.preview_frame import Frame, Room, Size
from scaledesign.view.preview_png import WHITE, Greys

Means = Literal["greys", "dots", "letters"]
"""What the terminal can show."""
Sums = NDArray[np.uint32]
"""(height + 1, width + 1)."""
Points = NDArray[np.float32]
"""(lines, columns) of points, 0 black to 255 white."""

CELL = (8, 4)
"""Points of a cell that blocks are chosen by, down and across."""
QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟"
"""Signs by which quarters of the cell they fill: 1 upper left, 2 upper right, 4 lower left, 8 lower right."""
LOWER, LEFT = "▂▃▅▆", "▎▊"
"""Signs that fill the cell from below, to 2, 3, 5, 6 eighths; and from the left, to 2 and 6."""
LETTERS = np.array(list(" .:-=+*#%@"))
"""Signs by how much ink they are, about alike from one to the next."""
POINTS: dict[Means, tuple[int, int]] = {"greys": CELL, "dots": (4, 2), "letters": (2, 1)}
"""Points of a cell, down and across."""
DARK = 170
"""A point that is darker than this is a dot."""
WORTH = 40.0
"""Square of a grey a point that a second grey in a cell has to save: a smooth tone stays one."""
BOLDER = 0.7
"""Exponent that makes thin strokes darker, which the mean with the paper around them makes too light."""
LEVELS = 24
"""Greys that are told apart: fewer make a shorter line for the terminal."""


def _shapes() -> tuple[NDArray[np.str_], Floats]:
    """Signs, the blank first, and which points of a cell each fills: (signs, points) of 0 and 1."""
    down, across = np.indices(CELL)
    quarter = 2 * (down >= CELL[0] // 2) + (across >= CELL[1] // 2)
    quarters = [filled >> quarter & 1 for filled in range(len(QUARTERS))]
    lower = [down >= CELL[0] - eighths for eighths in (2, 3, 5, 6)]
    left = [across < points for points in (1, 3)]
    signs = np.array([*QUARTERS, *LOWER, *LEFT])
    return signs, np.array([*quarters, *lower, *left], np.float32).reshape(len(signs), -1)


SIGNS, FILLED = _shapes()


@dataclass(frozen=True)
class Cells:
    """Signs and greys of a picture, each (lines, columns)."""

    signs: NDArray[np.str_]
    ink: Greys
    paper: Greys


def painted(sums: Sums, size: Size, frame: Frame, room: Room, means: Means) -> Cells:
    """The part of a page that is in view.

    Parameters
    ----------
    sums : of a page, as ``sums_of`` has them
    size : of the page, inches
    frame : which part, how large
    room : columns and lines; less comes back where the page is smaller
    means : what the terminal can show
    """
    columns, lines = frame.cells(size)
    down, across = POINTS[means]
    seen = scaled(
        sums,
        _edges(sums.shape[0] - 1, lines * down)[frame.top * down : (frame.top + room[1]) * down + 1],
        _edges(sums.shape[1] - 1, columns * across)[
            frame.left * across : (frame.left + room[0]) * across + 1
        ],
    )
    paint = {"greys": blocks, "dots": dots, "letters": letters}[means]
    return paint(seen)


def sums_of(page: Greys) -> Sums:
    """What all pixels above and to the left of each add up to: of it any part's mean is four look-ups."""
    sums = np.zeros((page.shape[0] + 1, page.shape[1] + 1), np.uint32)
    np.cumsum(page, axis=0, dtype=np.uint32, out=sums[1:, 1:])
    np.cumsum(sums[1:, 1:], axis=1, out=sums[1:, 1:])
    return sums


def scaled(sums: Sums, down: NDArray[np.intp], across: NDArray[np.intp]) -> Points:
    """Points of a page between edges, each the mean of what falls into it, or the pixel it falls into."""
    top, left = np.minimum(down[:-1], sums.shape[0] - 2), np.minimum(across[:-1], sums.shape[1] - 2)
    bottom, right = np.maximum(down[1:], top + 1), np.maximum(across[1:], left + 1)
    over = sums[bottom][:, right] - sums[top][:, right] - sums[bottom][:, left] + sums[top][:, left]
    points: Points = np.rint(over / ((bottom - top)[:, None] * (right - left))).astype(np.float32)
    return points


def blocks(points: Points) -> Cells:
    """Blocks: for each cell the sign, and two greys, that come nearest to its points.

    Of a sign that fills n of N points the best greys are the means of those and of the others; what is left
    is least where n a**2 + (N - n) b**2 is most. The sign is the darker of the two: where a font leaves a gap
    at the edge of a cell, paper is seen in it and not a line that is not there.
    """
    cells = _by_cell(points, *CELL)
    count = FILLED.sum(axis=1)
    inside = cells @ FILLED.T
    outside = (cells.sum(axis=2, keepdims=True) - inside) / (cells.shape[2] - count)
    inside /= np.maximum(1, count)
    worth = count * inside**2 + (cells.shape[2] - count) * outside**2
    worth[..., 0] += WORTH * cells.shape[2]
    best = np.where(inside > outside, 0, worth).argmax(axis=2)[..., None]
    paper = np.take_along_axis(outside, best, 2)[..., 0]
    ink = np.where(best[..., 0] == 0, paper, np.take_along_axis(inside, best, 2)[..., 0])
    return Cells(SIGNS[best[..., 0]], _level(ink), _level(paper))


def dots(points: Points) -> Cells:
    """Braille dots, black on white."""
    eight = _by_cell(_bolder(points), 4, 2)
    bits = ((eight < DARK) * np.ravel(DOTS)).sum(axis=2)
    return _black(np.array([" ", *map(chr, range(BRAILLE + 1, BRAILLE + 256))])[bits])


def letters(points: Points) -> Cells:
    """Plain letters, black on white."""
    light = _by_cell(_bolder(points), 2, 1).mean(axis=2)
    place = np.rint((WHITE - light) / WHITE * (len(LETTERS) - 1)).astype(np.intp)
    return _black(LETTERS[place])


def _edges(sums: int, points: int) -> NDArray[np.intp]:
    """Where points begin and end on so many pixels, of which there are as many sums and one more."""
    return np.rint(np.linspace(0, sums - 1, points + 1)).astype(np.intp)


def _by_cell(points: Points, down: int, across: int) -> Points:
    """(lines, columns, points of a cell), the first line first; a cell that is begun is filled with paper."""
    tall, wide = points.shape
    whole = np.pad(points, ((0, -tall % down), (0, -wide % across)), constant_values=WHITE)
    lines, columns = whole.shape[0] // down, whole.shape[1] // across
    cells = whole.reshape(lines, down, columns, across).transpose(0, 2, 1, 3)
    return cells.reshape(lines, columns, down * across)


def _bolder(light: Points) -> Points:
    ink = np.clip((WHITE - light) / WHITE, 0.0, 1.0)
    bolder: Points = (WHITE - WHITE * ink**BOLDER).astype(np.float32)
    return bolder


def _level(light: Points) -> Greys:
    step = WHITE / (LEVELS - 1)
    found: Greys = np.rint(np.rint(_bolder(light) / step) * step).astype(np.uint8)
    return found


def _black(signs: NDArray[np.str_]) -> Cells:
    return Cells(signs, np.zeros(signs.shape, np.uint8), np.full(signs.shape, WHITE, np.uint8))
