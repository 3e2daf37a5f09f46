"""Reading a design file: text to ``Design``, or every fault at once with its line.

Uses only the standard library and this package, for it stands in the way of every start. What the
values may be is told elsewhere: keys in ``document_keys.py``, sense in ``model/checks.py``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from itertools import islice
from typing import Any

from scaledesign.errors import DesignError, Fault
from scaledesign.files.document_keys import LISTS, TABLES, TOP, nearest_key
from scaledesign.files.document_values import MOST_FAULTS, Place, Raw, text_of
from scaledesign.files.toml_outline import Outline, Path, outline
from scaledesign.files.toml_text import parsed
from scaledesign.model.checks import MOST_HOLES, MOST_ROWS, found_by
from scaledesign.model.document import FORMAT, Design, Units

LARGEST_FILE = 1_000_000
"""Bytes."""
_AT_LINE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_PLAIN = (
    ("illegal character '\\n'", "the quotes are not closed"),
    ("unterminated string", "the quotes are not closed"),
    ("expected newline", "something stands behind the value that is no part of it"),
    ("invalid value", "that is no value"),
    ("invalid statement", "that is no line of a design file"),
    ("expected '=' after a key", "there is no = in this line"),
)
"""What the reader of TOML says of a line, and the same in plain words."""
_MOST = {"holes": MOST_HOLES, "rows": MOST_ROWS, "log": MOST_ROWS}
_NEWER = f"a newer program wrote this, and this one reads format {FORMAT}"
_KNOWN = (*TOP.named, *TABLES, *LISTS)
_REQUIRED = ("instrument", "tube")


def loads(text: str, file: str = "<text>") -> Design:
    """Design of the text of a design file.

    Parameters
    ----------
    text : the whole file; kept in ``Design.text``
    file : how messages name it

    Raises
    ------
    DesignError : with every fault; keys carry indices as a person counts them, so that
        ``holes[1].at`` is the first hole
    """
    design, faults = read(text, file)
    if faults:
        raise DesignError(file, faults)
    return replace(design, text=text)


def read(text: str, file: str = "<text>") -> tuple[Design, tuple[Fault, ...]]:
    """The design of a text, what cannot be read left blank, and every fault with its line.

    Raises
    ------
    DesignError : where the text is no TOML, or that of a newer program
    """
    raw = _parsed(text, file)
    number = raw.get("format", FORMAT)
    if isinstance(number, int) and number > FORMAT:
        newer = Fault(_NEWER, "open it with a newer version", "format", text_of(number))
        raise DesignError(file, _placed([newer], text, file))
    faults: list[Fault] = []
    design = _design(raw, faults)
    unread = {fault.key for fault in faults}
    faults += [fault for fault in islice(found_by(design), MOST_FAULTS) if _is_news(fault, unread)]
    return design, _placed(faults, text, file) if faults else ()


def too_large(file: str) -> DesignError:
    """The error of a file over ``LARGEST_FILE``."""
    return DesignError(
        file, (Fault("that is too large for a design", "a design file is at most 1 MB", file=file),)
    )


def _parsed(text: str, file: str) -> dict[str, Raw]:
    if len(text) > LARGEST_FILE:
        raise too_large(file)
    try:
        return parsed(text.removeprefix("\ufeff"), _decimal)
    except ValueError as error:
        raise DesignError(file, (syntax_fault(str(error), text, file),)) from None


def _decimal(written: str) -> Decimal:
    """A number with all its digits: rounding happens once, when it becomes SI."""
    try:
        return Decimal(written)
    except InvalidOperation:
        return Decimal("inf")


def _design(raw: dict[str, Raw], faults: list[Fault]) -> Design:
    units: Units = "in" if raw.get("units") == "in" else "mm"
    top = Place("", units, faults)
    values: dict[str, Any] = {}
    for name, value in raw.items():
        here = top.name(name)
        if name in TOP.named:
            values[name] = TOP.named[name].kind.read(value, here)
        elif name in TABLES:
            values[name] = TABLES[name].read(value, here)
        elif name in LISTS:
            values[name] = _list(name, value, here)
    for name in top.first_few([name for name in raw if name not in _KNOWN]):
        known = _nearest_at_top(name)
        top.name(name).fault("no such key or table here", f"the nearest known one is {known}")
    for name in _REQUIRED:
        if name not in raw:
            example = 'mouth = "duct"' if name == "instrument" else "length, bore and wall"
            top.name(name).fault("this table is missing", f"add [{name}] with {example}")
            values[name] = TABLES[name].read(
                {key.name: None for key in TABLES[name].keys if TABLES[name].required(key)}, top.name(name)
            )
    return Design(**values)


def _list(name: str, raw: Raw, place: Place) -> tuple[Any, ...]:
    if not isinstance(raw, list) or not all(isinstance(item, dict) for item in raw):
        place.fault("a list of tables belongs here", f"write [[{name}]] above each", raw)
        return ()
    if len(raw) > _MOST[name]:
        place.fault(f"{len(raw)} of them are more than a flute needs", f"at most {_MOST[name]} are read")
        return ()
    return tuple(LISTS[name].read(item, place.item(index)) for index, item in enumerate(raw))


def _nearest_at_top(name: str) -> str:
    from difflib import get_close_matches

    close = get_close_matches(name[:60], _KNOWN, 1)
    if not close:
        return nearest_key(name, TOP)
    return f"[{close[0]}]" if close[0] in TABLES else f"[[{close[0]}]]" if close[0] in LISTS else close[0]


def _is_news(fault: Fault, unread: set[str]) -> bool:
    """Whether a fault of sense is not just the echo of one of reading."""
    if any(fault.key == key or fault.key.startswith((f"{key}.", f"{key}[")) for key in unread):
        return False
    if fault.key.endswith(".holes"):
        return not any(
            key == "holes" or (key.startswith("holes[") and key.endswith(".finger")) for key in unread
        )
    return not any(key.startswith(f"{fault.key}[") for key in unread)


def _placed(faults: Iterable[Fault], text: str, file: str) -> tuple[Fault, ...]:
    """Faults in the order of the file, with lines and values as written."""
    try:
        where = outline(text)
    except RecursionError:
        where = Outline(text)
    placed = []
    for fault in faults:
        path = path_of(fault.key)
        offset, written = where.offset(path), where.written(path)
        line = None if offset is None else where.line(offset)
        value = fault.value if written is None else _short(written)
        placed.append((line or 0, replace(fault, file=file, line=line, value=value)))
    return tuple(fault for _, fault in sorted(placed, key=lambda pair: pair[0]))


def path_of(key: str) -> Path:
    """Names and 0-based indices of a dotted key: ``holes[1].at`` is ``("holes", 0, "at")``."""
    path: list[str | int] = []
    for name, index in re.findall(r"([^.\[\]]+)|\[(\d+)\]", key):
        path.append(name or int(index) - 1)
    return tuple(path)


def _short(written: str) -> str:
    one_line = " ".join(written.split())
    return one_line if len(one_line) <= 60 else f"{one_line[:57]}..."


def syntax_fault(message: str, text: str, file: str) -> Fault:
    """What is wrong where the text is not TOML, and what was probably meant."""
    found = _AT_LINE.search(message)
    lines = text.replace("\r\n", "\n").split("\n")
    line = int(found[1]) if found and found[1] else len(lines) if found else None
    written = lines[line - 1].strip() if line else ""
    key, _, value = (part.strip() for part in written.partition("="))
    problem = _AT_LINE.sub("", message)
    problem = f"{problem[:1].lower()}{problem[1:]}" or "this is not TOML"
    remedy = _syntax_remedy(value, problem)
    if not value or not re.fullmatch(r"[\w.\-]+", key):
        key, value = "", _short(written)
    problem = next((plain for said, plain in _PLAIN if problem.startswith(said)), problem)
    return Fault(problem, remedy, key, _short(value), line, file)


def _syntax_remedy(value: str, problem: str) -> str:
    value = value.split("#")[0].strip()
    comma = re.match(r"([+-]?\d+),(\d+)", value)
    if comma:
        return f"write {comma[1]}.{comma[2]} with a point"
    if "overwrite" in problem or "twice" in problem or "namespace" in problem:
        return "keep one of the two"
    if re.fullmatch(r"(true|false)", value, re.IGNORECASE):
        return f"write {value.lower()}"
    if re.fullmatch(r"[^\"'\[\]{}]+", value):
        return f'put it in quotes: "{value}"'
    if "recursion" in problem:
        return "nest less deeply"
    return "look at this line and the one before it: a quote, a bracket or a sign is missing"
