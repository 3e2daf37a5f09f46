"""Small flutes to try hands and cords on: four holes, quickly solved, no file."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from scaledesign.model.document import (
    AirSetting,
    Design,
    Hole,
    Instrument,
    Row,
    Shop,
    Station,
    Tube,
    Tuning,
    Voicing,
)
from scaledesign.workshop import ask

START = Design(
    Tube(0.36, (Station(0.0, 0.016),), (Station(0.0, 0.004),)),
    Instrument("rim"),
    voicing=Voicing(added_length=0.012),
    air=AirSetting(temperature=20.0, breath=0.0),
    tuning=Tuning(tonic="A4", scale="pentatonic minor"),
    shop=Shop(hand="large", smallest=0.004),
    name="Four holes",
    holes=(
        Hole(0.186, 0.0075, finger="L1"),
        Hole(0.225, 0.008, finger="R1"),
        Hole(0.262, 0.0085, finger="R2"),
        Hole(0.298, 0.009, finger="R3"),
    ),
    rows=(
        Row("A4", ("X", "X", "X", "X")),
        Row("C5", ("X", "X", "X", "O")),
        Row("D5", ("X", "X", "O", "O")),
        Row("E5", ("X", "O", "O", "O")),
        Row("G5", ("O", "O", "O", "O")),
    ),
)


@cache
def flute() -> Design:
    """In tune under a large hand."""
    return ask.solve(START).design


HANDED = replace(
    START,
    holes=(
        Hole(0.170, 0.007, side=180.0, finger="LT"),
        Hole(0.205, 0.0075, finger="L1"),
        Hole(0.255, 0.009, finger="R1"),
        Hole(0.290, 0.009, finger="R2"),
    ),
)
"""The uppermost hole behind, for the thumb."""
