"""The sound of one fingering: its impedance over frequency, registers upright in it.

Apart from how the curve is found (``workshop/sound.py``), of which nothing is repeated here: it is a picture
of numbers. Deep dips speak firmly, shallow ones hardly.
"""

from __future__ import annotations

from math import ceil, floor
from typing import TYPE_CHECKING

import numpy as np

from scaledesign.errors import QuantityError
from scaledesign.model.document import Design
from scaledesign.model.spelling import tuner_shows
from scaledesign.physics.arrays import Mask
from scaledesign.view.canvas import Canvas
from scaledesign.view.lines import Line, Signs, Tone

if TYPE_CHECKING:
    from scaledesign.workshop.sound import Curve, Mark

AXIS = 5
"""Cells for the scale on the left, its upright line the last of them."""
DECIBELS = 10
"""The scale begins and ends with a multiple of this."""
TICKS = tuple(float(f"{digit}e{power}") for power in range(1, 5) for digit in (1, 1.5, 2, 3, 4, 5, 7))
"""Hz that may be written under the curve."""
BRAILLE = 0x2800
DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""What each of the dots of a cell, two across and four down, adds to the sign."""


def impedance_lines(
    curve: Curve, signs: Signs, width: int, height: int, *, design: Design
) -> tuple[Line, ...]:
    """The curve over a logarithmic frequency axis, each register named by what a tuner would show.

    Parameters
    ----------
    curve : Curve
    signs : Signs
    width, height : cells and lines; from three lines on registers and frequencies are written
    design : whose fingering it is

    Returns
    -------
    ``height`` lines of ``width`` cells.
    """
    canvas = Canvas(width, height)
    if canvas.height and canvas.width > AXIS and len(curve.frequency) > 1:
        _Plot(curve, signs, canvas, design).draw()
    return canvas.lines()


class _Plot:
    """One plot while it is made."""

    def __init__(self, curve: Curve, signs: Signs, canvas: Canvas, design: Design) -> None:
        self.curve, self.signs, self.canvas, self.design = curve, signs, canvas, design
        self.top = 1 if canvas.height > 1 else 0
        self.bottom = canvas.height - (1 if canvas.height > 2 else 0)
        """The line below the plot."""
        self.low = DECIBELS * floor(float(curve.level.min()) / DECIBELS)
        self.high = max(DECIBELS * ceil(float(curve.level.max()) / DECIBELS), self.low + DECIBELS)
        self.start, self.stop = np.log(curve.frequency[0]), np.log(curve.frequency[-1])

    def draw(self) -> None:
        """Scales, registers, and the curve over them."""
        self._scales()
        for mark in sorted(self.curve.registers, key=lambda mark: mark.sounding):
            self._upright(mark)
        for mark in sorted(self.curve.registers, key=lambda mark: not mark.sounding):
            self._name(mark)
        across, down = (2, 4) if self.signs.dots else (1, 1)
        dots = self._dots((self.canvas.width - AXIS) * across, (self.bottom - self.top) * down)
        for row, line in enumerate(_cells(dots, self.signs)):
            for column, sign in enumerate(line):
                if sign != " ":
                    self.canvas.put(self.top + row, AXIS + column, sign)

    def _place(self, frequency: float) -> float:
        """Where a frequency falls, in cells from the left."""
        part = (np.log(frequency) - self.start) / (self.stop - self.start)
        return float(AXIS + part * (self.canvas.width - AXIS))

    def _scales(self) -> None:
        put, lines = self.canvas.put, self.bottom - self.top
        levels = {self.top: self.high, self.bottom - 1: self.low}
        zero = self.top + floor(self.high / (self.high - self.low) * lines)
        if self.low < 0 < self.high and self.top < zero < self.bottom - 1:
            levels[zero] = 0
        for row in range(self.top, self.bottom):
            text = f"{levels[row]:+d}" if levels.get(row) else "0" if row in levels else ""
            put(row, 0, text.replace("-", self.signs.minus).rjust(AXIS - 1), "label")
            put(row, AXIS - 1, self.signs.down, "faint")
        if self.top:
            put(0, 0, "dB".rjust(AXIS - 1), "label")
        if self.bottom < self.canvas.height:
            put(self.bottom, 0, "Hz".rjust(AXIS - 1), "label")
            for tick in TICKS:
                if self.curve.frequency[0] <= tick <= self.curve.frequency[-1]:
                    self._text(self.bottom, self._place(tick), f"{tick:.0f}", "faint")

    def _upright(self, mark: Mark) -> None:
        """From the register's name down to its dip."""
        column = floor(self._place(mark.frequency))
        if not AXIS <= column < self.canvas.width:
            return
        part = (self.high + mark.depth) / (self.high - self.low)
        foot = self.top + floor(part * (self.bottom - self.top))
        for row in range(self.top, min(foot, self.bottom)):
            self.canvas.put(row, column, self.signs.down, "strong" if mark.sounding else "faint")

    def _name(self, mark: Mark) -> None:
        try:
            pitch = tuner_shows(self.design, mark.frequency)
        except QuantityError:
            pitch = f"{mark.frequency:.0f} Hz"
        text = f"{mark.number} {pitch}".replace("-", self.signs.minus)
        if self.top:
            self._text(
                0, floor(self._place(mark.frequency)) + 0.5, text, "strong" if mark.sounding else "label"
            )

    def _text(self, row: int, centre: float, text: str, tone: Tone) -> None:
        """Write ``text`` about a place on the sheet unless it would touch another."""
        if not AXIS <= centre <= self.canvas.width:
            return
        start = max(AXIS, min(round(centre - len(text) / 2), self.canvas.width - len(text)))
        if self.canvas.free(row, max(AXIS, start - 2), min(self.canvas.width, start + len(text) + 2)):
            self.canvas.put(row, start, text, tone)

    def _dots(self, columns: int, rows: int) -> Mask:
        """Which dots (rows, columns) the curve covers: from its highest to its lowest level in each."""
        place = (np.log(self.curve.frequency) - self.start) / (self.stop - self.start) * columns
        level = (self.high - self.curve.level) / (self.high - self.low) * rows
        edges = np.interp(np.arange(columns + 1), place, level)
        above, below = np.minimum(edges[1:], edges[:-1]), np.maximum(edges[1:], edges[:-1])
        inside = np.minimum(place.astype(int), columns - 1)
        np.minimum.at(above, inside, level)
        np.maximum.at(below, inside, level)
        line = np.arange(rows)[:, None]
        first, last = np.minimum(above.astype(int), rows - 1), np.minimum(below.astype(int), rows - 1)
        return np.asarray((first <= line) & (line <= last))


def _cells(dots: Mask, signs: Signs) -> list[str]:
    """Dots as lines of signs, blank where there is none."""
    if not signs.dots:
        return ["".join(signs.point if dot else " " for dot in row) for row in dots]
    rows, columns = dots.shape[0] // 4, dots.shape[1] // 2
    codes = (dots.reshape(rows, 4, columns, 2) * np.array(DOTS)[None, :, None, :]).sum(axis=(1, 3))
    return ["".join(chr(BRAILLE + code) if code else " " for code in row) for row in codes.tolist()]
