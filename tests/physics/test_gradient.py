"""Exact derivatives of every frequency against central differences, on random flutes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from hypothesis import HealthCheck, assume, given, settings

from scaledesign.errors import NoPitchError
from scaledesign.physics.branch import matching_length
from scaledesign.physics.flute import Flutes, lay_out
from scaledesign.physics.gradient import derivatives
from scaledesign.physics.network import evaluate
from scaledesign.solver.resonance import Resonances, field_at, resonances
from tests.physics.strategies import Tube, air_at, tubes

CENT = 1200 / np.log(2)
RELATIVE, ABSOLUTE = 2e-5, 2e-4
"""Cents per unit below: what central differences of frequencies good to 3e-6 cent can tell."""


def _phase_slope(flutes: Flutes, share: np.ndarray, frequency: np.ndarray, losses: bool) -> np.ndarray:
    return evaluate(lay_out(flutes), share, frequency, losses=losses).phase


def _clear_of_full(flutes: Flutes) -> bool:
    """Whether no finger dips to the bottom of its hole within a tenth of a millimetre."""
    layout, b = lay_out(flutes), flutes.radius.T
    wide = b + layout.shape.undercut[:, :, 0]
    cone = (b / wide + 1 + wide / b) / 3 * layout.shape.stretch[:, :, 0]
    across = layout.shape.across[:, :, 0]
    full = layout.t * cone + across * matching_length(wide, wide / layout.a)[0]
    lid = across * b * b / (8 * layout.outer) * flutes.body.outside
    return bool((np.abs(full - flutes.body.pad * b - lid) > 1e-4).all())


def _compare(tube: Tube, near: Resonances, losses: bool, name: str, exact: np.ndarray,
             moved: Callable[[float], Flutes], step: float, unit: float) -> None:  # fmt: skip
    def log_f(by: float) -> np.ndarray:
        return np.log(resonances(moved(by), tube.fingerings, near=near, losses=losses).frequency)

    measured = (log_f(step) - log_f(-step)) / (2 * step)
    np.testing.assert_allclose(
        exact * unit * CENT, measured * unit * CENT, rtol=RELATIVE, atol=ABSOLUTE, err_msg=name
    )


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tubes())
def test_every_dimension(tube: Tube) -> None:
    """Positions, diameters, chimneys, foot, bore, wall, added length, air: cents per 1 mm, 10 %, 1 K."""
    flutes = tube.flutes
    # central differences need all dimensions away from where the bore or the wall has a corner
    edges = np.concatenate([flutes.body.slices.start[1:], flutes.body.wall_x])
    layout = lay_out(flutes)
    inner = layout.inner_at[:, 0]
    assume(all(np.abs(edges - x).min(initial=1.0) > 1e-4 for x in (*flutes.at[0], *inner, flutes.length[0])))
    assume(np.diff(np.sort(inner)).min(initial=1.0) > 1e-4)  # and from where two holes change places
    assume(_clear_of_full(flutes))  # and from where a finger just fills its hole
    losses = bool(int(flutes.length[0] * 1e6) % 4)
    try:
        near = resonances(flutes, tube.fingerings, losses=losses)
    except NoPitchError:
        assume(False)
    d = derivatives(field_at(flutes, tube.fingerings, near.frequency, losses=losses))
    # where a weak resonance hides close by, the phase is too steep for differences
    assume(d.log_frequency.min() > 1.0 and d.log_frequency.max() < 60.0)
    scale = -1 / d.log_frequency

    def check(name: str, by: np.ndarray, moved: Callable[[float], Flutes], step: float, unit: float) -> None:
        _compare(tube, near, losses, name, by * scale, moved, step, unit)

    for i in range(flutes.at.shape[1]):
        one = np.zeros_like(flutes.at)
        one[0, i] = 1.0
        check(f"at {i}", d.at[i], lambda h, e=one: replace(flutes, at=flutes.at + h * e), 1e-5, 1e-3)
        check(f"radius {i}", d.log_radius[i],
              lambda h, e=one: replace(flutes, radius=flutes.radius * np.exp(h * e)), 1e-4, 0.1)  # fmt: skip
        wall = lay_out(flutes).t[:, 0]

        def chimney(h: float, i: int = i, wall: np.ndarray = wall) -> Flutes:
            own = flutes.body.hole_wall.copy()
            own[i] = wall[i] + h
            return replace(flutes, body=replace(flutes.body, hole_wall=own))

        check(f"chimney {i}", d.chimney[i], chimney, 1e-5, 1e-3)
    check("length", d.length, lambda h: replace(flutes, length=flutes.length + h), 1e-5, 1e-3)
    check("bore", d.log_bore, lambda h: replace(flutes, bore_scale=flutes.bore_scale * np.exp(h)), 1e-4, 0.1)
    check("wall", d.wall, lambda h: replace(flutes, wall_offset=flutes.wall_offset + h), 1e-5, 1e-3)
    check("added length", d.added_length,
          lambda h: replace(flutes, added_length=flutes.added_length + h), 1e-5, 1e-3)  # fmt: skip
    check(
        "temperature", d.temperature, lambda h: replace(flutes, air=air_at(tube.temperature + h)), 1e-3, 1.0
    )


@settings(max_examples=60, deadline=None)
@given(tubes())
def test_slope_in_frequency(tube: Tube) -> None:
    """d psi / d ln f at frequencies that are no resonance."""
    frequency = np.full((1, tube.fingerings.count), 431.7)
    share = tube.fingerings.share
    field = evaluate(lay_out(tube.flutes), share, frequency)
    exact = derivatives(field).log_frequency
    assume(exact.min() > 0.3 and exact.max() < 60)
    step = 1e-6
    up, down = (_phase_slope(tube.flutes, share, frequency * np.exp(h), True) for h in (step, -step))
    np.testing.assert_allclose(exact, (up - down) / (2 * step), rtol=1e-4, atol=1e-6)
