"""A flute in the making as it stands, to be looked at while the next step is worked out.

Apart from the steps themselves (``tube_steps.py``, ``hole_steps.py``, ``last_steps.py``): here is only what
there is, how its notes hang on it as far as is known, and how often each was blown.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from scaledesign.model.document import Design, HoleState, Row
from scaledesign.model.widths import WORK, drilled_now, length_now
from scaledesign.physics.arrays import Floats
from scaledesign.solver.problem import CENT
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.drilling import Listened, listened
from scaledesign.workshop.making.opening import HAND, SURE, Line, Opening, finished
from scaledesign.workshop.making.outlook import Outlook, outlook_of
from scaledesign.workshop.making.tries import Doubt, doubt_of, touches, tries_of

FLAT, FLATTEST = 0.5, 2.5
"""Share of the tolerance by which a note is meant to end flat, and the most cents: a hole is opened more
easily than filled."""
GO, GO_LAST = 0.3, 0.7
"""Share of the tolerance that a step may be sharp with 95 chances in 100: while holes are still to come, and
at the last."""
NEAR, ENOUGH = 0.8, 0.6
"""Share of the tolerance within which a note is left as it is: while holes are still to come, and at the
last."""
SURPRISED = 2.5
"""Standard deviations from what was foretold from which a reading is taken again before it is acted upon."""
LATELY = 6
"""So many of the newest entries of the log are looked through for a hole that was filled."""


@dataclass(frozen=True)
class Foot:
    """Lengths of the tube, falling, and what they come to: as ``Line``."""

    length: Floats
    line: Line

    def reaching(self, cents: float) -> float:
        """m."""
        return float(np.interp(cents, np.maximum.accumulate(self.line.off), self.length))

    def safe(self, most: float) -> float:
        """m: the shortest that is not sharper than ``most`` cents, with 95 chances in 100."""
        bad = self.line.off + SURE * self.line.sure > most
        if not bad.any():
            return float(self.length[-1])
        return float(self.length[max(int(np.argmax(bad)) - 1, 0)])


class Stage:
    """The flute as its design and log tell it, and what may be asked of it; made anew for each step.

    ``place`` is the end of its log, ``there`` and ``left`` the holes (0-based) that are drilled and are not,
    ``target`` (R,) Hz; ``notes`` collects in words what is odd or at the limit.

    Raises
    ------
    UnknownNameError
        where nobody offers the scale.
    """

    def __init__(self, design: Design, outlook: Outlook | None = None, target: Floats | None = None) -> None:
        self.design = design
        self.place = len(design.log)
        self.there = drilled_now(design)
        self.left = sorted(
            set(range(len(design.holes))) - set(self.there), key=lambda i: (-design.holes[i].at, -i)
        )
        self.tolerance = design.tuning.tolerance
        self._outlook = outlook
        self.target = np.array(ask.targets(design)) if target is None else target
        self.notes: list[str] = []

    @property
    def aim(self) -> float:
        """Cents off at which a note is meant to end, a little flat."""
        return -min(FLAT * self.tolerance, FLATTEST)

    @cached_property
    def outlook(self) -> Outlook:
        """What is foretold from all readings."""
        return self._outlook or outlook_of(self.design)

    @cached_property
    def root(self) -> int | None:
        """The row that is played with every hole closed, in the first register, that counts."""
        rows = self.design.rows
        closed = (
            i for i, row in enumerate(rows)
            if set(row.holes) <= {"X"} and row.register == 1 and row.counts and row.holes
        )  # fmt: skip
        return next(closed, None)

    @cached_property
    def foot(self) -> Foot | None:
        """Lengths from what the tube is now, or the planned one, down by a tenth; None: it stays as it is."""
        if self.root is None or self.design.tube.locked or self.design.tube.foot.kind != "open":
            return None
        start = length_now(self.design) or self.design.tube.length
        lowest = max((hole.at + hole.diameter / 2 for hole in self.design.holes), default=0.0)
        shortest = max(0.85 * min(start, self.design.tube.length), lowest + self.design.shop.wood)
        length = np.linspace(start, min(shortest, start - HAND), 81)
        told = self.outlook.tell(finished(self.design, (self.design.rows[self.root],), length=length))
        off = CENT * np.log(told.frequency[:, 0] / self.target[self.root])
        return Foot(length, Line(-length, off, told.sure[:, 0]))

    def listened(self, hole: int) -> Listened:
        """What is blown while a hole is worked on."""
        return listened(self.design, hole, set(self.there) | {hole})

    def opening(self, hole: int) -> Opening | None:
        """The hole, heard through the row that tells of it; None where no row that counts does."""
        heard = self.listened(hole)
        if heard.row is None or not self.design.rows[heard.row].counts:
            return None
        row = self.design.rows[heard.row]
        return Opening(self.outlook, hole, row, float(self.target[heard.row]))

    def standing(self, rows: list[int]) -> tuple[Floats, Floats]:
        """Cents off and ± of rows of the flute as it stands, its tube as long as it is."""
        now = length_now(self.design)
        length = None if now is None else np.array([now])
        told = self.outlook.tell(
            finished(self.design, tuple(self.design.rows[i] for i in rows), length=length)
        )
        return CENT * np.log(told.frequency[0] / self.target[rows]), told.sure[0]

    def readings(self, row: Row) -> int:
        """How often a fingering was blown since anything that it opens was worked on."""
        return len(tries_of(self.design, row.holes, row.register))

    def doubt(self, holes: tuple[HoleState, ...] = (), register: int = 1) -> Doubt | None:
        """Whether the newest reading of a fingering, () for the bare tube, is left out; None where not."""
        return doubt_of(self.design, holes, register)

    def ever_read(self, hole: int, row: Row) -> bool:
        """Whether a fingering was blown since a hole was worked on."""
        for entry in reversed(self.design.log):
            if entry.event in WORK and entry.hole == hole:
                return False
            if entry.event == "measured" and entry.holes == row.holes and entry.measured:
                return True
        return False

    def read_since(self, row: Row, *, today: bool = False) -> int:
        """How often a row was blown on the flute as it is: nothing that it hangs on was changed since.

        ``today``: on the day of the newest entry only.
        """
        states = dict(zip(self.design.fingered(), row.holes, strict=True))
        count = 0
        for entry in reversed(self.design.log):
            if entry.event == "cut" and not any(state != "X" for state in states.values()):
                break
            if touches(entry, states) or entry.event == "drilled":
                break
            if today and entry.when.date() != self.design.log[-1].when.date():
                break
            same = entry.event == "measured" and entry.holes == row.holes and bool(entry.measured)
            count += same and (entry.register or 1) == row.register
        return count

    def days(self) -> int:
        """On how many days the whole flute was blown."""
        found = set()
        for entry in reversed(self.design.log):
            if entry.event == "drilled":
                break
            if entry.event == "measured":
                found.add(entry.when.date())
        return len(found)

    def governing(self, row: Row) -> int | None:
        """The topmost open hole of a row, None where all are closed."""
        states = zip(self.design.fingered(), row.holes, strict=True)
        opened = [i for i, state in states if state != "X"]
        return min(opened, key=lambda i: self.design.holes[i].at, default=None)

    def surprised(self, row: Row) -> bool:
        """Whether the newest reading, of that row, lies far from what all others say."""
        readings = self.outlook.readings
        newest = next((e for e in reversed(self.design.log) if e.event == "measured" and e.measured), None)
        if newest is None or newest.holes != row.holes:
            return False
        index = next((i for i in reversed(range(len(readings))) if readings[i].said == newest.measured), None)
        return index is not None and abs(float(self.outlook.surprise[index])) > SURPRISED

    def was_filled(self, hole: int) -> bool:
        """Whether the last thing done to a hole was to fill it: once is enough."""
        return any(entry.event == "filled" and entry.hole == hole for entry in self.design.log[-LATELY:])
