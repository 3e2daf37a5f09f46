"""Lists of what a hand cannot cover, and of layouts without a tape: first things first, lines that fit."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from scaledesign.model.document import Hand
from scaledesign.model.edits import apply
from scaledesign.view import by_eye_list, hands_list
from scaledesign.view.by_eye_list import Placed
from scaledesign.view.hands_list import Fitted
from scaledesign.view.lines import text_of
from scaledesign.view.listing import Listing
from scaledesign.workshop import ask
from scaledesign.workshop.reach import misfits
from tests.view.working import desk_of, words
from tests.workshop.hand_flutes import flute

HERS = Hand((0.033, 0.031, 0.033), 0.080, 0.016)


@cache
def under() -> tuple[Listing, ...]:
    return hands_list.under_hand(desk_of(flute()).sheet, HERS)


@cache
def taped() -> tuple[Listing, ...]:
    return by_eye_list.without_a_tape(desk_of(flute()).sheet)


@pytest.mark.parametrize("lists", [under, taped])
def test_every_line_fits_the_narrowest_dialog(lists: object) -> None:
    for listing in lists():
        assert len(text_of(listing.head)) <= 73
        for entry in listing.entries:
            assert len(text_of(entry.line)) <= 73
            lines = entry.about(76, listing.about)
            assert len(lines) <= listing.about
            assert max(len(text_of(line)) for line in lines) <= 76


def test_the_pair_that_is_too_far_comes_first_and_says_what_helps() -> None:
    reach, pair, whole = under()
    assert (reach.name, pair.name, whole.name) == ("reach", "R2 R3", "whole")
    assert reach.said.startswith("Hole 3 (R2) and hole 4 (R3) are 33.8 mm apart: 2.8 mm too far")
    assert "too far by 2.8 mm" in text_of(reach.entries[0].line)
    assert "What helps: Turn hole 4 (R3)" in words(*reach.entries[0].about(76, reach.about))
    assert reach.entries[-1].value is None
    assert reach.entries[-1].refusal == "It fits as it is."


def test_a_remedy_is_one_step_that_brings_its_hand_and_keeps_its_holes() -> None:
    pair = under()[1]
    entry = next(e for e in pair.entries if text_of(e.line).startswith("hole 4 toward the mouth, narrower"))
    assert isinstance(entry.value, Fitted)
    edit = hands_list.put_in(entry.value)
    assert edit.label == "hole 4 toward the mouth, narrower"
    after = apply(flute(), edit)
    assert after.shop.hand == HERS
    assert after.holes[3].locked == {"at", "diameter"}
    assert not after.holes[2].locked
    assert not misfits(after)
    assert ask.predict(after).cents == pytest.approx(ask.predict(flute()).cents, abs=3)


def test_where_all_fits_that_is_said_and_nothing_else() -> None:
    (reach,) = hands_list.under_hand(desk_of(flute()).sheet)
    assert reach.said.startswith("Everything lies under this hand. A large hand: 44.0, 40.0, 44.0 mm")
    assert reach.always
    assert reach.second == ("H", "another hand")
    assert not reach.verb  # there is nothing to put in


def test_a_page_for_each_way_and_one_for_the_rules() -> None:
    assert [listing.name for listing in taped()] == ["cord", "two folds", "fingers", "bore", "rules"]
    first = taped()[2].entries[0]
    assert text_of(first.line).split()[:2] == ["4", "R3"]  # foot upward
    said = words(*first.about(76, taped()[2].about))
    assert "This hole alone shifts" in said
    assert "All holes at their marks" in said
    assert "From the foot go up" in taped()[2].help[0]


def test_places_are_put_in_locked_as_one_step() -> None:
    for listing in taped():
        value = listing.entries[0].value
        assert isinstance(value, Placed)
        after = apply(flute(), by_eye_list.put_in(value))
        assert all("at" in hole.locked for hole in after.holes)
        assert after.tube == replace(flute().tube, locked=True)
