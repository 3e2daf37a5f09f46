"""The ± of a prediction, held against what 2,000 flutes made with the same doubts really do.

A standard deviation from 2,000 samples has itself a standard deviation of 1/sqrt(2 · 2000) = 1.6 %;
the tolerance of 6 % leaves room for that and for what is not linear in a doubt as large as a mouth's.
"""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

import scaledesign
from scaledesign.model.document import Design, LogEntry, Uncertainty
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import Causes
from scaledesign.solver.hearing import Sound, rows_of
from scaledesign.solver.prediction import Prediction, bare_tube_of
from scaledesign.solver.problem import CENT, Problem, problem_of, unread, voicing_of
from scaledesign.solver.resonance import resonances
from scaledesign.solver.sampling import as_made, scatter
from scaledesign.workshop.ask import targets
from scaledesign.workshop.calibration import bare_tube
from scaledesign.workshop.readings import readings_in_force
from scaledesign.workshop.start import length_for
from tests.solver.remake_examples import EXAMPLES, PLANS

FILES = [plan.file for plan in PLANS]
COUNT = 2000
TOLERANCE = 0.06
BENT = 20.0
"""Cents of drift beyond which a row of the second register is held to twice the tolerance: the mouth's end
then doubles or vanishes within two standard deviations, and no straight line follows that."""
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


def drift_of(design: Design, prediction: Prediction) -> Floats:
    """Cents of each row for one standard deviation of the mouth's drift, which no file denies."""
    return np.asarray(prediction.sensitivity.drift * lowered(design).before.drift)


def agree(scattered: Floats, design: Design, prediction: Prediction) -> None:
    """Scatter and stated ± of every row within the tolerance, or within what the drift bends."""
    bent = np.abs(drift_of(design, prediction)) > BENT
    off = np.abs(scattered / prediction.uncertainty - 1)
    assert off[~bent].max() < TOLERANCE
    assert off[bent].max(initial=0.0) < 2 * TOLERANCE


@pytest.mark.parametrize("file", FILES)
def test_the_stated_doubt_is_the_scatter_of_flutes_so_made(file: str) -> None:
    """Standard deviation of every row over 2,000 flutes drawn from the doubts."""
    design = example(file)
    agree(scatter(lowered(design)), design, scaledesign.predict(design))


@pytest.mark.parametrize("file", FILES)
def test_the_doubt_after_readings_is_the_scatter_of_flutes_so_read(file: str) -> None:
    """The same of flutes that were read, fitted and set beside their fit: bare tube, overblown, a row."""
    design = example(file)
    plays = scaledesign.predict(design).frequency
    tube = [f"{bare_tube(design, register=register)[0]:.3f} Hz" for register in (1, 2)]
    learnt = scaledesign.calibrate(design, tube, rows={2: f"{plays[2]:.3f} Hz"}).design
    found = scatter(lowered(learnt), readings_in_force(learnt), seed=2)
    agree(found, learnt, scaledesign.predict(learnt))


@pytest.mark.parametrize("file", FILES[:4])
def test_the_doubt_left_by_a_reading_is_the_scatter_about_it(file: str) -> None:
    """Rows of 2,000 flutes, regressed on the reading of each one's bare tube: no word of a fit.

    The mouth is known to 5 mm beforehand: little enough for a straight line and a bend.
    """
    design = example(file, "\n[uncertainty]\nmodel = 0\n")
    added = voicing_of(design).added_length
    design = replace(design, voicing=replace(design.voicing, added_length=added, uncertainty=5 * MM))
    problem = lowered(design)
    rows, bare = rows_of(problem), bare_tube_of(problem)
    causes = Causes([rows, bare])
    rng = np.random.default_rng(2)
    off = rng.standard_normal((COUNT, causes.count))

    def cents_of(sound: Sound) -> Floats:
        made = as_made(sound, causes, off, problem.before.spread, problem.doubts)
        planned = resonances(sound.flutes, sound.fingerings)
        found = resonances(made.flutes, sound.fingerings, near=planned)
        return np.asarray(CENT * np.log(found.frequency / planned.frequency))

    played = cents_of(rows)
    read = cents_of(bare)[:, 0] + problem.doubts.tuner * rng.standard_normal(COUNT)
    powers = np.vander((read - read.mean()) / read.std(), 3)
    left = played - powers @ np.linalg.lstsq(powers, played, rcond=None)[0]
    expected = bare_tube(design)[0]
    after = scaledesign.calibrate(design, bare=f"{expected:.4f} Hz").after
    agree(left.std(axis=0), design, after)
    assert after.uncertainty == pytest.approx(scaledesign.predict(design).rest, rel=0.01)


@pytest.mark.parametrize("file", FILES)
def test_common_and_rest_make_up_the_whole(file: str) -> None:
    """common² + rest² = uncertainty², before a reading and after."""
    design = example(file)
    for prediction in (scaledesign.predict(design), scaledesign.calibrate(design, bare="A4").after):
        whole = prediction.common**2 + prediction.rest**2
        assert whole == pytest.approx(prediction.uncertainty**2, rel=1e-12)


def test_a_voicing_known_to_a_hair_leaves_little_for_a_reading_to_cure() -> None:
    """Of air, bore and the mouth's drift it still tells something."""
    design = example("marsh-wren.toml")
    sure = replace(design, voicing=replace(design.voicing, added_length=0.027, uncertainty=1e-6))
    prediction, usual = scaledesign.predict(sure), scaledesign.predict(design)
    assert (prediction.common < 0.25 * usual.common).all()
    assert (prediction.rest <= prediction.uncertainty).all()


@pytest.mark.parametrize(
    "name", ["bore", "wall", "at", "diameter", "length", "temperature", "tuner", "model"]
)
def test_each_doubt_of_the_file_counts_by_its_sensitivity(name: str) -> None:
    """One doubt alone makes exactly its share of ±; a tuner makes none before it is read."""
    value = {"temperature": 0.7, "tuner": 3.0, "model": 5.0}.get(name, 0.2 * MM)
    design = without_doubt(example("dust-lark.toml"), **{name: value})
    prediction = scaledesign.predict(design)
    own = np.sqrt(np.maximum(prediction.uncertainty**2 - drift_of(design, prediction) ** 2, 0.0))
    if name == "tuner":
        assert own == pytest.approx(np.zeros(18), abs=1e-6)
        return
    if name == "model":
        assert own == pytest.approx(lowered(design).model_doubt)
        return
    worth = getattr(prediction.sensitivity, name)
    worth = worth if worth.ndim == 1 else np.linalg.norm(worth, axis=1)
    assert own == pytest.approx(np.abs(worth) * value, rel=1e-9, abs=1e-6)


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
    expected = np.hypot(prediction.sensitivity.added_length * 2 * MM, drift_of(stated, prediction))
    assert prediction.uncertainty == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("file", FILES)
def test_an_unvoiced_flute_is_uncertain_by_more_than_twenty_cents(file: str) -> None:
    """Blowing alone moves pitch by about a semitone: Kunej & Turk, The Origins of Music, 2000, p. 258."""
    assert scaledesign.predict(example(file)).uncertainty.min() > 20


@pytest.mark.parametrize("file", FILES)
def test_no_row_claims_more_than_tuner_and_model_allow(file: str) -> None:
    """A row that was not read keeps what the model leaves out of it; one that was, its tuner's waver."""
    design = example(file)
    problem = lowered(design)
    plays = {i: f"{f:.2f} Hz" for i, f in enumerate(scaledesign.predict(design).frequency)}
    last = len(plays) - 1
    one = scaledesign.calibrate(design, bare="A4", length=length_for(design, 440.0))
    most = scaledesign.calibrate(one.design, rows={i: f for i, f in plays.items() if i != last})
    assert (one.after.uncertainty > problem.model_doubt).all()
    assert most.after.uncertainty[last] > problem.model_doubt[last]
    assert (most.after.uncertainty > problem.doubts.tuner * 0.5).all()
    assert most.after.uncertainty.mean() < one.after.uncertainty.mean()


def test_blowing_the_same_tube_again_only_steadies_the_tuner() -> None:
    """What the model leaves out of a bare tube is left out each time that tube is blown."""
    design = example("marsh-wren.toml")
    once = scaledesign.calibrate(design, bare="A4 +3").design
    entry = once.log[0]
    often = replace(once, log=tuple(entry for _ in range(100)))
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
    """Readings deleted from a calibrated file: what remains is the mouth's ± as the file has it."""
    learnt = scaledesign.calibrate(example("marsh-wren.toml"), bare="A4 +3").design
    forgot = replace(learnt, log=())
    vague = replace(forgot, voicing=replace(learnt.voicing, uncertainty=8 * MM))
    stands, more = scaledesign.predict(forgot), scaledesign.predict(vague)
    mouth = np.abs(stands.sensitivity.added_length)
    expected = stands.uncertainty**2 + mouth**2 * ((8 * MM) ** 2 - (learnt.voicing.uncertainty or 0.0) ** 2)
    assert more.uncertainty**2 == pytest.approx(expected, rel=1e-9)
    found = stands.uncertainty
    assert (found > scaledesign.predict(learnt).uncertainty).all()
    assert (found < scaledesign.predict(unread(forgot)).uncertainty).all()
