"""Joints: never at a hole, never a piece too long, always the whole strip."""

from __future__ import annotations

import tracemalloc
from contextlib import suppress
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.errors import EditError
from scaledesign.paper.template.joints import MARGIN, OVERLAP, pieces_of

WAYS = st.lists(
    st.tuples(st.floats(0, 900), st.floats(0.5, 25)).map(lambda way: (way[0], way[0] + way[1])), max_size=30
)


def a_way_exists(end: float, room: float, ways: list[tuple[float, float]]) -> bool:
    """Whether joints fit, by going as far as one can each time; a millimetre stricter than asked."""
    clear = [
        place / 4
        for place in range(int(4 * OVERLAP) + 2, int(4 * (end - OVERLAP)) - 2)
        if all(place / 4 < low - MARGIN - 1 or place / 4 > high + MARGIN + 1 for low, high in ways)
    ]
    at, reach = 0.0, room - OVERLAP / 2 - 0.5
    while end - at > room - OVERLAP / 2 - 0.5:
        further = [place for place in clear if at + OVERLAP + 1 < place <= at + reach]
        if not further:
            return False
        at, reach = further[-1], room - OVERLAP - 1.0
    return True


@settings(max_examples=60)
@given(st.floats(20, 1250), st.floats(120, 277), WAYS)
def test_no_joint_passes_a_hole_and_the_pieces_are_the_strip(
    end: float, room: float, ways: list[tuple[float, float]]
) -> None:
    if not a_way_exists(end, room, ways):
        # The few that fit only by a hair may be found all the same.
        with suppress(EditError):
            assert pieces_of(0.0, end, room, ways)
        return
    pieces = pieces_of(0.0, end, room, ways)
    assert pieces[0].start == 0.0
    assert pieces[-1].end == end
    assert (pieces[0].before, pieces[-1].after) == (None, None)
    assert all(piece.length <= room + 1e-9 for piece in pieces)
    for one, two in pairwise(pieces):
        joint = one.after
        assert joint is not None
        assert joint == two.before
        assert (one.end - joint, joint - two.start) == pytest.approx((OVERLAP / 2, OVERLAP / 2))
        assert all(joint <= low - MARGIN + 1e-9 or joint >= high + MARGIN - 1e-9 for low, high in ways)
    if len(pieces) > 1:
        # One piece fewer would not hold it.
        assert (len(pieces) - 1) * room - (len(pieces) - 2) * OVERLAP < end or ways


def test_a_joint_takes_the_widest_gap_within_reach() -> None:
    """Holes as on a common flute: the overlap itself is free of them."""
    ways = [(140.0, 146.0), (161.0, 167.0), (171.0, 176.0), (181.0, 187.0), (210.0, 218.0)]
    first, second = pieces_of(-15.0, 370.0, 259.0, ways)
    assert first.after is not None
    free = OVERLAP / 2 + 1.0
    assert all(first.after - high >= free or low - first.after >= free for low, high in ways)
    assert second.start < first.after < first.end


def test_where_nothing_can_be_joined_it_says_so() -> None:
    with pytest.raises(
        EditError, match="no joint of the paper passes between them; print on the longer paper"
    ):
        pieces_of(0.0, 400.0, 250.0, [(60.0, 340.0)])


def test_a_very_long_strip_costs_little() -> None:
    """Ten metres, the longest tube that a file may have: no table of every joint with every other."""
    tracemalloc.start()
    pieces = pieces_of(0.0, 10_000.0, 253.0, [(at, at + 9.0) for at in range(40, 10_000, 60)])
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(pieces) == 43
    assert most < 100e6
