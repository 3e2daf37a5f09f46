"""A small flute, and a made-up maker who makes it: what is true of it, the program is not told."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from scaledesign import loads
from scaledesign.model.document import Design, Row
from scaledesign.model.pitch import format_reading
from scaledesign.model.widths import hole_then, length_now
from scaledesign.solver.problem import fingerings_of, flutes_of, unread, voicing_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.workshop import ask
from scaledesign.workshop.making import acts
from scaledesign.workshop.making.plan import next_step
from scaledesign.workshop.making.step import Step

THREE_NOTES = loads(
    """
name = "Reed stub"
[instrument]
mouth = "duct"
[tube]
length = 360
bore = 16
wall = 3
[voicing]
window = { length = 5, width = 9, wall = 2 }
[tuning]
tonic = "A4"
scale = "pentatonic minor"
[[holes]]
at = 230
diameter = 8
finger = "R1"
[[holes]]
at = 280
diameter = 8
finger = "R2"
[[rows]]
note = "A4"
holes = "XX"
[[rows]]
note = "C5"
holes = "XO"
[[rows]]
note = "D5"
holes = "OO"
"""
)
START = datetime(2026, 3, 1, 9)


def planned() -> Design:
    """The flute laid out, before anything is cut."""
    return ask.solve(THREE_NOTES).design


class Maker:
    """Does as told on a flute whose mouth and bore are not those of the design."""

    def __init__(
        self,
        design: Design,
        *,
        mouth: float = 0.004,
        bore: float = 0.01,
        tuner: float = 0.0,
        patient: bool = True,
    ) -> None:
        self.design, self.mouth, self.bore = design, mouth, bore
        self.stated = voicing_of(unread(design)).added_length
        self.rng = np.random.default_rng(5)
        self.tuner, self.patient = tuner, patient
        self.when = START
        self.told: list[Step] = []

    def truth(self, row: Row | None, length: float, *, every: bool = False) -> float:
        """Hz of a row on the flute as it stands, or of the bare tube."""
        place = len(self.design.log)
        there = [i for i, hole in enumerate(self.design.holes) if row is not None and (every or hole.drilled)]
        voicing = replace(
            self.design.voicing, added_length=self.stated + self.mouth, drift=0.0, calibrated=False
        )
        tube = replace(self.design.tube, length=length)
        holes = tuple(hole_then(self.design, i, place) for i in there)
        flutes = flutes_of(replace(self.design, voicing=voicing, tube=tube, holes=holes))
        flutes = replace(flutes, bore_scale=flutes.bore_scale * (1 + self.bore))
        fingerings = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))
        if row is not None:
            whole = fingerings_of(self.design, (row,))
            fingerings = Fingerings(whole.share[there], whole.register)
        return float(resonances(flutes, fingerings).frequency[0, 0])

    def shows(self, frequency: float) -> str:
        """What the tuner shows."""
        return format_reading(frequency * 2 ** (self.rng.normal(0, self.tuner) / 1200), 440.0)

    def do(self, step: Step) -> None:
        """One step, just as told."""
        self.when += timedelta(days=1) if step.rest and self.patient else timedelta(minutes=10)
        length = length_now(self.design) or self.design.tube.length * 1.2
        design = self.design
        if step.kind == "blow":
            design = acts.blown(design, self.shows(self.truth(None, length)), self.when, length=length).design
        elif step.kind == "cut":
            design = acts.cut(design, step.to, self.when)
        elif step.kind == "drill":
            design = acts.drilled(design, step.hole, step.to, self.when)
        elif step.kind in ("open", "file"):
            design = acts.opened(design, step.hole, self.when, diameter=step.to)
        elif step.kind == "undercut":
            design = acts.opened(design, step.hole, self.when, undercut=step.to)
        elif step.kind == "fill":
            design = acts.filled(design, step.hole, self.when, diameter=step.to)
        elif step.kind == "read":
            said = self.shows(self.truth(design.rows[step.row], length))
            read = acts.blown(
                design, said, self.when, hole=step.hole, holes=step.holes, register=step.register
            )
            design = read.design
        self.design = acts.resolved(design)
        self.told.append(step)

    def finish(self, most: int = 40) -> None:
        """Do as told until there is nothing more to do."""
        for _ in range(most):
            step = next_step(self.design)
            if step.kind == "done":
                return
            self.do(step)
        raise AssertionError("no end of it")

    def off(self) -> np.ndarray:
        """Cents by which the finished flute is truly off, (R,)."""
        length = length_now(self.design) or self.design.tube.length
        heard = np.array([self.truth(row, length) for row in self.design.rows])
        return 1200 * np.log2(heard / np.array(ask.targets(self.design)))
