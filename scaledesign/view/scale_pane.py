"""The scale, a line for each degree: as written, in cents and Hz, and how far off the flute plays it.

Shows and reads cells; what a text means and what an edit does to the rows is ``model/degrees.py``'s. Whole
degrees are put in and taken out in ``scale_edits.py``. Whoever changes one degree of a scale that has a name
has degrees of his own from then on.
"""

from __future__ import annotations

from scaledesign.errors import EditError, QuantityError
from scaledesign.model.degrees import Degree, adding, cents_text, setting
from scaledesign.model.edits import Edit
from scaledesign.model.units import format_number, parse_number
from scaledesign.view.clipboard import plain_cents
from scaledesign.view.columns import Cell, Column, PaneName, Sheet, signed
from scaledesign.view.lines import Span
from scaledesign.view.rows import BAR, off_text, show_off
from scaledesign.view.scale_degrees import scale_of
from scaledesign.workshop import ask

NAME: PaneName = "scale"


def degree_at(sheet: Sheet, row: int) -> Degree | None:
    """The degree on a line; None on one below the last."""
    return sheet.degrees[row] if row < len(sheet.degrees) else None


def row_of(sheet: Sheet, degree: int) -> int | None:
    """The row (0-based) of the grid that tells most of a degree; None where none plays it."""
    return next(iter(sheet.by_degree.get(degree, ())), None)


def _write(sheet: Sheet, row: int, text: str) -> Edit | None:
    """The edit for a degree typed anew; below the last line, for one more."""
    design, scale = sheet.design, ask.scale_of(sheet.design)
    if row > len(scale.cents):
        return adding(design, scale, text) if text.strip() else None
    if not text.strip():
        raise EditError("a degree has a size", "type one, or take the whole degree out with delete row")
    return setting(design, scale, row, text)


def _write_cents(sheet: Sheet, row: int, text: str) -> Edit | None:
    """A bare number is cents; whatever else a degree may be written as will do too."""
    return _write(sheet, row, _bare(plain_cents(text), "c") or text)


def _write_equal(sheet: Sheet, row: int, text: str) -> Edit | None:
    """Cents from equal temperament."""
    now = degree_at(sheet, row)
    number = _bare(plain_cents(text), "")
    if now is None or not number:
        return _write(sheet, row, text)
    return _write(sheet, row, cents_text(round(now.cents - _off_equal(now) + float(number), 6)))


def _write_hertz(sheet: Sheet, row: int, text: str) -> Edit | None:
    """A bare number is Hz."""
    if text.strip() == _hertz_text(sheet, row):
        return None
    return _write(sheet, row, _bare(text, "Hz") or text)


def _bare(text: str, unit: str) -> str:
    """A number without a unit, with the one it is in; '' where it is no such number."""
    if "/" in text:
        return ""
    try:
        return f"{format_number(parse_number(text))} {unit}".strip()
    except QuantityError:
        return ""


def _nudge(sheet: Sheet, row: int, steps: int) -> Edit | None:
    now = degree_at(sheet, row)
    return None if now is None else _write(sheet, row, cents_text(round(now.cents + steps, 6)))


def _off_equal(degree: Degree) -> float:
    """Cents from equal temperament: from the note that a degree is written as, else from the nearest."""
    return degree.cents - 100.0 * (round(degree.cents / 100.0) if degree.place is None else degree.place)


def _show_number(sheet: Sheet, row: int) -> Cell:
    return Cell("" if degree_at(sheet, row) is None else str(row + 1), "faint")


def _show_note(sheet: Sheet, row: int) -> Cell:
    now = degree_at(sheet, row)
    return Cell("" if now is None else now.note, "faint" if now is None or now.closing else "strong")


def _show_written(sheet: Sheet, row: int) -> Cell:
    now = degree_at(sheet, row)
    return Cell("" if now is None else now.text)


def _show_cents(sheet: Sheet, row: int) -> Cell:
    now = degree_at(sheet, row)
    return Cell("" if now is None else f"{now.cents:.1f}")


def _cents_text(sheet: Sheet, row: int) -> str:
    now = degree_at(sheet, row)
    return "" if now is None else format_number(now.cents)


def _show_equal(sheet: Sheet, row: int) -> Cell:
    now = degree_at(sheet, row)
    if now is None:
        return Cell()
    off = round(_off_equal(now), 1)
    return Cell(signed(off, sheet.signs, 1) if off else sheet.signs.true, "plain" if off else "faint")


def _equal_text(sheet: Sheet, row: int) -> str:
    now = degree_at(sheet, row)
    return "" if now is None else f"{round(_off_equal(now), 6) + 0.0:+.10g}"


def _show_hertz(sheet: Sheet, row: int) -> Cell:
    now = degree_at(sheet, row)
    return Cell("" if now is None else f"{now.frequency:.1f}")


def _hertz_text(sheet: Sheet, row: int) -> str:
    now = degree_at(sheet, row)
    return "" if now is None else f"{now.frequency:.2f} Hz"


def _show_off(sheet: Sheet, row: int) -> Cell:
    played = row_of(sheet, row)
    if played is not None:
        return show_off(sheet, played)
    return Cell() if degree_at(sheet, row) is None else Cell(spans=(Span("   no row", "faint"),))


def _off_text(sheet: Sheet, row: int) -> str:
    played = row_of(sheet, row)
    return "" if played is None else off_text(sheet, played)


def _rows_text(sheet: Sheet, row: int) -> str:
    return ", ".join(str(played + 1) for played in sorted(sheet.by_degree.get(row, ())))


COLUMNS = (
    Column("number", "", 3, "The number of the degree; the last is where the scale repeats.", _show_number,
           lambda sheet, row: str(row + 1)),
    Column("note", "note", 6, "The note that this degree is written as, on your tonic.", _show_note,
           lambda sheet, row: "" if (now := degree_at(sheet, row)) is None else now.note, nudge=_nudge,
           align="left"),
    Column("written", "as written", 10,
           "Above the tonic: 316 c, 6/5, 523.3 Hz, C5 +16. Cents and ratios stay as typed.",
           _show_written, lambda sheet, row: "" if (now := degree_at(sheet, row)) is None else now.text,
           _write, nudge=_nudge, align="left"),
    Column("cents", "cents", 6, "Cents above the tonic. {flatter} and {sharper} change it by one.",
           _show_cents, _cents_text, _write_cents, nudge=_nudge),
    Column("equal", "off equal", 9,
           "Cents off the note as a piano has it: type +16, -4, or 0 for the piano's.",
           _show_equal, _equal_text, _write_equal, nudge=_nudge),
    Column("hertz", "Hz", 7, "Its frequency in the octave above the tonic. Type one to have that.",
           _show_hertz, _hertz_text, _write_hertz, nudge=_nudge),
    Column("off", "flute is off", 6 + BAR,
           "How far off the flute plays it, by the first row that does: to the right sharp.",
           _show_off, _off_text, align="left"),
    Column("rows", "rows", 6, "The rows of the grid that are written as this degree.",
           lambda sheet, row: Cell(_rows_text(sheet, row), "faint"), _rows_text, align="left"),
)  # fmt: skip


class ScalePane:
    """The degrees of the tuning."""

    name: PaneName = NAME
    title = "scale"
    frozen = 2
    spare = True

    def columns(self, sheet: Sheet) -> tuple[Column, ...]:
        """Number, note, size in every way it can be written, and what the flute makes of it."""
        return COLUMNS

    def count(self, sheet: Sheet) -> int:
        """A line for each degree, one for where they repeat, and below them new ones that cannot be read."""
        scale = scale_of(sheet.design.tuning)
        count = 0 if scale is None else len(scale.cents) + 1
        return max((count, *(row + 1 for pane, row, _ in sheet.drafts if pane == NAME)))

    def heading(self, sheet: Sheet, row: int) -> bool:
        """Whether a row only names those below it."""
        return False

    def help(self, sheet: Sheet, row: int, column: Column) -> str:
        """Help for one column."""
        if column.write is not None and row >= len(sheet.degrees):
            return "One more degree, where it belongs by size: 316 c, 6/5, 523.3 Hz, C5 +16."
        return column.words
