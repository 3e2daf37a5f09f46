"""Flutes of plain proportions to judge: any mouth, any number of bores long, an even row of holes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from scaledesign.model.document import AirSetting, Design, Hole, Instrument, Mouth, Row, Station, Tube

FINGERS = ("L1", "L2", "L3", "R1", "R2", "R3")


def flute(
    bores: float = 22.0, mouth: Mouth = "duct", bore: float = 0.016, holes: int = 6, **more: Any
) -> Design:
    """Holes of 0.45 bores, a row for each number of open ones, named as a scale would be."""
    length = bores * bore
    notes = ("A4", "B4", "C5", "D5", "E5", "F#5", "G5")
    made = Design(
        Tube(length, (Station(0.0, bore),), (Station(0.0, 0.003),)),
        Instrument(mouth),
        holes=tuple(
            Hole(at=length * (0.4 + 0.09 * i), diameter=0.45 * bore, finger=finger)
            for i, finger in enumerate(FINGERS[:holes])
        ),
        rows=tuple(Row(note, ("X",) * (holes - n) + ("O",) * n) for n, note in enumerate(notes[: holes + 1])),
    )
    return replace(made, **more)


def still(design: Design) -> Design:
    """In air at rest, 20 degrees warm."""
    return replace(design, air=AirSetting(temperature=20.0, breath=0.0))
