"""Trills: few fingers, both notes near, and no pair that would be cheaper."""

from __future__ import annotations

from itertools import product

import pytest

from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.workshop import trills
from scaledesign.workshop.finder import FAR, Choice, choice_of
from scaledesign.workshop.playable import playable

PAIRS = [(293.7, 349.2), (392.0, 440.0), (440.0, 493.9), (523.3, 554.4), (554.4, 587.3), (587.3, 698.5)]


@pytest.fixture(scope="module")
def choice() -> Choice:
    heron = load(EXAMPLES / "night-heron.toml")
    return choice_of(heron, playable(heron, registers=(1, 2)))


@pytest.mark.parametrize(("low", "high"), PAIRS)
def test_as_trying_every_pair_finds(choice: Choice, low: float, high: float) -> None:
    listed = []
    for i, j in product(choice.near(low), choice.near(high)):
        one, other = choice.found(int(i), low), choice.found(int(j), high)
        moves = [
            f for f, a, b in zip(choice.playable.fingers, one.letters, other.letters, strict=True) if a != b
        ]
        if moves:
            cost = one.cost.alone + other.cost.alone + trills.MORE * (len(moves) - 1)
            cost += trills.BY_THUMB * moves.count("LT")
            cost += trills.OVER_BREAK * (one.register != other.register)
            listed.append((cost, one.letters, other.letters, tuple(moves)))
    found = trills.trills(choice, low, high, best=5)
    expected = sorted(listed)[:5]
    assert len(found) == len(expected) > 0
    for trill, (cost, *same) in zip(found, expected, strict=True):
        assert trill.total == pytest.approx(cost, abs=1e-5)
        assert [trill.low.letters, trill.high.letters, trill.fingers] == same
        assert abs(trill.low.cents) <= FAR
        assert abs(trill.high.cents) <= FAR


def test_one_finger_where_the_scale_has_one(choice: Choice) -> None:
    """From the closed tube to the first hole, and up the row of holes: each but one finger."""
    for low, high, finger in [(293.7, 349.2, "R2"), (349.2, 392.0, "R1"), (392.0, 440.0, "L2")]:
        (trill,) = trills.trills(choice, low, high, best=1)
        assert trill.fingers == (finger,)
        assert trill.low.register == trill.high.register == 1


def test_the_other_way_round_is_the_same_trill(choice: Choice) -> None:
    for low, high in PAIRS:
        (one,), (back,) = trills.trills(choice, low, high, best=1), trills.trills(choice, high, low, best=1)
        assert one.total == pytest.approx(back.total)
        assert len(one.fingers) == len(back.fingers)


def test_no_trill_where_a_note_is_out_of_reach(choice: Choice) -> None:
    assert trills.trills(choice, 100.0, 440.0) == ()
    assert trills.trills(choice, 440.0, 9000.0) == ()


def test_a_note_with_itself_needs_another_fingering(choice: Choice) -> None:
    for trill in trills.trills(choice, 587.3, 587.3):
        assert trill.fingers
        assert trill.low.letters != trill.high.letters
