"""What a hand cannot do on a flute, in words for each hole.

Apart since several places ask; where the limits lie is the solver's.
"""

from __future__ import annotations

from scaledesign.model.document import Design
from scaledesign.solver.limits import geometry_of, limits_of, room

REACH = {
    "spread": "too far apart for this hand",
    "gap": "too far apart for two hands",
    "fingers": "too close for two fingers",
    "thumb": "out of the thumb's reach",
}
HAIR = 5e-5
"""m by which a limit may be broken before it is worth a word."""


def reach_notes(design: Design) -> dict[int, str]:
    """What a hand cannot do, by hole (0-based)."""
    now = geometry_of(design)
    found: dict[int, str] = {}
    for limit in limits_of(design, now):
        if limit.kind in REACH and room(limit, now) < -HAIR:
            pair = " and ".join(design.holes[i].finger for i in sorted(limit.holes))
            for hole in limit.holes:
                found.setdefault(hole, f"{pair}: {REACH[limit.kind]}.")
    return found
