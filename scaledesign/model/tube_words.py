"""A tube as makers say it: ``"5/8 in x 1/8 in x 20 in"``, bore by wall by length.

Apart because the command line and the screen both ask for it. It knows how a tube is said and which sizes
make no sense for one; how a length is written is known elsewhere.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from scaledesign.errors import QuantityError
from scaledesign.model.document import Units
from scaledesign.model.limits import LIMITS, SIZE
from scaledesign.model.units import length_unit, parse_length

_BY = re.compile(r"\s*(?:[xX×*]|\bby\b)\s*")
_METRIC = ("mm", "cm", "m")
_HOW = 'write bore x wall, or bore x wall x length: "5/8 in x 1/8 in x 20 in", "16 x 3 x 400 mm"'

THICKEST = 2.0
"""Bores from which a wall is taken for a length that was typed in its place."""


class TubeWords(NamedTuple):
    """The parts of a tube as written, each with its unit if one was given; ``length`` may be ''."""

    bore: str
    wall: str
    length: str
    units: Units | None
    """None where no part has a unit."""


class TubeSize(NamedTuple):
    """The same in m."""

    units: Units
    """Of the design."""
    bore: float
    wall: float
    length: float | None
    """The longest it may become, sounding edge to foot; None: no limit."""


def tube_words(text: str, units: Units | None = None) -> TubeWords:
    """Take ``text`` apart; a unit after the last part holds for the parts that have none.

    A tube in fractions without any unit is in inches: nobody measures 5/8 mm.

    Parameters
    ----------
    text : the tube in one line
    units : what bare numbers are in where the line has no unit at all; None: millimetres

    Raises
    ------
    QuantityError
        when it is not two or three lengths.
    DesignError
        when a tube cannot be of that size.
    """
    parts = _BY.split(" ".join(text.split()))  # one blank each: a row of them would cost its square
    if len(parts) not in (2, 3) or not all(parts):
        raise QuantityError(text, "that is not a tube", _HOW)
    last = length_unit(parts[-1])
    if units is None and "/" in text and not any(map(length_unit, parts)):
        last = "in"
    parts = [f"{part} {last}" if last and not length_unit(part) else part for part in parts]
    found = unit_system(parts[0])
    sizes = [
        tube_length(name, part, units or found)
        for name, part in zip(("bore", "wall", "length"), parts, strict=False)
    ]
    if sizes[1] > THICKEST * sizes[0]:
        raise QuantityError(text, f"a wall of {parts[1]} is too thick for a bore of {parts[0]}", _HOW)
    return TubeWords(parts[0], parts[1], parts[2] if len(parts) == 3 else "", found)


def tube_size(words: TubeWords, units: Units | None = None) -> TubeSize:
    """Sizes of the parts; ``units`` those of the design, None: those the tube is written in, else mm.

    Raises
    ------
    QuantityError, DesignError
        as ``tube_length``.
    """
    units = units or words.units
    return TubeSize(
        units or "mm",
        tube_length("bore", words.bore, units),
        tube_length("wall", words.wall, units),
        tube_length("length", words.length, units) if words.length else None,
    )


def unit_system(text: str) -> Units | None:
    """The units a length is written in; None where it has none."""
    unit = length_unit(text)
    if not unit:
        return None
    return "mm" if unit in _METRIC else "in"


def tube_length(name: str, text: str, units: Units | None) -> float:
    """Bore, wall or length (m) of a tube; ``units`` None: bare numbers are millimetres, unless fractions.

    Raises
    ------
    QuantityError
        when it is no length, or a bare fraction: nobody measures 5/8 mm.
    DesignError
        when a tube cannot be of that size.
    """
    if units is None and "/" in text and not length_unit(text):
        raise QuantityError(text, "that is a fraction without its unit", f'write "{text} in"')
    limit = LIMITS["Tube"]["blank"] if name == "length" else SIZE
    return limit.allowed(name, parse_length(text, units or "mm"), units or "mm")
