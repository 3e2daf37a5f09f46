"""Growth: the fit finds the exponent that was put in, what is over its aim is said, every curve is drawn."""

from __future__ import annotations

import math
from contextlib import nullcontext
from dataclasses import replace

import numpy as np
import pytest

from tests.bench import growth
from tests.bench.growth import Grown, exponent, measured
from tests.bench.growth_page import page
from tests.bench.large_work import CURVES, meant, read, wide

SIZES = (10, 20, 40, 80, 160, 320)
LINEAR = replace(CURVES[0], name="made up", sizes=SIZES, aim=1.2)


def grown(power: float, name: str = "made up", start: float = 0.0) -> Grown:
    """A curve with that exponent, after a constant."""
    values = [start + 1e-4 * size**power for size in SIZES]
    return Grown(replace(LINEAR, name=name), SIZES, tuple(values), tuple(int(1e7 * each) for each in values))


@pytest.mark.parametrize("power", [0.0, 1.0, 2.0])
def test_the_exponent_is_found(power: float) -> None:
    found, error = exponent(SIZES, tuple(3 * size**power for size in SIZES))
    assert found == pytest.approx(power, abs=1e-9)
    assert error == pytest.approx(0.0, abs=1e-6)


def test_the_standard_error_is_what_the_scatter_makes_of_it() -> None:
    """1,000 curves with noise: the error stated is the scatter of the exponents found."""
    rng = np.random.default_rng(2)
    found = [exponent(SIZES, tuple(np.array(SIZES) * np.exp(rng.normal(0, 0.1, 6)))) for _ in range(1000)]
    scatter = float(np.std([each[0] for each in found]))
    assert math.sqrt(np.mean([each[1] ** 2 for each in found])) == pytest.approx(scatter, rel=0.15)


def test_a_square_is_over_a_linear_aim_and_a_line_is_not() -> None:
    assert grown(1.0).met
    assert not grown(2.0).met
    assert not replace(grown(1.0), bytes=grown(2.0).bytes).met


def test_a_size_that_would_take_too_long_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(growth, "LONG", 0.1)
    monkeypatch.setattr(growth, "once", lambda call: call())
    monkeypatch.setattr(growth, "peak", lambda call: 1000)
    curve = replace(LINEAR, work=lambda size: nullcontext(lambda: size / 1000))
    found = measured(curve)
    assert found.sizes == (10, 20, 40, 80)


def test_every_curve_is_drawn_and_named_apart() -> None:
    found = [grown(1 + 0.01 * n, f"curve {n}") for n in range(12)]
    text = page(found)
    for each in found:
        assert text.count(f">{each.curve.name}  {each.time_exponent[0]:.2f}</text>") == 2
    assert text.startswith("<svg")
    assert text == page(found)
    assert len(text) < 30_000


def test_curves_have_five_to_seven_sizes_and_a_reason() -> None:
    assert len({curve.name for curve in CURVES}) == len(CURVES)
    for curve in CURVES:
        steps = [after / before for before, after in zip(curve.sizes, curve.sizes[1:], strict=False)]
        assert 5 <= len(curve.sizes) <= 7
        assert max(steps) < 1.6 * min(steps), "in geometric steps"
        assert curve.why
    assert max(next(c for c in CURVES if c.name == "sampled flutes").sizes) == 10_000
    assert max(next(c for c in CURVES if c.name == "book, first read").sizes) == 2000


def test_the_work_is_what_its_name_says() -> None:
    assert (len(wide(200).rows), len(wide(200).holes)) == (200, 16)
    assert (len(wide(50, 4).rows), len(wide(50, 4).holes), len(wide(50, 4).rows[0].holes)) == (50, 4, 4)
    assert meant(6, 4).rows[0].note.endswith("Hz")
    lengths = {entry.length for entry in read(20, wild=True).log}
    assert len(lengths) == 20
