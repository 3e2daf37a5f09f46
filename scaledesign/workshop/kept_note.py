"""One hole made other, so that its own note stays: another width for a new place, another place for a width.

Apart from solving, which moves everything: here one number of one hole is sought, all else stands still.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from scaledesign.model.document import Design, Hole
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.resonance import Resonances
from scaledesign.workshop.played_as import cents_off, played

PLACES = 17
"""How many values are tried at once; twice over, that leaves a thousandth of the room."""
LITTLE = 1.0
"""Cents a millimetre of width below which a note is not a hole's own."""


def own_row(design: Design, heard: Prediction, hole: int) -> int | None:
    """The row (0-based) that a hole is made for: the counted one that it is the uppermost open hole of.

    Of several the one that its width moves most, in the lowest register. Where it is uppermost in none, the
    counted row that it moves most, else another that it is open in; None where it moves none.
    """
    every = range(len(design.rows))
    if design.holes[hole].finger == "none":
        open_in, above = list(every), list(every)
    else:
        letter = design.fingered().index(hole)
        nearer = [k for k, i in enumerate(design.fingered()) if design.holes[i].at < design.holes[hole].at]
        open_in = [i for i in every if design.rows[i].holes[letter] != "X"]
        above = [i for i in open_in if all(design.rows[i].holes[k] == "X" for k in nearer)]
    counted = {i for i in every if design.rows[i].counts}
    effect = np.abs(heard.sensitivity.diameter[:, hole]) * 1e-3
    for rows in ([i for i in above if i in counted], [i for i in open_in if i in counted], above, open_in):
        moved = [i for i in rows if np.isfinite(effect[i]) and effect[i] > LITTLE]
        if moved:
            return min(moved, key=lambda i: (design.rows[i].register, -effect[i]))
    return None


def with_hole(design: Design, hole: int, made: Hole) -> Design:
    """The design with one hole exchanged."""
    return replace(design, holes=(*design.holes[:hole], made, *design.holes[hole + 1 :]))


def widened(hole: Hole, diameter: float) -> Hole:
    """The hole with another width along the bore, of the same shape."""
    across = None if hole.across is None else hole.across * diameter / hole.diameter
    return replace(hole, diameter=diameter, across=across)


def width_for(design: Design, hole: int, row: int, kept: Resonances, low: float, high: float) -> float | None:
    """The width (m) with which a row plays as ``kept`` (1, 1) again; None where none between does."""
    return _sought(
        design, row, kept, low, high,
        lambda value: with_hole(design, hole, widened(design.holes[hole], value)),
    )  # fmt: skip


def place_for(design: Design, hole: int, row: int, kept: Resonances, low: float, high: float) -> float | None:
    """The place (m) at which a row plays as ``kept`` (1, 1) again; None where none between does."""
    return _sought(
        design, row, kept, low, high,
        lambda value: with_hole(design, hole, replace(design.holes[hole], at=value)),
    )  # fmt: skip


def _sought(
    design: Design, row: int, kept: Resonances, low: float, high: float, made: Callable[[float], Design]
) -> float | None:
    rows = (design.rows[row],)
    for _ in range(2):
        values = np.linspace(low, high, PLACES)
        heard = played([made(float(value)) for value in values], rows, kept)
        off = cents_off(heard, kept.frequency)[:, 0]
        turns = np.flatnonzero(np.isfinite(off[:-1] * off[1:]) & (off[:-1] * off[1:] <= 0))
        if not len(turns):
            return None
        first = int(turns[0])
        low, high = float(values[first]), float(values[first + 1])
        under, over = float(off[first]), float(off[first + 1])
    return low if under == over else low + (high - low) * under / (under - over)
