"""Stretches of a tube as makers say them: ``"171..177, 300..306"``, from one place to another.

Apart from the design file, which has them as lists of numbers.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from scaledesign.errors import QuantityError
from scaledesign.model.document import Units
from scaledesign.model.units import format_length, length_unit, parse_length

MOST = 64
"""Stretches beyond which it is no tube but a comb."""
LONGEST = 4000
"""Signs of all stretches as somebody types them."""
_TO = re.compile(r"\s*(?:\.\.+|…|\bto\b)\s*")
_NEXT = re.compile(r"\s*[,;]\s*")
_HOW = 'write from..to, and a comma before the next: "171..177", "6 3/4..7 in, 12..12 1/4 in"'


def parse_stretches(text: str, units: Units) -> tuple[tuple[float, float], ...]:
    """Stretches in m, in the order along the tube; a unit after the second place holds for the first.

    Parameters
    ----------
    text : ``"171..177"``, ``"171 to 177 mm, 300..306 mm"``; '' for none
    units : of numbers that have none

    Raises
    ------
    QuantityError
    """
    if not text.strip():
        return ()
    if len(text) > LONGEST:
        raise QuantityError(text, "that is far too long for stretches of a tube", _HOW)
    parts = _NEXT.split(text.strip())
    if len(parts) > MOST:
        raise QuantityError(f"{text[:40]}…", f"those are {len(parts)} stretches", f"give at most {MOST}")
    return tuple(sorted(_stretch(part, units) for part in parts))


def format_stretches(stretches: Sequence[tuple[float, float]], units: Units) -> str:
    """Stretches as a person writes them, so that they are read back as the same."""
    places = (tuple(format_length(place, units, "exact", unit=False) for place in each) for each in stretches)
    return ", ".join(f"{low}..{high} {units}" for low, high in places)


def _stretch(text: str, units: Units) -> tuple[float, float]:
    ends = _TO.split(text)
    if len(ends) != 2 or not all(ends):
        raise QuantityError(text, "that is no stretch of the tube", _HOW)
    start, end = ends
    if (unit := length_unit(end)) and not length_unit(start):
        start = f"{start} {unit}"
    low, high = parse_length(start, units), parse_length(end, units)
    if not low < high:
        raise QuantityError(text, "that stretch ends before it starts", "write the smaller one first")
    return low, high
