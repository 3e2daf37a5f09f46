"""The impedance of a fingering: known tubes, and agreement with what is predicted and solved for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import scaledesign
from scaledesign.model.document import AirSetting, Design, Foot, FootKind, Instrument, Row, Station, Tube
from scaledesign.solver.problem import air_of, fingerings_of, flutes_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.workshop.sound import Curve, impedance_curve
from tests.solver.remake_examples import EXAMPLES, PLANS

FILES = [plan.file for plan in PLANS]
LENGTH = 0.4


def pipe(foot: FootKind, register: int = 1) -> Design:
    """A straight tube without holes, mouth and friction, at room temperature."""
    tube = Tube(LENGTH, (Station(0.0, 0.016),), (Station(0.0, 0.003),), foot=Foot(foot))
    return Design(
        tube,
        instrument=Instrument("open"),
        air=AirSetting(breath=0.0),
        rows=(Row("A4", (), register=register),),
    )


def dips(curve: Curve) -> list[int]:
    """Points of the axis at which the level is lower than on either side."""
    level = curve.level
    return [i for i in range(1, len(level) - 1) if level[i] < level[i - 1] and level[i] < level[i + 1]]


def nearest(curve: Curve, frequency: float) -> float:
    """Place of a frequency on the axis, in points."""
    return float(np.interp(np.log(frequency), np.log(curve.frequency), np.arange(len(curve.frequency))))


def test_a_stopped_pipe_dips_at_odd_quarter_waves() -> None:
    """Z = -j cot kL without losses: zero where L is an odd number of quarter waves."""
    curve = impedance_curve(pipe("stopped"), 0, losses=False)
    quarter = float(air_of(pipe("stopped")).c) / (4 * LENGTH)
    assert [mark.number for mark in curve.registers] == [1, 2]
    for mark, dip in zip(curve.registers, dips(curve), strict=True):
        known = (2 * mark.number - 1) * quarter
        assert mark.frequency == pytest.approx(known, rel=1e-6)
        assert abs(dip - nearest(curve, known)) <= 1


def test_an_open_pipe_dips_where_it_is_predicted_to_play() -> None:
    """Minima within a point of the axis, and near whole half waves of tube and end correction."""
    curve = impedance_curve(pipe("open"), 0, losses=False)
    predicted = [
        float(scaledesign.predict(pipe("open", register), losses=False).frequency[0])
        for register in (1, 2, 3)
    ]
    half = float(air_of(pipe("open")).c) / (2 * (LENGTH + 0.61 * 0.008))
    assert [mark.frequency for mark in curve.registers] == pytest.approx(predicted, rel=1e-6)
    assert predicted == pytest.approx([half, 2 * half, 3 * half], rel=3e-3)
    for dip, frequency in zip(dips(curve), predicted, strict=True):
        assert abs(dip - nearest(curve, frequency)) <= 1


@pytest.mark.parametrize("file", FILES)
def test_registers_are_those_of_the_solver(file: str) -> None:
    """Every row of every example: the first two registers, and the row's own as the sheet shows it."""
    design = scaledesign.load(EXAMPLES / file)
    prediction = scaledesign.predict(design)
    flutes = flutes_of(design)
    for index, row in enumerate(design.rows):
        curve = impedance_curve(design, index, playing=float(prediction.frequency[index]))
        share = fingerings_of(design, (row,)).share
        both = Fingerings(np.repeat(share, 2, axis=1), np.array([1, 2]))
        solved = resonances(flutes, both).frequency[0]
        assert [mark.frequency for mark in curve.registers[:2]] == pytest.approx(solved, rel=1e-5)
        (sounding,) = [mark for mark in curve.registers if mark.sounding]
        assert sounding.number == row.register
        assert sounding.depth == pytest.approx(-20 * np.log10(prediction.depth[index]), abs=0.01)


def test_a_deep_dip_is_at_the_playing_frequency() -> None:
    """Within a cent where the note is firm: the dip of |Z| and the zero of Im Z are the same thing."""
    design = scaledesign.load(EXAMPLES / "marsh-wren.toml")
    firm = 0
    for index in range(len(design.rows)):
        for mark in impedance_curve(design, index).registers:
            if mark.depth > 20:
                near = impedance_curve(
                    design, index, low=mark.frequency * 0.99, high=mark.frequency * 1.01, points=2001
                )
                lowest = near.frequency[near.level.argmin()]
                assert abs(1200 * np.log2(lowest / mark.frequency)) < 1
                assert near.level.min() == pytest.approx(-mark.depth, abs=0.05)
                firm += 1
    assert firm > len(design.rows)


def test_found_here_or_handed_in_it_is_the_same() -> None:
    """A prediction at hand only spares the work."""
    design = scaledesign.load(EXAMPLES / "reed-bunting.toml")
    vented = next(i for i, row in enumerate(design.rows) if row.register == 2)
    known = float(scaledesign.predict(design).frequency[vented])
    found, handed = impedance_curve(design, vented), impedance_curve(design, vented, playing=known)
    assert [m.number for m in found.registers] == [m.number for m in handed.registers] == [1, 2, 3]
    assert [m.frequency for m in found.registers] == pytest.approx([m.frequency for m in handed.registers])
    assert found.level == pytest.approx(handed.level)


def test_the_axis_is_even_and_ends_where_it_is_told() -> None:
    """Left alone it reaches from below the first register past the third."""
    design = pipe("open")
    usual = impedance_curve(design, 0)
    assert usual.frequency[0] < 0.51 * usual.registers[0].frequency
    assert usual.frequency[-1] > usual.registers[2].frequency
    told = impedance_curve(design, 0, low=100.0, high=5000.0, points=77)
    assert len(told.frequency) == len(told.level) == 77
    assert (told.frequency[0], told.frequency[-1]) == pytest.approx((100.0, 5000.0))
    assert np.diff(np.log(told.frequency)) == pytest.approx(np.log(50.0) / 76)
    assert told.registers == usual.registers


def test_a_row_blown_higher_than_the_third_register_is_on_the_curve() -> None:
    """Its own register is marked, and the axis reaches past it."""
    curve = impedance_curve(pipe("open", 5), 0)
    assert [mark.number for mark in curve.registers] == [1, 2, 3, 4, 5]
    assert [mark.sounding for mark in curve.registers] == [False] * 4 + [True]
    assert curve.frequency[-1] > curve.registers[-1].frequency


@pytest.mark.parametrize("playing", [None, float("nan")])
def test_a_row_without_a_pitch_still_has_a_curve(playing: float | None) -> None:
    """Registers that exist are marked; none sounds."""
    tube = replace(pipe("open").tube, length=0.02)
    design = replace(pipe("open", 9), tube=tube)
    curve = impedance_curve(design, 0, playing=playing)
    assert not any(mark.sounding for mark in curve.registers)
    assert np.isfinite(curve.level).all()
    assert [mark.number for mark in curve.registers] == list(range(1, len(curve.registers) + 1))


@pytest.mark.parametrize(("length", "bore"), [(0.001, 0.05), (0.004, 0.05), (0.004, 0.01), (3.0, 0.05)])
def test_a_tube_that_is_no_flute_has_a_curve(length: float, bore: float) -> None:
    """Whatever stands in the cells at the moment, and as far as radiation is known."""
    tube = Tube(length, (Station(0.0, bore),), (Station(0.0, 0.003),))
    curve = impedance_curve(replace(pipe("open"), tube=tube), 0, playing=float("nan"))
    assert np.isfinite(curve.level).all()
    assert (np.diff(curve.frequency) > 0).all()
    assert 2 * np.pi * curve.frequency[-1] / float(air_of(pipe("open")).c) * bore / 2 < 1.5001


def test_friction_makes_every_dip_shallower() -> None:
    """And every register a little flatter."""
    with_losses = impedance_curve(pipe("open"), 0).registers
    without = impedance_curve(pipe("open"), 0, losses=False).registers
    for lossy, ideal in zip(with_losses, without, strict=True):
        assert lossy.depth < ideal.depth
        assert lossy.frequency < ideal.frequency
