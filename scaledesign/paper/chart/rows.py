"""A line for every note: its name, its staff, and the flute lying as it is held, mouth to the left.

Apart from the other plans of a page. Another way to finger a note takes the next line, with "or" where the
name would be.
"""

from __future__ import annotations

from scaledesign.paper.chart.drawn_holes import (
    BESIDE,
    BROADEST,
    RING,
    DrawnFlute,
    drawn_flute,
    hole_marks,
    tube_marks,
)
from scaledesign.paper.chart.flow import Piece, Size
from scaledesign.paper.chart.headings import heading
from scaledesign.paper.chart.marks import GREY, PALE, POINT, Mark, Text, joint, level, moved
from scaledesign.paper.chart.setting import Fingered, Setting, breath_signs, fingered

MOST_SPACE = 1.9
"""mm between two lines of a staff, at most."""
LEAST_SPACE = 1.2
"""mm, at least: smaller heads are not read from where a page hangs (common practice, no source)."""
NAME, STAFF = 0.155, 0.19
"""Shares of the width for the name and for the staff."""
AWAY = 0.4
"""mm from an arrow to what it points at."""
THUMB = 1.35
"""How much taller a line is where a hole is on the far side."""


def most_unit(setting: Setting, most: int) -> float:
    """A line is as broad as the page: any size will do."""
    return setting.style.large[1]


def rows(setting: Setting, size: Size) -> tuple[Piece, ...]:
    """The chart line by line."""
    thumb = any(hole.behind for hole in setting.chart.holes)
    sections = setting.sections()
    parts = [[line for card in s.cards for line in fingered(card)] for s in sections]
    high = max(setting.frame([line.note]).height for lines in parts for line in lines if line.note)
    tall = setting.style.column * size.unit * (THUMB if thumb else 1.0)
    tall = max(tall, LEAST_SPACE * setting.print_size * high + 0.6)
    flute = _flute(setting, tall, thumb)
    space = min(MOST_SPACE * setting.print_size, (tall - 0.6) / high)
    made = []
    for section, lines in zip(sections, parts, strict=True):
        made.append(heading(setting, section))
        for i, line in enumerate(lines):
            again = i + 1 < len(lines) and (not lines[i + 1].note or bool(lines[i + 1].joined))
            made.append(_piece(setting, flute, space, tall, line, again))
        made.append(Piece(2.0, tuple))
    return tuple(made[:-1])


def _flute(setting: Setting, tall: float, thumb: bool) -> DrawnFlute:
    free = tall - 2.6
    if thumb:
        free -= 1.0  # for an arrow from one thumb hole to another
        free = (free - 2 * RING - BESIDE) / (1 + BROADEST)
    width = min(free, setting.style.tube * setting.print_size * 1.2)
    long = setting.width * (1 - NAME - STAFF) - 8.0
    head, tail = 0.16 * long, 0.06 * long
    return drawn_flute(
        setting.chart.holes, setting.chart.mouth, width=width, span=long - head - tail, head=head, tail=tail
    )


def _piece(
    setting: Setting, flute: DrawnFlute, space: float, tall: float, line: Fingered, again: bool
) -> Piece:
    """One line of the page; ``again``: the next one goes on with the same note or trill."""
    return Piece(tall, lambda: _marks(setting, flute, space, tall, line, again), heading=again)


def _marks(
    setting: Setting, flute: DrawnFlute, space: float, tall: float, line: Fingered, again: bool
) -> tuple[Mark, ...]:
    style, wide = setting.style, setting.width
    middle = tall / 2
    pt = min(style.name * setting.print_size, tall / POINT * 0.52)
    base = middle + pt * POINT * 0.33
    marks: list[Mark] = []
    if line.note:
        marks.append(
            Text(1.0, base, setting.name(line.note), pt, room=NAME * wide - 2.0, bold=line.bold,
                 small=setting.octave(line.note), after=line.after)
        )  # fmt: skip
        frame = setting.frame([line.note])
        width = min(STAFF * wide, 17.0 * space)
        y = middle - (frame.above + 2.0) * space
        y = min(max(y, 0.3), tall - frame.height * space - 0.3)
        marks.append(setting.staff(frame, [line.note], NAME * wide, y, space, width))
    else:
        other = f"or, {line.blown}" if line.blown else "or"
        room = (NAME + STAFF) * wide - 8.0
        marks.append(Text(1.0, base, other, pt * 0.75, room=room, italic=True, tone=GREY, after=line.after))
    left = wide - flute.length
    axis = middle - flute.beside / 2
    marks += moved(tube_marks(flute, style.pen, upright=False), left, axis)
    marks += moved(hole_marks(flute, line.states, style.pen, upright=False), left, axis)
    marks += breath_signs(
        left - 1.4, axis, min(flute.width * 0.5, 4.0), line.register - 1, style.pen.hole, upright=False
    )
    if not again:
        marks.append(level(0, tall, wide, 0.15, PALE))
    for hole, joined in zip(flute.holes, line.joined, strict=False):
        if joined:
            x = left + hole.along
            start = axis - tall + flute.reach(hole.along) + AWAY
            marks += joint(x, start, x, axis - flute.width / 2 - AWAY)
    return tuple(marks)
