"""What is asked of a flute that nobody has blown: a length that is there; nothing when it is too late."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.model.document import Design, Instrument
from scaledesign.paper.unblown import first_steps, spare_length, unblown, warning
from tests.paper.sheet.flutes import example


def tube(design: Design, **change: object) -> Design:
    return replace(design, tube=replace(design.tube, **change))


def test_the_tube_stays_longer_by_what_the_mouth_may_take() -> None:
    wren = example("marsh-wren")  # its mouth adds 27.4 mm, ± 9.6 mm
    assert spare_length(wren, "mm") == pytest.approx(0.020)
    assert spare_length(wren, "in") == pytest.approx(0.0254)
    assert "20 mm too long: 380.5 mm from edge to foot" in first_steps(wren, "mm")[0]
    assert "Cut the tube 1 in longer than this" in warning(wren, "in")


def test_no_longer_than_the_raw_tube_and_not_at_all_where_it_is_cut() -> None:
    wren = example("marsh-wren")
    short = tube(wren, blank=wren.tube.length + 0.007)
    assert spare_length(short, "mm") == pytest.approx(0.007)
    assert "7 mm too long" in first_steps(short, "mm")[0]
    cut = tube(wren, locked=True)
    assert spare_length(cut, "mm") == 0.0
    assert first_steps(cut, "mm")[0].startswith("Blow it with no holes")
    assert "Blow it with no holes" in warning(cut, "mm", 59.2)
    assert "± 59 cents" in warning(cut, "mm", 59.2)
    assert "may be far off" in warning(cut, "mm", float("nan"))


def test_nothing_is_asked_where_nothing_is_left_to_learn_or_to_spoil() -> None:
    wren = example("marsh-wren")
    blown = replace(wren, voicing=replace(wren.voicing, calibrated=True, added_length=0.027))
    ideal = replace(wren, instrument=Instrument("open"))
    done = tube(replace(wren, holes=tuple(replace(hole, drilled=True) for hole in wren.holes)), locked=True)
    for design in (blown, ideal, done):
        assert not unblown(design)
        assert warning(design, "mm", 60.0) == ""
        assert first_steps(design, "mm") == ()
        assert spare_length(design, "mm") == 0.0
