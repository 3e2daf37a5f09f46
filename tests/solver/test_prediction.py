"""Predictions: pitches and cents of a design, and what each dimension is worth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

import scaledesign
from scaledesign.errors import NoPitchError
from scaledesign.model.document import AirSetting, Design, Station
from scaledesign.physics.arrays import Floats
from scaledesign.solver import prediction as predicting
from scaledesign.solver.problem import problem_of, voicing_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.workshop.ask import targets
from tests.bench.workload import every_fingering
from tests.reference.bridge import plain_of
from tests.reference.plain import cents, playing_frequency
from tests.solver.remake_examples import EXAMPLES, PLANS

FILES = [plan.file for plan in PLANS]
STEP = 2e-5
"""m (and K/1000): how far a dimension is moved, each way."""


def example(file: str = "marsh-wren.toml") -> Design:
    """An example design, played cold so that bore and room have one temperature."""
    design = scaledesign.load(EXAMPLES / file)
    added = voicing_of(design).added_length
    voicing = replace(design.voicing, added_length=added)
    return replace(design, air=AirSetting(temperature=21.0, breath=0.0), voicing=voicing)


def stations(values: tuple[Station, ...], change: Callable[[float], float]) -> tuple[Station, ...]:
    """Stations with their values changed."""
    return tuple(replace(s, value=change(s.value)) for s in values)


def hole(design: Design, index: int, **change: float) -> Design:
    """The design with one hole changed."""
    holes = list(design.holes)
    holes[index] = replace(holes[index], **change)
    return replace(design, holes=tuple(holes))


def with_bore(design: Design, by: float) -> Design:
    """The whole bore scaled so that it is ``by`` m wider at the mouth."""
    factor = 1 + by / design.tube.bore[0].value
    return replace(design, tube=replace(design.tube, bore=stations(design.tube.bore, lambda v: v * factor)))


MOVES: dict[str, Callable[[Design, float], Design]] = {
    "length": lambda d, h: replace(d, tube=replace(d.tube, length=d.tube.length + h)),
    "bore": with_bore,
    "wall": lambda d, h: replace(d, tube=replace(d.tube, wall=stations(d.tube.wall, lambda v: v + h))),
    "added_length": lambda d, h: replace(
        d, voicing=replace(d.voicing, added_length=(d.voicing.added_length or 0.0) + h)
    ),
    "drift": lambda d, h: replace(d, voicing=replace(d.voicing, drift=h)),
    "temperature": lambda d, h: replace(d, air=replace(d.air, temperature=d.air.temperature + h)),
}


def moved_cents(design: Design, move: Callable[[Design, float], Design], step: float) -> Floats:
    """Cents per unit of a dimension, from predicting the design moved both ways."""
    there, back = scaledesign.predict(move(design, step)), scaledesign.predict(move(design, -step))
    return np.asarray(1200 * np.log2(there.frequency / back.frequency) / (2 * step))


@pytest.mark.parametrize("file", FILES)
@pytest.mark.parametrize("name", MOVES)
def test_a_dimension_of_the_tube_is_worth_what_moving_it_does(file: str, name: str) -> None:
    """Cents per m (per K, per m/kHz2) of length, bore, wall, voicing, its drift and temperature."""
    design = example(file)
    step = 1e-2 if name == "temperature" else STEP
    found = getattr(scaledesign.predict(design).sensitivity, name)
    expected = moved_cents(design, MOVES[name], step)
    assert found == pytest.approx(expected, rel=2e-4, abs=2e-5 * np.abs(expected).max())


@pytest.mark.parametrize("file", FILES)
def test_a_hole_is_worth_what_moving_it_does(file: str) -> None:
    """Cents per m of every hole's place and diameter, in every row."""
    design = example(file)
    s = scaledesign.predict(design).sensitivity
    for i, now in enumerate(design.holes):
        at = moved_cents(design, lambda d, h, i=i, now=now: hole(d, i, at=now.at + h), STEP)
        wide = moved_cents(design, lambda d, h, i=i, now=now: hole(d, i, diameter=now.diameter + h), STEP)
        assert s.at[:, i] == pytest.approx(at, rel=2e-4, abs=1.0)  # of thousands
        assert s.diameter[:, i] == pytest.approx(wide, rel=2e-4, abs=1.0)


def test_signs_are_those_of_the_bench() -> None:
    """Wider holes and warmer air sharpen; length, voicing and holes nearer the foot flatten.

    Dry air: c goes as the root of the temperature, so a kelvin is 1200 log2(1 + 1/(2 · 294.15)) = 2.94 cents.
    """
    design = example()
    s = scaledesign.predict(replace(design, air=replace(design.air, humidity=0.0))).sensitivity
    row, opened = 2, design.rows[2].holes.index("O")
    assert s.at[row, opened] < 0 < s.diameter[row, opened]
    assert s.length[0] < 0
    assert (s.added_length < 0).all()
    assert s.temperature == pytest.approx(np.full(15, 2.94), abs=0.05)


@pytest.mark.parametrize("losses", [True, False])
@pytest.mark.parametrize("file", FILES)
def test_rows_play_what_the_plain_reference_says(file: str, losses: bool) -> None:
    """Every row of every example, by a scalar transmission line that shares no code."""
    design = example(file)
    problem = problem_of(design, targets(design))
    flute, air = plain_of(problem.flutes)
    found = scaledesign.predict(design, losses=losses)
    kind = "exact" if losses else "none"
    for i in range(0, len(design.rows), 4):
        fingering = tuple(problem.fingerings.share[:, i])
        expected = playing_frequency(flute, fingering, air, design.rows[i].register, kind)
        # the package cuts a taper into longer slices than the reference
        assert abs(cents(float(found.frequency[i]), expected)) < 0.02


def test_cents_are_from_target() -> None:
    """1200 log2 of played over wanted."""
    prediction = scaledesign.predict(example())
    assert prediction.cents == pytest.approx(1200 * np.log2(prediction.frequency / prediction.target))
    assert prediction.target[0] == pytest.approx(440.0)


def test_the_ideal_fluid_is_sharper() -> None:
    """The wall slows sound by about 1 %: some 17 cents in a 16 mm bore at 420 Hz."""
    design = example()
    without = scaledesign.predict(design, losses=False).cents - scaledesign.predict(design).cents
    assert (without > 0).all()
    assert 12 < without[0] < 20


def test_a_start_nearby_changes_nothing() -> None:
    """Resonances of a like flute only save time."""
    design = example()
    problem = problem_of(design, targets(design))
    other = problem_of(hole(design, 3, at=design.holes[3].at + 0.004), targets(design))
    near = resonances(other.flutes, other.fingerings)
    there, fresh = predicting.predict(problem, near=near), predicting.predict(problem)
    assert there.frequency == pytest.approx(fresh.frequency, rel=1e-9)


def test_lent_rows_are_not_shown() -> None:
    """Rows that only helped to solve stay out of every array, and change no other row."""
    design = example()
    lent = ((replace(design.rows[4], weight=0.01), 600.0), (replace(design.rows[6], weight=0.01), 650.0))
    longer = predicting.predict(problem_of(design, targets(design), lent), shown=len(design.rows))
    plain = predicting.predict(problem_of(design, targets(design)))
    for name in ("frequency", "target", "cents", "uncertainty", "common", "rest", "depth"):
        # a row's last digits depend on its company: found to 3e-6 cent (CLOSE)
        assert getattr(longer, name) == pytest.approx(getattr(plain, name), rel=2e-9, abs=3e-6)
    assert longer.sensitivity.at.shape == (15, 6)
    assert longer.sensitivity.length.shape == (15,)


def test_firm_notes_leave_little_impedance() -> None:
    """Low at resonance in the first register, higher where a cross-fingering or half-hole weakens it."""
    design = example()
    depth = dict(zip([("".join(r.holes), r.register) for r in design.rows],
                     scaledesign.predict(design).depth, strict=True))  # fmt: skip
    assert min(depth.values()) > 0
    assert depth["XXXXXX", 1] < 0.1
    assert depth["XXXOXX", 1] > depth["XXXOOO", 1]


def test_a_register_that_is_not_there_is_named() -> None:
    """The error says which row has no pitch: in a wide pipe, one beyond plane waves."""
    design = example()
    pipe = replace(design.tube, bore=(Station(0.0, 0.08),))
    rows = tuple(replace(design.rows[0], holes=(), register=register) for register in (1, 2, 9))
    with pytest.raises(NoPitchError) as caught:
        scaledesign.predict(replace(design, tube=pipe, holes=(), rows=rows))
    assert caught.value.rows == (2,)
    assert "row 3" in str(caught.value)


def test_a_register_that_is_not_there_may_be_asked_for() -> None:
    """With ``missing`` it is NaN, and the others are what they are alone."""
    wide = replace(every_fingering()[0], bore_scale=np.full(1, 5.0))
    shut = Fingerings(np.zeros((6, 3)), np.array([1, 2, 9]))
    found = resonances(wide, shut, missing=True).frequency
    assert np.isnan(found[0]).tolist() == [False, False, True]
    alone = resonances(wide, Fingerings(shut.share[:, :2], shut.register[:2])).frequency
    assert found[0, :2] == pytest.approx(alone[0])


def test_a_design_without_rows_or_holes_predicts_nothing() -> None:
    """Empty arrays of the right shape, not an error."""
    design = example()
    bare = replace(design, holes=(), rows=())
    prediction = scaledesign.predict(bare)
    assert prediction.frequency.shape == prediction.uncertainty.shape == (0,)
    assert prediction.sensitivity.at.shape == (0, 0)
