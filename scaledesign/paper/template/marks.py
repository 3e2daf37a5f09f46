"""What is drawn on the strip: lines to lay it by, holes with their crosses, and what is written beside them.

Apart from where things lie (``strip.py``) and from the sheets (``page.py``): the same marks go on paper and
into a drawing. Millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field
from math import pi

import numpy as np

from scaledesign.model.document import Design
from scaledesign.model.units import format_length, format_number
from scaledesign.model.widths import foot_is_cut
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.layout import ZERO_WORDS, has_cut_end, mouth_side
from scaledesign.paper.template.ink import LAYERS, PT, Face, Look, Room, Stroke, Words, height_of, width_of
from scaledesign.paper.template.labels import ARM, ASIDE, LARGE, labels
from scaledesign.paper.template.strip import BACK, TAB, Opening, Strip
from scaledesign.paper.text import NAME, on_one_line
from scaledesign.paper.unblown import unblown
from scaledesign.values import dataclass

TARGET = 1.2
"""mm: radius of the ring around a target at a joint."""
TARGETS = (0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.2)
"""Shares of the way from the front line to an edge where a target may stand, the first ones first."""
REACH = 2.0
"""mm: half length of a target's lines."""
NAMED = (13.0, 10.0, 8.0, 6.0)
"""pt of the flute's name on the strip, the first that there is room for."""
HATCH = 2.5
"""mm between the lines of a stretch where no hole may go."""


@dataclass
class Marks:
    """The strip's ink. ``upper`` and ``lower`` are the edges that meet at the seam; the tab is beyond."""

    upper: Stroke
    lower: Stroke
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    crowded: list[int] = field(default_factory=list)
    """Holes (0-based) with no room beside them for more than a number."""

    def on(self, start: float, end: float) -> Iterator[Stroke]:
        """What a piece from u = ``start`` to ``end`` shows: its part of lines, openings only if whole."""
        outlines = [each for each in self.strokes if LAYERS[each.look] == "holes" or each.look == "mouth"]
        whole = {each.opening for each in outlines if each.inside(start, end)}
        for stroke in self.strokes:
            if stroke.opening is None or stroke.opening in whole:
                yield from stroke.within(start, end)

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


def marks_of(
    design: Design,
    strip: Strip,
    choices: PaperChoices,
    joints: Sequence[float] = (),
    begun: Mapping[int, float] = {},
) -> Marks:
    """All marks of a strip; ``joints`` (mm) are where it will be cut into pieces.

    ``begun`` (m) is the bit to begin a hole with, by its index.
    """
    return _Marker(design, strip, choices, joints, begun).marks()


class _Marker:
    """One set of marks while it is made."""

    def __init__(
        self,
        design: Design,
        strip: Strip,
        choices: PaperChoices,
        joints: Sequence[float],
        begun: Mapping[int, float],
    ) -> None:
        self.design, self.strip, self.choices, self.joints = design, strip, choices, joints
        self.begun = begun
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
        for place, opening in enumerate(self.strip.openings):
            self._opening(place, opening)
        self._along()
        for place, joint in enumerate(self.joints):
            self._joint(joint, chr(ord("A") + place % 26))
        self._ends()
        words, self.made.crowded = labels(
            self.design, self.choices, self.strip.openings, self.room, self.begun
        )
        self.made.words += words
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

    def _opening(self, place: int, opening: Opening) -> None:
        look: Look = "mouth"
        if opening.hole is not None:
            look = "drilled" if self.design.holes[opening.hole].drilled else "hole"
        self._add(Stroke.of(look, opening.u, opening.v, closed=not opening.open, opening=place))
        if opening.hole is not None and opening.hole in self.begun and look == "hole":
            self._begin(place, self.begun[opening.hole], opening.hole)
        u0, v0, u1, v1 = (side * 1e3 for side in opening.box)
        self.room.take([(u0, v0, u1, v1)])
        if opening.hole is not None or self.design.instrument.mouth == "transverse":
            u, v = (side * 1e3 for side in opening.middle)
            arms = (((u0 - ARM, v), (u1 + ARM, v)), ((u, v0 - ARM), (u, v1 + ARM)))
            self._add(*(Stroke("cross", arm, opening=place) for arm in arms))

    def _begin(self, place: int, bit: float, index: int) -> None:
        """What the bit cuts that a hole is begun with; it lies within the hole's own outline."""
        hole = self.design.holes[index]
        angle = np.radians(self.strip.side(hole.side))
        u, v = self.strip.outside.drilled(hole.at, float(angle), bit, bit, float(np.radians(hole.slant)))
        self.made.strokes.append(Stroke.of("begin", u, v, closed=True, opening=place))

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
        line = Stroke("joint", ((joint, top), (joint, bottom)))
        self.made.strokes.append(line)
        self._target(joint, front)
        for edge in (top, bottom - TAB * 1e3):
            for share in TARGETS:
                v = front + share * (edge - front)
                box = (joint - REACH, v - REACH, joint + REACH, v + REACH)
                if self.room.free([box], 0.3):
                    self._target(joint, v)
                    self._lettered(joint, v, letter)
                    break
        self.room.take(line.boxes())

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
            self.room.take((u0 - ASIDE, v0, u1 + ASIDE, v1) for u0, v0, u1, v1 in (each.box for each in pair))

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
        self._turned(ZERO_WORDS[self.design.instrument.mouth][:2], float(ring.min()), float(ring.max()), 7.5)
        ring = self.strip.ring(tube.length)[0] * 1e3
        if foot_is_cut(self.design):
            said: tuple[str, ...] = ("foot",)
        elif unblown(self.design):
            said = ("foot: do not cut yet", "foot: not yet")
        else:
            said = ("foot: cut here", "cut here")
        self._turned(said, float(ring.min()), float(ring.max()), 7.5)
        if has_cut_end(self.design) and self.design.tube.chamber is not None:
            beyond = format_length(mouth_side(self.design), self.units)
            near = ZERO_WORDS[self.design.instrument.mouth][1]
            self._level("note", f"← the cut end, {beyond} from the {near}", 0.0, 0.3, 6.5)

    def _level(self, face: Face, text: str, start: float, share: float, size: float) -> bool:
        """A text along the tube, as near as there is room to u = ``start`` and to a share of the way up.

        It stands on one piece; False where there is no room.
        """
        size *= self.scale
        wide = width_of(face, text, size)
        top, bottom = self.made.across(start)
        rows = sorted(np.arange(top, bottom, 1.0), key=lambda v: abs(v - share * top))
        for u in np.arange(start, self.upper.points[-1][0], 4.0):
            for v in rows:
                words = Words(face, text, float(u) + 1.5 + wide / 2, float(v), size)
                if self.room.free([words.box], 1.0):
                    self._write(words)
                    return True
        return False

    def _lines_named(self) -> None:
        """Name of the flute and of the lines, each where there is room."""
        if name := on_one_line(self.design.name, NAME):
            for size in NAMED:
                if self._level("name", name, 12.0, 0.55, size):
                    break
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
