"""The flute picture: exact cells, true places and widths, nothing written over anything else."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import scaledesign
from scaledesign.model.document import (
    Chamber,
    Design,
    Finger,
    Foot,
    FootKind,
    Hole,
    HoleState,
    Instrument,
    Mouth,
    Station,
    Tube,
    Voicing,
)
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.lines import DRAWN, TYPED, Line, Signs, text_of
from tests.solver.remake_examples import EXAMPLES, PLANS

BOTH = pytest.mark.parametrize("signs", [DRAWN, TYPED], ids=lambda signs: signs.name)
FINGERS: tuple[Finger, ...] = get_args(Finger)
SIX: tuple[Finger, ...] = ("L1", "L2", "L3", "R1", "R2", "R3")
WHOLE = {"█": 2, "▐": 1, "▌": 1}


def tube(length: float = 0.35, bore: float = 0.016, **more: object) -> Tube:
    """A straight tube."""
    straight = Tube(length, (Station(0.0, bore),), (Station(0.0, 0.0035),))
    return replace(straight, **more)


def flute(*holes: Hole, **more: object) -> Design:
    """A plain tube with holes, so that the first cell is the sounding edge."""
    plain = Design(tube(), instrument=Instrument("open"), holes=holes)
    return replace(plain, **more)


def six(diameter: float = 0.008) -> Design:
    """Six fingers in two hands."""
    return flute(*(Hole(0.14 + 0.03 * i, diameter, finger=finger) for i, finger in enumerate(SIX)))


def texts(lines: tuple[Line, ...]) -> list[str]:
    """Lines without their tones."""
    return [text_of(line) for line in lines]


def toned(line: Line, tone: str) -> list[tuple[int, str]]:
    """Cells (column, sign) of a line that have a tone and are not blank."""
    cells, column = [], 0
    for span in line:
        cells += [(column + i, sign) for i, sign in enumerate(span.text) if span.tone == tone and sign != " "]
        column += len(span.text)
    return cells


lengths = st.floats(0.0, 2.0)
designs = st.builds(
    Design,
    tube=st.builds(
        tube,
        length=lengths,
        bore=st.floats(0.004, 0.06),
        foot=st.builds(Foot, st.sampled_from(get_args(FootKind)), st.just(0.005)),
        locked=st.booleans(),
        blank=st.none() | lengths,
        avoid=st.lists(st.tuples(lengths, lengths), max_size=3).map(tuple),
        chamber=st.none() | st.builds(Chamber, lengths, st.just(0.005)),
    ),
    instrument=st.builds(Instrument, st.sampled_from(get_args(Mouth))),
    units=st.sampled_from(["mm", "in"]),
    voicing=st.builds(Voicing, cavity=st.floats(0.0, 0.3)),
    holes=st.lists(
        st.builds(
            Hole,
            at=lengths,
            diameter=st.floats(0.0, 0.05),
            side=st.sampled_from([0.0, 30.0, 180.0, 350.0]),
            finger=st.sampled_from(FINGERS),
        ),
        max_size=16,
    ).map(tuple),
)
states = st.lists(st.sampled_from(get_args(HoleState)), max_size=18)


@BOTH
@settings(max_examples=150)
@given(
    design=designs,
    states=states,
    width=st.integers(0, 300),
    height=st.integers(0, 9),
    hole=st.integers(0, 15),
)
def test_every_picture_has_exactly_the_cells_asked_for(
    signs: Signs, design: Design, states: list[HoleState], width: int, height: int, hole: int
) -> None:
    """Whatever flute, in whatever room; the typed set is ASCII."""
    lines = flute_lines(design, signs, width, height, states=states, hole=hole, moved=(1, 2))
    assert [len(text) for text in texts(lines)] == [width] * height
    if signs is TYPED:
        assert "".join(texts(lines)).isascii()


@BOTH
@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.file)
def test_examples_fit_every_width(signs: Signs, plan: object) -> None:
    """From a sliver to a wall."""
    design = scaledesign.load(EXAMPLES / plan.file)
    for width in (20, 38, 60, 78, 100, 138, 200, 300):
        for height in range(3, 9):
            lines = flute_lines(design, signs, width, height, states=design.rows[0].holes, hole=1)
            assert [len(text) for text in texts(lines)] == [width] * height


@settings(max_examples=200)
@given(
    at=st.floats(0.03, 0.32),
    diameter=st.floats(0.004, 0.014),
    length=st.floats(0.34, 0.7),
    width=st.integers(60, 300),
    height=st.integers(3, 8),
)
def test_a_hole_is_where_it_is_and_as_wide(
    at: float, diameter: float, length: float, width: int, height: int
) -> None:
    """To half a cell, read off the picture alone: the edge is its first cell, the foot the cut line."""
    design = replace(flute(Hole(at, diameter, finger="L1")), tube=tube(length))
    lines = flute_lines(design, DRAWN, width, height, states=("X",))
    line = next(line for line in lines if any(sign in WHOLE for _, sign in toned(line, "finger")))
    scale = text_of(line).index("┊") / length
    halves = [
        2 * column + half
        for column, sign in toned(line, "finger")
        for half in {"█": (0, 1), "▌": (0,), "▐": (1,)}[sign]
    ]
    assert halves == list(range(halves[0], halves[-1] + 1))
    centre = (halves[0] + halves[-1] + 1) / 4
    assert abs(centre - at * scale) <= 0.5
    assert abs(len(halves) / 2 - max(1.0, diameter * scale)) <= 0.5


@given(at=st.floats(0.03, 0.32), diameter=st.floats(0.004, 0.014), width=st.integers(60, 300))
def test_so_it_is_in_plain_signs(at: float, diameter: float, width: int) -> None:
    """To half a cell too, on whole cells."""
    lines = flute_lines(flute(Hole(at, diameter, finger="L1")), TYPED, width, 4, states=("X",))
    scale = texts(lines)[1].index(":") / 0.35
    columns = [column for column, _ in toned(lines[1], "finger")]
    assert abs((columns[0] + columns[-1] + 1) / 2 - at * scale) <= 0.5
    assert len(columns) == max(1, round(diameter * scale))


@BOTH
def test_eight_millimetres_on_a_tube_of_350_over_130_cells_are_three(signs: Signs) -> None:
    """And a wider hole looks wider."""

    def cells(diameter: float) -> float:
        lines = flute_lines(flute(Hole(0.2, diameter, finger="L1")), signs, 131, 4, states=("X",))
        return sum(WHOLE.get(sign, 2) for _, sign in toned(lines[1], "finger")) / 2

    assert cells(0.008) == 3
    assert cells(0.005) < cells(0.008) < cells(0.011)
    assert cells(0.0001) == 1


@BOTH
@pytest.mark.parametrize("width", [40, 78, 138])
@pytest.mark.parametrize("height", range(3, 9))
@pytest.mark.parametrize("side", [0.0, 180.0])
def test_states_and_sides_differ_without_any_colour(
    signs: Signs, width: int, height: int, side: float
) -> None:
    """Closed is filled, open is hollow, half is neither; a thumb's hole lies in the lower wall."""
    hole = Hole(0.2, 0.008, side=side, finger="LT" if side else "L1")
    pictures = [tuple(texts(flute_lines(flute(hole), signs, width, height, states=s))) for s in "XOH"]
    assert len(set(pictures)) == 3
    bare = texts(flute_lines(flute(), signs, width, height))
    changed = [i for i, (one, other) in enumerate(zip(pictures[0], bare, strict=True)) if one != other]
    other_side = replace(hole, side=180.0 - side)
    turned = texts(flute_lines(flute(other_side), signs, width, height, states="X"))
    moved = [i for i, (one, other) in enumerate(zip(turned, bare, strict=True)) if one != other]
    assert changed != moved


@BOTH
def test_missing_states_are_open(signs: Signs) -> None:
    """No row is chosen, or a hole has no finger."""
    vent = replace(six(), holes=(*six().holes, Hole(0.33, 0.008)))
    assert flute_lines(vent, signs, 100, 7) == flute_lines(vent, signs, 100, 7, states="OOOOOO")
    closed = texts(flute_lines(vent, signs, 100, 4, states="XXXXXX"))
    unmarked = texts(flute_lines(replace(vent, holes=vent.holes[:6]), signs, 100, 4, states="XXXXXX"))
    assert closed != unmarked


@BOTH
@pytest.mark.parametrize(("width", "height"), [(40, 3), (78, 4), (138, 7), (138, 8)])
def test_what_is_chosen_and_what_moved_stand_out(signs: Signs, width: int, height: int) -> None:
    """The hole and its name; each once."""
    lines = flute_lines(six(), signs, width, height, states="XXXXOO", hole=4, moved=(1, 4))
    strong = "".join(sign for line in lines for _, sign in toned(line, "strong"))
    moved = "".join(sign for line in lines for _, sign in toned(line, "moved"))
    assert "R2" in strong
    assert strong.replace("R2", "")
    assert "L2" in moved
    assert moved.replace("L2", "")
    assert "R2" not in moved


@BOTH
@settings(max_examples=150)
@given(design=designs, width=st.integers(20, 300), hole=st.integers(0, 15))
def test_names_never_run_into_each_other(signs: Signs, design: Design, width: int, hole: int) -> None:
    """Every word in the line of names is a whole finger; the chosen hole's is there if any is."""
    names, notes = (texts(flute_lines(design, signs, width, 5, hole=hole))[i] for i in (0, 4))
    assert set(re.findall(r"\w+", names)) <= set(FINGERS)
    words = re.sub(r"\d+(\.\d+)? mm( off)?|(\d+ )?(\d+(/\d+)?) in( off)?", "", notes)
    assert set(re.findall(r"\w+", words)) <= set(FINGERS)
    if hole < len(design.holes) and design.holes[hole].at <= design.tube.length:
        chosen = design.holes[hole].finger
        assert chosen == "none" or chosen in names + notes


@BOTH
def test_hands_are_grouped(signs: Signs) -> None:
    """A line joins the fingers of a hand, and none the hands; with room it says which is which."""
    joined = texts(flute_lines(six(), signs, 100, 7, states="XXXXXX"))[0]
    line = re.escape(signs.across)
    assert re.search(rf"L1{line}+L2{line}+L3 +R1{line}+R2{line}+R3", joined)
    above, names = texts(flute_lines(six(), signs, 120, 8))[:2]
    assert above.index("upper hand") < above.index("lower hand")
    assert signs.across not in names
    assert "upper hand" not in texts(flute_lines(six(), signs, 60, 8))[0]
    assert "upper" in texts(flute_lines(six(), signs, 60, 8))[0]


def test_a_thumb_is_named_at_its_hole_and_not_joined_to_the_fingers() -> None:
    """It lies under the tube."""
    design = replace(six(), holes=(Hole(0.12, 0.008, side=180.0, finger="LT"), *six().holes))
    lines = texts(flute_lines(design, DRAWN, 138, 7))
    assert "LT" in lines[6]
    assert "LT" not in lines[0]
    assert re.search(r"LT +L1", texts(flute_lines(design, DRAWN, 138, 6))[5])


@BOTH
def test_stretches_to_avoid_are_marked_where_they_are(signs: Signs) -> None:
    """In every line of the tube."""
    design = flute(tube=tube(0.4, avoid=((0.1, 0.11), (0.3, 0.3))))
    marked, plain = (texts(flute_lines(d, signs, 121, 7)) for d in (design, flute(tube=tube(0.4))))
    for one, other in zip(marked[1:6], plain[1:6], strict=True):
        differ = [column for column in range(121) if one[column] != other[column]]
        assert differ == [30, 31, 32, 90]


@BOTH
def test_the_cut_line_says_the_length_in_the_designs_units(signs: Signs) -> None:
    """Under the foot; a foot that is cut already looks different."""
    for height in range(3, 9):
        lines = texts(flute_lines(flute(), signs, 78, height))
        assert lines[-1].rstrip(" :┊▔=").endswith("350.0 mm")
    inches = flute(units="in", tube=tube(0.4015))
    assert "15 13/16 in" in texts(flute_lines(inches, signs, 78, 4))[3]
    cut = flute(tube=tube(locked=True))
    assert texts(flute_lines(cut, signs, 78, 4))[1][-1] == signs.down
    assert texts(flute_lines(flute(), signs, 78, 4))[1][-1] != signs.down


@BOTH
def test_what_a_blank_leaves_is_drawn_and_said(signs: Signs) -> None:
    """To scale while there is room for it, with a break where there is none."""
    little = texts(flute_lines(flute(tube=tube(0.35, blank=0.385)), signs, 133, 7))
    foot = little[3].index("┊" if signs is DRAWN else ":")
    assert 132 - foot == pytest.approx(0.035 * foot / 0.35, abs=1.5)
    assert "35.0 mm off" in little[6]
    broken = "╱╱" if signs is DRAWN else "//"
    assert broken not in little[3]
    much = texts(flute_lines(flute(tube=tube(0.35, blank=1.0)), signs, 133, 7))
    assert broken in much[3]
    assert much[3].index("┊" if signs is DRAWN else ":") > 100
    assert "off" not in "".join(texts(flute_lines(flute(), signs, 133, 7)))


@BOTH
def test_a_long_chamber_is_broken_so_that_the_holes_have_room(signs: Signs) -> None:
    """A short one is drawn to scale."""
    broken = "╱╱" if signs is DRAWN else "//"
    duct = replace(six(), instrument=Instrument("duct"))
    long = texts(flute_lines(replace(duct, tube=tube(chamber=Chamber(0.15))), signs, 130, 7))
    assert broken in long[1]
    assert long[6].index("├" if signs is DRAWN else "|") < 20
    short = texts(flute_lines(replace(duct, tube=tube(chamber=Chamber(0.02))), signs, 130, 7))
    assert broken not in short[1]


@BOTH
def test_mouths_and_feet_differ(signs: Signs) -> None:
    """One can tell what kind of flute it is."""
    mouths = {
        "".join(texts(flute_lines(replace(six(), instrument=Instrument(mouth)), signs, 100, 7)))
        for mouth in get_args(Mouth)
    }
    assert len(mouths) == len(get_args(Mouth))
    feet = {
        "".join(texts(flute_lines(flute(tube=tube(foot=Foot(kind, 0.005))), signs, 100, 7)))
        for kind in get_args(FootKind)
    }
    assert len(feet) == len(get_args(FootKind))
