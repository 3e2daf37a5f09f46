"""One flute under several tunings: each met from the holes as they are, and said where it cannot be."""

from __future__ import annotations

from dataclasses import replace

import pytest

import scaledesign
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, Instrument
from scaledesign.workshop import ask
from scaledesign.workshop.asked import asked
from scaledesign.workshop.beside import AS_IT_STANDS, Tried, beside


@pytest.fixture(scope="module")
def wren() -> Design:
    return scaledesign.load(EXAMPLES / "marsh-wren.toml")


def tried(design: Design, *texts: str) -> tuple[Tried, ...]:
    return beside(design, [asked(text, design.tuning, ask.offers()) for text in texts])


def test_each_tuning_is_solved_from_the_holes_as_they_are(wren: Design) -> None:
    now, just, same = tried(wren, "just pentatonic minor", "pentatonic minor")
    assert now.words == AS_IT_STANDS
    assert now.variant
    assert now.variant.design == wren
    assert just.variant
    assert just.variant.design.tuning.scale == "just pentatonic minor"
    assert abs(just.variant.worth.worst) < 1
    assert any(
        said.startswith("hole 6 moves") and "toward the mouth" in said for said in just.variant.differs
    )
    assert same.variant
    assert (same.variant.differs, same.stayed, same.binding) == ((), (), ())
    expected = ask.solve(replace(wren, tuning=just.variant.design.tuning)).design
    assert [row.note for row in just.variant.design.rows] == [row.note for row in wren.rows]
    assert just.variant.design.holes == expected.holes


def test_a_tuning_that_cannot_be_tried_says_why(wren: Design) -> None:
    _, major = tried(wren, "major on G4")
    assert major.variant is None
    assert "7 notes" in major.problem
    assert 'share FILE --scale "major on G4"' in major.problem
    bare = replace(wren, instrument=Instrument(mouth="duct"))
    assert "no fingering system" in tried(bare, "major")[1].problem


def test_a_scale_of_fewer_notes_takes_the_systems_rows() -> None:
    bunting = scaledesign.load(EXAMPLES / "reed-bunting.toml")
    locked = tuple(replace(hole, locked=frozenset(("at", "diameter"))) for hole in bunting.holes)
    tuning = replace(bunting.tuning, tolerance=600.0)
    bunting = replace(bunting, holes=locked, tube=replace(bunting.tube, locked=True), tuning=tuning)
    system = ask.offers().system(bunting.instrument.system)
    _, found = tried(bunting, "blues")
    assert found.variant
    rows = [row for row in found.variant.design.rows if row.role == "scale"]
    assert [row.holes for row in rows] == [tuple(letters.replace(" ", "")) for letters in system.opening]
    assert rows[0].note == bunting.tuning.tonic
