"""Flutes that can't be met: the rule that binds is named, and leaving it out makes the note playable."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import pytest

import scaledesign
from scaledesign.locations import PACKAGE
from scaledesign.model.document import Design, Hand, Hole, Station
from scaledesign.model.units import parse_length
from scaledesign.solver.solution import Solution
from scaledesign.solver.verdict import KINDS, TOGETHER, several

Change = Callable[[Design], Design]

TRANSVERSE = """
units = "mm"
instrument = {{ mouth = "transverse", system = "six-hole diatonic" }}
tube = {{ length = {length}, bore = 18, wall = 4{tube} }}
tuning = {{ tonic = "G4", scale = "major" }}
shop = {{ bits = "metric 0.5"{shop} }}
holes = [
  {{ finger = "L1", diameter = 8.5, at = 170.3{holes} }},
  {{ finger = "L2", diameter = 9.0, at = 199.1{holes} }},
  {{ finger = "L3", diameter = 9.0, at = {third}{holes} }},
  {{ finger = "R1", diameter = 8.5, at = 268.1{holes} }},
  {{ finger = "R2", diameter = 11.0, at = 288.8{holes} }},
  {{ finger = "R3", diameter = 8.5, at = 322.3{holes} }},
]
rows = [
  {{ note = "G4", holes = "XXX XXX" }},
  {{ note = "A4", holes = "XXX XXO" }},
  {{ note = "B4", holes = "XXX XOO" }},
  {{ note = "C5", holes = "XXX OOO" }},
  {{ note = "D5", holes = "XXO OOO" }},
  {{ note = "E5", holes = "XOO OOO" }},
  {{ note = "F#5", holes = "OOO OOO" }},
  {rows}
]
"""
"""Six holes that play to a hundredth of a cent as they stand."""

DUCT = """
units = "in"
instrument = {{ mouth = "duct", system = "five-hole pentatonic" }}
tube = {{ length = {length}, bore = {bore}, wall = "1/8"{tube} }}
tuning = {{ tonic = "{tonic}", scale = "pentatonic minor" }}
shop = {{ bits = "inch 1/64"{shop} }}
holes = [
  {{ finger = "L1", diameter = "17/64", at = 5.75{holes} }},
  {{ finger = "L2", diameter = "19/64", at = 6.64{holes} }},
  {{ finger = "R1", diameter = "19/64", at = 8.35{holes} }},
  {{ finger = "R2", diameter = "21/64", at = 9.68{holes} }},
  {{ finger = "R3", diameter = "11/32", at = 11.01{holes} }},
]
rows = [
  {{ note = "{notes[0]}", holes = "XX XXX" }},
  {{ note = "{notes[1]}", holes = "XX XXO" }},
  {{ note = "{notes[2]}", holes = "XX XOO" }},
  {{ note = "{notes[3]}", holes = "XX OOO" }},
  {{ note = "{notes[4]}", holes = "XO OOO" }},
  {{ note = "{notes[5]}", holes = "OO OOO" }},
]
"""

NOTCH = """
units = "mm"
instrument = {{ mouth = "notch", system = "four-hole-and-thumb" }}
tube = {{ length = 546, bore = 19, wall = 4.5{tube} }}
tuning = {{ tonic = "D4", scale = "pentatonic minor" }}
shop = {{ bits = "metric 0.5"{shop} }}
holes = [
  {{ finger = "LT", diameter = 12, at = 243.4, side = "back"{holes} }},
  {{ finger = "L1", diameter = 8.5, at = 262.4{holes} }},
  {{ finger = "L2", diameter = 5, at = 298.3{holes} }},
  {{ finger = "R1", diameter = 5.5, at = 350.5{holes} }},
  {{ finger = "R2", diameter = 5, at = 382.0{holes} }},
]
rows = [
  {{ note = "D4", holes = "X XX XX" }},
  {{ note = "F4", holes = "X XX XO" }},
  {{ note = "G4", holes = "X XX OO" }},
  {{ note = "A4", holes = "X XO OO" }},
  {{ note = "C5", holes = "X OO OO" }},
  {{ note = "D5", holes = "O OO OO" }},
]
"""

ONE_HOLE = """
units = "in"
instrument = { mouth = "duct" }
tube = { length = 14.1, bore = 0.625, wall = "1/8" }
tuning = { tonic = "A4" }
shop = { bits = "inch 1/64", wood = 1.25 }
holes = [{ finger = "R1", diameter = "11/32", at = 12, locked = ["diameter"] }]
rows = [{ note = "A4", holes = "X" }, { note = "Bb4", holes = "O" }]
"""

MINOR = ("A4", "C5", "D5", "E5", "G5", "A5")


def more(values: str) -> str:
    return f", {values}" if values else ""


def transverse(
    tube: str = "", shop: str = "", holes: str = "", rows: str = "", length: float = 395, third: float = 229.7
) -> str:
    return TRANSVERSE.format(
        tube=more(tube), shop=more(shop), holes=more(holes), rows=rows, length=length, third=third
    )


def duct(
    tube: str = "",
    shop: str = "",
    holes: str = "",
    length: float = 14.1,
    bore: float = 0.625,
    notes: tuple[str, ...] = MINOR,
) -> str:
    return DUCT.format(
        tube=more(tube), shop=more(shop), holes=more(holes),
        length=length, bore=bore, notes=notes, tonic=notes[0],
    )  # fmt: skip


def notch(tube: str = "", shop: str = "", holes: str = "") -> str:
    return NOTCH.format(tube=more(tube), shop=more(shop), holes=more(holes))


def shop(**values: Any) -> Change:
    return lambda design: replace(design, shop=replace(design.shop, **values))


def tube(**values: Any) -> Change:
    return lambda design: replace(design, tube=replace(design.tube, **values))


def unlocked(*numbers: int) -> Change:
    def change(design: Design) -> Design:
        def open_up(i: int, hole: Hole) -> Hole:
            return replace(hole, locked=frozenset()) if i + 1 in numbers else hole

        return replace(design, holes=tuple(open_up(i, hole) for i, hole in enumerate(design.holes)))

    return change


def without_row(number: int) -> Change:
    return lambda design: replace(design, rows=design.rows[: number - 1] + design.rows[number:])


NARROW_WOOD = shop(wood=0.001)
WIDE_HAND = shop(hand=Hand((0.2, 0.2, 0.2), 0.3, 0.019))
SIZES = 'locked = ["diameter"]'
PLACES = 'locked = ["at"]'


@dataclass(frozen=True)
class Case:
    """A design that can't be met; ``said`` are the key and the value that the sentence must name.

    ``row`` counts from 1. ``freed`` leaves the guilty rule out, ``idle`` an innocent one.
    """

    kind: str
    text: str
    row: int
    said: tuple[str, ...]
    freed: Change
    idle: Change = NARROW_WOOD
    holes: tuple[int, ...] | None = None
    """Numbers of the holes that must be named; None: any."""


CASES = {
    "wood": Case(
        "wood", transverse(shop="wood = 18", holes=SIZES), 3, ("shop.wood", "18.0 mm"),
        NARROW_WOOD, WIDE_HAND, (4, 5),
    ),
    "wood to the foot": Case(
        "foot", ONE_HOLE, 2, ("shop.wood", "1 1/4 in"), NARROW_WOOD, WIDE_HAND, (1,)
    ),
    "largest": Case(
        "largest", transverse(shop="largest = 8", holes=PLACES), 3, ("shop.largest", "8.0 mm"),
        shop(largest=0.012),
    ),
    "smallest": Case(
        "smallest", transverse(shop="smallest = 9.5", holes=PLACES), 7, ("shop.smallest", "9.5 mm"),
        shop(smallest=0.004),
    ),
    "share of the bore": Case(
        "share_of_bore", transverse(shop="share_of_bore = 0.5", holes=PLACES), 3,
        ("shop.share_of_bore", "0.5 of the bore", "9.0 mm"), shop(share_of_bore=0.75), NARROW_WOOD, (5,),
    ),
    "finger pad": Case(
        "pad", duct(shop="hand = { spread = [2, 2, 2], gap = 3, pad = 0.4 }", holes=PLACES), 4,
        ("shop.hand", "9/32 in"), shop(hand="medium"), shop(largest=0.02),
    ),
    "hand spread": Case(
        "spread", transverse(shop="hand = { spread = [26, 26, 30], gap = 60, pad = 16 }", holes=SIZES), 2,
        ("shop.hand", "26.0 mm"), shop(hand="large"),
    ),
    "gap between the hands": Case(
        "gap", duct(shop="hand = { spread = [2, 2, 2], gap = 1.25, pad = 0.63 }", holes=SIZES), 4,
        ("shop.hand", "1 1/4 in"), shop(hand="large"), NARROW_WOOD, (2, 3),
    ),
    "thick fingers": Case(
        "fingers", duct(shop="hand = { spread = [3, 3, 3], gap = 3, pad = 1.1 }", holes=SIZES), 5,
        ("shop.hand", "1 3/32 in"), shop(hand="large"), NARROW_WOOD, (1, 2),
    ),
    "a stretch to avoid": Case(
        "avoid", notch(tube="avoid = [[285, 306]]", shop='hand = "large"', holes=SIZES), 4,
        ("tube.avoid", "285.0 and 306.0 mm"), tube(avoid=()), NARROW_WOOD, (3,),
    ),
    "a blank too short": Case(
        "blank", transverse(tube="blank = 350", length=345), 1, ("tube.blank", "350.0 mm"),
        tube(blank=None),
    ),
    "a foot that is cut": Case(
        "tube_locked", duct(tube="locked = true", length=13.5), 1, ("tube.locked", "13 1/2 in"),
        tube(locked=False),
    ),
    "a hole that is drilled": Case(
        "hole_locked",
        transverse(third=212).replace("at = 212 ", "at = 212, locked = true "), 5,
        ("holes[3].locked", "9.0 mm at 212.0 mm"), unlocked(3), NARROW_WOOD, (3,),
    ),
    "bits too far apart": Case(
        "bits", transverse(holes=PLACES).replace('"metric 0.5"', "[5, 12]"), 2, ("shop.bits",),
        shop(bits="metric 0.5"),
    ),
    "two notes of one fingering": Case(
        "same_fingering", transverse(rows='{ note = "Bb4", holes = "XXX XOO" },'), 3,
        ("rows[3].holes", "row 8 (Bb4)", "XXX XOO"), without_row(8),
    ),
    "two bores of head": Case(
        "head",
        duct(
            bore=1.3, length=13, shop="hand = { spread = [3, 3, 3], gap = 3, pad = 1 }, largest = 0.6",
            notes=("D5", "F5", "G5", "A5", "C6", "D6"),
        ),
        5, ("tube.bore", "2 19/32 in"), tube(bore=(Station(0.0, 0.016),)),
    ),
}  # fmt: skip


def off(solution: Solution, row: int) -> bool:
    return abs(float(solution.prediction.cents[row - 1])) > solution.design.tuning.tolerance


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_the_rule_that_binds_is_named(case: Case) -> None:
    solution = scaledesign.solve(scaledesign.loads(case.text))
    assert off(solution, case.row)
    found = {obstacle.row + 1: obstacle for obstacle in solution.obstacles}
    obstacle = found[case.row]
    assert obstacle.kind == case.kind
    assert f"Row {case.row} ({solution.design.rows[case.row - 1].note})" in obstacle.sentence
    for words in (*case.said, obstacle.key):
        assert words in obstacle.sentence
    if case.holes is not None:
        assert tuple(hole + 1 for hole in obstacle.holes) == case.holes
    assert any(obstacle.sentence == note for note in solution.notes) or any(
        note.startswith("The same keeps") and f"{case.row}" in note for note in solution.notes
    )


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_without_that_rule_the_row_is_met_and_without_another_it_is_not(case: Case) -> None:
    design = scaledesign.loads(case.text)
    assert not off(scaledesign.solve(case.freed(design)), case.row)
    assert off(scaledesign.solve(case.idle(design)), case.row)


def test_rules_that_contradict_each_other_spoil_nothing_else() -> None:
    """The first hole of the lower hand locked, a stretch to avoid where the next two must go.

    The contradiction is said first and names the lock; no bit is blamed; the upper hand keeps its room.
    """
    wanted = scaledesign.Wanted(
        bore=parse_length("5/8", "in"),
        wall=parse_length("1/8", "in"),
        key="F#4",
        scale="pentatonic minor",
        system="six-hole pentatonic",
        units="in",
        bits="inch 1/64",
    )
    design = scaledesign.new_design(wanted).design
    holes = list(design.holes)
    holes[3] = replace(holes[3], locked=frozenset({"at"}))
    avoid = ((parse_length("11", "in"), parse_length("12.5", "in")),)
    torn = replace(design, holes=tuple(holes), tube=replace(design.tube, avoid=avoid))
    solution = scaledesign.solve(torn)
    assert solution.notes[0].startswith("Your rules contradict each other: ")
    assert "with what is locked" in solution.notes[0]
    assert not any("bit" in note for note in solution.notes)
    assert not any("Holes 1 and 2" in note or "Holes 2 and 3" in note for note in solution.notes)


def test_rules_that_hold_a_row_together_are_said_in_words_and_not_in_keys() -> None:
    design = scaledesign.load(PACKAGE / "examples" / "marsh-wren.toml")
    said = several(design, 2, ("pad", "largest", "hole_locked", "hole_locked", "tube_locked"), -12.0).sentence
    assert said.startswith(f"Row 3 ({design.rows[2].note}) stays 12 cents flat: what a finger seals, ")
    assert "the locked holes and the cut foot hold it together" in said
    assert said.count("locked") == 1
    assert several(design, 2, ("pad",), 12.0).sentence.partition(": ")[2].startswith("several rules hold it")
    assert set(TOGETHER) == {*KINDS, "tube_locked", "hole_locked"}
    assert not [words for words in TOGETHER.values() if "." in words or "_" in words]
