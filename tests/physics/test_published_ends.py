"""Open ends against the exact integrals, a mode-matching solution and the published interpolation."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ive, j1, jn_zeros, kve, y1

from scaledesign.physics.radiation import flanged_end, flanged_length, node_end, open_end, unflanged_length


def levine_schwinger(ka):
    """(|R|, end correction / a) of a thin-walled tube: Levine & Schwinger 1948, Phys. Rev. 73, 383-406.

    Their integrals as usually quoted (from memory); x = ka sin(angle) takes the root out of them.
    """

    def modulus(angle):
        x = ka * math.sin(angle)
        return math.atan2(j1(x), -y1(x)) / x

    def near(angle):
        x = ka * math.sin(angle)
        return math.log(math.pi * j1(x) * math.hypot(j1(x), y1(x))) / x

    def far(t):
        x = math.exp(t)
        return math.log(1 / (2 * ive(1, x) * kve(1, x))) / math.hypot(x, ka)

    reflected = math.exp(-2 * ka / math.pi * quad(modulus, 0, math.pi / 2)[0])
    length = (quad(near, 0, math.pi / 2)[0] + quad(far, -16, 16, limit=200)[0]) / math.pi
    return reflected, length


def flanged_constant(modes):
    """Low-frequency end correction / a in an infinite flange: plane and evanescent modes matched.

    Potential flow: the flow profile is a sum of the tube's modes, the outside is Rayleigh's integral over
    the flange. The first term alone is a rigid piston, 8/(3 pi).
    """
    roots = np.concatenate([[0.0], jn_zeros(1, modes)])
    k = (np.arange(300_000) + 0.5) * 0.005
    profile = k * j1(k) / (k**2 - roots[:, None] ** 2)
    profile[0] = j1(k) / k
    outside = 2 * (profile * 0.005) @ profile.T
    inside = outside[1:, 1:] + np.diag(1 / roots[1:])
    return outside[0, 0] - outside[0, 1:] @ np.linalg.solve(inside, outside[1:, 0])


def package(length_of, ka):
    """(|R|, end correction / a) of the package's fits."""
    length, _ = length_of(np.array([ka]))
    return math.exp(2 * ka * length[0].imag), length[0].real


def effective(end, k):
    """Length of the tube's own bore that an end's reactance is worth."""
    return math.atan(end.z[0].imag) / k


def test_levine_and_schwinger_s_constant():
    """They print 0.6133; their integral evaluated here is 0.6127: 5 micrometres at a radius of 8 mm."""
    assert levine_schwinger(1e-4)[1] == pytest.approx(0.6133, rel=1.1e-3)
    assert unflanged_length(np.array([1e-3]))[0][0].real == pytest.approx(0.6133, abs=1e-6)


@pytest.mark.parametrize(("ka", "length"), [(0.05, 0.002), (0.2, 0.002), (0.5, 0.002), (1.0, 0.005)])
def test_thin_end_against_the_exact_integrals(ka, length):
    exact = levine_schwinger(ka)
    found = package(unflanged_length, ka)
    assert found[0] == pytest.approx(exact[0], abs=5e-4 if ka <= 0.5 else 5e-3)
    assert found[1] == pytest.approx(exact[1], abs=length)


def test_flange_s_constant():
    """Nomura, Yamamura & Inawashiro 1960; Norris & Sheng 1989, J. Sound Vib. 135, 85-93: 0.8216."""
    few, many = flanged_constant(10), flanged_constant(20)
    assert few > many > 0.8216
    assert 2 * many - few == pytest.approx(0.8216, abs=3e-4)  # the error falls as 1 / modes
    assert flanged_length(np.array([1e-3]))[0][0].real == pytest.approx(0.8216, abs=1e-5)


@pytest.mark.parametrize(("kind", "table"), [
    ("thin", (0.5, 0.800, 0.266, 0.0263, 0.6133, 0.0599, 0.238, -0.0153, 0.00150)),
    ("flange", (1.0, 0.730, 0.372, 0.0231, 0.8216, 0.244, 0.723, -0.0198, 0.00366)),
])  # fmt: skip
def test_both_ends_against_silva_et_al_2009(kind, table):
    """Silva, Guillemain, Kergomard, Mallaroni & Norris 2009, J. Sound Vib. 322, 255-263 (from memory).

    Their fits and Dalmont's are both fits: they differ by about 1 % at the upper end of the range.
    """
    beta, a1, a2, a3, eta, b1, b2, b3, b4 = table
    for ka in (0.05, 0.2, 0.5):
        x = ka**2
        modulus = (1 + a1 * x) / (1 + (beta + a1) * x + a2 * x**2 + a3 * x**3)
        length = eta * (1 + b1 * x) / (1 + b2 * x + b3 * x**2 + b4 * x**3)
        found = package(unflanged_length if kind == "thin" else flanged_length, ka)
        assert found[0] == pytest.approx(modulus, rel=0.0105)
        assert found[1] == pytest.approx(length, rel=0.0105)


def test_wall_of_finite_thickness_between_its_limits():
    k, a = np.array([0.5]), np.array([8e-3])
    thin, thick = open_end(k, a, a), open_end(k, a, a * 1e7)
    assert effective(thin, k[0]) == pytest.approx(0.6133 * 8e-3, rel=1e-4)
    assert effective(thick, k[0]) == pytest.approx(effective(flanged_end(k, a), k[0]), rel=1e-4)


@pytest.mark.parametrize(("frequency", "length"), [(1, 5.726), (500, 5.721), (1000, 5.707), (2000, 5.662)])
def test_wall_of_4_mm_computed_independently(frequency, length):
    """Radius 8 mm, c = 343.37 m/s: computed once by a separate program from the same paper."""
    k = np.array([2 * math.pi * frequency / 343.37])
    end = open_end(k, np.array([8e-3]), np.array([12e-3]))
    assert effective(end, k[0]) * 1e3 == pytest.approx(length, abs=6e-4)


@pytest.mark.parametrize("ka", [0.02, 0.1, 0.3])
def test_radiated_power_at_low_frequency(ka):
    """Rayleigh: the resistance is (ka)^2/4 without a flange and (ka)^2/2 with one, over rho c / S."""
    k, a = np.array([ka / 8e-3]), np.array([8e-3])
    assert open_end(k, a, a).z[0].real == pytest.approx(ka**2 / 4, rel=0.06 + ka**2)
    assert flanged_end(k, a).z[0].real == pytest.approx(ka**2 / 2, rel=0.06 + ka**2)


def test_small_hole_in_a_node_has_rayleigh_s_conductivity():
    """Rayleigh, Theory of Sound, sec. 306: a hole of radius r in a thin plate conducts 2 r.

    So its inertance as a length of the bore is pi a^2 / (2 r); outside, the node here is the end of a wall
    much thicker than the hole, which radiates like a flanged *tube*: 0.8216 in place of pi/4, 4.6 % more.
    """
    k, a, outer, r = np.array([0.1]), np.array([8e-3]), np.array([12e-3]), np.array([0.05e-3])
    length = node_end(k, a, outer, r).z[0].imag / k[0]
    aperture = math.pi * a[0] ** 2 / (2 * r[0])
    assert length / aperture == pytest.approx(1 + (0.8216 - math.pi / 4) / (math.pi / 2), rel=0.01)
