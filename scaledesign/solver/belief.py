"""What is believed of a flute, and what readings do to it: one Gaussian over everything that may be off.

Every cause of error (the mouth, the bore, each hole's place and width, what the model leaves out of each
fingering) is one number of mean 0 and standard deviation 1; a sound, be it a row or a reading, hangs on them
through exact derivatives. The same cause is the same number wherever it acts, so that what moved a reading
moves the rows too. Five of them, the ``state``, are learnt: a fit applies their most probable values to the
flute (generalised least squares, which with these priors is the maximum a posteriori). All others stay
unknown and are noise with its covariance. Fit and ± both come from ``Lesson``; nothing here knows a document.

A. Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., section 14.8 (from memory): a prior is as many more
readings; the rest is the conditioning of one normal law on another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.physics.arrays import Floats, Indices
from scaledesign.physics.flute import Flutes, joined
from scaledesign.physics.gradient import derivatives
from scaledesign.solver.problem import CENT, Doubts, Problem, altered
from scaledesign.solver.resonance import Fingerings, Resonances, sounded
from scaledesign.solver.sensitivity import Sensitivity, sensitivities
from scaledesign.values import dataclass

LEAST_NOISE = 1e-3
"""Cents of a reading: keeps the weights finite in a file that denies every doubt."""
STEPS, LONGEST, SETTLED = 60, 0.02, 1e-7
"""Most steps of a fit; m: the longest step of the added length; standard deviations: the last step."""
SHORTER = 0.7
"""Share of the added length that one step may take away: it never falls to nothing."""
WASTE = 3
"""How many times the fingerings asked for may be played, for the sake of playing several tubes at once."""
SPARE = 20
"""Where that would be too much: fingerings that nobody asked for which are played for the sake of one tube
more. A tube by itself costs as much as about a hundred."""
STATE = 5
"""How many causes are learnt: ``problem.Before`` names them."""

Column = tuple[tuple[float, ...], int]
"""Open share of each hole, and register: a fingering of a tube."""


@dataclass(frozen=True)
class Sound:
    """Some fingerings of one tube as it was when they sounded: what is, or would be, heard of a flute.

    ``holes`` (H,) are those there were, counted in the design; ``doubt`` (M,) cents is what the model leaves
    out.
    """

    flutes: Flutes
    fingerings: Fingerings
    holes: tuple[int, ...]
    doubt: Floats

    def altered(self, state: Floats) -> Sound:
        """The same of N flutes whose ``state`` (N, 5) differs by so much."""
        return replace(self, flutes=altered(self.flutes, state))


@dataclass(frozen=True)
class Reading(Sound):
    """One reading of a tuner: a fingering (or the bare tube) that sounded ``frequency`` Hz.

    ``row`` is the row of the design it belongs to, or None; ``label`` says which note it is, ``said`` is what
    the tuner showed, as written.
    """

    frequency: float
    row: int | None = None
    label: str = ""
    said: str = ""
    since: int | None = None
    """How many notes were blown since the tube was worked on; None where that is not known."""
    day: int | None = None
    """Which day it was (``date.toordinal``); None where that is not known."""


@dataclass(frozen=True)
class Heard:
    """Sounds as the model has them: frequencies (N, M) in Hz and what they hang on."""

    sound: Sound
    found: Resonances
    sensitivity: Sensitivity
    depth: Floats
    """(N, M) impedance left at resonance over rho c / S."""

    @property
    def frequency(self) -> Floats:
        """(N, M) Hz."""
        return self.found.frequency

    def of(self, flutes: slice) -> Heard:
        """Of some of the flutes; ``sound`` stays that of all."""
        s = self.sensitivity
        return Heard(
            self.sound,
            Resonances(self.found.frequency[flutes], self.found.level[flutes]),
            Sensitivity(*(getattr(s, name)[flutes] for name in Sensitivity.__dataclass_fields__)),
            self.depth[flutes],
        )

    def part(self, sound: Sound, columns: list[int]) -> Heard:
        """Some of the fingerings, which are those of ``sound``."""
        s = self.sensitivity
        return Heard(
            sound,
            Resonances(self.found.frequency[:, columns], self.found.level[:, columns]),
            Sensitivity(*(getattr(s, name)[:, columns] for name in Sensitivity.__dataclass_fields__)),
            self.depth[:, columns],
        )


def hear(sound: Sound, near: Resonances | None = None, *, losses: bool = True) -> Heard:
    """Play some fingerings.

    Raises
    ------
    NoPitchError
    """
    found, field = sounded(sound.flutes, sound.fingerings, near=near, losses=losses)
    s = sensitivities(sound.flutes, derivatives(field))
    return Heard(sound, found, s, np.abs(field.impedance.real))


def hear_each(
    sounds: Sequence[Sound], near: Sequence[Heard] = (), *, known: Sequence[Heard] = ()
) -> tuple[Heard, ...]:
    """Play several sounds of one flute; those of one tube in one room go together, and none twice.

    Parameters
    ----------
    sounds : of like states, as a fit has them
    near : the same sounds of a like flute, to start from
    known : what was heard before of the very same flute

    Raises
    ------
    NoPitchError
    """
    found: dict[int, Heard] = {}
    alike: dict[object, list[int]] = {}
    for i, sound in enumerate(sounds):
        for each in known:
            columns = {key: column for column, key in enumerate(_keys(each.sound))}
            keys = _keys(sound)
            if _tube(each.sound) == _tube(sound) and all(key in columns for key in keys):
                found[i] = each.part(sound, [columns[key] for key in keys])
        if i not in found:
            alike.setdefault(_body(sound), []).append(i)
    for group in alike.values():
        for members in _batches(sounds, group):
            found.update(_together(sounds, members, near))
    return tuple(found[i] for i in range(len(sounds)))


def _batches(sounds: Sequence[Sound], group: list[int]) -> list[list[int]]:
    """Sounds of tubes with the same holes, parted so that few fingerings are played that nobody asked for."""
    tubes: dict[object, list[int]] = {}
    for i in group:
        tubes.setdefault(_tube(sounds[i]), []).append(i)
    asked = sum(sounds[i].fingerings.count for i in group)
    columns = len({key for i in group for key in _columns(sounds[i])})
    if len(tubes) * columns <= WASTE * asked:
        return [group]
    return _gathered([({key for i in tube for key in _columns(sounds[i])}, tube) for tube in tubes.values()])


def _gathered(tubes: list[tuple[set[Column], list[int]]]) -> list[list[int]]:
    """Tubes, each with its fingerings, in batches: those that are fingered alike together."""
    batches: list[list[int]] = []
    count, columns = 0, set[Column]()
    for asked, tube in sorted(tubes, key=lambda each: sorted(each[0])):
        together = columns | asked
        spare = (count + 1) * len(together) - count * len(columns) - len(asked)
        if count and spare <= SPARE:
            count, columns = count + 1, together
            batches[-1] += tube
        else:
            count, columns = 1, asked
            batches.append(list(tube))
    return batches


def _together(sounds: Sequence[Sound], group: list[int], near: Sequence[Heard]) -> dict[int, Heard]:
    """Sounds of several tubes with the same holes, played at once: every fingering on every tube."""
    tubes: dict[object, int] = {}
    columns: dict[object, int] = {}
    places: list[tuple[int, list[int]]] = []
    first: list[Sound] = []
    share: list[Floats] = []
    register: list[int] = []
    for i in group:
        sound = sounds[i]
        if _tube(sound) not in tubes:
            tubes[_tube(sound)] = len(first)
            first.append(sound)
        for m, key in enumerate(_columns(sound)):
            if key not in columns:
                columns[key] = len(share)
                share.append(sound.fingerings.share[:, m])
                register.append(int(sound.fingerings.register[m]))
        places.append((tubes[_tube(sound)], [columns[key] for key in _columns(sound)]))
    count = first[0].flutes.count
    fingerings = Fingerings(np.array(share).T.reshape(-1, len(share)), np.array(register, np.intp))
    start = _start(near, group, places, len(first), count, len(share)) if near else None
    whole = replace(
        first[0], flutes=joined([sound.flutes for sound in first]), fingerings=fingerings,
        doubt=np.zeros(len(share)),
    )  # fmt: skip
    try:
        heard = hear(whole, start)
    except NoPitchError as error:
        if len(first) > 1:  # perhaps only of a tube and a fingering that nobody asked for together
            return {
                i: part
                for tube in range(len(first))
                for i, part in _together(
                    sounds, [i for i, (place, _) in zip(group, places, strict=True) if place == tube], near
                ).items()
            }
        raise NoPitchError((), _silent([sounds[i] for i in group], error.rows)) from None
    return {
        i: heard.of(slice(tube * count, (tube + 1) * count)).part(sounds[i], asked)
        for i, (tube, asked) in zip(group, places, strict=True)
    }


def _start(
    near: Sequence[Heard],
    group: list[int],
    places: list[tuple[int, list[int]]],
    tubes: int,
    count: int,
    columns: int,
) -> Resonances:
    """Where to look for every fingering on every tube: where it was heard, else where another tube had it."""
    frequency = np.full((tubes, count, columns), np.nan)
    level = np.zeros((tubes, count, columns), np.intp)
    for i, (tube, asked) in zip(group, places, strict=True):
        frequency[tube][:, asked] = near[i].found.frequency
        level[tube][:, asked] = near[i].found.level
    for column in range(columns):
        known = np.flatnonzero(~np.isnan(frequency[:, 0, column]))
        for other in np.flatnonzero(np.isnan(frequency[:, 0, column])):
            like = known[np.abs(known - other).argmin()]
            frequency[other, :, column] = frequency[like, :, column]
            level[other, :, column] = level[like, :, column]
    return Resonances(frequency.reshape(-1, columns), level.reshape(-1, columns))


def _silent(sounds: Sequence[Sound], columns: Sequence[int]) -> str:
    """Which of several sounds have no pitch, and what to do."""
    keys = list(dict.fromkeys(key for sound in sounds for key in _columns(sound)))
    silent = {keys[i] for i in columns}
    named = [
        f"{sound.label} ({sound.said})"
        for sound in sounds
        if isinstance(sound, Reading) and silent & set(_columns(sound))
    ]
    if not named:
        return "The bare tube has no pitch: look at its length and its bore."
    notes = ", ".join(dict.fromkeys(named))
    return (
        f"Nothing on this flute can sound as read for {notes}: take the reading back, or mend its fingering "
        "or its register."
    )


def _tube(sound: Sound) -> object:
    """What tells tubes, rooms and widths of holes of one flute apart."""
    flutes = sound.flutes
    holes = (flutes.at[0], flutes.radius[0])
    room = float(flutes.air.c[0]), flutes.body.cooling
    return _body(sound), _length(sound), *room, *(part.tobytes() for part in holes)


def _body(sound: Sound) -> object:
    """What tubes must have in common to be played at once."""
    body = sound.flutes.body
    return sound.holes, body.hole_undercut.tobytes(), sound.flutes.count


def _columns(sound: Sound) -> list[Column]:
    """What tells one fingering of a tube from another."""
    share, register = sound.fingerings.share, sound.fingerings.register
    return [(tuple(share[:, m].tolist()), int(register[m])) for m in range(len(register))]


def rows_of(problem: Problem) -> Sound:
    """The rows of a problem, every hole drilled."""
    every = tuple(range(problem.flutes.at.shape[1]))
    return Sound(problem.flutes, problem.fingerings, every, problem.model_doubt)


class Causes:
    """Everything that may be off in some sounds, each once: the columns of their loadings.

    In order: the state; each length that a tube was cut to; each hole's place, then each one's diameter; what
    the model leaves out, once for each fingering of each tube.
    """

    def __init__(self, sounds: Sequence[Sound]) -> None:
        lengths: dict[float, int] = {}
        left_out: dict[object, int] = {}
        for sound in sounds:
            lengths.setdefault(_length(sound), len(lengths))
            for key in _keys(sound):
                left_out.setdefault(key, len(left_out))
        self._lengths, self._left_out = lengths, left_out
        self._holes = 1 + max((hole for sound in sounds for hole in sound.holes), default=-1)
        self._first = STATE + len(lengths) + 2 * self._holes
        self.count = self._first + len(left_out)

    def length(self, sound: Sound) -> int:
        """Column of the length that its tube was cut to."""
        return STATE + self._lengths[_length(sound)]

    def at(self, sound: Sound) -> Indices:
        """(H,) columns of its holes' places."""
        return STATE + len(self._lengths) + np.array(sound.holes, dtype=np.intp)

    def diameter(self, sound: Sound) -> Indices:
        """(H,) columns of their diameters."""
        return self.at(sound) + self._holes

    def left_out(self, sound: Sound) -> Indices:
        """(M,) columns of what the model leaves out of each fingering."""
        return self._first + np.array([self._left_out[key] for key in _keys(sound)], dtype=np.intp)

    def loading(self, heard: Heard, spread: Floats, doubts: Doubts) -> Floats:
        """(N, M, P) cents for one standard deviation of each cause; ``spread`` (5,) is that of the state."""
        block = self.measured(heard, spread, doubts)
        own = self.left_out(heard.sound)
        block[..., np.arange(len(own)), own] = heard.sound.doubt
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


def _length(sound: Sound) -> float:
    return round(float(sound.flutes.length[0]), 7)


def _keys(sound: Sound) -> list[object]:
    """What tells one fingering of one tube from another, for each of the sound's."""
    share, register = sound.fingerings.share, sound.fingerings.register
    return [(_length(sound), sound.holes, tuple(share[:, m]), int(register[m])) for m in range(len(register))]


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

    def variance(self, rows: Floats) -> Floats:
        """Cents² (N, R) of what will be heard less what the flute so fitted says; ``rows`` (N, R, P)."""
        error, noise = self.error(rows)
        return np.asarray((error**2).sum(axis=-1) + (noise**2).sum(axis=-1))

    def error(self, rows: Floats) -> tuple[Floats, Floats]:
        """That difference itself: cents for each cause (N, R, P), and for each reading's tuner (N, R, K)."""
        taken_on = rows[..., :STATE] @ self.gain
        return rows - taken_on @ self.read, taken_on * np.hypot(self.tuner, LEAST_NOISE)

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
