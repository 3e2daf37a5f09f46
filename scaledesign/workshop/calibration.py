"""Calibration: a tuner's readings in, the flute's own added length and a smaller doubt out.

The one place where the model bends to the flute. Generalised least squares in the added length, with
everything else that is doubtful (bore, wall, temperature, places, the model itself) as correlated noise;
no weight is given to the estimate that stood there before, since the maker's tube knows better.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design, LogEntry, Row
from scaledesign.model.pitch import reading_frequency
from scaledesign.physics.arrays import Floats
from scaledesign.solver.prediction import Prediction, Reading, reading_sensitivity, spreads
from scaledesign.solver.problem import (
    CENT,
    Problem,
    doubts_of,
    fingerings_of,
    flutes_of,
    model_doubts,
    problem_of,
    voicing_of,
)
from scaledesign.solver.resonance import Fingerings

ODD = 3.5
"""Standard deviations from the fit (or from the estimate) beyond which a reading is called odd."""


@dataclass(frozen=True)
class Calibration:
    """What the readings taught: the design that knows it, the predictions before and after.

    ``added_length`` and its one standard deviation ``uncertainty`` in m; ``residuals`` cents of each
    reading from the fitted flute, with its label.
    """

    design: Design
    before: Prediction
    after: Prediction
    added_length: float
    uncertainty: float
    residuals: tuple[tuple[str, float], ...]
    notes: tuple[str, ...]


def with_readings(
    design: Design,
    bare: str | None,
    length: float | None,
    temperature: float | None,
    rows: Mapping[int, str],
    when: datetime,
) -> Design:
    """The design with new readings noted down: the bare tube's in the log, a row's in its row."""
    if bare is not None:
        entry = LogEntry(when, "measured", (), bare, temperature, length, "the bare tube")
        design = replace(design, log=(*design.log, entry))
    noted = list(design.rows)
    for index, text in rows.items():
        noted[index] = replace(noted[index], measured=text)
        entry = LogEntry(when, "measured", noted[index].holes, text, temperature)
        design = replace(design, log=(*design.log, entry))
    return replace(design, rows=tuple(noted))


def readings_of(design: Design) -> tuple[Reading, ...]:
    """Every reading a design holds: rows that were measured, and bare tubes in the log.

    A row that was measured more than once counts with what stands in its row; its temperature is that of
    the newest log entry that says the same, else the file's.
    """
    doubts = doubts_of(design)
    reference = design.tuning.reference
    found = []
    for entry in design.log:
        if entry.event == "measured" and not entry.holes and entry.measured:
            length = design.tube.length if entry.length is None else entry.length
            found.append(
                Reading(
                    reading_frequency(entry.measured, reference),
                    flutes_of(design, room=entry.temperature, bare_length=length),
                    Fingerings(np.zeros((0, 1)), np.ones(1, np.intp)),
                    doubts.model,
                    None,
                    f"the bare tube ({entry.measured})",
                )
            )
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


def _temperature(design: Design, row: Row) -> float | None:
    for entry in reversed(design.log):
        if entry.event == "measured" and entry.holes == row.holes and entry.measured == row.measured:
            return entry.temperature
    return None


def fit_added_length(design: Design, readings: tuple[Reading, ...]) -> tuple[float, float, list[float]]:
    """Added length (m), one standard deviation (m), and cents of each reading from the fitted flute.

    Raises
    ------
    EditError
        when the mouth is an ideal open end, which has nothing to fit.
    NoPitchError
    """
    if design.instrument.mouth == "open":
        raise EditError("The mouth of this design is an ideal open end", "give it a real mouth first")
    if not readings:
        raise EditError("There is no reading to go by", "blow the bare tube and type what the tuner says")
    problem = problem_of(replace(design, rows=()), ())
    added = voicing_of(design).added_length
    variance = 0.0
    off: list[float] = []
    for _ in range(12):
        placed = tuple(_with_added(reading, added) for reading in readings)
        slope, off, noise = _linear(problem, placed)
        weight = np.linalg.solve(noise, slope)
        information = float(slope @ weight)
        step = -float(weight @ np.array(off)) / information
        variance = 1.0 / information
        added += float(np.clip(step, -0.02, 0.02))
        if abs(step) < 1e-9:
            break
    return added, float(np.sqrt(variance)), off


def _with_added(reading: Reading, added: float) -> Reading:
    return replace(reading, flutes=replace(reading.flutes, added_length=np.array([added])))


def _linear(problem: Problem, readings: tuple[Reading, ...]) -> tuple[Floats, list[float], Floats]:
    """Slope of each reading in the added length (cents/m), its miss (cents), covariance of the noise."""
    rows, slope, off = [], [], []
    for reading in readings:
        s, frequency = reading_sensitivity(reading)
        rows.append(spreads(problem, s, 0.0, reading.flutes.at.shape[1])[0])
        slope.append(float(s.added_length[0]))
        off.append(CENT * float(np.log(frequency / reading.frequency)))
    width = max(len(row) for row in rows)
    seen = np.array([np.pad(row, (0, width - len(row))) for row in rows])
    noise = seen @ seen.T
    for i, one in enumerate(readings):
        noise[i, i] += one.model_doubt**2 + problem.doubts.tuner**2
    return np.array(slope), off, noise


def judge(
    design: Design, readings: tuple[Reading, ...], added: float, doubt: float, off: list[float]
) -> tuple[str, ...]:
    """Words for readings that do not fit, and for a result that no mouth has."""
    before = voicing_of(design)
    notes = []
    if added < 0:
        notes.append(
            "The readings are sharper than this tube could sound with any mouth: check its length, its bore "
            "and the temperature, or whether the note was overblown."
        )
    elif abs(added - before.added_length) > ODD * max(before.uncertainty, 1e-6):
        notes.append(
            f"The readings lie far from the estimate ({before.basis}): check the tube's length and bore, and "
            "whether the note was overblown."
        )
    if len(readings) > 1:
        for reading, cents in zip(readings, off, strict=True):
            spread = float(np.hypot(reading.model_doubt, doubts_of(design).tuner))
            if abs(cents) > ODD * spread:
                word = "flat" if cents > 0 else "sharp"
                notes.append(f"{reading.label} is {abs(cents):.0f} cents {word} of what the others say.")
    return tuple(notes)
