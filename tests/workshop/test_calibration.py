"""Calibration: readings in, an added length and a smaller ± out; readings no tube could give, refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

import scaledesign
from scaledesign.errors import EditError, QuantityError
from scaledesign.model.document import Design, Hole, Learned, LogEntry, Row, Station, Tube, Uncertainty
from scaledesign.solver.belief import fit
from scaledesign.solver.hearing import Reading
from scaledesign.solver.prediction import bare_tube_of
from scaledesign.solver.problem import CENT, problem_of, voicing_of
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.workshop import live
from scaledesign.workshop.ask import targets
from scaledesign.workshop.calibration import bare_tube, learn
from scaledesign.workshop.readings import readings_in_force, readings_of
from tests.reference import air as reference_air
from tests.reference.bridge import flutes_of
from tests.reference.cases import WALL
from tests.reference.plain import CHECK_AIR, added_length_of
from tests.solver.remake_examples import EXAMPLES, PLANS

FILES = [plan.file for plan in PLANS]
WHEN = datetime(2026, 1, 5, 10, 20)
MM = 1e-3


def example(file: str = "marsh-wren.toml") -> Design:
    """An example design as it stands in the package."""
    return scaledesign.load(EXAMPLES / file)


SURE = Uncertainty(bore=0, wall=0, at=0, diameter=0, length=0, temperature=0, tuner=0.001, model=0)
"""Nothing in doubt but the mouth."""
TUBE = """
format = 1
units = "mm"

[instrument]
mouth = "rim"

[tube]
length = 400
bore = 16
wall = 4

[air]
temperature = "{temperature} °C"
humidity = 50
breath = 0
"""


# The inverse, against figures of its own


@pytest.mark.parametrize(("blown", "register", "expected"), [(400.0, 1, 19.666), (803.0, 2, 19.584)])
def test_added_length_of_a_blown_note(blown: float, register: int, expected: float) -> None:
    """A tube of 400 x 16 mm, wall 4: figures computed once by independent programs, in check air.

    Nothing else in doubt, so that the whole reading goes to the mouth.
    """
    design = replace(scaledesign.loads(TUBE.format(temperature=20)), uncertainty=SURE)
    problem = problem_of(design, ())
    problem = replace(problem, before=replace(problem.before, added_length=1.0, drift=0.0))
    fingering = Fingerings(np.zeros((0, 1)), np.array([register]))
    flutes = flutes_of(replace(WALL, delta0=0.03), CHECK_AIR)
    found = fit(problem, [Reading(flutes, fingering, (), np.zeros(1), blown)], np.array([[blown]]))
    assert (0.03 + found.state[0, 0]) / MM == pytest.approx(expected, abs=6e-4)
    assert added_length_of(WALL, (), blown, CHECK_AIR) / MM == pytest.approx(expected, abs=6e-4)


@pytest.mark.parametrize("blown", [385.0, 400.0, 415.0])
def test_the_same_from_a_file(blown: float) -> None:
    """Through the façade, air given by its temperature, against the plain reference."""
    design = replace(scaledesign.loads(TUBE.format(temperature=17)), uncertainty=SURE)
    found = scaledesign.calibrate(design, bare=f"{blown} Hz")
    expected = added_length_of(WALL, (), blown, reference_air.moist_air(17, 0.5, 101325))
    # the mouth's drift, which is always in doubt, takes a little of it
    effective = found.added_length + found.design.voicing.drift * (blown / 1000) ** 2
    assert effective == pytest.approx(expected, abs=1e-6)
    assert found.design.voicing.uncertainty == pytest.approx(found.uncertainty, abs=1e-7)
    assert found.design.voicing.calibrated
    assert found.residuals[0].after == pytest.approx(0.0, abs=1e-3)
    assert found.residuals[0].read == blown


# Simulated flutes


@pytest.mark.parametrize("seed", range(3))
def test_a_hidden_voicing_is_found_again(seed: int) -> None:
    """Bore off by 1 %, air by 1 K, a tuner's whole cents: the added length is right within its ±."""
    design = example()
    rng = np.random.default_rng(seed)
    hidden = voicing_of(design).added_length + rng.choice([-1, 1]) * rng.uniform(5, 10) * MM
    truth = replace(
        design,
        voicing=replace(design.voicing, added_length=hidden),
        air=replace(design.air, temperature=design.air.temperature + rng.choice([-1, 1]) / 0.48),
        tube=replace(design.tube, bore=(Station(0.0, 0.0159 * (1 + 0.01 * rng.choice([-1, 1]))),)),
    )
    tube = bare_tube_of(problem_of(truth, targets(truth)))
    sounds = resonances(tube.flutes, tube.fingerings).frequency[0, 0]
    found = scaledesign.calibrate(design, bare=f"A4 {round(1200 * np.log2(sounds / 440)):+d}")
    assert abs(found.added_length - hidden) < 2.5 * found.uncertainty
    real = scaledesign.predict(truth).frequency
    off = 1200 * np.log2(found.after.frequency / real)
    assert (np.abs(off) < 2.5 * found.after.uncertainty).all()
    assert np.abs(off).max() < np.abs(1200 * np.log2(found.before.frequency / real)).max()


# What a reading does to a prediction


@pytest.mark.parametrize("file", FILES)
def test_the_prediction_moves_and_its_doubt_shrinks(file: str) -> None:
    """Every row of every example goes sharp with a sharp reading, flat with a flat one."""
    design = example(file)
    bare = bare_tube(design)[0]
    for cents in (25.0, -25.0):
        found = scaledesign.calibrate(design, bare=f"{bare * np.exp(cents / CENT):.4f} Hz")
        moved = 1200 * np.log2(found.after.frequency / found.before.frequency)
        assert (moved * np.sign(cents) > 15).all()
        assert (found.after.uncertainty < 0.9 * found.before.uncertainty).all()
        assert found.after.calibrated
        assert not found.before.calibrated
        assert (found.after.common < 0.2 * found.before.common).all()
        assert found.notes == ()


@pytest.mark.parametrize("file", FILES)
def test_reading_any_row_shrinks_every_doubt(file: str) -> None:
    """Whatever row it is, whatever its register; most of all where the model is good."""
    design = example(file)
    before = scaledesign.predict(design)
    for row in range(len(design.rows)):
        after = scaledesign.calibrate(design, rows={row: f"{before.frequency[row]:.3f} Hz"}).after
        assert (after.uncertainty < before.uncertainty).all()


@pytest.mark.parametrize("file", FILES)
def test_two_readings_beat_one(file: str) -> None:
    """A row read on top of the bare tube makes the scale more certain, itself most of all."""
    design = example(file)
    plays = scaledesign.predict(design).frequency
    one = scaledesign.calibrate(design, bare=f"{bare_tube(design)[0]:.3f} Hz", when=WHEN)
    for row in (0, len(design.rows) // 2):
        two = scaledesign.calibrate(one.design, rows={row: f"{plays[row]:.3f} Hz"}, when=WHEN)
        assert (two.after.uncertainty < one.after.uncertainty + 0.5).all()
        assert two.after.uncertainty.sum() < one.after.uncertainty.sum()
        assert two.after.uncertainty[row] < one.after.uncertainty[row]
        assert two.uncertainty < one.uncertainty
        assert len(two.residuals) == 2


def test_calibrating_again_with_the_same_readings_changes_nothing() -> None:
    """The fit goes by the readings and by what was thought before any, not by what stands there now."""
    first = scaledesign.calibrate(example(), bare="A4 +12", rows={2: "C5 +20"}, when=WHEN)
    again = scaledesign.calibrate(first.design)
    assert again.design == first.design
    assert again.learnt == first.learnt
    elsewhere = replace(first.design, voicing=replace(first.design.voicing, added_length=0.05))
    assert scaledesign.calibrate(elsewhere).added_length == pytest.approx(first.added_length, abs=1e-10)


def test_the_predicted_bare_tube_is_what_was_read() -> None:
    """One reading is met, but for what the tuner wavers by: predict the tube without holes."""
    design = scaledesign.loads(TUBE.format(temperature=20) + '\n[[rows]]\nnote = "G4"\nholes = ""\n')
    found = scaledesign.calibrate(design, bare="400 Hz")
    assert found.after.frequency[0] == pytest.approx(400.0, abs=0.05)


# What the log says


@pytest.mark.parametrize("file", FILES)
def test_what_the_bare_tube_should_sound_is_what_a_flute_without_holes_plays(file: str) -> None:
    design = example(file)
    plain = replace(design, holes=(), rows=(Row("A4", ()),))
    frequency, doubt = bare_tube(design)
    played = scaledesign.predict(plain)
    assert frequency == pytest.approx(played.frequency[0], rel=1e-9)
    assert doubt == pytest.approx(played.uncertainty[0], rel=1e-9)


def test_a_bare_tube_that_sounds_as_expected_teaches_what_was_thought() -> None:
    design = example()
    frequency, _ = bare_tube(design, 0.38, 18.0)
    assert frequency < bare_tube(design, 0.38, 25.0)[0]
    found = scaledesign.calibrate(design, f"{frequency:.9f} Hz", length=0.38, temperature=18.0)
    assert found.added_length == pytest.approx(voicing_of(design).added_length, abs=1e-6)


def test_after_a_reading_of_tube_or_row_the_bare_tube_holds_less_surprise() -> None:
    """Whatever was read, and in whatever mixture; a row beside it makes the tube a little surer still."""
    design = example()
    estimate = bare_tube(design)[1]
    tube = bare_tube(scaledesign.calibrate(design, "A4 +10").design)[1]
    row = bare_tube(scaledesign.calibrate(design, rows={2: "C5 +5"}).design)[1]
    both = bare_tube(scaledesign.calibrate(design, "A4 +10", rows={2: "C5 +5"}).design)[1]
    assert 0.9 * tube < both < tube < row < estimate / 3


def test_readings_are_noted_with_length_and_temperature() -> None:
    """So that cutting the tube anew, or playing in another room, does not change what was read."""
    design = example()
    found = scaledesign.calibrate(design, bare="A4 +12", rows={2: "C5 +20"}, when=WHEN)
    bare, row = found.design.log
    assert bare == LogEntry(
        WHEN, "measured", (), "A4 +12", design.air.temperature, design.tube.length, "the bare tube"
    )
    assert row == LogEntry(WHEN, "measured", design.rows[2].holes, "C5 +20", design.air.temperature)
    assert found.design.rows[2].measured == "C5 +20"
    later = replace(
        found.design,
        tube=replace(design.tube, length=0.34),
        air=replace(design.air, temperature=12.0),
        rows=design.rows,
    )
    assert scaledesign.calibrate(later).added_length == pytest.approx(
        scaledesign.calibrate(design, bare="A4 +12").added_length, abs=1e-9
    )


def test_length_and_temperature_of_the_log_are_used() -> None:
    """A longer tube, or a colder room, that sounds the same has a shorter mouth."""
    design = example()
    design = replace(design, tube=replace(design.tube, chamber=None))  # no flue beside the window
    plain = scaledesign.calibrate(design, bare="A4 +12").added_length
    longer = scaledesign.calibrate(design, bare="A4 +12", length=design.tube.length + 5 * MM).added_length
    # an inertance is as long as atan(k Delta) / k of tube, here some 5 % less than Delta
    k = 2 * np.pi * 440 * np.exp(12 / CENT) / 349
    assert plain - longer == pytest.approx(5 * MM * (1 + (k * plain) ** 2), rel=0.05)
    colder = scaledesign.calibrate(design, bare="A4 +12", temperature=12.0).added_length
    assert colder < plain - 3 * MM
    row = scaledesign.calibrate(design, rows={0: "A4"}).added_length
    assert scaledesign.calibrate(design, rows={0: "A4"}, temperature=12.0).added_length < row - 3 * MM


def test_the_newest_temperature_of_a_row_counts() -> None:
    """A row read twice alike, cold and warm: what stands in the row is what was read last."""
    cold = scaledesign.calibrate(example(), rows={0: "A4"}, temperature=12.0)
    warm = scaledesign.calibrate(cold.design, rows={0: "A4"}, temperature=25.0)
    assert len(readings_of(warm.design)) == 1
    only = scaledesign.calibrate(example(), rows={0: "A4"}, temperature=25.0)
    assert warm.added_length == pytest.approx(only.added_length, abs=1e-10)


def test_a_flute_without_holes_is_not_taken_for_its_bare_tube() -> None:
    """An overtone flute: a row without letters, read in the second register, is one reading of that."""
    tube = scaledesign.loads(TUBE.format(temperature=20))
    flute = replace(tube, rows=(Row("G4", ()), Row("G5", (), register=2)))
    found = scaledesign.calibrate(flute, rows={1: "803 Hz"}, temperature=20.0)
    assert len(found.residuals) == 1
    assert found.after.frequency[1] == pytest.approx(803.0, abs=0.5)


def test_a_design_without_the_readings_makes_no_claim() -> None:
    """Rows and log emptied by hand: the ± is the stated one again, larger than with the readings.

    What they taught of the mouth is kept, what they told of the notes themselves is not.
    """
    design = example()
    found = scaledesign.calibrate(design, bare="A4 +12", rows={0: "A4"})
    forgot = replace(found.design, log=(), rows=design.rows)
    after = scaledesign.predict(forgot)
    assert not after.calibrated
    assert (abs(1200 * np.log2(after.frequency / found.after.frequency)) < found.after.uncertainty).all()
    assert (after.uncertainty > found.after.uncertainty).all()


def drilled(design: Design) -> Design:
    """A flute that is what its file says: all holes drilled, the tube cut."""
    holes = tuple(replace(hole, drilled=True) for hole in design.holes)
    return replace(design, holes=holes, tube=replace(design.tube, locked=True))


def test_a_note_that_was_read_is_expected_as_it_was_read() -> None:
    """A drilled flute has said it itself: the model is not held against it, nor is the reading all."""
    bare = scaledesign.calibrate(drilled(example()), "A4 -4").design
    found = scaledesign.calibrate(bare, rows={3: "D5 +26"})
    assert 21 < found.after.cents[3] < 26
    assert found.after.uncertainty[3] < 2.5
    assert abs(found.after.cents[3] - 26) < 2 * found.after.uncertainty[3]
    assert found.after.cents[2] < 15, "another note is only as sharp as the whole flute is"


def test_a_note_of_holes_that_may_lie_elsewhere_by_now_tells_of_the_flute_alone() -> None:
    """What was read of it is not known of the note: the ± says so."""
    bare = scaledesign.calibrate(example(), "A4 -4").design
    found = scaledesign.calibrate(bare, rows={3: "D5 +26"})
    unmarked = scaledesign.predict(replace(found.design, holes=bare.holes, tube=bare.tube))
    assert unmarked.cents[3] < found.after.cents[3] - 10
    assert unmarked.uncertainty[3] > 1.5 * found.after.uncertainty[3]


@pytest.mark.parametrize("marked", [True, False], ids=["as marked", "unmarked"])
def test_how_far_off_a_reading_is_now_is_beside_what_its_row_is_predicted_to_play(marked: bool) -> None:
    """Each by what all readings together say of that note; one that is left out is held beside the others."""
    design = example()
    plays = scaledesign.predict(design).frequency
    rows = {row: f"{plays[row] * np.exp(cents / CENT):.2f} Hz" for row, cents in ((0, 9), (3, 22), (4, -70))}
    found = scaledesign.calibrate(design, "A4 +2", rows=rows).design
    assert found.learned.left_out.startswith("row 5 ")
    flute = found if marked else replace(found, holes=design.holes, tube=design.tube)
    after = {each.label: each.after for each in learn(flute, flute).residuals}
    expected = scaledesign.predict(flute).frequency
    for row, said in rows.items():
        off = CENT * np.log(float(said.split()[0]) / expected[row])
        assert after[f"row {row + 1}"] == pytest.approx(off, abs=1e-6)


def test_who_blew_a_note_has_cut_the_foot_and_drilled_what_it_opens() -> None:
    """All at once are of the flute as it was before them all; what teaches nothing marks nothing."""
    design = example()
    found = scaledesign.calibrate(design, rows={0: "A4", 3: "D5 +2", 2: "C5 +2"}, when=WHEN).design
    assert [hole.drilled for hole in found.holes] == [False] * 4 + [True] * 2
    assert [entry.drilled for entry in found.log] == [()] * 3
    assert found.tube == replace(design.tube, locked=True)
    assert scaledesign.calibrate(design, rows={3: "D7 +2"}).design is design
    bare = scaledesign.calibrate(design, "A4 -4").design
    assert (bare.holes, bare.tube) == (design.holes, design.tube)


@pytest.mark.parametrize("width", [None, 0.005], ids=["as wide", "opened since"])
def test_a_hole_that_has_been_opened_since_says_no_more_of_its_note(width: float | None) -> None:
    """A pilot hole's reading is kept for what it tells of the flute."""
    flute = scaledesign.calibrate(drilled(example()), "A4 -4").design
    pilot = LogEntry(WHEN, "drilled", hole=4, diameter=width)
    before = replace(flute, log=(*flute.log, pilot)) if width else flute
    read = scaledesign.calibrate(before, rows={3: "D5 +26"}, when=WHEN).design
    opened = LogEntry(WHEN, "opened", hole=4, diameter=flute.holes[4].diameter)
    after = replace(read, log=(*read.log, opened)) if width else read
    (of_row,) = [reading for reading in readings_in_force(after) if reading.row == 3]
    assert of_row.same is (width is None)


def test_a_layout_knows_what_the_notes_that_were_read_said() -> None:
    """What a solve says of a flute is what is said of it later.

    But for tenths of a cent: a hole that was closed then is taken to have lain where it lies now.
    """
    flute = drilled(example())
    read = scaledesign.calibrate(flute, "A4 -4", rows={3: "D5 +26", 10: "A5 +20"}).design
    free = replace(read, holes=(replace(read.holes[0], drilled=False, locked=frozenset()), *read.holes[1:]))
    for found in (scaledesign.solve(free), live.quick(free)):
        assert found.prediction is not None
        assert found.design.holes[0].at != free.holes[0].at
        assert found.prediction.cents == pytest.approx(scaledesign.predict(found.design).cents, abs=0.5)
        assert found.prediction.cents[3] > 20, "no hole of its own can be moved any more"


# Readings that cannot be


@pytest.mark.parametrize(
    ("readings", "word"),
    [
        ({"bare": "A7 -3"}, "overblown"),
        ({"rows": {0: "A5 -3"}}, "overblown"),
        ({"bare": "A4", "rows": {2: "C6 +10"}}, "row 3 (C6 +10)"),
        ({"bare": "A3"}, "octave"),
        ({"bare": "A4 +20", "length": 0.50}, "Check its length"),
        ({"bare": "C5"}, "even without a mouth"),
    ],
)
def test_an_impossible_reading_teaches_nothing(readings: dict[str, object], word: str) -> None:
    """Overblown, an octave misread, a wrong length: the design stays as it was, and a note says why."""
    design = example()
    found = scaledesign.calibrate(design, **readings)
    assert found.design is design
    assert found.after is found.before
    assert (found.added_length, found.uncertainty) == (
        voicing_of(design).added_length,
        voicing_of(design).uncertainty,
    )
    assert found.notes
    assert all(note.startswith("Nothing learnt") for note in found.notes)
    assert word in " ".join(found.notes)


def test_a_length_somewhat_wrong_is_remarked() -> None:
    """20 mm too long: a mouth that is far from any estimate, but not impossible."""
    found = scaledesign.calibrate(example(), bare="A4 +40", length=0.376)
    assert found.design.voicing.calibrated
    assert "check the tube's length" in found.notes[0]


def test_readings_that_disagree_are_named() -> None:
    """One row read 60 cents sharp of four others."""
    design = example()
    plays = scaledesign.predict(design).frequency
    rows = {row: f"{plays[row]:.2f} Hz" for row in (0, 2, 3, 5)}
    found = scaledesign.calibrate(design, rows={**rows, 7: f"{plays[7] * np.exp(60 / CENT):.2f} Hz"})
    (note,) = (note for note in found.notes if "other readings" in note)
    assert note.startswith("Row 8 (")
    assert "sharp of what" in note
    assert [each.label for each in found.residuals if each.odd] == ["row 8"]
    assert scaledesign.calibrate(design, rows=rows).notes == ()


def test_an_odd_reading_is_named_and_left_out() -> None:
    """The flute comes out as without it, the file says so, and the ± does not count it either."""
    design = example()
    plays = scaledesign.predict(design).frequency
    rows = {row: f"{plays[row]:.2f} Hz" for row in (0, 2, 3)}
    odd = scaledesign.calibrate(design, rows={**rows, 5: f"{plays[5] * np.exp(50 / CENT):.2f} Hz"})
    assert [each.label for each in odd.residuals if each.odd] == ["row 6"]
    without = scaledesign.calibrate(design, rows=rows)
    assert odd.added_length == pytest.approx(without.added_length, abs=1e-6)
    assert odd.after.uncertainty == pytest.approx(without.after.uncertainty, rel=1e-3)
    assert odd.design.learned.left_out.startswith("row 6 (")
    assert [each.label for each in odd.residuals if abs(each.after) > 45] == ["row 6"]
    assert "left out" in odd.notes[0]
    again = scaledesign.calibrate(odd.design, rows={5: f"{plays[5]:.2f} Hz"})
    assert not again.design.learned.left_out


def test_a_note_blown_so_often_that_it_must_be_so_is_expected_so_and_teaches_no_other() -> None:
    """A chip under a hole: three times it is left out, the fourth time it is what this note plays."""
    design = example()
    holes = tuple(replace(hole, drilled=True) for hole in design.holes)
    design = replace(design, holes=holes, tube=replace(design.tube, locked=True))
    plays = scaledesign.predict(design).frequency
    noted = scaledesign.calibrate(
        design, rows={row: f"{plays[row]:.2f} Hz" for row in (0, 2, 3, 7)}, when=WHEN
    ).design
    without = scaledesign.predict(noted)
    for n, cents in enumerate((-60.0, -58.0, -61.0, -59.0), 1):
        text = f"{plays[5] * np.exp(cents / CENT):.2f} Hz"
        noted = scaledesign.calibrate(noted, rows={5: text}, when=WHEN + timedelta(minutes=n)).design
        found = scaledesign.predict(noted)
        assert "row 6 (" in noted.learned.left_out
        off = CENT * np.log(found.frequency / without.frequency)
        assert off[5] == pytest.approx(0.0 if n < 4 else -59.0, abs=2.0)
        assert np.abs(np.delete(off, 5)).max() < 0.5
    assert found.uncertainty[5] < 0.6 * without.uncertainty[5]


def test_two_readings_that_disagree_are_both_named() -> None:
    """Nobody can say which is wrong."""
    design = example()
    bare = bare_tube(design)[0]
    found = scaledesign.calibrate(design, (f"{bare:.2f} Hz", f"{bare * np.exp(25 / CENT):.2f} Hz"))
    assert [each.odd for each in found.residuals] == [True, True]
    (note,) = (note for note in found.notes if "do not go together" in note)
    assert "25 cents" in note
    assert "blow both again" in note


def test_one_false_reading_makes_no_true_one_look_odd() -> None:
    """Of two that are false both are named, and no more."""
    design = example()
    plays = scaledesign.predict(design).frequency
    off = {0: 0, 2: 60, 3: 0, 5: 0, 7: -60, 10: 0}
    rows = {row: f"{plays[row] * np.exp(cents / CENT):.2f} Hz" for row, cents in off.items()}
    found = scaledesign.calibrate(design, rows=rows)
    assert {each.label for each in found.residuals if each.odd} == {"row 3", "row 8"}


def test_a_length_that_is_wrong_each_time_does_not_overthrow_three_holes() -> None:
    """A tube 12 mm shorter than was written, blown three times, beside notes that agree."""
    design = example()
    plays = scaledesign.predict(design).frequency
    wrong = bare_tube(design, design.tube.length - 0.012)[0]
    noted = design
    for row in (0, 2, 5):
        noted = scaledesign.calibrate(noted, rows={row: f"{plays[row]:.2f} Hz"}, when=WHEN).design
    for n in range(3):
        found = scaledesign.calibrate(
            noted, f"{wrong:.2f} Hz", length=design.tube.length, when=WHEN + timedelta(minutes=1 + n)
        )
        noted = found.design
    assert {each.label for each in found.residuals if each.odd} == {"the bare tube"}


def test_a_bore_that_the_readings_want_far_otherwise_is_remarked() -> None:
    """0.7 mm wider than said, all else known well: the rows shift as no mouth shifts them."""
    doubts = Uncertainty(
        bore=0.1 * MM, wall=0.02 * MM, at=0.05 * MM, diameter=0.02 * MM, length=0.05 * MM, temperature=0.1,
        tuner=0.3, model=0.5,
    )  # fmt: skip
    design = replace(example(), uncertainty=doubts)
    truth = replace(design, tube=replace(design.tube, bore=(Station(0.0, 16.6 * MM),)))
    plays = scaledesign.predict(truth).frequency
    rows = {row: f"{plays[row]:.3f} Hz" for row in (0, 2, 3, 5, 7)}
    found = scaledesign.calibrate(design, rows=rows)
    assert any("want the bore wider than you said: measure it again" in note for note in found.notes)


# What is learnt besides the mouth


def test_what_was_learnt_is_in_the_file_and_in_force() -> None:
    """Bore, wall and warmth stand in [learned]; the flute that plays is the flute they describe."""
    design = replace(example(), uncertainty=Uncertainty(bore=0.5 * MM, wall=0.5 * MM, temperature=3.0))
    plays = scaledesign.predict(design).frequency
    shift = {0: 20.0, 2: 5.0, 3: 0.0, 5: -10.0}
    rows = {row: f"{plays[row] * np.exp(cents / CENT):.3f} Hz" for row, cents in shift.items()}
    found = scaledesign.calibrate(design, rows=rows, when=WHEN)
    learned = found.design.learned
    assert abs(learned.bore) > 0.01 * MM
    assert abs(learned.warmth) > 0.01
    flute, plan = (problem_of(d, targets(d)).flutes for d in (found.design, design))
    assert flute.bore_scale[0] == pytest.approx(1 + learned.bore / design.tube.bore[0].value)
    assert flute.wall_offset[0] == learned.wall
    warmer = float(flute.air.c[0] / plan.air.c[0]) - 1
    assert warmer == pytest.approx(learned.warmth * float(plan.air.c_rate[0]), rel=0.01)
    for each in found.residuals:
        assert abs(each.after) < abs(each.before) or abs(each.after) < 6
    assert {each.name for each in found.learnt} == {"added_length", "drift", "bore", "wall", "warmth"}
    assert all(each.after <= each.before for each in found.learnt)


def test_the_last_reading_taken_back_gives_the_flute_of_before() -> None:
    """Bare tube in the log, a row: the mouth as stated, its ±, drift and all."""
    design = example()
    stated = replace(
        design, voicing=replace(design.voicing, added_length=0.031, uncertainty=0.004, drift=1e-4)
    )
    for before in (design, stated):
        learnt = scaledesign.calibrate(before, rows={0: "A4 +20", 3: "D5 +5"}, when=WHEN).design
        assert learnt.learned.stated_length == before.voicing.added_length
        less = scaledesign.calibrate(learnt, rows={0: ""}, when=WHEN)
        assert less.design.voicing.calibrated
        gone = scaledesign.calibrate(less.design, rows={3: ""}, when=WHEN)
        assert replace(gone.design, log=(), holes=before.holes, tube=before.tube) == before
        assert gone.learnt == ()
        assert "as it was before the first" in gone.notes[0]
        emptied = replace(learnt, log=(), rows=before.rows, holes=before.holes, tube=before.tube)
        assert scaledesign.calibrate(emptied).design == before


def test_without_calibrated_what_was_learned_is_out_of_force() -> None:
    design = example()
    idle = replace(design, learned=Learned(bore=0.001, wall=0.001, warmth=5.0))
    assert scaledesign.predict(idle).frequency == pytest.approx(scaledesign.predict(design).frequency)


# Readings of any kind


def test_an_overblown_note_of_the_bare_tube_is_known_by_its_pitch() -> None:
    """Registers one to three, each nearest to what was read, or as the log states it."""
    design = example()
    sounds = [bare_tube(design, register=register)[0] for register in (1, 2, 3)]
    found = scaledesign.calibrate(design, [f"{f * 1.01:.2f} Hz" for f in sounds])
    assert [each.label for each in found.residuals] == [
        "the bare tube", "the bare tube, register 2", "the bare tube, register 3",
    ]  # fmt: skip
    assert all(each.before == pytest.approx(17.2, abs=0.1) for each in found.residuals)
    entry = replace(found.design.log[0], register=2, measured=f"{sounds[1] * 0.8:.2f} Hz")
    (reading,) = readings_of(replace(design, log=(entry,)))
    assert reading.fingerings.register.tolist() == [2]


def test_a_tube_cut_down_and_read_at_each_length_is_one_tube() -> None:
    """Three lengths, three rooms, one hidden mouth: all read as that tube sounds, and it is found."""
    design = example()
    truth = replace(design, voicing=replace(design.voicing, added_length=0.033))
    noted = design
    for length, room in ((0.42, 15.0), (0.39, 20.0), (0.36, 25.0)):
        sounds = bare_tube(truth, length, room)[0]
        noted = scaledesign.calibrate(
            noted, f"{sounds:.3f} Hz", length=length, temperature=room, when=WHEN
        ).design
    found = scaledesign.calibrate(noted)
    assert found.notes == ()
    assert [each.after for each in found.residuals] == pytest.approx([0.0] * 3, abs=1.0)
    assert abs(found.added_length - 0.033) < found.uncertainty


def test_the_order_of_readings_does_not_matter() -> None:
    design = example()
    one = scaledesign.calibrate(design, "A4 +12", rows={2: "C5 +20"}, when=WHEN).design
    two = scaledesign.calibrate(design, rows={2: "C5 +20"}, when=WHEN).design
    two = scaledesign.calibrate(two, "A4 +12", when=WHEN).design
    assert two.voicing == one.voicing
    assert two.learned == one.learned


def test_a_note_after_each_hole_is_of_the_tube_as_it_was() -> None:
    """Who marks what is drilled is believed: holes not there yet do not lengthen the closed tube."""
    design = example()
    last = len(design.holes) - 1
    first_hole = replace(design, holes=(*design.holes[:last], replace(design.holes[last], drilled=True)))
    learnt = scaledesign.calibrate(first_hole, rows={2: "C5 +10"}, when=WHEN).design
    assert "".join(learnt.log[-1].drilled) == "XXXXXO"
    (reading,) = readings_in_force(learnt)
    assert reading.holes == (last,)
    assert reading.flutes.at.shape == (1, 1)
    whole = tuple(replace(hole, drilled=True) for hole in design.holes)
    later = replace(learnt, holes=whole)
    assert readings_in_force(later)[0].holes == (last,)
    unmarked = scaledesign.calibrate(design, rows={2: "C5 +10"}, when=WHEN).design
    assert unmarked.log[-1].drilled == ()
    assert learnt.voicing.added_length is not None
    assert unmarked.voicing.added_length is not None
    # closed holes flatten: without them the same pitch wants a longer mouth
    assert learnt.voicing.added_length > unmarked.voicing.added_length + 0.1 * MM


def test_a_fingering_that_no_row_has_counts_from_the_log() -> None:
    """With the newest entry of it, at the temperature it was read."""
    design = example()
    entry = LogEntry(WHEN, "measured", ("X", "X", "O", "O", "O", "X"), "F5 +30", 18.0)
    noted = replace(design, log=(entry, replace(entry, measured="F5 +10")))
    (reading,) = readings_of(noted)
    assert (reading.label, reading.said, reading.row) == ("XXOOOX", "F5 +10", None)
    assert scaledesign.calibrate(noted).design.voicing.calibrated


def test_a_tuning_hole_is_there_whatever_was_drilled() -> None:
    """A hole without a finger has no letter and no mark to wait for."""
    design = example()
    tuned = replace(design, holes=(*design.holes, Hole(0.345, 0.004)))
    marked = replace(tuned, holes=(*tuned.holes[:5], replace(tuned.holes[5], drilled=True), tuned.holes[6]))
    learnt = scaledesign.calibrate(marked, rows={2: "C5 +10"}, when=WHEN).design
    assert readings_in_force(learnt)[0].holes == (5, 6)


def test_nothing_to_go_by() -> None:
    """No reading, no such row, an ideal mouth, a tube of no length, nonsense: one sentence each."""
    design = example()
    with pytest.raises(EditError, match="no reading"):
        scaledesign.calibrate(design)
    with pytest.raises(EditError, match=r"no row 16; rows are 1 to 15"):
        scaledesign.calibrate(design, rows={15: "A4"})
    with pytest.raises(EditError, match="ideal open end"):
        scaledesign.calibrate(replace(design, instrument=replace(design.instrument, mouth="open")), bare="A4")
    with pytest.raises(EditError, match="cannot have been blown"):
        scaledesign.calibrate(design, bare="A4", length=0.0)
    with pytest.raises(QuantityError, match="not what a tuner shows"):
        scaledesign.calibrate(design, bare="loud")


# In the file


@pytest.mark.parametrize("file", FILES)
def test_a_calibrated_file_keeps_its_comments_and_reads_back_the_same(file: str, tmp_path: Path) -> None:
    """Save, load, predict: the same ±, the maker's own words untouched."""
    text = (EXAMPLES / file).read_text(encoding="utf-8").replace("\n[tuning]", "\n# my tuning\n[tuning]")
    path = tmp_path / file
    path.write_text(f"# first cane of the year\n{text}", encoding="utf-8")
    plays = scaledesign.predict(scaledesign.load(path)).frequency
    readings = f"{plays[0] * 1.01:.2f} Hz", f"{plays[2] * 1.005:.2f} Hz"
    found = scaledesign.calibrate(
        scaledesign.load(path), bare=readings[0], temperature=19.0, rows={2: readings[1]}, when=WHEN
    )
    scaledesign.save(found.design, path)
    kept = path.read_text(encoding="utf-8")
    assert kept.startswith("# first cane of the year\n")
    assert "\n# my tuning\n[tuning]" in kept
    back = scaledesign.load(path)
    assert len(readings_of(back)) == 2
    prediction = scaledesign.predict(back)
    assert prediction.calibrated
    assert prediction.uncertainty == pytest.approx(found.after.uncertainty, rel=1e-4)
    assert prediction.frequency == pytest.approx(found.after.frequency, rel=1e-7)
    assert scaledesign.calibrate(back).added_length == pytest.approx(found.added_length, abs=1e-7)


def test_solving_after_a_reading_keeps_what_it_taught() -> None:
    """Holes laid out for the mouth there is: in tune again, the reading still in force."""
    learnt = scaledesign.calibrate(example(), bare="A4 +40").design
    solution = scaledesign.solve(learnt)
    assert solution.prediction.calibrated
    scale = [i for i, row in enumerate(learnt.rows) if row.role == "scale"]
    assert np.abs(solution.prediction.cents[scale]).max() < 2
    again = scaledesign.calibrate(solution.design)
    assert again.added_length == pytest.approx(learnt.voicing.added_length, abs=1e-7)


def test_a_tube_measured_before_it_had_a_design() -> None:
    """The least a file can hold: tube and reading; there are no rows to predict yet."""
    design = Design(tube=Tube(0.4, (Station(0.0, 0.016),), (Station(0.0, 0.004),)))
    found = scaledesign.calibrate(design, bare="G4 -20")
    assert found.added_length > 0
    assert found.after.uncertainty.shape == (0,)


def test_a_temperature_no_room_has() -> None:
    """70 meant as Fahrenheit: the range is told, nothing is computed with it."""
    design = scaledesign.load(EXAMPLES / "marsh-wren.toml")
    with pytest.raises(EditError, match=r"300 °C.* -20 °C to 60 °C"):
        scaledesign.calibrate(design, "A4 +3", temperature=300.0)


def test_a_reading_is_taken_back() -> None:
    """An empty reading clears the row; what is left counts alone."""
    design = scaledesign.load(EXAMPLES / "marsh-wren.toml")
    wrong = scaledesign.calibrate(design, "A4 +3", rows={3: "C5 +3"})
    mended = scaledesign.calibrate(wrong.design, rows={3: ""})
    assert mended.design.rows[3].measured == ""
    only = scaledesign.calibrate(design, "A4 +3")
    assert mended.added_length == pytest.approx(only.added_length, abs=1e-9)
