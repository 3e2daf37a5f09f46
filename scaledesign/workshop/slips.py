"""Slips in a flute's measured numbers: a dimension that its own notes contradict, found and named.

A pattern is measured with a tape and callipers, and one slip of the hand would be carried into every flute
made after it. Each number is tried as the one that is wrong (``slip_scores``); those that the notes bear out
are told, with how far off they seem and what may have happened (``slip_words``). Nothing is changed here: the
maker measures again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.errors import EditError, NoPitchError
from scaledesign.model.checks import check
from scaledesign.model.document import Design
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import STATE, Fit, Lesson, fit, loadings
from scaledesign.solver.hearing import Reading, hear_each
from scaledesign.solver.problem import CENT, Problem, problem_of, unread
from scaledesign.values import dataclass
from scaledesign.workshop.readings import readings_of
from scaledesign.workshop.slip_scores import (
    Number,
    Scores,
    corrected,
    effects,
    numbers_of,
    same_readings,
    scores,
)

SAY = 1.75
"""Score from which a slip is told: about one honest flute in twenty is told one so (seeded trials, counted in
the tests)."""
TIE = 1.5
"""What scores less by no more is told beside the best."""
MOST = 3
"""Slips that are told at most, and suspects of one."""
AFTER = 1.0
"""By how much more a second slip must score, and a third: two are seldom made."""
BEGIN = 2
"""Holes that are named to be measured first where no slip stands out."""
FEWEST = 3
"""Readings under which nothing can be told."""
ELSEWHERE = 400.0
"""Cents beside what the other readings say beyond which a reading is of another note or register."""
AGAIN = 2
"""Steps to how far off a suspect is."""
HEARD = 0.15
"""Share of the evidence that a reading brings to be named."""


@dataclass(frozen=True)
class Suspect:
    """One number that may be wrong; ``amount`` and ``doubt`` in m, or cents for a reading."""

    number: Number
    amount: float
    """What is to be added to the number as it is written."""
    doubt: float
    """One standard deviation of it; 0 where two numbers are exchanged."""
    score: float
    """Logarithm of what speaks for it, against everything being as written."""
    labels: tuple[str, ...]
    """The readings that say so, the loudest first."""


@dataclass(frozen=True)
class Slip:
    """Something is wrong: one of the suspects, the likeliest first."""

    suspects: tuple[Suspect, ...]


@dataclass(frozen=True)
class Slips:
    """What the readings say of the numbers that were measured."""

    design: Design
    readings: tuple[Reading, ...]
    slips: tuple[Slip, ...] = ()
    first: tuple[Suspect, ...] = ()
    """What to measure first, if anything, where no slip stands out: of two holes the likelier number each."""
    unheard: tuple[float, ...] = ()
    """Of each hole how far its place may be wrong (m) before that would be told; inf: no note tells."""
    notes: tuple[str, ...] = ()


def slips(design: Design) -> Slips:
    """Look for numbers of a measured flute that its own notes contradict.

    Parameters
    ----------
    design : Design with readings; whether it is calibrated does not matter

    Raises
    ------
    EditError
        when there is no reading, or the mouth is an ideal open end.
    NoPitchError
        when a reading belongs to no note of this flute.
    """
    if design.instrument.mouth == "open":
        raise EditError("The mouth of this design is an ideal open end", "give it a real mouth first")
    plain = unread(design)
    every = readings_of(plain)
    if not every:
        raise EditError(
            "There is no reading to hold the dimensions against",
            "blow the flute and type what the tuner shows for each row",
        )
    strange = _strange(every)
    kept = [k for k in range(len(every)) if k not in {slip.suspects[0].number.reading for slip in strange}]
    if len(kept) < FEWEST:
        few = "Too few readings agree to tell a slip by: blow each row and type what the tuner shows."
        return Slips(design, every, strange, notes=(few,))
    return _looked_for(design, plain, every, kept, strange)


def _looked_for(
    design: Design, plain: Design, every: tuple[Reading, ...], kept: Sequence[int], strange: tuple[Slip, ...]
) -> Slips:
    read = tuple(every[k] for k in kept)
    problem = problem_of(replace(plain, rows=()), ())
    numbers = numbers_of(plain, read)
    told, now = list(strange), plain
    known: list[int] = []
    first: tuple[Suspect, ...] = ()
    unheard: tuple[float, ...] = ()
    while len(told) < MOST:
        look = _look(problem, now, read, numbers, known)
        unheard = unheard or _unheard(now, look)
        ranked = _ranked(now, look, known)
        if not ranked:
            break
        if float(evidence(numbers, look.scores)[place_of(numbers[ranked[0]])][0]) < SAY + AFTER * len(known):
            first = () if told else _first(now, look)
            break
        suspects = tuple(_suspect(now, look, m) for m in ranked[:MOST])
        told.append(Slip(tuple(_of_all(each, kept) for each in suspects)))
        known.append(ranked[0])
        now = corrected(now, numbers[ranked[0]], suspects[0].amount)
    return Slips(design, every, tuple(told), first, unheard)


@dataclass(frozen=True)
class _Look:
    """What the readings say of every number of a flute, beside those that are taken to be wrong already."""

    problem: Problem
    readings: tuple[Reading, ...]
    numbers: tuple[Number, ...]
    found: Fit
    scores: Scores


def _look(
    problem: Problem,
    plain: Design,
    read: tuple[Reading, ...],
    numbers: tuple[Number, ...],
    known: Sequence[int],
) -> _Look:
    readings = same_readings(plain, read) if known else read
    found = fit(problem, readings, np.array([[each.frequency for each in readings]]))
    heard = hear_each([each.altered(found.state) for each in readings])
    effect = effects(plain, readings, heard, numbers, found.state)
    return _Look(problem, readings, numbers, found, scores(found.lesson, found.off, effect, numbers, known))


def _first(plain: Design, look: _Look) -> tuple[Suspect, ...]:
    numbers, now = look.numbers, look.scores
    of_place = evidence(numbers, now)
    likely: dict[object, int] = {}
    for m in sorted(range(len(numbers)), key=lambda m: -float(now.score[0, m])):
        if numbers[m].hole is not None and numbers[m].other is None:
            likely.setdefault(place_of(numbers[m]), m)
    places = sorted(likely, key=lambda place: -float(of_place[place][0]))[:BEGIN]
    return tuple(_suspect(plain, look, likely[place]) for place in places)


def _of_all(suspect: Suspect, kept: Sequence[int]) -> Suspect:
    """With its reading counted among all there are."""
    number = suspect.number
    if number.reading is None:
        return suspect
    return replace(suspect, number=replace(number, reading=kept[number.reading]))


def place_of(number: Number) -> object:
    """What a maker takes in hand to look at a number again: a hole, a reading, the tube."""
    if number.kind in ("at", "diameter", "chimney"):
        return "hole", number.hole
    if number.kind == "reading":
        return "reading", number.reading
    return number.kind, number.hole, number.other, number.station


def evidence(numbers: Sequence[Number], now: Scores) -> dict[object, Floats]:
    """What speaks for a slip at each place (N,): its numbers together, as they are seldom all wrong."""
    places: dict[object, list[int]] = {}
    for m, number in enumerate(numbers):
        places.setdefault(place_of(number), []).append(m)
    return {
        place: np.logaddexp.reduce(now.score[:, own], axis=1) - (np.log(2.0) if len(own) > 1 else 0.0)
        for place, own in places.items()
    }


def _ranked(plain: Design, look: _Look, known: Sequence[int]) -> list[int]:
    """Numbers that explain the readings best or nearly, those of the likeliest place first.

    None of a place that is told already, none that makes no flute.
    """
    numbers, now = look.numbers, look.scores
    of_place = evidence(numbers, now)
    gone = {place_of(numbers[m]) for m in known}
    order = sorted(
        (m for m in range(len(numbers)) if place_of(numbers[m]) not in gone),
        key=lambda m: (-float(of_place[place_of(numbers[m])][0]), -float(now.score[0, m])),
    )
    faults = {(fault.key, fault.problem) for fault in check(plain)}
    found: list[int] = []
    for m in order[: 3 * MOST]:
        if found and now.score[0, m] < now.score[0, found[0]] - TIE:
            continue
        amount = float(now.amount[0, m])
        if numbers[m].kind == "reading" or _possible(corrected(plain, numbers[m], amount), faults):
            found.append(m)
    return found


def _possible(design: Design, faults: set[tuple[str, str]]) -> bool:
    return all((fault.key, fault.problem) in faults for fault in check(design))


def _suspect(plain: Design, look: _Look, column: int) -> Suspect:
    """A number with how far it is wrong, found anew on the flute as it would then be: no slip is small."""
    number, now = look.numbers[column], look.scores
    amount, doubt = float(now.amount[0, column]), float(now.doubt[0, column])
    share = now.share[0, column]
    if number.kind not in ("reading", "exchanged"):
        try:
            for _ in range(AGAIN):
                more = _once_more(look, corrected(plain, number, amount), number)
                doubt = float(more.doubt[0, 0])
                amount += float(more.amount[0, 0]) - amount * doubt**2 / number.free**2
        except NoPitchError:  # so far off that nothing sounds: the straight line has to do
            amount, doubt = float(now.amount[0, column]), float(now.doubt[0, column])
    loud = [int(k) for k in np.argsort(-share) if share[k] >= HEARD]
    labels = tuple(look.readings[k].label for k in loud[:MOST])
    return Suspect(number, amount, doubt, float(now.score[0, column]), labels)


def _once_more(look: _Look, then: Design, number: Number) -> Scores:
    """How much further off a number is, once it is taken to be so far off: a step of Gauss and Newton."""
    problem, found = look.problem, look.found
    sounds = same_readings(then, look.readings)
    heard = hear_each([each.altered(found.state) for each in sounds])
    spread = problem.before.spread
    lesson = Lesson(np.concatenate(loadings(problem, spread, heard), axis=1), problem.doubts.tuner)
    read = np.array([each.frequency for each in sounds])
    played = np.concatenate([each.frequency for each in heard], axis=1)
    slope = lesson.read[..., :STATE]
    off = (
        CENT * np.log(read / played) + (slope @ (found.state / np.maximum(spread, 1e-12))[..., None])[..., 0]
    )
    return scores(lesson, off, effects(then, sounds, heard, (number,), found.state), (number,))


def _strange(readings: Sequence[Reading]) -> tuple[Slip, ...]:
    """Readings so far from the others that no dimension could be meant."""
    if len(readings) < FEWEST:
        return ()
    expected = np.array([each.frequency[0, 0] for each in hear_each(readings)])
    off = CENT * np.log(np.array([each.frequency for each in readings]) / expected)
    off = off - np.median(off)
    return tuple(
        Slip((Suspect(Number("reading", reading=k), -float(off[k]), 0.0, np.inf, ()),))
        for k in range(len(readings))
        if abs(off[k]) > ELSEWHERE
    )


def _unheard(plain: Design, look: _Look) -> tuple[float, ...]:
    """How far each hole's place may be wrong before a slip would be told, as likely as not."""
    far = []
    for hole in range(len(plain.holes)):
        (m,) = (m for m, n in enumerate(look.numbers) if n.kind == "at" and n.hole == hole)
        free, doubt = look.numbers[m].free, float(look.scores.doubt[0, m])
        left = max(1e-12, 1 - doubt**2 / free**2)
        far.append(doubt * float(np.sqrt(2 * (SAY + np.log(free / doubt)))) / left if left > 0.2 else np.inf)
    return tuple(far)
