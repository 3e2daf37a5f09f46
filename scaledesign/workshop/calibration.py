"""Calibration: a tuner's readings in, the flute's own mouth, bore, wall and warmth and a smaller doubt out.

The one place where the model bends to the flute. It is always fitted to all readings that the design holds
(``readings.py``), from what was believed before the first (``problem.unread``), so that their order does not
matter and the last one taken back leaves nothing behind. How a fit weighs its readings is in
``solver.belief``, which states the ± that follows. Readings that no mouth could give teach nothing; one that
the others contradict is named, not muted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from scaledesign.errors import EditError, NoPitchError
from scaledesign.model.document import Design, Learned, Voicing
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import Fit, fit
from scaledesign.solver.hearing import Heard, Reading, hear_each
from scaledesign.solver.prediction import Prediction, expectation, expectations
from scaledesign.solver.problem import CENT, Problem, problem_of, state_in_force, unread, voicing_of
from scaledesign.values import dataclass
from scaledesign.workshop.odd import LEARNT, left_out, odd_readings, words_for_odd, words_for_state
from scaledesign.workshop.readings import as_known_now, bare_reading, named, readings_in_force, readings_of

NEARLY = 0.03
"""Standard deviations: a step of the fit that is shorter is the last at the bench."""
ANOTHER_NOTE = 600.0
"""Cents from what was expected beyond which a reading is of another register: no mouth is off by so much."""
TOO_SHARP = (
    "Nothing learnt: even without a mouth this tube would sound flatter than it was read. Check its length, "
    "its bore and the temperature, and whether the note was overblown."
)
LEAST_MOUTH = 1e-4
"""m: no mouth adds less."""
NO_MOUTH = (
    "Nothing learnt: no mouth makes this tube sound as it was read. Check its length and bore, and which "
    "notes were read."
)
NONE_LEFT = (
    "No reading is left: what the mouth adds is again as it was before the first. What was marked as cut "
    "stays so."
)


@dataclass(frozen=True)
class Residual:
    """One reading beside the model, before anything was learnt and after."""

    label: str
    """Which note it is, in words."""
    said: str
    """What the tuner showed, as written."""
    read: float
    """Hz."""
    expected: float
    """Hz, before any reading."""
    before: float
    """Cents by which it was read sharper than that."""
    after: float
    """Cents by which it was read sharper than is expected of it now, by all readings."""
    odd: bool
    """Whether the other readings contradict it."""


@dataclass(frozen=True)
class Learnt:
    """One thing that was learnt, with one standard deviation before and after; SI."""

    name: Literal["added_length", "drift", "bore", "wall", "warmth"]
    value: float
    """The added length and the drift themselves, the others as what is added to what was measured."""
    before: float
    after: float


@dataclass(frozen=True)
class Calibration:
    """What the readings taught: the design that knows it, the predictions before and after.

    ``added_length`` and its one standard deviation ``uncertainty`` (m) are those now in force. ``notes`` say
    in words what is odd. Where the readings taught nothing, ``design`` is the one given and ``learnt`` is
    empty.
    """

    design: Design
    before: Prediction
    after: Prediction
    added_length: float
    uncertainty: float
    residuals: tuple[Residual, ...]
    learnt: tuple[Learnt, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Taught:
    """What all readings of a design taught, ``Calibration`` without its predictions."""

    design: Design
    residuals: tuple[Residual, ...] = ()
    learnt: tuple[Learnt, ...] = ()
    notes: tuple[str, ...] = ()


def bare_tube(
    design: Design, length: float | None = None, temperature: float | None = None, register: int = 1
) -> tuple[float, float]:
    """What the tube should sound before any hole is drilled: Hz, and one standard deviation in cents.

    Parameters
    ----------
    design : Design
    length : m, sounding edge to foot; None: the design's
    temperature : degC of the room; None: the design's
    register : 1, or more where it is overblown

    Raises
    ------
    NoPitchError
    """
    length = design.tube.length if length is None else length
    tube = bare_reading(design, 1.0, temperature, length, register)
    return expectation(_plain_problem(design), tube, readings_in_force(design))


def _plain_problem(design: Design) -> Problem:
    """The doubts of a design, without its rows."""
    return problem_of(replace(design, rows=()), ())


def learn(design: Design, noted: Design) -> Taught:
    """Fit the flute to all readings of ``noted``, or say why they teach nothing.

    Parameters
    ----------
    design : Design before the new readings
    noted : Design with them

    Returns
    -------
    Taught, with the design that knows it. Where the readings cannot be of this tube, its design is ``design``
    itself.

    Raises
    ------
    EditError
        when there is no reading, or the mouth is an ideal open end, which has nothing to fit.
    NoPitchError
    """
    if design.instrument.mouth == "open":
        raise EditError("The mouth of this design is an ideal open end", "give it a real mouth first")
    plain = unread(noted)
    readings = readings_of(plain)
    if not readings:
        if noted.voicing.calibrated or readings_of(design):
            return Taught(plain, notes=(NONE_LEFT,))
        raise EditError("There is no reading to go by", "blow the bare tube and type what the tuner says")
    read = np.array([reading.frequency for reading in readings])
    first = hear_each(readings)
    expected = np.array([each.frequency[0, 0] for each in first])
    before = CENT * np.log(read / expected)
    if notes := _other_notes(readings, before):
        return Taught(design, _residuals(readings, expected, before, before), notes=notes)
    problem = _plain_problem(plain)
    try:
        found = fit(problem, readings, read[None], near=first)
    except NoPitchError:  # it wandered to a mouth that nothing speaks with
        return Taught(design, _residuals(readings, expected, before, before), notes=(NO_MOUTH,))
    odd = odd_readings(found, _witnesses(readings))
    notes = words_for_odd([named(reading) for reading in readings], found, odd)
    out = left_out(found, odd)
    near = found.heard
    if out:
        kept = [i for i in range(len(readings)) if i not in out]
        start = found.state[0]
        heard = [near[i] for i in kept]
        found = fit(problem, [readings[i] for i in kept], read[None, kept], start, heard)
    learnt = _learnt(problem, found)
    if learnt[0].value < LEAST_MOUTH:
        return Taught(design, _residuals(readings, expected, before, before), notes=(TOO_SHARP,))
    notes = (*notes, *words_for_state(found, problem.before.spread, voicing_of(plain).basis))
    knowing = _knowing(plain, learnt, "; ".join(named(readings[i]) for i in sorted(out)))
    after = CENT * np.log(read / _as_known(knowing, out, near))
    return Taught(knowing, _residuals(readings, expected, before, after, odd), learnt, notes)


def _as_known(design: Design, out: Sequence[int], near: Sequence[Heard]) -> Floats:
    """(K,) Hz that the readings of a design should be by all but ``out``, each of the flute as it was."""
    every = readings_of(design)
    taught = as_known_now(design, [each for i, each in enumerate(every) if i not in out])
    return expectations(_plain_problem(design), [replace(each, same=True) for each in every], taught, near)


@dataclass(frozen=True)
class Known:
    """Readings, and what they sound on a flute that lies ``at`` (5,) from what was believed before any."""

    readings: tuple[Reading, ...]
    heard: tuple[Heard, ...]
    at: Floats


def learn_more(design: Design, noted: Design, near: Sequence[Heard]) -> tuple[Taught, Known | None]:
    """The same for one more reading at the bench, in a third of the time and within hundredths of a cent.

    Parameters
    ----------
    design, noted : as ``learn``; ``noted`` has one reading more, the last
    near : what the readings of ``design`` sound on the flute in force

    Returns
    -------
    Taught, without residuals, and what the readings sound on a flute as near as can be; None where that is
    not known.
    """
    plain = unread(noted)
    readings = readings_of(plain)
    if not design.voicing.calibrated or len(readings) != len(near) + 1:
        return learn(design, noted), None
    start = state_in_force(design)
    problem = _plain_problem(plain)
    read = np.array([reading.frequency for reading in readings])
    try:
        newest = hear_each([readings[-1].altered(start[None])])
        if abs(CENT * np.log(read[-1] / newest[0].frequency[0, 0])) > ANOTHER_NOTE:
            return learn(design, noted), None
        found = fit(problem, readings, read[None], start, (*near, *newest), NEARLY)
    except NoPitchError:
        return learn(design, noted), None
    odd = odd_readings(found, _witnesses(readings))
    learnt = _learnt(problem, found)
    if left_out(found, odd) or learnt[0].value < LEAST_MOUTH:
        return learn(design, noted), None
    notes = (
        *words_for_odd([named(reading) for reading in readings], found, odd),
        *words_for_state(found, problem.before.spread, voicing_of(plain).basis),
    )
    known = Known(readings, found.heard, found.at[0])
    return Taught(_knowing(plain, learnt, ""), (), learnt, notes), known


def _witnesses(readings: Sequence[Reading]) -> list[object]:
    """What each reading tells of: the holes it opens, however wide by then, or one length of the tube."""
    shares = (each.fingerings.share[:, 0] for each in readings)
    return [
        share.tobytes() if share.any() else each.cut_to for each, share in zip(readings, shares, strict=True)
    ]


def _learnt(problem: Problem, found: Fit) -> tuple[Learnt, ...]:
    state, after, before = found.state[0], found.doubt[0], problem.before.spread
    start = (problem.bare.added_length[0], problem.bare.drift[0], 0.0, 0.0, 0.0)
    return tuple(
        Learnt(name, float(start[i] + state[i]), float(before[i]), float(after[i]))
        for i, name in enumerate(LEARNT)
    )


def _knowing(plain: Design, learnt: tuple[Learnt, ...], unheard: str) -> Design:
    """The design of before any reading with what they taught, rounded to hundredths of a cent."""
    mouth, drift, bore, wall, warmth = learnt
    stated = plain.voicing
    voicing: Voicing = replace(
        stated,
        added_length=round(mouth.value, 7),
        uncertainty=round(mouth.after, 7),
        drift=round(drift.value, 7) + 0.0,
        calibrated=True,
    )
    learned = Learned(
        bore=round(bore.value, 6) + 0.0,
        wall=round(wall.value, 6) + 0.0,
        warmth=round(warmth.value, 3) + 0.0,
        stated_length=stated.added_length,
        stated_uncertainty=stated.uncertainty,
        stated_drift=stated.drift,
        left_out=unheard,
    )
    return replace(plain, voicing=voicing, learned=learned)


def _residuals(
    readings: tuple[Reading, ...], expected: Floats, before: Floats, after: Floats, odd: tuple[int, ...] = ()
) -> tuple[Residual, ...]:
    return tuple(
        Residual(
            reading.label,
            reading.said,
            reading.frequency,
            float(expected[i]),
            float(before[i]),
            float(after[i]),
            i in odd,
        )
        for i, reading in enumerate(readings)
    )


def _other_notes(readings: tuple[Reading, ...], off: Floats) -> tuple[str, ...]:
    """Words for readings that are of another register, or of another flute."""
    notes = []
    for reading, cents in zip(readings, off, strict=True):
        where, ask = ("above", "was it overblown?") if cents > 0 else ("below", "is the octave right?")
        if abs(cents) > ANOTHER_NOTE:
            notes.append(
                f"Nothing learnt: {named(reading)} lies {abs(cents):.0f} cents {where} what this tube "
                f"should sound; {ask} Blow it again, or take it back."
            )
    return tuple(notes)
