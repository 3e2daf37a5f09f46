"""A flute of three holes, whose every fingering is tried in a moment, and all that it can play."""

from __future__ import annotations

from functools import cache
from typing import Literal

from scaledesign.model.document import (
    AirSetting,
    Design,
    Hole,
    Instrument,
    Row,
    Station,
    Tube,
    Tuning,
    Voicing,
)
from scaledesign.view.columns import Sheet
from scaledesign.view.desk import Desk
from scaledesign.workshop.finder import Choice, choice_of
from scaledesign.workshop.playable import HALF_OPEN, playable
from tests.view.working import desk_of

STILL: frozenset[Literal["at", "diameter"]] = frozenset({"at", "diameter"})


@cache
def flute() -> Design:
    """Three fingers on a rim-blown tube; four notes of a scale, one above them."""
    return Design(
        Tube(0.3695, (Station(0.0, 0.016),), (Station(0.0, 0.003),), locked=True),
        Instrument("rim"),
        voicing=Voicing(added_length=0.012),
        air=AirSetting(temperature=20.0, breath=0.0),
        tuning=Tuning(tonic="A4", scale="pentatonic minor"),
        name="Small",
        holes=(
            Hole(0.2227, 0.007, finger="L1", locked=STILL),
            Hole(0.2536, 0.007, finger="L2", locked=STILL),
            Hole(0.2848, 0.007, finger="L3", locked=STILL),
        ),
        rows=(
            Row("A4", ("X", "X", "X")),
            Row("C5", ("X", "X", "O")),
            Row("D5", ("X", "O", "O")),
            Row("E5", ("O", "O", "O")),
        ),
    )


@cache
def desk() -> Desk:
    """It is open and predicted."""
    return desk_of(flute())


def sheet() -> Sheet:
    """What lists look at."""
    return desk().sheet


@cache
def choice(share: float = HALF_OPEN) -> Choice:
    """Everything it can play."""
    return choice_of(flute(), playable(flute(), open_share=share))
