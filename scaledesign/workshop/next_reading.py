"""What one more reading would teach: which note to blow next, before it is blown.

How far a reading narrows the others down does not hang on what it will be (the variance of a normal law
given another knows no value), so every note that can be played now is tried in thought. Nothing is learnt
here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.model.document import Design, LogEntry
from scaledesign.model.spelling import tuner_shows
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import Lesson, loadings
from scaledesign.solver.hearing import Heard, Reading, hear, hear_each, rows_of
from scaledesign.solver.prediction import spread_of
from scaledesign.solver.problem import problem_of
from scaledesign.values import dataclass
from scaledesign.workshop.readings import (
    as_known_now,
    bare_reading,
    drilled_for,
    marked_holes,
    readings_in_force,
    row_reading,
)

WORTH = 0.5
"""Cents of mean ± below which a reading is not worth a breath."""


@dataclass(frozen=True)
class NextReading:
    """A note that could be read next, and the mean ± of the scale's rows in cents now and then."""

    label: str
    """Which note, in words."""
    row: int | None
    """0-based; None: the bare tube."""
    register: int
    expected: float
    """Hz"""
    now: float
    then: float


def next_readings(design: Design) -> tuple[NextReading, ...]:
    """Every reading that can be taken now, the one that teaches most first.

    The bare tube and its overblown note while nothing is drilled; then each row whose open holes are drilled,
    or all rows of a flute whose maker marks no hole. None for a design without rows or with an ideal mouth.

    Raises
    ------
    NoPitchError
        where a row has no pitch.
    """
    if not design.rows or design.instrument.mouth == "open":
        return ()
    problem = problem_of(design, (1.0,) * len(design.rows))
    readings = readings_in_force(design)
    counted = np.array([row.counts for row in design.rows])
    counted = counted if counted.any() else ~counted
    played = hear(rows_of(problem))
    candidates = list(_playable(design, played))
    heard = (played, *hear_each(readings, known=(played,)), *(sound for _, sound in candidates))
    rows, *blocks = loadings(problem, spread_of(problem, readings), heard)
    read, more = blocks[: len(readings)], blocks[len(readings) :]
    rows = rows[:, counted]

    def mean(known: list[Floats]) -> float:
        if not known:
            return float(np.sqrt((rows**2).sum(axis=-1)).mean())
        lesson = Lesson(np.concatenate(known, axis=1), problem.doubts.tuner)
        return float(np.sqrt(lesson.variance(rows)).mean())

    now = mean(read)
    found = [
        NextReading(
            reading.label,
            reading.row,
            int(reading.fingerings.register[0]),
            float(sound.frequency[0, 0]),
            now,
            mean([*read, block]),
        )
        for (reading, sound), block in zip(candidates, more, strict=True)
    ]
    return tuple(sorted(found, key=lambda each: each.then))


def in_words(design: Design, coming: Sequence[NextReading]) -> str:
    """Which note to blow next and what that would do to the ±, in two sentences; '' where none is left."""
    if not coming:
        return ""
    best = coming[0]
    if best.now - best.then < WORTH:
        return (
            f"The scale's notes are at ± {best.now:.0f} cents on average; another reading would hardly help."
        )
    label = best.label
    if best.row is None and best.register > 1:
        label = "the bare tube overblown"
    sounds = tuner_shows(design, best.expected)
    return (
        f"Blow next: {label}, about {sounds}. The ± of the scale's notes would fall from {best.now:.0f} to "
        f"{best.then:.0f} cents on average."
    )


def _playable(design: Design, played: Heard) -> Iterator[tuple[Reading, Heard]]:
    """Readings that can be taken of the flute as it is, those that cannot sound left out."""
    for reading in as_known_now(design, tuple(_candidates(design))):
        try:
            yield reading, hear_each([reading], known=(played,))[0]
        except NoPitchError:
            continue


def _candidates(design: Design) -> Iterator[Reading]:
    marked = marked_holes(design)
    finished = not any(marked) and any(row.measured and set(row.holes) - {"X"} for row in design.rows)
    if marked and not any(marked) and not finished:
        for register in (1, 2):
            yield bare_reading(design, 1.0, None, design.tube.length, register)
        return
    for index, row in enumerate(design.rows):
        there = finished or all(mark or state == "X" for mark, state in zip(marked, row.holes, strict=True))
        if there and not row.measured:
            entry = LogEntry(datetime.min, "measured", drilled=drilled_for(design, row.holes))
            now = replace(design, log=(*design.log, entry))
            yield row_reading(now, row, len(design.log), index, f"row {index + 1} ({row.note})")
