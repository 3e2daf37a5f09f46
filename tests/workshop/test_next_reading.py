"""Which note to blow next: what can be played now, ranked by what it would teach."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import scaledesign
from scaledesign.model.document import Design
from scaledesign.workshop.calibration import learn
from scaledesign.workshop.next_reading import next_readings
from tests.solver.remake_examples import EXAMPLES, PLANS

FILES = [plan.file for plan in PLANS]


def example(file: str = "marsh-wren.toml") -> Design:
    return scaledesign.load(EXAMPLES / file)


def mean_doubt(design: Design) -> float:
    """Mean ± of the rows that count, cents."""
    counted = [row.counts for row in design.rows]
    return float(np.mean(scaledesign.predict(design).uncertainty[counted]))


@pytest.mark.parametrize("file", FILES)
def test_what_is_promised_is_what_the_reading_gives(file: str) -> None:
    """Taken as expected, each reading leaves the ± that was told before it was taken; so does the next."""
    design = example(file)
    for _ in range(2):
        best = next_readings(design)[0]
        assert best.now == pytest.approx(mean_doubt(design), rel=1e-6)
        design = scaledesign.calibrate(design, f"{best.expected:.4f} Hz").design
        assert mean_doubt(design) == pytest.approx(best.then, rel=1e-3)


@pytest.mark.parametrize("file", FILES)
def test_an_undrilled_tube_is_blown_bare_and_then_overblown(file: str) -> None:
    design = example(file)
    first = next_readings(design)
    assert [(each.row, each.register) for each in first] == [(None, 1), (None, 2)]
    once = scaledesign.calibrate(design, f"{first[0].expected:.3f} Hz").design
    assert next_readings(once)[0].register == 2


def test_only_what_is_drilled_can_be_blown() -> None:
    """Rows whose open holes are marked; one that was read is not asked for again."""
    design = example()
    holes = tuple(replace(hole, drilled=i >= 4) for i, hole in enumerate(design.holes))
    drilled = replace(design, holes=holes)
    rows = {each.row for each in next_readings(drilled)}
    can = {i for i, row in enumerate(design.rows) if not set(row.holes[:4]) - {"X"}}
    assert rows == can
    read = scaledesign.calibrate(drilled, rows={2: "C5 +3"}).design
    assert {each.row for each in next_readings(read)} == can - {2}


def unmarked(design: Design, rows: dict[int, str]) -> Design:
    """The design taught by readings that stand in its rows alone, nothing of it marked as cut."""
    noted = tuple(replace(row, measured=rows.get(i, row.measured)) for i, row in enumerate(design.rows))
    return learn(design, replace(design, rows=noted)).design


def test_a_finished_flute_whose_maker_marks_nothing() -> None:
    """A row with an open hole was read, as the file says it: all rows can be."""
    read = unmarked(example(), {2: "C5 +3"})
    found = next_readings(read)
    assert {each.row for each in found} == set(range(len(read.rows))) - {2}
    assert [each.then for each in found] == sorted(each.then for each in found)
    assert found[0].then < found[0].now
    after = unmarked(read, {found[0].row or 0: f"{found[0].expected:.4f} Hz"})
    assert mean_doubt(after) == pytest.approx(found[0].then, rel=1e-3)


def test_nothing_to_ask_for() -> None:
    design = example()
    assert next_readings(replace(design, rows=())) == ()
    assert next_readings(replace(design, instrument=replace(design.instrument, mouth="open"))) == ()


def test_a_flute_without_holes_is_its_own_bare_tube() -> None:
    tube = replace(example(), holes=(), rows=tuple(replace(r, holes=()) for r in example().rows[:1]))
    assert [each.row for each in next_readings(tube)] == [0]
