"""Designs side by side: what differs in words, what each is worth, and what adopting one keeps."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from math import isnan

import pytest

import scaledesign
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, LogEntry, Station, Tube, Tuning
from scaledesign.workshop.registers import registers
from scaledesign.workshop.variants import adopted, differences, moved_words, variants, worth_of

WHEN = datetime(2026, 2, 3, 10, 0)


@pytest.fixture(scope="module")
def wren() -> Design:
    return scaledesign.load(EXAMPLES / "marsh-wren.toml")


def moved(design: Design, hole: int, *, at: float = 0.0, wider: float = 0.0) -> Design:
    holes = list(design.holes)
    old = holes[hole]
    holes[hole] = replace(old, at=old.at + at, diameter=old.diameter + wider)
    return replace(design, holes=tuple(holes))


def test_the_same_twice_shows_no_difference(wren: Design) -> None:
    one, two = variants([("a", wren), ("b", wren)])
    assert one.differs == two.differs == ()
    assert one.worth == two.worth


def test_what_moved_is_said_in_plain_words(wren: Design) -> None:
    assert moved_words(wren, moved(wren, 2, at=2.1e-3), "mm") == ("hole 3 moves 2.1 mm toward the foot",)
    assert moved_words(wren, moved(wren, 2, at=-2.1e-3), "mm") == ("hole 3 moves 2.1 mm toward the mouth",)
    both = moved(wren, 0, at=1e-3, wider=-5e-4)
    assert moved_words(wren, both, "mm") == ("hole 1 moves 1.0 mm toward the foot and is 0.5 mm narrower",)
    assert moved_words(wren, moved(wren, 0, at=4e-5), "mm") == ()
    assert moved_words(wren, moved(wren, 0, at=25.4e-3 / 16), "in") == (
        "hole 1 moves 1/16 in toward the foot",
    )
    fewer = replace(wren, holes=wren.holes[:5], rows=())
    assert moved_words(wren, fewer, "mm") == ("5 holes instead of 6",)


def test_what_else_differs_is_said(wren: Design) -> None:
    tube: Tube = replace(wren.tube, bore=(Station(0.0, 16.9e-3),), length=wren.tube.length + 3e-3)
    tuning: Tuning = replace(wren.tuning, reference=442.0, scale="hirajoshi")
    other = replace(wren, tube=tube, tuning=tuning, rows=wren.rows[:-1])
    said = differences(wren, other, "mm")
    assert said[:2] == ("the tube is 3.0 mm longer", "the bore is 1.0 mm wider")
    assert "tuned to A4 hirajoshi instead of A4 pentatonic minor" in said
    assert "A4 is 442 Hz instead of 440" in said
    assert "1 row differs" in said
    mouth = replace(wren, instrument=replace(wren.instrument, mouth="rim"))
    assert "a rim mouth instead of a duct one" in differences(wren, mouth, "mm")


def test_what_a_design_is_worth_is_what_others_say_of_it(wren: Design) -> None:
    worse = moved(wren, 5, at=5e-3)
    prediction = scaledesign.predict(worse)
    worth = worth_of(worse)
    rows = [i for i, row in enumerate(worse.rows) if row.counts]
    off = {i: float(prediction.cents[i]) for i in rows}
    assert worth.worst_row == max(off, key=lambda i: abs(off[i]))
    assert worth.worst == pytest.approx(off[worth.worst_row])
    assert worth.worst < -5
    spoken = [each for each in registers(worse).fingerings if each.of_the_scale]
    assert worth.of_octaves == len(spoken)
    assert worth.octaves == sum(each.registers[1].speech == "speaks" for each in spoken)
    assert (worth.low, worth.high) == pytest.approx((440.0, 1318.51), abs=0.01)
    hole = worth.touchy_hole
    assert hole is not None
    wider = scaledesign.predict(moved(worse, hole, wider=1e-4))
    shifts = [abs(float(wider.cents[i] - prediction.cents[i])) for i in rows]
    assert max(shifts) == pytest.approx(worth.touchy, rel=0.05)


def test_a_reach_that_is_too_far_is_told(wren: Design) -> None:
    """Spare reach is how far the tightest pair could be moved apart before a rule of the hand says no."""
    now = worth_of(wren)
    assert now.spare > 0
    assert not now.broken
    further = worth_of(replace(wren, shop=replace(wren.shop, hand="small")))
    assert further.spare < 0
    assert any("apart" in said for said in further.broken)


def test_a_bare_tube_has_a_worth_without_numbers(wren: Design) -> None:
    worth = worth_of(replace(wren, holes=(), rows=()))
    assert isnan(worth.worst)
    assert isnan(worth.spare)
    assert worth.of_octaves == 0


def test_adopting_keeps_the_log_of_the_wood(wren: Design) -> None:
    letters = ("X",) * 6
    cut = LogEntry(datetime(2026, 1, 1), "cut", note="to length")
    read = LogEntry(datetime(2026, 1, 2), "measured", letters, "A4 -4")
    own = LogEntry(datetime(2026, 1, 3), "note", note="thinner")
    drilled = tuple(replace(hole, drilled=i in (2, 5)) for i, hole in enumerate(wren.holes))
    first = replace(wren, holes=drilled, log=(cut, read))
    chosen = replace(moved(wren, 2, at=3e-3), log=(cut, own))
    taken = adopted(first, chosen, "Adopted.", WHEN)
    assert taken.design.log == (cut, read, own, LogEntry(WHEN, "note", note="Adopted."))
    assert [hole.drilled for hole in taken.design.holes] == [False] * 5 + [True]
    assert [hole.at for hole in taken.design.holes] == [hole.at for hole in chosen.holes]
    assert any("1 reading that this design was not fitted to" in said for said in taken.remarks)
    assert "Hole 3 is drilled; in this design it moves 3.0 mm toward the foot." in taken.remarks
    assert scaledesign.loads(scaledesign.dumps(replace(taken.design, text=None))).log == taken.design.log


def test_a_log_of_other_holes_cannot_go_on(wren: Design) -> None:
    read = LogEntry(datetime(2026, 1, 2), "measured", ("X",) * 6, "A4 -4")
    five = replace(wren, holes=wren.holes[:5], rows=())
    taken = adopted(replace(wren, log=(read,)), five, "Adopted.", WHEN)
    assert [entry.event for entry in taken.design.log] == ["note"]
    assert taken.remarks == ("1 entry of the log told of other holes, and had to be left out.",)
