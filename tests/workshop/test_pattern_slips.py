"""Slips in a pattern's numbers: found as often as the notes can tell, seldom cried in vain, said in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.workshop.slip_words import begin, hints, power, value, words
from scaledesign.workshop.slips import slips
from tests.workshop.slip_rates import alarms, example, heard, rates, read, trials

LARGE = 8e-3


def moved(design: Design, hole: int, by: float) -> Design:
    holes = list(design.holes)
    holes[hole] = replace(holes[hole], at=holes[hole].at + by)
    return replace(design, holes=tuple(holes))


@pytest.fixture(scope="module")
def honest() -> Design:
    design = example("marsh-wren")
    return read(design, heard(design, 1, 11)[0])


def test_honest_flutes_are_seldom_told_a_slip() -> None:
    assert alarms(("marsh-wren", "night-heron"), 40) <= 0.1


def test_three_millimetres_are_found_as_often_as_the_notes_can_tell() -> None:
    found = rates(list(trials(("marsh-wren",), 12, 3e-3, (1.0,))))
    assert found["found"] > 0.3
    assert found["named"] > 0.7
    assert found["among_two_holes"] > 0.7


def test_six_millimetres_are_found_and_named_in_any_hole() -> None:
    found = rates(list(trials(("grey-heron",), 12, 6e-3, (-1.0,))))
    assert found["found"] > 0.85
    assert found["named"] > 0.85
    assert found["first_of_holes"] > 0.85


def test_a_slip_is_said_with_how_far_and_what_to_do(honest: Design) -> None:
    found = slips(moved(honest, 4, LARGE))
    (slip,) = found.slips
    best = slip.suspects[0]
    assert (best.number.kind, best.number.hole) == ("at", 4)
    assert abs(best.amount + LARGE) < 3 * best.doubt
    assert best.doubt < 2e-3
    said = words(found, slip)
    assert said.startswith("Hole 5 (R2): the note")
    assert "nearer the mouth than written" in said
    assert "measure it again" in said or "measure both again" in said
    likely = value(found.design, best)
    assert likely is not None
    assert abs(likely - honest.holes[4].at) < 3 * best.doubt


def test_no_slip_says_what_to_measure_first_and_what_would_be_heard(honest: Design) -> None:
    found = slips(honest)
    assert not found.slips
    assert len({each.number.hole for each in found.first}) == 2
    assert begin(found).startswith("If you measure anything again, begin with hole ")
    assert "mm" in power(found)
    assert all(2e-3 < far < 8e-3 for far in found.unheard)


def test_a_hole_that_no_reading_opens_is_not_spoken_of(honest: Design) -> None:
    rows = tuple(row if row.role == "scale" else replace(row, measured="") for row in honest.rows)
    found = slips(replace(honest, rows=rows))
    assert found.unheard[2] == float("inf")
    assert "No note that was read tells of hole 3." in power(found)


def test_an_octave_a_semitone_and_a_sign_are_told_as_such(honest: Design) -> None:
    def with_reading(row: int, text: str) -> Design:
        rows = [replace(r, measured=text) if i == row else r for i, r in enumerate(honest.rows)]
        return replace(honest, rows=tuple(rows))

    said = honest.rows[5].measured.replace("E5", "E6")
    assert said != honest.rows[5].measured
    found = slips(with_reading(5, said))
    assert "the octave" in words(found, found.slips[0])
    assert found.slips[0].suspects[0].number.reading == 5
    found = slips(with_reading(5, honest.rows[5].measured.replace("E5", "F5")))
    suspect = found.slips[0].suspects[0]
    assert (suspect.number.kind, suspect.number.reading) == ("reading", 5)
    assert any("semitone" in hint for hint in hints(found, suspect))


def test_digits_that_changed_places_are_recognised(honest: Design) -> None:
    holes = list(honest.holes)
    holes[3] = replace(holes[3], at=0.2142)
    plain = replace(honest, holes=tuple(holes))
    holes[3] = replace(holes[3], at=0.2241)
    found = slips(replace(plain, holes=tuple(holes)))
    suspect = found.slips[0].suspects[0]
    assert (suspect.number.kind, suspect.number.hole) == ("at", 3)
    assert any(hint.startswith("21") and "two digits exchanged" in hint for hint in hints(found, suspect))


def test_two_slips_are_told_one_by_one(honest: Design) -> None:
    found = slips(moved(moved(honest, 1, -12e-3), 5, 10e-3))
    assert [slip.suspects[0].number.hole for slip in found.slips] in ([1, 5], [5, 1])


def test_without_readings_it_says_what_to_do() -> None:
    with pytest.raises(EditError, match="blow the flute"):
        slips(example("marsh-wren"))


def test_too_few_readings_tell_nothing(honest: Design) -> None:
    rows = tuple(row if i < 2 else replace(row, measured="") for i, row in enumerate(honest.rows))
    found = slips(replace(honest, rows=rows))
    assert not found.slips
    assert "blow each row" in found.notes[0]
