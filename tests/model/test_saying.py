"""How many, how it begins, which ones, which hole."""

from __future__ import annotations

import pytest

from scaledesign.model.saying import begun, counted, hole_words, listed


def test_one_is_one_and_more_are_more():
    assert [counted(n, "row") for n in (0, 1, 2)] == ["0 rows", "1 row", "2 rows"]
    assert counted(0, "hole", "no") == "no holes"


@pytest.mark.parametrize(
    ("words", "said"),
    [((), ""), (("a",), "a"), (("a", "b"), "a and b"), (("a", "b", "c"), "a, b and c")],
)
def test_which_ones(words: tuple[str, ...], said: str):
    assert listed(words) == said


def test_how_it_begins_and_which_hole():
    assert begun("hole 6 (R3)") == "Hole 6 (R3)"
    assert begun("") == ""
    assert hole_words(5, "R3") == "hole 6 (R3)"
    assert hole_words(6, "none") == "hole 7"
