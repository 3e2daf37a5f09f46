"""Moist air for the plain reference, from the published formulas alone.

Apart from plain.py, whose flute takes any air as five numbers. Shares no code with ``scaledesign``.

Sources
    Cramer 1993, JASA 93, 2510-2516: polynomials for sound speed and heat-capacity ratio, and the water
    content they are stated with. Picard et al. 2008 (CIPM-2007), Metrologia 45, 149-155: density.
    Keefe 1984, JASA 75, 58-62: viscosity and Prandtl number. ISO 2533: pressure at altitude.
"""

from __future__ import annotations

import math

from tests.reference.plain import Air

SPEED = (
    331.5024,
    0.603055,
    -0.000528,
    51.471935,
    0.1495874,
    -0.000782,
    -1.82e-7,
    3.73e-8,
    -2.93e-10,
    -85.20931,
    -0.228525,
    5.91e-5,
    -2.835149,
    -2.15e-13,
    29.179762,
    4.86e-4,
)
RATIO = (
    1.400822,
    -1.75e-5,
    -1.73e-7,
    -0.0873629,
    -1.665e-4,
    -3.26e-6,
    2.047e-8,
    -1.26e-10,
    5.939e-14,
    -0.1199717,
    -8.693e-4,
    1.979e-6,
    -0.01104,
    -3.478e-16,
    0.0450616,
    1.82e-6,
)


def water_fraction(celsius: float, pressure: float, humidity: float) -> float:
    """Mole fraction of water; ``humidity`` 0..1."""
    kelvin = celsius + 273.15
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * celsius**2
    saturation = math.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6343.1645 / kelvin)
    return humidity * enhancement * saturation / pressure


def polynomial(a: tuple[float, ...], t: float, p: float, xw: float, xc: float) -> float:
    """Cramer's eq. 15, its sixteen terms in his order."""
    return (
        a[0]
        + a[1] * t
        + a[2] * t**2
        + (a[3] + a[4] * t + a[5] * t**2) * xw
        + (a[6] + a[7] * t + a[8] * t**2) * p
        + (a[9] + a[10] * t + a[11] * t**2) * xc
        + a[12] * xw**2
        + a[13] * p**2
        + a[14] * xc**2
        + a[15] * xw * p * xc
    )


def moist_air(celsius: float, humidity: float = 0.0, pressure: float = 101325.0, co2: float = 0.0004) -> Air:
    """Air at ``celsius``, ``humidity`` 0..1, ``pressure`` Pa and a mole fraction of carbon dioxide."""
    xw = water_fraction(celsius, pressure, humidity)
    molar = (28.96546 + 12.011 * (co2 - 0.0004)) * 1e-3
    density = pressure * molar / (0.9996 * 8.314463 * (celsius + 273.15)) * (1 - 0.3780 * xw)
    d = celsius - 26.85
    return Air(
        c=polynomial(SPEED, celsius, pressure, xw, co2),
        rho=density,
        mu=1.846e-5 * (1 + 0.0025 * d),
        gamma=polynomial(RATIO, celsius, pressure, xw, co2),
        prandtl=(0.8410 * (1 - 0.0002 * d)) ** 2,
    )


def pressure_at(altitude: float) -> float:
    """Pressure (Pa) of the standard atmosphere at ``altitude`` m."""
    return 101325 * (1 - 2.25577e-5 * altitude) ** 5.25588
