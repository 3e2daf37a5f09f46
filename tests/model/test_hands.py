"""Named hands."""

import pytest

from scaledesign.errors import UnknownNameError
from scaledesign.model.document import Hand
from scaledesign.model.hands import NAMES, hand


def test_hands_grow():
    small, medium, large = (hand(name) for name in NAMES)
    for a, b in ((small, medium), (medium, large)):
        assert all(x < y for x, y in zip(a.spread, b.spread, strict=True))
        assert a.gap < b.gap
        assert a.pad < b.pad


def test_finger_breadths_are_the_surveys():
    """FAA Technical Operations survey, index breadth at the middle joint: women 5 % 16, men 95 % 23 mm.

    Read in a digest of the Human Factors Design Standard, appendix B; medians 18 and 21 there.
    """
    assert hand("small").pad == 0.016
    assert hand("medium").pad == (0.018 + 0.021) / 2
    assert hand("large").pad == 0.023


def test_own_hand_passes_through():
    own = Hand((0.03, 0.028, 0.03), 0.06, 0.015)
    assert hand(own) is own


def test_an_unknown_hand_names_the_nearest():
    with pytest.raises(UnknownNameError, match="medium"):
        hand("meduim")
