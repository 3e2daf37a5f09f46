"""The bench times what it says: both sides do the same task and land on the same frequencies."""

import pytest

from scaledesign.solver.resonance import resonances
from tests.bench import run, workload
from tests.reference.bridge import plain_of
from tests.reference.design import frequencies


def test_every_figure_of_the_issue_is_in_the_table():
    keys = {key for key, _, _ in run.TABLE}
    assert keys >= {
        "resolve_ms", "resolve_ratio", "predict_all_ms", "sample_s", "sample_ratio", "predict_s", "import_s",
    }  # fmt: skip


def test_the_task_is_the_one_that_is_named():
    design = workload.load(workload.FILE)
    assert (len(design.holes), len(design.rows), design.tube.locked) == (6, 13, True)
    assert not any(hole.locked for hole in design.holes)
    assert workload.every_fingering()[1].count == 64


def test_sample_agrees_with_the_plain_reference():
    flutes, fingerings, middle = workload.sample(4)
    found = resonances(flutes, fingerings, near=middle).frequency
    rows = workload.plain_rows(workload.lowered(workload.load(workload.FILE)).problem)
    for n in (0, 3):
        flute, air = plain_of(flutes, n)
        assert run.off(found[n], frequencies(flute, rows, air)) < 1e-6


@pytest.mark.slow
def test_re_solve_lands_where_the_plain_reference_does():
    """Our own step against scipy's least_squares with bounds: within 0.1 cent on every row."""
    before = workload.settled()
    _, edited = workload.edits(before.design)[3]
    ours = workload.resolve(edited, before.fit.resonances).resonances.frequency[0]
    assert run.off(ours, workload.plain_resolve(edited)) < run.AGREE
