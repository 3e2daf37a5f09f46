"""The ± of a prediction, held against what 2,000 flutes made with the same doubts really do.

A standard deviation from 2,000 samples has itself a standard deviation of 1/sqrt(2 · 2000) = 1.6 %;
the tolerance of 6 % leaves room for that and for what is not linear in a doubt as large as a mouth's.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
import pytest

import scaledesign
from scaledesign.model.document import Design, LogEntry, Uncertainty, Voicing
from scaledesign.physics.air import played_air, pressure_at
from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.solver.problem import CENT, Problem, problem_of, voicing_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.workshop.ask import targets
from scaledesign.workshop.start import length_for
from tests.solver.remake_examples import EXAMPLES, PLANS

FILES = [plan.file for plan in PLANS]
COUNT = 2000
TOLERANCE = 0.06
MM = 1e-3


def example(file: str, text: str = "") -> Design:
    """An example design, with more tables at its end."""
    return scaledesign.loads((EXAMPLES / file).read_text(encoding="utf-8") + text)


def lowered(design: Design) -> Problem:
    """The design as arrays."""
    return problem_of(design, targets(design))


def without_doubt(design: Design, **kept: float) -> Design:
    """The design with every doubt denied but those named."""
    none = Uncertainty(**{field.name: kept.get(field.name, 0.0) for field in fields(Uncertainty)})
    added = voicing_of(design).added_length
    return replace(
        design, uncertainty=none, voicing=replace(design.voicing, added_length=added, uncertainty=0.0)
    )


def undrilled(flutes: Flutes) -> Flutes:
    """The same tubes without holes."""
    none = np.zeros((flutes.count, 0))
    return replace(flutes, body=replace(flutes.body, hole_wall=np.zeros(0)), at=none, radius=none)


@dataclass(frozen=True)
class Made:
    """Flutes as their maker made them, the same tubes before any hole, and the plan's before any hole."""

    finished: Flutes
    bare: Flutes
    plan_bare: Flutes


def made(design: Design, count: int, seed: int) -> Made:
    """Flutes that differ from the design in everything its maker can't know better, each independently."""
    problem = lowered(design)
    doubts, plan, air = problem.doubts, problem.flutes, design.air
    rng = np.random.default_rng(seed)
    holes = plan.at.shape[1]

    def off(one: float, *shape: int) -> Floats:
        return np.asarray(one * rng.standard_normal((count, *shape)))

    pressure = float(pressure_at(air.altitude)) if air.pressure is None else air.pressure
    finished = Flutes(
        body=plan.body,
        at=plan.at + off(doubts.at, holes),
        radius=plan.radius + off(doubts.diameter, holes) / 2,
        length=plan.length + off(doubts.length),
        added_length=plan.added_length + off(problem.voicing_doubt),
        drift=plan.drift + off(problem.before.drift),
        bore_scale=1 + off(doubts.bore) / (2 * plan.body.slices.radius[0]),
        wall_offset=off(doubts.wall),
        air=played_air(air.temperature, air.humidity, pressure, air.breath, off(doubts.temperature)),
    )
    return Made(finished, undrilled(finished), undrilled(plan))


BARE = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))


def cents_of(flutes: Flutes, fingerings: Fingerings, plan: Flutes) -> Floats:
    """Pitch of every flute and row, cents above the plan's."""
    planned = resonances(plan, fingerings)
    found = resonances(flutes, fingerings, near=planned)
    return np.asarray(CENT * np.log(found.frequency / planned.frequency))


@pytest.mark.parametrize("file", FILES)
def test_the_stated_doubt_is_the_scatter_of_flutes_so_made(file: str) -> None:
    """Standard deviation of every row over 2,000 flutes, model doubt left out."""
    design = example(file, "\n[uncertainty]\nmodel = 0\n")
    problem = lowered(design)
    scatter = cents_of(made(design, COUNT, 1).finished, problem.fingerings, problem.flutes).std(axis=0)
    assert scatter == pytest.approx(scaledesign.predict(design).uncertainty, rel=TOLERANCE)


@pytest.mark.parametrize("file", FILES[:4])
def test_the_doubt_left_by_a_reading_is_the_scatter_about_it(file: str) -> None:
    """Rows of 2,000 flutes, regressed on the reading of each one's bare tube, correlations and all.

    The mouth is known to 5 mm beforehand: enough for the reading to tell nearly all (a fit gives that
    estimate no weight, at a cost of 1 %), little enough for a straight line and a bend.
    """
    design = example(file, "\n[uncertainty]\nmodel = 0\n")
    added = voicing_of(design).added_length
    design = replace(design, voicing=replace(design.voicing, added_length=added, uncertainty=5 * MM))
    problem, flutes = lowered(design), made(design, COUNT, 2)
    rows = cents_of(flutes.finished, problem.fingerings, problem.flutes)
    bare = flutes.plan_bare
    tuner = problem.doubts.tuner * np.random.default_rng(3).standard_normal(COUNT)
    read = cents_of(flutes.bare, BARE, bare)[:, 0] + tuner
    powers = np.vander((read - read.mean()) / read.std(), 3)
    left = rows - powers @ np.linalg.lstsq(powers, rows, rcond=None)[0]
    expected = float(resonances(bare, BARE).frequency[0, 0])
    after = scaledesign.calibrate(design, bare=f"{expected:.4f} Hz").after
    assert left.std(axis=0) == pytest.approx(after.uncertainty, rel=TOLERANCE)
    assert after.uncertainty == pytest.approx(scaledesign.predict(design).rest, rel=0.01)


@pytest.mark.parametrize("file", FILES)
def test_common_and_rest_make_up_the_whole(file: str) -> None:
    """common² + rest² = uncertainty², before a reading and after."""
    design = example(file)
    for prediction in (scaledesign.predict(design), scaledesign.calibrate(design, bare="A4").after):
        whole = prediction.common**2 + prediction.rest**2
        assert whole == pytest.approx(prediction.uncertainty**2, rel=1e-12)


def test_a_voicing_known_to_a_hair_leaves_nothing_for_a_reading_to_cure() -> None:
    """A reading fits the added length afresh, so it is no better than a ruler that good."""
    design = example("marsh-wren.toml")
    sure = replace(design, voicing=replace(design.voicing, added_length=0.027, uncertainty=1e-6))
    prediction = scaledesign.predict(sure)
    assert prediction.common[0] == 0.0
    assert prediction.rest[0] == prediction.uncertainty[0]


@pytest.mark.parametrize(
    "name", ["bore", "wall", "at", "diameter", "length", "temperature", "tuner", "model"]
)
def test_each_doubt_of_the_file_counts_by_its_sensitivity(name: str) -> None:
    """One doubt alone makes exactly its share of ±; a tuner makes none before it is read."""
    value = {"temperature": 0.7, "tuner": 3.0, "model": 5.0}.get(name, 0.2 * MM)
    prediction = scaledesign.predict(without_doubt(example("dust-lark.toml"), **{name: value}))
    if name == "tuner":
        assert prediction.uncertainty == pytest.approx(np.zeros(18))
        return
    if name == "model":
        assert min(prediction.uncertainty) == value
        return
    worth = getattr(prediction.sensitivity, name)
    worth = worth if worth.ndim == 1 else np.linalg.norm(worth, axis=1)
    assert prediction.uncertainty == pytest.approx(np.abs(worth) * value, rel=1e-12)


def test_the_file_overrides_the_default() -> None:
    """A key in [uncertainty] takes the place of the program's own figure, units and all."""
    coarse = scaledesign.predict(example("grey-heron.toml", '\n[uncertainty]\nbore = "1/32 in"\n'))
    usual = scaledesign.predict(example("grey-heron.toml"))
    share = np.abs(usual.sensitivity.bore) * 1e-3
    expected = usual.uncertainty**2 + share**2 * ((25.4 / 32) ** 2 - 0.15**2)
    assert coarse.uncertainty**2 == pytest.approx(expected, rel=1e-12)


def test_the_voicing_of_the_file_overrides_the_estimate() -> None:
    """A stated ± of the added length takes the place of the guess."""
    design = without_doubt(example("night-heron.toml"))
    stated = replace(design, voicing=replace(design.voicing, uncertainty=2 * MM))
    prediction = scaledesign.predict(stated)
    expected = np.abs(prediction.sensitivity.added_length) * 2 * MM
    assert prediction.uncertainty == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("file", FILES)
def test_an_unvoiced_flute_is_uncertain_by_more_than_twenty_cents(file: str) -> None:
    """Blowing alone moves pitch by about a semitone: Kunej & Turk, The Origins of Music, 2000, p. 258."""
    assert scaledesign.predict(example(file)).uncertainty.min() > 20


@pytest.mark.parametrize("file", FILES)
def test_no_row_claims_more_than_tuner_and_model_allow(file: str) -> None:
    """However many notes are read, even all: Lefebvre 2010 (PhD thesis, McGill) found models 10 cents off."""
    design = example(file)
    bare = length_for(design, 440.0)
    problem = lowered(design)
    floor = np.hypot(problem.model_doubt, problem.doubts.tuner)
    plays = {i: f"{f:.2f} Hz" for i, f in enumerate(scaledesign.predict(design).frequency)}
    one = scaledesign.calibrate(design, bare="A4", length=bare).after
    everything = scaledesign.calibrate(design, bare="A4", length=bare, rows=plays).after
    assert (one.uncertainty > floor).all()
    assert (everything.uncertainty > floor).all()
    assert (everything.uncertainty < one.uncertainty).all()


def test_blowing_the_same_tube_again_only_steadies_the_tuner() -> None:
    """What the model leaves out of a bare tube is left out each time that tube is blown."""
    design = example("marsh-wren.toml")
    once = scaledesign.calibrate(design, bare="A4 +3").design
    entry = once.log[0]
    often = replace(once, log=tuple(entry for _ in range(40)))
    tuner = replace(once.uncertainty, tuner=0.0)
    assert scaledesign.predict(often).uncertainty == pytest.approx(
        scaledesign.predict(replace(once, uncertainty=tuner)).uncertainty, rel=0.005
    )


def test_readings_without_a_fit_are_not_counted() -> None:
    """A log that nobody calibrated with, a length typed out since, an ideal mouth: no claim."""
    learnt = scaledesign.calibrate(example("marsh-wren.toml"), bare="A4 +3").design
    assert scaledesign.predict(learnt).calibrated
    for design in (
        replace(learnt, voicing=replace(learnt.voicing, calibrated=False)),
        replace(learnt, voicing=replace(learnt.voicing, added_length=None)),
        replace(learnt, log=()),
        replace(learnt, instrument=replace(learnt.instrument, mouth="open")),
        replace(learnt, log=(LogEntry(learnt.log[0].when, "note", note="blew it"),)),
    ):
        assert not scaledesign.predict(design).calibrated


def test_without_readings_the_stated_doubt_stands() -> None:
    """Readings deleted from a calibrated file: its uncertainty is what remains, like a stated one."""
    learnt = scaledesign.calibrate(example("marsh-wren.toml"), bare="A4 +3").design
    forgot = replace(learnt, log=())
    stated = Voicing(learnt.voicing.added_length, uncertainty=learnt.voicing.uncertainty)
    assert scaledesign.predict(forgot).uncertainty == pytest.approx(
        scaledesign.predict(replace(forgot, voicing=stated)).uncertainty, rel=1e-12
    )
    assert (scaledesign.predict(forgot).uncertainty > scaledesign.predict(learnt).uncertainty).all()
