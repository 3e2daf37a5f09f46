"""The flute lying along x, to scale, with a fingering on its holes and the hands beside it.

Apart from its wood (``flute_body``), which a fingering does not change, and from the plots. Nothing is
computed here but places: what is tuned, safe or within reach is said elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence

from scaledesign.model.document import Design, HoleState
from scaledesign.model.units import format_length
from scaledesign.view.canvas import Canvas
from scaledesign.view.flute_body import (
    Frame,
    Rows,
    draw_body,
    embouchure_length,
    frame_of,
    pieces_of,
    rows_of,
)
from scaledesign.view.lines import Line, Signs, Tone

HANDS = ({"L": "upper hand", "R": "lower hand"}, {"L": "upper", "R": "lower"})
"""Whichever hand a player puts there; the longer form where it fits."""
CORNERS = ("╭", "╮")
BACK: dict[HoleState, str] = {"X": "█", "O": "▁", "H": "▄"}
"""A cell of a hole in the lower wall."""


def flute_lines(
    design: Design,
    signs: Signs,
    width: int,
    height: int,
    *,
    states: Sequence[HoleState] = (),
    hole: int | None = None,
    moved: Sequence[int] = (),
    planned: Sequence[int] = (),
) -> tuple[Line, ...]:
    """The flute drawn to scale along x, mouth to the left.

    Parameters
    ----------
    design : Design
    signs : Signs
    width, height : cells and lines; 3 to 8 lines are put to use
    states : one state a fingered hole, in the order of the holes; what is missing is open
    hole : index of the hole that stands out, or None
    moved : indices of the holes that the last edit moved
    planned : indices of the holes that are not drilled yet, where that matters

    Returns
    -------
    ``height`` lines of ``width`` cells.
    """
    canvas = Canvas(width, height)
    if canvas.width and canvas.height:
        _Picture(design, signs, canvas, states, hole, frozenset(moved), frozenset(planned)).draw()
    return canvas.lines()


class _Picture:
    """One drawing while it is made."""

    def __init__(
        self,
        design: Design,
        signs: Signs,
        canvas: Canvas,
        states: Sequence[HoleState],
        chosen: int | None,
        moved: frozenset[int],
        planned: frozenset[int],
    ) -> None:
        self.design, self.signs, self.canvas = design, signs, canvas
        self.chosen, self.moved, self.planned = chosen, moved, planned
        self.states: list[HoleState] = ["O"] * len(design.holes)
        for index, state in zip(design.fingered(), states, strict=False):
            self.states[index] = state
        self.rows: Rows = rows_of(canvas.height)
        self.pieces = pieces_of(signs, self.rows)
        self.frame: Frame = frame_of(design, canvas.width)

    def draw(self) -> None:
        """Wood, holes, then what is written where there is room."""
        draw_body(self.canvas, self.design, self.signs, self.rows, self.frame)
        if self.design.instrument.mouth == "transverse":
            self._front(0.0, embouchure_length(self.design), "O", "wood")
        count = len(self.design.holes)
        for index in sorted(range(count), key=lambda i: (i == self.chosen, i in self.moved, i)):
            self._hole(index)
        self._measure()
        self._names()
        self._length()

    # holes

    def _back(self, index: int) -> bool:
        return 90.0 < self.design.holes[index].side % 360.0 < 270.0

    def _tone(self, index: int, usual: Tone) -> Tone:
        if index == self.chosen:
            return "strong"
        return "moved" if index in self.moved else usual

    def _hole(self, index: int) -> None:
        hole, state = self.design.holes[index], self.states[index]
        tone = self._tone(index, "plain" if state == "O" else "finger")
        if index in self.planned:
            row = self.rows.axis if not self._back(index) or self.rows.bottom is None else self.rows.bottom
            self.canvas.put(row, round(self.frame.cell(hole.at) - 0.5), self.signs.point, tone)
            return
        if self._back(index) and self.rows.bottom is not None:
            self._whole(hole.at, hole.diameter, state, self.rows.bottom, tone)
        else:
            self._front(hole.at, hole.diameter, state, tone)

    def _whole(self, at: float, diameter: float, state: HoleState, row: int, tone: Tone) -> None:
        """A hole in whole cells: one in the lower wall, and every one where there are no half blocks."""
        count = max(1, round(diameter * self.frame.scale))
        first = round(self.frame.cell(at) - count / 2)
        if self.signs.parts:
            text = BACK[state] * count
        else:
            sign = self.signs.state(state)
            text = sign * count if count < 3 else f"({(' ' if state == 'O' else sign) * (count - 2)})"
        self.canvas.put(row, first, text, tone)

    def _front(self, at: float, diameter: float, state: HoleState, tone: Tone) -> None:
        """A hole in the upper wall, seen from above, to half a cell: filled, hollow, or half filled."""
        row, put = self.rows.axis, self.canvas.put
        if not self.signs.parts:
            self._whole(at, diameter, state, row, tone)
            return
        halves = max(2, round(2 * diameter * self.frame.scale))
        start = round(2 * self.frame.cell(at) - halves / 2)
        stop = start + halves
        filled = start + {"X": halves, "H": halves // 2, "O": 0}[state]
        first, last = (start + 1) // 2, stop // 2
        put(row, first, " " * (last - first), tone)
        if state == "O":
            put(row, *((start // 2, "│") if start % 2 else (start // 2 - 1, "▕")), tone)
        if state != "X":
            put(row, stop // 2, "│" if stop % 2 else "▏", tone)
        if filled > start:
            put(row, first, "█" * (filled // 2 - first), tone)
            if start % 2:
                put(row, start // 2, "▐", tone)
            if filled % 2:
                put(row, filled // 2, "▌", tone)
        if len(self.rows.middle) > 1:
            put(row - 1, first, "▁" * (last - first), tone)
            put(row + 1, first, "▔" * (last - first), tone)

    # what is written

    def _names(self) -> None:
        rows, holes = self.rows, self.design.holes
        if rows.names is None:
            return
        ends: dict[str, list[int]] = {"L": [], "R": []}
        named = (i for i in self.design.fingered() if not (self._back(i) and rows.notes == rows.bottom))
        for index in sorted(named, key=lambda i: (i != self.chosen, self._back(i), i)):
            name = holes[index].finger
            row = rows.notes if self._back(index) and rows.notes is not None else rows.names
            start = self._label(row, self.frame.cell(holes[index].at), name, self._tone(index, "label"))
            if start is not None and not self._back(index):
                ends[name[0]] += [start, start + len(name)]
        spans = {hand: (min(cells), max(cells)) for hand, cells in ends.items() if len(cells) > 2}
        if rows.hands is not None:
            self._brackets(rows.hands, spans)
        else:
            for start, stop in spans.values():
                self._rule(rows.names, start, stop)

    def _label(self, row: int, centre: float, text: str, tone: Tone) -> int | None:
        """Write ``text`` about a place unless it would touch another; its first cell, or None.

        It may lie on a wall or on a measuring line.
        """
        canvas, pieces = self.canvas, self.pieces
        if not 0 <= centre <= canvas.width:
            return None
        start = min(max(0, round(centre - len(text) / 2)), canvas.width - len(text))
        around = range(max(0, start - 1), min(canvas.width, start + len(text) + 1))
        wall = row == self.rows.bottom
        over = pieces.bottom + pieces.solid if wall else self.signs.across + pieces.measured
        if start < 0 or any(canvas.at(row, column) not in over + " " for column in around):
            return None
        if not wall:
            canvas.put(row, around.start, " " * len(around))
        canvas.put(row, start, text, tone)
        return start

    def _rule(self, row: int, start: int, stop: int) -> None:
        """A level line through what is blank."""
        for column in range(start, stop):
            if self.canvas.at(row, column) == " ":
                self.canvas.put(row, column, self.signs.across, "faint")

    def _brackets(self, row: int, spans: dict[str, tuple[int, int]]) -> None:
        """A bracket over each hand, with its name if every bracket has room for one."""
        left, right = CORNERS if self.signs.parts else ("+", "+")
        shortest = min((stop - start for start, stop in spans.values()), default=0)
        words = next((form for form in HANDS if shortest >= len(form["L"]) + 4), None)
        for hand, (start, stop) in spans.items():
            if not self.canvas.free(row, start, stop):
                continue
            self.canvas.put(row, start, left + self.signs.across * (stop - start - 2) + right, "faint")
            if words:
                text = f" {words[hand]} "
                self.canvas.put(row, (start + stop - len(text)) // 2, text, "label")

    def _measure(self) -> None:
        """A line from the sounding edge to the foot, where it has a line of the picture to itself."""
        row, frame = self.rows.notes, self.frame
        if row is not None and row != self.rows.names:
            self._rule(row, frame.head, frame.foot)
            self.canvas.put(row, frame.head, self.pieces.measured, "faint")

    def _length(self) -> None:
        """The length at the foot, and beyond it what is cut off."""
        row, tube, units, foot = self.rows.notes, self.design.tube, self.design.units, self.frame.foot
        if row is None:
            return
        end = {self.rows.names: foot + 1, self.rows.bottom: foot - 1}
        text = format_length(tube.length, units)
        self._label(row, end.get(row, foot) - len(text) / 2, text, "label")
        if tube.blank is not None and self.frame.waste:
            off = f"{format_length(tube.blank - tube.length, units)} off"
            if len(off) < self.frame.waste:
                self._label(row, (foot + 1 + self.canvas.width) / 2, off, "faint")
