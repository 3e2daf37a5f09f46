"""Tolerances on the sheet: a slip of that size shifts the touchiest note by what it may, and by no more."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from math import nan

import numpy as np
import pytest

import scaledesign
from scaledesign.model.document import Design, Units
from scaledesign.model.units import LENGTH_UNITS
from scaledesign.paper.sheet.tolerances import (
    MOST_LENGTH,
    MOST_PLACE,
    MOST_WIDTH,
    length_tolerance,
    place_tolerance,
    tolerance_words,
    width_tolerance,
)
from tests.paper.sheet.flutes import example, known

BENT = 0.06
"""Share by which a slip may shift a note more than the straight line says: the flute bends it."""


IN_WORDS = {"a hair": (0.0, 0.0254 / 128), "< 1/64": (0.0254 / 128, 0.0254 / 64)}
"""m: what is told in words where a ruler has no part so small, and from where to where."""


def strict(name: str, tolerance: float) -> Design:
    design = example(name)
    return replace(design, tuning=replace(design.tuning, tolerance=tolerance))


def shift(design: Design, **slip: float) -> float:
    """Cents by which the touchiest note that counts moves; ``slip`` is a hole and metres, or a length."""
    ((what, by),) = ((key, value) for key, value in slip.items() if key != "hole")
    if what == "length":
        moved = replace(design, tube=replace(design.tube, length=design.tube.length + by))
    else:
        hole = int(slip["hole"])
        old = design.holes[hole]
        holes = list(design.holes)
        holes[hole] = replace(old, **{what: getattr(old, what) + by})
        moved = replace(design, holes=tuple(holes))
    before, after = known(design)[0].frequency, scaledesign.predict(moved).frequency
    cents = 1200 * np.log2(after / before)
    return float(max(abs(c) for c, row in zip(cents, design.rows, strict=True) if row.counts))


@pytest.mark.parametrize(("name", "units"), [("marsh-wren", "mm"), ("grey-heron", "in")])
def test_a_slip_of_that_size_costs_the_tolerance_and_no_more(name: str, units: Units) -> None:
    design = strict(name, 1.0)
    prediction = known(design)[0]
    step = {"mm": 0.1e-3, "in": 0.0254 / 64}[units]
    tight = 0
    for hole in range(len(design.holes)):
        for what, found, most in (
            ("at", place_tolerance(design, prediction, hole), MOST_PLACE),
            ("diameter", width_tolerance(design, prediction, hole), MOST_WIDTH),
        ):
            assert found is not None
            if found < most:
                tight += 1
                assert shift(design, hole=hole, **{what: found}) == pytest.approx(1.0, rel=BENT)
            said = tolerance_words(found, units)
            if said in IN_WORDS:
                low, high = IN_WORDS[said]
                assert low <= found < high
                continue
            printed = metres(said, units)
            assert printed <= found + 1e-12
            assert max(shift(design, hole=hole, **{what: by}) for by in (printed, -printed)) <= 1.0 + BENT
            if found < most:
                assert found - printed < step, "not rounded further than one step"
    assert tight >= 8
    found = length_tolerance(design, prediction)
    assert found is not None
    assert found < MOST_LENGTH
    assert shift(design, length=found) == pytest.approx(1.0, rel=BENT)


def metres(words: str, units: Units) -> float:
    number = re.fullmatch(r"± (\d+\.\d+|1/64|1/32)", words)
    assert number
    return float(Fraction(number[1])) * float(LENGTH_UNITS[units])


def test_a_careful_hand_is_asked_for_no_less() -> None:
    design = strict("marsh-wren", 500.0)
    prediction = known(design)[0]
    assert place_tolerance(design, prediction, 0) == MOST_PLACE
    assert width_tolerance(design, prediction, 0) == MOST_WIDTH
    assert length_tolerance(design, prediction) == MOST_LENGTH


def test_where_no_note_counts_nothing_is_said() -> None:
    design = strict("marsh-wren", 5.0)
    prediction = replace(known(design)[0], frequency=np.full(len(design.rows), nan))
    assert place_tolerance(design, prediction, 0) is None
    assert tolerance_words(None, "mm") == ""


@pytest.mark.parametrize(
    ("metres", "units", "words"),
    [(0.39e-3, "mm", "± 0.3"), (0.3e-3, "mm", "± 0.3"), (0.06e-3, "mm", "± 0.06"), (1e-9, "mm", "± 0.01"),
     (0.3e-3, "in", "< 1/64"), (0.19e-3, "in", "a hair"), (0.0254 / 64, "in", "± 1/64"),
         (0.79e-3, "in", "± 1/64"), (0.8e-3, "in", "± 1/32"), (1e-3, "in", "± 1/32"), (1e-3, "mm", "± 1.0")],
)  # fmt: skip
def test_words(metres: float, units: Units, words: str) -> None:
    assert tolerance_words(metres, units) == words
