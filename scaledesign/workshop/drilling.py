"""The order of drilling: which hole next, which bit to begin with, what to blow, what it plays on the way.

Apart from the design, which says how the flute ends: here it is on its way there. From the foot toward the
mouth each note depends only on what is drilled already, so that what is heard can still be mended by the
hole in hand (common practice, no source). A hole that is not drilled yet is not there at all: neither its
chimney nor the finger that would close it. Nothing is laid out for paper or screen here.
"""

from __future__ import annotations

from dataclasses import replace
from math import cos, isfinite, radians

import numpy as np

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Hole, HoleState, Row
from scaledesign.model.drill_step import DrillStep
from scaledesign.physics.arrays import Floats
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import CENT, flutes_of, hole_radius
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.values import dataclass
from scaledesign.workshop.live import held

WIDEST, NARROWEST = 0.8, 0.5
"""Share of a hole's width between which the bit to begin with is looked for (common practice, no source)."""
_SAME = 1e-8
"""m: less than this is not a difference."""


@dataclass(frozen=True)
class Listened:
    """What is blown at a step: a row, or where no row tells a fingering of our own."""

    row: int | None
    states: tuple[HoleState, ...]
    register: int
    open_share: float


def drill_steps(design: Design, found: Prediction | None = None) -> tuple[DrillStep, ...]:
    """An order of drilling for the holes that are not drilled yet, and what each plays.

    From the foot toward the mouth. Where a thumb hole lies below the front hole that is always opened before
    it, the front hole comes first. The row to listen to is one of the scale (else any) that opens the hole
    and else only holes that are drilled by then. The bit to begin with comes from the maker's set: the widest
    up to ``WIDEST`` of the hole's width that still leaves the note flatter than its own ±, once the bare
    tube has been blown; no narrower than ``NARROWEST`` unless the set has nothing between. Where the set has
    no bit that is narrower than the hole, the step begins with the hole's own width.

    Parameters
    ----------
    design : Design
    found : what it plays once it is finished, where that is known already

    Returns
    -------
    One step a hole that is not drilled, in the order of drilling. Frequencies are in Hz and take in what
    readings taught; NaN where the engine finds no pitch.
    """
    there = {i for i, hole in enumerate(design.holes) if hole.drilled}
    left = sorted(set(range(len(design.holes))) - there, key=lambda i: (-design.holes[i].at, -i))
    if not left:
        return ()
    doubt = _doubt(design, found)
    steps = []
    while left:
        hole = next_hole(design, left, there)
        left.remove(hole)
        steps.append(_step(design, hole, there, doubt))
        there.add(hole)
    return tuple(steps)


def _doubt(design: Design, found: Prediction | None) -> Floats:
    """The ± of each row of the finished flute, once the tube was blown bare (R,) cents; NaN where unknown."""
    found = found or held(design).prediction
    if found is None:
        return np.full(len(design.rows), np.nan)
    return found.uncertainty if found.calibrated else found.rest


def next_hole(design: Design, left: list[int], there: set[int]) -> int:
    """The hole nearest the foot, unless it is opened only together with one on the other side of the tube."""
    hole = left[0]
    if _best_row(design, hole, there) is not None:
        return hole
    for other in left[1:]:
        apart = cos(radians(design.holes[other].side - design.holes[hole].side)) < 0
        if apart and _best_row(design, other, there) is not None:
            after = _best_row(design, hole, {*there, other})
            if after is not None and design.rows[after].holes[design.fingered().index(other)] != "X":
                return other
    return hole


def _best_row(design: Design, hole: int, there: set[int]) -> int | None:
    """The row to listen to while ``hole`` is opened, the holes ``there`` being drilled; None: there is none.

    A row of the scale comes first, then the lower register, then no other hole partly open; then the
    fingering that is crossed the least, and for a hole without a finger the one that opens the fewest.
    """
    fingered = design.fingered()
    tuning = hole not in fingered
    below = [place for place, i in enumerate(fingered) if i in there and i != hole]

    def opens(row: Row) -> bool:
        states = dict(zip(fingered, row.holes, strict=True))
        if not tuning and states[hole] != "O":
            return False
        if any(state != "X" and i != hole and i not in there for i, state in states.items()):
            return False
        above = (i for i in fingered if i != hole and design.holes[i].at < design.holes[hole].at)
        return not tuning or all(states[i] == "X" for i in above)

    def order(index: int) -> tuple[bool, int, bool, int, int, int]:
        row = design.rows[index]
        opened = sum(row.holes[place] != "X" for place in below)
        first = min((design.holes[i].at for i, s in zip(fingered, row.holes, strict=True) if s != "X"),
                    default=design.holes[hole].at)  # fmt: skip
        return (
            row.role != "scale", row.register, "H" in row.holes, int(first < design.holes[hole].at - _SAME),
            opened if tuning else -opened, index,
        )  # fmt: skip

    return min((i for i, row in enumerate(design.rows) if opens(row)), key=order, default=None)


def listened(design: Design, hole: int, there: set[int]) -> Listened:
    """What to blow while a hole is opened, the holes ``there`` being drilled."""
    index = _best_row(design, hole, there)
    if index is not None:
        row = design.rows[index]
        return Listened(index, row.holes, row.register, row.open_share)
    fingered = design.fingered()
    at = design.holes[hole].at
    states: tuple[HoleState, ...] = tuple(
        "O" if i == hole or (hole in fingered and i in there and design.holes[i].at >= at) else "X"
        for i in fingered
    )
    return Listened(None, states, 1, 0.5)


def _step(design: Design, hole: int, there: set[int], doubt: Floats) -> DrillStep:
    own = design.holes[hole]
    heard = listened(design, hole, there)
    row = heard.row
    kept = sorted({*there, hole})
    place = kept.index(hole)
    fingering = _fingering(design, kept, heard)
    bits = _starts(design, min(own.diameter, own.across or own.diameter))
    straight = replace(own, across=None, undercut=0.0)  # a bit cuts round and straight

    def played(one: Hole, radii: Floats) -> Floats:
        holes = tuple(one if i == hole else design.holes[i] for i in kept)
        return _plays(replace(design, holes=holes), fingering, place, radii)

    radii = np.array(bits) / 2
    if own == straight:  # asked for at once, which takes half the time
        *begun_hertz, finished = played(own, np.append(radii, hole_radius(own)))
        begun = np.array(begun_hertz)
    else:
        begun = played(replace(straight, diameter=bits[0]), radii)
        (finished,) = played(own, np.array([hole_radius(own)]))
    flat = CENT * np.log(finished / begun)
    start = _chosen(np.array(bits), flat, np.nan if row is None else float(doubt[row]))
    return DrillStep(hole, bits[start], own.diameter, row, heard.states, float(begun[start]), float(finished))


def _fingering(design: Design, kept: list[int], heard: Listened) -> Fingerings:
    """The fingering on the holes that are ``kept``, as the engine takes it."""
    value = {"X": 0.0, "O": 1.0, "H": heard.open_share}
    states = dict(zip(design.fingered(), heard.states, strict=True))
    share = [value[states[i]] if i in states else 1.0 for i in kept]
    return Fingerings(np.array(share).reshape(-1, 1), np.array([heard.register], np.intp))


def _plays(design: Design, fingering: Fingerings, place: int, radii: Floats) -> Floats:
    """Hz (N,) of a fingering, with one hole of ``radii`` (N,) m; NaN where there is none."""
    flutes = flutes_of(design).take(np.zeros(len(radii), np.intp))
    radius = flutes.radius.copy()
    radius[:, place] = radii
    return np.asarray(resonances(replace(flutes, radius=radius), fingering, missing=True).frequency[:, 0])


def _starts(design: Design, width: float) -> list[float]:
    """Bits (m) to begin a hole of that ``width`` with, the widest first; at least one."""
    bits = [bit for bit in bit_set(design.shop.bits).diameters if bit < width - _SAME]
    if not bits:
        return [width]
    usual = [bit for bit in bits if NARROWEST * width <= bit <= WIDEST * width + _SAME]
    if not usual:  # the set has a gap there: the nearest below, else the narrowest above
        below = [bit for bit in bits if bit <= WIDEST * width]
        usual = [below[-1] if below else bits[0]]
    return usual[::-1]


def _chosen(bits: Floats, flat: Floats, doubt: float) -> int:
    """Place of the widest bit whose note is flatter than its ± (cents); the narrowest where none is.

    Where nothing is known of the ±, the bit nearest the middle between ``NARROWEST`` and ``WIDEST``.
    """
    if not isfinite(doubt) or not np.isfinite(flat).any():
        middle = bits[0] / WIDEST * (NARROWEST + WIDEST) / 2
        return int(np.abs(bits - middle).argmin())
    enough = np.flatnonzero(flat > doubt)
    return int(enough[0]) if len(enough) else len(bits) - 1
