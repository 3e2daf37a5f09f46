"""The tables for spreadsheets, and what is exported."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from scaledesign.errors import DesignError
from scaledesign.model.checks import check
from scaledesign.model.document import Design, Row
from scaledesign.paper.chart_text import fingering_chart
from scaledesign.paper.hole_list import caution_lines, hole_list
from scaledesign.paper.tables import (
    as_csv,
    as_tsv,
    export_text,
    hole_table,
    plain_name,
    row_table,
)


def test_holes_in_millimetres(design: Design, prediction: SimpleNamespace) -> None:
    table = hole_table(design, prediction, ("solved", "undetermined", "rule"), units="mm")
    assert table.header == (
        "hole",
        "from edge (mm)",
        "from foot (mm)",
        "wood (mm)",
        "width (mm)",
        "across (mm)",
        "bit",
        "bit (mm)",
        "finger",
        "side (degrees)",
        "slip (cents per 0.1 mm)",
        "wide (cents per 0.1 mm)",
        "by",
    )
    assert [row[:3] + row[4:] for row in table.rows] == [
        ("1", "150.000", "150.000", "8.000", "", "8 mm", "8.000", "LT", "180", "0.01", "0.00", "solved"),
        ("2", "160.000", "140.000", "7.900", "", "8 mm", "8.000", "L1", "0", "0.02", "0.30", "free"),
        ("3", "200.000", "100.000", "6.500", "", "6.5 mm", "6.500", "L2", "0", "0.50", "1.20", "rule"),
    ]
    assert float(table.rows[2][3]) == pytest.approx(40 - (7.9 + 6.5) / 2, abs=5e-4)


def test_inches_to_four_places(design: Design, prediction: SimpleNamespace) -> None:
    table = hole_table(replace(design, shop=replace(design.shop, bits="inch 1/64")), prediction, units="in")
    assert table.header[1] == "from edge (in)"
    assert table.header[10] == "slip (cents per 1/64 in)"
    assert table.rows[2][1:3] == ("7.8740", "3.9370")
    assert table.rows[2][6:8] == ("1/4 in", "0.2500")  # 6.5 mm is 16.4/64 in


def test_from_the_foot_the_table_runs_like_the_list(design: Design, prediction: SimpleNamespace) -> None:
    table = hole_table(design, prediction, units="mm", origin="foot")
    assert table.header[1:3] == ("from foot (mm)", "from edge (mm)")
    assert [row[0] for row in table.rows] == ["3", "2", "1"]


def test_from_the_cut_end_edge_and_foot_still_stand(design: Design, prediction: SimpleNamespace) -> None:
    table = hole_table(design, prediction, units="mm", origin="cut-end")
    assert table.header[1:4] == ("from cut end (mm)", "from edge (mm)", "from foot (mm)")
    assert table.rows[0][1:4] == ("260.000", "150.000", "150.000")
    unknown = replace(design, tube=replace(design.tube, chamber=None))
    with pytest.raises(DesignError, match=r"tube\.chamber"):
        hole_table(unknown, prediction, units="mm", origin="cut-end")


def test_an_oval_has_both_its_widths(design: Design, prediction: SimpleNamespace) -> None:
    oval = replace(design, holes=(replace(design.holes[0], across=0.007), *design.holes[1:]))
    table = hole_table(oval, prediction, units="mm")
    assert [row[4:6] for row in table.rows] == [("8.000", "7.000"), ("7.900", ""), ("6.500", "")]


def test_rows_with_a_column_a_fingered_hole(design: Design, prediction: SimpleNamespace) -> None:
    first, second, *others = design.rows
    read = replace(second, cents=-3.5, measured="C5 -7")
    vent = replace(design.holes[1], finger="none")
    table = row_table(
        replace(
            design,
            rows=tuple(replace(r, holes=(r.holes[0], r.holes[2])) for r in (first, read, *others)),
            holes=(design.holes[0], vent, design.holes[2]),
        ),
        prediction,
    )
    assert table.header == (
        "note",
        "cents",
        "target (Hz)",
        "plays (Hz)",
        "off (cents)",
        "plus or minus (cents)",
        "measured",
        "role",
        "register",
        "hole 1",
        "hole 3",
    )
    assert table.rows[1] == (
        "C5", "-3.5", "528.000", "530.000", "6.54", "60.20", "C5 -7", "scale", "1", "X", "O",
    )  # fmt: skip
    assert [row[4] for row in table.rows] == ["0.00", "6.54", "-10.50", "7.85"]
    assert table.rows[3][7:9] == ("alternate", "2")


def test_nothing_off_has_no_minus(design: Design, prediction: SimpleNamespace) -> None:
    prediction.cents = np.full(4, -0.001)
    assert {row[4] for row in row_table(design, prediction).rows} == {"0.00"}


def test_a_row_that_cannot_sound_has_no_numbers_and_spoils_none(
    design: Design, prediction: SimpleNamespace
) -> None:
    whole = export_text(design, prediction, (), "holes", "text", "mm")
    for numbers in (
        *(prediction.frequency, prediction.target, prediction.cents, prediction.uncertainty),
        *(prediction.rest, prediction.sensitivity.at, prediction.sensitivity.diameter),
    ):
        numbers[0] = np.nan
    assert row_table(design, prediction).rows[0][:6] == ("A4", "0", "", "", "", "")
    assert export_text(design, prediction, (), "holes", "text", "mm") == whole
    assert [row[10:12] for row in hole_table(design, prediction, units="mm").rows] == [
        ("0.00", "0.00"),
        ("0.01", "0.30"),
        ("0.50", "1.20"),
    ]


def test_readers_get_back_what_was_written(design: Design, prediction: SimpleNamespace) -> None:
    odd = replace(design, rows=(replace(design.rows[0], measured="A4\t-4"), *design.rows[1:]))
    assert check(odd) == ()
    for table in (row_table(odd, prediction), hole_table(odd, prediction, units="mm")):
        for text, dialect in ((as_csv(table), "excel"), (as_tsv(table), "excel-tab")):
            read = list(csv.reader(io.StringIO(text, newline=""), dialect=dialect))
            assert tuple(map(tuple, read)) == (table.header, *table.rows)
    assert as_csv(row_table(design, prediction)).endswith("\r\n")


@pytest.mark.parametrize("text", ["=1+1", "@A4", '=HYPERLINK("a")', "+A4", "-1+1", "\t=1"])
def test_no_checked_design_holds_a_formula(design: Design, text: str) -> None:
    """Why cells need no sign before them that keeps a spreadsheet from reckoning."""
    for row in (Row(text, ("X",) * 3), Row("A4", ("X",) * 3, measured=text)):
        assert check(replace(design, rows=(row,)))


@pytest.mark.parametrize("form", ["text", "tsv", "csv"])
@pytest.mark.parametrize("what", ["holes", "chart"])
def test_an_export_is_the_list_in_its_form(
    design: Design, prediction: SimpleNamespace, what: str, form: str
) -> None:
    placed = ("solved", "solved", "rule")
    text = export_text(design, prediction, placed, what, form, "mm", "foot", file="my own.toml")
    assert text.endswith("\n")
    assert not text.endswith("\n\n")
    if form == "text" and what == "chart":
        assert text == fingering_chart(design, prediction.cents) + "\n"
    elif form == "text":
        parts = [
            "Reed bunting: duct flute",
            "scaledesign calibrate my own.toml",
            hole_list(design, prediction, placed, units="mm", origin="foot"),
            "- slant is not reckoned with.",
            caution_lines("bamboo"),
        ]
        places = [text.index(part) for part in parts]
        assert places == sorted(places)
    else:
        table = (
            hole_table(design, prediction, placed, units="mm", origin="foot")
            if what == "holes"
            else row_table(design, prediction)
        )
        assert text == (as_tsv(table) if form == "tsv" else as_csv(table))


def test_without_holes_and_rows_the_header_stands(design: Design, prediction: SimpleNamespace) -> None:
    bare = replace(design, holes=(), rows=())
    assert as_tsv(hole_table(bare, prediction, units="mm")).count("\n") == 1
    assert as_csv(row_table(bare, prediction)).endswith("role,register\r\n")


@pytest.mark.parametrize(
    ("name", "begin"),
    [
        ("Sedge warbler", "sedge-warbler"),
        ("", "flute"),
        ("../..", "flute"),
        ('No. 7 (5/8")', "no-7-5-8"),
        ("Grünspecht", "grünspecht"),
        ("Gru\u0308nspecht", "grünspecht"),
        ("con", "con-flute"),
        ("COM¹", "com¹-flute"),
        ("reed " * 40, ("reed-" * 10)[:-1]),
    ],
)
def test_a_name_that_any_system_takes(design: Design, name: str, begin: str) -> None:
    assert plain_name(replace(design, name=name)) == begin
