"""A card for every note: its staff, its name, and under them the flute upright with its holes.

Apart from the other plans of a page. The page is a grid of equal columns; another way to finger a note takes
the next column, with "or" where the name would be, and a trill takes two whose moving holes are joined.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scaledesign.model.document import HoleState
from scaledesign.paper.chart.content import ChartNote, ChartTrill
from scaledesign.paper.chart.drawn_holes import DrawnFlute, Pen, drawn_flute, hole_marks, tube_marks
from scaledesign.paper.chart.flow import Piece
from scaledesign.paper.chart.headings import heading
from scaledesign.paper.chart.marks import GREY, POINT, Mark, Outline, Text, moved
from scaledesign.paper.chart.setting import Section, Setting, breath_signs, cents

PIECE = 12.0
"""Width of a staff piece in spaces."""
STAFF = 0.9
"""Width of a staff piece, of its column."""


@dataclass(frozen=True, slots=True)
class _Grid:
    """Measures of one try, mm."""

    column: float
    unit: float
    """How much larger than the style's own measures everything is."""
    span: float
    """From the first hole to the last."""


def cards(setting: Setting, count: int, room: float) -> tuple[Piece, ...]:
    """The chart in ``count`` columns; tubes as long as ``room`` mm of a page let them be."""
    column = setting.width / count
    unit = min(column / setting.style.unit, 1.45)
    shortest, longest = 34.0 * unit, 52.0 * unit
    least = _pieces(setting, _Grid(column, unit, shortest))
    lines = sum(not piece.heading for piece in least)
    spare = room - sum(piece.height for piece in least)
    span = min(max(shortest + spare / max(lines, 1), shortest), longest)
    return _pieces(setting, _Grid(column, unit, span))


def _pieces(setting: Setting, grid: _Grid) -> tuple[Piece, ...]:
    made = []
    for section in setting.sections():
        made.append(heading(setting, section))
        made += [_line(setting, grid, section, line) for line in _lines(section, setting, grid)]
    return tuple(made)


Card = ChartNote | ChartTrill


def columns_of(card: Card) -> int:
    """How many columns a card takes."""
    return len(card.ways) if isinstance(card, ChartNote) else 2


def _lines(section: Section, setting: Setting, grid: _Grid) -> list[list[Card]]:
    """Cards line by line, about as many in each."""
    most = round(setting.width / grid.column)
    every: Sequence[Card] = (*section.notes, *section.trills)
    count = max(1, -(-sum(map(columns_of, every)) // most))
    while True:
        aim = -(-sum(map(columns_of, every)) // count)
        lines: list[list[Card]] = [[]]
        for card in every:
            used = sum(map(columns_of, lines[-1]))
            if lines[-1] and used + columns_of(card) > max(aim, 1) and len(lines) < count:
                lines.append([])
            lines[-1].append(card)
        if all(sum(map(columns_of, line)) <= most or len(line) == 1 for line in lines):
            return lines
        count += 1


def _line(setting: Setting, grid: _Grid, section: Section, line: Sequence[Card]) -> Piece:
    """A line of cards."""
    unit, style = grid.unit, setting.style
    flute = drawn_flute(
        setting.chart.holes,
        setting.chart.mouth,
        width=style.tube * unit,
        span=grid.span,
        head=8.0 * unit,
        tail=4.5 * unit,
    )
    space = STAFF * grid.column / PIECE
    staff = setting.frame.height * space
    name = staff + style.name * unit * POINT * 0.95
    top = name + (5.4 if section.overblown else 3.4) * unit
    height = top + flute.length
    marks: list[Mark] = []
    place = 0
    for card in line:
        x = place * grid.column
        many = columns_of(card)
        if style.boxed:
            marks.append(_frame(x, many * grid.column, height + 2.5 * unit))
        if isinstance(card, ChartNote):
            marks += _note(setting, grid, flute, card, x, name, top)
        else:
            marks += _trill(setting, grid, flute, card, x, name, top)
        place += many
    return Piece(height + 7.0 * unit, tuple(marks))


def _frame(x: float, width: float, height: float) -> Mark:
    corners = ((0.0, 0.0), (width - 2.0, 0.0), (width - 2.0, height), (0.0, height))
    return Outline(x + 1.0, -1.0, corners, 0.35, closed=True)


def _note(
    setting: Setting, grid: _Grid, flute: DrawnFlute, card: ChartNote, x: float, name: float, top: float
) -> list[Mark]:
    style, unit, column = setting.style, grid.unit, grid.column
    middle = x + column / 2
    space = STAFF * column / PIECE
    marks: list[Mark] = [setting.staff([card.note], middle - STAFF * column / 2, 0, space, STAFF * column)]
    marks.append(
        Text(
            middle, name, setting.name(card.note), style.name * unit, "center", column * 0.92,
            bold=card.role == "scale", small=setting.octave(card.note), after=cents(card),
        )
    )  # fmt: skip
    for i, way in enumerate(card.ways):
        axis = middle + i * column
        if i:
            marks.append(Text(axis, name, "or", style.name * unit * 0.75, "center", italic=True, tone=GREY))
        marks += moved(_fingered(flute, way.states, style.pen), axis + _shift(flute), top)
        marks += breath_signs(
            axis + _shift(flute), top - 0.9 * unit, 2.6 * unit, way.register - 1, style.pen.hole
        )
    return marks


def _trill(
    setting: Setting, grid: _Grid, flute: DrawnFlute, card: ChartTrill, x: float, name: float, top: float
) -> list[Mark]:
    style, unit, column = setting.style, grid.unit, grid.column
    middle, space = x + column, STAFF * column / PIECE
    width = STAFF * column * 1.25
    marks: list[Mark] = [setting.staff([card.low, card.high], middle - width / 2, 0, space, width)]
    text = f"{setting.name(card.low)} – {setting.name(card.high)}"
    marks.append(Text(middle, name, text, style.name * unit, "center", column * 1.8))
    axes = (middle - column * 0.36 + _shift(flute), middle + column * 0.36 + _shift(flute))
    for axis, states in zip(axes, (card.low_states, card.high_states), strict=True):
        marks += moved(_fingered(flute, states, style.pen), axis, top)
        marks += breath_signs(axis, top - 0.9 * unit, 2.6 * unit, card.register - 1, style.pen.hole)
    for hole, drawn in zip(setting.chart.holes, flute.holes, strict=True):
        if hole.finger in card.moving:
            start = axes[0] + drawn.across + drawn.half_across + 0.6
            end = axes[1] + drawn.across - drawn.half_across - (1.5 if drawn.behind else 0.6)
            marks += _joined(start, end, top + drawn.along)
    return marks


def _joined(start: float, end: float, y: float) -> list[Mark]:
    """A thin double arrow."""
    tip = 0.9
    return [
        Outline(start, y, ((0.0, 0.0), (end - start, 0.0)), 0.2, GREY),
        Outline(start, y, ((tip, -tip * 0.6), (0.0, 0.0), (tip, tip * 0.6)), 0.2, GREY),
        Outline(end, y, ((-tip, -tip * 0.6), (0.0, 0.0), (-tip, tip * 0.6)), 0.2, GREY),
    ]


def _fingered(flute: DrawnFlute, states: Sequence[HoleState], pen: Pen) -> tuple[Mark, ...]:
    return (*tube_marks(flute, pen), *hole_marks(flute, states, pen))


def _shift(flute: DrawnFlute) -> float:
    """How far the tube stands to the right of the middle, so that it and the thumb hole stand about it."""
    return flute.beside * 0.35
