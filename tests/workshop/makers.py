"""Invented makers with hidden habits, and the flutes they have made: what the book is tried on.

Apart because the test tries a few of them and the bench (``tests/bench/book.py``) two hundred. The truth of a
mouth is the estimate times exp(habit + dependence + scatter). A bare tube is then blown with what nobody
knows: a bore and a room that were measured wrong, a tuner that wavers, an end that shortens otherwise, and
some cents that no model has. What the tuner shows goes through the real calibration into a file; only its
predictions before and after are left out, which nobody here asks for.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import exp, log
from pathlib import Path

import numpy as np

from scaledesign.files import document_file
from scaledesign.model.document import Design, Instrument, Station, Tube, Voicing, Window
from scaledesign.physics.mouth import shortening
from scaledesign.solver.problem import altered, flutes_of, voicing_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.workshop.calibration import learn
from scaledesign.workshop.readings import with_readings

BARE = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))
FIRST = datetime(2026, 1, 5, 10)
BORE_DOUBT, WARMTH_DOUBT, TUNER, LEFT_OUT = 0.15e-3, 1.0, 3.0, 2.0
"""m, K, cents, cents: what is hidden beside the mouth, one standard deviation."""


@dataclass(frozen=True)
class World:
    """What makers are like in it: standard deviations of ln(truth / estimate) and of its slopes."""

    name: str
    habit: float = 0.0
    window: float = 0.0
    """Slope over ln of the window's length, which the estimate has wrong."""
    bore: float = 0.0
    """Slope over ln of the bore."""
    scatter: tuple[float, float] = (0.04, 0.09)
    """Least and most of what one flute differs from the next by."""


WORLDS = (
    World("habit", habit=0.25),
    World("habit and window", habit=0.22, window=0.5),
    World("habit and bore", habit=0.22, bore=0.5),
    World("window alone", window=0.9),
    World("nothing to learn", scatter=(0.30, 0.30)),
)
"""The first three have a habit, as makers have; the last two try the ± where the book can do little."""
LEARNABLE = 3


@dataclass(frozen=True)
class Maker:
    """One maker: what hides in each mouth."""

    habit: float
    window: float
    bore: float
    scatter: float

    def truth(self, design: Design, random: np.random.Generator) -> float:
        """Added length (m) of the mouth of a flute of this maker's."""
        window = design.voicing.window
        assert window is not None
        off = self.habit + random.normal(0, self.scatter)
        off += self.window * log(window.length / (0.3 * design.tube.bore[0].value))
        off += self.bore * log(design.tube.bore[0].value / 0.0175)
        return voicing_of(design).added_length * exp(off)


def maker(world: World, random: np.random.Generator) -> Maker:
    """A maker of that world."""
    return Maker(
        random.normal(0, world.habit),
        random.normal(0, world.window),
        random.normal(0, world.bore),
        random.uniform(*world.scatter),
    )


def tube(random: np.random.Generator, number: int = 0) -> Design:
    """A duct flute that is not drilled yet, with its window measured."""
    bore = round(random.uniform(13, 22), 1) * 1e-3
    window = Window(
        round(bore * random.uniform(0.22, 0.40) * 1e3, 1) * 1e-3,
        round(bore * random.uniform(0.45, 0.62) * 1e3, 1) * 1e-3,
        round(random.uniform(1.5, 3.0), 1) * 1e-3,
    )
    return Design(
        Tube(
            round(bore * random.uniform(18, 28), 4),
            (Station(0.0, bore),),
            (Station(0.0, round(random.uniform(2.5, 4.5), 1) * 1e-3),),
        ),
        Instrument(mouth="duct"),
        name=f"Flute {number + 1}",
        voicing=Voicing(window=window),
    )


def blown(design: Design, truth: float, random: np.random.Generator, number: int = 0) -> Design:
    """The flute after its bare tube was blown and the tuner believed: the real calibration, noise and all."""
    flutes = flutes_of(replace(design, voicing=replace(design.voicing, added_length=truth)))
    drift = random.uniform(0, 1) * shortening(truth)
    hidden = np.array([[0.0, drift, random.normal(0, BORE_DOUBT), 0.0, random.normal(0, WARMTH_DOUBT)]])
    frequency = float(resonances(altered(flutes, hidden), BARE).frequency[0, 0])
    frequency *= 2 ** (random.normal(0, np.hypot(TUNER, LEFT_OUT)) / 1200)
    when = FIRST + timedelta(days=9 * number)
    noted = with_readings(design, f"{frequency:.2f} Hz", None, None, {}, when)
    return learn(design, noted).design


def filled(
    folder: Path,
    who: Maker,
    count: int,
    random: np.random.Generator,
    kind: Callable[[np.random.Generator, int], Design] = tube,
) -> None:
    """A folder with so many finished designs of a maker's."""
    for number in range(count):
        design = kind(random, number)
        finished = blown(design, who.truth(design, random), random, number)
        document_file.save(finished, folder / f"flute-{number + 1:02}.toml")
