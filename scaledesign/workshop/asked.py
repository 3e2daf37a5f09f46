"""A scale that somebody asks for in words: "mixolydian on G4 x 0.5".

Apart from the catalogue, which knows names only, and from what is done with it (``several``, ``beside``).
"""

from __future__ import annotations

import re

from scaledesign.errors import QuantityError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.model.document import Tuning
from scaledesign.model.pitch import Note, parse_note
from scaledesign.model.scale import Scale
from scaledesign.values import dataclass

MOST = 1000.0
"""Largest weight, that of a row."""
_WEIGHT = re.compile(r"(.*\S)\s+[x×]\s*(\S+)", re.IGNORECASE)
_TONIC = re.compile(r"(.*\S)\s+on\s+(\S+)", re.IGNORECASE)


@dataclass(frozen=True)
class Asked:
    """A scale on a tonic, and how much it counts."""

    scale: Scale
    tonic: Note
    weight: float = 1.0

    @property
    def words(self) -> str:
        """``"mixolydian on G4"``."""
        return f"{self.scale.name} on {self.tonic.name}"


def asked(text: str, tuning: Tuning, offers: Catalogue) -> Asked:
    """What ``text`` asks for: a scale's name, "on" a note (else the tuning's tonic), "x" a weight (else 1).

    Raises
    ------
    UnknownNameError
        when nobody offers that scale.
    QuantityError
        for a tonic or a weight that cannot be read.
    """
    rest, weight = text.strip(), 1.0
    if found := _WEIGHT.fullmatch(rest):
        rest, weight = found[1], _weight(text, found[2])
    tonic = tuning.tonic
    if found := _TONIC.fullmatch(rest):
        rest, tonic = found[1], found[2]
    return Asked(offers.scale(rest), parse_note(tonic), weight)


def _weight(text: str, written: str) -> float:
    try:
        weight = float(written)
    except ValueError:
        weight = -1.0
    if not 0.0 < weight <= MOST:
        remedy = f"write a weight above 0, at most {MOST:g}, after the x, such as x 0.5"
        raise QuantityError(text, f"{written!r} is no weight", remedy)
    return weight
