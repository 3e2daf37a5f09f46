"""First guesses of the mouth end against arithmetic and the figures that makers go by."""

import math

import pytest
from scipy.integrate import dblquad

from scaledesign.physics.mouth import (
    PER_KHZ,
    guessed_rim,
    rectangle_end,
    shortening,
    usual_stopper,
    window_estimate,
    window_inertance,
    window_organ_pipe,
)
from tests.reference.bridge import package_frequencies
from tests.reference.plain import CHECK_AIR, Flute, cents

MM = 1e-3


def test_rectangular_piston_by_numbers():
    """Rayleigh, Theory of Sound, sec. 302: mean potential of a piston in a flange, integrated here.

    A square has 0.473 sqrt(area), a disc 8 r / (3 pi) = 0.479 sqrt(area).
    """
    width, length = 1.0, 0.4
    overlap, _ = dblquad(
        lambda y, x: (width - x) * (length - y) / math.hypot(x, y), 0, width, 0, length, epsabs=1e-9
    )
    piston = 4 * overlap / (2 * math.pi * width * length)
    assert rectangle_end(width, length) == pytest.approx(0.968 * piston, rel=1e-5)
    assert rectangle_end(1.0, 1.0) / 0.968 == pytest.approx(0.473, abs=6e-4)


@pytest.mark.parametrize(("width", "length", "wall", "radius", "inertance", "organ"), [
    (10, 4, 2, 9.5, 53, 33), (12, 4, 3, 9.5, 53, 30), (7.5, 6, 0.7, 7.23, 25, 18), (8, 5, 2, 8, 39, 23),
])  # fmt: skip
def test_windows_computed_independently(width, length, wall, radius, inertance, organ):
    """The plain inertance, and Ingerslev & Frobenius 1947 (from memory); the estimate lies between."""
    sizes = (width * MM, length * MM)
    assert window_inertance(*sizes, wall * MM, radius * MM) == pytest.approx(inertance * MM, abs=0.5 * MM)
    assert window_organ_pipe(*sizes, radius * MM) == pytest.approx(organ * MM, abs=0.5 * MM)
    estimate = window_estimate(*sizes, wall * MM, radius * MM)
    assert organ * MM < estimate.added_length < inertance * MM
    assert estimate.uncertainty > 0.2 * estimate.added_length


@pytest.mark.parametrize("bore", [18, 19])
def test_rim_of_the_nominal_end_blown_flute(bore):
    """545 mm sounding D4 when warm needs 31 to 33 mm: computed, the nominal pitch is common practice."""
    assert 30 * MM < guessed_rim(bore / 2 * MM).added_length < 34 * MM


@pytest.mark.parametrize("added", [0.020, 0.030, 0.040])
def test_stopper_at_a_third_keeps_the_octave(added):
    """Benade & French 1965, JASA 37, 679, treat it; to second order the length stays when L = D/3 (derived).

    Added lengths of 46 to 51.5 mm then want 15 to 17 mm, and 17 is the traditional distance (from memory).
    """

    def octave(cavity):
        flute = Flute(((0.0, 8 * MM),), 0.4, foot_wall=4 * MM, delta0=added, cavity=cavity)
        first, second = package_frequencies(flute, [(), ()], [1, 2], CHECK_AIR)
        return cents(second, 2 * first)

    losses_alone = 5.07
    assert octave(added / 3) == pytest.approx(losses_alone, abs=0.8)
    assert octave(added / 2) < octave(added / 3) < octave(0.0)


@pytest.mark.parametrize("added", [0.020, 0.035, 0.050])
def test_an_inertance_alone_shortens_as_its_law_says(added):
    """Delta - atan(k Delta)/k in small k, per kHz^2 (derived)."""
    k = PER_KHZ * 0.1
    assert (added - math.atan(k * added) / k) / 0.1**2 == pytest.approx(shortening(added), rel=0.01)


@pytest.mark.parametrize("added", [0.046, 0.0515])
def test_the_traditional_stopper(added):
    """17 mm on a bore of 19 mm, where the mouth adds 46 to 51.5 (from memory): a third is 15 to 17."""
    assert 15 * MM < usual_stopper(added) < 17.2 * MM
