"""What is believed of a flute, and what readings do to it: one Gaussian over everything that may be off.

Every cause of error (the mouth, the bore, each hole's place and width, what the model leaves out of each
fingering) is one number of mean 0 and standard deviation 1; a sound, be it a row or a reading, hangs on them
through exact derivatives. The same cause is the same number wherever it acts, so that what moved a reading
moves the rows too. Five of them, the ``state``, are learnt: a fit applies their most probable values to the
flute (generalised least squares, which with these priors is the maximum a posteriori). All others are noise
with its covariance to the fit; what the readings tell of them is added to what the flute so fitted says. Fit,
expectation and ± all come from ``Lesson``; nothing here knows a document.

A. Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., section 14.8 (from memory): a prior is as many more
readings; the rest is the conditioning of one normal law on another.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from scaledesign.physics.arrays import Floats, Indices
from scaledesign.solver.hearing import Heard, Reading, Sound, hear_each
from scaledesign.solver.problem import CENT, Doubts, Problem
from scaledesign.values import dataclass

LEAST_NOISE = 1e-3
"""Cents of a reading: keeps the weights finite in a file that denies every doubt."""
STEPS, LONGEST, SETTLED = 60, 0.02, 1e-7
"""Most steps of a fit; m: the longest step of the added length; standard deviations: the last step."""
SHORTER = 0.7
"""Share of the added length that one step may take away: it never falls to nothing."""
ALONE = 200.0
"""Cents that the model may leave out of a note whose readings are to be believed against all others: so many
that they tell of nothing else (proposed here, no source)."""
STATE = 5
"""How many causes are learnt: ``problem.Before`` names them."""


class Causes:
    """Everything that may be off in some sounds, each once: the columns of their loadings.

    In order: the state; each length that a tube was cut to; each hole's place, then each one's diameter; what
    the model leaves out, once for each fingering of each tube.
    """

    def __init__(self, sounds: Sequence[Sound]) -> None:
        lengths: dict[float, int] = {}
        left_out: dict[object, int] = {}
        for sound in sounds:
            lengths.setdefault(sound.cut_to, len(lengths))
            for key in sound.marks():
                left_out.setdefault(key, len(left_out))
        self._lengths, self._left_out = lengths, left_out
        self._alone = {
            key for sound in sounds if isinstance(sound, Reading) and sound.alone for key in sound.marks()
        }
        self._holes = 1 + max((hole for sound in sounds for hole in sound.holes), default=-1)
        self._first = STATE + len(lengths) + 2 * self._holes
        self.count = self._first + len(left_out)

    def length(self, sound: Sound) -> int:
        """Column of the length that its tube was cut to."""
        return STATE + self._lengths[sound.cut_to]

    def at(self, sound: Sound) -> Indices:
        """(H,) columns of its holes' places."""
        return STATE + len(self._lengths) + np.array(sound.holes, dtype=np.intp)

    def diameter(self, sound: Sound) -> Indices:
        """(H,) columns of their diameters."""
        return self.at(sound) + self._holes

    def left_out(self, sound: Sound) -> Indices:
        """(M,) columns of what the model leaves out of each fingering."""
        return self._first + np.array([self._left_out[key] for key in sound.marks()], dtype=np.intp)

    def doubt(self, sound: Sound) -> Floats:
        """(M,) cents that the model may leave out of each fingering."""
        if not self._alone:
            return sound.doubt
        return np.where([key in self._alone for key in sound.marks()], ALONE, sound.doubt)

    def loading(self, heard: Heard, spread: Floats, doubts: Doubts) -> Floats:
        """(N, M, P) cents for one standard deviation of each cause; ``spread`` (5,) is that of the state."""
        block = self.measured(heard, spread, doubts)
        own = self.left_out(heard.sound)
        block[..., np.arange(len(own)), own] = self.doubt(heard.sound)
        return block

    def measured(self, heard: Heard, spread: Floats, doubts: Doubts) -> Floats:
        """The same of the state and of what rule and calliper measure, without what the model leaves out."""
        s, sound = heard.sensitivity, heard.sound
        block = np.zeros((*s.length.shape, self.count))
        state = np.stack([s.added_length, s.drift, s.bore, s.wall, s.temperature], axis=-1)
        block[..., :STATE] = state * spread
        block[..., self.length(sound)] = s.length * doubts.length
        block[..., self.at(sound)] = s.at * doubts.at
        block[..., self.diameter(sound)] = s.diameter * doubts.diameter
        return block


def loadings(problem: Problem, spread: Floats, heard: Sequence[Heard]) -> tuple[Floats, ...]:
    """Cents of each sound for one standard deviation of each of their ``Causes``: an array for each."""
    causes = Causes([each.sound for each in heard])
    return tuple(causes.loading(each, spread, problem.doubts) for each in heard)


@dataclass(frozen=True)
class Lesson:
    """What K readings together teach about the state: ``read`` (N, K, P) their loadings, ``tuner`` cents."""

    read: Floats
    tuner: float

    @cached_property
    def _covariance(self) -> Floats:
        """(N, K, K) cents² in which the readings were expected to scatter."""
        noise = (self.tuner**2 + LEAST_NOISE**2) * np.eye(self.read.shape[1])
        return np.asarray(self.read @ self.read.transpose(0, 2, 1) + noise)

    @cached_property
    def precision(self) -> Floats:
        """(N, K, K) its inverse."""
        return np.asarray(np.linalg.inv(self._covariance))

    @cached_property
    def gain(self) -> Floats:
        """(N, 5, K) standard deviations by which the fit moves for a cent that each reading is sharper."""
        return np.linalg.solve(self._covariance, self.read[..., :STATE]).transpose(0, 2, 1)

    @property
    def left(self) -> Floats:
        """(N, 5) one standard deviation of the fitted state, as a share of what it was before."""
        known = (self.gain * self.read[..., :STATE].transpose(0, 2, 1)).sum(axis=2)
        return np.asarray(np.sqrt(np.maximum(1.0 - known, 0.0)))

    @cached_property
    def taken(self) -> Floats:
        """(N, K, P) the same of every cause: what a cent that a reading is sharper lets expect of it."""
        return np.asarray(np.linalg.solve(self._covariance, self.read))

    def variance(self, rows: Floats) -> Floats:
        """Cents² (N, R) of what will be heard less what is expected; ``rows`` (N, R, P)."""
        known = ((rows @ self.taken.transpose(0, 2, 1)) * (rows @ self.read.transpose(0, 2, 1))).sum(axis=-1)
        return np.asarray(np.maximum((rows**2).sum(axis=-1) - known, 0.0))

    def beside(self, rows: Floats, left: Floats) -> Floats:
        """Cents (N, R) by which rows are expected above what the flute so fitted says.

        It is what the readings tell of the causes that are not learnt, such as what the model leaves out of
        the very note that was read. ``left`` (N, K) cents is how far each reading lies above that flute.
        """
        own = self.read[..., STATE:]
        noise = (self.tuner**2 + LEAST_NOISE**2) * np.eye(own.shape[1])
        weighed = np.linalg.solve(own @ own.transpose(0, 2, 1) + noise, left[..., None])
        return np.asarray((rows[..., STATE:] @ (own.transpose(0, 2, 1) @ weighed))[..., 0])

    def unlikely(self, off: Floats) -> Floats:
        """Each reading by itself against what was expected before any, (N, K) standard deviations."""
        return np.asarray(off / np.sqrt(np.diagonal(self._covariance, axis1=1, axis2=2)))

    def surprise(self, off: Floats) -> tuple[Floats, Floats]:
        """Each reading against all others: cents above what they say (N, K), and that over its ± (N, K).

        ``off`` (N, K) cents is how far each was from what was expected before any reading. Leaving one out of
        a normal law: R. D. Cook and S. Weisberg 1982, Residuals and Influence in Regression, section 2.2
        (from memory); the inverse covariance holds all of them.
        """
        own = np.diagonal(self.precision, axis1=1, axis2=2)
        weighed = (self.precision @ off[..., None])[..., 0]
        return np.asarray(weighed / own), np.asarray(weighed / np.sqrt(own))

    def beyond(self, off: Floats, by: Sequence[int]) -> Floats:
        """Cents (N, K) by which each reading lies above what those numbered ``by`` say."""
        among = list(by)
        said = np.linalg.solve(self._covariance[:, among][:, :, among], off[:, among, None])
        return np.asarray(off - (self._covariance[:, :, among] @ said)[..., 0])


@dataclass(frozen=True)
class Fit:
    """What N sets of K readings say.

    ``state`` (N, 5) is what to add to the flutes the readings were given with, ``doubt`` (N, 5) one standard
    deviation of it; ``predicted`` (N, K) Hz are the readings as the flutes so fitted have them; ``off``
    (N, K) cents are the readings from what was expected of them before, in the straight line through the fit.
    """

    state: Floats
    doubt: Floats
    predicted: Floats
    off: Floats
    lesson: Lesson
    heard: tuple[Heard, ...]
    """The sounds as ``predicted``."""
    at: Floats
    """(N, 5) the state that they were heard at, less than a step from ``state``."""


def fit(
    problem: Problem,
    sounds: Sequence[Sound],
    read: Floats,
    start: Floats | None = None,
    near: Sequence[Heard] = (),
    settled: float = SETTLED,
) -> Fit:
    """The most probable state given the readings, by Gauss and Newton until it stands still.

    Parameters
    ----------
    problem : Problem, for its doubts
    sounds : K of one fingering each, as expected before any reading
    read : (N, K) Hz; N sets of readings are fitted side by side
    start : (5,) a state that lies near; None: what was believed before
    near : the sounds of a like flute, to start from
    settled : standard deviations; a step that is shorter is the last, and goes by the straight line

    Raises
    ------
    NoPitchError
    """
    spread = problem.before.spread
    scaled = np.zeros((len(read), STATE))
    if start is not None:
        scaled += np.divide(start, spread, out=np.zeros(STATE), where=spread > 0)
    heard = tuple(near) if len(read) == 1 else ()
    at = scaled
    for _ in range(STEPS):
        at = scaled
        heard = hear_each([sound.altered(scaled * spread) for sound in sounds], heard)
        predicted = np.concatenate([each.frequency for each in heard], axis=1)
        lesson = Lesson(np.concatenate(loadings(problem, spread, heard), axis=1), problem.doubts.tuner)
        slope = lesson.read[..., :STATE]
        off = CENT * np.log(read / predicted) + (slope @ scaled[..., None])[..., 0]
        step = (lesson.gain @ off[..., None])[..., 0] - scaled
        if np.abs(step).max() < settled:
            scaled = scaled + step
            break
        added = sounds[0].flutes.added_length + scaled[:, 0] * spread[0]
        scaled = scaled + step * _held(step[:, 0] * spread[0], added)[:, None]
    return Fit(scaled * spread, lesson.left * spread, predicted, off, lesson, heard, at * spread)


def _held(step: Floats, added: Floats) -> Floats:
    """Share (N,) of a step of the added length (m) that is taken."""
    far = np.maximum(np.abs(step), 1e-12)
    down = np.where(step < 0, SHORTER * added / far, 1.0)
    return np.asarray(np.minimum(np.minimum(1.0, LONGEST / far), down))
