"""Edits: the only way to change a design, each a value with a label for the menu.

``apply`` is pure: a design and an edit give another design, or ``EditError`` and nothing happened.
The result passes the same checks as a file that is opened. Undo is ``model/history.py``'s; finding
good values is the solver's; reading what a person typed is done before.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import replace
from typing import Any, Literal

from scaledesign.errors import EditError
from scaledesign.model import document
from scaledesign.model.checks import check, hole_name
from scaledesign.model.document import Design, Hole, HoleState, Row
from scaledesign.model.field_types import fits, told, types_of
from scaledesign.model.scale import Scale, retuned_rows
from scaledesign.values import dataclass

Table = Literal["", "instrument", "tube", "voicing", "air", "tuning", "shop", "uncertainty"]
NEXT_STATE: dict[HoleState, HoleState] = {"X": "O", "O": "H", "H": "X"}


@dataclass(frozen=True, slots=True)
class Edit(ABC):
    """One change of a design. What it changes is in its fields; ``apply`` makes the change."""

    @property
    def label(self) -> str:
        """What the menu says: ``"set length"``, ``"open hole 3 of row 2"``."""
        return self._label()

    @property
    def cell(self) -> tuple[str | int, ...] | None:
        """The one value it sets, None if it does more; edits of one cell can be undone together."""
        return self._cell()

    @abstractmethod
    def _label(self) -> str: ...

    @abstractmethod
    def _change(self, design: Design) -> Design:
        """The changed design, not yet checked."""

    def _cell(self) -> tuple[str | int, ...] | None:
        return None


def apply(design: Design, edit: Edit) -> Design:
    """The design after an edit.

    Raises
    ------
    EditError : if there is nothing to edit there, or the result could not be a flute
    """
    for name, hint in types_of(type(edit)).items():
        if not fits(getattr(edit, name), hint):
            raise EditError(f"{getattr(edit, name)!r} is no {_words(name)}", f"it takes {told(hint)}")
    changed = edit._change(design)
    faults = check(changed)
    known = {(fault.key, fault.problem) for fault in check(design)} if faults else set()
    for fault in faults:
        if (fault.key, fault.problem) not in known:
            raise EditError(f"{fault.key} = {fault.value}: {fault.problem}", fault.remedy)
    return changed


def unchecked(design: Design, edit: Edit) -> Design:
    """The design after an edit that has not been checked, on the way to one that will be."""
    return edit._change(design)


@dataclass(frozen=True, slots=True)
class SetField(Edit):
    """Set a field of the design (``table`` "") or of one of its tables."""

    table: Table
    name: str
    value: object

    def _label(self) -> str:
        if self.name == "locked":
            return "lock foot" if self.value else "unlock foot"
        return f"set {_words(self.name)}"

    def _cell(self) -> tuple[str | int, ...]:
        return (self.table, self.name)

    def _change(self, design: Design) -> Design:
        if not self.table:
            if self.name not in ("units", "name", "notes"):
                raise EditError(f"a design has no {self.name} to set", "set units, name or notes")
            whole: Design = _set(design, self.name, self.value)
            return whole
        changed: Design = replace(
            design, **{self.table: _set(getattr(design, self.table), self.name, self.value)}
        )
        return changed


@dataclass(frozen=True, slots=True)
class AddHole(Edit):
    """Add a hole at a place in the list, by default the last; its letter is X in every fingering."""

    hole: Hole
    place: int | None = None

    def _label(self) -> str:
        return "add hole"

    def _change(self, design: Design) -> Design:
        place = len(design.holes) if self.place is None else self.place
        _within(place, len(design.holes) + 1, "hole")
        holes = (*design.holes[:place], self.hole, *design.holes[place:])
        changed = _log_renumbered(replace(design, holes=holes), lambda hole: hole + (hole >= place))
        return changed if self.hole.finger == "none" else _letter_in(changed, place)


@dataclass(frozen=True, slots=True)
class RemoveHole(Edit):
    """Remove a hole and its letter from every fingering."""

    hole: int

    def _label(self) -> str:
        return f"remove hole {self.hole + 1}"

    def _change(self, design: Design) -> Design:
        _within(self.hole, len(design.holes), "hole")
        changed = replace(_letter_out(design, self.hole), holes=_without(design.holes, self.hole))
        return _log_renumbered(changed, lambda hole: None if hole == self.hole else hole - (hole > self.hole))


@dataclass(frozen=True, slots=True)
class SetHole(Edit):
    """Set a field of a hole: move it, widen it, lock it. With a finger comes and goes its letter."""

    hole: int
    name: str
    value: object

    def _label(self) -> str:
        verb = {"at": "move", "locked": "lock" if self.value else "unlock"}.get(self.name)
        hole = f"hole {self.hole + 1}"
        return f"{verb} {hole}" if verb else f"set {_words(self.name)} of {hole}"

    def _cell(self) -> tuple[str | int, ...]:
        return ("holes", self.hole, self.name)

    def _change(self, design: Design) -> Design:
        _within(self.hole, len(design.holes), "hole")
        was = design.holes[self.hole]
        hole = _set(was, self.name, self.value)
        if hole.finger == "none" and was.finger != "none":
            design = _letter_out(design, self.hole)
        changed = replace(design, holes=_with(design.holes, self.hole, hole))
        if hole.finger != "none" and was.finger == "none":
            changed = _letter_in(changed, self.hole)
        return changed


@dataclass(frozen=True, slots=True)
class InsertRow(Edit):
    """Insert a row before the one at ``place``, by default at the end."""

    row: Row
    place: int | None = None

    def _label(self) -> str:
        return "insert row"

    def _change(self, design: Design) -> Design:
        place = len(design.rows) if self.place is None else self.place
        _within(place, len(design.rows) + 1, "row")
        return replace(design, rows=(*design.rows[:place], self.row, *design.rows[place:]))


@dataclass(frozen=True, slots=True)
class DeleteRow(Edit):
    """Delete a row."""

    row: int

    def _label(self) -> str:
        return f"delete row {self.row + 1}"

    def _change(self, design: Design) -> Design:
        _within(self.row, len(design.rows), "row")
        return replace(design, rows=_without(design.rows, self.row))


@dataclass(frozen=True, slots=True)
class MoveRow(Edit):
    """Move a row so that it stands at ``place``."""

    row: int
    place: int

    def _label(self) -> str:
        return f"move row {self.row + 1}"

    def _change(self, design: Design) -> Design:
        for place in (self.row, self.place):
            _within(place, len(design.rows), "row")
        rows = list(design.rows)
        rows.insert(self.place, rows.pop(self.row))
        return replace(design, rows=tuple(rows))


@dataclass(frozen=True, slots=True)
class ReorderRows(Edit):
    """Put the rows in another order: ``order`` holds the row (0-based) that each place gets."""

    order: tuple[int, ...]

    def _label(self) -> str:
        return "sort rows"

    def _change(self, design: Design) -> Design:
        if sorted(self.order) != list(range(len(design.rows))):
            raise EditError("that is no order of the rows", "name every row once")
        return replace(design, rows=tuple(design.rows[i] for i in self.order))


@dataclass(frozen=True, slots=True)
class SetRow(Edit):
    """Set a field of a row."""

    row: int
    name: str
    value: object

    def _label(self) -> str:
        return f"set {_words(self.name)} of row {self.row + 1}"

    def _cell(self) -> tuple[str | int, ...]:
        return ("rows", self.row, self.name)

    def _change(self, design: Design) -> Design:
        _within(self.row, len(design.rows), "row")
        row = _set(design.rows[self.row], self.name, self.value)
        return replace(design, rows=_with(design.rows, self.row, row))


@dataclass(frozen=True, slots=True)
class SetState(Edit):
    """Close, open or half open a hole (0-based in ``Design.holes``) in a row."""

    row: int
    hole: int
    state: HoleState

    def _label(self) -> str:
        verb = {"X": "close", "O": "open", "H": "half open"}.get(self.state, "set")
        return f"{verb} hole {self.hole + 1} of row {self.row + 1}"

    def _change(self, design: Design) -> Design:
        _within(self.row, len(design.rows), "row")
        letter = _letter_of(design, self.hole)
        row = design.rows[self.row]
        return SetRow(self.row, "holes", _with(row.holes, letter, self.state))._change(design)


@dataclass(frozen=True, slots=True)
class Retune(Edit):
    """Change tonic, scale or both, and rewrite the rows degree by degree.

    ``old`` and ``new`` are the scales that the design's tuning and ``tuning`` name; a document
    knows only their names. ``left_behind`` tells which rows have no counterpart and stay.
    """

    tuning: document.Tuning
    old: Scale
    new: Scale

    def _label(self) -> str:
        return f"retune to {self.tuning.tonic} {self.tuning.scale or self.new.name}".rstrip()

    def _change(self, design: Design) -> Design:
        rows, _ = self._rows(design)
        return replace(design, tuning=self.tuning, rows=rows)

    def left_behind(self, design: Design) -> tuple[int, ...]:
        """Rows (0-based) of ``design`` that have no counterpart and stay as they are."""
        return self._rows(design)[1]

    def _rows(self, design: Design) -> tuple[tuple[Row, ...], tuple[int, ...]]:
        return retuned_rows(design, self.old, self.new, self.tuning)


@dataclass(frozen=True, slots=True)
class Several(Edit):
    """Edits made one after the other as one: a pasted block, a row filled down."""

    name: str
    """What the menu says."""
    edits: tuple[Edit, ...]
    where: tuple[str | int, ...] | None = None
    """The one value it is about, if the rest only follows from that."""

    def _cell(self) -> tuple[str | int, ...] | None:
        return self.where

    def _label(self) -> str:
        return self.name

    def _change(self, design: Design) -> Design:
        for edit in self.edits:
            design = edit._change(design)
        return design


@dataclass(frozen=True, slots=True)
class Become(Edit):
    """Take over a whole design that was made of this one: what readings taught, say."""

    name: str
    """What the menu says."""
    design: Design

    def _label(self) -> str:
        return self.name

    def _change(self, design: Design) -> Design:
        return replace(self.design, text=design.text)


def cycled(design: Design, row: int, hole: int) -> SetState:
    """The edit that takes a hole of a row to its next state: closed, open, half, closed."""
    _within(row, len(design.rows), "row")
    return SetState(row, hole, NEXT_STATE[design.rows[row].holes[_letter_of(design, hole)]])


def _words(name: str) -> str:
    return name.replace("_", " ")


def _within(place: int, count: int, kind: str) -> None:
    if not 0 <= place < count:
        raise EditError(f"there is no {kind} {place + 1}", f"the design has {count} places for a {kind}")


def _with(items: tuple[Any, ...], place: int, item: object) -> tuple[Any, ...]:
    return (*items[:place], item, *items[place + 1 :])


def _without(items: tuple[Any, ...], place: int) -> tuple[Any, ...]:
    return (*items[:place], *items[place + 1 :])


def _letter_of(design: Design, hole: int) -> int:
    """Index of a hole's letter in a fingering."""
    _within(hole, len(design.holes), "hole")
    if design.holes[hole].finger == "none":
        raise EditError(f"{hole_name(design, hole)} has no finger", "give it one, or leave it open")
    return design.fingered().index(hole)


def _letter_in(design: Design, hole: int) -> Design:
    """Letter X for a hole of ``design`` put into every fingering."""
    letter = design.fingered().index(hole)
    return _fingerings(design, lambda states: (*states[:letter], "X", *states[letter:]))


def _letter_out(design: Design, hole: int) -> Design:
    """The letter of a hole of ``design`` taken out of every fingering, if it has one."""
    if design.holes[hole].finger == "none":
        return design
    letter = design.fingered().index(hole)
    return _fingerings(design, lambda states: _without(states, letter))


def _log_renumbered(design: Design, number: Callable[[int], int | None]) -> Design:
    """The bench log after holes were counted anew: what was done to a hole that is gone is a note."""

    def changed(entry: document.LogEntry) -> document.LogEntry:
        if entry.hole is None:
            return entry
        hole = number(entry.hole)
        if hole is None and entry.event != "measured":
            return replace(entry, event="note", hole=None)
        return replace(entry, hole=hole)

    return replace(design, log=tuple(changed(entry) for entry in design.log))


def _fingerings(design: Design, change: Callable[[tuple[HoleState, ...]], tuple[HoleState, ...]]) -> Design:
    rows = tuple(replace(row, holes=change(row.holes)) for row in design.rows)

    def changed(states: tuple[HoleState, ...]) -> tuple[HoleState, ...]:
        return change(states) if states else ()

    log = tuple(
        replace(entry, holes=changed(entry.holes), drilled=changed(entry.drilled)) for entry in design.log
    )
    return replace(design, rows=rows, log=log)


def _set(part: Any, name: str, value: object) -> Any:
    """``part`` with another value in one field, of the type that the field has."""
    types = types_of(type(part))
    if name not in types:
        from difflib import get_close_matches

        near = get_close_matches(name, types, 1, 0.0)[0]
        raise EditError(f"{type(part).__name__.lower()} has no {name}", f"the nearest field is {near}")
    if not fits(value, types[name]):
        raise EditError(f"{value!r} is no value for {_words(name)}", f"it takes {told(types[name])}")
    return replace(part, **{name: value})
