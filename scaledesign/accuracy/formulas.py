"""Published formulas and their worked values, against the same quantity of the program."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from scaledesign.accuracy.case import Compute, Figures, Found, Row, furthest
from scaledesign.accuracy.pipes import end_length
from scaledesign.accuracy.tubes import MM, air_of_speed, drilled, long, plays, tube
from scaledesign.model.document import Design, Instrument
from scaledesign.model.pitch import cents_between
from scaledesign.physics.lattice import cutoff as lattice_cutoff

FREQUENCY = 300.0
"""Hz: where lengths beyond an open hole are compared."""
PLACES = 20
"""Places along the tube over which a closed hole's effect is averaged."""
SPEED = 343.37
"""m/s, any: only lengths are compared, without losses."""
LOW = 0.1
"""1/m: a wavenumber at which an end is as at none."""


def benade_tube(figures: Figures, length: float, pad: float = 0.0) -> Design:
    """His tube, m long, ideally open at the mouth."""
    return tube(length, 2 * figures["bore_radius_mm"] * MM, figures["wall_mm"] * MM, pad=pad)


def past_the_hole(figures: Figures, published: float, places: Sequence[float], beyond: float) -> float:
    """Length (m) of tube that still counts past the first of open holes, lossless, near ``FREQUENCY``.

    ``places`` (m) are from the first hole, which stands where ``published`` (m) would sound ``FREQUENCY``;
    the tube ends ``beyond`` (m) past it, end correction included.
    """
    air = air_of_speed(SPEED)
    half = SPEED / 2
    first = half / FREQUENCY - published
    foot = 0.0
    for _ in range(3):
        plain = benade_tube(figures, first + beyond - foot)
        foot = half / plays(plain, air, losses=False) - plain.tube.length
    widths = [2 * figures["hole_radius_mm"] * MM] * len(places)
    flute = drilled(long(plain, first + beyond - foot), [first + place for place in places], widths)
    return half / plays(flute, air, [True] * len(places), losses=False) - first


def open_hole(figures: Figures) -> Found:
    """One open hole: C = te / ((b/a)^2 + te/D), te = t + 1.5 b."""
    published, beyond = figures["single_mm"], figures["beyond_mm"]
    a, b = figures["bore_radius_mm"], figures["hole_radius_mm"]
    te = figures["wall_mm"] + 1.5 * b
    formula = te / ((b / a) ** 2 + te / beyond)
    found = past_the_hole(figures, published * MM, [0.0], beyond * MM)
    return lengths("beyond the hole", published, formula, found)


def row_of_holes(figures: Figures) -> Found:
    """The first of a row: C = s (sqrt(1 + 4 (te/2s) (a/b)^2) - 1), holes 2s apart."""
    published, spacing, count = figures["row_mm"], figures["spacing_mm"], figures["holes"]
    a, b = figures["bore_radius_mm"], figures["hole_radius_mm"]
    te = figures["wall_mm"] + 1.5 * b
    formula = spacing / 2 * (math.sqrt(1 + 4 * te / spacing * (a / b) ** 2) - 1)
    places = [n * spacing * MM for n in range(count)]
    found = past_the_hole(figures, published * MM, places, count * spacing * MM)
    return lengths("beyond the first hole", published, formula, found)


def lengths(label: str, published: float, formula: float, found: float) -> Found:
    """One length of his (mm), the same by his formula (mm), and ours (m)."""
    return Found(
        (Row(label, published * MM, found),),
        {"off": found / (published * MM) - 1, "formula": (formula - published) * MM},
    )


def lengthenings(figures: Figures, pad: float) -> list[float]:
    """What one closed hole adds to the tube (m) at each place, lossless."""
    air, length = air_of_speed(SPEED), figures["tube_mm"] * MM
    bare = benade_tube(figures, length, pad)
    base = plays(bare, air, losses=False)
    width = 2 * figures["hole_radius_mm"] * MM
    flutes = (drilled(bare, [length * (n + 0.5) / PLACES], [width]) for n in range(PLACES))
    return [SPEED / 2 * (1 / plays(flute, air, losses=False) - 1 / base) for flute in flutes]


def closed_hole(figures: Figures) -> Found:
    """One closed hole: it lengthens the tube by t (b/a)^2 / 4, a mean over its place."""
    published = figures["closed_mm"] * MM
    cap, finger = lengthenings(figures, 0.0), lengthenings(figures, Instrument().pad)
    flush, usual = sum(cap) / PLACES, sum(finger) / PLACES
    a, b = figures["bore_radius_mm"] * MM, figures["hole_radius_mm"] * MM
    volume = (figures["wall_mm"] * MM + b * (b / a) / 8) * (b / a) ** 2
    return Found(
        (Row("capped flush", published, flush), Row("usual finger", published, usual)),
        {
            "above_finger": published - usual,
            "below_cap": published - flush,
            "volume": max(cap) / volume - 1,
        },
    )


def cutoff(figures: Figures) -> Found:
    """The cutoff of a row of open holes."""
    bore, hole, wall, spacing = (
        np.asarray(figures[key] * MM) for key in ("bore_radius_mm", "hole_radius_mm", "wall_mm", "spacing_mm")
    )
    published = figures["cutoff_hz"]
    found = float(lattice_cutoff(figures["speed_m_s"], bore, hole, wall, spacing))
    return Found((Row("cutoff", published, found),), {"off": found / published - 1})


def foot_end(figures: Figures) -> Found:
    """An open end by its wall: a (d_f + (a/b) (d_u - d_f) + 0.057 (a/b) (1 - (a/b)^5))."""
    a, thick, thin = figures["radius_mm"], figures["flanged"], figures["unflanged"]
    rows = []
    for ratio in figures["ratio"]:
        published = a * (thick + ratio * (thin - thick) + figures["rim"] * ratio * (1 - ratio**5))
        found = end_length(2 * a * MM, (a / ratio - a) * MM, LOW)
        rows.append(Row(f"a/b = {ratio:g}", published * MM, found))
    return Found(tuple(rows), {"furthest": furthest([row.predicted - row.published for row in rows])})


def finger(figures: Figures) -> Found:
    """A finger in a closed hole: t0 = b (0.55 - 0.15 sech(9 t/a) + 0.4 sech(6.5 t/a) (b/a - 1))."""
    rows, formula = [], []
    for a, b, t, dip, _ in figures["rows"]:
        rows.append(Row(hole_label(a, b, t), dip / b, Instrument().pad))
        again = b * (0.55 - 0.15 / math.cosh(9 * t / a) + 0.4 / math.cosh(6.5 * t / a) * (b / a - 1))
        formula.append((again - dip) * MM)
    off = furthest([row.predicted - row.published for row in rows])
    return Found(tuple(rows), {"furthest": off, "formula": furthest(formula)})


def finger_series(figures: Figures) -> Found:
    """What a closed hole adds at the middle of a tube that sounds its second register."""
    air, length = air_of_speed(SPEED), figures["tube_mm"] * MM
    rows, cents = [], []
    for a, b, t, dip, published in figures["rows"]:
        bare = tube(length, 2 * a * MM, t * MM, pad=dip / b)
        wave = SPEED / plays(bare, air, register=2, losses=False)
        closed = plays(drilled(bare, [wave / 2], [2 * b * MM]), air, register=2, losses=False)
        rows.append(Row(hole_label(a, b, t), published * MM, SPEED / closed - wave))
        cents.append(cents_between(SPEED / (wave + published * MM), closed))
    off = furthest([row.predicted - row.published for row in rows])
    return Found(tuple(rows), {"cents": furthest(cents), "furthest": off})


def hole_label(a: float, b: float, t: float) -> str:
    """Bore, hole and wall of a row, radii in mm."""
    return f"bore {2 * a:g}, hole {2 * b:g}, wall {t:g} mm"


COMPUTE: Mapping[str, Compute] = {
    "open_hole": open_hole,
    "row_of_holes": row_of_holes,
    "closed_hole": closed_hole,
    "finger": finger,
    "finger_series": finger_series,
    "foot_end": foot_end,
    "cutoff": cutoff,
}
