"""What every column of every table owes: it shows anything, and a text taken as it stands changes nothing."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from scaledesign.files.document_file import loads
from scaledesign.model.document import Chamber, Design, Hole, Row, Station, Voicing
from scaledesign.model.edits import apply
from scaledesign.view.columns import Draft, PaneName, Sheet, cell_of, signed
from scaledesign.view.desk import MEASURES, PANES, Desk
from scaledesign.view.lines import DRAWN, TYPED, text_of
from tests.files.samples import FULL, INCHES, ODD
from tests.view import working
from tests.view.working import NAMES, desk_of, example, opened, see_everything


def with_oddities(design: Design) -> Design:
    """Everything that has more than one way to be: oval, stated, locked, partly open, measured, between."""
    holes = tuple(
        replace(hole, across=hole.diameter * 0.8, locked=frozenset({"at"}), drilled=True, undercut=0.0005)
        if i == 1
        else replace(hole, at=hole.at + 1.234567e-7)
        for i, hole in enumerate(design.holes)
    )
    first = design.rows[0]
    rows = (
        replace(first, cents=1 / 3, weight=0.123456789, holes=("H", *first.holes[1:]), open_share=1 / 7),
        replace(first, note="523.3 Hz", measured=""),
        replace(first, note="702 c", role="alternate", weight=0.0),
        *design.rows[1:],
    )
    tube = replace(design.tube, chamber=Chamber(0.15, 0.005), avoid=((0.1, 0.11),), blank=0.7)
    air = replace(design.air, pressure=98_400.0, temperature=21.7)
    tuning = replace(design.tuning, degrees=("1", "6/5", "498 c", "3/2", "9/5"))
    return replace(design, holes=holes, rows=rows, tube=tube, air=air, tuning=tuning)


DESIGNS = {
    **{name: example(name) for name in NAMES},
    **{f"{name} with oddities": with_oddities(example(name)) for name in NAMES},
    "full": loads(FULL, "full.toml"),
    "inches": loads(INCHES, "inches.toml"),
    "odd": loads(ODD, "odd.toml"),
    "nothing but a tube": working.bare(),
    "no rows": working.without_rows(),
    "no holes": working.without_holes(),
    "a row without pitch": working.silent(),
    "a scale of no name": working.nameless_scale(),
    "a tuning hole": working.three_holes(),
    "calibrated": replace(
        example(), voicing=Voicing(added_length=0.0313, uncertainty=0.002, calibrated=True)
    ),
}


@cache
def predicted(name: str) -> Desk:
    return desk_of(DESIGNS[name])


@pytest.mark.parametrize("name", DESIGNS)
def test_every_cell_can_be_looked_at(name: str) -> None:
    """Before the engine has answered, after it, held still, in plain signs; measured from any place."""
    see_everything(Desk.of(DESIGNS[name], None))
    for measure in MEASURES:
        see_everything(replace(predicted(name), measure=measure))
    see_everything(replace(predicted(name), held=True, signs=TYPED))


@pytest.mark.parametrize("name", DESIGNS)
def test_a_text_taken_as_it_stands_changes_nothing(name: str) -> None:
    """The exact text of a cell reads back as what is there: no digit lost, nothing locked, no weight set."""
    desk = predicted(name)
    unchanged(desk.sheet, "rows")
    for held in (True, False):
        unchanged(replace(desk, held=held).sheet, "setup")
        for measure in MEASURES:
            unchanged(replace(desk, measure=measure, held=held).sheet, "holes")


def unchanged(sheet: Sheet, name: PaneName) -> None:
    pane = PANES[name]
    for column in pane.columns(sheet):
        if column.write is None:
            continue
        for row in range(pane.count(sheet)):
            if column.key == "role" and not sheet.design.rows[row].weight:
                continue  # a new row counts for nothing until its role is said
            text = column.text(sheet, row)
            edit = column.write(sheet, row, text)
            if edit is not None:
                assert apply(sheet.design, edit) == sheet.design, (row, column.key, text)


@pytest.mark.parametrize("name", NAMES)
def test_every_cell_fits_its_column(name: str) -> None:
    """In the grid and the hole list no number is cut off."""
    sheet = opened(name).sheet
    for pane_name in ("rows", "holes"):
        pane = PANES[pane_name]
        for row in range(pane.count(sheet)):
            for column in pane.columns(sheet):
                shown = text_of(cell_of(sheet, pane_name, row, column).line)
                assert len(shown) <= column.width, (column.key, shown)


def test_columns_have_words_and_names_of_their_own() -> None:
    for name, pane in PANES.items():
        columns = pane.columns(opened().sheet)
        assert len({column.key for column in columns}) == len(columns)
        if name != "setup":
            assert all(column.words.endswith(".") for column in columns)
            assert all(len(column.title) <= column.width for column in columns)


def test_there_is_a_column_for_each_fingered_hole() -> None:
    desk = desk_of(working.three_holes())
    keys = [column.key for column in PANES["rows"].columns(desk.sheet) if column.key.startswith("hole ")]
    assert keys == ["hole 0", "hole 1"]
    titles = [column.title for column in PANES["rows"].columns(desk.sheet) if column.key in keys]
    assert titles == ["L1", "R1"]


def test_a_text_that_could_not_be_read_is_shown_before_anything_else() -> None:
    desk = opened()
    sheet = replace(desk.sheet, drafts={("rows", 0, "note"): Draft("H4", "No such note.")})
    column = working.column(desk, "rows", "note")
    cell = cell_of(sheet, "rows", 0, column)
    assert (cell.text, cell.tone, cell.note) == ("✗H4", "wrong", "No such note.")
    sheet = replace(sheet, drafts={("rows", 0, "note"): Draft("something long", "No.")}, signs=TYPED)
    cut = cell_of(sheet, "rows", 0, column).text
    assert cut.startswith("?some")
    assert len(cut) <= column.width
    assert cell_of(sheet, "rows", 1, column).text == desk.design.rows[1].note


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (3.4, 0, "+3"), (-3.4, 0, "−3"), (0.2, 0, "0"), (-0.2, 0, "0"), (0.26, 1, "+0.3"), (-0.04, 1, "0.0"),
        (math.nan, 0, ""),
    ],
)  # fmt: skip
def test_numbers_with_their_signs(value: float, digits: int, text: str) -> None:
    assert signed(value, DRAWN, digits) == text
    assert signed(value, TYPED, digits) == text.replace("−", "-")


def test_a_number_that_nobody_knows() -> None:
    desk = Desk.of(example(), None)
    assert math.isnan(desk.sheet.number("cents", 0))
    assert math.isnan(opened().sheet.number("cents", 999))
    assert opened().sheet.number("target", 0) == pytest.approx(440.0)


def test_a_row_and_a_hole_that_are_only_there() -> None:
    """Stations and oval holes are shown whole, not by their first number."""
    bore = (Station(0.0, 0.016), Station(0.2, 0.0155))
    design = replace(example(), tube=replace(example().tube, bore=bore))
    row = working.line_of(desk_of(design), "tube", "bore")
    assert working.text(desk_of(design), "setup", row, "value") == "[[0, 16], [200, 15.5]]"
    oval = replace(
        working.three_holes(), holes=(Hole(0.2, 0.008, across=0.006, finger="L1"),), rows=(Row("A4", ("X",)),)
    )
    assert working.shown(desk_of(oval), "holes", 0, "width") == "8.0 x 6.0"
