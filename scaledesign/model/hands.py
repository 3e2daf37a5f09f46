"""Named hands: what a player's fingers cover in comfort.

Finger breadths (``pad``) are those of the FAA Technical Operations survey (Human Factors Design
Standard, appendix B, index finger at the middle joint; read in a digest): women of the 5th
percentile 16 mm, men of the 95th 23 mm, and between the two medians 19.5 mm. The spreads and gaps
are common practice, no source: nobody seems to have published what is *comfortable*. Whether a
flute fits a hand is worked out elsewhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

from scaledesign.errors import UnknownNameError
from scaledesign.model.document import Hand

HANDS: Mapping[str, Hand] = {
    "small": Hand(spread=(0.033, 0.030, 0.033), gap=0.080, pad=0.016),
    "medium": Hand(spread=(0.038, 0.034, 0.038), gap=0.095, pad=0.0195),
    "large": Hand(spread=(0.044, 0.040, 0.044), gap=0.110, pad=0.023),
}
NAMES = tuple(HANDS)


def hand(which: str | Hand) -> Hand:
    """The hand of that name; a ``Hand`` is returned as it is.

    Raises
    ------
    UnknownNameError : no hand has that name
    """
    if isinstance(which, Hand):
        return which
    if which not in HANDS:
        nearest = get_close_matches(which, NAMES, 1)
        raise UnknownNameError("hand", which, NAMES, nearest[0] if nearest else "")
    return HANDS[which]
