"""Each published case lies where its source lets one ask; figures and limits are the case's own."""

from __future__ import annotations

import math

import pytest

from scaledesign.accuracy.case import GROUPS, STATUS, UNITS, Result, cases, read
from scaledesign.accuracy.report import COMPUTE, Report
from tests.reference.plain import CHECK_AIR

LIMITS = [(key, limit.value) for key, case in cases().items() for limit in case.limits if limit.by]


def result_of(report: Report, key: str) -> Result:
    (result,) = (result for result in report.results if result.case.key == key)
    return result


def test_every_case_is_worked_out_and_none_is_made_up() -> None:
    assert set(COMPUTE) == set(cases())


@pytest.mark.parametrize("key", COMPUTE)
def test_a_case_says_all_there_is_to_say(worked_out: Report, key: str) -> None:
    result = result_of(worked_out, key)
    case = result.case
    assert case.group in GROUPS
    assert case.status in STATUS
    assert all((case.source, case.geometry, case.compared, case.left_out))
    assert {limit.value for limit in case.limits} == set(result.found.values)
    assert all(limit.unit in UNITS for limit in case.limits)
    assert all(math.isfinite(value) for value in result.found.values.values())
    for limit in case.limits:
        assert bool(limit.by) == (limit.low is not None or limit.high is not None), limit


@pytest.mark.parametrize(("key", "value"), LIMITS, ids=lambda name: name)
def test_it_lies_where_its_source_lets_one_ask(worked_out: Report, key: str, value: str) -> None:
    result = result_of(worked_out, key)
    (limit,) = (limit for limit in result.case.limits if limit.value == value)
    assert result.outcome_of(limit) == "met", (result.found.values[value], limit)


def test_no_case_claims_a_real_instrument_better_than_ten_cents() -> None:
    real = [limit for case in cases().values() for limit in case.limits if limit.real]
    assert real
    for limit in real:
        assert limit.unit == "cents"
        assert limit.low is not None
        assert limit.high is not None
        assert limit.low <= -10
        assert limit.high >= 10


def test_boehm_s_tube_is_off_as_a_separate_program_found(worked_out: Report) -> None:
    """Evenly, more so toward the low notes: -15.9 cents at C4 to -10.9 at C5."""
    result = result_of(worked_out, "boehm_shape")
    off = [result.error_of(row) for row in result.found.rows]
    assert off == sorted(off)
    assert off[0] == pytest.approx(-15.9, abs=0.1)
    assert off[-1] == pytest.approx(-10.9, abs=0.1)


def test_the_usual_pad_is_within_a_twentieth_of_a_radius(worked_out: Report) -> None:
    assert abs(result_of(worked_out, "finger").found.values["furthest"]) < 0.05


def test_our_own_reference_is_met(worked_out: Report) -> None:
    """All that the program has: not the ideal foot, and not the losses in series."""
    own = worked_out.own
    assert own.count == 127
    assert abs(own.hertz) < own.tolerance


def test_the_air_of_the_reference_is_the_one_it_was_computed_with() -> None:
    air = CHECK_AIR
    assert [*read("own_reference")["air"].values()] == [air.c, air.rho, air.mu, air.gamma, air.prandtl]
