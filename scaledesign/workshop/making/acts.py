"""What a maker does at the bench, noted in the design: cut, drilled, opened, filled, blown.

Each returns a new design with one more entry in its log, so that the flute can be laid aside and taken up
days later, or a step taken back. A hole's ``diameter`` stays what it is to become; how wide it is stands in
the log (``model/widths.py``). What a reading teaches is ``taught``; nothing here decides what to do.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.checks import check
from scaledesign.model.document import Design, Hole, HoleState, LogEntry
from scaledesign.model.pitch import parse_reading
from scaledesign.model.saying import begun, hole_words
from scaledesign.model.units import format_length
from scaledesign.model.widths import WORK, drilled_now, hole_in_hand, hole_then, length_now, was_there
from scaledesign.values import dataclass
from scaledesign.workshop import ask, calibration, live
from scaledesign.workshop.calibration import Taught

MET = 1.0
"""Cents within which moving holes alone has met every row that is still to be drilled for."""
SAME = 1e-7
"""m: less than this is not a difference."""

FINISHED = "finished: the foot stays as it is"
"""Note of the entry after which nothing was left to do, which marked the foot as cut."""


@dataclass(frozen=True)
class Reads:
    """A reading taken in: the design that knows it, and what it taught."""

    design: Design
    taught: Taught | None
    """None where the mouth is an ideal open end, which nothing is learnt of."""
    notes: tuple[str, ...] = ()


def cut(design: Design, length: float, when: datetime) -> Design:
    """The tube cut to ``length`` m, sounding edge to foot; what it is to end at is no longer than that.

    What was read before was read of the tube as long as it was.

    Raises
    ------
    EditError
        where it would be longer than it was, or too short for a hole that is drilled.
    """
    was = length_now(design)
    if was is not None and length > was + SAME:
        raise EditError(
            f"The tube was {format_length(was, design.units)} long already, it cannot be "
            f"{format_length(length, design.units)} now",
            "give the length from sounding edge to foot as it is now",
        )
    entry = LogEntry(when, "cut", length=length)
    design = with_lengths(with_row_readings(design, when))
    tube = replace(design.tube, length=min(design.tube.length, length))
    return _checked(replace(design, tube=tube, log=(*design.log, entry)))


def with_row_readings(design: Design, when: datetime) -> Design:
    """The log with an entry for every reading that stands in a row alone."""
    told = {(entry.holes, entry.measured) for entry in design.log if entry.event == "measured"}
    more = tuple(
        LogEntry(
            when, "measured", row.holes, row.measured, register=row.register if row.register > 1 else None
        )
        for row in design.rows
        if row.measured and (row.holes, row.measured) not in told
    )
    return replace(design, log=(*design.log, *more))


def with_lengths(design: Design) -> Design:
    """The log with the tube's length beside every reading of a fingering that has none."""
    length = design.tube.length
    log = tuple(
        replace(entry, length=length)
        if entry.event == "measured" and entry.holes and entry.length is None
        else entry
        for entry in design.log
    )
    return replace(design, log=log)


def drilled(design: Design, hole: int, diameter: float, when: datetime, *, at: float | None = None) -> Design:
    """A hole (0-based) drilled ``diameter`` m wide, at ``at`` m where it is not where it was planned.

    The holes drilled before stay as wide as they are: what was still meant to be opened on them is not.

    Raises
    ------
    EditError
        where the hole is drilled already, or cannot be there.
    """
    own = _hole(design, hole)
    if was_there(design, hole, len(design.log)):
        raise EditError(
            f"{_named(design, hole)} is drilled already", "say how wide it is opened now, or take it back"
        )
    at = own.at if at is None else at
    design = settled(design)
    entry = LogEntry(when, "drilled", hole=hole, at=at, diameter=diameter)
    made = replace(own, at=at, drilled=True, diameter=max(own.diameter, diameter))
    return _checked(replace(design, holes=_with(design, hole, made), log=(*design.log, entry)))


def opened(
    design: Design,
    hole: int,
    when: datetime,
    *,
    diameter: float | None = None,
    undercut: float | None = None,
) -> Design:
    """A hole opened to ``diameter`` m, undercut by ``undercut`` m at the bore, or both.

    A reading in its row that this makes untrue goes from the row; the log keeps it, as it was then.

    Raises
    ------
    EditError
        where the hole is not drilled, or would not be wider than it was.
    """
    own, now = _hole(design, hole), hole_then(design, hole, len(design.log))
    if not was_there(design, hole, len(design.log)):
        raise EditError(f"{_named(design, hole)} is not drilled yet", "drill it first")
    if diameter is not None and diameter < now.diameter - SAME:
        raise EditError(
            f"{_named(design, hole)} is {format_length(now.diameter, design.units)} wide already, it cannot "
            f"have been opened to {format_length(diameter, design.units)}",
            "give how wide it is now; a hole that was made narrower is filled",
        )
    entry = LogEntry(when, "opened", hole=hole, diameter=diameter, undercut=undercut, was=now.diameter)
    made = replace(
        own,
        drilled=True,
        diameter=own.diameter if diameter is None else max(own.diameter, diameter),
        undercut=own.undercut if undercut is None else undercut,
    )
    return _worked(design, hole, made, entry)


def filled(design: Design, hole: int, when: datetime, *, diameter: float) -> Design:
    """A hole made narrower, to ``diameter`` m.

    Raises
    ------
    EditError
        where the hole is not drilled, or would not be narrower than it was.
    """
    own, now = _hole(design, hole), hole_then(design, hole, len(design.log))
    if not was_there(design, hole, len(design.log)):
        raise EditError(f"{_named(design, hole)} is not drilled yet", "there is nothing to fill")
    if diameter > now.diameter + SAME:
        raise EditError(
            f"{_named(design, hole)} is {format_length(now.diameter, design.units)} wide, filling cannot "
            f"make it {format_length(diameter, design.units)}",
            "give how wide it is now",
        )
    entry = LogEntry(when, "filled", hole=hole, diameter=diameter, was=now.diameter)
    return _worked(design, hole, replace(own, drilled=True, diameter=diameter, across=None), entry)


def settled(design: Design) -> Design:
    """Every hole that is drilled is to stay as wide as it is: it was left so when the next was begun."""
    place = len(design.log)
    holes = tuple(
        hole_then(design, i, place) if was_there(design, i, place) else hole
        for i, hole in enumerate(design.holes)
    )
    return replace(design, holes=holes)


def blown(
    design: Design,
    said: str,
    when: datetime,
    *,
    hole: int | None = None,
    holes: tuple[HoleState, ...] = (),
    register: int = 1,
    temperature: float | None = None,
    length: float | None = None,
) -> Reads:
    """What a tuner showed: of the bare tube, or of a fingering while ``hole`` (0-based) was listened for.

    The design learns from it at once; nothing is moved by that.

    Parameters
    ----------
    holes : the fingering; () for the bare tube
    temperature : degC of the room; None: the design's
    length : m of the bare tube; None: the design's

    Raises
    ------
    QuantityError
        for a reading that cannot be read.
    EditError, NoPitchError
    """
    parse_reading(said)
    room = design.air.temperature if temperature is None else temperature
    if holes:
        place = len(design.log)
        hole = hole_in_hand(design) if hole is None else hole
        there = tuple[HoleState, ...]("O" if was_there(design, i, place) else "X" for i in design.fingered())
        entry = LogEntry(
            when, "measured", holes, said, room, length_now(design), drilled=there, hole=hole,
            register=register if register > 1 else None,
        )  # fmt: skip
    else:
        length = length if length is not None else (length_now(design) or design.tube.length)
        entry = LogEntry(
            when, "measured", (), said, room, length, "the bare tube", register if register > 1 else None
        )
    noted = replace(design, log=(*design.log, entry))
    if holes and len(drilled_now(design)) == len(design.holes):  # the whole flute was heard
        rows = tuple(
            replace(row, measured=said) if (row.holes, row.register) == (holes, register) else row
            for row in design.rows
        )
        noted = replace(noted, rows=rows)
    return taught(design, _checked(noted))


def taught(design: Design, noted: Design) -> Reads:
    """What all readings of ``noted`` teach; ``design`` is the one before the newest."""
    from scaledesign.workshop.making.outlook import outlook_of

    if design.instrument.mouth == "open":
        return Reads(noted, None)
    near = outlook_of(design).heard if design.voicing.calibrated else ()
    learnt, known = calibration.learn_more(design, noted, near)
    if learnt.design is design:  # it cannot be of this flute
        return Reads(design, learnt, learnt.notes)
    if known is not None:
        outlook_of(learnt.design, known)  # is asked for next
    return Reads(learnt.design, learnt, learnt.notes)


def resolved(design: Design) -> Design:
    """The plan with everything that was heard so far taken in.

    Holes that are not drilled lie where the scale wants them now; the hole in hand is to become as wide as
    its readings say, and the tube as long. What is drilled stays where it is; a flute that has all its holes
    is as it is.

    Raises
    ------
    NoPitchError, UnknownNameError
    """
    from scaledesign.workshop.making.outlook import outlook_of
    from scaledesign.workshop.making.plan import best_length, best_width, unfinished

    there = drilled_now(design)
    if design.holes and len(there) == len(design.holes):
        now = length_now(design)
        tube = design.tube if now is None else replace(design.tube, length=now)
        return replace(settled(design), tube=tube)
    newest = design.log[-1].event if design.log else None
    if there and newest in WORK:  # what it sounds now has to be heard first
        return design
    tube = design.tube
    now = length_now(design)
    blank = tube.blank if now is None else now
    if there:
        outlook, target = outlook_of(design), np.array(ask.targets(design))
        hand = hole_in_hand(design)
        length = None if tube.locked or now is None else best_length(outlook, target)
        tube = tube if length is None else replace(tube, length=round(length, 5))
        width = None if hand is None else best_width(outlook, hand, target)
        if hand is not None and width is not None:
            design = replace(
                design, holes=_with(design, hand, replace(design.holes[hand], diameter=round(width, 6)))
            )
        design = replace(design, tube=tube)
        if unfinished(outlook, target):
            return design
    held = tuple(
        replace(hole, locked=frozenset({"at", "diameter"})) if i in there else hole
        for i, hole in enumerate(design.holes)
    )
    kept = replace(tube, locked=tube.locked or bool(there), blank=blank)
    wanted = replace(design, holes=held, tube=kept)
    found = _moved(wanted, there) if there else None
    found = ask.solve(wanted).design if found is None else found
    holes = tuple(replace(new, locked=old.locked) for new, old in zip(found.holes, design.holes, strict=True))
    return replace(design, holes=holes, tube=replace(design.tube, length=found.tube.length))


def _moved(design: Design, there: tuple[int, ...]) -> Design | None:
    """Holes that are not drilled moved along the tube, their widths kept; None where that is not enough."""
    answer = live.quick(design)
    if answer.prediction is None:
        return None
    fingered = design.fingered()
    left = [
        abs(float(cents))
        for row, cents in zip(design.rows, answer.prediction.cents, strict=True)
        if row.counts and any(s != "X" and i not in there for i, s in zip(fingered, row.holes, strict=True))
    ]
    return answer.design if max(left, default=0.0) < MET else None


def _worked(design: Design, hole: int, made: Hole, entry: LogEntry) -> Design:
    """The design with one hole changed; readings that are no longer of the flute as it is go to the log."""
    fingered = design.fingered()
    log, rows = list(design.log), list(design.rows)
    for index, row in enumerate(rows):
        states: Mapping[int, HoleState] = dict(zip(fingered, row.holes, strict=True))
        if not row.measured or states.get(hole, "O") == "X":
            continue
        for place in reversed(range(len(log))):
            old = log[place]
            if (old.event, old.holes, old.measured, old.hole) == ("measured", row.holes, row.measured, None):
                register = row.register if row.register > 1 else None
                log[place] = replace(old, hole=hole, register=register)
                break
        rows[index] = replace(row, measured="")
    log.append(entry)
    return _checked(replace(design, holes=_with(design, hole, made), rows=tuple(rows), log=tuple(log)))


def _hole(design: Design, hole: int) -> Hole:
    if not 0 <= hole < len(design.holes):
        count = len(design.holes)
        raise EditError(
            f"There is no hole {hole + 1}", f"holes are 1 to {count}" if count else "add one first"
        )
    return design.holes[hole]


def _named(design: Design, hole: int) -> str:
    return begun(hole_words(hole, design.holes[hole].finger))


def _with(design: Design, place: int, hole: Hole) -> tuple[Hole, ...]:
    return (*design.holes[:place], hole, *design.holes[place + 1 :])


def _checked(design: Design) -> Design:
    newest = replace(design, rows=(), log=design.log[-1:])  # all before was checked when it was noted
    if faults := check(newest):
        fault = faults[0]
        raise EditError(f"This cannot be noted: {fault.key} = {fault.value}, {fault.problem}", fault.remedy)
    return design
