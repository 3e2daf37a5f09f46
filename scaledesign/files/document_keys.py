"""Every key of a design file: its table, its kind, the field it fills.

The one list that reading, writing and the suggestions for a mistyped key share. Adding a key means
a field in ``model/document.py``, a line here and, where it has limits, one in ``model/limits.py``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, field, fields
from functools import cached_property
from typing import Any, get_args

from scaledesign.files import document_kinds as kinds
from scaledesign.files.document_values import Kind, Place, Raw, Style, toml_string
from scaledesign.model import document
from scaledesign.values import dataclass

_LONGEST_NAME = 60
"""Signs of a mistyped name that are compared."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table. ``fills`` are the fields it sets, by default the one of its own name."""

    name: str
    kind: Kind
    fills: tuple[str, ...] = ()
    always: bool = False
    """Written into a new file even where it is the default."""

    @property
    def attributes(self) -> tuple[str, ...]:
        """Names of the dataclass fields it sets."""
        return self.fills or (self.name,)

    def value(self, part: object) -> Any:
        """What ``part`` of a design holds for this key."""
        values = tuple(getattr(part, name) for name in self.attributes)
        return values if self.fills else values[0]


@dataclass(frozen=True)
class Table:
    """A table of the file and the dataclass it becomes."""

    type: type
    keys: tuple[Key, ...]

    @cached_property
    def named(self) -> Mapping[str, Key]:
        """Its keys by name."""
        return {key.name: key for key in self.keys}

    @cached_property
    def _fields(self) -> Mapping[str, Field[Any]]:
        return {item.name: item for item in fields(self.type)}

    def required(self, key: Key) -> bool:
        """Whether a file must give it: its field has no default."""
        return self._fields[key.attributes[0]].default is MISSING

    def default(self, key: Key) -> Any:
        """What the key's fields are when a file does not give it."""
        values = tuple(self._fields[name].default for name in key.attributes)
        return values if key.fills else values[0]

    def read(self, raw: Raw, place: Place) -> Any:
        """An instance of ``type``; what cannot be read is noted and left blank."""
        if not isinstance(raw, dict):
            place.fault("a table belongs here", f"write [{place.key}] on a line of its own", raw)
            raw = {key.name: None for key in self.keys if self.required(key)}
        values: dict[str, Any] = {}
        strange = [name for name in raw if name not in self.named]
        nearest = {name: nearest_key(name, self) for name in place.first_few(strange)}
        for name, meant in nearest.items():
            place.name(name).fault("no such key here", f"the nearest known key is {meant}")
        mistyped = set(nearest.values())
        for key in self.keys:
            if key.name not in raw and not self.required(key):
                continue
            here = place.name(key.name)
            if raw.get(key.name) is None:
                if key.name not in raw and key.name not in mistyped:
                    here.fault(MISSING_KEY, f"add {example(key, here)}")
                value = key.kind.blank
            else:
                value = key.kind.read(raw[key.name], here)
            values.update(zip(key.attributes, value if key.fills else (value,), strict=True))
        return self.type(**values)

    def write(self, part: object, style: Style) -> Iterator[tuple[str, str]]:
        """Keys and TOML values of a new table: what is required, differs, or is always told."""
        for key in self.keys:
            value = key.value(part)
            if self.required(key) or key.always or value != self.default(key):
                yield key.name, key.kind.write(value, style, "")


@dataclass(frozen=True, slots=True)
class Inline(Kind):
    """The kind of a table inside a table."""

    table: Table = field(kw_only=True)


def inline(table: Table) -> Inline:
    """The kind of ``table`` where it stands inside another: ``{ length = 150, wall = 5 }``."""

    def write(part: object, style: Style, old: str) -> str:
        return f"{{ {', '.join(f'{name} = {value}' for name, value in table.write(part, style))} }}"

    return Inline(table.read, write, None, lengths=True, table=table)


def nearest_key(name: str, table: Table) -> str:
    """The known key nearest to a mistyped one, with its table where it belongs in another."""
    from difflib import get_close_matches

    name = name[:_LONGEST_NAME]
    close = get_close_matches(name, table.named, 1)
    if close:
        return close[0]
    for title, other in {**TABLES, **LISTS}.items():
        if name in other.named:
            return f"{name} in [{title}]" if title in TABLES else f"{name} in [[{title}]]"
    return get_close_matches(name, table.named, 1, 0.0)[0]


MISSING_KEY = "this key is missing"
_SAMPLES = {"note": '"A4"', "holes": '"XXX XXX"', "when": "2026-01-05T10:20:00", "event": '"note"'}
_SIZES = {
    "mm": {"at": "200", "diameter": "8", "length": "350", "wall": "3"},
    "in": {"at": '"7 7/8"', "diameter": '"5/16"', "length": '"13 3/4"', "wall": '"1/8"'},
}
"""What a flute may have, in the units of its file; else a bore."""


def example(key: Key, place: Place) -> str:
    """A line that would give a missing key, with a value as a flute may have it."""
    bore = "16" if place.units == "mm" else '"5/8"'
    return f"{key.name} = {_SAMPLES.get(key.name) or _SIZES[place.units].get(key.name, bore)}"


_WINDOW = Table(
    document.Window,
    tuple(Key(name, kinds.LENGTH) for name in ("length", "width", "wall", "flue_length", "flue_height")),
)
_EMBOUCHURE = Table(
    document.Embouchure,
    (*(Key(name, kinds.LENGTH) for name in ("length", "width", "wall")), Key("covered", kinds.NUMBER)),
)
_CHAMBER = Table(document.Chamber, (Key("length", kinds.LENGTH), Key("wall", kinds.LENGTH)))
_HAND = Table(
    document.Hand, (Key("spread", kinds.SPREAD), Key("gap", kinds.LENGTH), Key("pad", kinds.LENGTH))
)
_OWN_HAND = inline(_HAND)


def _read_hand(raw: Raw, place: Place) -> Any:
    if isinstance(raw, dict):
        return _OWN_HAND.read(raw, place)
    if not isinstance(raw, str):
        place.fault("that is no hand", 'write "medium" or { spread = [...], gap = ..., pad = ... }', raw)
        return ""
    return raw


def _write_hand(hand: Any, style: Style, old: str) -> str:
    return toml_string(hand) if isinstance(hand, str) else _OWN_HAND.write(hand, style, old)


TOP = Table(
    document.Design,
    (
        Key("format", kinds.WHOLE, always=True),
        Key("units", kinds.one_of("mm", "in"), always=True),
        Key("name", kinds.TEXT),
        Key("notes", kinds.NOTES),
    ),
)
"""The keys before the first table; its ``type`` is only asked for defaults."""

TABLES: Mapping[str, Table] = {
    "instrument": Table(
        document.Instrument,
        (
            Key("mouth", kinds.one_of(*get_args(document.Mouth)), always=True),
            Key("system", kinds.TEXT),
            Key("pad", kinds.NUMBER),
            Key("material", kinds.TEXT),
        ),
    ),
    "tube": Table(
        document.Tube,
        (
            Key("length", kinds.LENGTH),
            Key("bore", kinds.STATIONS),
            Key("wall", kinds.STATIONS),
            Key("foot", kinds.FOOT),
            Key("locked", kinds.FLAG),
            Key("blank", kinds.LENGTH),
            Key("avoid", kinds.AVOID),
            Key("chamber", inline(_CHAMBER)),
        ),
    ),
    "voicing": Table(
        document.Voicing,
        (
            Key("added_length", kinds.LENGTH),
            Key("cavity", kinds.LENGTH),
            Key("drift", kinds.SIGNED_LENGTH),
            Key("uncertainty", kinds.LENGTH),
            Key("calibrated", kinds.FLAG),
            Key("window", inline(_WINDOW)),
            Key("embouchure", inline(_EMBOUCHURE)),
        ),
    ),
    "learned": Table(
        document.Learned,
        (
            Key("bore", kinds.SIGNED_LENGTH),
            Key("wall", kinds.SIGNED_LENGTH),
            Key("warmth", kinds.NUMBER),
            Key("stated_length", kinds.LENGTH),
            Key("stated_uncertainty", kinds.LENGTH),
            Key("stated_drift", kinds.SIGNED_LENGTH),
            Key("left_out", kinds.TEXT),
        ),
    ),
    "air": Table(
        document.AirSetting,
        (
            Key("temperature", kinds.TEMPERATURE),
            Key("humidity", kinds.NUMBER),
            Key("altitude", kinds.ALTITUDE),
            Key("pressure", kinds.PRESSURE),
            Key("breath", kinds.NUMBER),
        ),
    ),
    "tuning": Table(
        document.Tuning,
        (
            Key("reference", kinds.NUMBER),
            Key("tonic", kinds.TEXT, always=True),
            Key("scale", kinds.TEXT),
            Key("degrees", kinds.DEGREES),
            Key("tolerance", kinds.NUMBER),
        ),
    ),
    "shop": Table(
        document.Shop,
        (
            Key("bits", kinds.BITS),
            Key("smallest", kinds.LENGTH),
            Key("largest", kinds.LENGTH),
            Key("share_of_bore", kinds.NUMBER),
            Key("wood", kinds.LENGTH),
            Key("hand", Kind(_read_hand, _write_hand, "", lengths=True)),
        ),
    ),
    "uncertainty": Table(
        document.Uncertainty,
        (
            *(Key(name, kinds.LENGTH) for name in ("bore", "wall", "at", "diameter", "length")),
            Key("temperature", kinds.KELVIN),
            Key("tuner", kinds.NUMBER),
            Key("model", kinds.NUMBER),
        ),
    ),
}
"""Tables that stand once, in the order of a new file."""
OURS = "learned"
"""The table that only the program writes: it goes when there is nothing to say in it."""

LISTS: Mapping[str, Table] = {
    "holes": Table(
        document.Hole,
        (
            Key("at", kinds.LENGTH),
            Key("diameter", kinds.DIAMETER, ("diameter", "across")),
            Key("side", kinds.SIDE),
            Key("finger", kinds.one_of(*get_args(document.Finger)), always=True),
            Key("wall", kinds.LENGTH),
            Key("slant", kinds.NUMBER),
            Key("undercut", kinds.LENGTH),
            Key("drilled", kinds.FLAG),
            Key("locked", kinds.LOCKED),
        ),
    ),
    "rows": Table(
        document.Row,
        (
            Key("note", kinds.TEXT),
            Key("cents", kinds.NUMBER),
            Key("holes", kinds.FINGERING),
            Key("register", kinds.WHOLE),
            Key("weight", kinds.NUMBER),
            Key("role", kinds.one_of(*get_args(document.Role))),
            Key("open_share", kinds.NUMBER),
            Key("measured", kinds.TEXT),
        ),
    ),
    "log": Table(
        document.LogEntry,
        (
            Key("when", kinds.WHEN),
            Key("event", kinds.one_of("cut", "drilled", "opened", "filled", "measured", "note")),
            Key("holes", kinds.FINGERING),
            Key("measured", kinds.TEXT),
            Key("temperature", kinds.TEMPERATURE),
            Key("length", kinds.LENGTH),
            Key("register", kinds.WHOLE),
            Key("drilled", kinds.FINGERING),
            Key("hole", kinds.PLACE_IN_LIST),
            Key("at", kinds.LENGTH),
            Key("diameter", kinds.LENGTH),
            Key("undercut", kinds.LENGTH),
            Key("was", kinds.LENGTH),
            Key("note", kinds.NOTES),
        ),
    ),
}
"""Tables that stand once for each thing, in the order of a new file."""
