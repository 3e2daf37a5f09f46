"""A fingering for each note of a list, chosen together: good notes, and short ways between them.

Apart from the finder, which asks for one note at a time: what is best for one may be far from what is best
for the next. Dynamic programming over the best few of each note, so that no other choice among them is
cheaper.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from scaledesign.physics.arrays import Floats, Indices
from scaledesign.values import dataclass
from scaledesign.workshop.ease import fingers_moved, movement
from scaledesign.workshop.finder import ALIKE, Choice, Found, cheapest, with_way

CANDIDATES = 12
"""Fingerings of each note to choose from: its best, the way to it left aside."""


@dataclass(frozen=True)
class Chart:
    """A fingering a note, in the order of the notes."""

    notes: tuple[Found | None, ...]
    """None where no fingering plays the note; ``moved`` is the way from the last note that has one."""
    separate: float
    """Cents it would cost to take each note's best by itself, with the ways between them."""

    @property
    def total(self) -> float:
        """Cents: all notes and all ways."""
        return float(sum(note.total for note in self.notes if note))

    @property
    def moved(self) -> int:
        """Fingers that move, first note to last."""
        return round(sum(note.moved for note in self.notes if note))


def whole_chart(choice: Choice, wanted: Sequence[float]) -> Chart:
    """The cheapest chart of some notes in order.

    Parameters
    ----------
    choice : Choice
        What the flute can play (``finder.choice_of``).
    wanted : Hz of each note, in the order in which they are played
    """
    offered = [_candidates(choice, hertz) for hertz in wanted]
    there = [place for place, which in enumerate(offered) if len(which)]
    kept = [offered[place] for place in there]
    cost = [choice.alone(which, wanted[place]) for place, which in zip(there, kept, strict=True)]
    ways = [
        movement(choice.state[one], choice.state[other], choice.playable.fingers)
        for one, other in pairwise(kept)
    ]
    path = _shortest(cost, ways)
    notes: list[Found | None] = [None] * len(wanted)
    for step, (place, chosen) in enumerate(zip(there, path, strict=True)):
        one = int(kept[step][chosen])
        moved, way = 0.0, 0.0
        if step:
            before = int(kept[step - 1][path[step - 1]])
            moved = float(fingers_moved(choice.state[[before]], choice.state[[one]])[0, 0])
            way = float(ways[step - 1][path[step - 1], chosen])
        notes[place] = with_way(choice.found(one, wanted[place]), moved, way)
    separate = sum(float(each[0]) for each in cost) + sum(float(way[0, 0]) for way in ways)
    return Chart(tuple(notes), separate)


def _candidates(choice: Choice, wanted: float) -> Indices:
    """The best of one note by themselves, the cheapest first."""
    near = choice.near(wanted)
    return near[cheapest(choice.alone(near, wanted))[:CANDIDATES]]


def _shortest(cost: Sequence[Floats], ways: Sequence[Floats]) -> list[int]:
    """Which candidate of each note makes the sum of ``cost`` (n,) and ``ways`` (n, m) least."""
    if not cost:
        return []
    least, came = cost[0], []
    for own, way in zip(cost[1:], ways, strict=True):
        sums = np.rint(
            (least[:, None] + way) / ALIKE
        )  # equal ways are equal: the better candidate comes first
        came.append(sums.argmin(axis=0))
        least = own + sums.min(axis=0) * ALIKE
    path = [int(np.rint(least / ALIKE).argmin())]
    for back in reversed(came):
        path.append(int(back[path[-1]]))
    return path[::-1]
