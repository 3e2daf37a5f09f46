"""Where each hole's place comes from: solved, locked, by rule, or hardly from anything."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import scaledesign
from scaledesign.model.document import Design
from tests.solver.remake_examples import EXAMPLES

HELD = """
units = "mm"
instrument = {{ mouth = "duct", system = "{system}" }}
tube = {{ length = 357.7, bore = 15.9, wall = 3.8 }}
tuning = {{ tonic = "A4", scale = "pentatonic minor" }}
holes = [
  {{ finger = "L1", diameter = 6, at = 141.6 }},
  {{ finger = "L2", diameter = 6.5, at = 162.0 }},
  {{ finger = "L3", diameter = 6, at = {third}{lock} }},
  {{ finger = "R1", diameter = 7.5, at = 211.7 }},
  {{ finger = "R2", diameter = 8.5, at = 246.0 }},
  {{ finger = "R3", diameter = 9, at = 280.0 }},
]
rows = [
  {{ note = "A4", holes = "XXX XXX" }},
  {{ note = "C5", holes = "XXX XXO" }},
  {{ note = "D5", holes = "XXX XOO" }},
  {{ note = "E5", holes = "XXX OOO" }},
  {{ note = "G5", holes = "XOX OOO" }},
  {{ note = "A5", holes = "OOX OOO" }},
  {rows}
]
"""
"""The third hole from the mouth stays closed throughout the scale, as trade practice has it."""


def held(system: str = "", third: float = 185.0, lock: str = "", rows: str = "") -> Design:
    return scaledesign.loads(HELD.format(system=system, third=third, lock=lock, rows=rows))


def words(design: Design) -> str:
    return " ".join(scaledesign.solve(design).notes)


def test_a_held_hole_is_placed_by_its_systems_other_fingerings() -> None:
    """Opened, it plays what the system says it plays; the scale is none the worse for it."""
    solution = scaledesign.solve(held("six-hole pentatonic"))
    assert solution.placed == ("solved", "solved", "rule", "solved", "solved", "solved")
    assert "Hole 3 stays closed in the scale: placed by rule, from its system's other fingerings." in (
        solution.notes
    )
    assert np.abs(solution.prediction.cents).max() < 0.5
    design = solution.design
    sharp = replace(design.rows[0], note="F#5", holes=tuple("XXOOOO"))
    played = scaledesign.predict(replace(design, rows=(*design.rows, sharp))).cents[-1]
    assert abs(played) < 40
    elsewhere = scaledesign.solve(held("six-hole pentatonic", third=190.0)).design
    assert elsewhere.holes[2].at == pytest.approx(design.holes[2].at, abs=3e-3)


def test_without_a_system_it_is_placed_by_even_spacing() -> None:
    """From wherever it starts it comes to lie between its neighbours."""
    for third in (183.0, 187.0):
        solution = scaledesign.solve(held(third=third))
        assert solution.placed[2] == "rule"
        assert "Hole 3 stays closed in the scale: placed by rule, from even spacing." in solution.notes
        first, second, held_one = (hole.at for hole in solution.design.holes[:3])
        assert held_one - second == pytest.approx(second - first, abs=3e-3)


def test_a_row_of_small_weight_places_it() -> None:
    """The maker's own secondary row stands before the system's: sharper, and the hole goes up the tube."""
    places = []
    for cents in (-40, 0, 40):
        row = f'note = "F#5", holes = "XXO OOO", weight = 0.01, role = "chromatic", cents = {cents}'
        solution = scaledesign.solve(held("six-hole pentatonic", rows=f"{{ {row} }}"))
        assert solution.placed[2] == "rule"
        assert "Hole 3 stays closed in the scale: placed by rule, from the other rows." in solution.notes
        assert np.abs(solution.prediction.cents[:-1]).max() < 0.5
        places.append(solution.design.holes[2].at)
    assert (np.diff(places) < -1e-3).all()


def test_a_locked_hole_is_not_placed_at_all() -> None:
    solution = scaledesign.solve(held("six-hole pentatonic", lock=", locked = true"))
    assert solution.placed[2] == "locked"
    assert solution.design.holes[2].at == 0.185
    assert "stays closed" not in " ".join(solution.notes)


def test_rows_of_weight_nothing_place_nothing() -> None:
    rows = '{ note = "F#5", holes = "XXO OOO", weight = 0, role = "scale" }'
    solution = scaledesign.solve(held(rows=rows))
    assert solution.placed[2] == "rule"
    assert "from even spacing" in " ".join(solution.notes)


TUNING_HOLE = """
units = "mm"
instrument = { mouth = "duct" }
tube = { length = 520, bore = 16, wall = 4 }
tuning = { tonic = "A4" }
holes = [
  { finger = "none", diameter = 12, at = 280 },
  { finger = "none", diameter = 12, at = 300 },
  { finger = "none", diameter = 12, at = 320 },
  { finger = "none", diameter = 6, at = 470 },
]
rows = [{ note = "A4", holes = "" }]
"""


def test_a_dimension_that_the_rows_hardly_feel_is_said_to_be_undetermined() -> None:
    """Three wide open holes above: what lies far below them moves the note by less than 0.2 cent a mm."""
    design = scaledesign.loads(TUNING_HOLE)
    solution = scaledesign.solve(design)
    s = solution.prediction.sensitivity
    assert np.abs(s.at[0]).max() * 1e-3 > 0.2
    assert abs(s.at[0, 3]) * 1e-3 < 0.2
    assert abs(s.length[0]) * 1e-3 < 0.2
    assert solution.placed[0] == "solved"
    assert solution.placed[2:] == ("undetermined", "undetermined")
    said = " ".join(solution.notes)
    assert "The place of holes 3 and 4 hardly matters to the rows: undetermined." in said
    assert "The length of the tube hardly matters to the rows: undetermined." in said
    assert solution.design.holes[3].at == pytest.approx(0.470, abs=2e-3)


@pytest.mark.parametrize("name", ["marsh-wren", "grey-heron", "night-heron", "reed-bunting", "dust-lark"])
def test_in_the_examples_nothing_is_undetermined(name: str) -> None:
    solution = scaledesign.solve(scaledesign.load(EXAMPLES / f"{name}.toml"))
    assert "undetermined" not in solution.placed
    assert "undetermined" not in " ".join(solution.notes)
    assert solution.placed.count("rule") == (name == "marsh-wren")
