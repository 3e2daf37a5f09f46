"""A tube as makers say it: ``"5/8 in x 1/8 in x 20 in"``, bore by wall by length.

Apart because an option and a question both take it. Text in, text out: the parts are read as lengths
where lengths are read.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from scaledesign.errors import QuantityError
from scaledesign.model.document import Units
from scaledesign.model.units import length_unit, parse_length

_BY = re.compile(r"\s*(?:[xX×*]|\bby\b)\s*")
_METRIC = ("mm", "cm", "m")
_HOW = 'write bore x wall, or bore x wall x length: "5/8 in x 1/8 in x 20 in", "16 x 3 x 400 mm"'


class TubeWords(NamedTuple):
    """The parts of a tube as written, each with its unit if one was given; ``length`` may be ''."""

    bore: str
    wall: str
    length: str
    units: Units | None
    """None where no part has a unit."""


def tube_words(text: str, units: Units | None = None) -> TubeWords:
    """Take ``text`` apart; a unit after the last part holds for the parts that have none.

    Parameters
    ----------
    text : the tube in one line
    units : what bare numbers are in where the line has no unit at all

    Raises
    ------
    QuantityError
        when it is not two or three lengths.
    """
    parts = _BY.split(text.strip())
    if len(parts) not in (2, 3) or not all(parts):
        raise QuantityError(text, "that is not a tube", _HOW)
    last = length_unit(parts[-1])
    parts = [f"{part} {last}" if last and not length_unit(part) else part for part in parts]
    named = length_unit(parts[0])
    found: Units | None = ("mm" if named in _METRIC else "in") if named else None
    for part in parts:
        parse_length(part, units or found or "mm")
    return TubeWords(parts[0], parts[1], parts[2] if len(parts) == 3 else "", found)
