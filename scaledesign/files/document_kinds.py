"""Kinds of value in a design file: how each is read and how it is written.

A kind knows one value's text and its meaning in SI, nothing of the table it stands in
(``files/document_keys.py``), of what other values say (``model/checks.py``) or of the file's layout
(``files/document_write.py``).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Any

from scaledesign.errors import QuantityError
from scaledesign.files.document_values import Kind, Place, Raw, Style, text_of, toml_notes, toml_string
from scaledesign.model import units as quantity
from scaledesign.model.checks import MOST_BITS, MOST_STATIONS
from scaledesign.model.document import Foot, FootKind, HoleState, Station, Units
from scaledesign.model.fingering import format_fingering, parse_fingering
from scaledesign.model.scale import MOST_DEGREES

NAN = math.nan
_FEET: tuple[FootKind, ...] = ("open", "flanged", "stopped")
SIDES = {"front": 0.0, "back": 180.0}
_BARE_NUMBER = re.compile(r"[+-]?[0-9._eE+-]+")


def _reader(parse: Callable[[Raw], Any], blank: Any) -> Callable[[Raw, Place], Any]:
    """Turn a parser that raises QuantityError into a reader that notes the fault."""

    def read(raw: Raw, place: Place) -> Any:
        try:
            return parse(raw)
        except QuantityError as error:
            place.fault(error.problem, error.remedy, raw)
            return blank

    return read


def _read_length(raw: Raw, place: Place, *, signed: bool = False) -> float:
    read = _reader(lambda value: quantity.parse_length(value, place.units, signed=signed), NAN)
    return float(read(raw, place))


def _read_signed_length(raw: Raw, place: Place) -> float:
    return _read_length(raw, place, signed=True)


LONG = 10
"""Signs from which a length is no round number."""


def write_length(metres: float, style: Style, old: str) -> str:
    """A length: in the unit of the text it replaces, else bare in the file's units.

    What is a round number of the other unit alone, 18 mm in a file of inches, is written in that.
    """
    if old[:1] in ("'", '"') and old:
        text = old[1:-1]
        unit = quantity.length_unit(text)
        if quantity.LENGTH_UNITS.get(unit or style.units) == quantity.INCH:
            amount = quantity.format_length(metres, "in", "exact", unit=False)
        else:
            amount = quantity.exact_length(metres, unit or style.units)
        gap = " " if unit.isalpha() else ""
        return toml_string(f"{amount}{gap}{unit}")
    if old:
        return quantity.exact_length(metres, style.units)
    amount = quantity.format_length(metres, style.units, "exact", unit=False)
    if len(amount) > LONG:
        other: Units = "mm" if style.units == "in" else "in"
        round_one = quantity.format_length(metres, other, "exact")
        if len(round_one) < LONG:
            return toml_string(round_one)
    return toml_string(amount) if "/" in amount else amount


def _too_many(raw: Sequence[Raw], most: int, place: Place) -> bool:
    """Whether a list is longer than any flute's; then it is a fault, and not read one by one."""
    if len(raw) > most:
        place.fault(f"{len(raw)} of them are more than a flute needs", f"at most {most} are read")
    return len(raw) > most


def _read_text(raw: Raw, place: Place) -> str:
    if isinstance(raw, str):
        return raw
    place.fault("that is not text", f'put it in quotes: "{text_of(raw)}"', raw)
    return ""


def _read_flag(raw: Raw, place: Place) -> bool:
    if isinstance(raw, bool):
        return raw
    place.fault("that is neither yes nor no", "write true or false, without quotes", raw)
    return False


def _read_whole(raw: Raw, place: Place) -> int:
    if isinstance(raw, int) and not isinstance(raw, bool) and abs(raw) < 1_000_000:
        return raw
    place.fault("that is not a whole number", "write a whole number, without quotes", raw)
    return 1


def _plain_number(raw: Raw) -> float:
    if isinstance(raw, str):
        remedy = (
            f"write {raw.strip()} without quotes" if _BARE_NUMBER.fullmatch(raw.strip()) else "write a number"
        )
        quantity.parse_number(raw)
        raise QuantityError(raw, "text stands where a number belongs", remedy)
    return quantity.parse_number(raw)


def _write_temperature(celsius: float, style: Style, old: str) -> str:
    if old and old[0] not in "\"'":
        return quantity.format_temperature(celsius, "exact").removesuffix(" °C")
    fahrenheit = old.rstrip("\"' ").endswith(("F", "℉"))
    return toml_string(quantity.format_temperature(celsius, "exact", unit="°F" if fahrenheit else "°C"))


def _write_altitude(metres: float, style: Style, old: str) -> str:
    feet = old.rstrip("\"' ").endswith("ft")
    return toml_string(quantity.format_altitude(metres, "exact", unit="ft" if feet else "m"))


def one_of(*known: str) -> Kind:
    """The kind of a word out of a few."""

    def read(raw: Raw, place: Place) -> str:
        if isinstance(raw, str) and raw in known:
            return raw
        place.fault(
            "that is none of the words known here", f"write {', '.join(known[:-1])} or {known[-1]}", raw
        )
        return known[-1]

    return Kind(read, lambda word, style, old: toml_string(word), known[-1])


def _read_stations(raw: Raw, place: Place) -> tuple[Station, ...]:
    if not isinstance(raw, list):
        return (Station(0.0, _read_length(raw, place)),)
    if _too_many(raw, MOST_STATIONS, place):
        return (Station(0.0, NAN),)
    stations = []
    for index, item in enumerate(raw):
        here = place.item(index)
        if not isinstance(item, list) or len(item) not in (2, 3):
            here.fault(
                "that is no station", "write [place, size], or [place, size, size across] for an oval", item
            )
            stations.append(Station(NAN, NAN))
        else:
            stations.append(Station(*(_read_length(number, here) for number in item)))
    return tuple(stations)


def _write_stations(stations: tuple[Station, ...], style: Style, old: str) -> str:
    if len(stations) == 1 and stations[0].x == 0 and stations[0].across is None:
        return write_length(stations[0].value, style, "" if old.startswith("[") else old)
    return _write_lists(
        [(s.x, s.value) if s.across is None else (s.x, s.value, s.across) for s in stations], style
    )


def _write_lists(items: Sequence[Sequence[float]], style: Style) -> str:
    return f"[{', '.join(_write_lengths(item, style, '') for item in items)}]"


def _write_lengths(lengths: Sequence[float], style: Style, old: str) -> str:
    return f"[{', '.join(write_length(length, style, '') for length in lengths)}]"


def _read_foot(raw: Raw, place: Place) -> Foot:
    for kind in _FEET:
        if raw == kind:
            return Foot(kind)
    if isinstance(raw, str) and not any(letter.isdigit() for letter in raw):
        place.fault(
            "that is no kind of foot",
            f"write {', '.join(_FEET)}, or the diameter of the hole in the foot's node",
            raw,
        )
        return Foot()
    return Foot("node", _read_length(raw, place))


def _write_foot(foot: Foot, style: Style, old: str) -> str:
    if foot.diameter is None:
        return toml_string(foot.kind)
    return write_length(foot.diameter, style, old if any(letter.isdigit() for letter in old) else "")


def _read_avoid(raw: Raw, place: Place) -> tuple[tuple[float, float], ...]:
    if not isinstance(raw, list):
        place.fault("that is no list of stretches", "write [[from, to], ...]", raw)
        return ()
    if _too_many(raw, MOST_STATIONS, place):
        return ()
    stretches = []
    for index, item in enumerate(raw):
        here = place.item(index)
        if not isinstance(item, list) or len(item) != 2:
            here.fault("that is no stretch", "write [from, to]", item)
        else:
            stretches.append((_read_length(item[0], here), _read_length(item[1], here)))
    return tuple(stretches)


def _read_diameter(raw: Raw, place: Place) -> tuple[float, float | None]:
    if not isinstance(raw, list):
        return _read_length(raw, place), None
    if len(raw) != 2:
        place.fault("an oval hole has two diameters", "write [along, across]", raw)
        return NAN, None
    return _read_length(raw[0], place.item(0)), _read_length(raw[1], place.item(1))


def _write_diameter(pair: tuple[float, float | None], style: Style, old: str) -> str:
    along, across = pair
    if across is None:
        return write_length(along, style, "" if old.startswith("[") else old)
    return _write_lengths((along, across), style, "")


def _read_side(raw: Raw, place: Place) -> float:
    if isinstance(raw, str):
        if raw in SIDES:
            return SIDES[raw]
        place.fault("that is no side", "write front, back, or an angle in degrees without quotes", raw)
        return NAN
    return float(_reader(_plain_number, NAN)(raw, place))


def _write_side(angle: float, style: Style, old: str) -> str:
    word = next((word for word, side in SIDES.items() if side == angle), "")
    return toml_string(word) if word else quantity.format_number(angle)


def _read_locked(raw: Raw, place: Place) -> frozenset[str]:
    every = frozenset({"at", "diameter"})
    if isinstance(raw, bool):
        return every if raw else frozenset()
    if isinstance(raw, list) and all(isinstance(word, str) and word in every for word in raw):
        return frozenset(raw)
    place.fault("that is no lock", 'write true, false, ["at"] or ["diameter"]', raw)
    return frozenset()


def _write_locked(locked: frozenset[str], style: Style, old: str) -> str:
    if len(locked) != 1:
        return "true" if locked else "false"
    return f"[{toml_string(next(iter(locked)))}]"


def _read_fingering(raw: Raw, place: Place) -> tuple[HoleState, ...]:
    text = _read_text(raw, place)
    states: tuple[HoleState, ...] = _reader(parse_fingering, ())(text, place)
    return states


def _write_fingering(states: tuple[HoleState, ...], style: Style, old: str) -> str:
    """Letters, set off as in the text they replace, else where the hand changes."""
    if not old or sum(letter in "XOH" for letter in old) != len(states):
        return toml_string(format_fingering(states, style.fingers))
    new = iter(states)
    return "".join(next(new) if letter in "XOH" else letter for letter in old)


def _read_when(raw: Raw, place: Place) -> datetime:
    if isinstance(raw, datetime):
        return raw
    if isinstance(raw, date):
        return datetime(raw.year, raw.month, raw.day)
    place.fault("that is no date and time", "write 2026-01-05T10:20:00, without quotes", raw)
    return datetime.min


def _read_bits(raw: Raw, place: Place) -> str | tuple[float, ...]:
    if isinstance(raw, list):
        if _too_many(raw, MOST_BITS, place):
            return ""
        return tuple(_read_length(bit, place.item(index)) for index, bit in enumerate(raw))
    if isinstance(raw, str):
        return raw
    place.fault("that is neither a set of bits nor a list", 'write "metric 0.5" or [5, 5.5, 6]', raw)
    return ""


def _write_bits(bits: str | tuple[float, ...], style: Style, old: str) -> str:
    return toml_string(bits) if isinstance(bits, str) else _write_lengths(bits, style, "")


def _read_spread(raw: Raw, place: Place) -> tuple[float, ...]:
    if not isinstance(raw, list) or len(raw) != 3:
        place.fault("a hand has three spreads", "write [index-middle, middle-ring, ring-little]", raw)
        return (NAN, NAN, NAN)
    return tuple(_read_length(spread, place.item(index)) for index, spread in enumerate(raw))


def _read_degrees(raw: Raw, place: Place) -> tuple[str, ...]:
    if isinstance(raw, list):
        if _too_many(raw, MOST_DEGREES + 1, place):
            return ()
        return tuple(_read_text(degree, place.item(index)) for index, degree in enumerate(raw))
    place.fault("that is no list of degrees", 'write ["1", "6/5", "498 c", ...]', raw)
    return ()


def _write_degrees(degrees: tuple[str, ...], style: Style, old: str) -> str:
    return f"[{', '.join(map(toml_string, degrees))}]"


TEXT = Kind(_read_text, lambda text, style, old: toml_string(text))
NOTES = Kind(_read_text, lambda text, style, old: toml_notes(text))
FLAG = Kind(_read_flag, lambda flag, style, old: "true" if flag else "false", False)
WHOLE = Kind(_read_whole, lambda number, style, old: str(number), 1)
PLACE_IN_LIST = Kind(
    lambda raw, place: _read_whole(raw, place) - 1, lambda number, style, old: str(number + 1), 0
)
"""Counted from 1 in the file and from 0 inside."""
NUMBER = Kind(_reader(_plain_number, NAN), lambda number, style, old: quantity.format_number(number), NAN)
LENGTH = Kind(_read_length, write_length, NAN, lengths=True)
SIGNED_LENGTH = Kind(_read_signed_length, write_length, NAN, lengths=True)
TEMPERATURE = Kind(_reader(quantity.parse_temperature, NAN), _write_temperature, NAN)
KELVIN = Kind(
    _reader(quantity.parse_temperature_difference, NAN),
    lambda kelvin, style, old: toml_string(f"{quantity.format_number(kelvin)} K"),
    NAN,
)
PRESSURE = Kind(
    _reader(quantity.parse_pressure, NAN),
    lambda pascals, style, old: toml_string(quantity.format_pressure(pascals, "exact")),
    NAN,
)
ALTITUDE = Kind(_reader(quantity.parse_altitude, NAN), _write_altitude, NAN)
STATIONS = Kind(_read_stations, _write_stations, (Station(0.0, NAN),), lengths=True)
FOOT = Kind(_read_foot, _write_foot, Foot(), lengths=True)
AVOID = Kind(_read_avoid, lambda items, style, old: _write_lists(items, style), (), lengths=True)
DIAMETER = Kind(_read_diameter, _write_diameter, (NAN, None), lengths=True)
SIDE = Kind(_read_side, _write_side, NAN)
LOCKED = Kind(_read_locked, _write_locked, frozenset())
FINGERING = Kind(_read_fingering, _write_fingering, ())
WHEN = Kind(_read_when, lambda when, style, old: when.isoformat(), datetime.min)
BITS = Kind(_read_bits, _write_bits, "", lengths=True)
SPREAD = Kind(_read_spread, _write_lengths, (NAN, NAN, NAN), lengths=True)
DEGREES = Kind(_read_degrees, _write_degrees, ())
