"""Published layouts: where somebody cut a tube or drilled its holes for which notes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise

from scaledesign.accuracy.case import Compute, Figures, Found, Row, furthest
from scaledesign.accuracy.pipes import end_length
from scaledesign.accuracy.tubes import MM, breath, drilled, long, plays, tube, tuned
from scaledesign.model.document import Design
from scaledesign.model.pitch import cents_between, note_frequency, parse_note
from scaledesign.physics.air import moist_air

BOEHM_AIR = (24.16, 50.0)
"""degC and percent at which sound has the speed of Boehm's table."""
STANDARD = 440.0
"""Hz of A4 for layouts that state notes only."""
OPENED_UP = 3
"""Rounds of opening holes up to the note; a fourth changes no width by a hundredth of a millimetre."""


def nominal_end_blown(figures: Figures) -> Found:
    """What mouth and foot must add together for the nominal note, bore by bore."""
    air = moist_air(figures["celsius"], figures["humidity"])
    length, wall, wanted = figures["length_mm"] * MM, figures["wall_mm"] * MM, figures["frequency_hz"]
    rows = []
    for width in figures["bore_mm"]:
        bore = width * MM
        flute = tube(length, bore, wall, mouth=0.0)
        mouth = tuned(partial(with_mouth, flute), wanted, air, (0.030, 0.032))
        foot = end_length(bore, wall, 2 * math.pi * wanted / float(air.c))
        rows.append(Row(f"bore of {width} mm", figures["added_length_mm"] * MM, mouth + foot))
    added = [row.predicted for row in rows]
    return Found(tuple(rows), {"least": min(added), "most": max(added)})


def frequencies(figures: Figures, reference: float) -> list[float]:
    """Equal-tempered frequencies (Hz) of the notes of a layout."""
    return [note_frequency(parse_note(note), reference) for note in figures["note"]]


def boehm_table(figures: Figures) -> Found:
    """His table against equal temperament and the air's sound speed."""
    speed = figures["speed_m_s"]
    notes = frequencies(figures, figures["reference_hz"])
    columns = figures["theoretical_mm"]
    rows = tuple(
        Row(note, column * MM, speed / (2 * hertz))
        for note, column, hertz in zip(figures["note"], columns, notes, strict=True)
    )
    taken_off = figures["correction_mm"]
    lengths = zip(columns, figures["actual_mm"], strict=True)
    return Found(
        rows,
        {
            "column": furthest([row.predicted - row.published for row in rows]),
            "hertz": furthest([ours - his for ours, his in zip(notes, figures["hz"], strict=True)]),
            "taken_off": furthest([(column - actual - taken_off) * MM for column, actual in lengths]),
            "speed": float(moist_air(*BOEHM_AIR).c) - speed,
        },
    )


def boehm_shape(figures: Figures) -> Found:
    """A plain tube cut at each of his lengths."""
    air, bore, wall = breath(figures["celsius"]), figures["bore_mm"] * MM, figures["shape_wall_mm"] * MM
    notes = frequencies(figures, figures["reference_hz"])
    rows = tuple(
        Row(note, hertz, plays(tube((length + figures["shape_mouth_mm"]) * MM, bore, wall), air))
        for note, length, hertz in zip(figures["note"], figures["actual_mm"], notes, strict=True)
    )
    off = [cents_between(row.published, row.predicted) for row in rows]
    return Found(rows, {"spread": max(off) - min(off), "mean": sum(off) / len(off)})


def boehm_spacing(figures: Figures) -> Found:
    """Holes placed for his notes one after the other; those below the one in hand are open."""
    air, width = breath(figures["celsius"]), figures["hole_mm"] * MM
    notes = frequencies(figures, figures["reference_hz"])
    plain = tube(
        0.6, figures["bore_mm"] * MM, figures["wall_mm"] * MM,
        mouth=figures["mouth_mm"] * MM, cavity=figures["stopper_mm"] * MM,
    )  # fmt: skip
    flute = long(plain, tuned(lambda length: long(plain, length), notes[0], air, (0.58, 0.60)))
    at: list[float] = []
    for hertz in notes[1:]:
        lowest = at[0] if at else flute.tube.length

        def with_hole(x: float) -> Design:
            places = [x, *at]
            return drilled(flute, places, [width] * len(places))

        between = (lowest - 40 * MM, lowest - 30 * MM)
        at.insert(0, tuned(with_hole, hertz, air, between, [True] * (len(at) + 1)))
    names, actual = figures["note"][1:], figures["actual_mm"][1:]
    his = [(low - high) * MM for low, high in pairwise(actual)]
    ours = [low - high for low, high in pairwise(reversed(at))]
    rows = tuple(
        Row(f"{low} to {high}", *distances)
        for (low, high), distances in zip(pairwise(names), zip(his, ours, strict=True), strict=True)
    )
    return Found(rows, {"furthest": furthest([row.predicted / row.published - 1 for row in rows])})


def end_blown_a(figures: Figures) -> Found:
    """Holes from the head."""
    return end_blown(figures, figures["from_head"])


def end_blown_b(figures: Figures) -> Found:
    """Holes from the foot."""
    return end_blown(figures, [1 - share for share in figures["from_foot"]])


def end_blown(figures: Figures, shares: Sequence[float]) -> Found:
    """The mouth set by the lowest note, the others as they come; then the widths that put them in tune."""
    air, length = breath(figures["celsius"]), figures["length_mm"] * MM
    bore, wall = figures["bore_mm"] * MM, figures["wall_mm"] * MM
    notes = frequencies(figures, STANDARD)
    at = [share * length for share in shares]
    widths = [width * MM for width in figures["hole_mm"]]

    plain = tube(length, bore, wall, mouth=0.0, pad=0.5)

    def blown(widths: Sequence[float]) -> Design:
        """The flute with its mouth set by the lowest note."""
        flute = drilled(plain, at, widths)
        return with_mouth(flute, tuned(partial(with_mouth, flute), notes[0], air, (0.030, 0.032)))

    count = len(at)
    opening = [[hole >= count - opened for hole in range(count)] for opened in range(count + 1)]
    flute = blown(widths)
    rows = tuple(
        Row(note, hertz, plays(flute, air, opened))
        for note, hertz, opened in zip(figures["note"], notes, opening, strict=True)
    )
    off = [cents_between(row.published, row.predicted) for row in rows]
    for _ in range(OPENED_UP):
        flute = blown(widths)
        for opened in range(1, count + 1):
            hole = count - opened

            def with_width(width: float, flute: Design = flute, hole: int = hole) -> Design:
                return drilled(flute, at, [*widths[:hole], width, *widths[hole + 1 :]])

            widths[hole] = tuned(with_width, notes[opened], air, (8 * MM, 9 * MM), opening[opened])
    return Found(
        rows,
        {
            "growth": off[-1] - off[1],
            "flattest": min(off[1:]),
            "narrowest": min(widths),
            "widest": max(widths),
        },
    )


def with_mouth(flute: Design, added: float) -> Design:
    """The flute with another added length, m."""
    return replace(flute, voicing=replace(flute.voicing, added_length=added))


COMPUTE: Mapping[str, Compute] = {
    "nominal_end_blown": nominal_end_blown,
    "end_blown_a": end_blown_a,
    "end_blown_b": end_blown_b,
    "boehm_table": boehm_table,
    "boehm_shape": boehm_shape,
    "boehm_spacing": boehm_spacing,
}
