"""One staff along the line, and under every note a column of holes beside the flute they belong to.

Apart from the other plans of a page. The flute stands once at the left of each line; the columns repeat its
holes only, so that many notes go on a line. A thin line parts the hands all along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scaledesign.model.pitch import Note
from scaledesign.paper.chart.content import HANDS, Hand
from scaledesign.paper.chart.drawn_holes import RING, DrawnFlute, drawn_flute, hole_marks, tube_marks
from scaledesign.paper.chart.flow import Piece, Size
from scaledesign.paper.chart.headings import heading
from scaledesign.paper.chart.marks import GREY, HEAD, PALE, POINT, Mark, Outline, Text, joint, level, moved
from scaledesign.paper.chart.setting import (
    HEAD_ROOM,
    LEAST,
    Fingered,
    Section,
    Setting,
    breath_signs,
    fingered,
)
from scaledesign.paper.engraving import CLEF_ROOM, STAFF, Frame
from scaledesign.values import dataclass

GAP = 3.2
"""mm from the flute at the left to the first column."""
PIECE = 6.0
"""Spaces that a note and its accidental take on the staff, about the note's middle."""
FITTINGS = 4
"""Times that columns are made narrower for a last note that stands far to the right in its own."""
AWAY = 0.3
"""mm from an arrow to what it points at."""


@dataclass(frozen=True, slots=True)
class _Measures:
    """Of one try, mm."""

    gutter: float
    """At the left, for the flute and its words."""
    column: float
    unit: float
    flute: DrawnFlute


def most_unit(setting: Setting, most: int) -> float:
    """How large the chart can be with up to ``most`` columns on a line."""
    words, flute = _gutter(setting)
    return (setting.width - words) / (_used(setting, most) * setting.style.column + flute)


def along(setting: Setting, size: Size) -> tuple[Piece, ...]:
    """The chart in lines of columns as wide as the page lets them be."""
    unit = size.unit
    flute = drawn_flute(
        setting.chart.holes,
        setting.chart.mouth,
        width=setting.style.tube * unit,
        span=size.span,
        head=HEAD_ROOM[setting.chart.mouth] * unit,
        tail=4.0 * unit,
    )
    words, place = _gutter(setting)
    gutter = words + place * unit
    room = setting.width - gutter
    column = min(room / _used(setting, size.most), 1.9 * setting.style.column * unit)
    measures = _Measures(gutter, column, unit, flute)
    for _ in range(FITTINGS):
        over = max(_axis(measures) + min(PIECE * _space(unit), column) / 2 - measures.column, 0.0)
        column = min(column, (room - over) / _used(setting, size.most))
        measures = replace(measures, column=column)
    made = []
    for section in setting.sections():
        made.append(heading(setting, section))
        made += [_line(setting, measures, line) for line in _lines(setting, section, size.most)]
    return tuple(made)


def _gutter(setting: Setting) -> tuple[float, float]:
    """mm at the left of the columns: for words, and for the flute where everything is as large as it says."""
    thumb = any(hole.behind for hole in setting.chart.holes)
    return 8.8 * setting.print_size + GAP, setting.style.tube + (5.5 if thumb else 0.0)


def _used(setting: Setting, most: int) -> int:
    """Columns on the fullest line."""
    lines = [line for section in setting.sections() for line in _lines(setting, section, most)]
    return max(map(len, lines), default=most)


def _lines(setting: Setting, section: Section, count: int) -> list[list[Fingered]]:
    """Columns line by line, about as many in each; ways and trills stay together."""
    return setting.once((section.title, count), lambda: _broken(section, count))


def _broken(section: Section, count: int) -> list[list[Fingered]]:
    groups = [fingered(card) for card in section.cards]
    lines_wanted = max(1, -(-sum(map(len, groups)) // count))
    while True:
        aim = -(-sum(map(len, groups)) // lines_wanted)
        lines: list[list[Fingered]] = [[]]
        for group in groups:
            if lines[-1] and len(lines[-1]) + len(group) > aim and len(lines) < lines_wanted:
                lines.append([])
            lines[-1] += group
        if all(len(line) <= count for line in lines) or lines_wanted >= len(groups):
            return lines
        lines_wanted += 1


def _line(setting: Setting, m: _Measures, line: Sequence[Fingered]) -> Piece:
    style, unit = setting.style, m.unit
    frame = setting.frame([column.note for column in line if column.note])
    space = _space(unit)
    name = frame.height * space + style.name * unit * POINT * 0.95
    top = name + 3.0 * unit

    def draw() -> tuple[Mark, ...]:
        marks = [*_lines_of_staff(setting, m, frame, space, len(line)), *moved(_beside(setting, m), 0, top)]
        before: list[Note] = []
        wide = min(PIECE * space, m.column)
        for i, column in enumerate(line):
            x = m.gutter + i * m.column
            axis = x + _axis(m)
            if column.note:
                marks.append(
                    setting.staff(
                        frame, [column.note], axis - wide / 2, 0, space, wide,
                        clef=False, lines=False, before=before,
                    )
                )  # fmt: skip
                before.append(column.note)
                marks.append(
                    Text(axis, name, setting.name(column.note), style.name * unit, "center", m.column * 0.94,
                         bold=column.bold, small=setting.octave(column.note), after=column.after)
                )  # fmt: skip
            else:
                marks += _other_way(m, column, x, name, style.name * unit * 0.8)
            marks += _holes(setting, m, column, axis, top)
        if m.flute.band is not None:
            rule = ((0.0, 0.0), (len(line) * m.column, 0.0))
            marks.append(Outline(m.gutter, top + m.flute.band, rule, 0.2, PALE))
        return tuple(marks)

    return Piece(top + m.flute.length + 4.0 * unit, draw)


def _lines_of_staff(setting: Setting, m: _Measures, frame: Frame, space: float, many: int) -> list[Mark]:
    """Clef, five lines and the line that ends them."""
    end = m.gutter + many * m.column
    begin = m.gutter - CLEF_ROOM * space
    top = frame.above * space
    bar = Outline(end, top, ((0.0, -0.05 * space), (0.0, (STAFF + 0.05) * space)), 0.16 * space)
    clef = setting.staff(frame, [], begin, 0, space, CLEF_ROOM * space, lines=False)
    return [*(level(begin, top + i * space, end - begin, 0.1 * space) for i in range(5)), bar, clef]


def _space(unit: float) -> float:
    """mm between two lines of the staff."""
    return min(1.45 * unit, 2.2)


def _axis(m: _Measures) -> float:
    """Where in its column the holes stand: in the middle, unless a thumb hole needs room at the left."""
    holes = m.flute.holes
    left = max((hole.half_across - hole.across + 0.8 for hole in holes), default=0.0)
    return max(m.column / 2, min(left + 0.6, m.column - 2.2 * m.unit))


def _holes(setting: Setting, m: _Measures, column: Fingered, axis: float, top: float) -> list[Mark]:
    flute, pen = m.flute, setting.style.pen
    ends = [hole.along for hole in flute.holes if not hole.behind] or [0.0]
    line = Outline(axis, top + min(ends), ((0.0, 0.0), (0.0, max(ends) - min(ends))), 0.25, PALE)
    marks: list[Mark] = [line, *moved(hole_marks(flute, column.states, pen), axis, top)]
    tip = top + min((hole.along - hole.half_along for hole in flute.holes), default=0.0) - 1.2 * m.unit
    marks += breath_signs(axis, tip, 2.4 * m.unit, column.register - 1, pen.hole)
    for hole, joined in zip(flute.holes, column.joined, strict=False):
        if joined:
            start, stop = (_side(flute, hole.along, side) for side in (1, -1))
            y = top + hole.along
            marks += joint(axis - m.column + start + AWAY, y, axis + stop - AWAY, y)
    return marks


def _side(flute: DrawnFlute, along: float, side: int) -> float:
    """How far the holes of a column reach to the right (1) or to the left (-1), where an arrow comes."""
    reaches = [
        side * hole.across + hole.half_across + (RING if hole.behind else 0.0)
        for hole in flute.holes
        if abs(hole.along - along) < hole.half_along + (RING if hole.behind else 0.0) + HEAD / 2
    ]
    return side * max(reaches)


def _other_way(m: _Measures, way: Fingered, x: float, name: float, size: float) -> list[Mark]:
    """In place of a name: or, and how it is blown where that is otherwise, as broad as the column."""
    if not way.blown:
        return [Text(x + _axis(m), name, "or", size, "center", italic=True, tone=GREY, after=way.after)]
    blown, how = way.blown.split(" ", 1)
    small, middle, room = max(size * 0.7, LEAST), x + m.column / 2, m.column * 0.96
    return [
        Text(middle, name, f"or, {blown}", small, "center", room, italic=True, tone=GREY),
        Text(
            middle, name + small * POINT, how, small, "center", room, italic=True, tone=GREY, after=way.after
        ),
    ]


def _beside(setting: Setting, m: _Measures) -> tuple[Mark, ...]:
    """The flute at the left, with its hands."""
    flute, pen, size = m.flute, setting.style.pen, 8.0 * setting.print_size
    axis = m.gutter - flute.width / 2 - GAP
    marks: list[Mark] = list(moved(tube_marks(flute, pen), axis, 0))
    marks += moved(hole_marks(flute, ["O"] * len(flute.holes), pen), axis, 0)
    for hand, words in HANDS.items():
        marks += _hand(setting, flute, hand, words, axis - flute.width / 2 - 1.2, size)
    return tuple(marks)


def _hand(
    setting: Setting, flute: DrawnFlute, hand: Hand, words: str, edge: float, size: float
) -> list[Mark]:
    own = [
        d for h, d in zip(setting.chart.holes, flute.holes, strict=True) if h.hand == hand and not h.behind
    ]
    if not own:
        return []
    start = min(d.along - d.half_along for d in own)
    end = max(d.along + d.half_along for d in own)
    bracket = Outline(
        edge, start, ((0.8, 0.0), (0.0, 0.0), (0.0, end - start), (0.8, end - start)), 0.2, GREY
    )
    first, second = words.split()
    middle = (start + end) / 2
    return [
        bracket,
        Text(edge - 1.0, middle - 0.3, first, size, "right", italic=True, tone=GREY),
        Text(edge - 1.0, middle + size * POINT - 0.3, second, size, "right", italic=True, tone=GREY),
    ]
