"""Small drawings as SVG: a frame with its scales, curves named at their ends, the tube to scale.

Light, black on white with two colours, in the reader's own letters. Numbers are rounded to a tenth of a
pixel, so that the same curve is the same text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Literal

import numpy as np
import numpy.typing as npt

Values = Sequence[float] | npt.NDArray[np.float64]
INK, GREY, PALE, WOOD, BLUE = "#333333", "#767676", "#dddddd", "#b06a1d", "#2b6ca3"
TINT = "#f3e7d6"
FONT = 'font-family="Helvetica, Arial, sans-serif" font-size="12"'
WIDE = 520


def number(value: float) -> str:
    """A length in pixels."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


@dataclass
class Drawing:
    """A sheet of ``width`` by ``height`` pixels."""

    title: str
    height: float
    width: float = WIDE
    parts: list[str] = field(default_factory=list)

    def text(
        self, x: float, y: float, words: str, *, align: Literal["start", "middle", "end"] = "start",
        colour: str = INK, bold: bool = False,
    ) -> None:  # fmt: skip
        """A line of words; y is its base line."""
        heavy = ' font-weight="bold"' if bold else ""
        side = "" if align == "start" else f' text-anchor="{align}"'
        self.parts.append(
            f'<text x="{number(x)}" y="{number(y)}" fill="{colour}"{side}{heavy}>{escape(words)}</text>'
        )

    def line(self, xs: Values, ys: Values, colour: str = INK, wide: float = 1, dash: str = "") -> None:
        """A line through points."""
        points = " ".join(f"{number(float(x))},{number(float(y))}" for x, y in zip(xs, ys, strict=True))
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<polyline points="{points}" fill="none" stroke="{colour}" '
            f'stroke-width="{number(wide)}"{dashed}/>'
        )

    def area(self, xs: Values, ys: Values, fill: str = TINT) -> None:
        """What points enclose."""
        points = " ".join(f"{number(float(x))},{number(float(y))}" for x, y in zip(xs, ys, strict=True))
        self.parts.append(f'<polygon points="{points}" fill="{fill}"/>')

    def box(self, x: float, y: float, wide: float, high: float, fill: str, edge: str = "none") -> None:
        """A box."""
        self.parts.append(
            f'<rect x="{number(x)}" y="{number(y)}" width="{number(wide)}" height="{number(high)}" '
            f'fill="{fill}" stroke="{edge}"/>'
        )

    def ring(self, x: float, y: float, across: float, fill: str) -> None:
        """A circle."""
        self.parts.append(
            f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(across / 2)}" '
            f'fill="{fill}" stroke="{INK}"/>'
        )

    def svg(self) -> str:
        """The file."""
        size = f'width="{number(self.width)}" height="{number(self.height)}"'
        body = "\n".join(self.parts)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {number(self.width)} '
            f'{number(self.height)}" role="img" {FONT}>\n<title>{escape(self.title)}</title>\n'
            f'<rect width="100%" height="100%" fill="#ffffff"/>\n{body}\n</svg>\n'
        )


@dataclass
class Frame:
    """A plot on a drawing: its left upper corner, how wide and high it is, the range of either scale."""

    on: Drawing
    x: tuple[float, float]
    y: tuple[float, float]
    left: float = 54
    top: float = 30
    wide: float = 380
    high: float = 170

    def px(self, x: Values) -> npt.NDArray[np.float64]:
        """Pixels across."""
        low, high = self.x
        return np.asarray(self.left + (np.asarray(x, float) - low) / (high - low) * self.wide)

    def py(self, y: Values) -> npt.NDArray[np.float64]:
        """Pixels down."""
        low, high = self.y
        return np.asarray(self.top + self.high - (np.asarray(y, float) - low) / (high - low) * self.high)

    def spot(self, x: float, y: float) -> tuple[float, float]:
        """A place in pixels."""
        return float(self.px([x])[0]), float(self.py([y])[0])

    def scales(
        self,
        xs: Values,
        ys: Values,
        across: str,
        up: str,
        names: Sequence[str] | None = None,
        signed: bool = False,
    ) -> None:
        """Ticks, pale lines, and what the scales count: across at the foot, up at the head."""
        for y in ys:
            row = float(self.py([y])[0])
            self.on.line([self.left, self.left + self.wide], [row, row], GREY if y == 0 else PALE)
            shown = f"{y:+g}".replace("-", "−") if signed and y else f"{y:g}"
            self.on.text(self.left - 6, row + 4, shown, align="end", colour=GREY)
        foot = self.top + self.high
        for place, x in enumerate(xs):
            column = float(self.px([x])[0])
            self.on.line([column, column], [foot, foot + 4], GREY)
            self.on.text(column, foot + 17, names[place] if names else f"{x:g}", align="middle", colour=GREY)
        self.on.text(self.left + self.wide, foot + 34, across, align="end", colour=GREY)
        self.on.text(self.left - 40, self.top - 12, up, colour=GREY)

    def curve(
        self, xs: Values, ys: Values, name: str = "", colour: str = WOOD, dash: str = "", *, wide: float = 2,
        shift: float = 0,
    ) -> None:  # fmt: skip
        """A curve, and its name at its right end."""
        self.on.line(self.px(xs), self.py(ys), colour, wide, dash)
        if name:
            end = float(self.px(xs)[-1]), float(self.py(ys)[-1])
            self.on.text(end[0] + 6, end[1] + 4 + shift, name, colour=colour)


def tube(
    on: Drawing, left: float, middle: float, scale: float, length: float, bore: float, wall: float,
    holes: Sequence[tuple[float, float, bool]] = (),
) -> None:  # fmt: skip
    """A tube to scale, cut open along its middle: pixels of its sounding edge, ``scale`` pixels a metre.

    ``holes`` are place, width and whether a finger closes them; a closed one has its finger on it.
    """
    half, thick = bore / 2 * scale, max(2.0, wall * scale)
    on.box(left, middle + half, length * scale, thick, WOOD)
    edges = [0.0]
    for at, wide, _ in sorted(holes):
        edges += [at - wide / 2, at + wide / 2]
    edges.append(length)
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        on.box(left + start * scale, middle - half - thick, (end - start) * scale, thick, WOOD)
    for at, wide, closed in holes:
        if closed:
            reach = wide * scale / 2 + 2
            on.box(left + at * scale - reach, middle - half - thick - 5, 2 * reach, 5, INK)
