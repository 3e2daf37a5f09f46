"""Fingerings as letters."""

import pytest

from scaledesign.errors import QuantityError
from scaledesign.model.fingering import format_fingering, parse_fingering


def test_blanks_are_ignored():
    assert parse_fingering(" XXO\tO HX ") == ("X", "X", "O", "O", "H", "X")
    assert parse_fingering("") == ()


@pytest.mark.parametrize(
    ("text", "remedy"), [("XXx", "write X"), ("XX0", "letter O"), ("XX-", "X for closed")]
)
def test_wrong_letters(text, remedy):
    with pytest.raises(QuantityError, match=remedy):
        parse_fingering(text)


def test_hands_stand_apart():
    states = parse_fingering("XXOOH")
    assert format_fingering(states, ("LT", "L1", "L2", "R1", "R2")) == "XXO OH"
    assert format_fingering(states) == "XXO OH"
    assert format_fingering(()) == ""
