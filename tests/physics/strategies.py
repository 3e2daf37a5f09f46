"""Random flutes for property tests: every foot, mouth, taper, step, order of holes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st

from scaledesign.physics.air import Air, moist_air
from scaledesign.physics.flute import Airway, Body, Flutes, slices_of
from scaledesign.solver.resonance import Fingerings

BORES = ("straight", "taper", "flare", "step", "late taper")


@dataclass(frozen=True)
class Tube:
    """A random flute with its fingerings and the temperature of its air (degC)."""

    flutes: Flutes
    fingerings: Fingerings
    temperature: float


def air_at(celsius: float) -> Air:
    """Moist air, one flute."""
    return moist_air(celsius, 60.0).repeat(1)


@st.composite
def shapes(draw: st.DrawFn, count: int) -> dict[str, object]:
    """What makes a body other than plain; see ``Body``."""

    def each(low: float, high: float) -> np.ndarray:
        return np.array(draw(st.lists(st.floats(low, high), min_size=count, max_size=count)))

    return {
        "hole_angle": each(-0.6, 3.2),
        "hole_slant": each(-0.35, 0.35),
        "hole_undercut": each(0.0, 0.0012),
        "hole_aspect": each(0.7, 1.5),
        "cooling": draw(st.sampled_from([0.0, 7.7])),
        "airway": draw(st.sampled_from([None, Airway(8000.0, 1400.0, 0.15)])),
        "outside": draw(st.sampled_from([True, True, False])),
    }


@st.composite
def tubes(
    draw: st.DrawFn,
    *,
    holes: int = 7,
    rows: int = 4,
    registers: int = 3,
    natural: bool = False,
    bores: tuple[str, ...] = BORES,
    shaped: bool = True,
) -> Tube:
    """A flute; ``natural``: holes open from the foot up only, as in a scale.

    ``shaped``: half of them with holes around the tube, slanted, undercut and oval, a bore that cools, a
    flue with its chamber, or each opening alone.
    """
    length = draw(st.floats(0.25, 0.65))
    radius = draw(st.floats(0.006, 0.011))
    count = draw(st.integers(0, holes))
    places = draw(st.lists(st.floats(0.32, 0.93), min_size=count, max_size=count))
    sizes = draw(st.lists(st.floats(0.25, 0.7), min_size=count, max_size=count))
    if natural:
        places = sorted(places)
    kind = draw(st.sampled_from(bores))
    end = length + 0.002
    stations = {
        "straight": ([0.0], [radius]),
        "taper": ([0.0, 0.5 * length, end], [radius, 0.95 * radius, 0.8 * radius]),
        "flare": ([0.0, end], [radius, 1.2 * radius]),
        "step": ([0.0, 0.25 * length, 0.25 * length], [radius, radius, 0.96 * radius]),
        "late taper": ([0.1, 0.21], [radius, 0.9 * radius]),
    }[kind]
    body = Body(
        slices=slices_of(np.array(stations[0]), np.array(stations[1])),
        wall_x=np.array([0.0, end]),
        wall=np.array([0.004, 0.0034]),
        hole_wall=np.array([np.nan] * count),
        foot=draw(st.sampled_from(["open", "flanged", "stopped", "node"])),
        foot_radius=0.6 * radius,
        ideal_mouth=draw(st.sampled_from([False, False, True])),
        cavity=draw(st.sampled_from([0.0, 0.008])),
        pad=draw(st.floats(0.0, 0.8)),
        **(draw(shapes(count)) if shaped and draw(st.booleans()) else {}),
    )
    flutes = Flutes(
        body=body,
        at=np.array([places]).reshape(1, count) * length,
        radius=np.array([sizes]).reshape(1, count) * radius,
        length=np.array([length]),
        added_length=np.array([draw(st.floats(0.01, 0.05))]),
        drift=np.array([draw(st.floats(-0.001, 0.001))]),
        bore_scale=np.ones(1),
        wall_offset=np.zeros(1),
        air=air_at(celsius := draw(st.floats(5.0, 30.0))),
    )
    if natural:
        opened = [draw(st.integers(0, count)) for _ in range(rows)]
        order = np.argsort(-np.array(places)) if count else np.zeros(0, int)
        share = np.zeros((count, rows))
        for column, n in enumerate(opened):
            share[order[:n], column] = 1.0
    else:
        states = st.sampled_from([0.0, 0.0, 1.0, 1.0, 0.5, 0.15])
        flat = draw(st.lists(states, min_size=count * rows, max_size=count * rows))
        share = np.array(flat).reshape(count, rows)
    register = np.array(
        draw(st.lists(st.integers(1, registers), min_size=rows, max_size=rows)), dtype=np.intp
    )
    return Tube(flutes, Fingerings(share, register), celsius)
