"""A flute that plays otherwise than its design foretells, for sessions at the bench."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from scaledesign.model.document import Design, HoleState, LogEntry, Row
from scaledesign.model.pitch import format_reading
from scaledesign.model.widths import drilled_now, length_now
from scaledesign.solver.hearing import hear
from scaledesign.solver.problem import unread, voicing_of
from scaledesign.workshop.readings import bare_reading, row_reading


def tuner(design: Design, holes: tuple[HoleState, ...], register: int = 1, *, mouth: float = 0.004) -> str:
    """What a tuner shows of the flute as it is by its log; its mouth adds ``mouth`` m more than estimated."""
    plain = unread(replace(design, rows=()))
    voicing = voicing_of(plain)
    plain = replace(plain, voicing=replace(plain.voicing, added_length=voicing.added_length + mouth))
    length = length_now(design) or design.tube.length
    if not holes:
        sound = bare_reading(plain, 1.0, None, length, register)
    else:
        there = set(drilled_now(design))
        states = tuple[HoleState, ...]("O" if i in there else "X" for i in design.fingered())
        entry = LogEntry(datetime.min, "measured", length=length, drilled=states)
        now = replace(plain, log=(*plain.log, entry))
        sound = row_reading(now, Row("", holes, register=register), len(plain.log), None, "")
    return format_reading(float(hear(sound).frequency[0, 0]), design.tuning.reference)
