"""What a fingering will sound, given all that was heard of this flute so far: Hz, and how sure that is.

A prediction goes by what readings taught of mouth, bore, wall and warmth; here the readings also speak for
themselves. What the model leaves out of a fingering that was read is known by then, and most of it stays when
the hole is opened further, or holes are drilled above. So a pilot hole tells where the finished hole will
come out, and a note that was read is foretold as it was read, moved by what has changed since.

All of it is one normal law conditioned on another. C. E. Rasmussen and C. K. I. Williams 2006, Gaussian
Processes for Machine Learning, equations 2.22 to 2.24 (from memory). How alike two fingerings are is common
practice, no source: ``SHARED``, ``OWN`` and ``AS_WIDE``.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import replace

import numpy as np

from scaledesign.model.document import Design
from scaledesign.model.widths import hole_then, length_now, was_there
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import STATE, Causes
from scaledesign.solver.hearing import Heard, Reading, Sound, hear, hear_each
from scaledesign.solver.prediction import spread_of
from scaledesign.solver.problem import CENT, Problem, problem_of, state_in_force
from scaledesign.values import dataclass
from scaledesign.workshop.calibration import Known
from scaledesign.workshop.making.tries import ALIKE, doubted
from scaledesign.workshop.readings import named, readings_of

SHARED, OWN = 0.25, 0.12
"""Shares (of a variance) of what the model leaves out of a plain fingering: what all fingerings with an open
hole have of it, and what is its own even among those whose openings, from the topmost open hole down, are the
same. The rest goes with the openings."""
OWN_CLOSED = 0.4
"""The latter of fingerings with no hole open: the bare tube is not quite the tube with its holes closed."""
AS_WIDE = 0.4
"""In natural logarithm of its width: how far a hole is opened until what is left out is another thing."""
SLIP = 5e-5
"""m: one standard deviation by which a width is not what was noted, anew each time a hole is worked on."""
COLD, WARMS = 1.2, 0.5
"""Cents that the first note is flat after work on the tube, which has cooled meanwhile, and how much of it is
left with each note more (common practice, no source); one step more where the tube lay overnight."""
DAY = 1.4
"""Cents that all readings of a day are off together: 1 K by which a thermometer is off, of which the air in
the tube, half of it breath, takes half (common practice, no source)."""
NEWEST = 120
"""So many readings speak for themselves, the newest; older ones only by what they taught."""
MISREAD = 4.0
"""Standard deviations from which one of two readings of a note that are not alike is taken for misread."""
BREATH, LASTS = 2.0, 0.75
"""Cents by which a player's breath wanders, and how much of it is still there one reading later (common
practice, no source): a note that is blown three times on end is hardly surer than blown twice."""
FACTORS, USUAL = (1.0, 1.4, 2.0, 2.8, 4.0), 0.7
"""How many times its usual doubt the model may leave out of this flute, as its readings say; and how far from
1, in natural logarithm, that usually is."""


def outlook_of(design: Design, known: Known | None = None) -> Outlook:
    """The outlook of a design; what its readings say is kept, however the rest of the plan is changed.

    ``known`` is what is known of its readings, so that they need not be heard again.

    Raises
    ------
    NoPitchError
    """
    place = len(design.log)
    told = [e for e in design.log if e.event == "measured" and e.holes]
    kept = any(row.measured for row in design.rows) and not all(entry.drilled for entry in told)
    story = replace(
        design,
        name="",
        notes="",
        text=None,
        rows=tuple(replace(row, note="", cents=0.0) for row in design.rows),
        tube=replace(design.tube, length=length_now(design) or design.tube.length, blank=None, avoid=()),
        holes=tuple(
            hole_then(design, i, place)
            if kept or was_there(design, i, place)
            else replace(hole, at=0.0, diameter=0.01)
            for i, hole in enumerate(design.holes)
        ),
    )
    if story not in _KEPT:
        while len(_KEPT) >= MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)))
        _KEPT[story] = Outlook(story, known)
    found = copy(_KEPT[story])
    found.design = design
    return found


_KEPT: dict[Design, Outlook] = {}
MOST_KEPT = 8


@dataclass(frozen=True)
class Told:
    """What is foretold of a sound: (N, M) Hz, and one standard deviation (N, M) in cents."""

    frequency: Floats
    sure: Floats


@dataclass(frozen=True)
class _Kind:
    """What tells how alike two fingerings are."""

    openings: tuple[tuple[int, float], ...]
    register: int
    exactly: object
    width: Floats
    """(N,) natural logarithm of the topmost open hole's radius; 0 where none is open."""


class Outlook:
    """Foretells sounds of one flute from its readings; made once, asked often.

    Raises
    ------
    NoPitchError
        where a reading cannot sound.
    """

    def __init__(self, design: Design, known: Known | None = None) -> None:
        self.design = design
        bare = replace(design, rows=())
        self.problem: Problem = problem_of(bare, ())
        every = known.readings if known else readings_of(design) if design.voicing.calibrated else ()
        out = doubted(design)
        keep = [i for i, reading in enumerate(every[-NEWEST:]) if named(reading) not in out]
        self.readings: tuple[Reading, ...] = tuple(every[-NEWEST:][i] for i in keep)
        self._spread = spread_of(self.problem, self.readings)
        moved = state_in_force(design) if self.readings else np.zeros(STATE)
        self._state = self._shares(moved)
        self._at = self._shares(known.at) if known else self._state
        self.heard = known.heard[-NEWEST:] if known else hear_each(every[-NEWEST:])
        """What all readings sound on the flute in force, those in doubt too."""
        self._heard = tuple(self.heard[i] for i in keep)
        if not self.readings:
            return
        self._learn()
        while len(self.readings) > 2 and self._contradicted():
            self._learn()

    def _shares(self, state: Floats) -> Floats:
        """(5,) standard deviations."""
        return np.asarray(np.divide(state, self._spread, out=np.zeros(STATE), where=self._spread > 0))

    def _learn(self) -> None:
        """Weigh the readings."""
        doubts = self.problem.doubts
        causes = Causes(self.readings)
        read = np.concatenate([causes.measured(h, self._spread, doubts)[0] for h in self._heard])
        self._doubt = np.concatenate([reading.doubt for reading in self.readings])
        self._kinds = [kind for reading in self.readings for kind in _kinds(reading)]
        self._made = [_widths(heard) for heard in self._heard]
        measured = read @ read.T + np.array([self._as_made(heard)[0, 0] for heard in self._heard])
        left_out = np.array([
            self._left_out([kind], self._doubt[k : k + 1])[0, 0] for k, kind in enumerate(self._kinds)
        ])  # fmt: skip
        order = np.arange(len(self.readings))
        days = np.array([-1 if r.day is None else r.day for r in self.readings])
        wandering = BREATH**2 * LASTS ** np.abs(order[:, None] - order) + DAY**2
        noise = np.where(days[:, None] == days, wandering, 0.0)
        noise += max(doubts.tuner, 1e-3) ** 2 * np.eye(len(self.readings))
        cold = np.array([0.0 if r.since is None else COLD * WARMS**r.since for r in self.readings])
        noise += np.diag((0.5 * cold) ** 2)
        told = np.array([heard.frequency[0, 0] for heard in self._heard])
        left = cold + CENT * np.log(np.array([reading.frequency for reading in self.readings]) / told)
        off = left + read[:, :STATE] @ self._at
        best = -np.inf
        for factor in FACTORS:
            precision = np.linalg.inv(measured + noise + factor**2 * left_out)
            weight = precision @ off
            fits = (
                0.5 * (np.linalg.slogdet(precision)[1] - off @ weight) - 0.5 * (np.log(factor) / USUAL) ** 2
            )
            if fits > best:
                best, self._factor, self._precision, self._weight = fits, factor, precision, weight

    @property
    def surprise(self) -> Floats:
        """(K,) standard deviations by which each reading lies from what all others say."""
        return np.asarray(self._weight / np.sqrt(np.diag(self._precision)))

    def _contradicted(self) -> bool:
        """Leave out the reading that another one of the same note, and all the rest, say cannot be."""
        off = self._weight / np.diag(self._precision)
        for k in np.argsort(-np.abs(self.surprise)):
            twice = sum(_close(self._kinds[k], kind) for kind in self._kinds) > 1
            if abs(self.surprise[k]) > MISREAD and abs(off[k]) > ALIKE and twice:
                keep = [i for i in range(len(self.readings)) if i != k]
                self.readings = tuple(self.readings[i] for i in keep)
                self._heard = tuple(self._heard[i] for i in keep)
                return True
        return False

    def tell(self, sound: Sound) -> Told:
        """Foretell some fingerings of N like flutes.

        Raises
        ------
        NoPitchError
        """
        heard = hear(sound)
        doubts = self.problem.doubts
        if not self.readings:
            causes = Causes([sound])
            prior = causes.measured(heard, self._spread, doubts)
            own = ((heard.sensitivity.diameter * SLIP) ** 2).sum(-1)
            return Told(heard.frequency, np.sqrt((prior**2).sum(-1) + sound.doubt**2 + own))
        causes = Causes([sound, *self.readings])
        loading = causes.measured(heard, self._spread, doubts)
        read = np.concatenate([causes.measured(h, self._spread, doubts)[0] for h in self._heard])
        left_out = self._factor**2 * self._left_out(_kinds(sound), sound.doubt)
        covariance = loading @ read.T + left_out + self._as_made(heard)
        mean = covariance @ self._weight - loading[..., :STATE] @ self._state
        known = ((covariance @ self._precision) * covariance).sum(-1)
        own = ((heard.sensitivity.diameter * SLIP) ** 2).sum(-1)
        variance = (loading**2).sum(-1) + (self._factor * sound.doubt) ** 2 + own - known
        return Told(heard.frequency * np.exp(mean / CENT), np.sqrt(np.maximum(variance, 1e-6)))

    def _left_out(self, kinds: Sequence[_Kind], doubt: Floats) -> Floats:
        """(N, M, K) cents²: covariance of what is left out of each of M fingerings and of each reading."""
        count = max(len(kind.width) for kind in kinds)
        found = np.zeros((count, len(kinds), len(self._kinds)))
        base = self.problem.doubts.model
        mine, theirs = _parts(kinds, doubt, base), _parts(self._kinds, self._doubt, base)
        for m, one in enumerate(kinds):
            for k, other in enumerate(self._kinds):
                if one.register != other.register or bool(one.openings) != bool(other.openings):
                    continue
                near = np.exp(-0.5 * ((one.width - other.width[0]) / AS_WIDE) ** 2)
                shared, same, own = mine[m] * theirs[k]
                found[:, m, k] = shared
                if one.openings == other.openings:
                    found[:, m, k] += same * near
                    if one.exactly == other.exactly:
                        found[:, m, k] += own * near
        return found

    def _as_made(self, heard: Heard) -> Floats:
        """(N, M, K) cents²: what sounds have in common since a hole is just as wide in both, slip and all."""
        width, slope = _widths(heard)
        found = np.zeros((*heard.frequency.shape, len(self.readings)))
        places = {hole: i for i, hole in enumerate(heard.sound.holes)}
        for k, (reading, (other, effect)) in enumerate(zip(self.readings, self._made, strict=True)):
            for j, hole in enumerate(reading.holes):
                if hole in places:
                    i = places[hole]
                    same = np.abs(width[:, i] - other[0, j]) < 1e-6
                    found[:, :, k] += np.where(same[:, None], slope[:, :, i] * effect[0, 0, j], 0.0)
        return found


def _widths(heard: Heard) -> tuple[Floats, Floats]:
    """Widths (N, H) m of the holes, and cents (N, M, H) for one slip of each."""
    return 2 * heard.sound.flutes.radius, heard.sensitivity.diameter * SLIP


def _parts(kinds: Sequence[_Kind], doubt: Floats, base: float) -> Floats:
    """(M, 3) cents: what is left out of each, parted as ``SHARED``, by its openings, and ``OWN``."""
    plain = np.minimum(doubt, base)
    opened = np.array([bool(kind.openings) for kind in kinds])
    shared = np.where(opened, SHARED, 0.0) * plain**2
    own = np.where(opened, OWN, OWN_CLOSED) * plain**2
    return np.asarray(np.sqrt(np.stack([shared, doubt**2 - shared - own, own], axis=-1)))


def _kinds(sound: Sound) -> list[_Kind]:
    flutes, fingerings = sound.flutes, sound.fingerings
    order = np.argsort(flutes.at[0]) if sound.holes else np.zeros(0, np.intp)
    length = round(float(flutes.length[0]), 4)
    found = []
    for m in range(fingerings.count):
        share = fingerings.share[:, m]
        opened = [i for i in order if share[i] > 0]
        below = list(order)[list(order).index(opened[0]) :] if opened else []
        openings = tuple((sound.holes[i], round(float(share[i]), 4)) for i in below)
        width = np.log(flutes.radius[:, opened[0]]) if opened else np.zeros(flutes.count)
        register = int(fingerings.register[m])
        found.append(_Kind(openings, register, (sound.holes, openings, length), width))
    return found


def _close(one: _Kind, other: _Kind) -> bool:
    """Whether it is the same fingering of the same tube, its hole as wide."""
    if one.exactly != other.exactly:
        return False
    return one.register == other.register and abs(float(one.width[0] - other.width[0])) < 1e-4
