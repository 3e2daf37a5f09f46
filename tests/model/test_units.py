"""Quantities in and out."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.errors import QuantityError
from scaledesign.model import units

SIZES = st.floats(1e-7, 9.9, allow_nan=False)


@pytest.mark.parametrize(
    ("written", "file_units", "millimetres"),
    [
        ("16 mm", "in", 16), ("16mm", "in", 16), ("1.6 cm", "mm", 16), ("0.016 m", "mm", 16),
        ("5/8 in", "mm", 15.875), ("5/8", "in", 15.875), ("5/8", "mm", 0.625), ("5 / 8 in", "mm", 15.875),
        ("1 3/16 in", "mm", 30.1625), ('1-3/16"', "mm", 30.1625), ("0.625 in", "mm", 15.875),
        (".5 in", "mm", 12.7), ("2 ft", "mm", 609.6), (16, "mm", 16), (16, "in", 406.4),
        (0.5, "in", 12.7), (Decimal("150.3"), "mm", 150.3), ("1.5e1", "mm", 15), ("+3 mm", "mm", 3),
        ("12\u00a0mm", "mm", 12), ("0", "mm", 0), ("6″", "mm", 152.4),
    ],
)  # fmt: skip
def test_lengths_in(written, file_units, millimetres):
    assert units.parse_length(written, file_units) == float(Fraction(str(millimetres)) / 1000)


def test_a_length_is_rounded_once():
    """0.1 mm is the float64 nearest to a ten-thousandth, not a product of two roundings."""
    assert units.parse_length(0.3, "mm") == 0.0003
    assert units.parse_length("1/64 in", "mm") == 0.000396875  # exact: 25.4 mm / 64


@pytest.mark.parametrize(
    ("written", "problem", "remedy"),
    [
        ("16,0 mm", "decimal comma", "16.0"), ("16,5", "decimal comma", "16.5"),
        ("", "empty", "16 mm"), ("  ", "empty", "16 mm"), ("wide", "not a quantity", "16 mm"),
        ("nan", "not a quantity", "16 mm"), ("inf mm", "not a quantity", "16 mm"),
        (float("nan"), "not a finite number", "16 mm"), (float("inf"), "not a finite number", "16 mm"),
        (Decimal("1e400"), "not a finite number", "16 mm"), (10**4000, "too large", "16 mm"),
        ("1e35 mm", "too large", "16 mm"), ("1e-405 mm", "too small", "16 mm"),
        ("-3 mm", "cannot be negative", "minus"), ("−3", "cannot be negative", "minus"),
        ("1/0 in", "0 below the line", "16 mm"), ("12 furlong", "no unit of length", "mm, cm, m, in"),
        ("12 m", "over 10 m", "unit"), (True, "not a quantity", "16 mm"),
        ("1" * 500, "not a quantity", "16 mm"),
        ("1.2.3", "no unit", "mm"), ("1,000.5 mm", "no unit", "mm"), ("٣ mm", "not a quantity", "16 mm"),
    ],
)  # fmt: skip
def test_lengths_refused(written, problem, remedy):
    with pytest.raises(QuantityError, match=problem) as caught:
        units.parse_length(written, "mm")
    assert remedy in str(caught.value)


def test_an_inch_maker_is_shown_an_inch_example():
    with pytest.raises(QuantityError, match="5/8 in"):
        units.parse_length("wide", "in")


def test_signed_lengths_where_they_make_sense():
    assert units.parse_length("-0.5 mm", "mm", signed=True) == -0.0005


@pytest.mark.parametrize(
    ("millimetres", "file_units", "text"),
    [
        (150.3, "mm", "150.3 mm"), (150.26, "mm", "150.3 mm"), (16, "mm", "16.0 mm"), (0, "mm", "0.0 mm"),
        (-0.01, "mm", "0.0 mm"), (30.1625, "in", "1 3/16 in"), (15.875, "in", "5/8 in"),
        (25.4, "in", "1 in"), (25.5, "in", "1 in"), (25.3, "in", "1 in"), (25.1, "in", "63/64 in"),
        (0.01, "in", "0 in"), (-30.1625, "in", "-1 3/16 in"),
    ],
)  # fmt: skip
def test_lengths_on_paper(millimetres, file_units, text):
    assert units.format_length(millimetres / 1000, file_units) == text


def test_lengths_exact():
    assert units.format_length(0.1503, "mm", "exact") == "150.3 mm"
    assert units.format_small(1.5e-4, "mm") == "0.15 mm"
    assert units.format_small(1.5e-4, "in") == "0.0059 in"
    assert units.format_small(5e-4, "in") == "0.02 in"
    assert units.format_length(0.0301625, "in", "exact") == "1 3/16 in"
    assert units.format_length(0.0301, "in", "exact", unit=False) == "1.1850393700787401"
    assert units.format_length(0.016, "mm", "exact", unit=False) == "16"


@given(SIZES, st.sampled_from(["mm", "in"]))
def test_exact_lengths_read_back_as_the_same_number(metres, file_units):
    assert units.parse_length(units.format_length(metres, file_units, "exact"), "mm") == metres
    bare = units.format_length(metres, file_units, "exact", unit=False)
    assert units.parse_length(bare, file_units) == metres


@given(SIZES, st.sampled_from(["mm", "in"]))
def test_paper_lengths_are_near(metres, file_units):
    half_a_step = {"mm": 0.00005, "in": 0.0254 / 128}[file_units]
    text = units.format_length(metres, file_units)
    assert abs(units.parse_length(text, "mm") - metres) <= half_a_step * (1 + 1e-9)


@given(st.integers(1, 64 * 40))
def test_every_sixty_fourth_survives(count):
    metres = float(Fraction(count, 64) * units.INCH)
    assert units.parse_length(units.format_length(metres, "in"), "mm") == metres


@given(st.floats(-60, 150))
def test_exact_temperatures_read_back(celsius):
    assert units.parse_temperature(units.format_temperature(celsius, "exact")) == celsius
    assert units.parse_temperature(units.format_temperature(celsius, "exact", unit="°F")) == celsius


@given(st.floats(1, 2e5))
def test_exact_pressures_and_altitudes_read_back(value):
    assert units.parse_pressure(units.format_pressure(value, "exact")) == value
    assert units.parse_altitude(units.format_altitude(value, "exact")) == value
    assert units.parse_altitude(units.format_altitude(value, "exact", unit="ft")) == value


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_read_back(value):
    assert float(units.format_number(value)) == value


def test_other_quantities():
    assert units.parse_temperature("72 °F") == float(Fraction(200, 9))
    assert units.parse_temperature(20) == units.parse_temperature("20 °C") == units.parse_temperature("20C")
    assert units.parse_temperature_difference("1.8 °F") == units.parse_temperature_difference(1) == 1.0
    assert units.parse_pressure("98.4 kPa") == units.parse_pressure("984 hPa") == 98400.0
    assert units.parse_pressure(98400) == 98400.0
    assert units.parse_altitude("1000 ft") == 304.8
    assert units.parse_number("0.5") == units.parse_number(Decimal("0.5")) == 0.5


@pytest.mark.parametrize(
    ("parse", "written", "remedy"),
    [
        (units.parse_temperature, "22 mm", "°C"), (units.parse_temperature, "warm", "22 °C"),
        (units.parse_temperature_difference, "1 mm", "K"), (units.parse_pressure, "1 psi", "kPa"),
        (units.parse_altitude, "250 mi", "ft"), (units.parse_number, "5 mm", "alone"),
        (units.parse_number, True, "a number"),
    ],
)  # fmt: skip
def test_other_quantities_refused(parse, written, remedy):
    with pytest.raises(QuantityError, match=remedy):
        parse(written)


def test_other_quantities_on_paper():
    assert units.format_temperature(22.3) == "22.5 °C"
    assert units.format_temperature(22.0, unit="°F") == "71.5 °F"
    assert units.format_pressure(98432.0) == "98.4 kPa"
    assert units.format_altitude(249.7) == "250 m"
    assert units.format_altitude(304.8, unit="ft") == "1000 ft"
    assert [units.format_cents(cents) for cents in (3.6, -12.2, 0.2, -0.4)] == ["+4", "-12", "0", "0"]


def test_the_unit_a_text_is_written_in():
    assert units.length_unit("5/8 in") == "in"
    assert units.length_unit('1-3/16"') == '"'
    assert units.length_unit("5/8") == units.length_unit("wide") == ""
