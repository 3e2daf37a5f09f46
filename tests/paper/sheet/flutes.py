"""Designs for the sheet: the examples with what the engine says of them, and some that nobody would make."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache

import numpy as np

from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import (
    Design,
    Embouchure,
    Foot,
    Hole,
    Instrument,
    Row,
    Shop,
    Station,
    Tube,
    Tuning,
    Voicing,
)
from scaledesign.model.drill_step import DrillStep
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.press import PageForm
from scaledesign.paper.sheet.page import sheet_pages
from scaledesign.solver.prediction import Prediction
from scaledesign.workshop.drilling import drill_steps
from scaledesign.workshop.live import held
from tests.workshop.tubes import flute

EXAMPLE_NAMES = ("dust-lark", "grey-heron", "marsh-wren", "night-heron", "reed-bunting")


USUAL = PaperChoices()
SILENT = "Silent"
"""Name of a flute of which the engine found nothing."""


@cache
def example(name: str) -> Design:
    return load(EXAMPLES / f"{name}.toml")


@cache
def known(design: Design) -> tuple[Prediction, tuple[DrillStep, ...]]:
    """What the engine says of a design, worked out once."""
    prediction = held(design).prediction
    assert prediction is not None
    steps = drill_steps(design)
    if design.name == SILENT:  # a true search for what is not there takes seconds
        nothing = np.full(len(design.rows), np.nan)
        prediction = replace(
            prediction, frequency=nothing, cents=nothing, uncertainty=nothing, common=nothing, rest=nothing
        )
        steps = tuple(replace(step, finished=np.nan) for step in steps)
    return prediction, steps


def sheet(design: Design, choices: PaperChoices = USUAL, form: PageForm = "pdf", ppi: float = 144.0,
          placed: tuple[str, ...] = ()) -> tuple[bytes, ...]:  # fmt: skip
    """The sheet of a design."""
    prediction, steps = known(design)
    return sheet_pages(design, prediction, placed, steps, choices, form, ppi=ppi)


def ten_holes() -> Design:
    """Two thumbs, a hole at the side, an oval, a slanted and an undercut one; a bore of twenty stations."""
    fingers = ("LT", "L1", "L2", "L3", "L4", "RT", "R1", "R2", "R3", "R4")
    sides = {"LT": 180.0, "RT": 170.0, "L4": 40.0}
    holes = [
        Hole(0.2 + 0.035 * i, 0.0061 + 0.0003 * i, finger=finger, side=sides.get(finger, 0.0))
        for i, finger in enumerate(fingers)
    ]
    holes[2] = replace(holes[2], locked=frozenset({"at"}))
    holes[3] = replace(holes[3], across=0.0055)
    holes[6] = replace(holes[6], slant=15.0)
    holes[7] = replace(holes[7], undercut=0.001)
    holes[9] = replace(holes[9], drilled=True)

    def opened(count: int) -> tuple[str, ...]:
        return ("X",) * (10 - count) + ("O",) * count

    rows = [Row("D5", opened(n)) for n in range(11)]
    rows[1] = replace(rows[1], measured="D5 -7")
    rows[2] = replace(rows[2], cents=14.0)
    rows[3] = replace(rows[3], note="C~5")
    rows[4] = replace(rows[4], note="523.3 Hz")
    rows += [Row("D6", opened(n), register=2, role="alternate", weight=0.0) for n in range(6)]
    half = ("X",) * 8 + ("H", "O")
    rows += [Row("A6", half, register=3, role="alternate", weight=0.0)] * 3
    stations = tuple(Station(0.03 * i, 0.0205 - 0.0004 * i) for i in range(20))
    return Design(
        Tube(0.62, stations, (Station(0.0, 0.004),), Foot("node", 0.008), blank=0.9,
             avoid=((0.1, 0.104), (0.55, 0.56))),
        Instrument("transverse", "a fingering system whose name goes on and on", material="rosewood, brass"),
        name="A flute whose name is far longer than a name should ever be, and that goes on after its end",
        voicing=Voicing(embouchure=Embouchure(0.012, 0.010)),
        holes=tuple(holes), rows=tuple(rows),
    )  # fmt: skip


EXTREMES: Mapping[str, Callable[[], Design]] = {
    "ten holes": ten_holes,
    "no holes, no rows": lambda: replace(example("marsh-wren"), holes=(), rows=(), name=""),
    "no rows": lambda: replace(example("marsh-wren"), rows=()),
    "no pitch": lambda: replace(flute(holes=3, rows=flute(holes=3).rows[:3]), name=SILENT),
    "short": lambda: flute(bores=6, name="nospaces" * 20),
    "long, stopped, sawn off": lambda: replace(
        flute(bores=60, bore=0.03, mouth="rim"),
        tube=replace(flute(bores=60, bore=0.03).tube, foot=Foot("stopped"), locked=True),
    ),
    "flanged": lambda: flute(mouth="open", tube=replace(flute().tube, foot=Foot("flanged"))),
    "a tuning hole": lambda: replace(flute(holes=3), holes=(*flute(holes=3).holes, Hole(0.3, 0.005))),
    "own bits": lambda: flute(shop=Shop(bits=(0.00317, 0.0071))),
    "no such scale": lambda: flute(tuning=Tuning(degrees=("1", "9/8", "3/2"), tolerance=0.5)),
}  # fmt: skip
