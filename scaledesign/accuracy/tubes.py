"""Flutes of published dimensions, played: the same way from a design to its notes as everybody's.

Apart so that the cases say only what is particular to them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from scaledesign.model.document import (
    AirSetting,
    Design,
    Foot,
    FootKind,
    Hole,
    Instrument,
    Station,
    Tube,
    Voicing,
)
from scaledesign.physics.air import BREATH_CO2, Air, moist_air
from scaledesign.physics.flute import Flutes
from scaledesign.solver.problem import flutes_of
from scaledesign.solver.resonance import Fingerings, resonances

MM = 1e-3
STEPS, CLOSE = 30, 1e-8
"""Secants at most, and the last one's length (m)."""


def breath(celsius: float) -> Air:
    """Breath in a played bore: saturated, 2.5 % carbon dioxide."""
    return moist_air(celsius, 100.0, co2=BREATH_CO2)


def air_of_speed(speed: float) -> Air:
    """Air of 20 °C but for its sound speed (m/s), where a source states no more than that."""
    return replace(moist_air(20.0), c=np.asarray(speed))


def tube(
    length: float,
    bore: float,
    wall: float = 0.0,
    *,
    foot: FootKind = "open",
    mouth: float | None = None,
    cavity: float = 0.0,
    pad: float = 0.0,
) -> Design:
    """A tube without holes, m; ``mouth`` is its added length, None an ideal open end."""
    return Design(
        tube=Tube(length, (Station(0.0, bore),), (Station(0.0, wall),), Foot(foot)),
        instrument=Instrument("open" if mouth is None else "rim", pad=pad),
        voicing=Voicing(added_length=mouth, cavity=cavity),
        air=AirSetting(breath=0.0),
    )


def drilled(design: Design, at: Sequence[float], widths: Sequence[float]) -> Design:
    """The tube with holes at ``at``, mouth to foot, ``widths`` wide (m)."""
    return replace(design, holes=tuple(Hole(*hole) for hole in zip(at, widths, strict=True)))


def long(design: Design, length: float) -> Design:
    """The tube cut to another length, m."""
    return replace(design, tube=replace(design.tube, length=length))


def flutes_in(design: Design, air: Air) -> Flutes:
    """A batch of one, full of ``air``."""
    return replace(flutes_of(design), air=air.repeat(1))


def plays(
    design: Design, air: Air, opened: Sequence[bool] = (), *, register: int = 1, losses: bool = True
) -> float:
    """Note (Hz) with the holes that are ``opened``; none of them where nothing is said."""
    share = np.array([opened or [False] * len(design.holes)], float).T
    found = resonances(flutes_in(design, air), Fingerings(share, np.array([register])), losses=losses)
    return float(found.frequency[0, 0])


def tuned(
    change: Callable[[float], Design],
    wanted: float,
    air: Air,
    between: tuple[float, float],
    opened: Sequence[bool] = (),
) -> float:
    """Dimension (m) at which what ``change`` makes of it plays ``wanted`` Hz, by secants within 10 nm.

    Raises
    ------
    ArithmeticError
        when there is none to be found from the two it may lie ``between``.
    """

    def off(x: float) -> float:
        return plays(change(x), air, opened) - wanted

    before, x = between
    y_before = off(before)
    for _ in range(STEPS):
        y = off(x)
        before, x, y_before = x, x - y * (x - before) / (y - y_before), y
        if abs(x - before) < CLOSE:
            return x
    raise ArithmeticError(f"nothing between {between} plays {wanted} Hz")
