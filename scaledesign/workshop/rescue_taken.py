"""A plan of rescue put into the design: its widths, its places, its length, and how they were before.

Apart from the plans, which change nothing. What was read before stays readable as it was: the log learns how
wide every hole was, and how long the tube. The maker does the work and types the new readings.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Literal

from scaledesign.model.document import Design, Hole, LogEntry
from scaledesign.model.saying import begun
from scaledesign.model.widths import hole_then, worked
from scaledesign.workshop.making import acts
from scaledesign.workshop.rescue import Proposal
from scaledesign.workshop.rescue_levers import Change

NAME = "plan of rescue"
"""What the step is called."""


def taken(design: Design, plan: Proposal, words: str, when: datetime) -> Design:
    """The design once a plan is carried out.

    Parameters
    ----------
    design : Design that the plan was made for
    plan : Proposal
    words : what to note in the log
    when : time to note

    Returns
    -------
    Design: holes and foot as planned and locked there, a log entry for each change and one with the words. A
    row whose reading no longer holds has none; the log keeps it.

    Raises
    ------
    EditError
        where it cannot be noted.
    """
    when = when.replace(microsecond=0)
    done = acts.with_row_readings(_finished(design), when)
    for change in plan.changes:
        if change.hole is not None:
            done = _begun(done, change.hole, when)
    for change in plan.changes:
        done = _worked(done, change, when)
    note = LogEntry(when, "note", note=f"{begun(NAME)}: {words}")
    done = replace(done, log=(*done.log, note))
    return acts.taught(done, done).design if design.voicing.calibrated else done


def _finished(design: Design) -> Design:
    """Every hole drilled and the foot cut: no note moves them any more."""
    locked: frozenset[Literal["at", "diameter"]] = frozenset({"at", "diameter"})
    holes = tuple(replace(hole, drilled=True, locked=locked) for hole in design.holes)
    return replace(design, holes=holes, tube=replace(design.tube, locked=True))


def _worked(design: Design, change: Change, when: datetime) -> Design:
    hole = change.hole
    if hole is None:
        return acts.cut(design, change.to, when)
    if change.kind == "open":
        return acts.opened(design, hole, when, diameter=change.to)
    if change.kind == "undercut":
        return acts.opened(design, hole, when, undercut=change.to)
    if change.kind == "fill":
        return acts.filled(design, hole, when, diameter=change.to)
    own = design.holes[hole]
    filled = acts.filled(design, hole, when, diameter=hole_then(design, hole, len(design.log)).diameter)
    anew = LogEntry(
        when, "drilled", hole=hole, at=change.to, diameter=own.diameter, was=own.diameter,
        note="filled and drilled anew",
    )  # fmt: skip
    made = replace(own, at=change.to)
    return replace(
        filled, holes=(*design.holes[:hole], made, *design.holes[hole + 1 :]), log=(*filled.log[:-1], anew)
    )


def _begun(design: Design, hole: int, when: datetime) -> Design:
    """The log with a first entry that says where the hole was drilled and how wide it was to begin with."""
    if any(entry.event == "drilled" for entry in worked(design.log, hole)):
        return design
    first: Hole = hole_then(design, hole, 0)
    entry = LogEntry(
        design.log[0].when if design.log else when,
        "drilled",
        hole=hole,
        at=first.at,
        diameter=None if first.across else first.diameter,
        undercut=first.undercut or None,
    )
    return replace(design, log=(entry, *design.log))
