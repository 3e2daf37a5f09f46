"""Wall losses against scipy's Bessel functions and two published laws for wide tubes."""

import math

import numpy as np
import pytest
from scipy.special import jve

from scaledesign.physics.air import fixed_air, moist_air
from scaledesign.physics.duct import bessel_ratio, line
from tests.reference.plain import CHECK_AIR

TURN = np.exp(-0.25j * np.pi)


def propagation(radius, frequency, air):
    """Gamma and Z_c over rho c / S of the package."""
    omega = 2 * math.pi * np.atleast_1d(np.asarray(frequency, float))
    r = radius * np.sqrt(omega * air.rho / air.mu)
    found = line(omega / air.c, r, air.gamma, air.pr)
    return found.gamma, found.z


@pytest.mark.parametrize(("millimetres", "gamma"), [
    (8, 0.083468 + 9.232012j), (5, 0.134270 + 9.281632j), (12.5, 0.053247 + 9.202234j),
])  # fmt: skip
def test_check_value_t0(millimetres, gamma):
    """Case T0 at 500 Hz, computed once by independent programs; held to the last digit it is stated with."""
    air = fixed_air(CHECK_AIR.c, CHECK_AIR.rho, CHECK_AIR.mu, CHECK_AIR.gamma, CHECK_AIR.prandtl)
    found, z = propagation(millimetres * 1e-3, np.array([500.0]), air)
    assert found[0] == pytest.approx(gamma, abs=6e-7)
    if millimetres == 8:
        assert z[0] == pytest.approx(1.003198 - 0.003284j, abs=6e-7)


def test_bessel_ratio_against_scipy():
    r = np.concatenate([np.linspace(0.2, 30, 500), np.geomspace(30, 2000, 60)])
    scipy_says = jve(2, r * TURN) / jve(0, r * TURN)
    found = bessel_ratio(r)
    assert np.abs(found - scipy_says)[r < 12].max() < 1e-13
    assert np.abs(found - scipy_says)[r >= 12].max() < 1e-7
    assert np.abs(found - scipy_says)[r >= 40].max() < 1e-11


@pytest.mark.parametrize("radius", [0.002, 0.005, 0.008, 0.0125, 0.020])
def test_zwikker_and_kosten_with_scipy(radius):
    """Zwikker & Kosten 1949, Sound Absorbing Materials (from memory), written out with scipy."""
    air = moist_air(20, 0)
    omega = 2 * math.pi * np.array([100.0, 250, 500, 1000, 3000])
    section = math.pi * radius**2
    x = radius * np.sqrt(omega * air.rho / air.mu) * TURN
    thermal = x * np.sqrt(air.pr)
    series = -1j * omega * air.rho / section * jve(0, x) / jve(2, x)
    shunt = (
        1j * omega * section / (air.rho * air.c**2)
        * (air.gamma + (air.gamma - 1) * jve(2, thermal) / jve(0, thermal))
    )  # fmt: skip
    gamma, z = propagation(radius, omega / 2 / math.pi, air)
    np.testing.assert_allclose(gamma, np.sqrt(series * shunt), rtol=1e-7)
    np.testing.assert_allclose(z * air.rho * air.c / section, np.sqrt(series / shunt), rtol=1e-7)


@pytest.mark.parametrize(("radius", "frequency", "alpha", "speed", "z"), [
    (0.005, 500, 0.13430, 338.463, 1.00512 - 0.00534j),
    (0.008, 250, 0.05925, 339.024, 1.00452 - 0.00469j),
    (0.008, 500, 0.08348, 340.282, 1.00320 - 0.00328j),
    (0.008, 1000, 0.11775, 341.178, 1.00226 - 0.00230j),
    (0.0095, 500, 0.07020, 340.765, 1.00269 - 0.00275j),
    (0.0125, 500, 0.05326, 341.384, 1.00205 - 0.00208j),
    (0.020, 250, 0.02352, 341.612, 1.00181 - 0.00184j),
])  # fmt: skip
def test_losses_computed_independently(radius, frequency, alpha, speed, z):
    """Computed once by a separate program from the law above, dry air of 20 degC."""
    air = fixed_air(343.359, 1.20456, 1.81439e-5, 1.40217, 0.70922)
    gamma, found = propagation(radius, frequency, air)
    assert gamma[0].real == pytest.approx(alpha, abs=6e-6)
    assert 2 * math.pi * frequency / gamma[0].imag == pytest.approx(speed, abs=1e-3)
    assert abs(found[0] - z) < 8e-6


@pytest.mark.parametrize("radius", [0.005, 0.008, 0.020])
def test_keefe_1984(radius):
    """Keefe 1984, JASA 75, 58-62: series for wide tubes, stated for air near 27 degC."""
    air = moist_air(26.85, 0)
    frequency = np.array([300.0, 600, 1200])
    omega = 2 * math.pi * frequency
    r = radius * np.sqrt(omega * air.rho / air.mu)
    gamma, z = propagation(radius, frequency, air)
    alpha = omega / air.c * (1.045 / r + 1.080 / r**2 + 0.750 / r**3)
    np.testing.assert_allclose(gamma.real, alpha, rtol=2e-3)
    np.testing.assert_allclose(omega / gamma.imag, air.c / (1 + 1.045 / r), rtol=3e-5)
    series = 1 + 0.369 / r - 1j * (0.369 / r + 1.149 / r**2 + 0.303 / r**3)
    np.testing.assert_allclose(z, series, atol=3e-5)


@pytest.mark.parametrize("radius", [0.005, 0.008, 0.0125])
def test_kirchhoff_s_wide_tubes(radius):
    """Kirchhoff's law as D. E. Weston 1953, Proc. Phys. Soc. B 66, gives it at 20 degC, a in cm.

    It is the first order in 1/r_v, so slowing and attenuation agree to a few percent of themselves.
    """
    frequency = np.array([250.0, 500, 1000])
    gamma, _ = propagation(radius, frequency, moist_air(20, 0))
    a = radius * 100
    np.testing.assert_allclose(gamma.real / 100, 2.964e-5 * np.sqrt(frequency) / a, rtol=0.02)
    slowing = 1 - 2 * np.pi * frequency / gamma.imag / 343.359
    np.testing.assert_allclose(slowing, 0.162 / (a * np.sqrt(frequency)), rtol=0.03)
