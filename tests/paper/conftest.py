"""A small flute whose numbers are made up to be read off paper, and a prediction to go with it."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from scaledesign.model.document import (
    Chamber,
    Design,
    Hole,
    Instrument,
    Row,
    Shop,
    Station,
    Tube,
    Tuning,
    Voicing,
    Window,
)


@pytest.fixture
def design() -> Design:
    """Two finger holes and a thumb hole on a tube of 16 mm bore, 20 mm outside."""
    return Design(
        name="Reed bunting",
        tube=Tube(0.3, (Station(0, 0.016),), (Station(0, 0.002),), chamber=Chamber(0.1, 0.005)),
        instrument=Instrument(system="two and thumb", material="bamboo"),
        tuning=Tuning(tonic="A4", scale="pentatonic minor", tolerance=5),
        voicing=Voicing(window=Window(0.005, 0.009)),
        shop=Shop(bits="metric 0.5"),
        holes=(
            Hole(0.15, 0.0080, finger="LT", side=180),
            Hole(0.16, 0.0079, finger="L1"),
            Hole(0.2, 0.0065, finger="L2"),
        ),
        rows=(
            Row("A4", ("X", "X", "X")),
            Row("C5", ("X", "X", "O")),
            Row("C#5", ("X", "H", "O"), role="chromatic", weight=0.05),
            Row("A5", ("X", "X", "X"), register=2, role="alternate", weight=0.02),
        ),
    )


@pytest.fixture
def prediction() -> SimpleNamespace:
    """What a solver would say of it, in the names of a prediction."""
    return SimpleNamespace(
        frequency=np.array([440.0, 530.0, 551.0, 884.0]),
        target=np.array([440.0, 528.0, 554.37, 880.0]),
        cents=np.array([0.0, 6.54, -10.5, 7.85]),
        uncertainty=np.array([58.4, 60.2, 61.0, 59.0]),
        common=np.array([58.0, 59.0, 60.0, 58.0]),
        rest=np.array([5.0, 6.2, 7.0, 6.0]),
        sensitivity=SimpleNamespace(
            at=np.array([[100.0, -200.0, 0.0], [0.0, 100.0, -5000.0], [9e4] * 3, [9e4] * 3]),
            diameter=np.array([[0.0, 0.0, 0.0], [0.0, 3000.0, 12000.0], [9e4] * 3, [9e4] * 3]),
        ),
        calibrated=False,
        notes=("slant is not reckoned with.",),
    )
