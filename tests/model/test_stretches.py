"""Stretches of a tube as makers say them."""

from __future__ import annotations

import pytest

from scaledesign.errors import QuantityError
from scaledesign.model.stretches import format_stretches, parse_stretches


def test_a_unit_behind_holds_for_the_place_before() -> None:
    assert parse_stretches("6 3/4..7 in", "mm") == ((pytest.approx(0.17145), pytest.approx(0.1778)),)
    assert parse_stretches("300 to 306, 171..177", "mm") == ((0.171, 0.177), (0.3, 0.306))
    assert parse_stretches("  ", "mm") == ()


@pytest.mark.parametrize("text", ["171", "171..", "177..171", "a..b", "1..2..3", ", ".join(["1..2"] * 99)])
def test_what_is_no_stretch_is_told(text: str) -> None:
    with pytest.raises(QuantityError):
        parse_stretches(text, "mm")


@pytest.mark.parametrize("units", ["mm", "in"])
def test_stretches_are_written_as_they_are_read(units):
    stretches = parse_stretches("6 3/4..7 in, 300 to 306 mm", "mm")
    assert parse_stretches(format_stretches(stretches, units), units) == stretches
    assert format_stretches(parse_stretches("6 3/4..7", "in"), "in") == "6 3/4..7 in"
