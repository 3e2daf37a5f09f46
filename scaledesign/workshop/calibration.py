"""Calibration: a tuner's readings in, the flute's own added length and a smaller doubt out.

The one place where the model bends to the flute. Readings are kept in the design, the bare tube's in the
log and a row's in its row, and the added length is always fitted to all of them; no weight is given to the
estimate that stood there before, since the maker's tube knows better. How a fit weighs its readings is in
``solver.prediction``, which states the ± that follows. Readings that no mouth could give teach nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.checks import check
from scaledesign.model.document import Design, LogEntry, Row, Voicing
from scaledesign.model.pitch import parse_reading, reading_frequency
from scaledesign.model.units import format_length
from scaledesign.physics.arrays import Floats
from scaledesign.solver.prediction import Prediction, Reading, expectation, lesson_of
from scaledesign.solver.problem import (
    CENT,
    doubts_of,
    fingerings_of,
    flutes_of,
    model_doubts,
    problem_of,
    voicing_of,
)
from scaledesign.solver.resonance import Fingerings

FAR = 2.0
"""Standard deviations of the estimate beyond which a fitted added length is worth a word."""
ODD = 3.0
"""Standard deviations of a reading beyond which it is called odd beside the others."""
ANOTHER_NOTE = 600.0
"""Cents from what was expected beyond which a reading is of another register: no mouth is off by so much."""
STEPS, LONGEST, SETTLED = 60, 0.02, 1e-9
"""Most steps of a fit; m: the longest step, and the step so short that it is the last."""
TOO_SHARP = (
    "Nothing learnt: even without a mouth this tube would sound flatter than it was read. Check its length, "
    "its bore and the temperature, and whether the note was overblown."
)


@dataclass(frozen=True)
class Calibration:
    """What the readings taught: the design that knows it, the predictions before and after.

    ``added_length`` and its one standard deviation ``uncertainty`` (m) are those now in force; ``residuals``
    are cents of each reading from the flute so fitted, with its label, positive where it was read sharp.
    ``notes`` say in words what is odd. Where the readings taught nothing, ``design`` is the one given.
    """

    design: Design
    before: Prediction
    after: Prediction
    added_length: float
    uncertainty: float
    residuals: tuple[tuple[str, float], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Fit:
    """An added length (m), one standard deviation (m), and each reading's label and cents above the fit."""

    added_length: float
    uncertainty: float
    residuals: tuple[tuple[str, float], ...]


def with_readings(
    design: Design,
    bare: str | None,
    length: float | None,
    temperature: float | None,
    rows: Mapping[int, str],
    when: datetime,
) -> Design:
    """The design with new readings noted down: the bare tube's in the log, a row's in its row and the log.

    The log keeps length and temperature as they were, so that a later change of the design does not change
    what was read.

    Parameters
    ----------
    design : Design
    bare : reading of the tube before any hole was drilled, or None
    length : m, sounding edge to foot when the bare tube was blown; None: the design's
    temperature : degC of the room; None: the design's
    rows : readings by row, 0-based; "" takes a row's reading back
    when : time to note

    Raises
    ------
    QuantityError
        for a reading that cannot be read.
    EditError
        for a row that the design has not, a tube of no length, a temperature no room has.
    """
    length = design.tube.length if length is None else length
    temperature = design.air.temperature if temperature is None else temperature
    if length <= 0:
        raise EditError(
            f"A tube of {format_length(length, design.units)} cannot have been blown",
            "give its length from sounding edge to foot",
        )
    for text in (bare, *rows.values()):
        if text:
            parse_reading(text)
    log, noted = list(design.log), list(design.rows)
    if bare is not None:
        log.append(LogEntry(when, "measured", (), bare, temperature, length, "the bare tube"))
    for index, text in rows.items():
        if not 0 <= index < len(noted):
            raise EditError(f"There is no row {index + 1}", f"rows are 1 to {len(noted)}")
        noted[index] = replace(noted[index], measured=text)
        if text:
            log.append(LogEntry(when, "measured", noted[index].holes, text, temperature))
    result = replace(design, rows=tuple(noted), log=tuple(log))
    if faults := check(result):
        fault = faults[0]
        raise EditError(f"The reading cannot be noted: {fault.value}, {fault.problem}", fault.remedy)
    return result


def bare_tube(
    design: Design, length: float | None = None, temperature: float | None = None
) -> tuple[float, float]:
    """What the tube should sound before any hole is drilled: Hz, and one standard deviation in cents.

    Parameters
    ----------
    design : Design
    length : m, sounding edge to foot; None: the design's
    temperature : degC of the room; None: the design's

    Raises
    ------
    NoPitchError
    """
    length = design.tube.length if length is None else length
    tube = _bare_reading(design, 0.0, temperature, length, "")
    return expectation(problem_of(replace(design, rows=()), ()), tube, readings_in_force(design))


def _bare_reading(
    design: Design, frequency: float, temperature: float | None, length: float, label: str
) -> Reading:
    flutes = flutes_of(design, room=temperature, bare_length=length)
    plain = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))
    return Reading(frequency, flutes, plain, doubts_of(design).model, None, label)


def readings_of(design: Design) -> tuple[Reading, ...]:
    """Every reading a design holds: rows that were measured, and bare tubes in the log.

    A row that was measured more than once counts with what stands in its row; its temperature is that of
    the newest log entry that says the same, else the file's. An entry without a fingering is a bare tube,
    unless a row of a flute without holes says the same.

    Raises
    ------
    QuantityError
        for a reading that cannot be read.
    """
    doubts = doubts_of(design)
    reference = design.tuning.reference
    found = []
    for entry in design.log:
        if entry.event != "measured" or entry.holes or not entry.measured:
            continue
        if any(_same(entry, row) for row in design.rows):
            continue
        length = design.tube.length if entry.length is None else entry.length
        frequency, label = reading_frequency(entry.measured, reference), f"the bare tube ({entry.measured})"
        found.append(_bare_reading(design, frequency, entry.temperature, length, label))
    for index, row in enumerate(design.rows):
        if not row.measured:
            continue
        fingering = fingerings_of(design, (row,))
        found.append(
            Reading(
                reading_frequency(row.measured, reference),
                flutes_of(design, room=_temperature(design, row)),
                fingering,
                float(model_doubts(fingering.share, fingering.register, doubts.model)[0]),
                index,
                f"row {index + 1} ({row.measured})",
            )
        )
    return tuple(found)


def readings_in_force(design: Design) -> tuple[Reading, ...]:
    """The readings that the added length in force was fitted to; none where it was stated or estimated."""
    voicing = design.voicing
    if not voicing.calibrated or voicing.added_length is None or design.instrument.mouth == "open":
        return ()
    return readings_of(design)


def _same(entry: LogEntry, row: Row) -> bool:
    return entry.event == "measured" and entry.holes == row.holes and entry.measured == row.measured


def _temperature(design: Design, row: Row) -> float | None:
    return next((entry.temperature for entry in reversed(design.log) if _same(entry, row)), None)


def learn(design: Design, noted: Design) -> tuple[Design, Fit, tuple[str, ...]]:
    """Fit the added length to all readings of ``noted``, or say why they teach nothing.

    Parameters
    ----------
    design : Design before the new readings
    noted : Design with them

    Returns
    -------
    The design that knows the added length, the fit, and notes. Where the readings cannot be of this tube,
    ``design`` itself and the added length it had.

    Raises
    ------
    EditError
        when there is no reading, or the mouth is an ideal open end, which has nothing to fit.
    NoPitchError
    """
    readings = readings_of(noted)
    before = voicing_of(design)
    if design.instrument.mouth == "open":
        raise EditError("The mouth of this design is an ideal open end", "give it a real mouth first")
    if not readings:
        raise EditError("There is no reading to go by", "blow the bare tube and type what the tuner says")
    expected = lesson_of(problem_of(replace(noted, rows=()), ()), readings).predicted
    unfitted = _residuals(readings, _cents(readings, expected))
    if notes := _other_notes(unfitted):
        return design, Fit(before.added_length, before.uncertainty, unfitted), notes
    fit = fit_added_length(noted, readings)
    if fit.added_length < 0:
        return design, Fit(before.added_length, before.uncertainty, unfitted), (TOO_SHARP,)
    voicing: Voicing = replace(
        noted.voicing,
        added_length=round(fit.added_length, 7),
        uncertainty=round(fit.uncertainty, 7),
        calibrated=True,
    )
    return replace(noted, voicing=voicing), fit, _odd(design, readings, fit)


def fit_added_length(design: Design, readings: tuple[Reading, ...]) -> Fit:
    """The added length that the readings ask for together; it may come out negative.

    Raises
    ------
    NoPitchError
    """
    problem = problem_of(replace(design, rows=()), ())
    added = voicing_of(design).added_length
    for _ in range(STEPS):
        placed = tuple(_with_added(reading, added) for reading in readings)
        lesson = lesson_of(problem, placed)
        off = _cents(readings, lesson.predicted)
        step = float(np.clip(lesson.gain @ off, -LONGEST, LONGEST))
        added += step
        if abs(step) < SETTLED:
            break
    return Fit(added, lesson.uncertainty, _residuals(readings, off))


def _with_added(reading: Reading, added: float) -> Reading:
    return replace(reading, flutes=replace(reading.flutes, added_length=np.array([added])))


def _cents(readings: tuple[Reading, ...], predicted: Floats) -> Floats:
    """Cents (N,) of each reading above what was predicted for it."""
    read = np.array([reading.frequency for reading in readings])
    return np.asarray(CENT * np.log(read / predicted))


def _residuals(readings: tuple[Reading, ...], off: Floats) -> tuple[tuple[str, float], ...]:
    return tuple((reading.label, float(cents)) for reading, cents in zip(readings, off, strict=True))


def _other_notes(residuals: tuple[tuple[str, float], ...]) -> tuple[str, ...]:
    """Words for readings that are of another register, or of another flute."""
    notes = []
    for label, cents in residuals:
        where, ask = ("above", "was it overblown?") if cents > 0 else ("below", "is the octave right?")
        if abs(cents) > ANOTHER_NOTE:
            notes.append(
                f"Nothing learnt: {label} lies {abs(cents):.0f} cents {where} what this tube should sound; "
                f"{ask} Read it again, or take it out of the file."
            )
    return tuple(notes)


def _odd(design: Design, readings: tuple[Reading, ...], fit: Fit) -> tuple[str, ...]:
    """Words for a fit far from what was expected of this mouth, and for readings that disagree."""
    before, tuner = voicing_of(design), doubts_of(design).tuner
    notes = []
    if abs(fit.added_length - before.added_length) > FAR * before.uncertainty:
        notes.append(
            f"The readings lie far from {before.basis}: check the tube's length and bore, the temperature, "
            "and whether the note was overblown."
        )
    if len(readings) > 1:
        for reading, (label, cents) in zip(readings, fit.residuals, strict=True):
            if abs(cents) > ODD * np.hypot(reading.model_doubt, tuner):
                word = "sharp" if cents > 0 else "flat"
                who = f"{label[0].upper()}{label[1:]}"
                said = f"is {abs(cents):.0f} cents {word} of what the readings say together"
                notes.append(f"{who} {said}: was it read off the right row?")
    return tuple(notes)
