"""What there is to hear of a desk: the rows in hand, the whole scale, what was wanted beside what it plays.

Apart from the sound itself, which knows frequencies only (``sounding``), and from the screen, which knows
when. The score that is written to a file is made elsewhere (``outputs.score``).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from scaledesign.model.spelling import tuner_shows
from scaledesign.view.columns import Sheet
from scaledesign.view.desk import Desk
from scaledesign.view.listing import Tune
from scaledesign.view.row_work import row_number

LONG, SHORT = 1.5, 0.8
"""Seconds of a note alone, and of one among others."""
REST = 0.25
"""Seconds of silence between pairs."""


def of_rows(desk: Desk) -> Tune | str:
    """The selected rows as the flute will play them, or why there is nothing to hear."""
    rows = _selected(desk)
    played = [(row, hertz) for row in rows if (hertz := _sounds(desk.sheet, "frequency", row))]
    if not played:
        return _silent(desk, rows)
    said = f"{_named(desk, [row for row, _ in played])}, as it will play"
    if len(played) == 1:
        said += f": a tuner will show {tuner_shows(desk.design, played[0][1])}"
    return Tune(steps([hertz for _, hertz in played]), f"{said}.")


def of_scale(desk: Desk) -> Tune | str:
    """The rows of the scale from low to high, as the flute will play them, or why there is nothing."""
    rows = [i for i, row in enumerate(desk.design.rows) if row.role == "scale"]
    rows = rows or list(range(len(desk.design.rows)))
    found = sorted(hertz for row in rows if (hertz := _sounds(desk.sheet, "frequency", row)))
    if not found:
        return _silent(desk, rows)
    return Tune(steps(found), f"{len(found)} notes of the scale, as it will play them.")


def of_wanted(desk: Desk) -> Tune | str:
    """Each of the selected rows as it is wanted, then as the flute will play it, or why not."""
    rows, notes, heard = _selected(desk), list[tuple[float, float]](), list[int]()
    for row in rows:
        wanted, plays = (_sounds(desk.sheet, name, row) for name in ("target", "frequency"))
        if wanted and plays:
            heard.append(row)
            notes += [*pair(wanted, plays), (0.0, REST)]
    if not heard:
        return _silent(desk, rows)
    return Tune(tuple(notes[:-1]), f"{_named(desk, heard)}: first as you want it, then as it will play.")


def pair(one: float, other: float) -> tuple[tuple[float, float], ...]:
    """Two pitches (Hz), one after the other."""
    return (one, SHORT), (other, SHORT)


def steps(frequencies: Sequence[float]) -> tuple[tuple[float, float], ...]:
    """Pitches (Hz) one after another; a single one is held longer."""
    each = LONG if len(frequencies) == 1 else SHORT
    return tuple((hertz, each) for hertz in frequencies)


def _selected(desk: Desk) -> list[int]:
    """The rows of the selection; where the row in hand is not among them, that row."""
    chosen, number = desk.selections["rows"].rows, row_number(desk)
    if number is None:
        return []
    return [row for row in chosen if row < len(desk.design.rows)] if number in chosen else [number]


def _sounds(sheet: Sheet, name: str, row: int) -> float:
    """A row's frequency in Hz; 0 where there is none."""
    hertz = sheet.number(name, row)
    return hertz if isfinite(hertz) and hertz > 0 else 0.0


def _named(desk: Desk, rows: Sequence[int]) -> str:
    """Rows in words: one with its note, several by their first and last."""
    notes = [desk.design.rows[row].note for row in rows]
    return (
        f"Row {rows[0] + 1}, {notes[0]}" if len(rows) == 1 else f"{len(rows)} rows, {notes[0]} to {notes[-1]}"
    )


def _silent(desk: Desk, rows: Sequence[int]) -> str:
    if not desk.design.rows:
        return "There are no rows to hear yet."
    if desk.want is not None and desk.sheet.answer.prediction is None:
        return "A moment: the flute is being worked out."
    return f"Row {rows[0] + 1} does not sound." if len(rows) == 1 else "None of these rows sounds."
