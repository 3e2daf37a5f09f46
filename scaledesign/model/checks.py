"""What every design must satisfy, whether it was read from a file or edited.

One place for both, so that nothing can be edited into a document that could not be loaded again.
Only what is physically or formally impossible is a fault; what is merely unwise (a thin bridge of
wood, a stretch of the hand) is the solver's to say. Types and enumerations are settled before: by
the file's keys (``files/document_keys.py``) or by the edit (``model/edits.py``).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from itertools import combinations, pairwise

from scaledesign.errors import Fault, QuantityError, UnknownNameError
from scaledesign.model import bits, hands
from scaledesign.model.document import FORMAT, Design, Hand, Hole, Station
from scaledesign.model.limits import LIMITS, PLACE, SIZE, show_length
from scaledesign.model.pitch import parse_note, parse_reading, parse_target
from scaledesign.model.saying import counted
from scaledesign.model.scale import scale_of_degrees

MOST_HOLES, MOST_ROWS, MOST_STATIONS, MOST_BITS = 64, 2000, 500, 500
_TOUCH = 1e-9
"""m: less than this is not a difference."""


def check(design: Design) -> tuple[Fault, ...]:
    """Everything that is wrong with a design; empty when nothing is.

    Keys are dotted with indices as a person counts them, values in the design's units, files and
    lines left out. A number that is not a number (NaN) is one fault and makes no others.
    """
    return tuple(found_by(design))


def found_by(design: Design) -> Iterator[Fault]:
    """What ``check`` finds, one after the other."""
    for rule in (
        _counts, _numbers, _texts, _bore_and_wall, _tube, _hole_places, _holes_apart, _rows, _log, _shop,
    ):  # fmt: skip
        yield from rule(design)


def hole_name(design: Design, index: int) -> str:
    """How a message names a hole (0-based ``index``): ``hole 3 (R1)``."""
    finger = design.holes[index].finger
    return f"hole {index + 1}" + ("" if finger == "none" else f" ({finger})")


def row_name(design: Design, index: int) -> str:
    """How a message names a row (0-based ``index``): ``row 4 (C5)``."""
    note = design.rows[index].note
    return f"row {index + 1}" + (f" ({note})" if note else "")


def station_at(stations: tuple[Station, ...], x: float) -> float:
    """Value of the stations at ``x`` (m), the larger side of an oval and of a step."""
    if not stations:
        return math.nan
    wide = [(station.x, max(station.value, station.across or 0.0)) for station in stations]
    here = [value for place, value in wide if place == x]
    if here:
        return max(here)
    before = [point for point in wide if point[0] < x]
    after = [point for point in wide if point[0] > x]
    if not before or not after:
        return before[-1][1] if before else after[0][1] if after else math.nan
    (x0, low), (x1, high) = before[-1], after[0]
    return low + (high - low) * (x - x0) / (x1 - x0)


def _parts(value: object, key: str) -> Iterator[tuple[str, object]]:
    """Every dataclass in a design, with its dotted key."""
    yield key, value
    for name in _names(value):
        inner = getattr(value, name)
        if isinstance(inner, tuple):
            if inner and _names(inner[0]) and not isinstance(inner[0], Station):
                for place, item in enumerate(inner):
                    yield from _parts(item, f"{_dotted(key, name)}[{place + 1}]")
        elif _names(inner):
            yield from _parts(inner, _dotted(key, name))


def _names(value: object) -> tuple[str, ...]:
    """Fields of a dataclass; none of anything else."""
    kind = type(value)
    if kind not in _NAMES:
        _NAMES[kind] = tuple(field.name for field in fields(kind)) if is_dataclass(kind) else ()
    return _NAMES[kind]


_NAMES: dict[type, tuple[str, ...]] = {}
"""Kept, since a folder of designs asks thousands of times."""


def _dotted(key: str, name: str) -> str:
    return f"{key}.{name}" if key else name


def _numbers(design: Design) -> Iterator[Fault]:
    for key, part in _parts(design, ""):
        for name, limit in LIMITS.get(type(part).__name__, {}).items():
            value = getattr(part, name)
            if value is not None:
                dotted = _FOOT_KEYS.get(f"{key}.{name}", f"{key}.{name}")
                dotted = dotted.replace(".across", ".diameter")
                fault = limit.fault(dotted, value, design.units)
                if fault:
                    yield fault


_FOOT_KEYS = {"tube.foot.diameter": "tube.foot"}


def _counts(design: Design) -> Iterator[Fault]:
    if design.format != FORMAT:
        yield Fault(
            f"this program reads format {FORMAT}",
            f"write format = {FORMAT}",
            "format",
            str(design.format),
        )
    for key, items, most in (
        ("holes", design.holes, MOST_HOLES),
        ("rows", design.rows, MOST_ROWS),
        ("tube.bore", design.tube.bore, MOST_STATIONS),
        ("tube.wall", design.tube.wall, MOST_STATIONS),
        ("tube.avoid", design.tube.avoid, MOST_STATIONS),
        ("shop.bits", design.shop.bits if isinstance(design.shop.bits, tuple) else (), MOST_BITS),
    ):
        if len(items) > most:
            yield Fault(
                "that is more than a flute needs", f"at most {most} are read", key, f"{len(items)} of them"
            )


def _texts(design: Design) -> Iterator[Fault]:
    """Texts that mean something, and texts that no file could hold."""

    def read(key: str, text: str, reader: Callable[[str], object]) -> Iterator[Fault]:
        try:
            reader(text)
        except QuantityError as error:
            yield Fault(error.problem, error.remedy, key, f'"{text}"')

    for key, part in _parts(design, ""):
        for name in _names(part):
            text = getattr(part, name)
            if isinstance(text, str) and name != "text" and not _writable(text):
                problem = "half a character cannot be stored"
                yield Fault(problem, "write it again", _dotted(key, name), ascii(text))
    tuning = design.tuning
    yield from read("tuning.tonic", tuning.tonic, parse_note)
    if tuning.degrees:
        try:
            scale_of_degrees(tuning.degrees)
        except QuantityError as error:
            yield Fault(error.problem, error.remedy, "tuning.degrees", error.text)
    for index, row in enumerate(design.rows):
        yield from read(f"rows[{index + 1}].note", row.note, parse_target)
        if row.measured:
            yield from read(f"rows[{index + 1}].measured", row.measured, parse_reading)
    for index, entry in enumerate(design.log):
        if entry.measured:
            yield from read(f"log[{index + 1}].measured", entry.measured, parse_reading)


def _writable(text: str) -> bool:
    return text.isascii() or not any("\ud800" <= letter <= "\udfff" for letter in text)


def _bore_and_wall(design: Design) -> Iterator[Fault]:
    units, tube = design.units, design.tube
    for name, stations in (("bore", tube.bore), ("wall", tube.wall)):
        key = f"tube.{name}"
        several = len(stations) > 1
        if not stations:
            yield Fault(f"no {name} is given", f"give one number or stations [[0, {name}], ...]", key, "[]")
        for place, station in enumerate(stations):
            where = f"{key}[{place + 1}]" if several else key
            for limit, value in ((SIZE, station.value), (SIZE, station.across), (PLACE, station.x)):
                fault = limit.fault(where, value, units) if value is not None else None
                if fault:
                    yield fault
        for place, (before, after) in enumerate(pairwise(stations)):
            where = f"{key}[{place + 2}]"
            if after.x < before.x:
                yield Fault(
                    "stations run from the mouth to the foot",
                    f"put it before the one at {show_length(before.x, units)}",
                    where,
                    show_length(after.x, units),
                )
            elif place and after.x == before.x == stations[place - 1].x:
                yield Fault(
                    "three stations stand at one place",
                    "a step needs two",
                    where,
                    show_length(after.x, units),
                )


def _tube(design: Design) -> Iterator[Fault]:
    units, tube = design.units, design.tube
    if tube.blank is not None and tube.length > tube.blank + _TOUCH:
        yield Fault(
            f"the tube is cut from a blank of {show_length(tube.blank, units)}",
            "make it shorter, or give the blank's true length",
            "tube.length",
            show_length(tube.length, units),
        )
    foot = tube.foot.diameter
    if (foot is None) == (tube.foot.kind == "node"):
        yield Fault(
            "a node has a hole and no other foot has one",
            'give its diameter, or "open"',
            "tube.foot",
            tube.foot.kind,
        )
    elif foot is not None and foot > station_at(tube.bore, tube.length) + _TOUCH:
        yield Fault(
            f"the bore there is {show_length(station_at(tube.bore, tube.length), units)}",
            'make the hole in the node narrower, or write "open"',
            "tube.foot",
            show_length(foot, units),
        )
    for place, (start, end) in enumerate(tube.avoid):
        key = f"tube.avoid[{place + 1}]"
        shown = f"[{show_length(start, units)}, {show_length(end, units)}]"
        if not (math.isfinite(start) and math.isfinite(end)) or start < 0:
            yield Fault("a stretch lies along the tube", "give two lengths, from and to", key, shown)
        elif start >= end:
            yield Fault("the stretch ends before it starts", "write the smaller one first", key, shown)


def _hole_places(design: Design) -> Iterator[Fault]:
    units, tube = design.units, design.tube
    for index, hole in enumerate(design.holes):
        key, name = f"holes[{index + 1}]", hole_name(design, index)
        at, radius = show_length(hole.at, units), hole.diameter / 2
        if hole.at - radius < -_TOUCH:
            yield Fault(f"{name} runs past the sounding edge", "move it toward the foot", f"{key}.at", at)
        if hole.at + radius > tube.length + _TOUCH:
            yield Fault(
                f"{name} runs past the foot, {show_length(tube.length, units)} from the sounding edge",
                "move it toward the mouth",
                f"{key}.at",
                at,
            )
        bore, width = station_at(tube.bore, hole.at), hole.across or hole.diameter
        if width > bore + _TOUCH:
            yield Fault(
                f"{name} is wider than the bore there, {show_length(bore, units)}",
                "make it narrower",
                f"{key}.diameter",
                show_length(width, units),
            )
        elif width + hole.undercut > bore + _TOUCH:
            yield Fault(
                f"with it {name} is wider than the bore there, {show_length(bore, units)}",
                "undercut it less",
                f"{key}.undercut",
                show_length(hole.undercut, units),
            )


def _holes_apart(design: Design) -> Iterator[Fault]:
    for (i, one), (j, other) in combinations(enumerate(design.holes), 2):
        if _cut_into_each_other(design, one, other):
            there = f"{hole_name(design, i)} at {show_length(one.at, design.units)}"
            yield Fault(
                f"{hole_name(design, j)} cuts into {there}",
                "move them apart or make them narrower",
                f"holes[{j + 1}].at",
                show_length(other.at, design.units),
            )


def _cut_into_each_other(design: Design, one: Hole, other: Hole) -> bool:
    """Whether two holes overlap on the outside of the tube."""
    along = (one.diameter + other.diameter) / 2
    apart = abs(one.at - other.at)
    if not apart < along - _TOUCH:
        return False
    tube = design.tube
    radius = station_at(tube.bore, one.at) / 2 + station_at(tube.wall, one.at)
    turn = abs((one.side - other.side + 180.0) % 360.0 - 180.0)
    arc = math.radians(turn) * radius
    around = ((one.across or one.diameter) + (other.across or other.diameter)) / 2
    return around > 0 and math.hypot(apart / along, arc / around) < 1.0 - _TOUCH


def _letters(key: str, name: str, count: int, wanted: int, shown: str) -> Fault:
    letters = "letter" if count == 1 else "letters"
    holes = "fingered hole" if wanted == 1 else "fingered holes"
    return Fault(
        f"{name} has {count} {letters} for {wanted} {holes}",
        f'give each hole one, X for closed and O for open, such as "{"X" * wanted}"',
        key,
        f'"{shown}"',
    )


def _rows(design: Design) -> Iterator[Fault]:
    wanted = len(design.fingered())
    for index, row in enumerate(design.rows):
        if len(row.holes) != wanted:
            name = row_name(design, index)
            yield _letters(f"rows[{index + 1}].holes", name, len(row.holes), wanted, "".join(row.holes))


def _log(design: Design) -> Iterator[Fault]:
    wanted = len(design.fingered())
    for index, entry in enumerate(design.log):
        for name, states in (("holes", entry.holes), ("drilled", entry.drilled)):
            if states and len(states) != wanted:
                key = f"log[{index + 1}].{name}"
                yield _letters(key, "the entry", len(states), wanted, "".join(states))
        if entry.hole is not None and not 0 <= entry.hole < len(design.holes):
            yield Fault(
                f"the flute has {counted(len(design.holes), 'hole', 'no')}",
                f"write 1 to {len(design.holes)}" if design.holes else "leave it out",
                f"log[{index + 1}].hole",
                str(entry.hole + 1),
            )


def _shop(design: Design) -> Iterator[Fault]:
    shop, units = design.shop, design.units
    if shop.smallest > shop.largest:
        yield Fault(
            f"the largest hole is {show_length(shop.largest, units)}",
            "make smallest smaller or largest larger",
            "shop.smallest",
            show_length(shop.smallest, units),
        )
    yield from _offered("shop.bits", lambda: bits.bit_set(shop.bits))
    yield from _offered("shop.hand", lambda: hands.hand(shop.hand))
    if isinstance(shop.bits, tuple):
        if not shop.bits:
            yield Fault("no bit is listed", "list diameters, or name a set", "shop.bits", "[]")
        for place, bit in enumerate(shop.bits):
            fault = SIZE.fault(f"shop.bits[{place + 1}]", bit, units)
            if fault:
                yield fault
    if isinstance(shop.hand, Hand):
        for place, spread in enumerate(shop.hand.spread):
            fault = SIZE.fault(f"shop.hand.spread[{place + 1}]", spread, units)
            if fault:
                yield fault


def _offered(key: str, look_up: Callable[[], object]) -> Iterator[Fault]:
    try:
        look_up()
    except UnknownNameError as error:
        remedy = f'write "{error.nearest}"' if error.nearest else f"known: {error.some}"
        yield Fault(f"no {error.kind} has that name", remedy, key, f'"{error.name}"')
