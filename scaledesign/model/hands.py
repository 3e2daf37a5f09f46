"""Named hands: what a player's fingers cover in comfort.

Finger breadths (``pad``) are those of the FAA Technical Operations survey (Human Factors Design
Standard, appendix B, index finger at the middle joint; read in a digest): women of the 5th
percentile 16 mm, men of the 95th 23 mm, and between the two medians 19.5 mm. The spreads and gaps
are common practice, no source: nobody seems to have published what is *comfortable*. Whether a
flute fits a hand is worked out elsewhere.

A hand of one's own is measured simply (``measured``) or in full (``parse_hand`` reads both).
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from scaledesign.errors import QuantityError, UnknownNameError
from scaledesign.model.document import Hand, Units
from scaledesign.model.units import parse_length

HANDS: Mapping[str, Hand] = {
    "small": Hand(spread=(0.033, 0.030, 0.033), gap=0.080, pad=0.016),
    "medium": Hand(spread=(0.038, 0.034, 0.038), gap=0.095, pad=0.0195),
    "large": Hand(spread=(0.044, 0.040, 0.044), gap=0.110, pad=0.023),
}
NAMES = tuple(HANDS)
FLATTER, BROADER = 1.2, 0.001
"""How much further fingers spread that lie flat on the tube, and m by which their pads cover wider holes
(common practice, no source)."""
LEAST_PAD, MOST_PAD, MOST_SPREAD, MOST_GAP = 0.006, 0.04, 0.12, 0.4
"""m: beyond these a measure is a slip of the rule rather than a hand."""
LONGEST = 200
"""Signs of a hand as somebody types it."""
_NUMBER_AND_COMMA = re.compile(r"\s*[,;]\s*")


def hand(which: str | Hand) -> Hand:
    """The hand of that name; a ``Hand`` is returned as it is.

    Raises
    ------
    UnknownNameError : no hand has that name
    """
    if isinstance(which, Hand):
        return which
    if which not in HANDS:
        from difflib import get_close_matches

        nearest = get_close_matches(which, NAMES, 1)
        raise UnknownNameError("hand", which, NAMES, nearest[0] if nearest else "")
    return HANDS[which]


def whose_hand(which: str | Hand) -> str:
    """How a sentence names a hand: ``"a small hand"``, ``"your hand"``."""
    return f"a {which} hand" if isinstance(which, str) else "your hand"


def measured(span: float, tip: float) -> Hand:
    """A hand from two measures: index to ring finger spread in comfort, and the breadth of a finger tip, m.

    The three spreads and the gap are to the span as in a medium hand (common practice, no source).

    Raises
    ------
    QuantityError : no hand has such measures
    """
    usual = HANDS["medium"]
    share = span / (usual.spread[0] + usual.spread[1])
    one, two, three = (round(each * share, 4) for each in usual.spread)
    return checked(Hand((one, two, three), round(usual.gap * share, 4), tip))


def flat_fingers(own: Hand) -> Hand:
    """The same hand with its fingers laid flat, so that they cover the holes with their middle joints.

    Pipers hold their fingers so (common practice, no source).
    """
    one, two, three = (round(each * FLATTER, 4) for each in own.spread)
    return Hand((one, two, three), own.gap, round(own.pad + BROADER, 4))


def checked(own: Hand) -> Hand:
    """The hand itself, where it can be one.

    Raises
    ------
    QuantityError : no hand has such measures
    """

    def within(name: str, value: float, least: float, most: float) -> None:
        if not least <= value <= most:
            millimetres = f"{value * 1e3:.1f} mm"
            remedy = f"give {least * 1e3:.0f} to {most * 1e3:.0f} mm"
            raise QuantityError(millimetres, f"no hand has {name} of that size", remedy)

    for each in own.spread:
        within("a spread", each, own.pad / 2, MOST_SPREAD)
    within("a gap", own.gap, own.pad / 2, MOST_GAP)
    within("a finger tip", own.pad, LEAST_PAD, MOST_PAD)
    return own


def parse_hand(text: str, units: Units) -> str | Hand:
    """A hand somebody types: a name, two measures (``span, tip``), or all five.

    Five are the spreads index-middle, middle-ring, ring-little, the gap between the hands and the finger
    tip. A number without a unit is in ``units``.

    Raises
    ------
    UnknownNameError, QuantityError
    """
    if len(text) > LONGEST:
        raise QuantityError(
            text, "that is no hand", "give the span from index to ring finger and the finger tip"
        )
    parts = [part for part in _NUMBER_AND_COMMA.split(text.strip()) if part]
    if len(parts) == 1 and parts[0].casefold() in HANDS:
        return parts[0].casefold()
    if len(parts) == 1 and not any(sign.isdigit() for sign in text):
        return _unknown(text)
    sizes = [parse_length(part, units) for part in parts]
    if len(sizes) == 2:
        return measured(*sizes)
    if len(sizes) == 5:
        return checked(Hand((sizes[0], sizes[1], sizes[2]), sizes[3], sizes[4]))
    raise QuantityError(
        text,
        f"a hand has two measures or five, and here {'is' if len(sizes) == 1 else 'are'} {len(sizes)}",
        "give the span from index to ring finger and the finger tip, or three spreads, gap and finger tip",
    )


def _unknown(text: str) -> str:
    hand(text.strip())
    return text
