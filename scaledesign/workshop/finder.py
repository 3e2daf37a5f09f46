"""Which fingerings play a note, best first: by how far off, which register, how easy and how steady.

Every fingering that there is gets one figure, in cents: what it is off, and what all else about it is worth
in cents to a player. The parts stay visible. Weights are in ``ease.py``, ``steadiness.py`` and here, and each
says that it is common practice without a source. Whole charts and trills choose among the same candidates.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from functools import cached_property

import numpy as np

from scaledesign.model.document import Design
from scaledesign.physics.arrays import Floats, Indices
from scaledesign.solver.problem import CENT, flutes_of
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.ease import Ease, codes, ease_of, fingers_moved, movement
from scaledesign.workshop.playable import REGISTERS, Playable, playable
from scaledesign.workshop.registers import Speech
from scaledesign.workshop.steadiness import Steadiness, speech_of, steadiness_of

BEST = 3
"""Fingerings of each note that are told where nobody says otherwise."""
FAR = 50.0
"""Cents beyond which a fingering is nearer to another note."""
OVERBLOWN = 10.0
"""Cents for each register above the first: it must be reached, and is heard (common practice, no source)."""
ALIKE = 1e-6
"""Cents within which two figures are the same: lower registers, then fewer partly open holes come first."""


@dataclass(frozen=True)
class Cost:
    """What a fingering costs, in cents, part by part."""

    off: float
    """From the wanted note, without sign."""
    register: float
    """For being overblown."""
    weak: float
    """For a resonance that is not firm."""
    halves: float
    """For partly open holes."""
    forks: float
    """For fingers down below open holes."""
    moved: float
    """For the way from and to the notes beside it."""
    breath: float
    """For bending with the breath."""
    placing: float
    """For bending with careless fingers."""

    @property
    def total(self) -> float:
        """All of it."""
        return float(sum(getattr(self, part.name) for part in fields(self)))

    @property
    def alone(self) -> float:
        """All but the way from and to its neighbours."""
        return self.total - self.moved


@dataclass(frozen=True)
class Found:
    """One fingering for one wanted note."""

    letters: str
    """One a fingered hole: X closed, O open, H partly open; no blanks."""
    register: int
    frequency: float
    """Hz it plays."""
    cents: float
    """From the wanted note; above is positive."""
    halves: int
    """Holes partly open, the thumb's among them."""
    crossed: int
    """Fingers down below the topmost open hole."""
    lifted: int
    """Fingers lifted right above one of the same hand that is down."""
    moved: float
    """Fingers that move from and to the notes beside it, on the mean."""
    depth: float
    """dB: how firm."""
    harder: float
    """Cents it rises with half as much pressure again."""
    slip: float
    """Cents that careless fingers move it."""
    speech: Speech
    cost: Cost

    @property
    def total(self) -> float:
        """Cents, all in all: the less, the better."""
        return self.cost.total


@dataclass(frozen=True)
class Choice:
    """Everything a flute can play, and what each costs whatever note is wanted; M fingerings that sound."""

    playable: Playable
    which: Indices
    """(M,) their places in ``playable``."""
    state: Indices
    """(M, F) their letters as numbers (``ease.codes``)."""
    frequency: Floats
    """(M,) Hz."""
    ease: Ease
    steadiness: Steadiness

    @property
    def register(self) -> Indices:
        """(M,) counted from 1."""
        return self.playable.register[self.which]

    @cached_property
    def parts(self) -> dict[str, Floats]:
        """(M,) cents each, named as in ``Cost``: what depends on no wanted note and on no neighbour."""
        ease, steady = self.ease, self.steadiness
        return {
            "register": OVERBLOWN * (self.register - 1),
            "weak": steady.weak_cost,
            "halves": ease.half_cost,
            "forks": ease.fork_cost,
            "breath": steady.breath_cost,
            "placing": steady.placing_cost,
        }

    @cached_property
    def cost(self) -> Floats:
        """(M,) cents: the sum of ``parts``."""
        return np.asarray(np.sum(list(self.parts.values()), axis=0))

    def off(self, wanted: float) -> Floats:
        """(M,) cents from a wanted frequency."""
        return np.asarray(CENT * np.log(self.frequency / wanted))

    def near(self, wanted: float) -> Indices:
        """Those (indices into M, rising) within ``FAR`` cents of a wanted frequency."""
        return np.flatnonzero(np.abs(self.off(wanted)) <= FAR)

    def alone(self, which: Indices, wanted: float) -> Floats:
        """What some of them cost for a wanted note, cents, without the way from and to its neighbours."""
        return np.asarray(np.abs(self.off(wanted)[which]) + self.cost[which])

    def found(self, one: int, wanted: float, moved: float = 0.0, way: float = 0.0) -> Found:
        """One of the M for a wanted note; ``moved`` fingers from and to its neighbours cost ``way`` cents."""
        ease, steady = self.ease, self.steadiness
        off = float(self.off(wanted)[one])
        return Found(
            letters=self.playable.letters[self.which[one]],
            register=int(self.register[one]),
            frequency=float(self.frequency[one]),
            cents=off,
            halves=int(ease.halves[one] + ease.thumb_halves[one]),
            crossed=int(ease.crossed[one]),
            lifted=int(ease.lifted[one]),
            moved=moved,
            depth=float(steady.depth[one]),
            harder=float(steady.harder[one]),
            slip=float(steady.slip[one]),
            speech=speech_of(float(steady.depth[one])),
            cost=Cost(
                off=abs(off), moved=way, **{name: float(part[one]) for name, part in self.parts.items()}
            ),
        )


def choice_of(design: Design, found: Playable) -> Choice:
    """What each fingering of a design costs, whatever note is wanted.

    Parameters
    ----------
    design : Design
    found : Playable, of that design
    """
    which = np.flatnonzero(np.isfinite(found.frequency))
    fingered = design.fingered()
    state = codes(found.letters)[which]
    at = np.array([design.holes[hole].at for hole in fingered])
    frequency = found.frequency[which]
    return Choice(
        found, which, state, frequency,
        ease_of(state, found.fingers, at),
        steadiness_of(flutes_of(design), found.fingerings(which), frequency, fingered),
    )  # fmt: skip


Neighbour = tuple[float, str]
"""A note that is played beside the wanted one: Hz, and the letters of its fingering."""


def neighbours_of(design: Design) -> tuple[Neighbour, ...]:
    """The notes that the maker plays: the rows of the scale, and the overblown ones.

    Raises
    ------
    UnknownNameError
        when nobody offers the scale.
    """
    rows = zip(design.rows, ask.targets(design), strict=True)
    return tuple((hertz, "".join(row.holes)) for row, hertz in rows if row.counts or row.register > 1)


def find(
    design: Design,
    wanted: Sequence[float],
    *,
    best: int = BEST,
    halves: bool = True,
    registers: tuple[int, ...] = REGISTERS,
    neighbours: Sequence[Neighbour] | None = None,
    choice: Choice | None = None,
) -> tuple[tuple[Found, ...], ...]:
    """The best fingerings of each wanted note, the cheapest first.

    Nothing is left out on the way: every fingering within ``FAR`` cents is weighed.

    Parameters
    ----------
    design : Design
    wanted : Hz of each note
    best : how many fingerings of each note; fewer where there are no more within ``FAR`` cents
    halves, registers : as in ``playable``
    neighbours : what is played beside; None: the design's own rows (``neighbours_of``)
    choice : what ``choice_of`` gave for this design, so that it is not worked out again

    Raises
    ------
    EditError
        when there are too many holes to try all.
    UnknownNameError
        when nobody offers the scale, and ``neighbours`` are not given.
    """
    if choice is None:
        choice = choice_of(design, playable(design, halves=halves, registers=registers))
    around = neighbours_of(design) if neighbours is None else neighbours
    return tuple(_best(choice, hertz, _beside(hertz, around), best) for hertz in wanted)


def _best(choice: Choice, wanted: float, beside: Sequence[str], best: int) -> tuple[Found, ...]:
    near = choice.near(wanted)
    if not len(near):
        return ()
    state, moved, way = choice.state[near], np.zeros(len(near)), np.zeros(len(near))
    if beside:
        others = codes(beside)
        moved = fingers_moved(state, others).mean(axis=1)
        way = movement(state, others, choice.playable.fingers).mean(axis=1)
    ranked = cheapest(choice.alone(near, wanted) + way)[:best]
    return tuple(choice.found(int(near[i]), wanted, float(moved[i]), float(way[i])) for i in ranked)


def cheapest(cost: Floats) -> Indices:
    """Places of costs (n,) in cents, the least first; those that cost the same as they stand."""
    return np.argsort(np.rint(cost / ALIKE), kind="stable")


def _beside(wanted: float, around: Sequence[Neighbour]) -> tuple[str, ...]:
    """Fingerings of the nearest notes below and above, those that are not the wanted one itself."""
    off = [(float(CENT * np.log(hertz / wanted)), letters) for hertz, letters in around]
    below = max((each for each in off if each[0] < -FAR), key=lambda each: each[0], default=None)
    above = min((each for each in off if each[0] > FAR), key=lambda each: each[0], default=None)
    return tuple(letters for _, letters in filter(None, (below, above)))


def nearest(choice: Choice, wanted: float) -> Found | None:
    """The fingering that comes nearest, however far that is; None where the flute plays nothing."""
    if not len(choice.which):
        return None
    return choice.found(int(np.abs(choice.off(wanted)).argmin()), wanted)


def with_way(found: Found, moved: float, way: float) -> Found:
    """A fingering with another way to it: ``moved`` fingers, which costs ``way`` cents."""
    return replace(found, moved=moved, cost=replace(found.cost, moved=way))
