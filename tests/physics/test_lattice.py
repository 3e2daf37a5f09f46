"""The cutoff of a row of open holes: check figures, the exact edge, and a wave sent through a real row."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from scaledesign.physics.lattice import OPEN_ENDS, cutoff

C = 343.37
MM = 1e-3
ROWS = [(8.0, 3.5, 3.0, 30.0, 1520), (8.0, 3.0, 4.0, 28.0, 1330), (9.5, 6.7, 3.0, 18.0, 2515)]


def found(a: float, b: float, t: float, d: float) -> float:
    """In mm."""
    return float(cutoff(C, *(np.array(size * MM) for size in (a, b, t, d))))


@pytest.mark.parametrize(("a", "b", "t", "d", "hertz"), ROWS)
def test_check_figures(a: float, b: float, t: float, d: float, hertz: float) -> None:
    """Computed independently from the unit cell; Benade's 0.11 c (b/a)/sqrt(s t_e), d = 2 s, from memory."""
    assert found(a, b, t, d) == pytest.approx(hertz, rel=1.5e-3)
    benade = 0.11 * C * b / a / np.sqrt(d / 2 * (t + OPEN_ENDS * b) * MM**2)
    assert found(a, b, t, d) == pytest.approx(benade, rel=0.03)


@pytest.mark.parametrize(("a", "b", "t", "d", "hertz"), ROWS)
def test_the_exact_edge_of_the_band_lies_a_little_lower(
    a: float, b: float, t: float, d: float, hertz: float
) -> None:
    """cot(k d/2) = 2 k t_e/delta^2: half a cell of tube in resonance with half a hole (derived)."""
    t_e = t + OPEN_ENDS * b

    def miss(k: float) -> float:
        return float(1 / np.tan(k * d * MM / 2) - 2 * k * t_e * MM * (a / b) ** 2)

    edge = brentq(miss, 1.0, np.pi / (d * MM) * 0.999) * C / (2 * np.pi)
    assert 0.96 * found(a, b, t, d) < edge < found(a, b, t, d)


@pytest.mark.parametrize(("a", "b", "t", "d", "hertz"), ROWS)
def test_below_it_a_long_row_turns_the_wave_back(
    a: float, b: float, t: float, d: float, hertz: float
) -> None:
    """Twenty cells of tube and hole as matrices without losses: little gets through below, much above."""

    def through(frequency: float) -> float:
        k, t_e = 2 * np.pi * frequency / C, (t + OPEN_ENDS * b) * MM
        half = np.array(
            [
                [np.cos(k * d * MM / 2), 1j * np.sin(k * d * MM / 2)],
                [1j * np.sin(k * d * MM / 2), np.cos(k * d * MM / 2)],
            ]
        )
        hole = np.array([[1, 0], [(b / a) ** 2 / (1j * k * t_e), 1]])
        row = np.linalg.matrix_power(half @ hole @ half, 20)
        return float(4 / abs(row.sum()) ** 2)

    assert through(0.7 * hertz) < 1e-3
    assert max(through(f * hertz) for f in np.linspace(1.0, 1.3, 60)) > 0.9


sizes = st.tuples(st.floats(5, 20), st.floats(0.2, 0.9), st.floats(1, 8), st.floats(15, 80))


@given(sizes, st.floats(1.05, 2.0))
def test_wider_and_closer_holes_and_thinner_walls_raise_it(
    size: tuple[float, float, float, float], by: float
) -> None:
    a, share, t, d = size
    now = found(a, share * a, t, d)
    assert found(a, share * a * by, t, d) > now
    assert found(a * by, share * a, t, d) < now
    assert found(a, share * a, t * by, d) < now
    assert found(a, share * a, t, d * by) < now
    assert found(a * by, share * a * by, t * by, d * by) == pytest.approx(now / by)
