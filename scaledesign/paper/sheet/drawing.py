"""The flute to scale on the shop sheet: two views, holes, and dimensions from the end that is measured from.

Apart from the body (``body.py``), which holes and dimensions are laid over. Running dimensions: one line from
the end that is measured from, an arrow at every hole, and the figure above it, set aside where two would
touch. Figures are rounded to what a hand can do, as everywhere on paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, cos, radians, sin

from scaledesign.model.document import Design, Units
from scaledesign.model.units import LENGTH_UNITS
from scaledesign.model.widths import foot_is_cut
from scaledesign.paper.hole_list import UNIT_WORDS, length
from scaledesign.paper.layout import Origin, distance_from, has_cut_end, mouth_side, origin_words
from scaledesign.paper.sheet.body import Frame, cut_open, frame_of, from_the_front, outer, widest
from scaledesign.paper.sheet.marks import (
    CAPITAL,
    POINT,
    Mark,
    Oval,
    Point,
    Words,
    arrow,
    box,
    line,
    spread,
    width_of,
)
from scaledesign.paper.unblown import unblown
from scaledesign.values import dataclass

FIGURES, SMALL = 8.0, 7.0
"""Points of the dimensions and of what stands below them."""
APART = 2.0
"""mm between two figures."""
TURNED = 0.9
"""Share of the width that figures may fill before they are turned upright."""
HIGHER, CLEAR = 0.9, 0.4
"""mm that fractions may stand above capitals; mm that a line keeps from words beside it."""
BARS = {"mm": (10, 20, 30, 50, 100, 200, 500, 1000), "in": (1, 2, 3, 6, 12, 24, 48)}
"""Lengths of the scale bar, in the maker's units."""
BAR = 42.0
"""mm on paper that the scale bar takes at most."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """Marks on a piece of paper (mm), what it is drawn at, and where the holes came to lie."""

    height: float
    ratio: float
    marks: tuple[Mark, ...]
    centres: tuple[tuple[float, float], ...]
    """Of each hole, as seen from the front."""


def drawing_of(design: Design, width: float, *, units: Units, origin: Origin, larger: float = 1.0) -> Drawing:
    """The drawing of a design.

    Parameters
    ----------
    design : Design
    width : mm of paper
    units : of the figures
    origin : the end that is measured from; has to be there
    larger : factor on the size of the figures

    Raises
    ------
    DesignError
        when measured from a cut end that the design does not state.
    """
    frame = frame_of(design, width)
    size, small = FIGURES * larger, SMALL * larger
    radius = frame.size(widest(design))
    top, figures = _running(design, frame, width, units, origin, size)
    flange = 2.6 if design.tube.foot.kind == "flanged" else 1.0
    front = top + flange + 2.4 + radius
    names_at = front + radius + flange + 0.9 + small * POINT * CAPITAL / 2
    block = 0.45 * frame.size(design.tube.bore[0].value / 2) if design.tube.chamber else 0.0
    section = names_at + small * POINT * CAPITAL / 2 + max(flange, block) + 1.1 + radius
    marks: list[Mark] = list(from_the_front(design, frame, front))
    holes, centres = _holes(design, frame, front)
    marks += holes
    marks += _extensions(design, frame, top, centres)
    marks += figures
    marks += _names(design, frame, names_at, small, width, front + radius)
    marks += cut_open(design, frame, section)
    bottom = section + radius + flange + 1.6
    below, bottom = _below(design, frame, section, bottom, units, small, width)
    marks += below
    overall, bottom = _overall(design, frame, bottom, units, size)
    marks += overall
    bar, bottom = _bar(frame, bottom + 1.5, units, small, width, origin_words(design, origin))
    marks += bar
    return Drawing(bottom, frame.ratio, tuple(marks), tuple(centres))


def _running(
    design: Design, frame: Frame, width: float, units: Units, origin: Origin, size: float
) -> tuple[float, list[Mark]]:
    """Running dimensions: the height of their line (mm from the top), and figures with leaders and arrows."""
    far = 0.0 if origin == "foot" else design.tube.length
    ends = sorted({hole.at for hole in design.holes} | {far})
    texts = [length(distance_from(design, origin, at), units) for at in ends]
    places = [frame.x(at) for at in ends]
    start = _origin_at(design, frame, origin)
    height = size * POINT * CAPITAL
    widths = [width_of(text, size) + APART for text in texts]
    turned = sum(widths) > TURNED * width
    if turned:
        room = max(width_of(text, size) for text in texts)
        step = min(height + 1.0, width / len(texts))
        size = min(size, (step - 0.5) / (POINT * CAPITAL))
        widths, height = [step] * len(texts), room
    middles = spread(places, widths, 0.0, width)
    kink = 3.2 if any(abs(a - b) > 0.3 for a, b in zip(places, middles, strict=True)) else 1.2
    y = height + 0.9 + kink + 1.6
    marks: list[Mark] = []
    for x, middle, text in zip(places, middles, texts, strict=True):
        marks.append(Words(middle, height / 2, text, size, turned=turned))
        if abs(x - middle) > 0.05:
            marks += [line(middle, height + 0.9, x, height + 0.9 + kink), line(x, height + 0.9 + kink, x, y)]
        else:
            marks.append(line(x, height + 0.9, x, y))
        if abs(x - start) > 1.8:
            marks.append(arrow(x, y, -1.0 if x > start else 1.0))
    marks.append(line(min(start, *places), y, max(start, *places), y, "hair"))
    marks.append(Oval(start, y, 0.75, 0.75, "thin", "paper"))
    return y, marks


def _origin_at(design: Design, frame: Frame, origin: Origin) -> float:
    if origin == "cut-end":
        mouth_side(design)  # says so where the design does not state it
        return frame.left
    return frame.x(0.0 if origin == "edge" else design.tube.length)


def _extensions(
    design: Design, frame: Frame, top: float, centres: Sequence[tuple[float, float]]
) -> Iterator[Mark]:
    """From the line of dimensions down to the tube, with a gap that tells them from the tube's own edges."""
    for x, _ in centres:
        yield line(x, top, x, top + 2.0)
    yield line(frame.x(0.0), top, frame.x(0.0), top + 2.0)
    yield line(frame.x(design.tube.length), top, frame.x(design.tube.length), top + 1.2)


def _holes(design: Design, frame: Frame, axis: float) -> tuple[list[Mark], list[tuple[float, float]]]:
    """Holes as seen from the front, those behind dashed, each with a cross through its middle."""
    marks: list[Mark] = []
    centres = []
    for hole in design.holes:
        turn = radians(hole.side)
        x, y = frame.x(hole.at), axis + frame.size(outer(design, hole.at)) * sin(turn)
        rx = frame.size(hole.diameter) / 2
        ry = max(0.15, frame.size(hole.across or hole.diameter) / 2 * abs(cos(turn)))
        behind = cos(turn) < -1e-9
        marks.append(Oval(x, y, rx, ry, "hidden" if behind else "outline", "" if behind else "paper"))
        marks += [line(x - rx - 0.7, y, x + rx + 0.7, y), line(x, y - ry - 0.7, x, y + ry + 0.7)]
        centres.append((x, y))
    return marks, centres


def _names(design: Design, frame: Frame, y: float, size: float, width: float, tube: float) -> Iterator[Mark]:
    """Number and finger of each hole between the views."""
    order = sorted(range(len(design.holes)), key=lambda i: design.holes[i].at)
    texts = [f"{i + 1} {design.holes[i].finger}".removesuffix(" none") for i in order]
    widths = [width_of(text, size) + APART for text in texts]
    if sum(widths) > width:
        texts = [f"{i + 1}" for i in order]
        size = min(size, size * width / sum(width_of(text, size) + 0.6 for text in texts))
        widths = [width_of(text, size) + 0.6 for text in texts]
    places = [frame.x(design.holes[i].at) for i in order]
    for text, place, x in zip(texts, places, spread(places, widths, 0.0, width), strict=True):
        yield Words(x, y, text, size, "italic")
        if abs(x - place) > 1.0:
            yield line(place, tube + 0.4, x, y - size * POINT * CAPITAL / 2 - 0.4)


def _below(
    design: Design, frame: Frame, axis: float, y: float, units: Units, size: float, width: float
) -> tuple[list[Mark], float]:
    """What is said under the cut view: bores where they were measured, edge, nodes, foot."""
    tube = design.tube
    said: list[tuple[float, str]] = [
        (min(station.x, tube.length), f"Ø {length(station.value, units)}")
        for station in tube.bore
        if 0.0 <= station.x <= tube.length or len(tube.bore) == 1
    ]
    if len(tube.bore) == 1:
        said = [(0.5 * tube.length, f"bore Ø {length(tube.bore[0].value, units)}")]
    said += [((a + b) / 2, "no hole") for a, b in tube.avoid if b > 0 and a < tube.length]
    end = "foot" if foot_is_cut(design) else "not yet: blow it first" if unblown(design) else "saw here"
    said.append((tube.length, end))
    said.sort(key=lambda each: each[0])
    height = size * POINT * CAPITAL
    count = ceil(sum(width_of(text, size) + APART for _, text in said) / width)
    lines = [said[i::count] for i in range(count)]
    while any(sum(width_of(text, size) + APART for _, text in row) > width for row in lines):
        count += 1
        lines = [said[i::count] for i in range(count)]
    marks: list[Mark] = []
    above: list[tuple[float, float, float, float]] = []
    for row in lines:
        places = [frame.x(x) for x, _ in row]
        middles = spread(places, [width_of(text, size) + APART for _, text in row], 0.0, width)
        y += 1.6
        for (x, text), place, middle in zip(row, places, middles, strict=True):
            marks.append(Words(middle, y + height / 2, text, size, "italic"))
            radius = frame.size(outer(design, x))
            # Fractions stand higher than capitals.
            marks += leader((place, axis + radius + 0.5), (middle, y - HIGHER), above)
        above += [
            (middle - width_of(text, size) / 2, y - HIGHER, middle + width_of(text, size) / 2, y + height)
            for (_, text), middle in zip(row, middles, strict=True)
        ]
        y += height + 0.6
    return marks, y + 0.8


def leader(start: Point, end: Point, words: Sequence[tuple[float, float, float, float]]) -> Iterator[Mark]:
    """A line from ``start`` down to ``end`` that is broken where it would run through ``words``."""
    (x1, y1), (x2, y2) = start, end
    taken = []
    for left, top, right, bottom in words:
        near, far = sorted(((top - y1) / (y2 - y1), (bottom + CLEAR - y1) / (y2 - y1)))
        if x1 != x2:
            ends = sorted(((left - CLEAR - x1) / (x2 - x1), (right + CLEAR - x1) / (x2 - x1)))
            near, far = max(near, ends[0]), min(far, ends[1])
        elif not left - CLEAR < x1 < right + CLEAR:
            continue
        if near < far:
            taken.append((near, far))
    at = 0.0
    for near, far in [*sorted(taken), (1.0, 1.0)]:
        if near - at > 1e-6:
            yield line(
                *(x1 + at * (x2 - x1), y1 + at * (y2 - y1)), *(x1 + near * (x2 - x1), y1 + near * (y2 - y1))
            )
        at = max(at, far)


def _overall(design: Design, frame: Frame, y: float, units: Units, size: float) -> tuple[list[Mark], float]:
    """The tube's length from edge to foot, and before the edge to the cut end where that is known."""
    height = size * POINT * CAPITAL
    y += 0.4 + height / 2
    marks: list[Mark] = []
    pieces = [(frame.x(0.0), frame.x(design.tube.length), design.tube.length)]
    if has_cut_end(design) and mouth_side(design) > 0:
        pieces.append((frame.left, frame.x(0.0), mouth_side(design)))
    for x1, x2, metres in pieces:
        text = length(metres, units)
        wide = width_of(text, size) + 1.6
        marks += [line(x1, y - 1.4, x1, y + 1.4, "thin"), line(x2, y - 1.4, x2, y + 1.4, "thin")]
        if x2 - x1 > wide + 4:
            middle = (x1 + x2) / 2
            marks += [line(x1, y, middle - wide / 2, y), line(middle + wide / 2, y, x2, y)]
            marks += [arrow(x1, y, 1.0), arrow(x2, y, -1.0), Words(middle, y, text, size)]
        else:
            marks.append(line(x1, y, x2, y))
    return marks, y + height / 2 + 0.6


def _bar(
    frame: Frame, y: float, units: Units, size: float, width: float, zero: str
) -> tuple[list[Mark], float]:
    """What is measured from where; the scale in words, and a bar of a whole length at the drawing's scale."""
    unit = float(LENGTH_UNITS[units])
    fitting = [n for n in BARS[units] if frame.size(n * unit) <= BAR]
    count = fitting[-1] if fitting else BARS[units][0]
    long = frame.size(count * unit)
    height = size * POINT * CAPITAL
    y += height / 2
    text = f"{count} {units}"
    right = width - width_of(text, size) - 1.2
    left = right - long
    parts = 5 if count % 5 == 0 else min(count, 3)
    marks: list[Mark] = [
        box(left + i * long / parts, y - 0.5, left + (i + 1) * long / parts, y + 0.5, "thin",
            "ink" if i % 2 == 0 else "paper")
        for i in range(parts)
    ]  # fmt: skip
    marks.append(Words(right + 1.2, y, text, size, align="left"))
    marks.append(Words(left - 2.0, y, f"drawn 1 : {frame.ratio:g}", size, "italic", "right"))
    unit_words = UNIT_WORDS[units]
    marks.append(Words(0, y, f"In {unit_words}, from {zero}.", size, "italic", "left"))
    return marks, y + height / 2
