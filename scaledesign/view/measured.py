"""What follows from a reading typed into the grid: it is noted, it teaches, and it says what has been cut.

Apart from the column that takes the reading, since other places take readings too.
"""

from __future__ import annotations

from datetime import datetime

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
    return Become(f"note the reading of row {row + 1}", learnt.design)


def _without(design: Design, row: int, when: datetime) -> Design:
    """The design without a row's reading; without any, as it was before the first."""
    noted = readings.with_readings(design, None, None, None, {row: ""}, when)
    return calibration.learn(design, noted).design
