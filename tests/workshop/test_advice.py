"""Plain verdicts: nothing said of a usual flute; what is said is in the maker's units and names a remedy."""

from __future__ import annotations

from dataclasses import replace

import pytest

import scaledesign
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, Instrument, Station, Tube, Units
from scaledesign.workshop.advice import (
    HAIR,
    SLENDER,
    STOUT,
    remarks,
    slenderness,
    tube_remarks,
    verdict,
    window_change,
)


def tube(
    length: float,
    bore: float = 0.016,
    wall: float = 0.0035,
    material: str = "bamboo",
    units: Units = "mm",
    mouth: str = "duct",
) -> Design:
    """A plain tube."""
    return Design(
        Tube(length, (Station(0.0, bore),), (Station(0.0, wall),)),
        Instrument(mouth=mouth, material=material),
        units=units,
    )


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (SLENDER + 0.1, "too slender"),
        (SLENDER * (1 + HAIR / 2), "slender"),
        (36.0, "slender"),
        (35.4, "comfortable"),
        (19.6, "comfortable"),
        (19.4, "a little stout"),
        (STOUT * (1 - HAIR / 2), "a little stout"),
        (STOUT - 0.1, "stout"),
    ],
)
def test_one_verdict_on_the_length_of_a_tube(ratio: float, words: str) -> None:
    assert verdict(ratio) == words


@pytest.mark.parametrize("ratio", [STOUT + 0.01, 20.0, 35.0, SLENDER - 0.01])
def test_nothing_is_said_of_a_tube_inside_the_limits(ratio: float) -> None:
    assert tube_remarks(tube(0.016 * ratio)) == ()


def test_a_stout_tube_is_told_what_bore_would_serve() -> None:
    (note,) = tube_remarks(tube(0.16, bore=0.016))
    assert note.startswith("Stout: only 10 bores long")
    assert "13.3 mm or less would serve" in note
    assert tube_remarks(tube(0.16, bore=0.0133)) == ()


def test_inches_for_who_measures_in_inches() -> None:
    (note,) = tube_remarks(tube(0.762, bore=0.0127, units="in"))
    assert "3/4 in or more would serve" in note
    assert "a tube up to 20 in" in note
    assert " mm" not in note


def test_slenderness_goes_by_the_tube_that_is_there() -> None:
    """Stations beyond the foot do not count, and a short taper counts as little as it is long."""
    straight = tube(0.32)
    tapered = replace(straight, tube=replace(straight.tube, bore=(Station(0, 0.018), Station(0.32, 0.014))))
    longer = replace(
        straight, tube=replace(straight.tube, bore=(Station(0, 0.016), Station(0.32, 0.016), Station(1, 0.3)))
    )
    assert slenderness(straight) == pytest.approx(20)
    assert slenderness(tapered) == pytest.approx(20, rel=1e-3)
    assert slenderness(longer) == pytest.approx(20)


@pytest.mark.parametrize("material", ["copper", "acrylic", "", "bone"])
def test_a_thin_wall_of_what_does_not_split_is_not_worth_a_word(material: str) -> None:
    assert tube_remarks(tube(0.36, wall=0.001, material=material)) == ()
    assert len(tube_remarks(tube(0.36, wall=0.001, material="River Cane"))) == 1


@pytest.mark.parametrize("mouth", ["notch", "rim", "transverse", "open"])
def test_only_a_duct_has_a_window(mouth: str) -> None:
    assert window_change(tube(0.36, mouth=mouth)) is None


def test_a_longer_window_adds_less_tube() -> None:
    change = window_change(tube(0.36))
    assert change is not None
    assert -0.005 < change < 0


def test_a_measured_added_length_scales_what_the_window_does() -> None:
    """The geometry says in what proportion, the measurement of how much."""
    plain = tube(0.36)
    usual, measured = (
        window_change(replace(plain, voicing=replace(plain.voicing, added_length=added)))
        for added in (0.020, 0.040)
    )
    assert usual is not None
    assert measured == pytest.approx(2 * usual)


def test_a_design_without_rows_is_only_told_of_its_tube() -> None:
    design = scaledesign.loads(
        'instrument = { mouth = "duct" }\ntube = { length = "30 in", bore = "0.5 in", wall = "3 mm" }\n'
        'units = "mm"\n'
    )
    notes = remarks(design, scaledesign.predict(design))
    assert len(notes) == 1
    assert notes[0].startswith("Too slender")


def test_rows_read_of_holes_that_nobody_marked_are_named() -> None:
    """They tell of the flute, not of their notes; marked, nothing is to be said."""
    design = scaledesign.load(EXAMPLES / "marsh-wren.toml")
    assert not any("not marked" in note for note in scaledesign.predict(design).notes)
    known = scaledesign.calibrate(design, rows={0: "A4 -3", 3: "D5 +2", 5: "E5 +4"})
    assert not any("not marked" in note for note in known.after.notes)
    read = replace(known.design, holes=design.holes, tube=design.tube)
    (said,) = [note for note in scaledesign.predict(read).notes if "not marked" in note]
    assert said.startswith("Rows 4 and 6 were read")
    marked = replace(read, holes=tuple(replace(hole, drilled=True) for hole in read.holes))
    (said,) = [note for note in scaledesign.predict(marked).notes if "not marked" in note]
    assert "tube that is not marked as cut" in said
    cut = replace(marked, tube=replace(marked.tube, locked=True))
    assert not any("not marked" in note for note in scaledesign.predict(cut).notes)
