"""A tube as makers say it, taken apart and measured."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.errors import DesignError, QuantityError, ScaledesignError
from scaledesign.model.document import Units
from scaledesign.model.tube_words import TubeSize, tube_size, tube_words
from scaledesign.model.units import INCH

IN = float(INCH)


@pytest.mark.parametrize(
    ("text", "units", "size"),
    [
        ("16 x 3", None, TubeSize("mm", 0.016, 0.003, None)),
        ("16 × 3 × 400 mm", None, TubeSize("mm", 0.016, 0.003, 0.4)),
        ("1.6 cm x 3 mm", None, TubeSize("mm", 0.016, 0.003, None)),
        ("5/8 in x 1/8 in x 20 in", None, TubeSize("in", 0.625 * IN, 0.125 * IN, 20 * IN)),
        ("5/8 by 1/8 in", None, TubeSize("in", 0.625 * IN, 0.125 * IN, None)),
        ("5/8 x 1/8 x 20", None, TubeSize("in", 0.625 * IN, 0.125 * IN, 20 * IN)),
        ("5/8x1/8", "in", TubeSize("in", 0.625 * IN, 0.125 * IN, None)),
        ("16 mm x 3 mm", "in", TubeSize("in", 0.016, 0.003, None)),
    ],
)
def test_sizes(text: str, units: Units | None, size: TubeSize) -> None:
    found = tube_size(tube_words(text, units), units)
    assert found.units == size.units
    assert found[1:] == pytest.approx(size[1:])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "bore x wall"),
        ("5/8 in", "bore x wall"),
        ("1/2 in x 30 in", "a wall of 30 in is too thick for a bore of 1/2 in"),
        ("16 x 3 x 400 x 2", "bore x wall"),
        ("16 x", "bore x wall"),
        ("16 x thick", "thick"),
        ("16,5 x 3", "16.5 with a point"),
    ],
)
def test_what_is_no_tube_says_how_to_write_one(text: str, said: str) -> None:
    with pytest.raises(QuantityError) as told:
        tube_words(text)
    assert said in str(told.value)


def test_a_tube_of_no_size_is_refused_by_its_part() -> None:
    with pytest.raises(DesignError, match=r"^wall = 0 mm"):
        tube_words("16 x 0")
    with pytest.raises(DesignError, match=r"^bore = 2000 mm"):
        tube_words("2 m x 3 mm")


@given(st.text(alphabet=' 0123456789./xX-+eE"mincbyft,×', max_size=30), st.sampled_from([None, "mm", "in"]))
def test_any_text_is_a_tube_or_says_why_not(text: str, units: Units | None) -> None:
    try:
        size = tube_size(tube_words(text, units), units)
    except ScaledesignError:
        return
    assert size.bore > 0
    assert size.wall > 0
