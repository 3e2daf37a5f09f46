"""The grid's columns: a row for each fingering, what is wanted of it, what it plays, how the holes are held.

Shows and reads cells; what a measured note teaches is ``workshop/calibration.py``'s, what a change does to
the holes the solver's.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import partial

from scaledesign.errors import QuantityError
from scaledesign.model.document import HoleState, Role, Row
from scaledesign.model.edits import Edit, SetRow, Several, cycled
from scaledesign.model.fingering import STATES, parse_fingering
from scaledesign.model.pitch import Hertz, Note, parse_reading, parse_target
from scaledesign.model.saying import ROLE_WORDS
from scaledesign.model.spelling import tuner_note, tuner_shows
from scaledesign.model.system import WEIGHTS
from scaledesign.model.units import format_number, parse_number
from scaledesign.view.clipboard import plain_cents
from scaledesign.view.columns import Cell, Column, PaneName, Sheet, signed
from scaledesign.view.lines import Line, Span, Tone, tone_of
from scaledesign.view.measured import measured_edit
from scaledesign.workshop import readings

BAR = 7
"""Cells of the bar that shows how far a row is off."""
BAR_CENTS = 25.0
"""Cents at which it is full."""
ROLES: tuple[Role, ...] = ("scale", "chromatic", "alternate")
MOST_CENTS = 600.0


def off_bar(cents: float, tolerance: float, sheet: Sheet) -> Line:
    """A bar from the middle: to the right sharp, to the left flat; full at ``BAR_CENTS``, then marked."""
    signs, half = sheet.signs, BAR // 2
    if cents != cents:
        return (Span(" " * BAR),)
    tone = tone_of(cents, tolerance)
    eighths = min(round(abs(cents) / BAR_CENTS * half * 8), half * 8)
    whole, part = divmod(eighths, 8)
    if not signs.parts:
        whole, part = whole + (part >= 4), 0
    over = abs(cents) > BAR_CENTS
    if cents >= 0:
        bar = signs.full * whole + (signs.parts[part - 1] if part else "")
        bar = f"{bar[: half - 1]}{signs.sharp}" if over else bar
        return (Span(" " * half + signs.down, "faint"), Span(bar.ljust(half), tone))
    bar = signs.full * whole  # to the left, a cell is filled whole or not at all
    if part >= 4:
        bar = signs.full + bar
    bar = f"{signs.flat}{bar[: half - 1]}" if over else bar
    return (Span(bar.rjust(half), tone), Span(signs.down + " " * half, "faint"))


def _show_note(sheet: Sheet, row: int) -> Cell:
    item = sheet.design.rows[row]
    return Cell(item.note, "strong" if item.role == "scale" else "plain")


def target_text(text: str) -> str:
    """A row's target as it is kept: notes spelled as the file spells them.

    Raises
    ------
    QuantityError
    """
    target = parse_target(text)
    return target.name if isinstance(target, Note) else " ".join(text.split())


def _write_note(sheet: Sheet, row: int, text: str) -> Edit:
    """A target; a note with its cents, such as A4 +10, sets both."""
    try:
        return SetRow(row, "note", target_text(text))
    except QuantityError:
        try:
            reading = parse_reading(text)
        except QuantityError:
            reading = None
        if reading is None or not isinstance(reading.pitch, Note):
            raise
        edit = SetRow(row, "note", reading.pitch.name)
        return Several(edit.label, (edit, _cents_edit(row, reading.cents)))


def _write_hertz(sheet: Sheet, row: int, text: str) -> Edit | None:
    """A frequency is the whole wish: the cents that were added to the note before are gone."""
    if text.strip() == _hertz_text(sheet, row):
        return None
    try:
        hertz = format_number(parse_number(text))
    except QuantityError:
        hertz = ""
    plain = f"{hertz} Hz" if hertz and "/" not in text else text
    edit = _write_note(sheet, row, plain)
    if not isinstance(parse_target(plain), Hertz) or not sheet.design.rows[row].cents:
        return edit
    return Several(edit.label, (edit, SetRow(row, "cents", 0.0)))


def _show_hertz(sheet: Sheet, row: int) -> Cell:
    hertz = sheet.number("target", row)
    return Cell("" if hertz != hertz else f"{hertz:.1f}", "faint" if sheet.stale else "plain")


def _hertz_text(sheet: Sheet, row: int) -> str:
    hertz = sheet.number("target", row)
    return "" if hertz != hertz else f"{hertz:.2f} Hz"


def _write_cents(sheet: Sheet, row: int, text: str) -> Edit:
    plain = plain_cents(text)
    value = parse_number(plain) if plain else 0.0
    return _cents_edit(row, value)


def _nudge_cents(sheet: Sheet, row: int, steps: int) -> Edit:
    return _cents_edit(row, sheet.design.rows[row].cents + steps)


def _cents_edit(row: int, value: float) -> Edit:
    if abs(value) > MOST_CENTS:
        raise QuantityError(f"{value:g}", "that is another note", "choose the note, then a few cents")
    return SetRow(row, "cents", value)


def _show_cents(sheet: Sheet, row: int) -> Cell:
    cents = sheet.design.rows[row].cents
    digits = 0 if cents == round(cents) else 1
    return Cell(
        signed(cents, sheet.signs, digits) if cents else sheet.signs.true, "plain" if cents else "faint"
    )


def _show_plays(sheet: Sheet, row: int) -> Cell:
    hertz = sheet.number("frequency", row)
    if sheet.answer.prediction is None:
        return Cell()
    if hertz != hertz:
        return Cell(
            "no pitch", "reach", note="As fingered this row has no pitch: change its holes or its register."
        )
    note, cents = tuner_note(sheet.design, hertz)
    doubt = sheet.number("uncertainty", row)
    calm: Tone = "faint" if sheet.stale else "plain"
    spans = (
        Span(note.name + signed(round(cents) + 0.0, sheet.signs).rjust(7 - len(note.name)), calm),
        Span(f" {sheet.signs.plus_minus}{doubt:<3.0f}", "faint"),
    )
    return Cell(tuner_shows(sheet.design, hertz), spans=spans)


def _plays_text(sheet: Sheet, row: int) -> str:
    hertz = sheet.number("frequency", row)
    return "" if hertz != hertz else tuner_shows(sheet.design, hertz)


def show_off(sheet: Sheet, row: int) -> Cell:
    """How far off a row is: a number and its bar."""
    cents = sheet.number("cents", row)
    tolerance = sheet.design.tuning.tolerance
    tone = tone_of(cents, tolerance)
    number = signed(round(cents) + 0.0 if cents == cents else cents, sheet.signs)
    sign = {"sharp": sheet.signs.sharp, "flat": sheet.signs.flat}.get(tone, " ")
    if sheet.stale:
        return Cell(spans=(Span(f"{number:>4}  ", "faint"), Span(" " * BAR)))
    return Cell(spans=(Span(f"{number:>4}{sign} ", tone), *off_bar(cents, tolerance, sheet)))


def off_text(sheet: Sheet, row: int) -> str:
    """The same, exactly."""
    cents = sheet.number("cents", row)
    return "" if cents != cents else f"{cents:+.1f}"


def _write_measured(sheet: Sheet, row: int, text: str) -> Edit | None:
    plain = readings.typed(sheet.design, row, text)
    return measured_edit(sheet.design, row, plain, datetime.now().replace(microsecond=0))


def _show_measured(sheet: Sheet, row: int) -> Cell:
    return Cell(sheet.design.rows[row].measured.replace("-", sheet.signs.minus))


def _role_edit(row: int, role: Role) -> Edit:
    """A role with the weight that goes with it."""
    edits = (SetRow(row, "role", role), SetRow(row, "weight", WEIGHTS[role]))
    return Several(f"set role of row {row + 1}", edits)


def _write_role(sheet: Sheet, row: int, text: str) -> Edit | None:
    plain, now = text.strip().casefold(), sheet.design.rows[row]
    for role in ROLES:
        if plain and (role.startswith(plain) or ROLE_WORDS[role].startswith(plain)):
            return None if role == now.role and now.weight else _role_edit(row, role)
    raise QuantityError(text, "is no role for a row", "write scale, between or other")


def _step_role(sheet: Sheet, row: int) -> Edit:
    now = ROLES.index(sheet.design.rows[row].role)
    return _role_edit(row, ROLES[(now + 1) % len(ROLES)])


def _show_register(sheet: Sheet, row: int) -> Cell:
    register = sheet.design.rows[row].register
    return Cell(str(register), "faint" if register == 1 else "plain")


def _write_register(sheet: Sheet, row: int, text: str) -> Edit:
    value = parse_number(text)
    if value not in (1, 2, 3):
        raise QuantityError(text, "is no register", "write 1, 2 or 3")
    return SetRow(row, "register", int(value))


def _step_register(sheet: Sheet, row: int) -> Edit:
    return SetRow(row, "register", sheet.design.rows[row].register % 3 + 1)


def _write_share(sheet: Sheet, row: int, text: str) -> Edit | None:
    plain = text.strip().removesuffix("%")
    if plain == _share_text(sheet, row):
        return None
    percent = parse_number(plain) if plain else 50.0
    if not 0 < percent < 100:
        raise QuantityError(text, "is no share of a hole", "write how much of it is open: 1 to 99 percent")
    return SetRow(row, "open_share", percent / 100)


def _share_text(sheet: Sheet, row: int) -> str:
    item = sheet.design.rows[row]
    return f"{item.open_share * 100:.10g}" if "H" in item.holes else ""


def _show_share(sheet: Sheet, row: int) -> Cell:
    text = _share_text(sheet, row)
    return Cell(f"{float(text):.0f}" if text else "")


def _weight_text(sheet: Sheet, row: int) -> str:
    return format_number(sheet.design.rows[row].weight)


def _write_weight(sheet: Sheet, row: int, text: str) -> Edit:
    return SetRow(row, "weight", parse_number(text))


def _state_of(letter: int, sheet: Sheet, row: int) -> HoleState:
    return sheet.design.rows[row].holes[letter]


def _show_state(letter: int, sheet: Sheet, row: int) -> Cell:
    state = _state_of(letter, sheet, row)
    return Cell(sheet.signs.state(state), "strong" if state == "X" else "plain")


def _write_state(letter: int, sheet: Sheet, row: int, text: str) -> Edit:
    said = "".join(_TYPED_STATES.get(sign, sign) for sign in text.upper().split() for sign in sign)
    holes = sheet.design.rows[row].holes
    if len(said) == len(holes) > 1:
        return SetRow(row, "holes", parse_fingering(said))
    said = said or "X"
    if said not in STATES:
        raise QuantityError(text, "is no state of a hole", "type x for closed, o for open, h for partly open")
    return SetRow(row, "holes", (*holes[:letter], said, *holes[letter + 1 :]))


_TYPED_STATES = {"0": "O", "●": "X", "○": "O", "◐": "H"}


def _step_state(letter: int, sheet: Sheet, row: int) -> Edit:
    return cycled(sheet.design, row, sheet.design.fingered()[letter])


def _label(sheet: Sheet, row: int) -> Cell:
    return Cell(str(row + 1), "faint")


PLAIN_COLUMNS = (
    Column("number", "", 3, "The number of the row.", _label, lambda sheet, row: str(row + 1)),
    Column(
        "note", "note", 6,
        "The note you want from this fingering: a name (Bb4), a frequency (523.3 Hz), or how far above the "
        "lowest note it lies (3/2, 702 c).",
        _show_note, lambda sheet, row: sheet.design.rows[row].note, _write_note, align="left",
        nudge=_nudge_cents,
    ),
    Column(
        "cents", "cents", 5,
        "How much sharper (+) or flatter (-) than the note you want it; 0 for in tune. {flatter} and "
        "{sharper} change it by one.",
        _show_cents, lambda sheet, row: format_number(sheet.design.rows[row].cents), _write_cents,
        nudge=_nudge_cents,
        order=lambda sheet, row: sheet.design.rows[row].cents,
    ),
    Column(
        "hertz", "Hz", 6,
        "The frequency that note and cents come to in your tuning. Type one to ask for it.",
        _show_hertz, _hertz_text, _write_hertz, nudge=_nudge_cents,
        order=lambda sheet, row: sheet.number("target", row),
    ),
    Column(
        "plays", "plays", 12,
        "What a tuner will show. Two flutes in three come out within the ±; it shrinks when you blow the "
        "bare tube and type what your tuner says.",
        _show_plays, _plays_text, align="left", order=lambda sheet, row: sheet.number("frequency", row),
    ),
    Column(
        "off", "off", 6 + BAR,
        "Cents from the target: the bar to the right is sharp, to the left flat. Within your tolerance it "
        "is calm.",
        show_off, off_text, align="left", order=lambda sheet, row: sheet.number("cents", row),
    ),
)  # fmt: skip
LATER_COLUMNS = (
    Column(
        "measured", "measured", 8,
        "What your tuner shows for this fingering on the flute in your hand, such as A4 -4 or 438.9 Hz. "
        "Every reading teaches: the ± of the other notes shrinks too.",
        _show_measured, lambda sheet, row: sheet.design.rows[row].measured, _write_measured, align="left",
    ),
    Column(
        "role", "role", 7,
        "scale: the layout is made for this note. between: a note between those of the scale, it only "
        "nudges. other: another fingering, or an overblown one.",
        lambda sheet, row: Cell(ROLE_WORDS[sheet.design.rows[row].role], "faint"),
        lambda sheet, row: ROLE_WORDS[sheet.design.rows[row].role], _write_role, _step_role, align="left",
        choices=lambda sheet, row: tuple(ROLE_WORDS.values()),
    ),
    Column(
        "register", "reg", 3,
        "1: blown gently, the low register. 2: overblown. 3: overblown again.",
        _show_register, lambda sheet, row: str(sheet.design.rows[row].register), _write_register,
        _step_register, letters="123",
    ),
    Column(
        "share", "part %", 6,
        "How much of a partly open hole is open, in percent, where this row has one.",
        _show_share, _share_text, _write_share,
    ),
    Column(
        "weight", "weight", 6,
        "How hard the layout tries for this row: 1 for the scale, little for the others, 0 to leave it out.",
        lambda sheet, row: Cell(_weight_text(sheet, row), "faint"), _weight_text, _write_weight,
        order=lambda sheet, row: sheet.design.rows[row].weight,
    ),
)  # fmt: skip


def _hole_column(letter: int, hole: int, finger: str) -> Column:
    where = f"hole {hole + 1}, counted from the mouth"
    return Column(
        f"hole {letter}", finger, 2,
        f"How {where}, is held ({finger}): {{turn}} takes it from closed to open to partly open.",
        partial(_show_state, letter), lambda sheet, row: _state_of(letter, sheet, row),
        partial(_write_state, letter), partial(_step_state, letter), align="centre", letters="xohXOH0",
    )  # fmt: skip


class RowsPane:
    """The grid."""

    name: PaneName = "rows"
    title = "fingerings"
    frozen = 2
    spare = True

    def columns(self, sheet: Sheet) -> tuple[Column, ...]:
        """Its columns, one for each fingered hole among them."""
        design = sheet.design
        holes = tuple(
            _hole_column(letter, hole, design.holes[hole].finger)
            for letter, hole in enumerate(design.fingered())
        )
        return (*PLAIN_COLUMNS, *holes, *LATER_COLUMNS)

    def count(self, sheet: Sheet) -> int:
        """A row for each fingering."""
        return len(sheet.design.rows)

    def heading(self, sheet: Sheet, row: int) -> bool:
        """Whether a row only names those below it."""
        return False

    def help(self, sheet: Sheet, row: int, column: Column) -> str:
        """Help for one column."""
        return column.words


def hole_of(column: Column, sheet: Sheet) -> int | None:
    """The hole (0-based in the design) that a column of the grid is about, or None."""
    if not column.key.startswith("hole "):
        return None
    return sheet.design.fingered()[int(column.key.removeprefix("hole "))]


def new_row(sheet: Sheet, like: int | None) -> Row:
    """A row to insert: a copy of another without its reading, or the lowest note.

    It is only shown until it is given a role: a note that is typed before its fingering would pull at every
    hole.
    """
    if like is None:
        closed: list[HoleState] = ["X"] * len(sheet.design.fingered())
        row = Row(sheet.design.tuning.tonic, tuple(closed))
    else:
        row = replace(sheet.design.rows[like], measured="")
    return replace(row, role="chromatic", weight=0.0)
