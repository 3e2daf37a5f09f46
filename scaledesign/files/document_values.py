"""What reading and writing one value of a design file have in common.

A kind of value, the place it is read at, the style it is written in, and TOML's way with text. The
kinds themselves are in ``document_kinds.py``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import field
from typing import Any

from scaledesign.errors import Fault
from scaledesign.model.document import Finger, Units
from scaledesign.values import dataclass

Raw = Any
"""A value as the TOML reader gives it: str, int, Decimal, bool, date, list or dict."""

MOST_FAULTS = 500
"""Faults of a file that are told."""
_FEW = 20
_MOST_BITS = 300
"""Bits of a whole number that is written out."""
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]{1,40}")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a value stands while it is read: dotted key, the file's units, faults so far."""

    key: str
    units: Units
    faults: list[Fault]

    def name(self, name: str) -> Place:
        """The value ``name`` of a table."""
        name = name if _BARE_KEY.fullmatch(name) else toml_string(name)
        return Place(f"{self.key}.{name}" if self.key else name, self.units, self.faults)

    def item(self, index: int) -> Place:
        """The item at a 0-based index; in the key a person counts from 1."""
        return Place(f"{self.key}[{index + 1}]", self.units, self.faults)

    def first_few(self, unknown: Sequence[str]) -> Sequence[str]:
        """The unknown names to report one by one; the rest are noted in a single fault."""
        if len(self.faults) >= MOST_FAULTS:
            return ()
        if len(unknown) > _FEW:
            self.fault(
                f"{len(unknown)} keys here are unknown, the first {_FEW} are named", "is this a design file?"
            )
        return unknown[:_FEW]

    def fault(self, problem: str, remedy: str, raw: Raw = "") -> None:
        """Note what is wrong here; in all no more than ``MOST_FAULTS``."""
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(Fault(problem, remedy, self.key, text_of(raw)))


@dataclass(frozen=True, slots=True)
class Style:
    """How a value is to be written: the file's units, and whose finger each letter is."""

    units: Units
    fingers: tuple[Finger, ...] = ()


@dataclass(frozen=True, slots=True)
class Kind:
    """``read(raw, place)`` gives the value, or ``blank`` after noting faults.

    ``write(value, style, old)`` gives TOML text; ``old`` is the text it replaces or '', whose unit
    and manner are kept.
    """

    read: Callable[[Raw, Place], Any]
    write: Callable[[Any, Style, str], str]
    blank: Any = ""
    lengths: bool = field(default=False, kw_only=True)
    """Whether bare numbers in it are in the file's units."""


def toml_string(text: str) -> str:
    """A TOML string of one line, literal where that reads better."""
    if '"' in text and "'" not in text and "\\" not in text and text.isprintable():
        return f"'{text}'"
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped.translate(_ESCAPES | _BREAK)}"'


def toml_notes(text: str) -> str:
    """A TOML string that keeps its line breaks."""
    if "\n" not in text:
        return toml_string(text)
    escaped = text.replace("\\", "\\\\").replace('"""', '""\\"')
    if escaped.endswith('"'):
        escaped = f'{escaped[:-1]}\\"'
    return f'"""\n{escaped.translate(_ESCAPES)}"""'


_BREAK = {ord("\n"): "\\n"}
_ESCAPES = {code: f"\\u{code:04X}" for code in (*range(32), 127) if code != ord("\n")}
_ESCAPES |= {ord("\t"): "\\t", ord("\r"): "\\r"}
"""What TOML wants written otherwise, line ends apart."""


def text_of(raw: Raw) -> str:
    """A raw value as a person would write it, cut where it is long; '' for lists and tables."""
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, str):
        return toml_string(raw) if raw else ""
    if isinstance(raw, list | dict):
        return ""
    if isinstance(raw, int) and raw.bit_length() > _MOST_BITS:
        return "..."  # Python writes out no number of so many digits
    text = str(raw)
    return text if len(text) <= 60 else f"{text[:57]}..."
