"""What the bench asks of a design: predict, solve, calibrate, start; names looked up on the way.

The functions behind the façade. They fetch scale and fingering system from the catalogue and hand them to
the layers below, which know neither.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING

from scaledesign.errors import EditError, UnknownNameError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.registry import catalogue as build_catalogue
from scaledesign.model.document import Design, Row, Voicing
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.model.scale import Scale, Tuned, row_targets
from scaledesign.model.system import WEIGHTS, System
from scaledesign.solver import prediction as predicting
from scaledesign.solver.limits import geometry_of
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import problem_of, voicing_of
from scaledesign.solver.verdict import broken_rules
from scaledesign.workshop import advice, calibration
from scaledesign.workshop.calibration import Calibration
from scaledesign.workshop.readings import as_blown, readings_in_force, with_readings

if TYPE_CHECKING:  # the solver is fetched when it is asked: predicting does without
    from scaledesign.solver.solution import Solution
    from scaledesign.workshop.start import Wanted

ANOTHER_NOTE = 40.0
"""Cents off at which a fingering between the degrees is left out of a new flute: it sounds another note."""


@cache
def offers() -> Catalogue:
    """Everything on offer, looked for once a process."""
    return build_catalogue()


def scale_of(design: Design) -> Scale:
    """The scale of a design's tuning.

    Raises
    ------
    UnknownNameError
    """
    return offers().scale_of(design.tuning)


def targets(design: Design) -> tuple[float, ...]:
    """Wanted frequency of every row, Hz."""
    return row_targets(design, scale_of(design))


def predict(design: Design, losses: bool = True) -> Prediction:
    """What every row of a design will play, and how sure that is.

    Parameters
    ----------
    design : Design
    losses : False for the ideal fluid (no viscosity, no heat conduction)

    Returns
    -------
    Prediction: ``frequency`` Hz, ``cents`` from target, ``uncertainty`` cents (one standard deviation),
    each (rows,), and more.

    Raises
    ------
    UnknownNameError
        when nobody offers the scale.
    NoPitchError
        when a row's register cannot be found.
    """
    problem = problem_of(design, targets(design))
    prediction = predicting.predict(problem, readings_in_force(design), losses=losses)
    notes = (
        *prediction.notes,
        *broken_rules(design, geometry_of(design)),
        *advice.remarks(design, prediction),
    )
    return replace(prediction, notes=notes)


def solve(design: Design) -> Solution:
    """Move what is not locked so that every row plays its note, as nearly as the rules allow.

    Returns
    -------
    Solution: ``design``, ``prediction``, ``notes`` (what binds, in words), and more.

    Raises
    ------
    UnknownNameError, NoPitchError
    """
    from scaledesign.solver import solution as solving

    readings = readings_in_force(design)
    return told(solving.solve(design, targets(design), extra=secondary(design), readings=readings))


def told(solution: Solution) -> Solution:
    """A solution with everything there is to say of the tube beside what was said of the rows."""
    said = (*solution.prediction.notes, *advice.remarks(solution.design, solution.prediction))
    return replace(solution, prediction=replace(solution.prediction, notes=said))


def secondary(design: Design) -> tuple[tuple[Row, float], ...]:
    """Secondary rows of the fingering system that open a hole which no row of the design opens."""
    idle = set(design.fingered()) - design.opened_by(tuple(row for row in design.rows if row.weight > 0))
    if not idle or not design.instrument.system:
        return ()
    try:
        scale = scale_of(design)
        tonic = parse_note(design.tuning.tonic)
        rows = offers().rows(design.instrument.system, scale, tonic, design.tuning.reference)
    except (UnknownNameError, EditError):
        return ()
    tuned = Tuned(scale, tonic, design.tuning.reference)
    fitting = [row for row in rows if len(row.holes) == len(design.fingered()) and row.role == "chromatic"]
    helping = [row for row in fitting if idle & design.opened_by((row,))]
    return tuple((replace(row, weight=WEIGHTS["chromatic"]), tuned.target(row.note)) for row in helping)


def calibrate(
    design: Design,
    bare: str | Sequence[str] | None = None,
    *,
    length: float | None = None,
    temperature: float | None = None,
    rows: Mapping[int, str] | None = None,
    when: datetime | None = None,
) -> Calibration:
    """Bend the model to the flute: fit its mouth, bore, wall and warmth to what a tuner showed.

    A row that was read proves its holes drilled and the foot cut; several at once are read of one flute, with
    the holes that were marked before.

    Parameters
    ----------
    design : Design
    bare : reading of the tube before any hole is drilled (``"A4 -4"`` or ``"438.9 Hz"``), or several; an
        overblown note is known by its pitch
    length : m, sounding edge to foot when the bare tube was blown, where it differed from the design
    temperature : degC of the room then, where it differed
    rows : readings by row, 0-based; "" takes a row's reading back
    when : time to note in the log; None: now

    Raises
    ------
    QuantityError
        for a reading that cannot be read.
    EditError
        when there is no reading, no such row, or the mouth is an ideal open end.
    """
    before = predict(design)
    moment = (when or datetime.now()).replace(microsecond=0)
    noted = as_blown(with_readings(design, bare, length, temperature, rows or {}, moment), rows or {})
    taught = calibration.learn(design, noted)
    learnt = taught.design
    after = before if learnt is design else predict(learnt)
    mouth = voicing_of(learnt)
    return Calibration(
        learnt, before, after, mouth.added_length, mouth.uncertainty, taught.residuals, taught.learnt,
        taught.notes,
    )  # fmt: skip


def new_design(want: Wanted, voicing: Voicing | None = None) -> Solution:
    """A first design for the tube in hand and the wish; ``voicing`` is what is known of its mouth already.

    Raises
    ------
    UnknownNameError, QuantityError, EditError, NoPitchError
    """
    from scaledesign.workshop import start

    found = offers()
    scale, system = found.scale(want.scale), found.system(want.system)
    tonic = parse_note(want.key)
    blank = start.blank_design(replace(want, scale=scale.name, system=system.name, key=tonic.name))
    blank = replace(blank, voicing=voicing or blank.voicing)
    start.require_a_flute(blank, note_frequency(tonic, blank.tuning.reference))
    rows = found.rows(want.system, scale, tonic, blank.tuning.reference)
    tuned = Tuned(scale, tonic, blank.tuning.reference)
    solution = _laid_out(blank, system, rows, tuned, at_rest=False)
    while odd := _play_another_note(solution):
        # the others may come right without the worst, but hardly where the scale itself is off
        dropped = odd if solution.obstacles else odd[:1]
        rows = tuple(row for i, row in enumerate(solution.design.rows) if i not in dropped)
        solution = _laid_out(blank, system, rows, tuned, at_rest=False)
    return told(_laid_out(blank, system, solution.design.rows, tuned, at_rest=True))


def _laid_out(
    blank: Design, system: System, rows: tuple[Row, ...], tuned: Tuned, *, at_rest: bool
) -> Solution:
    from scaledesign.workshop import start

    target = tuple(tuned.target(row.note, row.cents) for row in rows)
    design = start.draft(blank, system, rows, target)
    return start.laid_out(design, target, secondary(design), at_rest=at_rest)


def _play_another_note(solution: Solution) -> list[int]:
    """Fingerings between degrees that are so far off that they sound another note, the furthest first."""
    off = {
        index: abs(float(solution.prediction.cents[index]))
        for index, row in enumerate(solution.design.rows)
        if row.role != "scale" and row.register == 1
    }
    return sorted((i for i in off if off[i] > ANOTHER_NOTE), key=lambda i: -off[i])
