"""What a screen asks after every edit: the holes true again, and what every row plays, at any price.

Apart from ``workshop/ask.py``, whose functions raise: here a row that cannot sound, or a scale that nobody
offers, must not keep the others from being shown. ``quick`` is for the time between two key presses,
``thorough`` adds the bits and the reasons; nothing here knows a screen, a thread or a clock.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from scaledesign.errors import NoPitchError, ScaledesignError
from scaledesign.model.document import Design, Row
from scaledesign.physics.arrays import Floats
from scaledesign.solver.resonance import Resonances
from scaledesign.solver.sensitivity import Sensitivity
from scaledesign.workshop import ask
from scaledesign.workshop.answer import Answer
from scaledesign.workshop.readings import readings_in_force

if TYPE_CHECKING:
    from scaledesign.solver.prediction import Prediction
    from scaledesign.solver.solution import Solution

Extra = tuple[tuple[Row, float], ...]
"""Rows that only help to place holes, with their targets in Hz."""
Solved = TypeVar("Solved")


def held(design: Design) -> Answer:
    """What a design plays as it stands."""
    return _answered(design, lambda part: _held(part))


def quick(
    design: Design, last: Answer | None = None, cancelled: Callable[[], bool] = lambda: False
) -> Answer:
    """The holes moved so that the rows are met, every hole keeping its width.

    Parameters
    ----------
    last : the answer to a like design, to start from
    cancelled : asked between steps
    """
    return _answered(design, lambda part: _quick(part, last, cancelled))


def thorough(design: Design, cancelled: Callable[[], bool] = lambda: False) -> Answer:
    """The holes solved whole: other bits where they serve, and what binds where a row cannot be met."""
    return _answered(design, lambda part: _thorough(part, cancelled))


def _held(design: Design) -> Answer:
    prediction = ask.predict(design)
    return Answer(design, prediction, prediction.notes)


def _quick(design: Design, last: Answer | None, cancelled: Callable[[], bool]) -> Answer:
    from scaledesign.solver import solution as solving

    readings = readings_in_force(design)

    def settled(extra: Extra) -> tuple[Solution, object, Resonances, bool]:
        rows = tuple((row.holes, row.register, row.open_share) for row in design.rows)
        fingerings = (rows, len(extra), design.fingered())
        near = last.near[1] if last and last.near and last.near[0] == fingerings else None
        found, resonances, met = solving.settle(
            design, ask.targets(design), extra=extra, readings=readings, near=near, cancelled=cancelled
        )
        return found, fingerings, resonances, met

    found, fingerings, resonances, met = _lent(design, settled)
    found = ask.told(found)
    notes = (*found.notes, *found.prediction.notes)
    return Answer(
        found.design, found.prediction, notes, found.placed, final=met, near=(fingerings, resonances)
    )


def _thorough(design: Design, cancelled: Callable[[], bool]) -> Answer:
    from scaledesign.solver import solution as solving
    from scaledesign.solver.verdict import told

    readings, target = readings_in_force(design), ask.targets(design)
    found = _lent(
        design,
        lambda extra: solving.solve(design, target, extra=extra, readings=readings, cancelled=cancelled),
    )
    found = ask.told(found)
    notes = (*found.notes, *found.prediction.notes)
    return Answer(found.design, found.prediction, notes, found.placed, told(found.obstacles))


def _lent(design: Design, solve: Callable[[Extra], Solved]) -> Solved:
    """What a solve gives with the secondary fingerings of the system, those left out that cannot sound."""
    extra = ask.secondary(design)
    while True:
        try:
            return solve(extra)
        except NoPitchError as error:
            gone = {i - len(design.rows) for i in error.rows if i >= len(design.rows)}
            if not gone:
                raise
            extra = tuple(item for i, item in enumerate(extra) if i not in gone)


def _answered(design: Design, ask_engine: Callable[[Design], Answer]) -> Answer:
    """The engine's answer; rows that cannot sound are left out and come back without numbers."""
    kept = list(range(len(design.rows)))
    silent: list[str] = []
    while True:
        part = replace(design, rows=tuple(design.rows[i] for i in kept))
        try:
            answer = ask_engine(part)
        except NoPitchError as error:
            bad = {kept[i] for i in error.rows if i < len(kept)}
            if not bad:
                return Answer(design, None, (str(error),))
            silent += [f"Row {i + 1} ({design.rows[i].note}) has no pitch as fingered." for i in sorted(bad)]
            kept = [i for i in kept if i not in bad]
            continue
        except ScaledesignError as error:
            return Answer(design, None, (str(error),))
        if not silent:
            return answer
        whole = replace(answer.design, rows=design.rows)
        prediction = answer.prediction and _spread(answer.prediction, kept, len(design.rows))
        notes, binding = (*silent, *answer.notes), (*silent, *answer.binding)
        return replace(answer, design=whole, prediction=prediction, notes=notes, binding=binding, near=None)


def _spread(prediction: Prediction, kept: list[int], count: int) -> Prediction:
    """A prediction of some rows as one of all ``count``, NaN where nothing was predicted."""

    def wide(values: Floats) -> Floats:
        spread = np.full((count, *values.shape[1:]), np.nan)
        spread[kept] = values
        return spread

    s = prediction.sensitivity
    arrays: dict[str, Any] = {
        f.name: wide(getattr(prediction, f.name))
        for f in fields(prediction)
        if isinstance(getattr(prediction, f.name), np.ndarray)
    }
    return replace(
        prediction, **arrays, sensitivity=Sensitivity(*(wide(getattr(s, f.name)) for f in fields(s)))
    )
