"""Flutes drawn from doubts: in parts they are the same ones, and many need no more room than few."""

from __future__ import annotations

import gc
import tracemalloc

import numpy as np
import pytest

import scaledesign
from scaledesign.solver import sampling
from scaledesign.solver.sampling import drawn, in_parts, scatter
from scaledesign.workshop.readings import readings_in_force
from tests.solver.simulated import example
from tests.solver.test_uncertainty import lowered


@pytest.mark.parametrize("calibrated", [False, True])
def test_flutes_drawn_in_parts_are_those_drawn_at_once(calibrated: bool) -> None:
    design = example("marsh-wren.toml")
    if calibrated:
        design = scaledesign.calibrate(design, bare="A4 -12", rows={2: "C5 +4"}).design
    problem, readings = lowered(design), readings_in_force(design)
    assert bool(readings) == calibrated
    whole = drawn(problem, readings, count=50, seed=3)
    parts = list(in_parts(problem, readings, count=50, seed=3, size=7))
    assert [part.flutes.count for part in parts] == [7] * 7 + [1]
    for name in ("at", "radius", "length", "added_length", "bore_scale"):
        joined = np.concatenate([getattr(part.flutes, name) for part in parts])
        assert joined == pytest.approx(getattr(whole.flutes, name), rel=1e-12)
    assert np.concatenate([part.left_out for part in parts]) == pytest.approx(whole.left_out)


def test_the_scatter_does_not_hang_on_the_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = lowered(example("marsh-wren.toml"))
    whole = scatter(problem, count=60)
    monkeypatch.setattr(sampling, "ROOM", 900)
    assert scatter(problem, count=60) == pytest.approx(whole, rel=1e-6)


def test_many_flutes_need_no_more_room_than_few(monkeypatch: pytest.MonkeyPatch) -> None:
    """What more flutes add in parts is not a fiftieth of what they add at once."""
    problem = lowered(example("marsh-wren.toml"))

    def room(count: int, held: int) -> int:
        monkeypatch.setattr(sampling, "ROOM", held)
        gc.collect()
        tracemalloc.start()
        scatter(problem, count=count)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    room(30, 900)
    few, many, at_once = room(30, 900), room(180, 900), room(180, 10**9)
    assert few < many < few + (at_once - few) / 50
