"""Where a strip that is longer than a sheet is cut into pieces, so that no joint passes through a hole.

Apart from the sheets because it is about lengths alone: a stretch, what stands in the way, what a sheet
takes. Any unit, as long as it is one.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from scaledesign.errors import EditError
from scaledesign.physics.arrays import Floats, Indices
from scaledesign.values import dataclass

OVERLAP = 15.0
"""mm that two pieces share, half of it on either side of their joint."""
MARGIN = 2.0
"""mm: no joint comes closer to anything in its way."""
EASY = 16.0
"""mm that leave room for what is written between a hole and a joint."""
STEP = 1.0
"""mm between the joints that are tried."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a strip, mm: what is printed, and the joints that bound it (None: an end of the strip)."""

    start: float
    end: float
    before: float | None
    after: float | None

    @property
    def length(self) -> float:
        """mm."""
        return self.end - self.start


def pieces_of(
    start: float, end: float, room: float, ways: Sequence[tuple[float, float]]
) -> tuple[Piece, ...]:
    """The fewest pieces, of about one length, joined where there is most space.

    Parameters
    ----------
    start, end : mm, the strip
    room : mm, the longest piece
    ways : stretches (from, to) in mm that no joint may touch: holes, lines at the ends

    Raises
    ------
    EditError
        when what stands in the way leaves no place for a joint.
    """
    if end - start <= room:
        return (Piece(start, end, None, None),)
    tried = np.arange(start + OVERLAP, end - OVERLAP, STEP)
    lows = np.array([low for low, _ in ways] or [np.inf])
    highs = np.array([high for _, high in ways] or [-np.inf])
    clear = np.maximum(lows[None] - tried[:, None], tried[:, None] - highs[None]).min(axis=1)
    kept = clear >= MARGIN
    tried, cost = tried[kept], (np.maximum(EASY - clear[kept], 0.0) / EASY) ** 2
    joints = _joints(start, end, room, _fewest(start, end, room, tried), tried, cost)
    ends = [start, *joints, end]
    return tuple(
        Piece(
            a if k == 0 else a - OVERLAP / 2,
            b if k == len(joints) else b + OVERLAP / 2,
            None if k == 0 else a,
            None if k == len(joints) else b,
        )
        for k, (a, b) in enumerate(pairwise(ends))
    )


def _fewest(start: float, end: float, room: float, tried: Floats) -> int:
    """How many joints are needed, by going as far as there is a place each time."""
    at, reach, count = start, room - OVERLAP / 2, 0
    while end - at > room - OVERLAP / 2:
        further = tried[(tried >= at + OVERLAP) & (tried <= at + reach)]
        if not len(further):
            raise EditError(
                "the holes stand so close along the tube that no joint of the paper passes between them",
                "print on the longer paper, or make the DXF, which has no joints",
            )
        at, reach, count = float(further[-1]), room - OVERLAP, count + 1
    return count


def _joints(start: float, end: float, room: float, count: int, tried: Floats, cost: Floats) -> list[float]:
    """The best ``count`` of the joints ``tried``, rising: clear of what is in the way, and even."""
    even = (end - start) / (count + 1)
    total = np.where(tried - start <= room - OVERLAP / 2, 0.0, np.inf)
    came: list[Indices] = []
    # The joints that may stand before each: a stretch of those tried, no longer than a sheet.
    first = np.searchsorted(tried, tried - (room - OVERLAP))
    beyond = np.searchsorted(tried, tried - OVERLAP, side="right")
    before = first[:, None] + np.arange(max(1, int((beyond - first).max())))
    near, before = before < beyond[:, None], np.minimum(before, len(tried) - 1)
    each = np.arange(len(tried))
    for k in range(1, count + 1):
        if k > 1:
            options = np.where(near, total[before], np.inf)
            best = options.argmin(axis=1)
            came.append(before[each, best])
            total = options[each, best]
        total = total + cost + ((tried - start - k * even) / even) ** 2
    place = int(np.where(end - tried <= room - OVERLAP / 2, total, np.inf).argmin())
    joints = [float(tried[place])]
    for back in reversed(came):
        place = int(back[place])
        joints.insert(0, float(tried[place]))
    return joints
