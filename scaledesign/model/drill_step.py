"""One step of drilling: a hole, how small to start, how wide it ends, and what the flute plays then.

A value that the workshop makes and paper and screen show.
"""

from __future__ import annotations

from scaledesign.model.document import HoleState
from scaledesign.values import dataclass


@dataclass(frozen=True, slots=True)
class DrillStep:
    """See the module. Holes that are not drilled yet are not there."""

    hole: int
    """Index in ``Design.holes``."""
    start: float
    """m: the bit to begin with."""
    finish: float
    """m: the hole's width as designed."""
    row: int | None
    """Row of the design that is listened to while the hole is opened; None: no row tells of it."""
    states: tuple[HoleState, ...]
    """Fingering to blow it with, one a fingered hole; holes that are not drilled yet count as closed."""
    begun: float
    """Hz: what it plays with the starting bit."""
    finished: float
    """Hz: what it plays once the hole is as wide as designed, the later holes not yet drilled."""
