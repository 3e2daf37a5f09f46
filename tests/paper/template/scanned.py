"""A printed sheet read as a scanner and a careful eye would: ink in pixels, circles and lines fitted to it.

Knows nothing of the strip. Millimetres from the sheet's upper left corner.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pypdfium2

from scaledesign.physics.arrays import Floats

DPI = 1200
DARK = 160
"""Grey below which a pixel is ink; hairlines included."""


class Scan:
    """One page of a PDF, looked at through windows."""

    def __init__(self, pdf: bytes, page: int) -> None:
        self.file = pypdfium2.PdfDocument(pdf)
        self.page = self.file[page]
        self.scale = DPI / 72
        self.size = self.page.get_size()
        # The renderer makes the whole page a whole number of pixels: a pixel is this many mm.
        self.pixel = tuple(side / 72 * 25.4 / np.ceil(side * self.scale) for side in self.size)

    def ink(self, x0: float, y0: float, x1: float, y1: float) -> tuple[Floats, Floats]:
        """x and y of the middles of all inked pixels in a window."""
        left, top = int(x0 / self.pixel[0]), int(y0 / self.pixel[1])
        right, bottom = int(x1 / self.pixel[0]), int(y1 / self.pixel[1])
        whole = [int(np.ceil(side * self.scale)) for side in self.size]
        cut = (left, whole[1] - bottom, whole[0] - right, top)
        picture = self.page.render(
            scale=self.scale, crop=tuple((each - 1e-3) / self.scale for each in cut), grayscale=True
        ).to_numpy()
        rows, columns = np.nonzero(picture[..., 0] < DARK if picture.ndim == 3 else picture < DARK)
        return (columns + left + 0.5) * self.pixel[0], (rows + top + 0.5) * self.pixel[1]

    def upright(self, x: float, y0: float, y1: float, reach: float = 0.8) -> float:
        """x of a line that runs down the page near ``x``, between two heights."""
        xs, _ = self.ink(x - reach, y0, x + reach, y1)
        return longest(xs, self.pixel[0])

    def level(self, y: float, x0: float, x1: float, reach: float = 0.8) -> float:
        """y of a line that runs across the page near ``y``."""
        _, ys = self.ink(x0, y - reach, x1, y + reach)
        return longest(ys, self.pixel[1])

    def close(self) -> None:
        self.page.close()
        self.file.close()


def longest(places: Floats, pixel: float) -> float:
    """Middle of the stripe in which most ink lies."""
    steps = np.floor(places / pixel).astype(int)
    counts = np.bincount(steps)
    stripe = np.nonzero(counts > counts.max() / 2)[0]
    return float(places[np.isin(steps, stripe)].mean())


def fitted(
    x: Floats, y: Floats, guess: tuple[float, float], radius: float, bend: Callable[[Floats], Floats]
) -> tuple[float, float, float, float]:
    """Middle and radius of the curve dx^2 + bend(dy)^2 = r^2 through ink, and the share of it that is there.

    Only ink within 0.6 mm of the expected curve counts (0.36 at a target), and none close to the middle
    lines, where the cross lies. ``bend`` says what a distance around the tube is, seen flat.
    """
    at = np.array([*guess, radius])
    flat = np.hypot(x - at[0], bend(y - at[1]))
    cross, reach = min(0.35, 0.17 * radius), min(0.6, 0.3 * radius)
    near = (np.abs(flat - radius) < reach) & (np.abs(x - at[0]) > cross) & (np.abs(y - at[1]) > cross)
    x, y = x[near], y[near]
    for _ in range(8):
        dx, dy = x - at[0], bend(y - at[1])
        slope = (bend(y - at[1] + 1e-5) - dy) / 1e-5
        far = np.hypot(dx, dy)
        jacobian = np.stack([-dx / far, -dy * slope / far, -np.ones(len(far))], axis=1)
        step, *_ = np.linalg.lstsq(jacobian, far - at[2], rcond=None)
        at = at - step
    turn = np.floor(np.degrees(np.arctan2(bend(y - at[1]), x - at[0])) / 5).astype(int)
    return float(at[0]), float(at[1]), float(at[2]), len(set(turn.tolist())) / 72
