"""The five example flutes: what a command makes of their plans, in tune, in reach, and at rest.

A solution is rounded to a hundredth of a millimetre before it is written; another machine's arithmetic may
tip that last step and nothing else.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import scaledesign
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design
from scaledesign.solver.solution import GRAIN, Solution
from tests.solver import remake_examples
from tests.solver.remake_examples import EXAMPLES, PLANS, Plan, make

NAMES = [plan.file.removesuffix(".toml") for plan in PLANS]
each_plan = pytest.mark.parametrize("plan", PLANS, ids=NAMES)


@pytest.fixture(scope="module")
def made() -> dict[str, Solution]:
    """Every example, made anew."""
    return {plan.file: make(plan) for plan in PLANS}


def stored(plan: Plan) -> Design:
    """The example as the package ships it."""
    return scaledesign.load(EXAMPLES / plan.file)


def test_the_shipped_examples_are_these_five() -> None:
    """No file without a plan, no plan without a file."""
    assert {path.name for path in EXAMPLES.glob("*.toml")} == {plan.file for plan in PLANS}
    assert len(PLANS) == 5


def test_they_span_what_makers_make() -> None:
    """Duct in two keys, notched, transverse, a tapered one; inch and metric; two registers, chromatic."""
    designs = [stored(plan) for plan in PLANS]
    ducts = {design.tuning.tonic for design in designs if design.instrument.mouth == "duct"}
    assert len(ducts) == 2
    assert {"notch", "transverse"} <= {design.instrument.mouth for design in designs}
    assert any(design.tube.bore[-1].value < design.tube.bore[0].value for design in designs)
    assert {design.units for design in designs} == {"mm", "in"}
    for design in designs:
        assert len(design.rows) >= 12
        assert sum(row.register == 2 for row in design.rows) >= 4
        assert sum(row.role == "chromatic" for row in design.rows) >= 3


@each_plan
def test_the_file_is_what_the_command_makes(plan: Plan, made: dict[str, Solution]) -> None:
    """From tube and wish to the same file: the same bits, places within two steps of their rounding.

    To the byte on one machine; another's arithmetic may tip the last step.
    """
    found, expected = made[plan.file].design, stored(plan)
    step = 2.1 * GRAIN[expected.units]
    assert abs(found.tube.length - expected.tube.length) < step
    for hole, wanted in zip(found.holes, expected.holes, strict=True):
        assert abs(hole.at - wanted.at) < step
    at = tuple(replace(hole, at=wanted.at) for hole, wanted in zip(found.holes, expected.holes, strict=True))
    same = replace(found, holes=at, tube=replace(found.tube, length=expected.tube.length))
    assert scaledesign.dumps(same) == (EXAMPLES / plan.file).read_text(encoding="utf-8")


@each_plan
def test_every_row_of_the_scale_is_within_two_cents(plan: Plan) -> None:
    """In the model, with the holes as wide as the bits the maker has."""
    design = stored(plan)
    prediction = scaledesign.predict(design)
    scale = [i for i, row in enumerate(design.rows) if row.role == "scale"]
    assert len(scale) >= 6
    assert np.abs(prediction.cents[scale]).max() < 2


@each_plan
def test_every_hole_is_as_wide_as_one_of_the_bits(plan: Plan) -> None:
    """Diameters of the set that the file names."""
    design = stored(plan)
    bits = bit_set(design.shop.bits)
    for hole in design.holes:
        assert hole.diameter == pytest.approx(bits.nearest(hole.diameter), abs=1e-9)
        assert design.shop.smallest - 1e-9 <= hole.diameter <= design.shop.largest + 1e-9


@each_plan
def test_the_stated_hand_covers_it(plan: Plan, made: dict[str, Solution]) -> None:
    """No rule of the shop or the hand is broken, and nothing that counts is held off its note."""
    solution = made[plan.file]
    assert solution.obstacles == ()
    said = " ".join((*solution.notes, *scaledesign.predict(stored(plan)).notes))
    for word in ("hand", "finger", "reach", "thumb", "apart", "wood", "may not seal"):
        assert word not in said


def test_a_smaller_hand_would_be_warned() -> None:
    """The words looked for above are those that a hand too small brings up."""
    design = stored(PLANS[2])
    text = (EXAMPLES / PLANS[2].file).read_text(encoding="utf-8")
    assert design.shop.hand == "large"
    small = scaledesign.predict(scaledesign.loads(text.replace('"large"', '"small"')))
    assert any("hand" in note for note in small.notes)


@each_plan
def test_it_solves_to_itself(plan: Plan) -> None:
    """Solved again, nothing moves by more than 0.05 mm, and no bit is changed."""
    design = stored(plan)
    again = scaledesign.solve(design).design
    assert again.tube.length == pytest.approx(design.tube.length, abs=5e-5)
    for old, new in zip(design.holes, again.holes, strict=True):
        assert new.at == pytest.approx(old.at, abs=5e-5)
        assert new.diameter == pytest.approx(old.diameter, abs=1e-9)


def test_the_command_prints_every_row(
    made: dict[str, Solution], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Residuals of all rows, whatever their role, and whether each file is as made."""
    monkeypatch.setattr(remake_examples, "make", lambda plan: replace(made[plan.file], design=stored(plan)))
    monkeypatch.setattr("sys.argv", ["remake_examples"])
    assert remake_examples.main() == 0
    printed = capsys.readouterr().out.splitlines()
    for plan in PLANS:
        design = stored(plan)
        cents = scaledesign.predict(design).cents
        first = printed.index(f"{plan.file}: {len(design.rows)} rows, as made") + 1 + len(design.holes)
        for row, off, line in zip(design.rows, cents, printed[first:], strict=False):
            assert line.split()[0] == row.note
            assert line.split()[1] == "".join(row.holes)
            assert float(line.split()[-1]) == pytest.approx(off, abs=0.011)
