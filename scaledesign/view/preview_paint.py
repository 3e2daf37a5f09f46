"""A page in the cells of a terminal: quarter blocks in greys, dots without colours, letters without either.

Apart from where the page comes from and how the cells reach the screen. A page is how light each point is;
what comes back are signs with two greys a cell, that of the sign and that of the paper behind it. Quarter
blocks read best, since a stroke thinner than a point becomes a grey and not a gap; they were chosen over dots
by looking at both.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scaledesign.physics.arrays import Floats
from scaledesign.view.impedance_plot import BRAILLE, DOTS
from scaledesign.view.preview_frame import Frame, Room, Size
from scaledesign.view.preview_png import WHITE, Greys

Means = Literal["greys", "dots", "letters"]
"""What the terminal can show."""
Points = NDArray[np.float32]
"""(lines, columns) of points, 0 black to 255 white."""

QUARTERS = np.array(list(" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"))
"""Signs by which quarters of the cell they fill: 1 upper left, 2 upper right, 4 lower left, 8 lower right."""
LETTERS = np.array(list(" .:-=+*#%@"))
"""Signs by how much ink they are, about alike from one to the next."""
POINTS: dict[Means, tuple[int, int]] = {"greys": (2, 2), "dots": (4, 2), "letters": (2, 1)}
"""Points of a cell, down and across."""
DARK = 170
"""A point that is darker than this is a dot."""
WORTH = 100.0
"""Squares of greys that a second grey in a cell has to save; a smooth tone stays one."""
BOLDER = 0.7
"""Exponent that makes thin strokes darker, which the mean with the paper around them makes too light."""
LEVELS = 24
"""Greys that are told apart: fewer make a shorter line for the terminal."""


@dataclass(frozen=True)
class Cells:
    """Signs and greys of a picture, each (lines, columns)."""

    signs: NDArray[np.str_]
    ink: Greys
    paper: Greys


def painted(page: Greys, size: Size, frame: Frame, room: Room, means: Means) -> Cells:
    """The part of a page that is in view.

    Parameters
    ----------
    page : (height, width) how light it is
    size : of the page, inches
    frame : which part, how large
    room : columns and lines; less comes back where the page is smaller
    means : what the terminal can show
    """
    columns, lines = frame.cells(size)
    down, across = POINTS[means]
    seen = scaled(
        page,
        _edges(page.shape[0], lines * down)[frame.top * down : (frame.top + room[1]) * down + 1],
        _edges(page.shape[1], columns * across)[frame.left * across : (frame.left + room[0]) * across + 1],
    )
    paint = {"greys": quarters, "dots": dots, "letters": letters}[means]
    return paint(seen)


def scaled(page: Greys, down: NDArray[np.intp], across: NDArray[np.intp]) -> Points:
    """Points of a page between edges, each the mean of what falls into it, thin strokes made darker."""
    part = page[down[0] : max(down[-1], down[0] + 1), across[0] : max(across[-1], across[0] + 1)]
    ink = (WHITE - part).astype(np.float32)
    ys = np.minimum(down[:-1] - down[0], part.shape[0] - 1)
    xs = np.minimum(across[:-1] - across[0], part.shape[1] - 1)
    sums = np.add.reduceat(np.add.reduceat(ink, ys, axis=0), xs, axis=1)
    count = np.maximum(1, np.diff(down))[:, None] * np.maximum(1, np.diff(across))[None, :]
    light: Points = WHITE - WHITE * (sums / count / WHITE) ** np.float32(BOLDER)
    return light


def quarters(points: Points) -> Cells:
    """Quarter blocks: each cell in the two greys that come nearest to its four points."""
    four = _by_cell(points, 2, 2)
    ordered = np.sort(four, axis=2)
    ink = paper = four.mean(axis=2)
    error = ((four - ink[..., None]) ** 2).sum(axis=2) - WORTH
    filled = np.zeros(ink.shape, np.intp)
    for dark in (1, 2, 3):
        lower, upper = ordered[..., :dark], ordered[..., dark:]
        one, other = lower.mean(axis=2), upper.mean(axis=2)
        left = ((lower - one[..., None]) ** 2).sum(axis=2) + ((upper - other[..., None]) ** 2).sum(axis=2)
        better = left < error
        inside = ((four <= ordered[..., dark - 1 : dark]) * np.array([1, 2, 4, 8])).sum(axis=2)
        filled = np.where(better, inside, filled)
        ink, paper = np.where(better, one, ink), np.where(better, other, paper)
        error = np.where(better, left, error)
    return Cells(QUARTERS[filled], _level(ink), _level(paper))


def dots(points: Points) -> Cells:
    """Braille dots, black on white."""
    eight = _by_cell(points, 4, 2)
    bits = ((eight < DARK) * DOTS.ravel()).sum(axis=2)
    return _black(np.array([" ", *map(chr, range(BRAILLE + 1, BRAILLE + 256))])[bits])


def letters(points: Points) -> Cells:
    """Plain letters, black on white."""
    light = _by_cell(points, 2, 1).mean(axis=2)
    place = np.rint((WHITE - light) / WHITE * (len(LETTERS) - 1)).astype(np.intp)
    return _black(LETTERS[place])


def _edges(pixels: int, points: int) -> NDArray[np.intp]:
    """Where points begin and end on so many pixels."""
    return np.rint(np.linspace(0, pixels, points + 1)).astype(np.intp)


def _by_cell(points: Points, down: int, across: int) -> Points:
    """(lines, columns, points of a cell), the first line first; a cell that is begun is filled with paper."""
    tall, wide = points.shape
    whole = np.pad(points, ((0, -tall % down), (0, -wide % across)), constant_values=WHITE)
    lines, columns = whole.shape[0] // down, whole.shape[1] // across
    cells = whole.reshape(lines, down, columns, across).transpose(0, 2, 1, 3)
    return cells.reshape(lines, columns, down * across)


def _level(light: Floats) -> Greys:
    step = WHITE / (LEVELS - 1)
    found: Greys = np.rint(np.rint(light / step) * step).astype(np.uint8)
    return found


def _black(signs: NDArray[np.str_]) -> Cells:
    return Cells(signs, np.zeros(signs.shape, np.uint8), np.full(signs.shape, WHITE, np.uint8))
