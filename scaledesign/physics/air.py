"""Air: sound speed, density, viscosity and heat constants, with their rate of change in temperature.

Apart from the ducts so that a temperature is always an argument, never a global. Nothing here
knows a flute; what a player's breath does to the air of a bore is the one exception, since it is a
property of the air.

Sources
-------
Sound speed and heat-capacity ratio: O. Cramer 1993, "The variation of the specific heat ratio and
the speed of sound in air with temperature, pressure, humidity, and CO2 concentration", J. Acoust.
Soc. Am. 93, 2510-2516, eq. 15 and its table of coefficients (a8 of the speed and all coefficients of
the ratio from memory, checked against an equation of state). Range 0..30 degC, 75..102 kPa.
Density: A. Picard et al. 2008, "Revised formula for the density of moist air (CIPM-2007)",
Metrologia 45, 149-155, with a constant compressibility 0.9996.
Water vapour: the saturation pressure and enhancement factor of the same two papers.
Viscosity and Prandtl number: D. H. Keefe 1984, "Acoustical wave propagation in cylindrical ducts",
J. Acoust. Soc. Am. 75, 58-62, table of constants. Range 0..40 degC.
Altitude: ISO 2533:1975, standard atmosphere, geopotential height.
Breath: P. Dickens 2007, PhD thesis, University of New South Wales: a played flute at 30.3 degC at the
mouth in a room of 21 degC, saturated, CO2 fraction 0.025.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.physics.arrays import Complexes, Floats, Indices
from scaledesign.values import dataclass

ROOM_CO2 = 0.0004
"""Fraction of CO2 in room air (ISO 2533 value rounded, as the check tables use it)."""
BREATH_CO2 = 0.025
"""Fraction of CO2 in the bore of a played flute (Dickens 2007)."""
BREATH_TEMPERATURE = 34.0
"""degC of the breath as it leaves the lips (common practice, no source)."""
BREATH_SHARE = 0.52
"""How far from room to breath temperature the mean of the bore is: 27.8 degC in a room of 21,
the mean of the mouth end and the foot end of a 0.6 m flute after Dickens 2007."""

_SPEED = (
    (331.5024, 0.603055, -0.000528),
    (51.471935, 0.1495874, -0.000782),
    (-1.82e-7, 3.73e-8, -2.93e-10),
    (-85.20931, -0.228525, 5.91e-5),
    (-2.835149, -2.15e-13, 29.179762, 4.86e-4),
)
_RATIO = (
    (1.400822, -1.75e-5, -1.73e-7),
    (-0.0873629, -1.665e-4, -3.26e-6),
    (2.047e-8, -1.26e-10, 5.939e-14),
    (-0.1199717, -8.693e-4, 1.979e-6),
    (-0.01104, -3.478e-16, 0.0450616, 1.82e-6),
)


@dataclass(frozen=True, slots=True)
class Air:
    """Still air of one temperature (or one for each flute of a batch).

    Every field is a float or an ``(N,)`` array; ``*_rate`` is the logarithmic rate of change per
    kelvin (for ``gamma`` the plain rate).
    """

    c: Floats
    """Sound speed, m/s."""
    rho: Floats
    """Density, kg/m3."""
    mu: Floats
    """Shear viscosity, Pa s."""
    gamma: Floats
    """Heat-capacity ratio."""
    pr: Floats
    """Prandtl number."""
    c_rate: Floats
    rho_rate: Floats
    mu_rate: Floats
    gamma_rate: Floats
    pr_rate: Floats

    def take(self, index: slice | Indices) -> Air:
        """The air of some flutes of a batch."""
        return Air(*(np.atleast_1d(value)[index] for value in self._values()))

    @classmethod
    def joined(cls, airs: Sequence[Air]) -> Air:
        """The air of several batches as that of one."""
        parts = zip(*(air._values() for air in airs), strict=True)
        return cls(*(np.concatenate([np.atleast_1d(value) for value in part]) for part in parts))

    def repeat(self, count: int) -> Air:
        """One air for ``count`` flutes, each field of shape ``(count,)``."""
        return Air(*(np.broadcast_to(np.asarray(value, float), (count,)) for value in self._values()))

    def warmed(self, kelvin: Floats) -> Air:
        """The same air (N,) warmer by ``kelvin`` (N,).

        Each constant along its rate: a tenth of a cent off in 3 K of saturated air (computed).
        """
        grown = (
            value * np.exp(rate * kelvin)
            for value, rate in (
                (self.c, self.c_rate), (self.rho, self.rho_rate), (self.mu, self.mu_rate),
            )
        )  # fmt: skip
        c, rho, mu = grown
        return replace(
            self, c=c, rho=rho, mu=mu,
            gamma=self.gamma + self.gamma_rate * kelvin, pr=self.pr * np.exp(self.pr_rate * kelvin),
        )  # fmt: skip

    def _values(self) -> tuple[Floats, ...]:
        return (
            self.c, self.rho, self.mu, self.gamma, self.pr,
            self.c_rate, self.rho_rate, self.mu_rate, self.gamma_rate, self.pr_rate,
        )  # fmt: skip


def fixed_air(c: float, rho: float, mu: float, gamma: float, pr: float) -> Air:
    """Air of given constants that does not change with temperature (for checks)."""
    values = (np.asarray(value, float) for value in (c, rho, mu, gamma, pr, 0.0, 0.0, 0.0, 0.0, 0.0))
    return Air(*values)


def moist_air(
    temperature: float | Floats,
    humidity: float | Floats = 50.0,
    pressure: float | Floats = 101325.0,
    co2: float | Floats = ROOM_CO2,
) -> Air:
    """Air of a temperature (degC), relative humidity (percent), pressure (Pa) and CO2 fraction.

    Rates per kelvin are exact (complex step, since every formula is analytic). Sources: module.
    """
    step = 1e-20
    state = _state(np.asarray(temperature, float) + 1j * step, humidity, pressure, co2)
    value = [np.real(v) for v in state]
    slope = [np.imag(v) / step for v in state]
    c, rho, mu, gamma, pr = value
    return Air(
        c, rho, mu, gamma, pr,
        slope[0] / c, slope[1] / rho, slope[2] / mu, slope[3], slope[4] / pr,
    )  # fmt: skip


def _state(
    t: Complexes, humidity: float | Floats, pressure: float | Floats, co2: float | Floats
) -> tuple[Complexes, ...]:
    kelvin = t + 273.15
    water = np.asarray(humidity) / 100.0 * _enhancement(t, pressure) * _saturation(kelvin) / pressure
    c = _cramer(_SPEED, t, water, pressure, co2)
    gamma = _cramer(_RATIO, t, water, pressure, co2)
    molar = (28.96546 + 12.011 * (np.asarray(co2) - 0.0004)) * 1e-3
    rho = pressure * molar / (0.9996 * 8.314463 * kelvin) * (1.0 - 0.3780 * water)
    d = t - 26.85
    mu = 1.846e-5 * (1.0 + 0.0025 * d)
    pr = (0.8410 * (1.0 - 0.0002 * d)) ** 2
    return c, rho, mu, gamma, pr


def _saturation(kelvin: Complexes) -> Complexes:
    power = 1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6343.1645 / kelvin
    return np.asarray(np.exp(power))


def _enhancement(t: Complexes, pressure: float | Floats) -> Complexes:
    return 1.00062 + 3.14e-8 * np.asarray(pressure) + 5.6e-7 * t**2


def _cramer(
    table: tuple[tuple[float, ...], ...],
    t: Complexes,
    water: Complexes,
    p: float | Floats,
    co2: float | Floats,
) -> Complexes:
    base, wet, press, carbon, square = table

    def powers(row: tuple[float, ...]) -> Complexes:
        return np.asarray(row[0] + row[1] * t + row[2] * t**2)

    squares = square[0] * water**2 + square[1] * np.square(p) + square[2] * np.square(co2)
    linear = powers(base) + powers(wet) * water + powers(press) * p + powers(carbon) * co2
    return np.asarray(linear + squares + square[3] * water * p * co2)


def pressure_at(altitude: float | Floats) -> Floats:
    """Pressure (Pa) of the standard atmosphere at a geopotential height in m (ISO 2533, 0..11 km)."""
    return np.asarray(101325.0 * (1.0 - 2.25577e-5 * np.asarray(altitude, float)) ** 5.25588)


def played_temperature(room: float | Floats, breath: float | Floats) -> Floats:
    """Mean temperature of the bore (degC) in a room of ``room`` degC when played with ``breath``.

    ``breath`` = 1 is a flute played warm, 0 still air. The air cools from there toward the foot (see
    ``cooling``).
    """
    room = np.asarray(room, float)
    return np.asarray(room + np.asarray(breath, float) * BREATH_SHARE * (BREATH_TEMPERATURE - room))


def cooling(room: float, breath: float) -> float:
    """By how much (K/m) the air in the bore of a played flute is cooler toward the foot.

    7.7 K/m with the mouth end 9.3 K above the room (Dickens 2007), in proportion.
    """
    return 7.7 * breath * (BREATH_TEMPERATURE - room) / (BREATH_TEMPERATURE - 21.0)


def played_air(
    room: float | Floats, humidity: float, pressure: float, breath: float, offset: float | Floats = 0.0
) -> Air:
    """Air in the bore: room air mixed with breath; ``offset`` K is added to the bore's mean."""
    return moist_air(
        played_temperature(room, breath) + offset,
        humidity + breath * (100.0 - humidity),
        pressure,
        ROOM_CO2 + breath * (BREATH_CO2 - ROOM_CO2),
    )
