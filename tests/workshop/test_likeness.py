"""What flutes say of the next one: figures alone, no files; that the ± is honest is tried on many makers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scaledesign.physics.mouth import window_inertance, window_organ_pipe
from scaledesign.workshop.likeness import MOST, Known, common, said_of, surprises

WHOLE = 0.35


def flutes(
    random: np.random.Generator, count: int, off: np.ndarray | float = 0.0, scale: float = 1.0
) -> Known:
    """So many flutes of usual sizes, known to a twentieth."""
    marks = np.stack(
        [
            np.log(scale * random.uniform(0.013, 0.022, count)),
            np.log(random.uniform(0.22, 0.40, count)),
            np.log(random.uniform(0.45, 0.62, count)),
            np.log(random.uniform(0.0015, 0.003, count)),
        ],
        axis=1,
    )
    every = np.ones(count)
    return Known(marks, WHOLE * every, 0 * every, off * every, 0.05 * every)


def test_nothing_known_leaves_the_estimate_as_it_was() -> None:
    random = np.random.default_rng(1)
    said = said_of(flutes(random, 0), flutes(random, 1))
    assert (said.off, said.doubt) == (0.0, WHOLE)


def test_far_from_all_flutes_the_estimate_comes_back() -> None:
    random = np.random.default_rng(2)
    known, near = flutes(random, 12, 0.3), flutes(random, 1)
    far = flutes(random, 1, scale=60.0)
    assert said_of(known, near).off == pytest.approx(0.3, abs=0.05)
    said = said_of(known, far)
    assert abs(said.off) < 0.02
    assert said.doubt == pytest.approx(WHOLE, rel=0.02)
    assert said.alike.max() < 0.06


def test_more_flutes_make_it_surer_but_never_surer_than_they_scatter() -> None:
    random = np.random.default_rng(3)
    every = flutes(random, 40, 0.2 + random.normal(0, 0.1, 40))
    one = flutes(random, 1)
    doubts = [said_of(every.part(np.arange(count)), one).doubt for count in (1, 4, 12, 40)]
    assert WHOLE > doubts[1] > doubts[2] > doubts[3] > 0.08


def test_what_hangs_on_a_mark_is_found() -> None:
    random = np.random.default_rng(4)
    known = flutes(random, 25)
    known = replace(known, off=0.8 * (known.marks[:, 1] - np.log(0.3)) + random.normal(0, 0.03, 25))
    ends = flutes(random, 2)
    ends.marks[:] = np.median(known.marks, axis=0)
    ends.marks[:, 1] = np.log([0.24, 0.38])
    small, large = (said_of(known, ends.part(np.array([i]))) for i in (0, 1))
    assert large.off - small.off == pytest.approx(0.8 * np.log(0.38 / 0.24), abs=0.12)


def test_a_size_that_nobody_measured_is_no_help_to_one_that_was() -> None:
    random = np.random.default_rng(5)
    known = flutes(random, 1)
    guess = replace(known, size=np.array([0.19]))
    assert common(known, known)[0, 0] == pytest.approx(1.0)
    assert common(known, guess)[0, 0] == pytest.approx(0.35 / np.hypot(0.35, 0.19))


def test_of_many_flutes_those_most_alike_are_counted_with() -> None:
    random = np.random.default_rng(6)
    known, one = flutes(random, 3 * MOST, 0.1), flutes(random, 1)
    said = said_of(known, one)
    assert (said.share != 0).sum() == MOST
    assert said.alike[said.share != 0].min() >= said.alike[said.share == 0].max()
    assert said.off == pytest.approx(0.1, abs=0.03)


def test_one_that_all_others_contradict_stands_out() -> None:
    random = np.random.default_rng(7)
    off = 0.1 + random.normal(0, 0.04, 15)
    off[6] = 0.8
    z = surprises(flutes(random, 15, off))
    assert np.abs(z).argmax() == 6
    assert abs(z[6]) > 3
    assert np.abs(np.delete(z, 6)).max() < 3
    assert not surprises(flutes(random, 2, 0.4)).any()


@pytest.mark.parametrize(
    ("habit", "slope", "scatter"), [(0.25, 0.0, 0.06), (0.2, 0.5, 0.06), (0.0, 0.0, 0.3), (0.2, 0.0, 0.2)]
)
def test_the_doubt_is_honest(habit: float, slope: float, scatter: float) -> None:
    """Sixty makers with a dozen flutes each: within the ± two in three, within twice it 19 in 20."""
    random = np.random.default_rng(8)
    far, stated, off = [], [], []
    for _ in range(60):
        known, one = flutes(random, 12), flutes(random, 1)
        own, hangs = random.normal(0, habit), random.normal(0, slope)
        truth = [
            own + hangs * (each.marks[:, 1] - np.log(0.3)) + random.normal(0, scatter, each.count)
            for each in (known, one)
        ]
        said = said_of(replace(known, off=truth[0] + random.normal(0, 0.05, 12)), one)
        off.append(truth[1][0] - said.off)
        stated.append(said.doubt)
        far.append(abs(off[-1]) / stated[-1])
    rms = float(np.sqrt(np.mean(np.square(off))))
    assert 0.55 <= np.mean(np.array(far) < 1) <= 0.85
    assert np.mean(np.array(far) < 2) >= 0.9
    assert rms < 1.15 * np.sqrt(np.mean(np.square(stated)))
    assert min(stated) > 0.5 * scatter


def test_a_factor_is_what_formulas_leave_out_not_a_length() -> None:
    """Over usual windows the two published formulas differ by a nearly constant factor, not a length."""
    factors, lengths = [], []
    for bore in (0.013, 0.016, 0.019, 0.022):
        for long in (0.22, 0.31, 0.40):
            for wide in (0.45, 0.535, 0.62):
                for wall in (0.0015, 0.00225, 0.003):
                    plain = window_inertance(wide * bore, long * bore, wall, bore / 2)
                    organ = window_organ_pipe(wide * bore, long * bore, bore / 2)
                    factors.append(plain / organ)
                    lengths.append(plain - organ)
    assert np.std(factors) / np.mean(factors) == pytest.approx(0.10, abs=0.01)
    assert np.std(lengths) / np.mean(lengths) == pytest.approx(0.30, abs=0.01)
