"""The three pictures of a desk: the flute, how far every row is off, and the sound of the row in hand.

Apart from the drawing of each, which knows no desk. The sound's curve is worked out when the screen asks for
it, not when it is drawn: it costs as much as all the rest.
"""

from __future__ import annotations

from contextlib import suppress

from scaledesign.view import row_work
from scaledesign.view.desk import Desk
from scaledesign.view.error_plot import error_lines
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.holes import has_moved
from scaledesign.view.impedance_plot import impedance_lines
from scaledesign.view.lines import Line, Span
from scaledesign.workshop import sound


def flute(desk: Desk, width: int, height: int) -> tuple[Line, ...]:
    """The flute with the fingering of the row in hand, the hole in hand and the holes that moved."""
    row = row_work.row_at_cursor(desk)
    sheet = desk.sheet
    return flute_lines(
        desk.design,
        desk.signs,
        width,
        height,
        states=row.holes if row else (),
        hole=row_work.hole_at_cursor(desk),
        moved=tuple(i for i in range(len(desk.design.holes)) if has_moved(sheet, i)),
    )


def errors(desk: Desk, width: int, height: int) -> tuple[Line, ...]:
    """How far every row is off, with what blowing the bare tube would leave of its doubt."""
    sheet, rows = desk.sheet, desk.design.rows
    places = range(len(rows))
    return error_lines(
        tuple(row.note for row in rows),
        tuple(sheet.number("cents", i) for i in places),
        tuple(sheet.number("rest", i) for i in places),
        desk.design.tuning.tolerance,
        desk.signs,
        width,
        height,
        selected=min(desk.selections["rows"].row, max(0, len(rows) - 1)),
        roles=tuple(row.role for row in rows),
    )


class Ear:
    """Listens to the row in hand, when told to."""

    def __init__(self) -> None:
        self._curve: tuple[object, sound.Curve | None] | None = None

    def due(self, desk: Desk) -> bool:
        """Whether there is something else to hear than what was heard last, and the engine is done."""
        row = _row_to_hear(desk)
        return row is not None and desk.want is None and (self._curve or (None,))[0] != (desk.design, row)

    def listen(self, desk: Desk) -> None:
        """Work out the curve of the row in hand, or know that it has none."""
        row = _row_to_hear(desk)
        if row is not None:
            playing = desk.sheet.number("frequency", row)
            curve: sound.Curve | None = None
            with suppress(Exception):  # a picture that fails must not take the maker's work with it
                curve = sound.impedance_curve(desk.design, row, playing=playing)
            self._curve = ((desk.design, row), curve)

    def lines(self, desk: Desk, width: int, height: int) -> tuple[Line, ...]:
        """The input impedance of the row in hand, or of the one that was heard last."""
        if _row_to_hear(desk) is None:
            return ((Span("no row to hear", "faint"),),)
        if self._curve is None:
            return ((Span(desk.signs.ellipsis, "faint"),),)
        curve = self._curve[1]
        if curve is None:
            return ((Span("the sound of this row cannot be worked out", "faint"),),)
        reference = desk.design.tuning.reference
        return impedance_lines(curve, desk.signs, width, height, reference=reference)


def _row_to_hear(desk: Desk) -> int | None:
    rows = desk.design.rows
    if not rows or desk.sheet.answer.prediction is None:
        return None
    return min(desk.selections["rows"].row, len(rows) - 1)
