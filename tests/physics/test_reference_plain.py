"""The plain reference against check values that a separate numerical implementation gave.

The check values T0 to T5 and the others here were computed once from the same published formulas
(sources in tests/reference/elements.py) by independent programs; three six-hole patterns also by a nodal
formulation. Nothing here touches ``scaledesign``: these tests say that the yardstick is straight.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar
from scipy.special import ellipe, ellipk, jve

from tests.reference import elements, plain
from tests.reference.air import moist_air, pressure_at
from tests.reference.cases import CASES, THIN, WALL, one_hole
from tests.reference.plain import CHECK_AIR, Flute, Hole, cents, playing_frequencies, playing_frequency

MM = 1e-3
TOLERANCE = 0.0015  # Hz: the values carry three decimals; the tolerance they are stated with is 0.02


def digits(value: complex) -> float:
    """Half a unit in the sixth figure of the larger part: the values are printed with six."""
    return 0.6 * 10 ** (math.floor(math.log10(abs(value))) - 5)


# ---- T0: single numbers at 500 Hz -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("radius", "gamma"),
    [
        (8, 0.083468 + 9.232012j),
        (5, 0.134270 + 9.281632j),
        (12.5, 0.053247 + 9.202234j),
    ],
)
def test_t0_propagation(radius, gamma):
    found, _ = elements.propagation(radius * MM, 500, CHECK_AIR)
    assert found.real == pytest.approx(gamma.real, abs=6e-7)
    assert found.imag == pytest.approx(gamma.imag, abs=6e-7)


def test_t0_characteristic_impedance():
    _, zc = elements.propagation(8 * MM, 500, CHECK_AIR)
    ratio = zc * math.pi * (8 * MM) ** 2 / (CHECK_AIR.rho * CHECK_AIR.c)
    assert ratio.real == pytest.approx(1.003198, abs=6e-7)
    assert ratio.imag == pytest.approx(-0.003284, abs=6e-7)


def test_t0_cylinder():
    (a, b), (c, d) = elements.cylinder(0.4, 8 * MM, 500, CHECK_AIR)
    assert a == d
    for found, expected in (
        (a, -0.852365 - 0.017489j),
        (b, -6.22443e4 - 1.081160e6j),
        (c, -1.29539e-8 - 2.53973e-7j),
    ):
        assert abs(found - expected) < 2 * digits(expected)


def test_t0_input_impedance():
    end = elements.radiation("unflanged", 8 * MM, 0, 500, CHECK_AIR)
    p, u = elements.apply(elements.cylinder(0.4, 8 * MM, 500, CHECK_AIR), (end, 1))
    assert (p / u).real == pytest.approx(1.08578e5, abs=0.6)
    assert (p / u).imag == pytest.approx(1.396650e6, abs=0.6)


def test_t0_cone():
    (a, b), (c, d) = elements.cone(0.4, 8 * MM, 6 * MM, 500, CHECK_AIR)
    for found, expected in (
        (a, -0.673163 - 0.013400j),
        (b, -9.54614e4 - 1.454103e6j),
        (c, -1.14547e-8 - 1.86192e-7j),
        (d, -1.085543 - 0.029539j),
    ):
        assert abs(found - expected) < 2 * digits(expected)


# ---- T1 to T5: playing frequencies ------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES, ids=str)
def test_playing_frequencies(case):
    found = playing_frequencies(case.flute, case.fingering, CHECK_AIR, len(case.expected), case.losses)
    assert found == pytest.approx(case.expected, abs=TOLERANCE)


def test_t2_hole_lengths():
    b, a, t, delta = 3.5, 8.0, 4.0, 3.5 / 8
    assert elements.matching_length(b, a) == pytest.approx(0.19472, abs=6e-6)
    assert elements.inner_length(b, a, 0) == pytest.approx(2.1254, abs=6e-5)
    assert elements.series_length(b, a, t, True) == pytest.approx(-0.03722, abs=6e-6)
    assert elements.series_length(b, a, t, True) / delta**2 == pytest.approx(-0.19444, abs=6e-6)
    assert elements.series_length(b, a, t, False) / delta**2 == pytest.approx(-0.19334, abs=6e-6)
    assert elements.outer_length(b, 12) == pytest.approx(2.2631, abs=6e-5)
    # Dubos et al. 1999 and Nederveen et al. 1998: two older fits of the inner length, for scale
    dubos = b * (
        0.822 - 0.095 * delta - 1.566 * delta**2 + 2.138 * delta**3 - 1.640 * delta**4 + 0.502 * delta**5
    )
    assert dubos == pytest.approx(2.1269, abs=6e-5)
    assert b * (0.82 - 1.4 * delta**2 + 0.75 * delta**2.7) == pytest.approx(2.2138, abs=6e-5)


def test_t2_hole_impedances():
    hole = one_hole().holes[0]
    z_s, z_a = elements.hole_impedances(hole, 8 * MM, 1.0, 0.0, 500, CHECK_AIR)
    assert z_s.real == pytest.approx(1.4827e4, abs=0.6)
    assert z_s.imag == pytest.approx(8.56264e5, abs=0.6)
    z0h = CHECK_AIR.rho * CHECK_AIR.c / (math.pi * hole.radius**2)
    assert z_s.imag / z0h / (2 * math.pi * 500 / CHECK_AIR.c) == pytest.approx(8.7084 * MM, abs=6e-8)
    matrix = elements.hole_matrix(z_s, z_a)
    assert (matrix[0][0] - 1).real == pytest.approx(-2.1363e-3, abs=6e-8)
    assert matrix[0][1].imag == pytest.approx(-3.6556e3, abs=0.06)
    assert matrix[1][0].imag == pytest.approx(-1.16751e-6, abs=6e-12)
    closed, _ = elements.hole_impedances(hole, 8 * MM, 0.0, 0.0, 500, CHECK_AIR)
    assert closed.real == pytest.approx(3.585e6, abs=600)
    assert closed.imag == pytest.approx(-2.75934e8, abs=600)


@pytest.mark.parametrize(("blown", "length"), [(400.0, 19.666), (803.0, 19.584)])
def test_t4_calibration(blown, length):
    assert plain.added_length_of(WALL, (), blown, CHECK_AIR) == pytest.approx(length * MM, abs=0.6e-6)


# ---- losses -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("modulus", "bound"),
    [(0.3, 1e-14), (3, 1e-14), (11.99, 1e-14), (12.01, 4e-6), (20, 1.5e-7), (40, 5e-9), (250, 5e-9)],
)
def test_bessel_ratio_against_scipy(modulus, bound):
    x = modulus * complex(math.sqrt(0.5), -math.sqrt(0.5))
    assert abs(elements.bessel_ratio(x) - jve(1, x) / jve(0, x)) < bound


@pytest.mark.parametrize(
    ("a", "f", "r_v", "alpha", "speed", "zc"),
    [
        (5, 500, 72.21, 0.13430, 338.463, 1.00512 - 0.00534j),
        (8, 250, 81.70, 0.05925, 339.024, 1.00452 - 0.00469j),
        (8, 500, 115.54, 0.08348, 340.282, 1.00320 - 0.00328j),
        (8, 1000, 163.39, 0.11775, 341.178, 1.00226 - 0.00230j),
        (9.5, 500, 137.20, 0.07020, 340.765, 1.00269 - 0.00275j),
        (12.5, 500, 180.52, 0.05326, 341.384, 1.00205 - 0.00208j),
        (20, 250, 204.24, 0.02352, 341.612, 1.00181 - 0.00184j),
    ],
)
def test_wall_losses(a, f, r_v, alpha, speed, zc):
    air = replace(moist_air(20), rho=1.20456)
    gamma, found = elements.propagation(a * MM, f, air)
    assert a * MM * math.sqrt(2 * math.pi * f * air.rho / air.mu) == pytest.approx(r_v, abs=0.006)
    assert gamma.real == pytest.approx(alpha, abs=6e-6)
    assert 2 * math.pi * f / gamma.imag == pytest.approx(speed, abs=6e-4)
    ratio = found * math.pi * (a * MM) ** 2 / (air.rho * air.c)
    assert ratio.real == pytest.approx(zc.real, abs=6e-6)
    assert ratio.imag == pytest.approx(zc.imag, abs=6e-6)


@pytest.mark.parametrize("a", [5, 8, 16])
@pytest.mark.parametrize("f", [300, 1000, 3000])
def test_keefe_series_agrees_with_exact_losses(a, f):
    exact, _ = elements.propagation(a * MM, f, CHECK_AIR)
    series, _ = elements.propagation(a * MM, f, CHECK_AIR, "series")
    assert a * MM * math.sqrt(2 * math.pi * f * CHECK_AIR.rho / CHECK_AIR.mu) > 50
    assert series.real == pytest.approx(exact.real, rel=3e-4)
    assert series.imag == pytest.approx(exact.imag, rel=1e-5)


def test_wall_slows_sound_by_seventeen_cents():
    lossy, lossless = (playing_frequency(THIN, (), CHECK_AIR, 1, losses) for losses in ("exact", "none"))
    assert cents(lossy, lossless) == pytest.approx(-17, abs=0.5)


def test_determinants_are_one():
    for matrix in (
        elements.cylinder(0.3, 5 * MM, 700, CHECK_AIR),
        elements.cone(0.3, 5 * MM, 9 * MM, 700, CHECK_AIR),
        elements.hole_matrix(1e5 + 2e6j, -3e3j),
    ):
        assert abs(elements.determinant(matrix) - 1) < 1e-10


# ---- ends -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("frequency", "length"), [(1, 5.726), (500, 5.721), (1000, 5.707), (2000, 5.662)])
def test_end_with_a_wall(frequency, length):
    z = elements.radiation("wall", 8 * MM, 4 * MM, frequency, CHECK_AIR)
    z0 = CHECK_AIR.rho * CHECK_AIR.c / (math.pi * (8 * MM) ** 2)
    k = 2 * math.pi * frequency / CHECK_AIR.c
    assert math.atan(z.imag / z0) / k == pytest.approx(length * MM, abs=0.6e-6)


def test_end_with_a_wall_lies_between_the_ideal_ends():
    for kind, wall, same in (("unflanged", 0.0, 0.6133), ("flanged", 1e6, 0.8216)):
        limit = elements.radiation("wall", 8 * MM, wall, 1, CHECK_AIR)
        ideal = elements.radiation(kind, 8 * MM, 0, 1, CHECK_AIR)
        z0 = CHECK_AIR.rho * CHECK_AIR.c / (math.pi * (8 * MM) ** 2)
        assert ideal.imag / z0 / (2 * math.pi / CHECK_AIR.c) == pytest.approx(same * 8 * MM, rel=1e-5)
        assert limit.imag == pytest.approx(ideal.imag, rel=2e-4)


def test_node_opens_into_the_plain_foot_and_shuts_into_the_stopped_one():
    wide = replace(WALL, foot="node", node=7.9999 * MM)
    assert playing_frequency(wide, (), CHECK_AIR) == pytest.approx(419.114, abs=0.002)
    falling = [playing_frequency(replace(wide, node=r * MM), (), CHECK_AIR) for r in (7, 5, 3, 1, 0.2)]
    assert falling == sorted(falling, reverse=True)
    narrow = playing_frequency(replace(wide, node=1e-3 * MM), (), CHECK_AIR, 2)
    stopped = playing_frequency(replace(WALL, foot="stopped"), (), CHECK_AIR, 2)
    assert narrow == pytest.approx(stopped, rel=2e-4)


# ---- air --------------------------------------------------------------------------------------------


def test_sensitivities_to_air():
    def sounds(air):
        return playing_frequency(one_hole(), (1.0,), air)

    dry = sounds(moist_air(20))
    assert cents(sounds(moist_air(20.5)), sounds(moist_air(19.5))) == pytest.approx(2.91, abs=0.006)
    assert cents(sounds(moist_air(20, 1)), dry) == pytest.approx(6.3, abs=0.06)
    assert cents(sounds(moist_air(20, 0, co2=0.025)), dry) == pytest.approx(-11.0, abs=0.06)
    assert cents(sounds(moist_air(20, 0, pressure_at(2000))), dry) == pytest.approx(-2.0, abs=0.06)
    assert cents(sounds(moist_air(27.99, 1, co2=0.025)), dry) == pytest.approx(22.4, abs=0.06)


@pytest.mark.parametrize(
    ("altitude", "pressure"), [(0, 101325), (500, 95461), (1000, 89875), (2000, 79495), (3000, 70109)]
)
def test_pressure_at_altitude(altitude, pressure):
    assert pressure_at(altitude) == pytest.approx(pressure, abs=0.6)


def test_breath_speed_of_sound():
    """Dickens 2007 (thesis, University of New South Wales): 30.3 degrees, saturated, 2.5 % carbon dioxide."""
    assert moist_air(30.3, 1, co2=0.025).c == pytest.approx(349.49, abs=0.006)
    assert moist_air(30.3).c == pytest.approx(349.32, abs=0.006)


def test_one_temperature_suffices_for_a_bore_that_cools_towards_the_foot():
    def reactance(frequency, gradient):
        slices = 60
        state = (elements.radiation("unflanged", 8 * MM, 0, frequency, air_at(0.6 if gradient else 0.3)), 1)
        for i in range(slices, 0, -1):
            air = air_at((i - 0.5) * 0.6 / slices if gradient else 0.3)
            state = elements.apply(elements.cylinder(0.6 / slices, 8 * MM, frequency, air), state)
        return (state[0] * complex(state[1]).conjugate()).imag

    def air_at(x):
        return moist_air(30.3 - 7.7 * x, 1, co2=0.025)

    gradient, mean = (brentq(reactance, 250, 310, args=(flag,), xtol=1e-9) for flag in (True, False))
    assert abs(cents(mean, gradient)) < 0.06


# ---- mouth and registers ----------------------------------------------------------------------------


def octave(flute: Flute, fingering: tuple[float, ...] = ()) -> float:
    """Cents by which the second register is wider than an octave."""
    first, second = playing_frequencies(flute, fingering, CHECK_AIR, 2)
    return cents(second, 2 * first)


def test_octave_of_a_constant_length():
    assert octave(replace(WALL, length=0.430)) == pytest.approx(5, abs=0.5)


@pytest.mark.parametrize(
    ("share", "expected", "half"),
    [
        (0, (6, 9, 14), 0.5),
        (1 / 3, (4.6, 4.4, 4.3), 0.05),
        (1 / 2, (3.7, 1.7, -1.7), 0.05),
    ],
)
def test_octave_of_an_inertance_with_cavity(share, expected, half):
    found = [octave(replace(WALL, delta0=d * MM, cavity=share * d * MM)) for d in (20, 30, 40)]
    assert found == pytest.approx(expected, abs=half)


@pytest.mark.parametrize(("end", "expected"), [(8, 9.3), (6, 10.1), (10, 8.6)])
def test_octave_of_a_taper(end, expected):
    flute = replace(WALL, delta0=30 * MM, bore=((0, 8 * MM), (0.4, end * MM)))
    assert octave(flute) == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize(("diameter", "expected"), [(5, -50), (7, -37), (10, -16)])
def test_small_open_holes_flatten_the_second_register(diameter, expected):
    flute = replace(one_hole(300, diameter), delta0=30 * MM)
    assert octave(flute, (1.0,)) == pytest.approx(expected, abs=0.5)


def test_impedance_minimum_lies_a_fifth_of_a_cent_from_the_zero():
    found = minimize_scalar(
        lambda f: abs(plain.total_impedance(THIN, (), f, CHECK_AIR)),
        bounds=(410, 430),
        method="bounded",
        options={"xatol": 1e-9},
    ).x
    assert found == pytest.approx(419.918, abs=TOLERANCE)
    assert abs(cents(found, 419.956)) < 0.2


def test_slopes():
    flute = one_hole()
    hole = flute.holes[0]

    def sounds(changed):
        return playing_frequency(changed, (1.0,), CHECK_AIR)

    base = sounds(flute)
    moved = replace(flute, holes=(replace(hole, x=hole.x + 1e-5),))
    wider = replace(flute, holes=(replace(hole, radius=hole.radius + 0.05 * MM),))
    thicker = replace(flute, holes=(replace(hole, chimney=4.5 * MM, outer=12.5 * MM),), foot_wall=4.5 * MM)
    longer = replace(flute, length=0.4 + 1e-5)
    assert cents(sounds(moved), base) * 100 == pytest.approx(-4.4, abs=0.06)
    assert cents(sounds(wider), base) == pytest.approx(3.0, abs=0.06)
    assert cents(sounds(thicker), base) == pytest.approx(-7.7, abs=0.06)
    assert cents(sounds(longer), base) * 100 == pytest.approx(-0.7, abs=0.06)


@pytest.mark.parametrize(
    ("width", "length", "wall", "a", "inertance", "organ"),
    [
        (10, 4, 2, 9.5, 53, 33),
        (12, 4, 3, 9.5, 53, 30),
        (7.5, 6, 0.7, 7.23, 25, 18),
        (8, 5, 2, 8, 39, 23),
    ],
)
def test_window_estimates(width, length, wall, a, inertance, organ):
    assert elements.window_length(width, length, wall, a) == pytest.approx(inertance, abs=0.5)
    assert elements.organ_length(width, length, a) == pytest.approx(organ, abs=0.5)


def test_window_end_of_a_square_and_of_a_disc():
    """A square piston has 0.473 sqrt(A), a disc 8 r / (3 pi) = 0.479 sqrt(A)."""
    assert elements.window_end(1, 1) / 0.968 == pytest.approx(0.473, abs=6e-4)
    assert 8 / (3 * math.pi) / math.sqrt(math.pi) == pytest.approx(0.479, abs=6e-4)


# ---- hand formulas ----------------------------------------------------------------------------------


def test_rayleigh_agrees_for_a_closed_hole_at_the_middle():
    full = cents(playing_frequency(one_hole(200), (0.0,), CHECK_AIR), playing_frequency(WALL, (), CHECK_AIR))
    assert full == pytest.approx(-3.47, abs=0.006)
    volume = math.pi * 3.5**2 * (4 + elements.matching_length(3.5, 8))
    rayleigh = 1200 * math.log2(1 - volume / (math.pi * 8**2 * (400 + 5.721)))
    assert rayleigh == pytest.approx(-3.43, abs=0.006)


def test_small_angle_formula_for_one_open_hole():
    te, d, delta = 8.7084 * MM, (100 + 5.721) * MM, 3.5 / 8
    frequency = CHECK_AIR.c / 2 / (0.3 + te / (delta**2 + te / d))
    assert frequency == pytest.approx(517.4, abs=0.06)
    assert cents(frequency, 514.151) == pytest.approx(11, abs=0.5)


def test_boehm_schema_keeps_its_shape():
    """Boehm 1871 (The Flute and Flute-Playing, transl. Miller 1908), from memory: 670 mm at c1, less 51.5.

    The plain 19 mm tube cut there, mouth as 45.7 mm of further bore, breath air at 27 degrees.
    """
    air = moist_air(27, 1, co2=0.025)
    assert air.c == pytest.approx(347.18, abs=0.006)
    off = []
    for step in range(13):
        length = 670.0 * 2 ** (-step / 12) - 51.5 + 45.7
        flute = Flute(((0, 9.5 * MM),), length * MM, foot_wall=0.4 * MM)
        off.append(cents(playing_frequency(flute, (), air), 435 * 2 ** ((step - 9) / 12)))
    assert [off[i] for i in (0, 4, 7, 9, 12)] == pytest.approx([-15.9, -14.0, -12.7, -12.0, -10.9], abs=0.06)
    assert off[-1] - off[0] == pytest.approx(5.0, abs=0.5)


@pytest.mark.parametrize(
    ("diameter", "lossy", "lossless"),
    [
        (21, 0.42, 0.345),
        (27, 0.38, None),
        (35, 0.36, None),
        (41, 0.35, None),
        (53, 0.34, 0.325),
    ],
)
def test_open_plastic_pipes_have_a_third_of_their_diameter_at_each_end(diameter, lossy, lossless):
    """Boelkes & Hoffmann 2011 (ISB Journal of Physics): 0.33 diameters fitted to pipes 0.402 m long."""
    assert end_per_diameter(diameter * MM, "exact") == pytest.approx(lossy, abs=0.0051)
    if lossless is not None:
        assert end_per_diameter(diameter * MM, "none") == pytest.approx(lossless, abs=0.00051)


def end_per_diameter(diameter, losses):
    air = moist_air(25, 0.5)
    flute = Flute(((0, diameter / 2),), 0.402, foot_wall=3 * MM)

    def reactance(frequency):
        p, u = plain.bore_state(flute, (), frequency, air, losses)
        return (p / u + elements.radiation("wall", diameter / 2, 3 * MM, frequency, air)).imag

    return (air.c / 2 / brentq(reactance, 350, 430) - 0.402) / 2 / diameter


def test_end_blown_layout_with_holes_of_10_mm_is_sharp_and_ever_more_so():
    """A published five-hole layout (Navaching, web notes, 2008): 545 mm, D4 F4 G4 A4 C5 D5, loose check only.

    Holes at 0.429, 0.492, 0.604, 0.691, 0.788 of the length; 10 mm is the upper size, opened until in tune.
    """
    air, a, wall = moist_air(27, 1, co2=0.025), 9 * MM, 4 * MM
    holes = tuple(Hole(0.545 * x, 5 * MM, wall, a + wall) for x in (0.429, 0.492, 0.604, 0.691, 0.788))
    flute = Flute(((0, a),), 0.545, holes, foot_wall=wall)
    flute = replace(flute, delta0=plain.added_length_of(flute, (0.0,) * 5, 293.665, air))
    assert 0.030 < flute.delta0 < 0.034
    off = []
    for count, semitones in enumerate((0, 3, 5, 7, 10, 12)):
        fingering = tuple(1.0 if i >= 5 - count else 0.0 for i in range(5))
        off.append(cents(playing_frequency(flute, fingering, air), 293.665 * 2 ** (semitones / 12)))
    assert off[0] == pytest.approx(0, abs=1e-6)
    assert off[1] < off[3] < off[5]
    assert [off[i] for i in (1, 3, 4, 5)] == pytest.approx([14, 34, 30, 43], abs=0.6)


# ---- shapes of holes, and the system that couples them ----------------------------------------------


@pytest.mark.parametrize("aspect", [1.0, 0.6, 1 / 0.6, 3.0])
def test_ellipse_against_scipy(aspect):
    """Rayleigh 1896, section 306, and the perimeter 4 a E(e), both beside the circle of equal area."""
    minor = min(aspect, 1 / aspect)
    m = 1 - minor**2
    conductance, perimeter = elements.elliptic(aspect)
    assert conductance == pytest.approx(2 / math.pi * ellipk(m) * math.sqrt(minor), rel=1e-14)
    assert perimeter == pytest.approx(2 / math.pi * ellipe(m) / math.sqrt(minor), rel=1e-14)


SIX = Flute(
    ((0.0, 8 * MM), (0.2, 8 * MM), (0.2, 7.7 * MM)),
    0.38,
    tuple(
        Hole(
            (150 + 34 * n) * MM, 3.3 * MM, 4 * MM, 11.7 * MM, angle=0.3 * (n % 2), slant=0.1 * (n % 3 - 1),
            undercut=0.2 * n * MM, aspect=1 + 0.1 * n,
        )
        for n in range(6)
    ),
    foot_wall=4 * MM,
    delta0=0.03,
    cooling=7.7,
    outside=True,
)  # fmt: skip


@pytest.mark.parametrize("fingering", [(0, 0, 0, 0, 0, 0), (1, 0, 1, 0.4, 0, 1), (1, 1, 1, 1, 1, 1)])
@pytest.mark.parametrize("frequency", [150.0, 777.0, 1900.0])
def test_the_system_is_the_walk_where_nothing_acts_outside(monkeypatch, fingering, frequency):
    """The same elements, carried hole by hole and solved all at once."""
    monkeypatch.setattr(plain, "mutual", lambda *_: np.zeros((7, 7)))
    p, u = plain.bore_state(SIX, fingering, frequency, CHECK_AIR)
    state = plain.foot_state(SIX, frequency, CHECK_AIR)
    x = SIX.length
    for hole, share in reversed(list(zip(SIX.holes, fingering, strict=True))):
        length = plain.duct_matrix(SIX, hole.inner_x, x, frequency, CHECK_AIR, "exact")
        x = hole.inner_x
        branch = elements.hole_branch(hole, SIX.radius(x), share, 0.5, frequency, CHECK_AIR, outside=True)
        state = elements.apply(
            elements.hole_matrix(branch.shunt, branch.series), elements.apply(length, state)
        )
    walked = elements.apply(plain.duct_matrix(SIX, 0.0, x, frequency, CHECK_AIR, "exact"), state)
    assert p / u == pytest.approx(walked[0] / walked[1], rel=1e-10)


def test_openings_that_feel_each_other_play_flat():
    """The air between two open holes moves with both: each gains inertance."""
    opened = (0.0, 0.0, 0.0, 1.0, 1.0, 1.0)
    alone = playing_frequency(replace(SIX, outside=False), opened, CHECK_AIR)
    assert -5 < cents(playing_frequency(SIX, opened, CHECK_AIR), alone) < -1
