"""How easy a fingering is for the hand, and how far the hand moves from one to the next.

Apart from how well it sounds: here are letters and fingers, no frequencies. All weights are in cents: how far
out of tune a player would rather be than do it (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scaledesign.model.document import Finger
from scaledesign.physics.arrays import Floats, Indices
from scaledesign.values import dataclass

HALF, HALF_THUMB = 15.0, 7.0
"""A hole half covered by a finger, which is harder than a fork, or by the thumb, which rolls (common
practice, no source)."""
CROSSED = 1.5
"""A finger that stays down below an open hole (common practice, no source)."""
LIFTED = 2.0
"""A finger lifted right above one of the same hand that stays down (common practice, no source)."""
MOVED, MOVED_THUMB = 1.0, 1.5
"""A finger that moves between two notes; the thumb, which also holds the flute (common practice, no
source)."""
THUMBS = ("LT", "RT")
STATES = "XOH"
"""The letters in the order of their codes 0, 1, 2."""


@dataclass(frozen=True)
class Ease:
    """What each of M fingerings asks of the hands, counted; all arrays are (M,)."""

    halves: Indices
    """Fingers that half cover a hole, thumbs not among them."""
    thumb_halves: Indices
    crossed: Indices
    """Fingers down below the topmost open hole; thumbs are not counted."""
    lifted: Indices
    """Fingers lifted right above one of the same hand that is down."""

    @property
    def half_cost(self) -> Floats:
        """Cents (M,)."""
        return np.asarray(HALF * self.halves + HALF_THUMB * self.thumb_halves)

    @property
    def fork_cost(self) -> Floats:
        """Cents (M,)."""
        return np.asarray(CROSSED * self.crossed + LIFTED * self.lifted)


def codes(letters: Sequence[str]) -> Indices:
    """Fingerings as numbers (M, F): 0 closed, 1 open, 2 partly open."""
    count = len(letters[0]) if letters else 0
    table = [[STATES.index(letter) for letter in each] for each in letters]
    return np.array(table, np.intp).reshape(len(letters), count)


def ease_of(state: Indices, fingers: Sequence[Finger], at: Floats) -> Ease:
    """Count what is hard in M fingerings.

    Parameters
    ----------
    state : (M, F) as ``codes`` gives them
    fingers : (F,) who covers each hole
    at : (F,) m, where it lies; forks are told along the bore, whatever the order of the letters
    """
    thumb = thumbs(fingers)
    along = [hole for hole in np.argsort(at, kind="stable") if not thumb[hole]]
    front = state[:, along]
    hands = [fingers[hole][0] for hole in along]
    is_open = front == 1
    below = np.cumsum(is_open, axis=1) > 0
    lifted = np.zeros(len(state), np.intp)
    for upper in range(len(along) - 1):
        if hands[upper] == hands[upper + 1]:
            lifted += is_open[:, upper] & ~is_open[:, upper + 1]
    part = state == 2
    return Ease(
        halves=part[:, ~thumb].sum(axis=1),
        thumb_halves=part[:, thumb].sum(axis=1),
        crossed=(below & ~is_open).sum(axis=1),
        lifted=lifted,
    )


def thumbs(fingers: Sequence[Finger]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """(F,) which are thumbs."""
    return np.array([finger in THUMBS for finger in fingers], bool)


def fingers_moved(one: Indices, other: Indices) -> Indices:
    """How many fingers move (n, m) from n fingerings (n, F) to m others (m, F)."""
    return np.asarray((one[:, None, :] != other[None, :, :]).sum(axis=-1))


def movement(one: Indices, other: Indices, fingers: Sequence[Finger]) -> Floats:
    """What moving costs, cents (n, m), from n fingerings (n, F) to m others (m, F)."""
    weight = np.where(thumbs(fingers), MOVED_THUMB, MOVED)
    return np.asarray((one[:, None, :] != other[None, :, :]) @ weight)
