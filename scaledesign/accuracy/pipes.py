"""Pipes without holes that somebody blew or measured."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from scaledesign.accuracy.case import Compute, Figures, Found, Row, furthest
from scaledesign.accuracy.tubes import MM, air_of_speed, plays, tube
from scaledesign.model.pitch import cents_between
from scaledesign.physics.air import moist_air
from scaledesign.physics.radiation import open_end


def end_length(bore: float, wall: float, wavenumber: float) -> float:
    """Length (m) of its own bore that an open end is worth at a wavenumber (1/m)."""
    k, radius = np.array([wavenumber]), np.array([bore / 2])
    return float(np.arctan(open_end(k, radius, radius + wall).z[0].imag) / wavenumber)


def stopped_pipes(figures: Figures) -> Found:
    """Stopped tubes with the blown end as further bore: with losses, and two sums without."""
    air = air_of_speed(figures["speed_m_s"])
    pipes = list(zip(figures["frequency_hz"], figures["length_mm"], figures["bore_mm"], strict=True))

    def rows(radii: float, losses: bool) -> list[Row]:
        return [
            Row(
                f"{length:.2f} mm",
                hz,
                plays(tube((length + radii * bore / 2) * MM, bore * MM, foot="stopped"), air, losses=losses),
            )
            for hz, length, bore in pipes
        ]

    def errors(found: list[Row]) -> list[float]:
        return [cents_between(row.published, row.predicted) for row in found]

    shown = rows(figures["free_end_radii"], True)
    free = errors(rows(figures["free_end_radii"], False))
    fitted = errors(rows(figures["fitted_end_radii"], False))
    return Found(
        tuple(shown),
        {
            "furthest": furthest(errors(shown)),
            "free_end": sum(free) / len(free),
            "fitted_end": furthest(fitted),
        },
    )


def plastic_pipes(figures: Figures) -> Found:
    """Tubes open at both ends; the end away from the foot as the mouth's added length."""
    air, length, wall = moist_air(figures["celsius"]), figures["length_mm"] * MM, figures["wall_mm"] * MM
    speed, published = float(air.c), figures["end_bores"]
    rows, off = [], []
    for width in figures["bore_mm"]:
        bore = width * MM
        added = end_length(bore, wall, 1e-3)
        hertz = plays(tube(length, bore, wall, mouth=added), air)
        rows.append(Row(f"{width} mm wide", published, (speed / (2 * hertz) - length) / 2 / bore))
        off.append(cents_between(speed / (2 * (length + 2 * published * bore)), hertz))
    apart = [row.predicted - bores for row, bores in zip(rows, figures["computed_bores"], strict=True)]
    return Found(tuple(rows), {"furthest": furthest(off), "computed": furthest(apart)})


COMPUTE: Mapping[str, Compute] = {
    "stopped_pipes": stopped_pipes,
    "plastic_pipes": plastic_pipes,
}
