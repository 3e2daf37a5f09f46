"""How much longer than planned a tube stays until it was blown: one length at the bench and on all paper."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.cli.new_command import first_work
from scaledesign.model.document import Design, Units
from scaledesign.model.units import format_length
from scaledesign.paper.unblown import first_steps, spare_words, warning
from scaledesign.view.bench_words import Words
from scaledesign.workshop.making.step import Step
from tests.paper.sheet.flutes import example


def bench_says(design: Design, units: Units) -> str:
    step = Step("blow", "Because.", now=design.tube.length, final=design.tube.length)
    return dict(Words(design, units).facts(step))["length"]


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("room", [None, 0.0059])
def test_all_name_one_length_that_the_raw_tube_has(units: Units, room: float | None) -> None:
    wren = example("marsh-wren")
    blank = None if room is None else wren.tube.length + room
    design = replace(wren, tube=replace(wren.tube, blank=blank))
    more = spare_words({"mm": 0.02, "in": 0.0254}[units] if room is None else room, units)
    whole = format_length(wren.tube.length + (room or {"mm": 0.02, "in": 0.0254}[units]), units)
    assert bench_says(design, units) == f"{whole}, {more} longer than planned"
    assert f"{more} longer, {whole} from edge to foot" in first_work(design, units, "f.toml").replace(
        "\n", " "
    )
    assert f"{more} too long: {whole} from edge to foot" in first_steps(design, units)[0]
    assert f"Cut the tube {more} longer than this" in warning(design, units)


def test_a_raw_tube_of_the_planned_length_is_left_as_it_is() -> None:
    wren = example("marsh-wren")
    design = replace(wren, tube=replace(wren.tube, blank=wren.tube.length))
    assert bench_says(design, "mm") == f"{format_length(wren.tube.length, 'mm')}, as planned"
