"""Registers of every fingering: known tubes, agreement with the solver, verdicts that follow the numbers."""

from __future__ import annotations

from dataclasses import replace
from math import isnan

import numpy as np
import pytest

import scaledesign
from scaledesign.model.document import Design, Foot, Hole, Mouth, Row, Station, Tube, Voicing, Window
from scaledesign.physics.lattice import cutoff
from scaledesign.solver.problem import air_of, fingerings_of, flutes_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.workshop.registers import (
    BREATH,
    FAINT,
    FIRM,
    SPEECHES,
    THREE,
    WRONG,
    Played,
    Registers,
    heard,
    registers,
)
from scaledesign.workshop.sound import impedance_curve
from tests.solver.remake_examples import EXAMPLES, PLANS
from tests.workshop.tubes import flute, still

FILES = [plan.file for plan in PLANS]
MOUTHS: tuple[Mouth, ...] = ("duct", "notch", "rim", "transverse")


def of(note: str, found: Registers) -> Played:
    return next(one for one in found.fingerings if one.note == note)


def bare(added: float, cavity: float = 0.0, mouth: Mouth = "transverse") -> Played:
    """A tube of 400 by 16 mm, wall 4 mm, at 20 degrees."""
    tube = Tube(0.4, (Station(0.0, 0.016),), (Station(0.0, 0.004),))
    design = replace(flute(mouth=mouth, holes=0), tube=tube, voicing=Voicing(added, cavity=cavity))
    (played,) = registers(still(design)).fingerings
    return played


@pytest.mark.parametrize(
    ("added", "cavity", "known"),
    [
        (0.020, 0.0, (399.695, 802.276, 1206.555)),
        (0.030, 0.0, (390.857, 785.933, 1184.879)),
        (0.040, 0.0, (382.609, 771.590, 1167.295)),
        (0.030, 0.010, (390.456, 782.918, 1175.707)),
    ],
)
def test_stretch_of_a_tube_computed_independently(
    added: float, cavity: float, known: tuple[float, ...]
) -> None:
    """Cents from whole multiples: from a plain transmission line in dry air at 20 degrees."""
    played = bare(added, cavity)
    for one in played.registers[1:]:
        stretch = 1200 * np.log2(known[one.number - 1] / (one.number * known[0]))
        assert one.stretch == pytest.approx(stretch, abs=0.2)
    assert [one.speech for one in played.registers] == ["speaks"] * 3


@pytest.mark.parametrize("file", FILES)
def test_every_fingering_of_an_example(file: str) -> None:
    """Each row belongs to one fingering; its registers are the solver's, its low note what is predicted."""
    design = scaledesign.load(EXAMPLES / file)
    found, prediction = registers(design), scaledesign.predict(design)
    assert sorted(row for one in found.fingerings for row in one.rows) == list(range(len(design.rows)))
    for played in found.fingerings:
        assert len(played.registers) == (3 if design.instrument.mouth in THREE else 2)
        for row in played.rows:
            register = design.rows[row].register
            shown = played.registers[register - 1].frequency
            assert shown == pytest.approx(float(prediction.frequency[row]), rel=1e-8)
        assert played.row is not None
        share = fingerings_of(design, (played.row,)).share
        both = Fingerings(np.repeat(share, 2, axis=1), np.array([1, 2]))
        solved = resonances(flutes_of(design), both).frequency[0]
        assert [one.frequency for one in played.registers[:2]] == pytest.approx(solved, rel=1e-8)


@pytest.mark.parametrize("file", FILES)
def test_what_is_heard_on_the_screen_is_what_the_command_says(file: str) -> None:
    design = scaledesign.load(EXAMPLES / file)
    for played in registers(design).fingerings:
        row = played.rows[0]
        again = heard(design, row, impedance_curve(design, row))
        for one, other in zip(played.registers[:2], again.registers[:2], strict=True):
            assert (one.speech, one.number) == (other.speech, other.number)
            assert other.frequency == pytest.approx(one.frequency, rel=1e-5)
        assert again.cutoff == pytest.approx(played.cutoff, nan_ok=True)


@pytest.mark.parametrize("file", FILES)
def test_verdicts_follow_the_numbers(file: str) -> None:
    """What speaks is deep, in range and where it belongs; what does not has a reason."""
    design = scaledesign.load(EXAMPLES / file)
    for played in registers(design).fingerings:
        for one in played.registers:
            assert (one.speech == "speaks") == (one.reason == "")
            if one.speech == "speaks":
                assert one.depth >= FIRM
                assert played.vented or abs(one.stretch) <= WRONG
            if one.speech == "weakly":
                assert one.depth >= FAINT


@pytest.mark.parametrize("mouth", MOUTHS)
def test_a_flute_of_every_mouth_speaks_in_its_second_octave(mouth: Mouth) -> None:
    """A usual tube; the third register where lips can ask for it."""
    low = registers(flute(mouth=mouth)).fingerings[0]
    assert [one.speech for one in low.registers] == ["speaks"] * (2 if mouth == "duct" else 3)


@pytest.mark.parametrize("mouth", MOUTHS)
@pytest.mark.parametrize("bores", [2.0, 8.0, 60.0, 150.0])
def test_extreme_tubes_are_judged_and_never_refused(mouth: Mouth, bores: float) -> None:
    found = registers(flute(bores, mouth))
    assert found.slenderness == pytest.approx(bores)
    closed = found.fingerings[0]
    if bores < 12:
        assert all(one.registers[1].speech != "speaks" for one in found.fingerings)
        assert closed.low.speech in ("speaks", "weakly")
    else:
        assert all(one.low.speech != "speaks" for one in found.fingerings)
        assert closed.registers[1].speech == "speaks"
        assert "too slender" in closed.low.reason


def test_a_register_that_is_not_there_is_told() -> None:
    """Nothing is raised, and the fingerings that have one keep theirs."""
    found = registers(flute(8.0, "transverse"))
    missing = [one for one in found.fingerings if isnan(one.registers[2].frequency)]
    assert missing
    for one in missing:
        last = one.registers[2]
        assert (last.speech, last.reason) == ("none", "there is no such register")
        assert isnan(last.stretch)
        assert one.low.frequency > 0
    assert any(one.registers[2].frequency > 0 for one in found.fingerings)


def test_a_tube_that_no_note_comes_out_of() -> None:
    """Wider than long: there is nothing to walk through, and nothing is raised."""
    found = registers(flute(0.3, bore=0.06))
    assert all(one.speech == "none" for played in found.fingerings for one in played.registers)
    assert all(played.bend is None for played in found.fingerings)


def test_a_stopped_tube_has_no_octave() -> None:
    """It overblows to the twelfth, an octave and a fifth: 702 cents above the octave, a little more."""
    tube = replace(flute(holes=0).tube, foot=Foot("stopped"))
    (played,) = registers(replace(flute(holes=0), tube=tube)).fingerings
    octave = played.registers[1]
    assert octave.speech == "none"
    assert 690 < octave.stretch < 750
    assert "cents above the octave" in octave.reason


def test_a_tube_without_rows_is_closed_and_named_by_its_key() -> None:
    design = replace(flute(), rows=())
    (played,) = registers(design).fingerings
    assert (played.note, played.row, played.rows, played.of_the_scale) == ("A4", None, (), True)
    assert played.low.frequency == pytest.approx(registers(flute()).fingerings[0].low.frequency)


def test_rows_that_are_fingered_alike_are_one_fingering() -> None:
    """The lower register speaks for both; a half-open hole that is open otherwise is another fingering."""
    low, *_ = flute().rows
    half = replace(low, holes=("X", "X", "X", "X", "X", "H"), open_share=0.3)
    rows = (replace(low, note="A5", register=2), low, half, replace(half, open_share=0.6), half)
    found = registers(replace(flute(), rows=rows)).fingerings
    assert [(one.note, one.rows) for one in found] == [("A4", (0, 1)), ("A4", (2, 4)), ("A4", (3,))]


def test_a_row_is_judged_in_any_register_it_asks_for() -> None:
    """A duct is not overblown twice as a rule, but its maker may ask."""
    third = replace(flute().rows[0], note="E6", register=3)
    assert [len(one.registers) for one in registers(replace(flute(), rows=(third,))).fingerings] == [3]
    assert [len(one.registers) for one in registers(replace(flute(), rows=flute().rows[:1])).fingerings] == [
        2
    ]


def test_an_overblown_fingering_is_judged_where_it_is_blown() -> None:
    """A hole opened to help the octave out: its own low note is nobody's, so the octave owes it nothing."""
    vented = Row("A5", ("O", "X", "X", "X", "X", "X"), register=2)
    design = replace(flute(mouth="transverse"), rows=(vented, replace(vented, register=1)))
    judged = registers(replace(design, rows=(vented,))).fingerings[0]
    owed = registers(replace(design, rows=(replace(vented, register=1),))).fingerings[0]
    assert abs(judged.registers[1].stretch) > WRONG
    assert judged.vented
    assert not judged.of_the_scale
    assert judged.registers[1].speech == "speaks"
    assert owed.registers[1].speech == "none"


def test_the_cutoff_of_an_even_row() -> None:
    """Spacing, width and wall as they are; the more holes are open the nearer, all the same here."""
    design = flute()
    first, second = design.holes[0], design.holes[1]
    even = cutoff(
        float(air_of(design).c),
        np.array(0.008),
        np.array(first.diameter / 2),
        np.array(0.003),
        np.array(second.at - first.at),
    )
    for played in registers(design).fingerings:
        assert played.row is not None
        several = played.row.holes.count("O") > 1
        assert played.cutoff == (
            pytest.approx(float(even)) if several else pytest.approx(np.nan, nan_ok=True)
        )


def test_the_cutoff_takes_the_topmost_open_holes_and_a_half_open_one_for_half() -> None:
    """A closed hole between two is a wider space; a hole less than half open ends nothing."""
    design = flute()

    def edge(holes: str, share: float = 0.5) -> float:
        row = Row("A4", tuple(holes), open_share=share)
        return registers(replace(design, rows=(row,))).fingerings[0].cutoff

    assert edge("XXXOXO") == pytest.approx(edge("XXXXOO") / np.sqrt(2))
    assert edge("XXHOOO", 0.2) == edge("XXXOOO")
    assert edge("XXXOOO") > edge("XXHOOO", 0.6) > 0
    far = replace(design, holes=(*design.holes[:5], replace(design.holes[5], at=0.34)))
    row = Row("A4", tuple("OOOOOO"))
    assert registers(replace(far, rows=(row,))).fingerings[0].cutoff == pytest.approx(edge("OOOOOO"))


def test_two_holes_at_one_place_and_a_hole_that_is_always_open() -> None:
    """A thumb hole opposite a finger hole has no space of naught, a tuning hole counts as open."""
    design = flute()
    opposite = replace(design.holes[0], side=180.0, finger="LT")
    holes = (opposite, *design.holes, Hole(at=0.345, diameter=0.006))
    rows = (Row("A4", ("O",) * 7), Row("A4", ("X",) * 7))
    both, closed = registers(replace(design, holes=holes, rows=rows)).fingerings
    assert 0 < both.cutoff < 1e5
    assert isnan(closed.cutoff)
    assert closed.bend is not None
    assert closed.bend.lever is not None
    assert closed.bend.lever.hole == 7


@pytest.mark.parametrize(("length", "speech"), [(0.0005, "hardly"), (0.003, "weakly"), (0.005, "speaks")])
def test_a_short_window_asks_too_little_breath_for_the_low_note(length: float, speech: str) -> None:
    assert of("A4", registers(blown(length))).low.speech == speech


@pytest.mark.parametrize(("length", "speech"), [(0.005, "speaks"), (0.011, "weakly"), (0.03, "hardly")])
def test_a_long_window_asks_too_much_for_the_octave(length: float, speech: str) -> None:
    played = of("A4", registers(blown(length)))
    octave = played.registers[1]
    assert octave.speech == speech
    assert octave.pressure == pytest.approx(4 * played.low.pressure, rel=0.1)
    assert (octave.pressure > BREATH[1]) == (speech != "speaks")


def blown(length: float) -> Design:
    """A usual flute, its mouth worth what it was, with a window of another length."""
    return replace(flute(), voicing=Voicing(0.03, window=Window(length, 0.009, 0.002)))


def test_no_breath_is_told_where_no_window_is_known() -> None:
    assert isnan(of("A4", registers(flute())).low.pressure)
    lips = replace(flute(mouth="rim"), voicing=Voicing(0.03, window=Window(0.005, 0.009)))
    assert isnan(of("A4", registers(lips)).low.pressure)


def test_blowing_harder_sharpens_and_softer_flattens() -> None:
    """Less so in a wide bore (942/Q cents for twice the pressure)."""
    narrow, wide = (of("A4", registers(flute(0.35 / bore, bore=bore))) for bore in (0.014, 0.025))
    for played in (narrow, wide):
        assert played.leaning(0.7) < 0 < played.leaning(1.5) < played.leaning(2.0)
        assert played.leaning(2.0) == pytest.approx(300 * np.pi / played.low.quality)
    assert narrow.leaning(2.0) > wide.leaning(2.0)


def test_smaller_holes_flatten_the_octave_and_weaken_it() -> None:
    """Open small holes leave the octave to the tube below them."""
    rows = flute().rows[2:4]

    def octaves(share: float) -> list[tuple[float, float]]:
        holes = tuple(replace(hole, diameter=0.016 * share) for hole in flute().holes)
        found = registers(replace(flute(), holes=holes, rows=rows)).fingerings
        return [(one.registers[1].stretch, one.registers[1].depth) for one in found]

    for wide, narrow in zip(octaves(0.6), octaves(0.35), strict=True):
        assert narrow[0] < wide[0] - 5
        assert narrow[1] < wide[1]


def test_a_keyless_transverse_flute_plays_what_it_is_known_to() -> None:
    """The second octave freely but for its last note, all holes open (common practice, no source)."""
    design = scaledesign.load(EXAMPLES / "reed-bunting.toml")
    *lower, last = (one for one in registers(design).fingerings if one.of_the_scale)
    assert [one.registers[1].speech for one in lower] == ["speaks"] * 6
    assert last.registers[1].speech in ("weakly", "hardly")


def test_verdicts_are_in_order() -> None:
    assert SPEECHES == ("speaks", "weakly", "hardly", "none")
