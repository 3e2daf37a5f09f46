"""The hole list's columns: where, how wide, which bit, which finger, and what a slip costs; the foot last.

A place or a width that a person types is theirs: it is locked, so that the next solve leaves it alone. Shows
and reads cells; where holes belong is the solver's.
"""

from __future__ import annotations

from typing import Any, get_args

from scaledesign.errors import EditError, QuantityError
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Finger, Hole, Units
from scaledesign.model.edits import Edit, SetField, SetHole, Several
from scaledesign.model.units import HAND_STEP, format_length, parse_length
from scaledesign.paper.hole_list import slip, width_words
from scaledesign.paper.layout import ORIGIN_TITLES, ORIGIN_WORDS, distance_from, wood_beside
from scaledesign.view.columns import Cell, Column, PaneName, Sheet, nothing_to_type
from scaledesign.view.hole_locks import (
    drilled_edit,
    is_foot,
    lock_edit,
    lock_text,
    needs_hole,
    show_drilled,
    show_lock,
    show_number,
    show_placed,
    write_drilled,
    write_lock,
)
from scaledesign.view.lines import Tone

FINGERS: tuple[Finger, ...] = get_args(Finger)
TOUCHY = 2e4
"""Cents per m from which a dimension stands out: two for 0.1 mm (proposed here, no source)."""
SAME = 2e-9
"""m: a length so near is the one that stands there; whoever types it again changes and locks nothing."""
MEASURE_WORDS = {**{origin: f"from {words}" for origin, words in ORIGIN_WORDS.items()}, "gap": "edge to edge"}
TITLES = {**ORIGIN_TITLES, "gap": "gap"}


def measured_at(sheet: Sheet, row: int) -> float:
    """Where a hole or the foot is, m, as the maker measures it."""
    design = sheet.design
    x = design.tube.length if is_foot(sheet, row) else design.holes[row].at
    if sheet.measure == "gap":
        return x - _near_edge(sheet, row) - (0.0 if is_foot(sheet, row) else design.holes[row].diameter / 2)
    if sheet.measure == "foot" and is_foot(sheet, row):
        return 0.0
    return distance_from(design, sheet.measure, x)


def place_from(sheet: Sheet, row: int, metres: float) -> float:
    """Place (m from the sounding edge) of a distance measured as the maker does."""
    design = sheet.design
    if sheet.measure == "gap":
        return (
            metres + _near_edge(sheet, row) + (0.0 if is_foot(sheet, row) else design.holes[row].diameter / 2)
        )
    if sheet.measure == "foot":
        return design.tube.length - metres
    return metres - distance_from(design, sheet.measure, 0.0)


def _near_edge(sheet: Sheet, row: int) -> float:
    """The edge of the hole before, toward the mouth; the sounding edge before the first."""
    if row == 0:
        return 0.0
    before = sheet.design.holes[row - 1]
    return before.at + before.diameter / 2


def _length(sheet: Sheet, metres: float) -> str:
    return format_length(metres, sheet.design.units, unit=False)


def _exact(sheet: Sheet, metres: float) -> str:
    return format_length(round(metres, 9), sheet.design.units, "exact")


def _solid(sheet: Sheet, row: int, what: str) -> Tone:
    design = sheet.design
    locked = design.tube.locked if is_foot(sheet, row) else what in design.holes[row].locked
    return "held" if locked else "moved" if what == "at" and has_moved(sheet, row) else "plain"


def _show_at(sheet: Sheet, row: int) -> Cell:
    return Cell(_length(sheet, measured_at(sheet, row)), _solid(sheet, row, "at"))


def _at_edit(sheet: Sheet, row: int, x: float) -> Edit:
    """Put a hole or the foot where the maker says, and keep it there."""
    if is_foot(sheet, row):
        cut = SetField("tube", "length", x)
        return cut if sheet.held else Several(cut.label, (cut, SetField("tube", "locked", True)), cut.cell)
    was = sheet.design.holes[row]
    move = SetHole(row, "at", x)
    if sheet.held:
        return move
    return Several(move.label, (move, SetHole(row, "locked", was.locked | {"at"})), move.cell)


def _write_at(sheet: Sheet, row: int, text: str) -> Edit | None:
    metres = parse_length(text, sheet.design.units, signed=True)
    if abs(metres - measured_at(sheet, row)) < SAME:
        return None
    if sheet.measure == "foot" and is_foot(sheet, row):
        raise EditError(
            "the foot is where you measure from", "change the length where you measure from the edge"
        )
    return _at_edit(sheet, row, place_from(sheet, row, metres))


def _nudge_at(sheet: Sheet, row: int, steps: int) -> Edit:
    design = sheet.design
    x = design.tube.length if is_foot(sheet, row) else design.holes[row].at
    return _at_edit(sheet, row, round(x + steps * HAND_STEP[design.units], 9))


def moved_by(sheet: Sheet, row: int) -> float:
    """How far the last edit moved a hole or the foot, m; positive toward the foot."""
    before = sheet.before
    if before is None or len(before.holes) != len(sheet.design.holes):
        return 0.0
    if is_foot(sheet, row):
        return sheet.design.tube.length - before.tube.length
    return sheet.design.holes[row].at - before.holes[row].at


def noticeable(shift: float, units: Units) -> bool:
    """Whether a hand could notice a shift (m)."""
    return abs(shift) >= HAND_STEP[units] / 2


def has_moved(sheet: Sheet, row: int) -> bool:
    """Whether the last edit moved a hole or the foot by more than a hand could notice."""
    return noticeable(moved_by(sheet, row), sheet.design.units)


def _show_moved(sheet: Sheet, row: int) -> Cell:
    shift = moved_by(sheet, row)
    if sheet.before is None or not has_moved(sheet, row):
        return Cell()
    arrow = sheet.signs.toward_foot if shift > 0 else sheet.signs.toward_mouth
    before = sheet.before
    old = before.tube.length if is_foot(sheet, row) else before.holes[row].at
    note = f"It was at {_exact_hand(sheet, old)} from the sounding edge before your last edit."
    return Cell(f"{arrow}{_length(sheet, abs(shift))}", "moved", note=note)


def _exact_hand(sheet: Sheet, metres: float) -> str:
    return format_length(metres, sheet.design.units)


def _spacing(sheet: Sheet, row: int) -> float:
    design = sheet.design
    here = design.tube.length if is_foot(sheet, row) else design.holes[row].at
    return here - (design.holes[row - 1].at if row else 0.0)


def _write_spacing(sheet: Sheet, row: int, text: str) -> Edit | None:
    before = sheet.design.holes[row - 1].at if row else 0.0
    metres = parse_length(text, sheet.design.units, signed=True)
    return None if abs(metres - _spacing(sheet, row)) < SAME else _at_edit(sheet, row, before + metres)


def _show_width(sheet: Sheet, row: int) -> Cell:
    if is_foot(sheet, row):
        return Cell()
    return Cell(width_words(sheet.design.holes[row], sheet.design.units), _solid(sheet, row, "diameter"))


def _width_text(sheet: Sheet, row: int) -> str:
    return "" if is_foot(sheet, row) else _exact(sheet, sheet.design.holes[row].diameter)


def _width_edit(sheet: Sheet, row: int, metres: float) -> Edit:
    hole = sheet.design.holes[row]
    widen = SetHole(row, "diameter", metres)
    if sheet.held:
        return widen
    lock = SetHole(row, "locked", hole.locked | {"diameter"})
    return Several(widen.label, (widen, lock), widen.cell)


def _write_width(sheet: Sheet, row: int, text: str) -> Edit | None:
    if not needs_hole(sheet, row, text):
        return None
    bits = bit_set(sheet.design.shop.bits)
    named = {label.casefold(): size for label, size in zip(bits.labels, bits.diameters, strict=True) if label}
    size = named.get(text.strip().casefold())
    size = parse_length(text, sheet.design.units) if size is None else size
    return None if abs(size - sheet.design.holes[row].diameter) < SAME else _width_edit(sheet, row, size)


def _next_bit(sheet: Sheet, row: int, steps: int) -> Edit | None:
    if is_foot(sheet, row):
        return None
    sizes = bit_set(sheet.design.shop.bits).diameters
    now = sheet.design.holes[row].diameter
    place = min(range(len(sizes)), key=lambda i: abs(sizes[i] - now))
    return _width_edit(sheet, row, sizes[max(0, min(len(sizes) - 1, place + steps))])


def _show_bit(sheet: Sheet, row: int) -> Cell:
    if is_foot(sheet, row):
        return Cell()
    hole, units = sheet.design.holes[row], sheet.design.units
    bits = bit_set(sheet.design.shop.bits)
    near = bits.nearest(hole.diameter)
    exact = abs(near - hole.diameter) < 1e-6
    note = (
        "" if exact else f"No bit of yours is {_exact_hand(sheet, hole.diameter)} wide; this is the nearest."
    )
    mark = "" if exact else sheet.signs.reach
    return Cell(mark + bits.label(near, units), "plain" if exact else "reach", note=note)


def _show_finger(sheet: Sheet, row: int) -> Cell:
    if is_foot(sheet, row):
        return Cell("foot", "label")
    hole = sheet.design.holes[row]
    side = "" if hole.side == 0 else " back" if hole.side == 180 else f" {hole.side:g}°"
    return Cell(f"{hole.finger}{side}")


def _finger_text(sheet: Sheet, row: int) -> str:
    return "" if is_foot(sheet, row) else sheet.design.holes[row].finger


def _write_finger(sheet: Sheet, row: int, text: str) -> Edit | None:
    if not needs_hole(sheet, row, text):
        return None
    words = text.casefold().split()
    sides = {"front": 0.0, "back": 180.0}
    found = next((finger for finger in FINGERS if words and finger.casefold() == words[0]), None)
    if found is None or (len(words) > 1 and words[1] not in sides):
        raise QuantityError(text, "is no finger", f"write {', '.join(FINGERS)}, with back for a thumb hole")
    edit = SetHole(row, "finger", found)
    return Several(edit.label, (edit, SetHole(row, "side", sides[words[1]]))) if len(words) > 1 else edit


def _show_wood(sheet: Sheet, row: int) -> Cell:
    if is_foot(sheet, row) or sheet.unasked:
        return Cell()
    wood = wood_beside(sheet.design, row)
    if wood is None:
        return Cell()
    thin = wood < sheet.design.shop.wood - 1e-5
    note = (
        f"Less wood than the {_exact_hand(sheet, sheet.design.shop.wood)} you want between holes."
        if thin
        else ""
    )
    mark = sheet.signs.reach if thin else ""
    return Cell(mark + _length(sheet, wood), "reach" if thin else "plain", note=note)


def _show_reach(sheet: Sheet, row: int) -> Cell:
    if is_foot(sheet, row) or sheet.unasked:
        return Cell()
    note = sheet.reach.get(row, "")
    return Cell(f"{sheet.signs.reach} {note.partition(': ')[0].replace(' and ', '-')}" if note else "ok",
                "reach" if note else "faint", note=note)  # fmt: skip


def _slip(sheet: Sheet, row: int, which: str) -> float:
    prediction = sheet.answer.prediction
    if prediction is None or is_foot(sheet, row) or row >= prediction.sensitivity.at.shape[1]:
        return float("nan")
    if not sheet.design.rows or len(prediction.frequency) != len(sheet.design.rows):
        return float("nan")
    return slip(sheet.design, getattr(prediction.sensitivity, which), row) * HAND_STEP[sheet.design.units]


def _show_slip(which: str) -> Any:
    def show(sheet: Sheet, row: int) -> Cell:
        cents = _slip(sheet, row, which)
        if cents != cents:
            return Cell()
        touchy = cents >= TOUCHY * HAND_STEP[sheet.design.units]
        return Cell(f"{cents:.1f}", "faint" if sheet.stale else "strong" if touchy else "plain")

    return show


def columns(sheet: Sheet) -> tuple[Column, ...]:
    """The columns of the hole list."""
    step = format_length(HAND_STEP[sheet.design.units], sheet.design.units)
    return (
        Column("number", "", 2 if len(sheet.design.holes) < 10 else 3,
               "The number of the hole, counted from the mouth, with a mark before it where it is locked.",
               show_number, lambda s, r: "" if is_foot(s, r) else str(r + 1)),
        Column("finger", "finger", 7,
               "Who covers it: L1 is the index finger of your upper hand, R1 of the lower one, LT and RT "
               "the thumbs; none: never covered.",
               _show_finger, _finger_text, _write_finger, align="left",
               choices=lambda s, r: FINGERS),
        Column("at", TITLES[sheet.measure], 9,
               f"Where its middle is, {MEASURE_WORDS[sheet.measure]}. Type a place and it is yours: no solve "
               f"moves it. {{flatter}} and {{sharper}} shift it by the step of your ruler; {{measure}} "
               "changes where you measure from.",
               _show_at, lambda s, r: _exact(s, measured_at(s, r)), _write_at, nudge=_nudge_at),
        Column("moved", "moved", 8,
               "What your last edit shifted: an arrow toward the mouth or toward the foot.",
               _show_moved, nothing_to_type),
        Column("spacing", "apart", 7,
               "From the middle of the hole before it, toward the mouth, to its own middle.",
               lambda s, r: Cell(_length(s, _spacing(s, r))), lambda s, r: _exact(s, _spacing(s, r)),
               _write_spacing),
        Column("width", "wide", 6,
               "How wide it is. Type a width or the name of a bit and it is yours; {flatter} and {sharper} "
               "take the next bit.",
               _show_width, _width_text, _write_width, nudge=_next_bit),
        Column("bit", "bit", 8, "The nearest of your bits.", _show_bit,
               lambda s, r: _show_bit(s, r).text.lstrip(s.signs.reach), align="left"),
        Column("wood", "wood", 7, "Wood left between its edge and the nearest other hole's.", _show_wood,
               lambda s, r: _show_wood(s, r).text.lstrip(s.signs.reach)),
        Column("reach", "reach", 7, "Whether this hand covers it in comfort.", _show_reach,
               lambda s, r: _show_reach(s, r).text, align="left"),
        Column("slip", "slip", 4,
               f"How touchy its place is: cents that the touchiest note shifts for {step}.",
               _show_slip("at"), lambda s, r: _show_slip("at")(s, r).text),
        Column("wider", "wider", 5,
               f"How touchy its width is: cents that the touchiest note shifts when it is {step} too wide.",
               _show_slip("diameter"), lambda s, r: _show_slip("diameter")(s, r).text),
        Column("lock", "lock", 7, "{turn} locks it where it is, and frees it again.", show_lock,
               lock_text, write_lock,
               lock_edit, align="left",
               choices=lambda s, r: ("yes", "no") if is_foot(s, r) else ("both", "place", "width", "no")),
        Column("drilled", "drilled", 7, "{turn} says it is drilled: then no solve moves it.", show_drilled,
               lambda s, r: "" if is_foot(s, r) else "yes" if s.design.holes[r].drilled else "no",
               write_drilled, drilled_edit, align="left"),
        Column("placed", "by", 6,
               "Who placed it; empty: the notes say where. rule: no note of the scale opens it, it stands "
               "by even spacing or by the other fingerings. locked: as you set it. free: the notes hardly "
               "say where.",
               show_placed, lambda s, r: show_placed(s, r).text, align="left"),
    )  # fmt: skip


class HolesPane:
    """The hole list, the foot in its last row."""

    name: PaneName = "holes"
    title = "holes"
    frozen = 2
    spare = False

    def columns(self, sheet: Sheet) -> tuple[Column, ...]:
        """Its columns."""
        return columns(sheet)

    def count(self, sheet: Sheet) -> int:
        """The holes and the foot."""
        return len(sheet.design.holes) + 1

    def heading(self, sheet: Sheet, row: int) -> bool:
        """Whether a row only names those below it."""
        return False

    def help(self, sheet: Sheet, row: int, column: Column) -> str:
        """Help for one column."""
        return column.words


def blank_hole(sheet: Sheet, row: int) -> Hole:
    """A hole to insert: half way between its neighbours, as wide as the one before, without a finger."""
    design = sheet.design
    before = design.holes[row - 1] if row else None
    start = before.at if before else 0.3 * design.tube.length
    end = design.holes[row].at if row < len(design.holes) else design.tube.length
    width = before.diameter if before else design.shop.smallest
    return Hole(at=round((start + end) / 2, 6), diameter=width)
