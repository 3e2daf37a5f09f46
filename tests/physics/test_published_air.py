"""Air against published tables, the standards and an equation of state."""

import math

import CoolProp.CoolProp as equation_of_state
import pytest

from scaledesign.physics.air import moist_air, pressure_at
from tests.reference import air as reference_air
from tests.reference.bridge import package_frequencies
from tests.reference.plain import Flute
from tests.reference.tables import rows, table


def cents(ratio: float) -> float:
    return 1200 * math.log2(ratio)


@pytest.mark.parametrize(
    "row", rows("air-cramer.csv"), ids=lambda r: f"{r['celsius']}C{r['humidity_percent']}"
)
def test_cramer_1993(row):
    """Cramer 1993, JASA 93, 2510-2516, eq. 15; density CIPM-2007 (Picard et al. 2008), Z constant here."""
    air = moist_air(*(float(row[key]) for key in ("celsius", "humidity_percent", "pascal", "co2_fraction")))
    assert air.c == pytest.approx(float(row["speed_m_s"]), abs=0.0006)
    assert air.rho == pytest.approx(float(row["density_kg_m3"]), rel=2e-4)


def test_cramer_1993_in_cents():
    """What those figures mean for pitch (same source, computed)."""
    assert cents(moist_air(20, 100).c / moist_air(20, 0).c) == pytest.approx(6.3, abs=0.1)
    assert cents(moist_air(21, 50).c / moist_air(20, 50).c) == pytest.approx(3.1, abs=0.1)
    high = moist_air(20, 50, pressure_at(2000)).c
    assert cents(high / moist_air(20, 50).c) == pytest.approx(0.8, abs=0.1)
    # breath is saturated; the source of the figure does not say how damp its air is
    breath, room = moist_air(30, 100, co2=0.01), moist_air(30, 100, co2=0.0004)
    assert cents(breath.c / room.c) == pytest.approx(-4.2, abs=0.1)


@pytest.mark.parametrize("state", table("air-standard.toml")["state"], ids=lambda s: f"{s['celsius']:g}C")
def test_iec_61094(state):
    """IEC 61094-2:2009, Table F.1; its Annex F is another model, hence 0.1 m/s and 0.1 %."""
    air = moist_air(state["celsius"], state["humidity_percent"], state["pascal"])
    assert air.c == pytest.approx(state["speed_m_s"], abs=0.1)
    assert air.rho == pytest.approx(state["density_kg_m3"], rel=1e-3)
    assert air.gamma == pytest.approx(state["heat_capacity_ratio"], rel=1e-3)
    assert air.mu == pytest.approx(state["viscosity_pa_s"], rel=2e-3)


@pytest.mark.parametrize("row", rows("air-isa.csv"), ids=lambda r: f"{r['geopotential_m']}m")
def test_iso_2533(row):
    """ISO 2533:1975: pressure to 1 Pa; its speed is that of an ideal gas of constant ratio 1.4."""
    pressure = pressure_at(float(row["geopotential_m"]))
    assert pressure == pytest.approx(float(row["pascal"]), abs=1.0)
    ideal = math.sqrt(1.4 * 287.05287 * (float(row["celsius"]) + 273.15))
    assert ideal == pytest.approx(float(row["speed_m_s"]), abs=0.002)
    assert moist_air(float(row["celsius"]), 0, pressure).c == pytest.approx(ideal, abs=0.15)


@pytest.mark.parametrize("celsius", [0, 10, 20, 25, 30])
def test_equation_of_state(celsius):
    """Dry air in CoolProp (Bell et al. 2014; Lemmon et al. 2000 for air)."""
    state = ("T", celsius + 273.15, "P", 101325.0, "Air")
    speed, density, viscosity, prandtl, cp, cv = (
        equation_of_state.PropsSI(name, *state) for name in ("A", "D", "V", "PRANDTL", "C", "O")
    )
    air = moist_air(celsius, 0)
    assert air.c == pytest.approx(speed, abs=0.02)
    assert air.rho == pytest.approx(density, rel=3e-4)
    assert air.mu == pytest.approx(viscosity, rel=5e-3)
    assert air.pr == pytest.approx(prandtl, rel=6e-3)
    assert air.gamma == pytest.approx(cp / cv, rel=2e-4)


@pytest.mark.parametrize("celsius", [10, 20, 30])
@pytest.mark.parametrize("humidity", [50, 100])
def test_equation_of_state_of_moist_air(celsius, humidity):
    """Moist air in CoolProp (Herrmann, Kretzschmar & Gatley 2009)."""
    volume = equation_of_state.HAPropsSI("Vha", "T", celsius + 273.15, "P", 101325.0, "R", humidity / 100)
    water = equation_of_state.HAPropsSI("psi_w", "T", celsius + 273.15, "P", 101325.0, "R", humidity / 100)
    assert moist_air(celsius, humidity).rho == pytest.approx(1 / volume, rel=5e-4)
    dry = moist_air(celsius, 0)
    lighter = 1 - moist_air(celsius, humidity).rho / dry.rho
    assert lighter == pytest.approx(0.378 * water, rel=2e-2)


def test_pitch_standard_of_1859_at_today_s_room_temperature():
    """Decree of 16 February 1859: A = 435 Hz at 15 degC. By sound speed alone +22.0 cents at 22 degC."""
    ratio = moist_air(22, 50).c / moist_air(15, 50).c
    assert cents(ratio) == pytest.approx(22.0, abs=0.1)
    assert 435 * ratio == pytest.approx(440.57, abs=0.01)


@pytest.mark.parametrize("length", [0.36, 0.6])
def test_pitch_standard_of_1859_in_a_tube_with_walls(length):
    """The same decree: +22.0 cents by sound speed, 21.8 in a tube (computed independently)."""
    flute = Flute(((0.0, 0.008),), length, foot_wall=0.003)
    cold, warm = (package_frequencies(flute, [()], [1], reference_air.moist_air(t, 0.5))[0] for t in (15, 22))
    assert cents(warm / cold) == pytest.approx(21.8, abs=0.1)
