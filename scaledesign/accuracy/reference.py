"""Playing frequencies of our own, computed once by independent programs, against the program's.

Apart from the published cases because nobody published them: they test that the program computes what its
formulas say, not whether the formulas are right.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from scaledesign.accuracy.case import furthest, read
from scaledesign.accuracy.tubes import MM, drilled, flutes_in, tube
from scaledesign.model.document import Design, Station
from scaledesign.model.pitch import cents_between
from scaledesign.physics.air import fixed_air
from scaledesign.physics.flute import Flutes
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.values import dataclass


@dataclass(frozen=True)
class Agreement:
    """How many frequencies were compared, and the furthest off in Hz and in cents."""

    count: int
    hertz: float
    cents: float
    tolerance: float
    """Hz that they are stated with."""


def design_of(table: Mapping[str, Any]) -> Design:
    """One of the file's tubes."""
    bore = tuple(Station(x * MM, width * MM) for x, width in table["bore"])
    mouth = table.get("mouth")
    plain = tube(
        table["length"] * MM, bore[0].value, table.get("wall", 0) * MM,
        mouth=None if mouth is None else mouth * MM,
        cavity=table.get("cavity", 0) * MM, pad=table.get("pad", 0),
    )  # fmt: skip
    holes = table.get("holes", ())
    flute = drilled(plain, [x * MM for x, _ in holes], [width * MM for _, width in holes])
    return replace(flute, tube=replace(flute.tube, bore=bore))


def alone(flutes: Flutes) -> Flutes:
    """The same flutes with no opening acting on another, as the frequencies were computed."""
    return replace(flutes, body=replace(flutes.body, outside=False))


def agreement() -> Agreement:
    """Every frequency of the file whose foot and losses the program has."""
    file = read("own_reference")
    air = fixed_air(*file["air"].values())
    hertz, cents = [], []
    for note in file["notes"]:
        table = {**file["tubes"][note["tube"]], **note.get("other", {})}
        losses = note.get("losses", "exact")
        if table["foot"] == "ideal" or losses == "series":
            continue
        wanted = note["hz"]
        flutes = alone(flutes_in(design_of(table), air))
        share = np.array([note.get("opened", ())] * len(wanted), float).T
        registers = np.arange(1, len(wanted) + 1)
        found = resonances(flutes, Fingerings(share, registers), losses=losses == "exact").frequency[0]
        hertz += [float(ours) - his for ours, his in zip(found, wanted, strict=True)]
        cents += [cents_between(his, float(ours)) for ours, his in zip(found, wanted, strict=True)]
    return Agreement(len(hertz), furthest(hertz), furthest(cents), file["tolerance_hz"])
