"""Trills: two fingerings that play two notes and differ in as few fingers as can be.

Apart from whole charts, where every note is held for a while: in a trill one moving finger is worth more than
a few cents.
"""

from __future__ import annotations

import numpy as np

from scaledesign.model.document import Finger
from scaledesign.values import dataclass
from scaledesign.workshop.ease import fingers_moved, thumbs
from scaledesign.workshop.finder import BEST, Choice, Found, cheapest

MORE = 15.0
"""Cents for each finger that moves besides the first (common practice, no source)."""
BY_THUMB = 5.0
"""Cents for a thumb that moves: it is slower than a finger (common practice, no source)."""
OVER_BREAK = 30.0
"""Cents for a change of register: the breath cannot follow a trill (common practice, no source)."""


@dataclass(frozen=True)
class Trill:
    """Two fingerings, what plays them, and what it costs."""

    low: Found
    high: Found
    fingers: tuple[Finger, ...]
    """Those that move, mouth to foot."""
    way: float
    """Cents for what moves."""

    @property
    def total(self) -> float:
        """Cents, all in all: the less, the better."""
        return self.low.cost.alone + self.high.cost.alone + self.way


def trills(choice: Choice, low: float, high: float, *, best: int = BEST) -> tuple[Trill, ...]:
    """The best pairs of fingerings for two notes, the cheapest first.

    Every fingering within reach of either note is tried with every one of the other.

    Parameters
    ----------
    choice : Choice
        What the flute can play (``finder.choice_of``).
    low, high : Hz of the two notes, in either order
    best : how many pairs; fewer where there are no more
    """
    ones, others = choice.near(low), choice.near(high)
    if not len(ones) or not len(others):
        return ()
    state, fingers = choice.state, choice.playable.fingers
    moved = fingers_moved(state[ones], state[others])
    thumb = thumbs(fingers)
    by_thumb = fingers_moved(state[ones][:, thumb], state[others][:, thumb])
    broken = choice.register[ones][:, None] != choice.register[others][None, :]
    way = MORE * (moved - 1) + BY_THUMB * by_thumb + OVER_BREAK * broken
    total = choice.alone(ones, low)[:, None] + choice.alone(others, high)[None, :] + way
    total = np.where(moved > 0, total, np.inf)  # a trill by the breath alone is none
    found = []
    for place in cheapest(total.ravel())[: min(best, int((moved > 0).sum()))]:
        i, j = divmod(int(place), len(others))
        one, other = int(ones[i]), int(others[j])
        moving = tuple(
            finger for finger, differs in zip(fingers, state[one] != state[other], strict=True) if differs
        )
        found.append(Trill(choice.found(one, low), choice.found(other, high), moving, float(way[i, j])))
    return tuple(found)
