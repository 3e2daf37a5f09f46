"""A plain flute to ask things of, for the pages that say why: what it plays, and the pressure along its bore.

A tube of 16 mm with a wall of 4 mm, 340 mm from the sounding edge to the foot, a mouth that adds 30 mm,
played warm. Everything is the program's own engine; many flutes go through it at once.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from scaledesign.model.document import AirSetting, Design, Hole, Instrument, Station, Tube, Voicing
from scaledesign.physics import jet
from scaledesign.physics.flute import joined
from scaledesign.physics.gradient import derivatives
from scaledesign.solver.problem import CENT, flutes_of
from scaledesign.solver.resonance import Fingerings, field_at, resonances

Floats = npt.NDArray[np.float64]
MM = 1e-3
LENGTH, BORE, WALL, ADDED = 0.340, 0.016, 0.004, 0.030


def plain(
    *holes: tuple[float, float], length: float = LENGTH, bore: float = BORE, wall: float = WALL,
    added: float = ADDED, room: float = 22.0, breath: float = 1.0, undercut: float = 0.0,
) -> Design:  # fmt: skip
    """The flute; ``holes`` are (place, width) in m from the sounding edge."""
    return Design(
        instrument=Instrument(mouth="duct"),
        tube=Tube(length, (Station(0.0, bore),), (Station(0.0, wall),)),
        voicing=Voicing(added_length=added, uncertainty=0.0),
        air=AirSetting(temperature=room, breath=breath),
        holes=tuple(Hole(at, wide, finger="R3", undercut=undercut) for at, wide in holes),
    )


def fingered(fingering: str, register: int = 1) -> Fingerings:
    """One fingering, X and O, as the engine takes it."""
    return Fingerings(
        np.array([[float(letter == "O")] for letter in fingering]).reshape(-1, 1), np.array([register])
    )


def played(
    designs: Sequence[Design], fingering: str = "", register: int = 1, *, losses: bool = True
) -> Floats:
    """(N,) Hz of flutes alike but for their holes, lengths, added lengths and air."""
    flutes = joined([flutes_of(design) for design in designs])
    return resonances(flutes, fingered(fingering, register), losses=losses).frequency[:, 0]


def one(design: Design, fingering: str = "", register: int = 1, *, losses: bool = True) -> float:
    """Hz of one flute."""
    return float(played([design], fingering, register, losses=losses)[0])


def cents(high: Floats | float, low: Floats | float) -> Floats:
    """Cents from a low frequency to a high one."""
    return np.asarray(CENT * np.log(np.asarray(high) / np.asarray(low)))


def speed(design: Design) -> float:
    """m/s: sound in the middle of its bore."""
    return float(flutes_of(design).air.c[0])


def firmness(design: Design, fingering: str = "", register: int = 1) -> float:
    """Quality of a resonance: how many cycles it rings on, times pi."""
    flutes, how = flutes_of(design), fingered(fingering, register)
    found = resonances(flutes, how)
    field = field_at(flutes, how, found.frequency)
    return float(jet.quality(field, derivatives(field).log_frequency)[0, 0])


@dataclass(frozen=True)
class Along:
    """Pressure along the bore at a note, the greatest being 1: ``x`` m from the sounding edge."""

    x: Floats
    pressure: Floats
    frequency: float


def along(design: Design, fingering: str = "", register: int = 1) -> Along:
    """Size of the pressure along the bore of one flute: the engine's states, straight tube between."""
    flutes, how = flutes_of(design), fingered(fingering, register)
    frequency = resonances(flutes, how).frequency
    field = field_at(flutes, how, frequency)
    places = [0.0, *sorted(hole.at for hole in design.holes), design.tube.length]
    k = float(field.k[0, 0]) if field.k.ndim == 2 else float(field.k.ravel()[0])
    xs, ps = [], []
    for duct, (start, end) in enumerate(itertools.pairwise(places)):
        pressure, flow = field.left[duct, 0, 0, 0], field.left[duct, 1, 0, 0]
        x = np.linspace(start, end, 60)
        here = pressure * np.cos(k * (x - start)) - 1j * flow * np.sin(k * (x - start))
        xs.append(x)
        ps.append(here)
    x, p = np.concatenate(xs), np.concatenate(ps)
    return Along(x, np.abs(p) / np.abs(p).max(), float(frequency[0, 0]))


def with_air(design: Design, **changes: float) -> Design:
    """The same flute in another room."""
    return replace(design, air=replace(design.air, **changes))
