"""Scales measured on flutes whose dimensions nobody printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from scaledesign.accuracy.case import Compute, Figures, Found, Row, furthest
from scaledesign.accuracy.tubes import MM, drilled, tube
from scaledesign.model.document import Design, Finger
from scaledesign.model.document import Row as Fingering
from scaledesign.model.pitch import (
    Note,
    cents_between,
    nearest_note,
    parse_reading,
    reading_frequency,
)
from scaledesign.solver.solution import solve

REFERENCE = 440.0
"""Hz of A4 that the readings are against."""
FINGERS: tuple[Finger, ...] = ("L1", "L2", "L3", "R1", "R2", "R3")


def jiahu(figures: Figures) -> Found:
    """Readings to Hz, steps between them, and back to note and cents."""
    readings, others = figures["reading"], figures["other_reading"]
    rows = tuple(
        Row(text, hertz, reading_frequency(text, REFERENCE))
        for text, hertz in zip(readings, figures["frequency_hz"], strict=True)
    )
    apart = [
        cents_between(low, high) - wanted
        for texts, steps in ((readings, figures["step_cents"]), (others, figures["other_step_cents"]))
        for (low, high), wanted in zip(
            pairwise(reading_frequency(text, REFERENCE) for text in texts), steps, strict=True
        )
    ]
    return Found(
        rows,
        {
            "step": furthest(apart),
            "back": furthest([back_and_forth(text) for text in (*readings, *others)]),
            "hertz": furthest([row.predicted - row.published for row in rows]),
        },
    )


def back_and_forth(text: str) -> float:
    """Cents between a reading and what becomes of it by way of its frequency."""
    reading = parse_reading(text)
    if not isinstance(reading.pitch, Note):
        raise ValueError(f"{text} is no note")
    note, cents = nearest_note(reading_frequency(text, REFERENCE), REFERENCE)
    return 100 * (note.midi - reading.pitch.midi) + cents - reading.cents


def thrasher(figures: Figures) -> Found:
    """Each scale solved on the same tube; every row of it is to be met."""
    rows, off = [], []
    for number, degrees in enumerate(figures["degrees_cents"], 1):
        target = tuple(figures["tonic_hz"] * 2 ** (cents / 1200) for cents in degrees)
        prediction = solve(six_holes(figures, degrees), target).prediction
        errors = [float(cents) for cents in prediction.cents]
        off += errors
        rows.append(Row(f"flute {number}", degrees[-1], degrees[-1] + errors[-1] - errors[0]))
    return Found(tuple(rows), {"furthest": furthest(off)})


def six_holes(figures: Figures, degrees: Sequence[float]) -> Design:
    """A tube of ours with six holes; each note opens one more, foot to mouth."""
    plain = tube(
        figures["length_mm"] * MM, figures["bore_mm"] * MM, figures["wall_mm"] * MM,
        mouth=figures["mouth_mm"] * MM, pad=0.5,
    )  # fmt: skip
    places = [at * MM for at in figures["holes_mm"]]
    flute = drilled(plain, places, [figures["hole_mm"] * MM] * len(places))
    holes = tuple(replace(hole, finger=finger) for hole, finger in zip(flute.holes, FINGERS, strict=True))
    count = len(holes)
    rows = tuple(
        Fingering(f"{cents} c", tuple("O" if hole >= count - opened else "X" for hole in range(count)))
        for opened, cents in enumerate(degrees)
    )
    return replace(
        flute,
        holes=holes,
        rows=rows,
        shop=replace(flute.shop, smallest=5 * MM, largest=11 * MM, hand="large"),
    )


COMPUTE: Mapping[str, Compute] = {"jiahu": jiahu, "thrasher": thrasher}
