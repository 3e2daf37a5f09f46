"""The page is what the program says now, fits a terminal, and hides no miss."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scaledesign.accuracy.blocks import as_text
from scaledesign.accuracy.case import Found, Limit
from scaledesign.accuracy.page import PAGE, allowed, blocks, number, page, shown
from scaledesign.accuracy.report import Report

CHECKOUT = Path(__file__).parents[2]


def test_the_page_is_up_to_date(worked_out: Report) -> None:
    """If not: scaledesign accuracy --force -o scaledesign/accuracy/accuracy.md, and look at what changed."""
    assert PAGE.read_text(encoding="utf-8") == page(worked_out)


def test_page_and_readme_lead_to_each_other() -> None:
    readme = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    assert f"({PAGE.relative_to(CHECKOUT).as_posix()})" in readme
    assert "## How far to trust it" in readme
    assert "(../../README.md#how-far-to-trust-it)" in PAGE.read_text(encoding="utf-8")


def test_it_fits_a_terminal(worked_out: Report) -> None:
    lines = as_text(blocks(worked_out)).splitlines()
    assert max(map(len, lines)) <= 80
    assert not [line for line in lines if line != line.rstrip()]


def test_it_names_every_source_and_what_it_leaves_out(worked_out: Report) -> None:
    text = " ".join(as_text(blocks(worked_out)).split())
    for result in worked_out.results:
        assert result.case.source in text
        assert result.case.geometry in text
        assert result.case.left_out in text
    for item in worked_out.untested:
        assert item.source in text
        assert item.missing in text


def test_a_miss_is_shown_plainly(worked_out: Report) -> None:
    first, *rest = worked_out.results
    missed = replace(first, found=Found(first.found.rows, {**first.found.values, "furthest": 31.0}))
    text = " ".join(as_text(blocks(replace(worked_out, results=(missed, *rest)))).split())
    assert "+31.0 cents ±20 MISSED" in text
    assert "+31.0 cents; ±20 asked (lips and temperature are not stated): MISSED" in text
    assert ", 1 are not, and" in text
    assert "MISSED" not in page(worked_out)


def test_a_miss_of_a_second_figure_is_a_miss_of_the_case(worked_out: Report) -> None:
    first, *rest = worked_out.results
    missed = replace(first, found=Found(first.found.rows, {**first.found.values, "fitted_end": 3.0}))
    text = as_text(blocks(replace(worked_out, results=(missed, *rest))))
    assert ", 1 are not, and" in " ".join(text.split())
    assert "±20  MISSED" in text


@pytest.mark.parametrize(("value", "digits", "sign", "text"), [
    (-1e-9, 1, True, "0.0"), (0.26, 1, True, "+0.3"), (-0.26, 1, True, "−0.3"), (0.26, 1, False, "0.3"),
])  # fmt: skip
def test_nothing_is_written_as_minus_nothing(value: float, digits: int, sign: bool, text: str) -> None:
    assert number(value, digits, sign=sign) == text


@pytest.mark.parametrize(("low", "high", "asked", "value"), [
    (None, None, "", "+2.00 Hz"), (-5.0, 5.0, "±5", "+2.00 Hz"), (1.0, 5.0, "1 to 5", "2.00 Hz"),
    (None, 5.0, "at most 5", "+2.00 Hz"), (1.0, None, "at least 1", "2.00 Hz"),
    (-0.0051, 0.0051, "±0.0051", "+2.0000 Hz"),
])  # fmt: skip
def test_limits_in_words(low: float | None, high: float | None, asked: str, value: str) -> None:
    limit = Limit("any", "any", "Hz", low, high, "", real=False)
    assert allowed(limit) == asked
    assert shown(limit, 2.0) == value
