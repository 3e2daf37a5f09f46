"""Scales made of scales: what is done can be undone, every number is where arithmetic puts it."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scaledesign.errors import QuantityError
from scaledesign.model.retune import (
    equal_division,
    mixed,
    ordinal,
    rotated,
    said,
    stretched,
    with_added,
    with_degree,
    without_degree,
)
from scaledesign.model.scale import Scale

MAJOR = Scale("major", (0, 200, 400, 500, 700, 900, 1100), source="common practice, no source")
JUST = tuple(1200 * math.log2(ratio) for ratio in (1, 9 / 8, 5 / 4, 4 / 3, 3 / 2, 5 / 3, 15 / 8))
SEVEN = Scale("seven", tuple(1200 * n / 7 for n in range(7)), steps=(0, 2, 3.5, 5, 7, 8.5, 10.5))


@st.composite
def scales(draw: st.DrawFn, count: int | None = None) -> Scale:
    """Degrees at least a cent apart in a period near an octave, with written places or without."""
    many = count or draw(st.integers(1, 14))
    gaps = draw(st.lists(st.floats(1, 300), min_size=many, max_size=many))
    period = draw(st.sampled_from((1200.0, 1196.5, 1901.955)))
    factor = period / (math.fsum(gaps) + 1)
    cents = tuple(factor * math.fsum(gaps[:n]) for n in range(many))
    steps = draw(st.booleans()) and tuple(sorted({0.5 * round(value / 50) for value in cents}))
    fits = steps and len(steps) == many and steps[-1] < round(period / 100)
    return Scale("drawn", cents, period, tuple(steps) if steps and fits else None, "drawn by lot")


def near(one: Scale, other: Scale, cents: float = 1e-9) -> bool:
    return (
        one.cents == pytest.approx(other.cents, abs=cents, rel=0)
        and abs(one.period - other.period) <= cents
        and one.places == other.places
    )


@given(scales(), st.data())
def test_rotating_through_every_degree_gives_the_scale_back(scale: Scale, data: st.DataObject) -> None:
    degree = data.draw(st.integers(0, len(scale.cents) - 1))
    there = rotated(scale, degree)
    back = rotated(there, (len(scale.cents) - degree) % len(scale.cents))
    assert back.cents == pytest.approx(scale.cents, abs=1e-9, rel=0)
    assert (back.period, back.steps) == (scale.period, scale.steps)
    lifted = [value + scale.period for value in scale.cents[:degree]]
    assert there.cents == pytest.approx(
        [value - scale.cents[degree] for value in [*scale.cents[degree:], *lifted]], abs=1e-9, rel=0
    )
    step = scale
    for _ in scale.cents:
        step = rotated(step, 1 % len(scale.cents))
    assert step.cents == pytest.approx(scale.cents, abs=1e-9, rel=0)


def test_rotation_says_what_it_did_and_keeps_the_written_places() -> None:
    minor = rotated(MAJOR, 5)
    assert minor.cents == (0, 200, 300, 500, 700, 800, 1000)
    assert (minor.name, minor.words) == ("major from the 6th", "The notes of major, begun on its 6th.")
    assert minor.source == "rotated from major, degree 6; major: common practice, no source"
    assert rotated(SEVEN, 2).steps == (0, 1.5, 3.5, 5, 7, 8.5, 10.5)
    assert rotated(MAJOR, 0) is MAJOR


@given(scales(), st.floats(-100, 100))
def test_stretching_back_gives_the_scale_back(scale: Scale, by: float) -> None:
    there = stretched(scale, by)
    assert there.period == pytest.approx(scale.period * (1200 + by) / 1200, abs=1e-9)
    assert there.cents == pytest.approx([c * (1200 + by) / 1200 for c in scale.cents], abs=1e-9, rel=0)
    back = stretched(there, 1200 * 1200 / (1200 + by) - 1200)
    assert back.cents == pytest.approx(scale.cents, abs=1e-9, rel=0)
    assert back.period == pytest.approx(scale.period, abs=1e-9)
    if there.span == scale.span:
        assert there.places == scale.places == back.places


def test_a_stretched_octave_is_written_as_an_octave() -> None:
    chromatic = Scale("chromatic", tuple(100.0 * n for n in range(12)))
    wide = stretched(chromatic, 45)
    assert wide.period == 1245
    assert wide.places == chromatic.places
    assert stretched(SEVEN, -20).steps == SEVEN.steps
    assert stretched(SEVEN, 100).steps is None


@given(st.integers(1, 10).flatmap(lambda n: st.tuples(scales(n), scales(n))), st.floats(0, 1))
def test_a_mixture_lies_between_its_scales(pair: tuple[Scale, Scale], share: float) -> None:
    one, other = pair
    there, back = mixed(one, other, share), mixed(other, one, share)
    assert near(mixed(one, other, 0), one)
    assert near(mixed(one, other, 1), other)
    halves = mixed(one, other, 0.5)
    assert mixed(there, back, 0.5).cents == pytest.approx(halves.cents, abs=1e-9, rel=0)
    assert mixed(other, one, 1 - share).cents == pytest.approx(there.cents, abs=1e-9, rel=0)
    for low, value, high in zip(one.cents, there.cents, other.cents, strict=True):
        assert min(low, high) - 1e-9 <= value <= max(low, high) + 1e-9


def test_a_mixture_of_just_and_equal_is_written_as_both_are() -> None:
    just = Scale("just major", JUST, source="ratios")
    half = mixed(MAJOR, just, 0.25)
    assert half.cents[2] == pytest.approx(400 + 0.25 * (JUST[2] - 400))
    assert half.places == MAJOR.places
    assert half.source == (
        "mixed from major and 25 % of just major; major: common practice, no source; just major: ratios"
    )
    with pytest.raises(QuantityError, match="'five' has 5 degrees, and major has 7"):
        mixed(MAJOR, Scale("five", (0, 200, 400, 700, 900)), 0.5)
    with pytest.raises(QuantityError, match="no share of a mixture"):
        mixed(MAJOR, just, 1.5)


@given(scales(), st.floats(0.01, 1900), st.data())
def test_a_degree_added_can_be_taken_out_or_moved(scale: Scale, cents: float, data: st.DataObject) -> None:
    assume(cents < scale.period and all(abs(cents - value) > 1e-3 for value in scale.cents))
    more = with_added(scale, cents)
    place = more.cents.index(cents)
    assert sorted(more.cents) == list(more.cents)
    assert len(more.cents) == len(scale.cents) + 1
    assert without_degree(more, place).cents == scale.cents
    if more.steps is not None:
        assert without_degree(more, place).steps == scale.steps
    if len(scale.cents) > 1:
        index = data.draw(st.integers(1, len(scale.cents) - 1))
        moved = with_degree(scale, index, cents)
        rest = [value for value in scale.cents if value != scale.cents[index]]
        assert moved.cents == tuple(sorted([*rest, cents]))
        back = with_degree(moved, moved.cents.index(cents), scale.cents[index])
        assert back.cents == scale.cents


def test_a_degree_between_its_neighbours_is_written_as_before() -> None:
    low = with_degree(SEVEN, 2, 300)
    assert low.steps == SEVEN.steps
    assert low.cents[2] == 300
    past = with_degree(SEVEN, 2, 560.0)
    assert past.steps == (0, 2, 5, 5.5, 7, 8.5, 10.5)
    assert (low.name, with_degree(low, 1, 150).name) == ("seven changed", "seven changed")
    assert with_degree(MAJOR, 2, 386.3).source.startswith(
        "changed from major, degree 3 to 386.3 c; major: common"
    )


def test_without_a_free_place_the_places_follow_by_themselves() -> None:
    tight = Scale("tight", (0, 50, 100), steps=(0, 0.5, 1))
    assert with_added(tight, 70).steps is None
    assert with_added(tight, 400).steps == (0, 0.5, 1, 4)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: rotated(MAJOR, 7), "'8': there is no such degree in major; it has degrees 1 to 7"),
        (lambda: rotated(MAJOR, -1), "'0': there is no such degree"),
        (lambda: stretched(MAJOR, -1200), "leaves nothing of an octave"),
        (lambda: stretched(MAJOR, math.nan), "leaves nothing of an octave"),
        (lambda: stretched(MAJOR, -1150), "period of less than a semitone"),
        (lambda: with_degree(MAJOR, 0, 10), "the first degree is the tonic"),
        (lambda: with_degree(MAJOR, 2, 200), "'200 c': major has that degree already"),
        (lambda: with_degree(MAJOR, 2, 1200), "'1200 c' lies outside the period of major"),
        (lambda: with_degree(MAJOR, 2, math.nan), "lies outside the period"),
        (lambda: with_added(MAJOR, -3), "'-3 c' lies outside"),
        (lambda: with_added(MAJOR, 500.0000001), "has that degree already"),
        (lambda: without_degree(MAJOR, 0), "the first degree is the tonic and stays"),
        (lambda: equal_division(0), "'0' is no number of equal steps"),
        (lambda: equal_division(7, 60), "period of less than a semitone"),
    ],
)
def test_what_cannot_be_is_one_sentence(make: object, said: str) -> None:
    with pytest.raises(QuantityError) as caught:
        make()
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


@given(st.integers(1, 100), st.sampled_from((1200.0, 1901.955, 2400.0)))
def test_equal_steps_are_equal(count: int, period: float) -> None:
    scale = equal_division(count, period)
    assert [b - a for a, b in zip(scale.cents, (*scale.cents[1:], period), strict=True)] == pytest.approx(
        [period / count] * count
    )


def test_equal_steps_have_a_name() -> None:
    nineteen = equal_division(19)
    assert (nineteen.name, nineteen.source) == (
        "19 equal steps",
        "an octave in 19 equal steps, by definition",
    )
    assert nineteen.words == "An octave in 19 equal steps of 63.158 c."
    assert equal_division(13, 1901.955).name == "13 equal steps to 1901.955 c"


def test_numbers_are_said_as_people_say_them() -> None:
    assert [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 22, 113)] == [
        *("1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "113th")
    ]
    assert [said(value) for value in (315.64128, 700.0, -0.0001, 1200)] == [
        "315.641 c",
        "700 c",
        "0 c",
        "1200 c",
    ]
