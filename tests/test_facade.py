"""The façade, literally: load, predict, solve, save; what it returns and what it raises."""

from __future__ import annotations

import json
from dataclasses import FrozenInstanceError, fields, is_dataclass, replace
from pathlib import Path

import numpy as np
import pytest

import scaledesign
from scaledesign.errors import DesignError, EditError, UnknownNameError
from tests.reference import air as reference_air
from tests.reference.cases import WALL, one_hole
from tests.reference.plain import playing_frequencies
from tests.solver.remake_examples import EXAMPLES

EXAMPLE = EXAMPLES / "marsh-wren.toml"

OPEN_TUBE = """
format = 1
units = "mm"

[instrument]
mouth = "open"
pad = 0

[tube]
length = 400
bore = 16
wall = 4

[air]
temperature = "20 °C"
humidity = 0
breath = 0

[tuning]
tonic = "G4"
"""
HOLE = """
[[holes]]
at = 300
diameter = {diameter}
finger = "R1"
"""


def rows(*letters: str) -> str:
    """Rows of the first three registers of each fingering."""
    return "".join(
        f'\n[[rows]]\nnote = "G4"\nholes = "{holes}"\nregister = {register}\n'
        for holes in letters
        for register in (1, 2, 3)
    )


def test_solving_does_not_shadow_the_function() -> None:
    design = scaledesign.load(EXAMPLE)
    for _ in range(2):
        scaledesign.predict(design)
        assert scaledesign.solve(design).design.tube.bore == design.tube.bore


def test_load_predict_solve_save(tmp_path: Path) -> None:
    """The four lines of the contract, in that order."""
    path = tmp_path / "flute.toml"
    path.write_bytes(EXAMPLE.read_bytes())
    design = scaledesign.load(path)
    prediction = scaledesign.predict(design, losses=True)
    solution = scaledesign.solve(design)
    scaledesign.save(solution.design, path)

    count = len(design.rows)
    assert prediction.frequency.shape == prediction.cents.shape == prediction.uncertainty.shape == (count,)
    assert isinstance(solution.design, scaledesign.Design)
    assert isinstance(solution.prediction, scaledesign.Prediction)
    assert all(isinstance(note, str) for note in solution.notes)
    assert scaledesign.load(path) == solution.design
    assert [p.name for p in tmp_path.iterdir()] == ["flute.toml"]


def test_losses_are_the_default_and_can_be_left_out() -> None:
    """The ideal fluid is sharper in every row."""
    design = scaledesign.load(EXAMPLE)
    usual, ideal = scaledesign.predict(design), scaledesign.predict(design, losses=False)
    assert (usual.frequency == scaledesign.predict(design, losses=True).frequency).all()
    assert (ideal.frequency > usual.frequency).all()


@pytest.mark.parametrize("losses", [True, False])
def test_a_bare_tube_between_open_ends(losses: bool) -> None:
    """400 x 16 mm, wall 4, node at x = 0: the plain reference, air by its temperature."""
    found = scaledesign.predict(scaledesign.loads(OPEN_TUBE + rows("")), losses=losses)
    air = reference_air.moist_air(20, 0.0, 101325)
    expected = playing_frequencies(WALL, (), air, 3, "exact" if losses else "none")
    assert found.frequency == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize("losses", [True, False])
@pytest.mark.parametrize("diameter", [4, 7, 10])
def test_one_hole_between_open_ends(losses: bool, diameter: int) -> None:
    """The same with a hole at 300 mm, open and under a lid flush with the outside."""
    text = OPEN_TUBE + HOLE.format(diameter=diameter) + rows("O", "X")
    found = scaledesign.predict(scaledesign.loads(text), losses=losses)
    air, kind = reference_air.moist_air(20, 0.0, 101325), "exact" if losses else "none"
    flute = replace(one_hole(300, diameter), outside=True)
    opened = playing_frequencies(flute, (1.0,), air, 3, kind)
    closed = playing_frequencies(flute, (0.0,), air, 3, kind)
    assert found.frequency == pytest.approx([*opened, *closed], rel=1e-7)


def test_an_open_end_has_no_voicing() -> None:
    """Whatever the file says of a voicing, an ideal end has none, no doubt of it, nothing to cure."""
    plain = scaledesign.loads(OPEN_TUBE + rows(""))
    voiced = scaledesign.loads(OPEN_TUBE + "\n[voicing]\nadded_length = 30\nuncertainty = 9\n" + rows(""))
    one, other = scaledesign.predict(plain), scaledesign.predict(voiced)
    assert (one.frequency == other.frequency).all()
    assert (one.uncertainty == other.uncertainty).all()
    assert (one.sensitivity.added_length == 0).all()
    assert (one.common == 0).all()
    assert one.rest == pytest.approx(one.uncertainty)
    with pytest.raises(EditError, match="ideal open end"):
        scaledesign.calibrate(plain, bare="G4")


def test_a_faulty_file_is_one_error_with_every_fault(tmp_path: Path) -> None:
    """DesignError is a ValueError that names file, key and value; nothing is changed."""
    path = tmp_path / "bad.toml"
    text = EXAMPLE.read_text(encoding="utf-8").replace("bore    = 15.9", "bore    = -15.9")
    text = text.replace('mouth    = "duct"', 'mouth    = "kazoo"')
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        scaledesign.load(path)
    assert len(caught.value.faults) == 2
    assert {fault.key for fault in caught.value.faults} == {"instrument.mouth", "tube.bore"}
    assert "bad.toml" in str(caught.value)
    assert path.read_text(encoding="utf-8") == text
    with pytest.raises(DesignError):
        scaledesign.load(tmp_path / "none.toml")


def test_an_unknown_scale_is_named() -> None:
    """The nearest one is offered."""
    text = EXAMPLE.read_text(encoding="utf-8").replace("pentatonic minor", "pentatonic minro")
    with pytest.raises(UnknownNameError, match="pentatonic minor"):
        scaledesign.predict(scaledesign.loads(text))


def test_results_are_frozen_and_the_design_is_left_alone() -> None:
    """Functions of their arguments: nothing handed in is changed, nothing handed out can be set."""
    design = scaledesign.load(EXAMPLE)
    before = scaledesign.loads(EXAMPLE.read_text(encoding="utf-8"))
    prediction, solution = scaledesign.predict(design), scaledesign.solve(design)
    calibration = scaledesign.calibrate(design, bare="A4 +3")
    assert design == before
    assert hash(design) == hash(before)
    for value in (design, prediction, solution, calibration):
        with pytest.raises(FrozenInstanceError):
            setattr(value, fields(value)[0].name, None)


def test_the_same_input_gives_the_same_output() -> None:
    """To the last bit, however often and whatever was asked in between."""
    design = scaledesign.load(EXAMPLE)
    moved = replace(design, tube=replace(design.tube, length=0.36))
    first = scaledesign.solve(moved)
    scaledesign.predict(scaledesign.load(EXAMPLES / "dust-lark.toml"))
    second = scaledesign.solve(moved)
    assert first.design == second.design
    assert first.notes == second.notes
    assert (first.prediction.frequency == second.prediction.frequency).all()


def plain(value: object) -> object:
    """A result as lists, numbers and strings, by its fields alone."""
    if is_dataclass(value):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, np.ndarray):
        return value.tolist()
    return [plain(one) for one in value] if isinstance(value, tuple) else value


def test_results_can_be_put_into_json() -> None:
    """Arrays, numbers and strings only: a prediction and its sensitivities survive the round trip."""
    prediction = scaledesign.predict(scaledesign.load(EXAMPLE))
    back = json.loads(json.dumps(plain(prediction), allow_nan=False))
    assert back["cents"] == prediction.cents.tolist()
    assert back["calibrated"] is False
    assert len(back["sensitivity"]["at"][0]) == 6


def test_a_new_design_from_what_is_in_hand() -> None:
    """Tube, key, scale and system in; a design in tune out, which solve then leaves alone."""
    wanted = scaledesign.Wanted(
        bore=0.019, wall=0.004, key="G4", scale="pentatonic minor", system="five-hole pentatonic"
    )
    solution = scaledesign.new_design(wanted)
    scale = [i for i, row in enumerate(solution.design.rows) if row.role == "scale"]
    assert np.abs(solution.prediction.cents[scale]).max() < 2
    assert scaledesign.solve(solution.design).design == solution.design
    assert scaledesign.loads(scaledesign.dumps(solution.design)) == solution.design


def test_names_of_the_facade() -> None:
    """Everything promised is there; nothing else is."""
    assert {"load", "save", "predict", "solve", "calibrate", "new_design"} <= set(scaledesign.__all__)
    for name in scaledesign.__all__:
        assert getattr(scaledesign, name).__name__ == name
    with pytest.raises(AttributeError, match="no attribute 'tune'"):
        _ = scaledesign.tune


def test_a_note_may_be_five_cents_off_unless_the_file_says_otherwise() -> None:
    """Tuners and tolerances to 5 cents: common practice, no source."""
    assert (
        scaledesign.loads("[instrument]\n[tube]\nlength = 350\nbore = 16\nwall = 3\n").tuning.tolerance == 5
    )
