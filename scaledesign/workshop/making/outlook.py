"""What a fingering will sound, given all that was heard of this flute so far: Hz, and how sure that is.

A prediction goes by what readings taught of mouth, bore, wall and warmth; here the readings also speak for
themselves. What the model leaves out of a fingering that was read is known by then, and most of it stays when
the hole is opened further, or holes are drilled above. So a pilot hole tells where the finished hole will
come out, and a note that was read is foretold as it was read, moved by what has changed since.

All of it is one normal law conditioned on another. C. E. Rasmussen and C. K. I. Williams 2006, Gaussian
Processes for Machine Learning, equations 2.22 to 2.24 (from memory). How alike two fingerings are is common
practice, no source: ``SHARED``, ``SAME_OPENINGS`` and ``AS_WIDE``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from scaledesign.model.document import Design
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import STATE, Causes, Heard, Reading, Sound, hear, hear_each
from scaledesign.solver.prediction import spread_of
from scaledesign.solver.problem import CENT, Problem, problem_of, unread, voicing_of
from scaledesign.workshop.readings import readings_in_force

SHARED, SAME_OPENINGS = 0.25, 0.6
"""Shares of what the model leaves out of a fingering (as a variance): what all fingerings with an open hole
have of it, and what those have whose openings, from the topmost open hole down, are the same. The rest is its
own."""
AS_WIDE = 0.4
"""In natural logarithm of its width: how far a hole is opened until what is left out is another thing."""
BREATH = 1.5
"""Cents that readings of one fingering, taken one after the other, are off together."""


@dataclass(frozen=True)
class Told:
    """What is foretold of a sound: (N, M) Hz, and one standard deviation (N, M) in cents."""

    frequency: Floats
    sure: Floats
    heard: Heard


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

    def __init__(self, design: Design) -> None:
        self.design = design
        bare = replace(design, rows=())
        self.problem: Problem = problem_of(bare, ())
        self.readings: tuple[Reading, ...] = readings_in_force(design)
        self._spread = spread_of(self.problem, self.readings)
        self._state = self._fitted()
        self._heard = hear_each(self.readings)
        self._kinds = [kind for reading in self.readings for kind in _kinds(reading)]
        count = len(self.readings)
        if not count:
            return
        causes = Causes(self.readings)
        read = np.concatenate([causes.measured(h, self._spread, self.problem.doubts)[0] for h in self._heard])
        doubt = np.concatenate([reading.doubt for reading in self.readings])
        covariance = read @ read.T + doubt[:, None] * doubt * self._alike(self._kinds)[0]
        again = np.array(
            [[a.exactly == b.exactly and _close(a, b) for b in self._kinds] for a in self._kinds]
        )
        covariance += BREATH**2 * again + max(self.problem.doubts.tuner, 1e-3) ** 2 * np.eye(count)
        told = np.array([heard.frequency[0, 0] for heard in self._heard])
        left = CENT * np.log(np.array([reading.frequency for reading in self.readings]) / told)
        off = left + read[:, :STATE] @ self._state
        self._precision = np.linalg.inv(covariance)
        self._weight = self._precision @ off
        self._doubt = doubt

    def _fitted(self) -> Floats:
        """(5,) standard deviations by which the flute in force lies from what was believed before."""
        design, learned = self.design, self.design.learned
        if not self.readings:
            return np.zeros(STATE)
        before = unread(design)
        moved = np.array([
            (design.voicing.added_length or 0.0) - voicing_of(before).added_length,
            design.voicing.drift - before.voicing.drift,
            learned.bore, learned.wall, learned.warmth,
        ])  # fmt: skip
        return np.asarray(np.divide(moved, self._spread, out=np.zeros(STATE), where=self._spread > 0))

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
            return Told(heard.frequency, np.sqrt((prior**2).sum(-1) + sound.doubt**2), heard)
        causes = Causes([sound, *self.readings])
        loading = causes.measured(heard, self._spread, doubts)
        read = np.concatenate([causes.measured(h, self._spread, doubts)[0] for h in self._heard])
        alike = self._alike(_kinds(sound))
        covariance = loading @ read.T + sound.doubt[:, None] * alike * self._doubt
        mean = covariance @ self._weight - loading[..., :STATE] @ self._state
        known = ((covariance @ self._precision) * covariance).sum(-1)
        variance = (loading**2).sum(-1) + sound.doubt**2 - known
        return Told(heard.frequency * np.exp(mean / CENT), np.sqrt(np.maximum(variance, 1e-6)), heard)

    def _alike(self, kinds: Sequence[_Kind]) -> Floats:
        """(N, M, K) correlation of what is left out of each of M fingerings and of each reading."""
        count = max(len(kind.width) for kind in kinds)
        found = np.zeros((count, len(kinds), len(self._kinds)))
        for m, one in enumerate(kinds):
            for k, other in enumerate(self._kinds):
                if one.register != other.register:
                    continue
                if bool(one.openings) != bool(other.openings):
                    continue
                shared = SHARED if one.openings else 0.0
                near = np.exp(-0.5 * ((one.width - other.width[0]) / AS_WIDE) ** 2)
                same = SAME_OPENINGS * near if one.openings == other.openings else 0.0
                own = (1.0 - shared - SAME_OPENINGS) * near if one.exactly == other.exactly else 0.0
                found[:, m, k] = shared + same + own
        return found


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
    return one.register == other.register and abs(float(one.width[0] - other.width[0])) < 1e-4
