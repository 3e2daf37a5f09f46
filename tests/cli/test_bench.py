"""bench: one step at a time, what was done and heard in the file, taken back, taken up later, put right."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

import scaledesign
from scaledesign.model.document import Design, LogEntry
from scaledesign.model.pitch import cents_between, reading_frequency
from scaledesign.model.widths import drilled_now
from scaledesign.workshop import ask, calibration
from scaledesign.workshop.making.plan import next_step
from scaledesign.workshop.making.step import Step
from scaledesign.workshop.noting import (
    Act,
    ActKind,
    Told,
    as_told,
    by_hole,
    in_room,
    note,
    room_now,
    taken_back,
    with_acts,
)
from tests.cli.hidden import tuner
from tests.cli.running import Result, Run

THREE = """\
name = "Water rail"

[instrument]
mouth    = "duct"
material = "elder"

[tube]
length = 355
bore   = 16
wall   = 3
blank  = 420

[voicing]
window = { length = 5, width = 9, wall = 2, flue_length = 12, flue_height = 1.0 }

[tuning]
tonic = "A4"
scale = "major"

[shop]
bits = "metric 0.1"

[[holes]]
at = 225
diameter = 7
finger = "R1"

[[holes]]
at = 255
diameter = 7
finger = "R2"

[[holes]]
at = 290
diameter = 7
finger = "R3"

[[rows]]
note = "A4"
holes = "XXX"

[[rows]]
note = "B4"
holes = "XXO"

[[rows]]
note = "C#5"
holes = "XOO"

[[rows]]
note = "D5"
holes = "OOO"
"""
DAY = datetime(2026, 3, 1, 14, 30)
LONG = "410 mm"


@pytest.fixture(scope="module")
def solved(tmp_path_factory: pytest.TempPathFactory) -> Design:
    """A flute of three holes, laid out."""
    path = tmp_path_factory.mktemp("rail") / "rail.toml"
    path.write_text(THREE, encoding="utf-8")
    return scaledesign.solve(scaledesign.load(path)).design


@pytest.fixture
def rail(solved: Design, tmp_path: Path) -> Path:
    path = tmp_path / "rail.toml"
    scaledesign.save(solved, path)
    return path


def first_reading(path: Path) -> str:
    """The tuner's, of the tube still long."""
    design = scaledesign.load(path)
    return tuner(replace(design, tube=replace(design.tube, length=0.410)), ())


def done_as_told(path: Path) -> tuple[Design, Step]:
    """The flute once the step is done, before anything is heard of it."""
    design = scaledesign.load(path)
    step = next_step(design)
    return with_acts(design, as_told(step), DAY), step


def stepped(run: Run, path: Path) -> Result:
    """One step done and heard, as a maker types it."""
    now, step = done_as_told(path)
    did = ("--did",) if as_told(step) else ()
    return run("bench", path, *did, "--blew", tuner(now, step.holes, step.register), "--in-place")


def test_a_session_from_the_tube_to_two_holes(run: Run, rail: Path) -> None:
    begin = run("bench", rail)
    assert (begin.code, begin.err) == (0, "")
    assert begin.out.startswith("NOW  Blow the bare tube.\n")
    assert "ritten" not in begin.out
    blown = run("bench", rail, "--blew", first_reading(rail), "--length", LONG, "--in-place")
    assert blown.out.startswith(f"Heard {first_reading(rail)}, expected ")
    assert "cents flatter" in blown.out
    assert "The mouth adds" in blown.out
    assert "NOW  Cut the foot: leave " in blown.out
    assert "Sawing." in blown.out
    assert f"Written to {rail}." in blown.out
    seen: list[str] = []
    for _ in range(14):
        result = stepped(run, rail)
        assert (result.code, result.err) == (0, ""), result.err
        assert all(len(line) <= 80 for line in result.out.splitlines() if str(rail) not in line)
        seen.append(result.out)
        if "NOW  Drill hole 1 (R1)" in result.out:
            break
    design = scaledesign.load(rail)
    assert set(drilled_now(design)) == {1, 2}
    drilling = next(out for out in seen if "NOW  Drill hole 3 (R3)" in out)
    for words in ("where ", " mm from the sounding edge", "bit ", "then blow", "tuner ", "Drilling."):
        assert words in drilling
    targets = ask.targets(design)
    for row in (1, 2):
        heard = reading_frequency(tuner(design, design.rows[row].holes), 440.0)
        assert -9.0 < cents_between(targets[row], heard) < 5.0  # the holes above are still to come


def test_what_was_foretold_is_what_a_reading_is_held_against(run: Run, rail: Path) -> None:
    """Of the bare tube too, whose readings contradict each other: one forecast for one blow."""
    first = first_reading(rail)
    run("bench", rail, "--blew", first, "--length", LONG, "--when", "2026-03-01T14:30", "--in-place")
    off = f"{first.split()[0]} {int(first.split()[1]) + 35:+d}"
    words = ("--when", "2026-03-01T14:40", "--temperature", "17 °C", "--in-place")
    run("bench", rail, "--blew", off, "--bare", "--length", LONG, *words)
    for kind in ("blow", "cut"):  # the third reading agrees with the second
        told = run("bench", rail, *words[:4], "--json").object["now"]
        assert told["kind"] == kind
        now = scaledesign.load(rail) if kind == "blow" else done_as_told(rail)[0]
        done, blown = ((), off) if kind == "blow" else (("--did",), tuner(now, ()))
        noted = run("bench", rail, *done, "--blew", blown, "--bare", *words, "--json").object["noted"]
        assert noted["heard"]["expected_hz"] == pytest.approx(in_room(now, told["sounds_hz"], 17.0), rel=1e-9)
        assert noted["heard"]["sure_cents"] == told["sure_cents"]


def test_the_log_is_all_there_is_and_another_day_is_as_good(run: Run, rail: Path) -> None:
    run("bench", rail, "--blew", first_reading(rail), "--length", LONG, "--temperature", "18 °C",
        "--when", "2026-03-01T14:30", "--in-place")  # fmt: skip
    design = scaledesign.load(rail)
    entry = design.log[-1]
    assert (entry.when, entry.temperature, entry.length) == (DAY, 18.0, 0.410)
    assert room_now(design, DAY) == 18.0
    assert room_now(design, datetime(2026, 3, 9)) == design.air.temperature
    warm = run("bench", rail, "--when", "2026-03-09", "--temperature", "28 °C", "--json").object
    cool = run("bench", rail, "--when", "2026-03-09", "--temperature", "12 °C", "--json").object
    assert warm["now"] == cool["now"]  # the plan is the flute's, whatever the room is today
    said = run("bench", rail, "--when", "2026-03-09", "--temperature", "12 °C").out
    shown = reading_frequency(said.partition("tuner ")[2].partition(",")[0].strip(), 440.0)
    cut_to = warm["now"]["to_m"]
    there, _ = calibration.bare_tube(design, cut_to, 12.0)
    here, _ = calibration.bare_tube(design, cut_to)
    assert cents_between(shown, here) > 8.0
    assert abs(cents_between(shown, there)) < 3.0


def test_the_newest_entry_is_taken_back(run: Run, rail: Path) -> None:
    run("bench", rail, "--blew", first_reading(rail), "--length", LONG, "--in-place")
    before = scaledesign.load(rail)
    run("bench", rail, "--did", "--in-place")
    assert scaledesign.load(rail).log[-1].event == "cut"
    back = run("bench", rail, "--back", "--in-place")
    assert back.out.startswith("Taken back: cut, of ")
    after = scaledesign.load(rail)
    assert after.log == before.log
    assert abs(after.tube.length - before.tube.length) < 1e-4
    assert all(abs(a.at - b.at) < 2e-4 for a, b in zip(after.holes, before.holes, strict=True))
    run("bench", rail, "--back", "--in-place")
    none = run("bench", rail, "--back")
    assert none.code != 0
    assert "nothing to take back" in none.err


def test_what_was_drilled_opened_and_filled_can_be_taken_back(solved: Design) -> None:
    step = next_step(solved)
    begun = note(solved, step, Told(acts=(_act("drilled", 0.005),)), DAY, next_step).design
    wider = note(
        begun, step, Told(acts=(_act("opened", 0.006), _act("undercut", 5e-4))), DAY, next_step
    ).design
    full = note(wider, step, Told(acts=(_act("filled", 0.0055),)), DAY, next_step).design
    assert full.holes[2].drilled
    unfilled, _ = taken_back(full)
    assert unfilled.log == wider.log
    straight, entry = taken_back(unfilled)
    assert (entry.undercut, straight.holes[2].undercut) == (5e-4, 0.0)
    narrow, _ = taken_back(straight)
    none, entry = taken_back(narrow)
    assert (entry.event, none.log, none.holes[2].drilled) == ("drilled", (), False)


def _act(kind: ActKind, size: float) -> Act:
    return Act(kind, size, 2)


@pytest.fixture(scope="module")
def cut(solved: Design) -> Design:
    """Blown and cut, hole 3 to be drilled."""
    long = replace(solved, tube=replace(solved.tube, length=0.410))
    told = Told(blew=tuner(long, ()), length=0.410)
    design = note(solved, next_step(solved), told, DAY, next_step).design
    while (step := next_step(design)).kind != "drill":
        done = with_acts(design, as_told(step), DAY)
        design = note(design, step, Told(did=True, blew=tuner(done, ())), DAY, next_step).design
    return design


@pytest.fixture
def begun(cut: Design, tmp_path: Path) -> Path:
    path = tmp_path / "begun.toml"
    scaledesign.save(cut, path)
    return path


def test_something_else_was_done(run: Run, begun: Path) -> None:
    step = next_step(scaledesign.load(begun))
    assert step.hole == 2
    other = run("bench", begun, "--drilled", "3=4.2 mm at 286 mm", "--in-place")
    assert other.out.startswith("Drilled hole 3 (R3), 4.2 mm.")
    design = scaledesign.load(begun)
    assert abs(design.holes[2].at - 0.286) < 1e-9
    assert "NOW  Blow B4" in other.out
    heard = run(
        "bench", begun, "--blew", tuner(design, next_step(design).holes), "--json", "-o", "x.toml"
    ).object
    assert heard["noted"]["heard"]["expected_hz"] is not None
    assert [act["kind"] for act in heard["noted"]["done"]] == []
    assert heard["now"]["kind"] in ("open", "file", "read")
    assert {hole["hole"]: hole["state"] for hole in heard["holes"]}[3] == "begun"
    assert heard["now"]["hole"] == 3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--did", "--blew", "B5 -10"), "lies in another register, an octave above the B4"),
        (("--did", "--blew", "B3 -10"), "an octave below the B4"),
        (("--did", "--blew", "G5 +0"), "no mouth does that"),
        (("--did", "--blew", "C5 -10"), "say it again with --even-so"),
        (("--blew", "B4 -10"), "The step now is to drill"),
        (("--blew", "B4 -10"), 'as told (--did), or what you did instead (--drilled 3="5.5 mm"), or that it'),
        (("--blew", "B4 -10"), "that it was the bare tube (--bare)."),
        (("--did", "--blew", "H4"), "is not what a tuner shows"),
        (("--opened", "3=6 mm"), "Hole 3 (R3) is not drilled yet"),
        (("--drilled", "4=6 mm"), "there is no hole 4; holes are 1 to 3"),
        (("--drilled", "6 mm"), "that is not a hole and its width"),
        (("--drilled", 5000 * "9" + "=6 mm"), "that is not a hole and its width"),
        (("--cut", "500 mm"), "it cannot be 500.0 mm now"),
        (("--temperature", "300 °C", "--did"), "300"),
        (("--did", "--blew", "B4 -16", "--length", "300 mm"), "A length goes with"),
        (("--bare",), "--bare goes with a reading"),
        (("--back", "--did"), "notes nothing"),
        (("--when", "today", "--did"), "is no time"),
    ],
)
def test_a_slip_gets_one_clear_sentence(run: Run, begun: Path, words: tuple[str, ...], said: str) -> None:
    before = begun.read_bytes()
    result = run("bench", begun, *words, "--in-place")
    assert result.code != 0
    assert said in result.err
    assert len(result.err.strip().splitlines()) == 1
    assert begun.read_bytes() == before


def test_blowing_is_not_done_without_a_reading(run: Run, rail: Path) -> None:
    result = run("bench", rail, "--did", "--in-place")
    assert "The step now is to blow; say what the tuner showed." in result.err
    assert scaledesign.load(rail).log == ()


def test_a_hole_does_not_become_narrower_by_opening(run: Run, begun: Path) -> None:
    run("bench", begun, "--drilled", "3=6 mm", "--in-place")
    narrower = run("bench", begun, "--opened", "3=5 mm", "--in-place")
    assert "6.0 mm wide already" in narrower.err
    again = run("bench", begun, "--drilled", "3=7 mm", "--in-place")
    assert "Hole 3 (R3) is drilled already" in again.err


def test_a_reading_far_off_is_believed_when_said_so(run: Run, begun: Path) -> None:
    result = run("bench", begun, "--did", "--blew", "C5 -10", "--even-so", "--in-place")
    assert result.code == 0
    assert [entry.event for entry in scaledesign.load(begun).log][-2:] == ["drilled", "measured"]


def test_a_note_blown_before_the_step_is_done_is_held_against_what_the_flute_sounds(
    run: Run, begun: Path
) -> None:
    """The step is to open the hole; it was blown once more instead, and then another note was typed."""
    run("bench", begun, "--drilled", "3=5.5 mm", "--in-place")
    sounds = run("bench", begun, "--json").object["now"]["sounds_hz"]
    run("bench", begun, "--blew", f"{sounds:.1f} Hz", "--in-place")
    assert run("bench", begun, "--json").object["now"]["kind"] in ("open", "file")
    before = begun.read_bytes()
    other = run("bench", begun, "--blew", f"{1.12 * sounds:.1f} Hz", "--in-place")
    assert "above the B4" in other.err
    assert begun.read_bytes() == before
    again = run("bench", begun, "--blew", f"{sounds:.1f} Hz", "--in-place")
    assert "expected B4" in again.out


def test_a_first_reading_is_worth_nothing_until_the_tube_is_measured(
    run: Run, rail: Path, solved: Design
) -> None:
    before = rail.read_bytes()
    result = run("bench", rail, "--blew", first_reading(rail), "--in-place")
    assert (result.code, rail.read_bytes()) == (3, before)
    assert 'add --length "385 mm"' in result.err
    scaledesign.save(replace(solved, tube=replace(solved.tube, locked=True)), rail)  # it is cut: known
    assert run("bench", rail, "--blew", tuner(solved, ()), "--in-place").code == 0


def test_a_remark_names_a_reading_by_what_was_heard_and_its_hole(run: Run, begun: Path) -> None:
    design, row = scaledesign.load(begun), 1
    heard = LogEntry(DAY, "measured", hole=2, measured="B4 -3", holes=design.rows[row].holes)
    there = replace(design, log=(*design.log, heard))
    said = "Row 2 (B4 -3) is 12 cents flat of what the other readings say, row 1 (A4 +2) too."
    assert by_hole(there, (said,)) == (said.replace("Row 2 (B4 -3)", "B4 -3 (hole 3)"),)
    assert by_hole(design, (said,)) == (said,)


def test_a_hole_too_wide_is_told_what_it_should_sound(run: Run, begun: Path) -> None:
    design = scaledesign.load(begun)
    assert next_step(design).hole == 2
    planned = design.holes[2].diameter
    wide = replace(design.holes[2], drilled=True, diameter=planned + 0.0012)
    sharp = tuner(replace(design, holes=(*design.holes[:2], wide)), ("X", "X", "O"))
    said = run(
        "bench", begun, "--drilled", f"3={1000 * planned + 1.2:.1f} mm", "--blew", sharp, "--in-place"
    ).out
    assert "NOW  Blow B4" in said
    assert "It seems sharp" in said
    assert "So sharp again: the next step narrows the hole." in " ".join(said.split())
    now = next_step(scaledesign.load(begun))
    assert now.off is not None
    assert now.off > 5
    told = next(line for line in said.splitlines() if line.strip().startswith("in tune"))
    note_name, cents = told.split()[-2:]
    assert note_name == "B4"
    assert abs(int(cents)) <= 8  # what the holes above still add to it, and no more
    given = run("bench", begun, "--json").object["now"]
    assert given["aim_hz"] < given["sounds_hz"]  # what it should sound, not what so wide a hole does
    assert abs(cents_between(reading_frequency(f"{note_name} {cents}", 440.0), given["aim_hz"])) < 1


@pytest.mark.parametrize(
    ("cents", "said"),
    [(-350, "the breath as firm as you will play?"), (350, "the breath no harder than you will play?"),
     (-900, "no mouth does that; check the octave, the tube's length and the window.")],
)  # fmt: skip
def test_a_bare_tube_has_no_chips_in_a_hole_and_no_finger(
    run: Run, rail: Path, cents: int, said: str
) -> None:
    hertz = reading_frequency(first_reading(rail), 440.0) * 2 ** (cents / 1200)
    result = run("bench", rail, "--blew", f"{hertz:.1f} Hz", "--length", LONG, "--in-place")
    assert result.code != 0
    assert said in result.err
    assert not {"chips", "finger", "fingering"} & set(result.err.replace(",", " ").split())
    assert scaledesign.load(rail).log == ()


def test_a_length_and_a_width_are_told_as_one_figure(run: Run, rail: Path) -> None:
    said = run("bench", rail, "--blew", first_reading(rail), "--length", LONG, "--in-place").out
    words = " ".join(said.split())
    ends = words.partition("the tube is to end at ")[2].partition(" mm,")[0]
    assert ends
    assert f"in the end about {ends} mm" in words
    while "NOW  Drill hole 3" not in said:
        said = stepped(run, rail).out
    wide = said.partition("in the end ")[2].partition(" at about ")[2].partition(" mm")[0]
    row = next(line for line in said.splitlines() if line.startswith("3 R3"))
    assert f" {wide} mm " in row
    given = run("bench", rail, "--json").object
    assert given["now"]["final_m"] == next(each["final_m"] for each in given["holes"] if each["hole"] == 3)


def test_a_flute_with_all_its_holes_is_not_said_to_end_where_it_happens_to_be(run: Run, begun: Path) -> None:
    """What is still to come off the foot is a step of its own."""
    holes = ("--drilled", "3=5.5 mm", "--drilled", "2=5 mm", "--drilled", "1=5 mm")
    result = run("bench", begun, *holes, "--in-place")
    assert (result.code, result.err) == (0, "")
    assert "to end at" not in result.out


def test_a_hole_that_may_not_become_wide_enough_is_told_of_beforehand(run: Run, begun: Path) -> None:
    design = scaledesign.load(begun)
    assert "as wide as your rules" not in run("bench", begun).out
    narrow = 0.8 * design.holes[2].diameter
    tight = replace(design, shop=replace(design.shop, largest=round(narrow, 4), smallest=0.003))
    tight = replace(tight, holes=(*design.holes[:2], replace(design.holes[2], diameter=round(narrow, 4))))
    scaledesign.save(tight, begun)
    drilled = f"3={1000 * narrow - 0.4:.1f} mm"
    said = " ".join(run("bench", begun, "--drilled", drilled).out.split())
    assert f"{1000 * narrow:.1f} mm is as wide as your rules let it be: it then stays about " in said
    assert "Undercut it then, ease the rule, or leave the note so." in said
    assert "it is opened further" not in said
    given = run("bench", begun, "--drilled", drilled, "--json").object["now"]
    assert given["stays_off_cents"] < -5.0
    assert given["off_cents"] < given["stays_off_cents"]
