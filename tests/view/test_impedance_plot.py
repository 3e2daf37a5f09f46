"""The picture of the impedance: dips under their registers, registers named, exact cells."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import scaledesign
from scaledesign.model.document import Design, Station, Tube, Tuning
from scaledesign.view.impedance_plot import AXIS, impedance_lines
from scaledesign.view.lines import DRAWN, TYPED, Line, Signs, text_of
from scaledesign.workshop.sound import Curve, Mark, impedance_curve
from tests.solver.remake_examples import EXAMPLES

BOTH = pytest.mark.parametrize("signs", [DRAWN, TYPED], ids=lambda signs: signs.name)
BARE = Design(Tube(0.4, (Station(0.0, 0.016),), (Station(0.0, 0.004),)))
"""A tube without a row: names are with sharps."""


def vee(bottom: float = -25.0) -> Curve:
    """Two straight slopes on a logarithmic axis, from 10 dB at 220 Hz down to 440 Hz and up to 880."""
    frequency = np.geomspace(220.0, 880.0, 401)
    level = bottom + (10.0 - bottom) * np.abs(np.log2(frequency / 440.0))
    marks = (Mark(1, 440.0, -bottom, True), Mark(2, 700.0, -4.0, False))
    return Curve(frequency, level, marks)


def drawn(lines: tuple[Line, ...], signs: Signs) -> list[tuple[int, int]]:
    """Cells (line, column) that the curve covers."""
    return [
        (row, column)
        for row, line in enumerate(lines)
        for column, sign in enumerate(text_of(line))
        if (0x2800 < ord(sign) < 0x2900 if signs.dots else sign == signs.point)
    ]


@BOTH
@settings(max_examples=100)
@given(
    width=st.integers(0, 200),
    height=st.integers(0, 20),
    points=st.integers(2, 700),
    low=st.floats(10.0, 2000.0),
    octaves=st.floats(0.01, 6.0),
    levels=st.lists(st.floats(-120.0, 80.0), min_size=1, max_size=9),
    marked=st.lists(st.floats(5.0, 30000.0), max_size=4),
)
def test_every_plot_has_exactly_the_cells_asked_for(
    signs: Signs,
    width: int,
    height: int,
    points: int,
    low: float,
    octaves: float,
    levels: list[float],
    marked: list[float],
) -> None:
    """Whatever curve, and registers beyond its ends; the typed set is ASCII."""
    curve = Curve(
        np.geomspace(low, low * 2.0**octaves, points),
        np.resize(np.array(levels), points),
        tuple(Mark(i, frequency, 10.0, i == 2) for i, frequency in enumerate(marked, 1)),
    )
    lines = impedance_lines(curve, signs, width, height, design=BARE)
    assert [len(text_of(line)) for line in lines] == [width] * height
    if signs is TYPED:
        assert "".join(map(text_of, lines)).isascii()


@BOTH
@pytest.mark.parametrize(("width", "height"), [(40, 6), (78, 8), (138, 14), (200, 20)])
def test_the_curve_runs_where_its_numbers_are(signs: Signs, width: int, height: int) -> None:
    """In every column, falling to the middle and rising again, to a cell."""
    lines = impedance_lines(vee(), signs, width, height, design=BARE)
    cells = drawn(lines, signs)
    room, rows = width - AXIS, height - 2
    assert {column for _, column in cells} == set(range(AXIS, width))
    for row, column in cells:
        octaves = 2 * (column + 0.5 - AXIS) / room - 1
        level = -25.0 + 35.0 * abs(octaves)
        expected = 1 + (10.0 - level) / 40.0 * rows
        steepness = 35.0 * 2 / room / 40.0 * rows
        assert row - 0.5 - steepness <= expected <= row + 1.5 + steepness
    lowest = max(row for row, _ in cells)
    bottom = [column for row, column in cells if row == lowest]
    assert (bottom[0] + bottom[-1] + 1) / 2 == pytest.approx(AXIS + room / 2, abs=1)


@BOTH
def test_registers_stand_over_their_dips_with_what_a_tuner_shows(signs: Signs) -> None:
    """The one that the row is blown in is strong."""
    lines = impedance_lines(vee(), signs, 78, 10, design=BARE)
    assert "1 A4 +0" in text_of(lines[0])
    assert "2 F5 +4" in text_of(lines[0])
    assert [span.text for span in lines[0] if span.tone == "strong"] == ["1 A4 +0"]
    middle = AXIS + (78 - AXIS) // 2
    upright = {
        column
        for line in lines[1:6]
        for column, sign in enumerate(text_of(line))
        if sign == signs.down and column >= AXIS
    }
    second = AXIS + int((78 - AXIS) * (1 + np.log2(700.0 / 440.0)) / 2)
    assert upright == {middle, second}


@BOTH
def test_names_follow_the_reference_and_say_flat(signs: Signs) -> None:
    """As the tuner on the bench is set."""
    lines = impedance_lines(vee(), signs, 78, 10, design=replace(BARE, tuning=Tuning(reference=442.0)))
    assert f"1 A4 {signs.minus}8" in text_of(lines[0])


@BOTH
@pytest.mark.parametrize("width", [20, 30, 40, 60, 78, 138])
def test_names_and_frequencies_keep_apart(signs: Signs, width: int) -> None:
    """Each whole, in order; the sounding register's before any other."""
    design = scaledesign.load(EXAMPLES / "dust-lark.toml")
    row = next(i for i, row in enumerate(design.rows) if row.register == 2)
    lines = [
        text_of(line)
        for line in impedance_lines(impedance_curve(design, row), signs, width, 8, design=design)
    ]
    names = re.fullmatch(r"\s*dB((?:\s+\d [A-G][#b]?\d [+−-]\d+)+)\s*", lines[0])
    assert names is not None
    assert re.search(r"\b2 G5", names[1])
    ticks = [int(tick) for tick in lines[-1].split()[1:]]
    assert lines[-1].split()[0] == "Hz"
    assert ticks == sorted(ticks)


@BOTH
def test_decibels_are_written_at_the_left(signs: Signs) -> None:
    """The ends in whole tens, and zero between them."""
    labels = [
        text_of(line)[: AXIS - 1].strip() for line in impedance_lines(vee(), signs, 78, 14, design=BARE)
    ]
    assert labels[1] == "+10"
    assert labels[12] == f"{signs.minus}30"
    assert labels.index("0") == 1 + 12 * 10 // 40


def test_a_register_that_no_tuner_shows_is_named_in_hertz() -> None:
    """Above what a flute plays."""
    curve = Curve(np.geomspace(5000.0, 20000.0, 50), np.zeros(50), (Mark(1, 13000.0, 3.0, True),))
    assert "1 13000 Hz" in text_of(impedance_lines(curve, DRAWN, 78, 8, design=BARE)[0])


def test_little_room_goes_to_the_curve() -> None:
    """One line is all curve, the second names registers, the third the frequencies."""
    one, two, three = (
        [text_of(line) for line in impedance_lines(vee(), DRAWN, 60, height, design=BARE)]
        for height in (1, 2, 3)
    )
    assert drawn(impedance_lines(vee(), DRAWN, 60, 1, design=BARE), DRAWN)
    assert "A4" not in one[0]
    assert "A4" in two[0]
    assert "Hz" not in two[1]
    assert "Hz" in three[2]
