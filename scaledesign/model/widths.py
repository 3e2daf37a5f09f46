"""How wide each hole was when: the bench log read as the story of a flute in the making.

A hole's own ``diameter`` is how wide it is to become; how wide it is, or was when a note was blown, stands in
the log. Nothing here knows acoustics or a plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scaledesign.model.document import Design, Hole, LogEntry

WORK = ("drilled", "opened", "filled")
"""Events that change how wide a hole is."""
SAME_LENGTH = 5e-5
"""m: lengths that differ by less are the same."""


def worked(log: Sequence[LogEntry], hole: int) -> tuple[LogEntry, ...]:
    """What the log says was done to a hole (0-based), oldest first."""
    return tuple(entry for entry in log if entry.hole == hole and entry.event in WORK)


def hole_then(design: Design, index: int, place: int) -> Hole:
    """A hole (0-based) as it was when entry ``place`` of the log was written.

    What was done to it before tells; where nothing was yet, what the next work on it says it was before;
    where the log is silent, the hole as the design has it.

    Parameters
    ----------
    place : entries before this one had happened; ``len(design.log)`` for now
    """
    hole = design.holes[index]
    before = worked(design.log[:place], index)
    after = worked(design.log[place:], index)
    sized = next((entry for entry in reversed(before) if entry.diameter is not None), None)
    if sized is not None and sized.diameter is not None:
        hole = replace(hole, diameter=sized.diameter, across=None)
    elif after and after[0].was is not None:
        hole = replace(hole, diameter=after[0].was, across=None)
    under = [entry.undercut for entry in before if entry.undercut is not None]
    if under:
        hole = replace(hole, undercut=under[-1])
    elif any(entry.undercut is not None for entry in after):
        hole = replace(hole, undercut=0.0)
    begun = [entry.at for entry in before if entry.at is not None]
    return replace(hole, at=begun[-1]) if begun else hole


def was_there(design: Design, index: int, place: int) -> bool:
    """Whether a hole had been drilled when entry ``place`` of the log was written, as far as is known.

    A hole that the log never mentions is there if it is marked as drilled.
    """
    story = worked(design.log, index)
    first = next((entry for entry in story if entry.event == "drilled"), None)
    if first is None:
        return design.holes[index].drilled or bool(story)
    return any(entry is first for entry in design.log[:place])


def as_then(design: Design, place: int) -> Design:
    """The design with every hole as wide as it was when entry ``place`` of the log was written."""
    return replace(design, holes=tuple(hole_then(design, i, place) for i in range(len(design.holes))))


def as_it_is(design: Design) -> Design:
    """The design with every hole that the log tells of as wide as it is now."""
    return as_then(design, len(design.log))


def length_now(design: Design) -> float | None:
    """m, how long the tube is by its log; None where nothing was cut or blown yet."""
    told = (
        entry.length
        for entry in reversed(design.log)
        if entry.length is not None
        and (entry.event == "cut" or (entry.event == "measured" and not entry.holes))
    )
    return next(told, None)


def known_length(design: Design) -> float | None:
    """m, how long the tube in hand is: as the file has it once it is cut to that, else by its log.

    None where nobody has said yet: neither cut nor blown, and no hole in it.
    """
    now = None if design.tube.locked else length_now(design)
    if now is None and (design.tube.locked or drilled_now(design)):
        return design.tube.length
    return now


def all_drilled(design: Design) -> bool:
    """Whether every hole of a flute that has any is marked as drilled."""
    return bool(design.holes) and all(hole.drilled for hole in design.holes)


def foot_is_cut(design: Design) -> bool:
    """Whether the tube ends where the design has its foot: marked so, or so long by log, all drilled.

    While holes are missing the tube is kept longer than it is to become, whatever length it has been cut to.
    """
    now = length_now(design)
    as_long = now is not None and abs(now - design.tube.length) < SAME_LENGTH
    return design.tube.locked or (as_long and all_drilled(design))


def length_there(design: Design) -> float | None:
    """m of tube there is to cut from, by the log or as the raw tube was measured; None where nobody said."""
    now = length_now(design)
    return design.tube.blank if now is None or now < design.tube.length else now


def length_unknown(design: Design) -> bool:
    """Whether nobody has said yet how long the tube is."""
    return known_length(design) is None


def drilled_now(design: Design) -> tuple[int, ...]:
    """Holes (0-based) that are drilled by now, as far as is known."""
    return tuple(i for i in range(len(design.holes)) if was_there(design, i, len(design.log)))


def hole_in_hand(design: Design) -> int | None:
    """The hole (0-based) that was worked on last, None where none was."""
    return next((entry.hole for entry in reversed(design.log) if entry.event in WORK), None)
