"""One hole on its way to its note: how the finished note hangs on its width, and how far to go in one go.

A hole can be opened and hardly be narrowed again. So a step goes no further than where the note, for all that
is not known of it, is still not sharp; what it sounds then is read, and the next step is surer. Which hole,
and what else there is to do, is ``plan.py``'s.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from math import erf, floor, sqrt

import numpy as np

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, HoleState, Row
from scaledesign.model.widths import as_it_is, drilled_now, hole_then, length_now
from scaledesign.physics.arrays import Floats
from scaledesign.solver.hearing import Sound
from scaledesign.solver.limits import geometry_of, widest_bit_allowed, wood_left
from scaledesign.solver.problem import CENT, doubts_of, fingerings_of, flutes_of, model_doubts
from scaledesign.solver.resonance import Fingerings
from scaledesign.values import dataclass
from scaledesign.workshop.making.outlook import Outlook, Told

SURE = 1.645
"""Standard deviations: with 95 chances in 100 it is no more than that."""
HAND = 5e-5
"""m: what a calliper can tell of a width."""
COUNT, FINE = 21, 801
"""Widths that are played in one go, and that are looked at between them."""
REACH = 1.35
"""How many times the present or planned width is looked ahead."""


@dataclass(frozen=True)
class Line:
    """What widths of one hole come to.

    ``width`` (N,) m, rising; ``off`` (N,) cents by which the finished note would be off, ``sure`` (N,) one
    standard deviation of it.
    """

    width: Floats
    off: Floats
    sure: Floats

    def at(self, width: float) -> tuple[float, float]:
        """(cents off, standard deviation) at a width between the first and the last."""
        off, sure = (float(np.interp(width, self.width, values)) for values in (self.off, self.sure))
        return off, sure

    def reaching(self, cents: float) -> float:
        """Width at which the note is off by ``cents``, between the first and the last."""
        return float(np.interp(cents, np.maximum.accumulate(self.off), self.width))

    def safe(self, most: float) -> float:
        """Widest that with 95 chances in 100 stays below ``most`` cents."""
        width = np.linspace(self.width[0], self.width[-1], FINE)
        sure = np.interp(
            width, self.width[1:], self.sure[1:]
        )  # another width is never as sure as the present
        bad = np.interp(width, self.width, self.off) + SURE * sure > most
        return float(width[max(int(np.argmax(bad)) - 1, 0)] if bad.any() else width[-1])

    def sharp(self, width: float, above: float = 0.0) -> float:
        """Chance that the note at that width is more than ``above`` cents sharp."""
        off, sure = self.at(width)
        return chance((off - above) / sure)


def chance(deviations: float) -> float:
    """Chance that a normal number of mean ``deviations`` and standard deviation 1 is above 0."""
    return 0.5 * (1.0 + erf(deviations / sqrt(2.0)))


class Opening:
    """One hole (0-based) of a flute in the making, heard through one fingering.

    ``heard`` is what is blown: a row of the design, or a fingering of our own with what it should sound.
    """

    def __init__(self, outlook: Outlook, hole: int, row: Row, target: float) -> None:
        self.outlook, self.design = outlook, outlook.design
        self.hole, self.row, self.target = hole, row, target
        self.there = drilled_now(self.design)
        own = self.design.holes[hole]
        self.now = hole_then(self.design, hole, len(self.design.log))
        """The hole as it is, or as it is planned where it is not drilled."""
        self.planned = own.diameter

    @cached_property
    def widest(self) -> float:
        """m: how wide the shop's rules and the wood let it become."""
        now = as_it_is(self.design)
        own = now.holes[self.hole]
        most = widest_bit_allowed(self.design, own, own.at)
        places = geometry_of(now)
        for other in range(len(now.holes)):
            if other != self.hole:
                i, j = sorted((self.hole, other), key=lambda k: now.holes[k].at)
                room = 2 * (wood_left(now, places, i, j) - self.design.shop.wood)
                most = min(most, own.diameter + max(room, 0.0))
        return max(most, own.diameter if self.hole in self.there else self.design.shop.smallest)

    @cached_property
    def line(self) -> Line:
        """What its widths come to once the flute is finished."""
        drilled = self.hole in self.there
        least = self.now.diameter if drilled else 0.4 * min(self.planned, self.widest)
        ahead = REACH * max(self.now.diameter, self.planned)
        return self.between(least, max(min(self.widest, ahead), least + HAND))

    def between(self, least: float, most: float, undercut: float | None = None) -> Line:
        """The same between two widths."""
        width = np.linspace(least, most, COUNT)
        told = self.outlook.tell(finished(self.design, (self.row,), self.hole, width, undercut))
        off = CENT * np.log(told.frequency[:, 0] / self.target)
        return Line(width, off, told.sure[:, 0])

    def sounds(self, width: float, undercut: float | None = None) -> tuple[float, float]:
        """What the tuner should show now, with the hole so wide: Hz, and one standard deviation in cents."""
        told = self.outlook.tell(as_built(self.design, self.row, self.hole, np.array([width]), undercut))
        tuner = doubts_of(self.design).tuner
        return float(told.frequency[0, 0]), float(np.hypot(told.sure[0, 0], tuner))

    def sounds_at(self, widths: tuple[float, ...]) -> Told:
        """The same of several widths at once, without what the tuner adds: (N, 1)."""
        return self.outlook.tell(as_built(self.design, self.row, self.hole, np.array(widths)))

    def bits(self, above: float, most: float) -> list[float]:
        """Bits (m) wider than ``above`` and no wider than ``most``, rising."""
        return [b for b in bit_set(self.design.shop.bits).diameters if above + HAND < b <= most + 1e-8]


def whole(width: float) -> float:
    """A width (m) rounded down to what a file and a calliper can do."""
    return floor(width / HAND + 1e-6) * HAND


def finished(
    design: Design,
    rows: tuple[Row, ...],
    hole: int | None = None,
    width: Floats | None = None,
    undercut: float | None = None,
    *,
    length: Floats | None = None,
) -> Sound:
    """Some rows of the finished flute: what is drilled as wide as it is, the rest as it is planned.

    Parameters
    ----------
    hole, width : one hole (0-based) as wide as each of these instead, (N,) m
    undercut : m of that hole
    length : (N,) m of the tube instead of the planned one
    """
    built = _kept(design, tuple(range(len(design.holes))), hole, undercut)
    return _sound(built, rows, tuple(range(len(design.holes))), hole, width, length)


def as_built(design: Design, row: Row, hole: int, width: Floats, undercut: float | None = None) -> Sound:
    """One row of the flute as it is now, with one hole as wide as each of these (N,) m, drilled or not."""
    there = tuple(sorted({*drilled_now(design), hole}))
    length = length_now(design)
    tube = design.tube if length is None else replace(design.tube, length=length)
    built = replace(_kept(design, there, hole, undercut), tube=tube)
    return _sound(built, (row,), there, hole, width, None)


def _kept(design: Design, there: tuple[int, ...], hole: int | None, undercut: float | None) -> Design:
    drilled = drilled_now(design)
    place = len(design.log)
    holes = []
    for i in range(len(design.holes)):
        one = hole_then(design, i, place) if i in drilled else design.holes[i]
        if i == hole:
            one = replace(one, across=None)
            if undercut is not None:
                one = replace(one, undercut=undercut)
            elif i not in drilled:
                one = replace(one, undercut=0.0)
        holes.append(one)
    return replace(design, holes=tuple(holes))


def _sound(
    built: Design,
    rows: tuple[Row, ...],
    there: tuple[int, ...],
    hole: int | None,
    width: Floats | None,
    length: Floats | None,
) -> Sound:
    every = fingerings_of(built, rows)
    fingerings = Fingerings(every.share[list(there)], every.register)
    made = replace(built, holes=tuple(built.holes[i] for i in there))
    flutes = flutes_of(made)
    count = len(width) if width is not None else len(length) if length is not None else 1
    flutes = flutes.take(np.zeros(count, np.intp))
    if hole is not None and width is not None:
        radius = flutes.radius.copy()
        radius[:, there.index(hole)] = width / 2
        flutes = replace(flutes, radius=radius)
    if length is not None:
        flutes = replace(flutes, length=length)
    doubt = model_doubts(fingerings.share, fingerings.register, doubts_of(built).model)
    return Sound(flutes, fingerings, there, doubt)


def own_row(design: Design, states: tuple[HoleState, ...], register: int, share: float) -> Row:
    """A row of our own, for a hole that no row of the design tells of."""
    return Row("", states, register=register, open_share=share, weight=0.0)
