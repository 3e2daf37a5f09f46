"""A card for every note: its staff, its name, and under them the flute upright with its holes.

Apart from the other plans of a page. The page is a grid of equal columns; another way to finger a note takes
the next column, with "or" where the name would be, and a trill takes two whose moving holes are joined.
"""

from __future__ import annotations

from collections.abc import Sequence

from scaledesign.model.document import HoleState
from scaledesign.model.pitch import Note
from scaledesign.paper.chart.content import ChartNote, ChartTrill
from scaledesign.paper.chart.drawn_holes import DrawnFlute, Pen, drawn_flute, hole_marks, tube_marks
from scaledesign.paper.chart.flow import Piece, Size
from scaledesign.paper.chart.headings import heading
from scaledesign.paper.chart.marks import GREY, POINT, Mark, Outline, Text, joint, moved
from scaledesign.paper.chart.setting import (
    HEAD_ROOM,
    LEAST,
    Fingered,
    Section,
    Setting,
    breath_signs,
    fingered,
)
from scaledesign.paper.chart.styles import Style
from scaledesign.paper.engraving import Frame
from scaledesign.values import dataclass

PIECE = 12.0
"""Width of a staff piece in spaces."""
STAFF = 0.84
"""Width of a staff piece, of its column, at most."""
APART = 0.45
"""From the middle of a trill to each of its flutes, of a column."""
AWAY = 0.6
"""mm from an arrow to what it points at."""


@dataclass(frozen=True, slots=True)
class _Grid:
    """Measures of one try, mm."""

    column: float
    unit: float
    flute: DrawnFlute

    @property
    def piece(self) -> float:
        """Width of a staff piece."""
        return min(STAFF * self.column, 23.0 * self.unit)


def most_unit(setting: Setting, most: int) -> float:
    """How large the chart can be with up to ``most`` columns on a line."""
    return setting.width / _used(setting, most) / setting.style.column


def cards(setting: Setting, size: Size) -> tuple[Piece, ...]:
    """The chart in equal columns, as wide as the page lets them be."""
    style, unit = setting.style, size.unit
    head = HEAD_ROOM[setting.chart.mouth]
    flute = drawn_flute(
        setting.chart.holes,
        setting.chart.mouth,
        width=style.tube * unit,
        span=size.span,
        head=head * unit * style.tube / 6.4,
        tail=4.0 * unit * style.tube / 6.4,
    )
    column = setting.width / _used(setting, size.most)
    grid = _Grid(column, unit, flute)
    made = []
    for section in setting.sections():
        made.append(heading(setting, section))
        made += [_line(setting, grid, section, line) for line in _lines(setting, section, size.most)]
    return tuple(made)


def _used(setting: Setting, most: int) -> int:
    """Columns on the fullest line."""
    lines = [line for section in setting.sections() for line in _lines(setting, section, most)]
    return max((sum(map(columns_of, line)) for line in lines), default=most)


Card = ChartNote | ChartTrill


def columns_of(card: Card) -> int:
    """How many columns a card takes."""
    return len(card.ways) if isinstance(card, ChartNote) else 2


def _lines(setting: Setting, section: Section, most: int) -> list[list[Card]]:
    """Cards line by line, about as many columns in each."""
    return setting.once((section.title, most), lambda: _broken(section, most))


def _broken(section: Section, most: int) -> list[list[Card]]:
    every = section.cards
    total = sum(map(columns_of, every))
    count = max(1, -(-total // most))
    while True:
        aim = -(-total // count)
        lines: list[list[Card]] = [[]]
        for card in every:
            used = sum(map(columns_of, lines[-1]))
            if lines[-1] and used + columns_of(card) > aim and len(lines) < count:
                lines.append([])
            lines[-1].append(card)
        if all(sum(map(columns_of, line)) <= most or len(line) == 1 for line in lines):
            return lines
        count += 1


def _line(setting: Setting, grid: _Grid, section: Section, line: Sequence[Card]) -> Piece:
    """A line of cards."""
    unit, style = grid.unit, setting.style
    frame = setting.frame([note for card in line for note in _heads(card)])
    staff = frame.height * grid.piece / PIECE
    name = staff + style.name * unit * POINT * 0.95
    top = name + (5.4 if section.overblown else 3.4) * unit
    height = top + grid.flute.length

    def draw() -> tuple[Mark, ...]:
        marks: list[Mark] = []
        place = 0
        for card in line:
            x = place * grid.column
            many = columns_of(card)
            if style.boxed:
                marks.append(_frame(x, many * grid.column, height + 5.0))
            if isinstance(card, ChartNote):
                marks += _note(setting, grid, frame, card, x, name, top)
            else:
                marks += _trill(setting, grid, frame, card, x, name, top)
            place += many
        return moved(marks, 0, 2.5 if style.boxed else 0.0)

    return Piece(height + (9.0 if style.boxed else 5.5 * unit), draw)


def _heads(card: Card) -> tuple[Note, ...]:
    return (card.note,) if isinstance(card, ChartNote) else (card.low, card.high)


def _frame(x: float, width: float, height: float) -> Mark:
    corners = ((0.0, 0.0), (width - 2.0, 0.0), (width - 2.0, height), (0.0, height))
    return Outline(x + 1.0, -2.5, corners, 0.35, closed=True)


def _note(
    setting: Setting, grid: _Grid, frame: Frame, card: ChartNote, x: float, name: float, top: float
) -> list[Mark]:
    style, unit, column, flute = setting.style, grid.unit, grid.column, grid.flute
    middle = x + column / 2
    space = grid.piece / PIECE
    marks: list[Mark] = [setting.staff(frame, [card.note], middle - grid.piece / 2, 0, space, grid.piece)]
    for i, way in enumerate(fingered(card)):
        axis = middle + i * column
        if way.note:
            marks.append(
                Text(
                    axis, name, setting.name(way.note), style.name * unit, "center", column * 0.92,
                    bold=way.bold, small=setting.octave(way.note), after=way.after,
                )
            )  # fmt: skip
        else:
            marks += _other_way(way, axis, name, style.name * unit, column)
        marks += moved(_drawn(flute, way.states, style.pen), axis + _shift(style, flute, column), top)
        marks += breath_signs(
            axis + _shift(style, flute, column),
            top - 0.9 * unit,
            2.6 * unit,
            way.register - 1,
            style.pen.hole,
        )
    return marks


def _other_way(way: Fingered, axis: float, name: float, size: float, column: float) -> list[Mark]:
    """In place of a name: or, and how it is blown where that is otherwise."""
    if not way.blown:
        return [Text(axis, name, "or", size * 0.75, "center", italic=True, tone=GREY, after=way.after)]
    small = max(size * 0.6, LEAST)
    return [
        Text(axis, name - small * POINT * 1.15, "or,", size * 0.75, "center", italic=True, tone=GREY),
        Text(axis, name, way.blown, small, "center", column * 0.84, italic=True, tone=GREY, after=way.after),
    ]


def _trill(
    setting: Setting, grid: _Grid, frame: Frame, card: ChartTrill, x: float, name: float, top: float
) -> list[Mark]:
    style, unit, column, flute = setting.style, grid.unit, grid.column, grid.flute
    middle, space = x + column, grid.piece / PIECE
    width = grid.piece * 1.25
    marks: list[Mark] = [setting.staff(frame, [card.low, card.high], middle - width / 2, 0, space, width)]
    text = f"{setting.name(card.low)} – {setting.name(card.high)}"
    marks.append(Text(middle, name, text, style.name * unit, "center", column * 1.8))
    axes = (
        middle - column * APART + _shift(style, flute, column),
        middle + column * APART + _shift(style, flute, column),
    )
    for hole, drawn in zip(setting.chart.holes, flute.holes, strict=True):
        if hole.finger in card.moving:
            y = top + drawn.along
            start = axes[0] + flute.width / 2 + AWAY
            marks += joint(start, y, axes[1] - flute.reach(drawn.along) - AWAY, y)
    for axis, states in zip(axes, (card.low_states, card.high_states), strict=True):
        marks += moved(_drawn(flute, states, style.pen), axis, top)
        marks += breath_signs(axis, top - 0.9 * unit, 2.6 * unit, card.register - 1, style.pen.hole)
    return marks


def _drawn(flute: DrawnFlute, states: Sequence[HoleState], pen: Pen) -> tuple[Mark, ...]:
    return (*tube_marks(flute, pen), *hole_marks(flute, states, pen))


def _shift(style: Style, flute: DrawnFlute, column: float) -> float:
    """How far the tube stands to the right of the middle, for a thumb hole at its left.

    In a frame tube and thumb hole stand in the middle together; without one the tube stands under its note,
    no farther to the right than the thumb hole pushes it.
    """
    if style.boxed:
        return flute.beside / 2
    return max(flute.width / 2 + flute.beside + 0.6 - column / 2, 0.0)
