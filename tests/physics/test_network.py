"""What must hold of any air column: invariants, the register counted right, one path for one and many."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from scaledesign.errors import NoPitchError
from scaledesign.physics.air import fixed_air
from scaledesign.physics.flute import Body, Flutes, lay_out, slices_of
from scaledesign.physics.network import evaluate
from scaledesign.solver.resonance import Fingerings, Resonances, resonances
from tests.physics.strategies import Tube, tubes

CENT = 1200 / np.log(2)
SLOW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def found(tube: Tube, **options: bool) -> Resonances:
    """Resonances, or a rejected example where a register lies out of hearing."""
    try:
        return resonances(tube.flutes, tube.fingerings, **options)
    except NoPitchError:
        assume(False)
        raise


def impedance(tube: Tube, column: int, frequency: np.ndarray) -> np.ndarray:
    """Total impedance of one fingering over a line of frequencies."""
    share = np.repeat(tube.fingerings.share[:, [column]], len(frequency), axis=1)
    return evaluate(lay_out(tube.flutes), share, frequency[None]).impedance[0]


@SLOW
@given(tubes(rows=2))
def test_the_register_is_the_nth_rising_zero(tube: Tube) -> None:
    """Counted by a fine scan of the reactance from below, as an independent search would."""
    answer = found(tube)
    for column in range(tube.fingerings.count):
        f = answer.frequency[0, column]
        assert abs(impedance(tube, column, np.array([f]))[0].imag) < 1e-5
        line = np.linspace(15.0, f * 1.0005, 4000)
        z = impedance(tube, column, line)
        rising = (z.imag[:-1] < 0) & (z.imag[1:] >= 0)
        # with more resistance than the tube's own it is no zero that could speak (and a pole is one such)
        resistance = np.maximum(z.real[:-1], z.real[1:])[rising]
        assume(not (np.abs(resistance - 1) < 0.3).any())  # too near to call by scanning
        assert (resistance < 1).sum() == tube.fingerings.register[column]


@SLOW
@given(tubes(natural=True))
def test_opening_a_hole_sharpens(tube: Tube) -> None:
    """In the first register, holes opened one after another from the foot."""
    assume(tube.flutes.at.shape[1] > 0)
    count = tube.flutes.at.shape[1]
    order = np.argsort(-tube.flutes.at[0])
    share = np.zeros((count, count + 1))
    for n in range(count + 1):
        share[order[:n], n] = 1.0
    rows = Fingerings(share, np.ones(count + 1, np.intp))
    f = resonances(tube.flutes, rows).frequency[0]
    assert (np.diff(f) > -1e-9).all()


@SLOW
@given(tubes(shaped=False), st.floats(0.5, 2.0))
def test_scaling_every_length_scales_every_frequency(tube: Tube, factor: float) -> None:
    """Exact without losses; slices of a taper are scaled too, so no tolerance but rounding."""
    body = tube.flutes.body
    one = replace(tube, flutes=replace(tube.flutes, drift=np.zeros(1)))
    s = body.slices
    grown = replace(
        body,
        slices=replace(s, start=s.start * factor, radius=s.radius * factor, mean=s.mean * factor,
                       end_radius=s.end_radius * factor),
        wall_x=body.wall_x * factor, wall=body.wall * factor, foot_radius=body.foot_radius * factor,
        cavity=body.cavity * factor,
    )  # fmt: skip
    other = replace(
        one,
        flutes=replace(one.flutes, body=grown, at=one.flutes.at * factor, radius=one.flutes.radius * factor,
                       length=one.flutes.length * factor, added_length=one.flutes.added_length * factor),
    )  # fmt: skip
    a, b = found(one, losses=False).frequency, found(other, losses=False).frequency
    np.testing.assert_allclose(b * factor, a, rtol=1e-8)


@SLOW
@given(tubes(bores=("straight",)), st.floats(0.05, 0.95))
def test_splitting_a_straight_duct_changes_nothing(tube: Tube, share: float) -> None:
    """A station that lies on the line between its neighbours is no station."""
    radius = float(tube.flutes.body.slices.radius[0])
    split = slices_of(np.array([0.0, share * tube.flutes.length[0]]), np.array([radius, radius]))
    assert split.straight
    forced = replace(split, **{
        name: np.repeat(getattr(split, name), 2) for name in ("radius", "slope", "mean", "end_radius")
    }, start=np.array([0.0, share * tube.flutes.length[0]]))  # fmt: skip
    other = replace(tube, flutes=replace(tube.flutes, body=replace(tube.flutes.body, slices=forced)))
    np.testing.assert_allclose(found(other).frequency, found(tube).frequency, rtol=1e-10)


@SLOW
@given(tubes(rows=3), st.integers(2, 5), st.randoms())
def test_a_batch_is_its_flutes_one_by_one(tube: Tube, count: int, random: object) -> None:
    """Different places, sizes and order of holes in one call."""
    rng = np.random.default_rng(count)
    one = tube.flutes
    many = Flutes(
        body=one.body,
        at=one.at + rng.uniform(-2e-3, 2e-3, (count, one.at.shape[1])),
        radius=one.radius * rng.uniform(0.9, 1.1, (count, one.at.shape[1])),
        length=one.length + rng.uniform(0, 5e-3, count),
        added_length=one.added_length + rng.uniform(0, 5e-3, count),
        drift=one.drift + rng.uniform(-1e-3, 1e-3, count),
        bore_scale=rng.uniform(0.98, 1.02, count),
        wall_offset=rng.uniform(-2e-4, 2e-4, count),
        air=one.air.repeat(count) if np.ndim(one.air.c) == 0 else one.air.take(np.zeros(count, np.intp)),
    )
    try:
        together = resonances(many, tube.fingerings).frequency
        apart = [resonances(many.take(slice(i, i + 1)), tube.fingerings).frequency for i in range(count)]
    except NoPitchError:
        assume(False)
    # a search ends with 2e-9 of ln f left
    np.testing.assert_allclose(together, np.concatenate(apart), rtol=1e-8)


@SLOW
@given(tubes())
def test_a_passive_column_gives_no_energy(tube: Tube) -> None:
    """The resistance at the mouth is never negative, at any frequency."""
    line = np.linspace(60.0, 2500.0, 400)
    for column in range(tube.fingerings.count):
        share = np.repeat(tube.fingerings.share[:, [column]], len(line), axis=1)
        assert evaluate(lay_out(tube.flutes), share, line[None]).impedance.real.min() > -1e-9


def plain(length: float = 0.4, added: float = 0.0, holes: tuple[tuple[float, float], ...] = ()) -> Flutes:
    """A straight 16 mm tube, wall 4 mm."""
    body = Body(
        slices_of(np.zeros(1), np.array([0.008])),
        np.zeros(1),
        np.array([0.004]),
        np.array([np.nan] * len(holes)),
    )
    air = fixed_air(343.37, 1.2045, 1.8140e-5, 1.4020, 0.7090).repeat(1)
    at, size = (np.array([[hole[n] for hole in holes]]).reshape(1, -1) for n in (0, 1))
    one = np.ones(1)
    return Flutes(body, at, size / 2, one * length, one * added, np.zeros(1), one, np.zeros(1), air)


@pytest.mark.parametrize("share", [0.999999, 0.9999999])
def test_a_hole_all_but_open_is_open(share: float) -> None:
    rows = Fingerings(np.array([[share, 1.0]]), np.ones(2, np.intp))
    f = resonances(plain(holes=((0.3, 0.007),)), rows).frequency[0]
    assert abs(CENT * np.log(f[0] / f[1])) < 1e-3


def test_a_hole_all_but_closed_is_nearly_closed() -> None:
    """A pinhole still leaks: it goes towards the closed hole without a finger in it as it shrinks."""
    flutes = plain(holes=((0.3, 0.007),))
    flutes = replace(flutes, body=replace(flutes.body, pad=0.0))
    rows = Fingerings(np.array([[1e-2, 1e-4, 1e-8, 0.0]]), np.ones(4, np.intp))
    f = resonances(flutes, rows).frequency[0]
    assert (np.diff(f) < 0).all()
    assert abs(CENT * np.log(f[2] / f[3])) < 0.5


def test_no_pitch_is_a_sentence() -> None:
    with pytest.raises(NoPitchError, match="No pitch found for row 2"):
        resonances(plain(0.03), Fingerings(np.zeros((0, 2)), np.array([1, 3], np.intp)))


@pytest.mark.parametrize("radius", [5e-8, 5e-6, 5e-5])
def test_a_bore_like_a_hair_passes_nothing_and_no_number_overflows(radius: float) -> None:
    """Far beyond hearing along the tube: finite, the phase of what is nearest to the mouth alone."""
    flutes = plain(holes=((0.1, 2 * radius), (0.3, 2 * radius)))
    flutes = replace(flutes, bore_scale=np.array([radius / 0.008]))
    frequency = np.geomspace(20.0, 2e4, 50)[None]
    share = np.array([[0.0] * 50, [1.0] * 50])
    with np.errstate(over="raise", divide="raise", invalid="raise"):
        field = evaluate(lay_out(flutes), share, frequency)
    assert np.isfinite(field.phase).all()
    assert np.isfinite(field.impedance).all()
