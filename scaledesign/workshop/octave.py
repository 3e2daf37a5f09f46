"""What moves an octave that is off: the topmost open hole, the bore, the cavity; from exact derivatives.

Apart from the registers, which say how far it is off. Rates, not recipes: a metre of change is none that
anybody makes.
"""

from __future__ import annotations

import numpy as np

from scaledesign.physics.arrays import Floats
from scaledesign.physics.field import Field
from scaledesign.physics.gradient import Derivatives
from scaledesign.solver.problem import CENT
from scaledesign.values import dataclass


@dataclass(frozen=True)
class Lever:
    """The topmost open hole made wider, its place going with its width so that the low note is kept."""

    hole: int
    """0-based."""
    rise: float
    """Cents the octave rises for a metre of width."""
    along: float
    """Metres toward the foot for a metre of width."""


@dataclass(frozen=True)
class Bend:
    """Cents by which the octave rises over twice the low note, for a metre of change."""

    lever: Lever | None
    """None where no hole is open."""
    by_bore: float
    """Of bore diameter, the whole bore in proportion and the holes as they are."""
    by_cavity: float
    """Of cavity behind the mouth."""


def bend_of(field: Field, slopes: Derivatives, low: int, octave: int, share: Floats) -> Bend:
    """What moves the octave of one fingering.

    Parameters
    ----------
    field, slopes : of one flute at its registers
    low, octave : columns of the first and the second register of the fingering
    share : (H,) open share of its holes
    """
    flutes = field.layout.flutes

    def cents(slope: Floats, column: int) -> float:
        return float(-CENT * slope[column] / slopes.log_frequency[0, column])

    def stretch(slope: Floats) -> float:
        return cents(slope, octave) - cents(slope, low)

    def lever() -> Lever | None:
        opened = np.flatnonzero(share > 0)
        if not len(opened):
            return None
        hole = int(opened[flutes.at[0, opened].argmin()])
        width, place = slopes.log_radius[hole, 0] / (2 * flutes.radius[0, hole]), slopes.at[hole, 0]
        along = -cents(width, low) / cents(place, low)
        return Lever(hole, stretch(width) + along * stretch(place), along)

    # cot(k Delta_eff) = 1/(k Delta) - tan(k L): a metre of cavity is worth so many of added length
    worth = (field.k[0] * flutes.added_length[0] / np.cos(field.k[0] * flutes.body.cavity)) ** 2
    by_bore = stretch(slopes.log_bore[0]) / (2 * float(flutes.body.slices.radius[0]))
    return Bend(lever(), by_bore, stretch(slopes.added_length[0] * worth))
