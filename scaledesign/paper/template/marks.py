"""What is drawn on the strip: lines to lay it by, holes with their crosses, and what is written beside them.

Apart from where things lie (``strip.py``) and from the sheets (``page.py``): the same marks go on paper and
into a drawing. Millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import hypot, pi

import numpy as np

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Hole, Units
from scaledesign.model.units import format_length, format_number
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.layout import distance_from, has_cut_end, mouth_side
from scaledesign.paper.template.ink import PT, Box, Face, Look, Room, Stroke, Words, height_of, width_of
from scaledesign.paper.template.strip import BACK, TAB, Opening, Strip

ARM = 3.0
"""mm of a cross that stay outside the hole."""
TARGET = 1.2
"""mm: radius of the ring around a target at a joint."""
TARGETS = (0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.2)
"""Shares of the way from the front line to an edge where a target may stand, the first ones first."""
REACH = 2.0
"""mm: half length of a target's lines."""
SAME = 5e-5
"""m: a bit this near a hole's width makes it."""
HATCH = 2.5
"""mm between the lines of a stretch where no hole may go."""
LARGE = 1.25
"""Size of words in large print."""
EDGE_WORDS = {
    "duct": ("sounding edge", "edge"),
    "rim": ("blown rim", "rim"),
    "notch": ("blown rim", "rim"),
    "transverse": ("middle of the embouchure", "embouchure"),
    "open": ("open end", "end"),
}
"""What lies at x = 0, and the same where there is little room."""
BESIDE = (0.0, 2.0, 4.0)
"""mm from its usual place that a label is moved at most, tried in this order."""

Line = list[tuple[Face, str, float]]
"""A line of a label: face, text and size of each of its words."""


@dataclass
class Marks:
    """The strip's ink. ``upper`` and ``lower`` are the edges that meet at the seam; the tab is beyond."""

    upper: Stroke
    lower: Stroke
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    crowded: list[int] = field(default_factory=list)
    """Holes (0-based) with no room beside them for more than a number."""

    def across(self, u: float) -> tuple[float, float]:
        """The strip's upper edge and the end of its tab at ``u``."""
        top, bottom = (np.array(edge.points) for edge in (self.upper, self.lower))
        return (
            float(np.interp(u, top[:, 0], top[:, 1])),
            float(np.interp(u, bottom[:, 0], bottom[:, 1])) + TAB * 1e3,
        )


def ways_of(design: Design, strip: Strip) -> list[tuple[float, float]]:
    """Stretches (from, to) in mm that no joint may touch: openings, nodes, both ends."""
    ways = [(each.box[0] * 1e3, each.box[2] * 1e3) for each in strip.openings]
    rings = [*design.tube.avoid, (0.0, 0.0), (design.tube.length, design.tube.length)]
    for start, end in rings:
        low, high = strip.ring(start)[0], strip.ring(end)[0]
        ways.append((float(low.min()) * 1e3, float(high.max()) * 1e3))
    return ways


def marks_of(design: Design, strip: Strip, choices: PaperChoices, joints: Sequence[float] = ()) -> Marks:
    """All marks of a strip; ``joints`` (mm) are where it will be cut into pieces."""
    return _Marker(design, strip, choices, joints).marks()


def hole_words(design: Design, choices: PaperChoices, hole: int) -> str:
    """What a hole's label says, in one line."""
    head, *rest = _said(design, choices, hole)
    named = " ".join(text for _, text, _ in head)
    return f"hole {named}: {', '.join(text for line in rest for _, text, _ in line)}"


class _Marker:
    """One set of marks while it is made."""

    def __init__(self, design: Design, strip: Strip, choices: PaperChoices, joints: Sequence[float]) -> None:
        self.design, self.strip, self.choices, self.joints = design, strip, choices, joints
        self.units = choices.units_of(design.units)
        self.scale = LARGE if choices.large else 1.0
        count = 2 + round((strip.end - strip.start) / 0.01)
        self.upper = Stroke.of("edge", *strip.line(strip.seam - 360.0, count))
        self.lower = Stroke.of("fold", *strip.line(strip.seam, count))
        self.count = count
        self.front = Stroke.of("front", *strip.line(0.0, count))
        self.made = Marks(self.upper, self.lower)
        self.room = Room(self.upper, self.lower)

    def marks(self) -> Marks:
        """Lines first, then what must stand in one place, then what can give way."""
        self._edges()
        for start, end in self.design.tube.avoid:
            self._band(start, end)
        for opening in self.strip.openings:
            self._opening(opening)
        self._along()
        for place, joint in enumerate(self.joints):
            self._joint(joint, chr(ord("A") + place % 26))
        self._ends()
        self._labels()
        self._lines_named()
        return self.made

    def _add(self, *strokes: Stroke) -> None:
        self.made.strokes += strokes
        self.room.take(box for stroke in strokes for box in stroke.boxes())

    # lines

    def _edges(self) -> None:
        shift = TAB * 1e3
        lower = self.lower.points
        tab = tuple((u, v + shift) for u, v in lower)
        self.made.strokes += [self.upper, self.lower, Stroke("edge", tab)]
        for x, (u, v) in ((self.strip.start, tab[0]), (self.strip.end, tab[-1])):
            ring = Stroke.of("edge", *self.strip.ring(x))
            self._add(ring, Stroke("edge", (ring.points[-1], (u, v))))

    def _band(self, start: float, end: float) -> None:
        """A stretch where no hole may go: two rings and what hatches it."""
        self._add(*(Stroke.of("band", *self.strip.ring(x)) for x in (start, end)))
        low, high = self.strip.seam - 360.0, self.strip.seam
        radius = float(self.strip.outside.radius(np.array([start]), np.array([0.0]))[0])
        step = np.degrees(HATCH / 1e3 / radius)
        lean = np.degrees((end - start) / radius)
        for angle in np.arange(low - lean, high, step) if lean else ():
            first, last = max(angle, low), min(angle + lean, high)
            xs = np.array([start + (each - angle) / lean * (end - start) for each in (first, last)])
            u, v = self.strip.outside.paper(xs, np.radians([first, last]))
            self.made.strokes.append(Stroke.of("hatch", u, v))
        box = [Stroke.of("band", *self.strip.ring(x)).points for x in (start, end)]
        us = [u for ring in box for u, _ in ring]
        vs = [v for ring in box for _, v in ring]
        self.room.take([(min(us), min(vs), max(us), max(vs))])
        self._turned(("no hole here", "no hole"), min(us), max(us), 6.5)

    def _opening(self, opening: Opening) -> None:
        if opening.hole is None:
            self._add(Stroke.of("mouth", opening.u, opening.v, closed=not opening.open))
        else:
            hole = self.design.holes[opening.hole]
            look: Look = "drilled" if hole.drilled else "hole"
            self._add(Stroke.of(look, opening.u, opening.v, closed=True))
        u0, v0, u1, v1 = (side * 1e3 for side in opening.box)
        self.room.take([(u0, v0, u1, v1)])
        if opening.hole is not None or self.design.instrument.mouth == "transverse":
            u, v = (side * 1e3 for side in opening.middle)
            self._add(
                Stroke("cross", ((u0 - ARM, v), (u1 + ARM, v))),
                Stroke("cross", ((u, v0 - ARM), (u, v1 + ARM))),
            )

    def _along(self) -> None:
        """Front line and thumb line, and the rings of mouth and foot."""
        self._add(self.front)
        if self.strip.seam != BACK:
            self._add(Stroke.of("back", *self.strip.line(self.strip.side(BACK), self.count)))
        self._add(*(Stroke.of("ring", *self.strip.ring(x)) for x in (0.0, self.design.tube.length)))

    def _joint(self, joint: float, letter: str) -> None:
        """A joint: its line, targets on it and on the front line, letters to lay two pieces together by."""
        top, bottom = self.made.across(joint)
        front = float(np.interp(joint, *np.array(self.front.points).T))
        self._add(Stroke("joint", ((joint, top), (joint, bottom))))
        self._target(joint, front)
        for edge in (top, bottom - TAB * 1e3):
            for share in TARGETS:
                v = front + share * (edge - front)
                box = (joint - REACH, v - REACH, joint + REACH, v + REACH)
                if self._clear_of_line(joint, box):
                    self._target(joint, v)
                    self._lettered(joint, v, letter)
                    break

    def _target(self, u: float, v: float) -> None:
        turn = np.linspace(0, 2 * pi, 33)[:-1]
        around = zip((u + TARGET * np.cos(turn)).tolist(), (v + TARGET * np.sin(turn)).tolist(), strict=True)
        self._add(
            Stroke("target", tuple(around), closed=True),
            Stroke("target", ((u - REACH, v), (u + REACH, v))),
            Stroke("target", ((u, v - REACH), (u, v + REACH))),
        )

    def _lettered(self, u: float, v: float, letter: str) -> None:
        """The joint's letter on either side of a target."""
        away = REACH + 0.8 + width_of("number", letter, 10.0) / 2
        pair = [Words("number", letter, u + side * away, v, 10.0) for side in (-1, 1)]
        if self.room.free([word.box for word in pair], 0.3):
            self._write(*pair)

    def _clear_of_line(self, joint: float, box: Box) -> bool:
        """Whether a target may stand at a joint: only the joint's own line goes through it."""
        kept = self.room.taken
        self.room.taken = [b for b in kept if not (b[0] == b[2] == joint)]
        free = self.room.free([box], 0.3)
        self.room.taken = kept
        return free

    # words

    def _write(self, *words: Words) -> None:
        self.made.words += words
        self.room.take(word.box for word in words)

    def _turned(self, texts: Sequence[str], low: float, high: float, size: float) -> None:
        """The first of ``texts`` that has room along a ring from u = ``low`` to ``high``, after or before."""
        for text in texts:
            for each in (size * self.scale, size * 0.85):
                if self._along_ring(text, low, high, each):
                    return

    def _along_ring(self, text: str, low: float, high: float, size: float) -> bool:
        half = height_of("note", size) / 2
        sides = [high + 1.0 + half, low - 1.0 - half - 0.22 * size * PT]
        for u in sides:
            top, bottom = self.made.across(min(max(u, self.upper.points[0][0]), self.upper.points[-1][0]))
            middles = sorted(np.arange(top, bottom, 1.0), key=lambda v: abs(abs(v) - (bottom - top) / 4))
            for v in middles:
                words = Words("note", text, u, float(v), size, turned=True)
                if self.room.free([words.box]):
                    self._write(words)
                    return True
        return False

    def _ends(self) -> None:
        tube = self.design.tube
        ring = self.strip.ring(0.0)[0] * 1e3
        self._turned(EDGE_WORDS[self.design.instrument.mouth], float(ring.min()), float(ring.max()), 7.5)
        ring = self.strip.ring(tube.length)[0] * 1e3
        self._turned(
            ("foot",) if tube.locked else ("foot: cut here", "cut here"),
            float(ring.min()),
            float(ring.max()),
            7.5,
        )
        if has_cut_end(self.design) and self.design.tube.chamber is not None:
            beyond = format_length(mouth_side(self.design), self.units)
            self._level(f"← the cut end, {beyond} from the edge", 0.0, 6.5)

    def _level(self, text: str, start: float, size: float, face: Face = "note") -> None:
        """A text along the tube, as near to u = ``start`` as there is room, first above the front line."""
        size *= self.scale
        wide = width_of(face, text, size)
        top, bottom = self.made.across(start)
        rows = sorted(np.arange(top, bottom, 1.0), key=lambda v: abs(v - top / 2))
        for u in np.arange(start, self.upper.points[-1][0], 4.0):
            for v in rows:
                words = Words(face, text, float(u) + 1.5 + wide / 2, float(v), size)
                if self.room.free([words.box], 1.0):
                    self._write(words)
                    return

    def _lines_named(self) -> None:
        """Name of the flute and of the lines, each where there is room."""
        if self.design.name:
            self._level(self.design.name, 12.0, 13.0, "name")
        named = [(0.0, "front")]
        if self.strip.seam == BACK:
            named += [(BACK, "back"), (-BACK, "back")]
        else:
            named.append((self.strip.side(BACK), "back"))
        ends = [self.strip.start * 1e3, *self.joints]
        for angle, text in named:
            line = np.array(Stroke.of("front", *self.strip.line(angle, self.count)).points)
            size = 7.0 * self.scale
            off = height_of("note", size) / 2 + 1.1
            sides = (off + 0.22 * size * PT, off)
            for start in ends:
                for u in np.arange(start + 14.0, line[-1, 0], 3.0):
                    v = float(np.interp(u, line[:, 0], line[:, 1]))
                    both = (v - sides[0], v + sides[1])
                    tries = [Words("note", text, float(u), each, size) for each in both]
                    good = [words for words in tries if self.room.free([words.box], 0.5)]
                    if good:
                        self._write(good[0])
                        break
        self._tab()

    def _tab(self) -> None:
        text = f"this tab lies under the other edge; seam {format_number(self.strip.seam)}° from the front"
        size = 6.5
        wide = width_of("note", text, size)
        for start in [self.strip.start * 1e3, *self.joints]:
            u = start + 12.0 + wide / 2
            below = [self.made.across(each)[1] for each in (u - wide / 2, u, u + wide / 2)]
            words = Words("note", text, u, sum(below) / 3 - TAB * 1e3 / 2, size)
            stop = self.strip.end * 1e3 - 2.0
            if words.box[2] < stop:
                self.made.words.append(words)

    # labels of holes

    def _labels(self) -> None:
        openings = [each for each in self.strip.openings if each.hole is not None]
        # Labels of holes in one line stand in one line too.
        deep: dict[int, float] = {}
        for each in openings:
            row = round(each.middle[1] * 1e3)
            deep[row] = max(deep.get(row, 0.0), (each.box[3] - each.middle[1]) * 1e3)
        for each in openings:
            self._label(each, deep[round(each.middle[1] * 1e3)])

    def _label(self, opening: Opening, deep: float) -> None:
        """All that is said of a hole close beside it, else its number alone."""
        assert opening.hole is not None
        lines = _said(self.design, self.choices, opening.hole)
        if self._placed(opening, deep, lines):
            return
        self.made.crowded.append(opening.hole)
        self._placed(opening, deep, lines[:1])

    def _placed(self, opening: Opening, deep: float, lines: Sequence[Line]) -> bool:
        """Write a label at the free place nearest to its hole; whether there is one."""
        u, v = (side * 1e3 for side in opening.middle)
        half = (opening.box[2] - opening.box[0]) / 2 * 1e3
        wide, tall = max(_line_width(line) for line in lines), _block_height(lines)
        beside, past = wide / 2 + 1.2, half + wide / 2 + 1.5
        shifts = ((0.0, ARM), (beside, 0.5), (-beside, 0.5), (past, 0.5 - deep), (-past, 0.5 - deep))
        tried: list[tuple[float, float, Box]] = []
        for away, down, (shift, near) in product(BESIDE, (1, -1), shifts):
            first = v + down * (deep + near + 1.0 + away)
            top = first if down > 0 else first - tall
            cost = away + 0.35 * abs(shift) + (0.0 if down > 0 else 1.5)
            tried.append((cost, -shift, (u + shift - wide / 2, top, u + shift + wide / 2, top + tall)))
        for _, shift, box in sorted(tried):
            words = tuple(_block(lines, u - shift, box[1]))
            if self._fits(words) and not self._nearer(opening, box):
                self._write(*words)
                return True
        return False

    def _nearer(self, own: Opening, box: Box) -> bool:
        """Whether a label would seem to belong to another hole."""
        others = [each for each in self.strip.openings if each is not own and each.hole is not None]
        return any(_apart(each, box) < _apart(own, box) + 0.5 for each in others)

    def _fits(self, words: Sequence[Words]) -> bool:
        """Whether there is room, and no joint in the way."""
        boxes = [word.box for word in words]
        crossed = any(box[0] - 1.5 < joint < box[2] + 1.5 for joint in self.joints for box in boxes)
        return not crossed and self.room.free(boxes)


def _said(design: Design, choices: PaperChoices, index: int) -> list[Line]:
    """Lines of a hole's label: number and finger, bit, place, what is unusual."""
    hole, units = design.holes[index], choices.units_of(design.units)
    scale = LARGE if choices.large else 1.0
    head: Line = [("number", str(index + 1), 13.0 * scale)]
    if hole.finger != "none":
        head.append(("name", hole.finger, 8.0 * scale))
    at = distance_from(design, choices.origin, hole.at)
    figures = [*_widths(design, hole, units), f"at {format_length(at, units, unit=False)}"]
    lines: list[Line] = [head]
    lines += [[("figure", text, 7.0 * scale)] for text in figures]
    lines += [[("note", text, 7.5 * scale)] for text in _unusual(hole)]
    return lines


def _widths(design: Design, hole: Hole, units: Units) -> list[str]:
    """The bit that makes a hole, or how wide it is."""
    if hole.across is not None:
        along = format_length(hole.diameter, units, unit=False)
        return [f"{along} × {format_length(hole.across, units)}"]
    bits = bit_set(design.shop.bits)
    bit = bits.nearest(hole.diameter)
    label = bits.label(bit, units)
    width = format_length(hole.diameter, units)
    if abs(bit - hole.diameter) <= SAME or width == label:
        return [f"⌀ {label}"]
    return [f"⌀ {width}", f"bit {label}"]


def _unusual(hole: Hole) -> Iterator[str]:
    """What is to be known of a hole beside its place and width."""
    if hole.finger == "none":
        yield "tuning"
    if hole.slant:
        toward = "foot" if hole.slant > 0 else "mouth"
        yield f"{format_number(abs(hole.slant))}° to the {toward}"
    if hole.drilled:
        yield "drilled"


def _apart(opening: Opening, box: Box) -> float:
    """mm between a hole and a box."""
    u, v = (side * 1e3 for side in opening.middle)
    across, down = max(box[0] - u, u - box[2], 0.0), max(box[1] - v, v - box[3], 0.0)
    u0, v0, u1, v1 = opening.box
    return hypot(across, down) - max(u1 - u0, v1 - v0) / 2 * 1e3


def _line_width(line: Line) -> float:
    return sum(width_of(face, text, size) for face, text, size in line) + 0.9 * (len(line) - 1)


def _block_height(lines: Sequence[Line]) -> float:
    return sum(_line_height(line) for line in lines) + _GAP * (len(lines) - 1)


def _line_height(line: Line) -> float:
    return max(height_of(face, size) for face, _, size in line)


_GAP = 1.0
"""mm between the lines of a label."""


def _block(lines: Sequence[Line], middle: float, top: float) -> Iterator[Words]:
    """Lines of a label under each other, in the middle, those of one line on one base line."""
    for line in lines:
        base = top + _line_height(line)
        u = middle - _line_width(line) / 2
        for face, text, size in line:
            wide = width_of(face, text, size)
            yield Words(face, text, u + wide / 2, base - height_of(face, size) / 2, size)
            u += wide + 0.9
        top = base + _GAP
