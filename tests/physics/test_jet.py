"""The jet: published and remembered figures, and what blowing harder does, found by closing the loop."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from scaledesign.model.document import Design, Instrument, Station, Tube, Voicing
from scaledesign.physics import jet
from scaledesign.physics.arrays import Floats
from scaledesign.physics.field import Field
from scaledesign.physics.flute import lay_out
from scaledesign.physics.gradient import log_frequency_slope
from scaledesign.physics.network import evaluate
from scaledesign.solver.problem import flutes_of
from scaledesign.solver.resonance import Fingerings, field_at, resonances

RHO = 1.2
BARE = np.zeros((0, 1))


def tube(bore: float, length: float) -> Design:
    """A bare duct flute played warm, its mouth worth 30 mm."""
    return Design(
        Tube(length, (Station(0.0, bore),), (Station(0.0, 0.004),)),
        Instrument("duct"),
        voicing=Voicing(0.03),
    )


def field_of(bore: float, length: float) -> Field:
    """Its field at the first register."""
    flutes, one = flutes_of(tube(bore, length)), Fingerings(BARE, np.ones(1, np.intp))
    return field_at(flutes, one, resonances(flutes, one).frequency)


def quality_of(bore: float, length: float) -> float:
    field = field_of(bore, length)
    return float(jet.quality(field, log_frequency_slope(field))[0, 0])


@pytest.mark.parametrize(
    ("pressure", "speed", "frequency"),
    [(50, 9.1, 456), (100, 12.9, 645), (200, 18.3, 913), (400, 25.8, 1291), (800, 36.5, 1826)],
)
def test_a_window_of_four_millimetres(pressure: float, speed: float, frequency: float) -> None:
    """f = 0.2 U/L (jet-drive report, City University of New York 1975, ADA023193, abstract)."""
    assert jet.jet_speed(pressure, RHO) == pytest.approx(speed, abs=0.05)
    assert jet.jet_speed(pressure, RHO) / (jet.BEST * 0.004) == pytest.approx(frequency, abs=1)
    assert jet.needed_pressure(frequency, 0.004, RHO) == pytest.approx(pressure, rel=0.003)
    assert jet.window_for(frequency, pressure, RHO) == pytest.approx(0.004, rel=0.002)


def test_the_mouth_of_an_organ_pipe() -> None:
    """550 mm/2^(ln f): 8.1 mm at 440 Hz (N. Giangiulio, web publication)."""
    assert jet.organ_window(440.0) == pytest.approx(0.0081, abs=5e-5)


@given(st.floats(200, 2000), st.floats(0.002, 0.01), st.floats(1.05, 3))
def test_a_longer_window_or_a_higher_note_asks_more_breath(f: float, window: float, more: float) -> None:
    """As the square of either, and less at the upper end of what sounds than at the lower."""
    asked = jet.needed_pressure(f, window, RHO)
    assert jet.needed_pressure(f, window * more, RHO) == pytest.approx(asked * more**2)
    assert jet.needed_pressure(f * more, window, RHO) == pytest.approx(asked * more**2)
    least, most = (jet.needed_pressure(f, window, RHO, theta) for theta in jet.USABLE)
    assert least < asked < most
    assert jet.window_for(f, asked, RHO) == pytest.approx(window)


@pytest.mark.parametrize(("bore", "length"), [(0.016, 0.40), (0.019, 0.545), (0.025, 0.5), (0.040, 0.8)])
def test_quality_is_the_width_of_the_dip(bore: float, length: float) -> None:
    """f over the width between the points where |Z| is sqrt 2 times the least: another way to the same Q."""
    field = field_of(bore, length)
    playing = float(field.frequency[0, 0])
    axis = playing * np.linspace(0.97, 1.03, 6001)
    layout = lay_out(flutes_of(tube(bore, length)))
    many = evaluate(layout, np.zeros((0, len(axis))), axis[None], partials=False)
    size: Floats = np.abs(many.impedance[0])
    inside = axis[size < np.sqrt(2) * size.min()]
    assert quality_of(bore, length) == pytest.approx(playing / (inside[-1] - inside[0]), rel=0.02)


@pytest.mark.parametrize(
    ("bore", "length", "quality", "cents"),
    [
        (0.016, 0.40, (47, 56), (17, 20)),
        (0.019, 0.545, (47, 56), (17, 20)),
        (0.025, 0.50, (56, 75), (12.5, 17)),
        (0.040, 0.80, (80, 100), (9.5, 12)),
    ],
)
def test_twice_the_pressure(
    bore: float, length: float, quality: tuple[float, float], cents: tuple[float, float]
) -> None:
    """Q from wall losses and 942/Q cents (derived): 17 to 20 in usual bores, about 10 in 40 mm."""
    found = quality_of(bore, length)
    assert quality[0] < found < quality[1]
    assert cents[0] < jet.sharper(found, 2.0) < cents[1]


@pytest.mark.parametrize("quality", [30.0, 50.0, 90.0])
@pytest.mark.parametrize("ratio", [0.98, 1.02])
def test_the_loop_closed_by_numbers(quality: float, ratio: float) -> None:
    """Phase of the jet, pi 5/theta, and lag of a resonance, atan(2 Q df/f), add up to pi: solved for f.

    The docstring's rule leaves out that the jet's own phase grows with f, which is worth pi/(2 Q).
    """
    speed = np.sqrt(ratio)

    def open_by(f: float) -> float:
        return float(np.pi * f / speed + np.arctan(quality * (f - 1 / f)) - np.pi)

    cents = 1200 * np.log2(brentq(open_by, 0.9, 1.1))
    assert jet.sharper(quality, ratio) == pytest.approx(cents, rel=1.3 * np.pi / (2 * quality))


@given(st.floats(0.010, 0.030), st.floats(1.1, 2.0))
def test_a_wider_bore_holds_its_pitch_better(bore: float, wider: float) -> None:
    narrow, wide = quality_of(bore, 0.45), quality_of(bore * wider, 0.45)
    assert jet.sharper(narrow, 1.5) > jet.sharper(wide, 1.5) > 0
    assert jet.sharper(narrow, 0.7) < 0
    assert jet.sharper(narrow, 1.0) == 0
