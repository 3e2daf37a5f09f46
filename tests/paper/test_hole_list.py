"""The hole list as a maker reads it."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from scaledesign.model.document import Design
from scaledesign.paper.cautions import COMMON_PRACTICE, cautions
from scaledesign.paper.hole_list import caution_lines, changes, hole_list
from scaledesign.paper.text import WIDTH


def table_lines(text: str) -> list[list[str]]:
    """Cells of the table: two blanks or more stand between them."""
    table = text.split("\n\n")[1].splitlines()
    return [line.replace("from ", "from-").split() for line in table]


def test_millimetres_from_the_edge(design: Design, prediction: SimpleNamespace) -> None:
    text = hole_list(design, prediction, ("solved", "solved", "rule"), units="mm")
    header, *rows = table_lines(text)
    assert header == ["from-edge", "from-foot", "wood", "width", "bit", "finger", "slip", "wide", "by"]
    assert rows == [
        ["1", "150.0", "150.0", "25.0", "8.0", "8", "mm", "LT", "back", "0.0", "0.0"],
        ["2", "160.0", "140.0", "25.0", "7.9", "8", "mm", "L1", "0.0", "0.3"],
        ["3", "200.0", "100.0", "32.8", "6.5", "6.5", "mm", "L2", "0.5", "1.2", "rule"],
    ]
    assert "The foot is 300.0 mm from the sounding edge." in text.replace("\n", " ")
    assert "0.1 mm" in text


def test_from_the_foot_the_list_runs_from_the_foot(design: Design, prediction: SimpleNamespace) -> None:
    header, *rows = table_lines(hole_list(design, prediction, units="mm", origin="foot"))
    assert header[:2] == ["from-foot", "from-edge"]
    assert [row[:3] for row in rows] == [
        ["3", "100.0", "200.0"],
        ["2", "140.0", "160.0"],
        ["1", "150.0", "150.0"],
    ]


def test_inches_are_fractions_of_64(design: Design, prediction: SimpleNamespace) -> None:
    shop = replace(design.shop, bits="inch 1/64")
    text = hole_list(replace(design, shop=shop), prediction, units="in")
    _, *rows = table_lines(text)
    assert rows[2][:5] == ["3", "7", "7/8", "3", "15/16"]  # 200 mm = 7.874 in, 100 mm = 3.937 in
    assert "1/4 in" in text
    assert "1/64 in" in text


AUTHORITIES = ("HSE", "OSHA", "Oasys", "Cornell University", "Canadian poisonous plants database")


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("origin", ["edge", "foot", "cut-end"])
def test_it_fits_an_ordinary_terminal(
    design: Design, prediction: SimpleNamespace, units: str, origin: str
) -> None:
    shop = replace(design.shop, bits="inch all")
    text = hole_list(
        replace(design, shop=shop), prediction, ("undetermined", "rule", "locked"), units=units, origin=origin
    )
    assert max(map(len, text.splitlines())) <= WIDTH
    assert max(map(len, caution_lines("cedar and yew").splitlines())) <= WIDTH


def test_only_words_that_stand_in_the_list_are_explained(design: Design, prediction: SimpleNamespace) -> None:
    plain = hole_list(design, prediction, ("solved",) * 3, units="mm")
    assert "rule" not in plain
    assert "locked" not in plain
    assert "free:" in hole_list(design, prediction, ("solved", "undetermined", "solved"), units="mm")


def test_what_moved_stands_beside_where_it_was(design: Design) -> None:
    first, *others = design.holes
    moved = replace(design, holes=(replace(first, at=0.152), *others))
    assert changes(design, design, units="mm") == ""
    assert changes(design, moved, units="mm") == "Before: hole 1 at 150.0, 8.0 wide."
    shorter = replace(moved, tube=replace(design.tube, length=0.298))
    assert changes(design, shorter, units="mm").endswith("; the foot at 300.0.")
    assert changes(design, shorter, units="mm", origin="foot").count("hole") == 3


def test_no_holes_yet(design: Design, prediction: SimpleNamespace) -> None:
    assert hole_list(replace(design, holes=()), prediction, units="mm") == "There are no holes yet."


@pytest.mark.parametrize(
    ("material", "hazards"),
    [
        ("bamboo", ["Drilling", "Dust", "Hot tools"]),
        ("western red cedar", ["Cedar", "Drilling", "Dust", "Hot tools"]),
        ("Oleander", ["Oleander", "Drilling", "Dust", "Hot tools"]),
        ("Yew", ["Yew", "Drilling", "Dust", "Hot tools"]),
        ("black walnut", ["This wood", "Drilling", "Dust", "Hot tools"]),
        ("tin", ["Metal", "Drilling", "Dust", "Hot tools"]),
        ("satinwood", ["Drilling", "Dust", "Hot tools"]),
        ("PVC pipe", ["Plastic", "Drilling", "Dust", "Hot tools"]),
        ("rosewood", ["Rosewood", "Drilling", "Dust", "Hot tools"]),
        ("", ["Material", "Drilling", "Dust", "Hot tools"]),
    ],
)
def test_cautions_fit_the_material(material: str, hazards: list[str]) -> None:
    assert [caution.hazard for caution in cautions(material)] == hazards


def test_every_caution_names_a_source_and_no_exposure_limit() -> None:
    for caution in cautions("oleander yew cedar walnut oak rosewood cane brass pvc"):
        assert caution.source
        assert caution.source.startswith(COMMON_PRACTICE) or caution.source.startswith(AUTHORITIES)
        # Limits change and differ by country: the authority has them, not this list.
        assert not any(unit in caution.text for unit in ("mg", "ppm", "percent", "%", "minutes"))
