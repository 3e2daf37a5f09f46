"""What an edit brings with it is said."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import scaledesign
from scaledesign.model.edits import Retune, SetRow, apply
from scaledesign.view.consequences import consequence
from scaledesign.view.measured import measured_edit
from scaledesign.view.opening import EXAMPLES
from scaledesign.workshop import ask

WREN = scaledesign.load(EXAMPLES / "marsh-wren.toml")
WHEN = datetime(2026, 1, 5)


def test_a_reading_says_what_it_proves_to_be_cut() -> None:
    edit = measured_edit(WREN, 2, "C5 -7", WHEN)
    assert edit is not None
    said = consequence(edit, WREN, apply(WREN, edit))
    assert said == "Hole 6 and the foot are taken as cut: no solve moves them."


def test_a_reading_of_a_cut_tube_names_the_hole_alone() -> None:
    cut = replace(WREN, tube=replace(WREN.tube, locked=True))
    edit = measured_edit(cut, 2, "C5 -7", WHEN)
    assert edit is not None
    assert consequence(edit, cut, apply(cut, edit)) == "Hole 6 is taken as cut: no solve moves it."


def test_rows_without_a_counterpart_are_named() -> None:
    scale = ask.offers().scale("lydian")
    tuning = replace(WREN.tuning, scale=scale.name)
    edit = Retune(tuning, ask.scale_of(WREN), scale)
    said = consequence(edit, WREN, apply(WREN, edit))
    left = edit.left_behind(WREN)
    assert left
    assert all(str(i + 1) in said for i in left)
    assert said.endswith("stay as before.")
    assert said.startswith("Lydian has 7 notes; its rows play 5 of them.")


def test_a_plain_edit_brings_nothing() -> None:
    edit = SetRow(0, "cents", 3.0)
    assert consequence(edit, WREN, apply(WREN, edit)) == ""
