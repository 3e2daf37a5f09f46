"""What follows from a reading typed into the grid: it is noted, it teaches, and it says what has been cut.

Who blew a fingering has cut the foot and drilled the holes it opens: from then on only what is still uncut
may move. Apart from the column that takes the reading, since other places take readings too.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Literal

from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.model.edits import Become, Edit, SetRow
from scaledesign.workshop import ask, calibration, readings


def measured_edit(design: Design, row: int, text: str, when: datetime) -> Edit | None:
    """The edit that notes a reading of a row (0-based), '' to take one back; None where nothing changes.

    Raises
    ------
    ScaledesignError
        for a reading that cannot be of this flute.
    """
    if design.rows[row].measured == text:
        return None
    if design.instrument.mouth == "open":
        return SetRow(row, "measured", text)
    if not text:
        return Become(f"take back the reading of row {row + 1}", _without(design, row, when))
    learnt = ask.calibrate(design, rows={row: text}, when=when)
    if learnt.design is design:
        raise EditError(" ".join(learnt.notes).rstrip("."), "type it again, or leave it out")
    return Become(f"note the reading of row {row + 1}", cut(learnt.design, row))


def cut(design: Design, row: int) -> Design:
    """The design with the foot and the holes that a row opens held where they are: it was blown so."""
    opened = design.opened_by((design.rows[row],))
    both: frozenset[Literal["at", "diameter"]] = frozenset({"at", "diameter"})
    holes = tuple(
        replace(hole, drilled=True, locked=both) if i in opened else hole
        for i, hole in enumerate(design.holes)
    )
    return replace(design, holes=holes, tube=replace(design.tube, locked=True))


def _without(design: Design, row: int, when: datetime) -> Design:
    """The design without a row's reading; without any, as it was before the first."""
    noted = readings.with_readings(design, None, None, None, {row: ""}, when)
    if readings.readings_of(noted) or design.voicing.calibrated:
        return calibration.learn(design, noted).design
    return noted
