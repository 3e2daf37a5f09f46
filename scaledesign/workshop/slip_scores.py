"""One wrong number among a flute's dimensions and readings: what each would explain, and at what cost.

A number that may be wrong is one more cause beside those of ``solver.belief``, with a wide prior of its own:
a slip of the tape or the pen is no honest error. Its score is what the readings gain in likelihood by it,
less what so free a number would explain by chance: the logarithm of a ratio of two evidences (A. Gelman
et al. 2013, Bayesian Data Analysis, 3rd ed., chapters 7 and 14, from memory).
Arrays only, N sets of readings side by side; what the numbers are called is in ``slips``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from scaledesign.model.document import Design, Station
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import Lesson
from scaledesign.solver.hearing import Heard, Reading, hear_each
from scaledesign.solver.problem import CENT
from scaledesign.values import dataclass
from scaledesign.workshop.readings import readings_of

Kind = Literal[
    "at", "diameter", "chimney", "exchanged", "places", "diameters", "length", "bore", "wall", "reading"
]
_OF_A_HOLE: tuple[Kind, ...] = ("at", "diameter")
FREE: dict[Kind, float] = {
    "at": 8e-3, "diameter": 1.5e-3, "chimney": 2e-3, "places": 8e-3, "diameters": 1e-3, "length": 10e-3,
    "bore": 1e-3, "wall": 2e-3, "reading": 40.0,
}  # fmt: skip
"""How far each kind is wrong where it is, one standard deviation, m or cents (proposed here, no source)."""
PAIR = 2.5
"""What two exchanged numbers cost: they are one pair of a dozen, and leave nothing free."""
SELDOM: dict[Kind, float] = {
    "chimney": 1.0, "exchanged": 1.0, "places": 1.0, "diameters": 1.0, "wall": 1.0, "reading": 1.5,
}  # fmt: skip
"""How much seldomer than a place or a width each is wrong, as a logarithm (proposed here, no source)."""
STEP = 1e-4
"""m by which a dimension is moved where its effect has no exact derivative."""


@dataclass(frozen=True)
class Number:
    """One number that may be wrong: of a hole, two holes, a station of the bore, or a reading (0-based)."""

    kind: Kind
    hole: int | None = None
    other: int | None = None
    """The hole that it is exchanged with."""
    station: int | None = None
    """Of a bore or wall that has several."""
    reading: int | None = None
    known: float | None = None
    """By how much, where nothing is left to estimate: two numbers exchanged."""

    @property
    def free(self) -> float:
        """How far it may be wrong, m or cents."""
        return FREE.get(self.kind, 0.0)


@dataclass(frozen=True)
class Scores:
    """What M numbers would explain of N sets of readings; ``amount``, ``doubt`` in m or cents."""

    score: Floats
    """(N, M), natural logarithm; at 0 it explains as much as it costs."""
    amount: Floats
    """(N, M) what is to be added to the number as written."""
    doubt: Floats
    """(N, M) one standard deviation of it."""
    share: Floats
    """(N, M, K) of that evidence each reading brings; below 0 where it speaks against."""


def numbers_of(design: Design, readings: Sequence[Reading]) -> tuple[Number, ...]:
    """Every number of a design that may be wrong and that its readings could tell."""
    holes = range(len(design.holes))
    found = [Number(kind, hole=i) for i in holes for kind in _OF_A_HOLE]
    found += [Number("chimney", hole=i) for i in holes if design.holes[i].wall is not None]
    found += [
        Number("exchanged", hole=i, other=j, known=design.holes[j].diameter - design.holes[i].diameter)
        for i in holes
        for j in holes[i + 1 :]
        if abs(design.holes[j].diameter - design.holes[i].diameter) > STEP
    ]
    if len(design.holes) > 2:
        found += [Number("places"), Number("diameters")]
    found += [Number("length"), Number("bore"), Number("wall")]
    if len(design.tube.bore) > 1:
        found += [Number("bore", station=i) for i in range(len(design.tube.bore))]
    if len(design.tube.wall) > 1:
        found += [Number("wall", station=i) for i in range(len(design.tube.wall))]
    found += [Number("reading", reading=k) for k in range(len(readings))]
    return tuple(found)


def corrected(design: Design, number: Number, amount: float) -> Design:
    """The design with one number as it should be; a reading stays as it is written."""
    tube, kind = design.tube, number.kind
    holes = list(design.holes)

    def grown(stations: tuple[Station, ...]) -> tuple[Station, ...]:
        return tuple(
            replace(each, value=each.value + amount, across=each.across and each.across + amount)
            if number.station in (None, i)
            else each
            for i, each in enumerate(stations)
        )

    if kind in ("length", "bore", "wall"):
        changed = {
            "length": lambda: replace(tube, length=tube.length + amount),
            "bore": lambda: replace(tube, bore=grown(tube.bore)),
            "wall": lambda: replace(tube, wall=grown(tube.wall)),
        }
        return replace(design, tube=changed[kind]())
    if kind == "exchanged":
        i, j = number.hole or 0, number.other or 0
        one, two = holes[i], holes[j]
        holes[i] = replace(one, diameter=two.diameter, across=two.across)
        holes[j] = replace(two, diameter=one.diameter, across=one.across)
    for i, hole in enumerate(holes):
        if number.hole == i or kind in ("places", "diameters"):
            if kind in ("at", "places"):
                holes[i] = replace(hole, at=hole.at + amount)
            elif kind in ("diameter", "diameters"):
                holes[i] = replace(
                    hole, diameter=hole.diameter + amount, across=hole.across and hole.across + amount
                )
            elif kind == "chimney":
                holes[i] = replace(hole, wall=chimney(design, i) + amount)
    return replace(design, holes=tuple(holes))


def chimney(design: Design, hole: int) -> float:
    """Depth (m) of a hole: its own wall, or the tube's there."""
    own, walls = design.holes[hole].wall, design.tube.wall
    if own is not None:
        return own
    return float(np.interp(design.holes[hole].at, [s.x for s in walls], [s.value for s in walls]))


def effects(
    design: Design,
    readings: Sequence[Reading],
    heard: Sequence[Heard],
    numbers: Sequence[Number],
    state: Floats,
) -> Floats:
    """Cents (N, K, M) of each reading for a metre (or a cent) more of each number.

    Parameters
    ----------
    design, readings : as written, before any reading taught anything
    heard : the readings as the flutes play them whose ``state`` (N, 5) differs by so much
    numbers : M of them
    """
    count = len(design.holes)
    at, wide = np.zeros((len(state), len(readings), count)), np.zeros((len(state), len(readings), count))
    plain = np.zeros((3, len(state), len(readings)))
    for k, each in enumerate(heard):
        s, holes = each.sensitivity, list(each.sound.holes)
        at[:, k, holes], wide[:, k, holes] = s.at[:, 0], s.diameter[:, 0]
        for part, value in zip(plain, (s.length, s.bore, s.wall), strict=True):
            part[:, k] = value[:, 0]
    found = np.zeros((len(state), len(readings), len(numbers)))
    whole = dict(zip(("length", "bore", "wall"), plain, strict=True))
    for m, number in enumerate(numbers):
        i = number.hole or 0
        if number.kind == "reading":
            found[:, number.reading, m] = -1.0  # what it says is too sharp where it should say less
        elif number.kind == "exchanged":
            found[:, :, m] = wide[:, :, i] - wide[:, :, number.other]
        elif number.kind in ("at", "diameter"):
            found[:, :, m] = (at if number.kind == "at" else wide)[:, :, i]
        elif number.kind in ("places", "diameters"):
            found[:, :, m] = (at if number.kind == "places" else wide).sum(axis=2)
        elif number.kind in whole and number.station is None:
            found[:, :, m] = whole[number.kind]
        else:
            found[:, :, m] = _tried(design, readings, heard, number, state)
    return found


def _tried(
    design: Design, readings: Sequence[Reading], heard: Sequence[Heard], number: Number, state: Floats
) -> Floats:
    """The same (1, K) of one number, by moving it; at the middle of the states, which hardly matter."""
    middle = state.mean(axis=0, keepdims=True)
    found = []
    for sounds in (readings, same_readings(corrected(design, number, STEP), readings)):
        played = hear_each([each.altered(middle) for each in sounds], heard if len(state) == 1 else ())
        found.append(np.concatenate([each.frequency for each in played], axis=1))
    return np.asarray(CENT * np.log(found[1] / found[0]) / STEP)


def same_readings(design: Design, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """The like of some readings on a flute of which one number is otherwise, before any taught anything."""
    names = {(each.label, each.said) for each in readings}
    return tuple(each for each in readings_of(design) if (each.label, each.said) in names)


def scores(
    lesson: Lesson, off: Floats, effect: Floats, numbers: Sequence[Number], known: Sequence[int] = ()
) -> Scores:
    """What each number would explain.

    Parameters
    ----------
    lesson : what the readings teach, (N, K, P)
    off : (N, K) cents each is from what was expected before any reading
    effect : (N, K, M), see ``effects``
    numbers : M of them
    known : those (0-based) that are already taken to be wrong: they explain before any other does
    """
    covariance = lesson._covariance
    for m in known:
        extra = effect[:, :, m] * (numbers[m].known or numbers[m].free)
        covariance = covariance + extra[:, :, None] * extra[:, None, :]
    weighed = np.linalg.solve(covariance, np.concatenate([effect, off[..., None]], axis=2))
    pull = np.einsum("nkm,nk->nm", effect, weighed[..., -1])
    information = np.einsum("nkm,nkm->nm", effect, weighed[..., :-1])
    free = np.array([number.free for number in numbers])
    fixed = np.array([number.known or 0.0 for number in numbers])
    left = information + 1.0 / np.maximum(free, 1e-9) ** 2
    amount = np.where(fixed != 0, fixed, pull / left)
    gained = np.where(
        fixed != 0,
        pull * fixed - 0.5 * information * fixed**2 - PAIR,
        0.5 * pull**2 / left - 0.5 * np.log1p(free**2 * information),
    )
    gained = gained - np.array([SELDOM.get(number.kind, 0.0) for number in numbers])
    share = (weighed[..., :-1] * off[..., None]).transpose(0, 2, 1)
    share = share / np.where(np.abs(pull) > 1e-12, pull, np.inf)[..., None]
    return Scores(np.asarray(gained), amount, np.where(fixed != 0, 0.0, left**-0.5), np.asarray(share))
