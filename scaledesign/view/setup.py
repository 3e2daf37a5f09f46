"""The form: tube, voicing, air, tuning, shop and doubts in one table of fields, each with its live effect.

Every key of a design file stands here once, read and written by the same kinds as in the file
(``files/document_keys.py``); here are only the words a maker knows it by and what it does. Shows and reads
cells; nothing is computed that is not asked of the layers below.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from scaledesign.errors import QuantityError, UnknownNameError
from scaledesign.files import document_kinds as kinds
from scaledesign.files.document_keys import TABLES, TOP, Inline, Key
from scaledesign.files.document_values import Place, Style
from scaledesign.files.toml_text import parsed
from scaledesign.model.document import Design, Embouchure, Mouth, Station, Tuning, Window
from scaledesign.model.edits import Become, Edit, Retune, SetField, Several, apply
from scaledesign.model.pitch import parse_note
from scaledesign.model.saying import begun
from scaledesign.model.stretches import format_stretches, parse_stretches
from scaledesign.model.units import HAND_STEP, format_length
from scaledesign.physics import mouth
from scaledesign.solver import problem
from scaledesign.values import dataclass
from scaledesign.view.columns import Cell, Column, PaneName, Sheet
from scaledesign.view.field_words import LABELS, SECTIONS, FieldPath
from scaledesign.view.remarks import remark
from scaledesign.workshop import ask

LONG = 12
"""Characters from which an exact length is shown rounded for the hand."""


@dataclass(frozen=True)
class Field:
    """One line of the form; a heading has no path."""

    label: str
    path: FieldPath = ()
    words: str = ""

    @property
    def heading(self) -> bool:
        """Whether it only names what follows."""
        return not self.path


@cache
def _key(path: FieldPath) -> Key:
    table, name, *inner = path
    key = (TABLES[table] if table else TOP).named[name]
    if not inner:
        return key
    kind = key.kind
    assert isinstance(kind, Inline)
    return kind.table.named[inner[0]]


def fields(design: Design) -> tuple[Field, ...]:
    """The lines of the form for a design: a duct has a window, the others an embouchure."""
    return _fields_of(design.instrument.mouth)


@cache
def _fields_of(kind: Mouth) -> tuple[Field, ...]:
    lines = []
    for title, paths in SECTIONS:
        lines.append(Field(title))
        for path in paths:
            if _shown(kind, path):
                label, words = LABELS[path]
                lines.append(Field(label, path, words))
    return tuple(lines)


def _shown(kind: Mouth, path: FieldPath) -> bool:
    duct = kind == "duct"
    if path[:2] == ("voicing", "window") or path[:2] == ("tube", "chamber"):
        return duct
    if path[:2] == ("voicing", "embouchure"):
        return not duct and kind != "open"
    return True


def value_of(design: Design, path: FieldPath) -> Any:
    """What a design holds at a path; None where a table inside a table is not stated."""
    table, name, *inner = path
    part = getattr(design, table) if table else design
    value = getattr(part, name)
    for key in inner:
        value = None if value is None else getattr(value, key)
    return value


def text_at(design: Design, path: FieldPath) -> str:
    """The value at a path as a person writes it; '' where it is not stated."""
    value = value_of(design, path)
    kind = _key(path).kind
    if value is None or value == ():
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if kind is kinds.AVOID:
        return format_stretches(value, design.units)
    text = kind.write(value, Style(design.units), "")
    if text[:1] in "\"'":
        text = str(parsed(f"x = {text}")["x"]).strip("\n")
    bare = kind.lengths and not isinstance(value, str) and text[-1:].isdigit()
    return f"{text} {design.units}" if bare else text


def read_at(design: Design, path: FieldPath, text: str) -> Any:
    """The value that a typed text means at a path; None (or the default) for an empty one.

    Raises
    ------
    QuantityError
    """
    key = _key(path)
    plain = text.strip()
    if not plain and len(path) == 2 and path[0]:
        table = TABLES[path[0]]
        if not table.required(key) and not key.always:
            return table.default(key)
    if not plain and len(path) == 3:
        return None
    if key.kind is kinds.AVOID and not plain.startswith("["):
        return parse_stretches(plain, design.units)
    faults: list[Any] = []
    value = key.kind.read(_raw(key, plain), Place(".".join(path), design.units, faults))
    if faults:
        raise QuantityError(text, faults[0].problem, faults[0].remedy)
    return value


def _raw(key: Key, plain: str) -> Any:
    """A typed text as the TOML reader would give it."""
    if key.kind is kinds.FLAG:
        return {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}.get(
            plain.casefold(), plain
        )
    if key.kind is kinds.DEGREES and not plain.startswith("["):
        return [part.strip().strip('"') for part in plain.split(",") if part.strip()]
    if key.kind in (kinds.NUMBER, kinds.WHOLE):
        try:
            return float(plain) if key.kind is kinds.NUMBER else int(plain)
        except ValueError:
            return plain
    if plain[:1] in ("[", "{"):
        try:
            return parsed(f"x = {plain}")["x"]
        except ValueError:
            raise QuantityError(plain, "that is no list", "write it as [[0, 16], [200, 15.8]]") from None
    return plain


def write(sheet: Sheet, path: FieldPath, text: str) -> Edit | None:
    """The edit for a text typed into a field; None where it says what stands there.

    Raises
    ------
    ScaledesignError
    """
    design = sheet.design
    value = read_at(design, path, text)
    if value == value_of(design, path):
        return None
    table, name, *inner = path
    if table == "tuning" and name in ("tonic", "scale", "degrees"):
        return _retune(design, name, value)
    new = _whole(design, path, value) if inner else value
    edit = SetField(table, name, new)  # type: ignore[arg-type]  # a path begins with the name of a table
    if path == ("voicing", "added_length") and design.voicing.calibrated:
        stated = problem.unread(design)  # what readings taught with it goes too
        return Become("set added length", apply(stated, edit))
    if path == ("tube", "length") and not sheet.held:
        return Several("set length", (edit, SetField("tube", "locked", True)))
    return edit


def _retune(design: Design, name: str, value: Any) -> Edit:
    tuning: Tuning = design.tuning
    if name == "tonic":
        tuning = replace(tuning, tonic=parse_note(value).name)
    elif name == "scale":
        tuning = replace(tuning, scale=ask.offers().scale(value).name if value else "", degrees=())
    else:
        tuning = replace(tuning, degrees=value)
    new = ask.offers().scale_of(tuning)
    try:
        return Retune(tuning, ask.scale_of(design), new)
    except UnknownNameError:  # the way out of a scale that nobody offers: the rows are taken to be of the new
        return Retune(tuning, new, new)


def _whole(design: Design, path: FieldPath, value: Any) -> Any:
    """A table inside a table with one value set; what it must have besides is what is usual."""
    table, name, key = path
    part = getattr(getattr(design, table), name)
    if value is None and part is None:
        return None
    if value is None and _key(path).name in ("length", "width"):
        return None
    radius = design.tube.bore[0].value / 2
    if part is None and name == "window":
        width, length, _ = mouth.usual_window(radius)
        part = Window(round(length, 4), round(width, 4))
    elif part is None and name == "embouchure":
        part = Embouchure(round(radius, 4), round(radius, 4))
    elif part is None:
        part = TABLES[table].named[name].kind.table.type(0.1)  # type: ignore[attr-defined]  # it is an Inline
    return replace(part, **{key: value})


def choices(sheet: Sheet, path: FieldPath) -> tuple[str, ...]:
    """What may stand in a field, where that is a few words."""
    from typing import get_args

    from scaledesign.model import bits, document, hands

    known: dict[FieldPath, Callable[[], tuple[str, ...]]] = {
        ("", "units"): lambda: get_args(document.Units),
        ("instrument", "mouth"): lambda: get_args(document.Mouth),
        ("instrument", "system"): lambda: tuple(system.name for system in ask.offers().systems()),
        ("tube", "foot"): lambda: ("open", "flanged", "stopped"),
        ("tuning", "scale"): lambda: tuple(scale.name for scale in ask.offers().scales()),
        ("shop", "bits"): lambda: bits.NAMES,
        ("shop", "hand"): lambda: hands.NAMES,
    }
    if path in known:
        return known[path]()
    return ("yes", "no") if path and _key(path).kind is kinds.FLAG else ()


def _step(sheet: Sheet, row: int) -> Edit | None:
    path = fields(sheet.design)[row].path
    offered = choices(sheet, path) if path else ()
    if not offered:
        return None
    now = text_at(sheet.design, path)
    place = offered.index(now) if now in offered else -1
    return write(sheet, path, offered[(place + 1) % len(offered)])


def _nudge(sheet: Sheet, row: int, steps: int) -> Edit | None:
    """One small step of a number: what the last digit of the ruler, the thermometer or the tuner is."""
    path = fields(sheet.design)[row].path
    value = value_of(sheet.design, path) if path else None
    if isinstance(value, tuple) and len(value) == 1 and isinstance(value[0], Station):
        value = value[0].value
    if isinstance(value, bool) or not isinstance(value, float | int):
        return None
    kind = _key(path).kind
    if kind.lengths:
        metres = float(np.round(max(0.0, value + steps * HAND_STEP[sheet.design.units]), 9))
        return write(sheet, path, format_length(metres, "mm", "exact"))
    size = {("shop", "share_of_bore"): 0.05, ("instrument", "pad"): 0.05, ("air", "breath"): 0.1,
            ("air", "humidity"): 5.0, ("air", "altitude"): 50.0, ("voicing", "embouchure", "covered"): 0.05,
            ("air", "pressure"): 100.0}.get(path, 1.0)  # fmt: skip
    return write(sheet, path, f"{round(value + steps * size, 6):g}")


def _show_label(sheet: Sheet, row: int) -> Cell:
    field = fields(sheet.design)[row]
    return Cell(field.label if field.heading else f"  {field.label}", "strong" if field.heading else "label")


def _show_value(sheet: Sheet, row: int) -> Cell:
    path = fields(sheet.design)[row].path
    text = text_at(sheet.design, path).replace("\n", " ") if path else ""
    if len(text) > LONG and path and _key(path).kind is kinds.LENGTH:
        text = format_length(value_of(sheet.design, path), sheet.design.units)
    return Cell(text)


def _show_remark(sheet: Sheet, row: int) -> Cell:
    path = fields(sheet.design)[row].path
    text, tone = remark(sheet, path) if path else ("", "faint")
    return Cell(text, tone)


def _text(sheet: Sheet, row: int) -> str:
    path = fields(sheet.design)[row].path
    return text_at(sheet.design, path) if path else ""


def _write(sheet: Sheet, row: int, text: str) -> Edit | None:
    path = fields(sheet.design)[row].path
    return write(sheet, path, text) if path else None


COLUMNS = (
    Column("label", "setup", 18, "", _show_label, lambda s, r: fields(s.design)[r].label, align="left"),
    Column("value", "yours", 20, "", _show_value, _text, _write, _step, _nudge, align="left",
           choices=lambda s, r: choices(s, fields(s.design)[r].path)),
    Column("remark", "what follows", 60, "", _show_remark, lambda s, r: _show_remark(s, r).text,
           align="left"),
)  # fmt: skip


def about_tube(sheet: Sheet, row: int) -> bool:
    """Whether a line of the form is about the tube."""
    return fields(sheet.design)[row].path[:1] == ("tube",)


class SetupPane:
    """The form."""

    name: PaneName = "setup"
    title = "setup"
    frozen = 1
    spare = False

    def columns(self, sheet: Sheet) -> tuple[Column, ...]:
        """Label, value and what it does."""
        return COLUMNS

    def count(self, sheet: Sheet) -> int:
        """Fields and headings."""
        return len(fields(sheet.design))

    def heading(self, sheet: Sheet, row: int) -> bool:
        """Whether a row only names those below it."""
        return fields(sheet.design)[row].heading

    def help(self, sheet: Sheet, row: int, column: Column) -> str:
        """What a field does now, and what it is for."""
        field = fields(sheet.design)[row]
        now = remark(sheet, field.path)[0] if field.path else ""
        return f"{begun(now).rstrip('.')}. {field.words}" if now else field.words
