"""How steady what a fingering plays is: how firm, how it bends with the breath, and with a careless finger.

Apart from ``registers.py``, which gives a verdict on the fingerings of the rows in every register: here every
fingering that there is gets a few cheap numbers, all in two walks along the bore. The limits of a firm note
are those of ``registers.py``. Weights are cents-equivalents (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scaledesign.physics import jet
from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.physics.gradient import log_frequency_slope
from scaledesign.physics.network import evaluate
from scaledesign.solver.problem import CENT
from scaledesign.solver.resonance import Fingerings, field_at
from scaledesign.values import dataclass
from scaledesign.workshop.registers import FAINT, FIRM, LEANING, Speech
from scaledesign.workshop.sound import FAINTEST

SLIP = 0.1
"""Open share by which a hole that is meant to be partly open is found too far covered (common practice, no
source)."""
EDGE = 0.05
"""Open share that a finger takes of an open hole whose edge it still touches (common practice, no source)."""
WEAK = 2.0
"""For a dB by which the resonance falls short of a firm one (common practice, no source)."""
LEANS = 0.25
"""For a cent by which half as much breath again raises the note (common practice, no source)."""
SLIPS = 0.5
"""For a cent by which careless fingers move the note (common practice, no source)."""
UNSTEADY = 100.0
"""Cents beyond which a note is as unsteady as can be."""


@dataclass(frozen=True)
class Steadiness:
    """Of M fingerings that have a pitch; all arrays are (M,)."""

    depth: Floats
    """dB by which the impedance lies below rho c / S: the larger, the firmer."""
    harder: Floats
    """Cents by which the note rises with half as much pressure again; at most ``UNSTEADY``."""
    slip: Floats
    """Cents, without sign, by which it moves when every open hole is left ``EDGE`` less open and every partly
    open one ``SLIP``; at most ``UNSTEADY``."""

    @property
    def weak_cost(self) -> Floats:
        """Cents (M,)."""
        return np.asarray(WEAK * np.maximum(FIRM - self.depth, 0.0))

    @property
    def breath_cost(self) -> Floats:
        """Cents (M,)."""
        return np.asarray(LEANS * self.harder)

    @property
    def placing_cost(self) -> Floats:
        """Cents (M,)."""
        return np.asarray(SLIPS * self.slip)


def steadiness_of(
    flutes: Flutes, fingerings: Fingerings, frequency: Floats, fingered: Sequence[int]
) -> Steadiness:
    """Steadiness of M fingerings of one flute where they sound.

    How far a careless finger moves a note is told to first order: the change of the air column's phase where
    the note is, over the slope of the phase.

    Parameters
    ----------
    flutes : Flutes, one
    fingerings : Fingerings, M
    frequency : (M,) Hz, what they play
    fingered : indices of the holes that a finger covers
    """
    if not fingerings.count:
        none = np.zeros(0)
        return Steadiness(none, none, none)
    field = field_at(flutes, fingerings, frequency[None])
    slope = log_frequency_slope(field)
    quality = jet.quality(field, slope)[0]
    rise = jet.DOUBLING * np.log2(LEANING[1]) / np.where(quality > 0, quality, 1e-9)
    share = carelessly(fingerings.share, fingered)
    turned = (evaluate(field.layout, share, frequency[None], partials=False).phase - field.phase)[0]
    turned -= np.pi * np.rint(turned / np.pi)
    moved = CENT * np.abs(turned) / np.maximum(np.abs(slope[0]), 1e-9)
    return Steadiness(
        depth=-20 * np.log10(np.maximum(np.abs(field.impedance[0]), FAINTEST)),
        harder=np.minimum(rise, UNSTEADY),
        slip=np.minimum(moved, UNSTEADY),
    )


def carelessly(share: Floats, fingered: Sequence[int]) -> Floats:
    """Open shares (H, M) as careless fingers leave them: nothing that was open is closed altogether."""
    left = share.copy()
    own = share[list(fingered)]
    part = np.where(own < 1, np.maximum(own - SLIP, own / 2), 1 - EDGE)
    left[list(fingered)] = np.where(own > 0, part, 0.0)
    return left


def speech_of(depth: float) -> Speech:
    """Whether a note of that depth speaks, by the limits of ``registers.py``."""
    if depth >= FIRM:
        return "speaks"
    return "weakly" if depth >= FAINT else "hardly"
