"""What readings do to what is believed of a flute: unbiased, and as sure as it says, over 1,000 flutes.

A normal law puts a share p = 0.683 within one ± and 0.954 within two. Counted over N flutes that share has a
standard deviation of sqrt(p (1 - p) / N), 0.0147 and 0.0066 for 1,000; the mean of N errors has one of their
own over sqrt(N). A row may be off by four of these (there are over a hundred rows), the mean over a flute's
rows, which go together, by three.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scaledesign.physics.flute import Flutes
from scaledesign.solver import hearing
from scaledesign.solver.belief import Lesson, fit, loadings
from scaledesign.solver.hearing import Sound, hear, hear_each, rows_of
from scaledesign.solver.problem import CENT, problem_of
from scaledesign.workshop.ask import targets
from scaledesign.workshop.readings import bare_reading
from tests.solver.remake_examples import PLANS
from tests.solver.simulated import Judged, example, judged, sounds_of

COUNT = 1000
SETS = [
    ("marsh-wren.toml", (1,), ()),
    ("marsh-wren.toml", (1, 2), ()),
    ("marsh-wren.toml", (1, 2), (2, 4)),
    ("night-heron.toml", (1, 2, 3), (3,)),
    ("reed-bunting.toml", (), (0, 2, 15)),
]
"""Example, registers of the bare tube, rows that were read."""


def covered(found: Judged, least: float = 3.0, most: float = 4.0) -> None:
    """Both intervals cover at their rate, in every row and over all."""
    share_of = np.abs(found.error) / found.stated
    for width, share in ((1, 0.6827), (2, 0.9545)):
        within = (share_of < width).mean(axis=0)
        scatter = np.sqrt(share * (1 - share) / len(share_of))
        assert within == pytest.approx(share, abs=most * scatter)
        assert within.mean() == pytest.approx(share, abs=least * scatter)


@pytest.mark.parametrize(("file", "bare", "rows"), SETS)
def test_a_calibrated_flute_is_right_and_as_sure_as_it_says(
    file: str, bare: tuple[int, ...], rows: tuple[int, ...]
) -> None:
    """Hidden: mouth, drift, bore, wall, warmth, length, every hole, what the model leaves out of each row."""
    design = example(file)
    found = judged(design, sounds_of(design, bare, rows), count=COUNT, seed=sum(rows) + 10 * len(bare))
    covered(found)
    means = found.error.mean(axis=0) / (found.error.std(axis=0) / np.sqrt(COUNT))
    assert np.abs(means).max() < 4.0
    assert abs(means.mean()) < 3.0


@pytest.mark.parametrize(("file", "bare", "rows"), SETS[1:3])
def test_what_is_learnt_of_the_flute_itself_is_as_sure_as_it_says(
    file: str, bare: tuple[int, ...], rows: tuple[int, ...]
) -> None:
    """Mouth, drift, bore, wall and warmth, each within its own ±."""
    design = example(file)
    found = judged(design, sounds_of(design, bare, rows), count=COUNT, seed=3)
    covered(Judged(found.believed - found.state, found.sure, found.state, found.believed, found.sure))


def test_a_mouth_of_another_law_is_taken_for_drift() -> None:
    """A stopper 14 mm behind the mouth hole that the file does not know of, and no other drift.

    It is the same in every flute, so that errors need not be 0 in the mean; the ± holds at its rate all the
    same, and the overblown note of the bare tube takes most of the error away.
    """
    bunting = example("reed-bunting.toml")
    design = replace(bunting, voicing=replace(bunting.voicing, cavity=0.0))

    def with_cavity(flutes: Flutes) -> Flutes:
        return replace(flutes, body=replace(flutes.body, cavity=0.014), drift=0.0 * flutes.drift)

    once = judged(design, sounds_of(design, (1,), ()), count=COUNT, seed=4, other_mouth=with_cavity)
    twice = judged(design, sounds_of(design, (1, 2), ()), count=COUNT, seed=4, other_mouth=with_cavity)
    for found in (once, twice):
        assert (np.abs(found.error) < found.stated).mean() > 0.6827 - 3 * 0.0147
        assert (np.abs(found.error) < 2 * found.stated).mean() > 0.9545 - 3 * 0.0066
    overblown = [i for i, row in enumerate(design.rows) if row.register == 2]
    off = [abs(found.error[:, overblown].mean()) for found in (once, twice)]
    assert off[1] < 0.6 * off[0]
    assert twice.believed[:, 1].mean() > 0


def scale_doubt(file: str, *registers: int) -> list[float]:
    """Mean ± of the rows of either register when so much of the undrilled tube was read, usual doubts."""
    design = example(file)
    design = replace(design, uncertainty=replace(design.uncertainty, tuner=None))
    problem = problem_of(design, targets(design))
    heard = [hear(sound) for sound in (rows_of(problem), *sounds_of(design, registers, ()))]
    rows, *read = loadings(problem, problem.before.spread, heard)
    stated = np.sqrt(Lesson(np.concatenate(read, axis=1), problem.doubts.tuner).variance(rows)[0])
    first = np.array([row.register == 1 and row.counts for row in design.rows])
    second = np.array([row.register == 2 for row in design.rows])
    return [float(stated[first].mean()), float(stated[second].mean())]


def test_readings_of_a_bare_tube_are_worth_what_they_are_said_to_be() -> None:
    """± of an undrilled flute's scale, in the mean over the examples: common practice, no source.

    One reading leaves about 10 cents in the first register and 15 to 20 in the second; the overblown note
    beside it 5 to 8 and about 10.
    """
    one = np.array([scale_doubt(plan.file, 1) for plan in PLANS])
    two = np.array([scale_doubt(plan.file, 1, 2) for plan in PLANS])
    for plan, first, both in zip(PLANS, one, two, strict=True):
        print(f"{plan.file}: one reading ± {first.round(1)} cents, two ± {both.round(1)}")
    assert 8 < one[:, 0].mean() < 12
    assert 14 < one[:, 1].mean() < 21
    assert 5 < two[:, 0].mean() < 8
    assert 8 < two[:, 1].mean() < 12
    assert (two < one).all()


# How readings go together


def lesson(sounds: list[Sound]) -> tuple[Lesson, float]:
    """What readings of a marsh wren teach, and the mean ± of its scale after them."""
    design = example("marsh-wren.toml")
    problem = problem_of(design, targets(design))
    heard = [hear(sound) for sound in (rows_of(problem), *sounds)]
    rows, *read = loadings(problem, problem.before.spread, heard)
    found = Lesson(np.concatenate(read, axis=1), problem.doubts.tuner)
    return found, float(np.sqrt(found.variance(rows)[0]).mean())


def test_the_order_of_readings_does_not_matter() -> None:
    design = example("marsh-wren.toml")
    problem = problem_of(design, targets(design))
    sounds = sounds_of(design, (1, 2), (3, 7))
    read = np.array([[440.0, 886.0, 590.0, 741.0]])
    found, back = fit(problem, sounds, read), fit(problem, sounds[::-1], read[:, ::-1])
    assert back.state == pytest.approx(found.state, rel=1e-6, abs=1e-12)
    assert back.doubt == pytest.approx(found.doubt, rel=1e-9)


def test_the_same_reading_twice_counts_less_than_two_different_ones() -> None:
    """Twice the same note steadies the tuner alone; what the model leaves out of it is left out again."""
    design = example("marsh-wren.toml")
    first, second = sounds_of(design, (1, 2), ())
    assert lesson([first])[1] > lesson([first, first])[1] > lesson([first, second])[1]
    often = lesson([first] * 30)[0].left[0, 0]
    assert 0.9 * lesson([first] * 1000)[0].left[0, 0] < often < lesson([first])[0].left[0, 0]


def test_the_same_tube_in_two_rooms_tells_one_mouth() -> None:
    """Read at 15 and at 25 degC as the model has it at each: both say the same, and nothing is odd."""
    design = example("marsh-wren.toml")
    problem = problem_of(design, targets(design))
    hidden = np.array([[0.004, 0.001, 1e-4, -1e-4, 0.5]])
    rooms = [bare_reading(design, 1.0, room, 0.38, 1) for room in (15.0, 25.0)]
    read = np.concatenate([hear(sound.altered(hidden)).frequency for sound in rooms], axis=1)
    assert CENT * np.log(read[0, 1] / read[0, 0]) > 10
    found = fit(problem, rooms, read)
    assert CENT * np.log(read / found.predicted) == pytest.approx(np.zeros((1, 2)), abs=0.5)
    assert np.abs(found.lesson.surprise(found.off)[1]).max() < 1.0
    apart = [fit(problem, [sound], read[:, [i]]).state[0, 0] for i, sound in enumerate(rooms)]
    assert apart[0] == pytest.approx(apart[1], abs=2e-4)
    mixed = fit(problem, [rooms[0], rooms[0]], read)
    assert np.abs(mixed.lesson.surprise(mixed.off)[1]).max() > 2.0


def test_many_sets_of_readings_are_fitted_side_by_side() -> None:
    """A batch is its sets one by one."""
    design = example("night-heron.toml")
    problem = problem_of(design, targets(design))
    sounds = sounds_of(design, (1, 2), (3,))
    heard = np.concatenate([hear(sound).frequency for sound in sounds], axis=1)
    read = heard * np.exp(np.array([[20.0, 10.0, 15.0], [-30.0, -10.0, -40.0]]) / CENT)
    together = fit(problem, sounds, read)
    for n in range(2):
        alone = fit(problem, sounds, read[[n]])
        assert together.state[n] == pytest.approx(alone.state[0], rel=1e-5, abs=1e-10)


def test_readings_as_expected_teach_nothing_new_but_that() -> None:
    design = example("night-heron.toml")
    problem = problem_of(design, targets(design))
    sounds = sounds_of(design, (1, 2), (3,))
    expected = np.concatenate([hear(sound).frequency for sound in sounds], axis=1)
    found = fit(problem, sounds, expected)
    assert found.state == pytest.approx(np.zeros((1, 5)), abs=1e-9)
    assert found.doubt[0, 0] < 0.2 * problem.before.added_length
    assert (found.doubt[0] <= problem.before.spread).all()


def test_a_reading_left_out_is_judged_by_the_others_alone() -> None:
    """The closed formula against a fit without that reading, to the straight line's exactness."""
    design = example("marsh-wren.toml")
    sounds = sounds_of(design, (1, 2), (2, 5))
    whole, _ = lesson(sounds)
    off = np.array([[3.0, -8.0, 12.0, 5.0]])
    cents, share = whole.surprise(off)
    covariance = whole.read[0] @ whole.read[0].T + (whole.tuner**2 + 1e-6) * np.eye(4)
    for i in range(4):
        rest = [j for j in range(4) if j != i]
        weight = np.linalg.solve(covariance[np.ix_(rest, rest)], covariance[rest, i])
        assert cents[0, i] == pytest.approx(off[0, i] - weight @ off[0, rest])
        variance = covariance[i, i] - weight @ covariance[rest, i]
        assert share[0, i] == pytest.approx(cents[0, i] / np.sqrt(variance))


def test_many_tubes_heard_in_batches_are_heard_as_each_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of its own length, in its own room, with one of the rows' fingerings: together, as one by one."""
    calls: list[Sound] = []
    design = example("marsh-wren.toml")
    sounds = []
    for number in range(40):
        cut = replace(design.tube, length=design.tube.length * (1 + 0.001 * number))
        row = replace(design.rows[number % len(design.rows)])
        tube = replace(design, tube=cut, rows=(row,), air=replace(design.air, temperature=15 + 0.3 * number))
        sounds.append(rows_of(problem_of(tube, targets(tube))))
    monkeypatch.setattr(hearing, "hear", lambda sound, *near: calls.append(sound) or hear(sound, *near))
    together, alone = hear_each(sounds), [hear(sound) for sound in sounds]
    assert len(calls) <= len(design.rows)
    for one, other in zip(together, alone, strict=True):
        assert CENT * np.log(one.frequency / other.frequency) == pytest.approx(0.0, abs=1e-5)
        assert one.sensitivity.length == pytest.approx(other.sensitivity.length, rel=1e-6)
    again = hear_each(sounds, together)
    assert [each.frequency[0, 0] for each in again] == pytest.approx([e.frequency[0, 0] for e in alone])


def test_what_others_say_of_a_reading_is_what_leaving_it_out_says() -> None:
    """The complement, one reading after another, against an inverse of those that are left."""
    rng = np.random.default_rng(4)
    lesson = Lesson(rng.standard_normal((1, 9, 14)), 0.5)
    off = rng.normal(0, 4, (1, 9))
    few = [0, 2, 3, 5, 8]
    beyond = lesson.beyond(off, few)[0]
    for one in (1, 4, 6, 7):
        left = [*few, one]
        expected = Lesson(lesson.read[:, left], lesson.tuner).surprise(off[:, left])[0][0, -1]
        assert beyond[one] == pytest.approx(expected)
