"""The three pictures of a desk: the flute, how far every row is off, and the sound of the row in hand.

Apart from the drawing of each, which knows no desk. The sound's curve is worked out when the screen asks for
it, not when it is drawn: it costs as much as all the rest.
"""

from __future__ import annotations

from contextlib import suppress

from scaledesign.view import error_plot, impedance_plot, row_work
from scaledesign.view.desk import Desk
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.holes import has_moved
from scaledesign.view.lines import Line, Span
from scaledesign.workshop import register_words, registers, sound

TALL = 6
"""Lines of the sound from which one is left for the verdict."""


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
    if sheet.unasked:
        return ()
    places = range(len(rows))
    return error_plot.error_lines(
        tuple(row.note for row in rows),
        tuple(sheet.number("cents", i) for i in places),
        tuple(sheet.number("rest", i) for i in places),
        desk.design.tuning.tolerance,
        desk.signs,
        width,
        height,
        selected=row_work.row_number(desk) or 0,
        roles=tuple(row.role for row in rows),
    )


class Ear:
    """Listens to the row in hand, when told to."""

    def __init__(self) -> None:
        self._heard: tuple[object, tuple[sound.Curve, registers.Played] | None] | None = None

    def due(self, desk: Desk) -> bool:
        """Whether there is something else to hear than what was heard last, and the engine is done."""
        row = _row_to_hear(desk)
        return row is not None and desk.want is None and (self._heard or (None,))[0] != (desk.design, row)

    def listen(self, desk: Desk) -> None:
        """Work out the curve of the row in hand and what its registers are worth, or that it has none."""
        row = _row_to_hear(desk)
        if row is not None:
            playing = desk.sheet.number("frequency", row)
            heard: tuple[sound.Curve, registers.Played] | None = None
            with suppress(Exception):  # a picture that fails must not take the maker's work with it
                curve = sound.impedance_curve(desk.design, row, playing=playing)
                heard = curve, registers.heard(desk.design, row, curve)
            self._heard = ((desk.design, row), heard)

    def lines(self, desk: Desk, width: int, height: int) -> tuple[Line, ...]:
        """Whether the row in hand has its octave, and its input impedance; or those of the one heard last."""
        if desk.sheet.unasked:
            return ()
        if _row_to_hear(desk) is None:
            return ((Span("no row to hear", "faint"),),)
        if self._heard is None:
            return ((Span(desk.signs.ellipsis, "faint"),),)
        if self._heard[1] is None:
            return ((Span("the sound of this row cannot be worked out", "faint"),),)
        curve, played = self._heard[1]
        said = (_verdict(played, width, desk.signs.ellipsis),) if height >= TALL else ()
        return (
            *said,
            *impedance_plot.impedance_lines(curve, desk.signs, width, height - len(said), design=desk.design),
        )


def _verdict(played: registers.Played, width: int, ellipsis: str) -> Line:
    """Whether the octave speaks, or an overblown row itself, with as much more as there is room for."""
    own = 1 if played.row is None else played.row.register
    text, *more = register_words.in_short(played, own)
    for part in more:
        if len(text) + len(part) + 2 <= width:
            text = f"{text}; {part}"
    text = text if len(text) <= width else f"{text[: max(0, width - len(ellipsis))]}{ellipsis}"
    speaks = played.registers[max(own, 2) - 1].speech == "speaks"
    return (Span(text, "plain" if speaks else "reach"),)


def _row_to_hear(desk: Desk) -> int | None:
    return None if desk.sheet.answer.prediction is None else row_work.row_number(desk)
