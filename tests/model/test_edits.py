"""Edits: pure, named, checked."""

from dataclasses import replace
from datetime import datetime

import pytest

from scaledesign.errors import EditError
from scaledesign.model.document import (
    AirSetting,
    Design,
    Foot,
    Hole,
    LogEntry,
    Row,
    Shop,
    Station,
    Tube,
    Tuning,
    Voicing,
    Window,
)
from scaledesign.model.edits import (
    AddHole,
    Become,
    DeleteRow,
    InsertRow,
    MoveRow,
    RemoveHole,
    ReorderRows,
    Retune,
    SetField,
    SetHole,
    SetRow,
    SetState,
    Several,
    apply,
    cycled,
    unchecked,
)
from scaledesign.model.scale import Scale

MINOR = Scale("pentatonic minor", (0.0, 300.0, 500.0, 700.0, 1000.0))
DESIGN = Design(
    tube=Tube(0.36, (Station(0.0, 0.016),), (Station(0.0, 0.0035),)),
    tuning=Tuning(tonic="A4", scale="pentatonic minor"),
    holes=(
        Hole(0.15, 0.008, finger="L1"),
        Hole(0.2, 0.007),
        Hole(0.25, 0.006, finger="R1"),
    ),
    rows=(Row("A4", ("X", "X")), Row("C5", ("X", "O")), Row("D5", ("O", "H"), measured="D5 +2")),
    log=(
        LogEntry(datetime(2026, 1, 5), "measured"),
        LogEntry(datetime(2026, 1, 6), "measured", ("X", "O"), drilled=("O", "X")),
    ),
    text="# as loaded\n",
)

FITTING = [
    (SetField("", "name", "Wren"), "set name", lambda d: d.name, "Wren"),
    (SetField("", "notes", "a\nb"), "set notes", lambda d: d.notes, "a\nb"),
    (SetField("", "units", "in"), "set units", lambda d: d.units, "in"),
    (SetField("tube", "length", 0.4), "set length", lambda d: d.tube.length, 0.4),
    (SetField("tube", "foot", Foot("node", 0.009)), "set foot", lambda d: d.tube.foot.kind, "node"),
    (SetField("tube", "locked", True), "lock foot", lambda d: d.tube.locked, True),
    (SetField("tube", "locked", False), "unlock foot", lambda d: d.tube.locked, False),
    (SetField("tube", "blank", None), "set blank", lambda d: d.tube.blank, None),
    (SetField("instrument", "mouth", "rim"), "set mouth", lambda d: d.instrument.mouth, "rim"),
    (SetField("voicing", "added_length", 0.03), "set added length", lambda d: d.voicing, Voicing(0.03)),
    (SetField("voicing", "window", Window(0.005, 0.009)), "set window",
     lambda d: d.voicing.window.width, 0.009),
    (SetField("air", "humidity", 40), "set humidity", lambda d: d.air, AirSetting(humidity=40)),
    (SetField("tuning", "tolerance", 3.0), "set tolerance", lambda d: d.tuning.tolerance, 3.0),
    (SetField("shop", "bits", (0.005, 0.006)), "set bits", lambda d: d.shop, Shop(bits=(0.005, 0.006))),
    (SetField("uncertainty", "tuner", 2.0), "set tuner", lambda d: d.uncertainty.tuner, 2.0),
    (SetHole(1, "at", 0.21), "move hole 2", lambda d: d.holes[1].at, 0.21),
    (SetHole(1, "at", 0.3), "move hole 2", lambda d: d.rows, DESIGN.rows),
    (SetHole(0, "diameter", 0.009), "set diameter of hole 1", lambda d: d.holes[0].diameter, 0.009),
    (SetHole(0, "locked", frozenset({"at"})), "lock hole 1", lambda d: d.holes[0].locked, {"at"}),
    (SetHole(0, "locked", frozenset()), "unlock hole 1", lambda d: d.holes[0].locked, frozenset()),
    (SetHole(1, "finger", "L2"), "set finger of hole 2", lambda d: d.rows[2].holes, ("O", "X", "H")),
    (SetHole(0, "finger", "none"), "set finger of hole 1", lambda d: d.rows[2].holes, ("H",)),
    (SetHole(0, "finger", "L2"), "set finger of hole 1", lambda d: d.rows, DESIGN.rows),
    (AddHole(Hole(0.3, 0.006, finger="R2")), "add hole", lambda d: d.rows[1].holes, ("X", "O", "X")),
    (AddHole(Hole(0.1, 0.006, finger="LT"), 0), "add hole", lambda d: d.rows[1].holes, ("X", "X", "O")),
    (AddHole(Hole(0.3, 0.006)), "add hole", lambda d: (len(d.holes), d.rows), (4, DESIGN.rows)),
    (RemoveHole(0), "remove hole 1", lambda d: [r.holes for r in d.rows], [("X",), ("O",), ("H",)]),
    (RemoveHole(0), "remove hole 1", lambda d: [e.holes for e in d.log], [(), ("O",)]),
    (RemoveHole(0), "remove hole 1", lambda d: [e.drilled for e in d.log], [(), ("X",)]),
    (RemoveHole(1), "remove hole 2", lambda d: d.rows, DESIGN.rows),
    (InsertRow(Row("B4", ("X", "H")), 1), "insert row",
     lambda d: [r.note for r in d.rows], ["A4", "B4", "C5", "D5"]),
    (InsertRow(Row("B4", ("X", "H"))), "insert row", lambda d: d.rows[-1].note, "B4"),
    (DeleteRow(0), "delete row 1", lambda d: d.rows, DESIGN.rows[1:]),
    (MoveRow(0, 2), "move row 1", lambda d: [r.note for r in d.rows], ["C5", "D5", "A4"]),
    (MoveRow(2, 0), "move row 3", lambda d: [r.note for r in d.rows], ["D5", "A4", "C5"]),
    (ReorderRows((2, 0, 1)), "sort rows", lambda d: [r.note for r in d.rows], ["D5", "A4", "C5"]),
    (ReorderRows((0, 1, 2)), "sort rows", lambda d: d, DESIGN),
    (Several("paste", (SetRow(0, "cents", 4.0), DeleteRow(1), SetRow(1, "cents", 5.0))), "paste",
     lambda d: [(r.note, r.cents) for r in d.rows], [("A4", 4.0), ("D5", 5.0)]),
    (Several("nothing", ()), "nothing", lambda d: d, DESIGN),
    (Several("swap", (SetHole(0, "at", 0.25), SetHole(2, "at", 0.15))), "swap",
     lambda d: [h.at for h in d.holes], [0.25, 0.2, 0.15]),
    (Become("note a reading", replace(DESIGN, name="Wren", text="# another\n")), "note a reading",
     lambda d: d.name, "Wren"),
    (SetRow(0, "note", "Bb4"), "set note of row 1", lambda d: d.rows[0].note, "Bb4"),
    (SetRow(0, "open_share", 0.3), "set open share of row 1", lambda d: d.rows[0].open_share, 0.3),
    (SetState(1, 2, "X"), "close hole 3 of row 2", lambda d: d.rows[1].holes, ("X", "X")),
    (SetState(1, 0, "O"), "open hole 1 of row 2", lambda d: d.rows[1].holes, ("O", "O")),
    (SetState(1, 0, "H"), "half open hole 1 of row 2", lambda d: d.rows[1].holes, ("H", "O")),
]  # fmt: skip


@pytest.mark.parametrize(
    ("edit", "label", "look", "expected"),
    FITTING,
    ids=lambda item: None if callable(item) else repr(item)[:40],
)
def test_edits_that_fit(edit, label, look, expected):
    before = replace(DESIGN)
    after = apply(DESIGN, edit)
    assert look(after) == expected
    assert edit.label == label
    assert before == DESIGN
    assert after.text == DESIGN.text


NOT_FITTING = [
    (SetField("tube", "length", 0.2), "holes[2].at = 200 mm", "toward the mouth"),
    (SetField("tube", "length", float("nan")), "tube.length = nan", "more than 0"),
    (SetField("tube", "lenght", 0.4), "tube has no lenght", "length"),
    (SetField("tube", "length", "0.4"), "'0.4' is no value for length", "a number"),
    (SetField("tube", "locked", 1), "1 is no value for locked", "yes or no"),
    (SetField("tube", "length", True), "True is no value", "a number"),
    (SetField("tube", "bore", ()), "no bore is given", "stations"),
    (SetField("tube", "avoid", ((0.1, 0.2, 0.3),)), "no value for avoid", "tuple"),
    (SetField("instrument", "mouth", "reed"), "'reed' is no value for mouth", "duct, notch, rim"),
    (SetField("tub", "length", 0.4), "'tub' is no table", "tube"),
    (SetField("", "rows", ()), "a design has no rows to set", "name"),
    (SetField("", "name", "\ud800"), "half a character", "again"),
    (SetField("shop", "hand", "huge"), "no hand has that name", "small"),
    (SetField("tuning", "tonic", "H"), "is not a note", "A4"),
    (SetHole(3, "at", 0.1), "there is no hole 4", "3 places"),
    (SetHole(-1, "at", 0.1), "there is no hole 0", "3 places"),
    (SetHole(0, "at", 0.201), "cuts into", "apart"),
    (SetHole(0, "diameter", 0.017), "wider than the bore", "narrower"),
    (SetHole(0, "locked", frozenset({"wall"})), "no value for locked", "at"),
    (AddHole(Hole(0.2, 0.006, finger="R2")), "cuts into", "apart"),
    (AddHole(Hole(0.1, 0.006), 9), "there is no hole 10", "4 places"),
    (RemoveHole(3), "there is no hole 4", "3 places"),
    (InsertRow(Row("B4", ("X",))), "1 letter for 2", "X for closed"),
    (InsertRow(Row("Q", ("X", "X"))), "is not a note", "A4"),
    (DeleteRow(3), "there is no row 4", "3 places"),
    (MoveRow(0, 3), "there is no row 4", "3 places"),
    (ReorderRows((0, 1)), "no order of the rows", "every row once"),
    (ReorderRows((0, 1, 1)), "no order of the rows", "every row once"),
    (ReorderRows((0, 1, 3)), "no order of the rows", "every row once"),
    (ReorderRows([2, 0, 1]), "[2, 0, 1] is no order", "tuple"),
    (Several("paste", (SetRow(0, "cents", 4.0), SetRow(9, "cents", 4.0))), "there is no row 10", "3 places"),
    (Several("widen", (SetHole(1, "diameter", 0.0069), SetHole(0, "at", 0.2))), "cuts into", "apart"),
    (Several("paste", (SetRow(0, "cents", "4"),)), "'4' is no value for cents", "a number"),
    (Become("cut", replace(DESIGN, tube=replace(DESIGN.tube, length=0.2))), "holes[2].at = 200 mm", "mouth"),
    (SetRow(0, "register", 4), "rows[1].register = 4", "from 1 to 3"),
    (SetRow(0, "holes", ("X", "Q")), "no value for holes", "tuple"),
    (SetState(0, 1, "X"), "hole 2 has no finger", "give it one"),
    (SetState(0, 0, "Q"), "'Q' is no state", "X, O, H"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("edit", "problem", "remedy"), NOT_FITTING, ids=lambda item: None if callable(item) else repr(item)[:40]
)
def test_edits_that_do_not_fit(edit, problem, remedy):
    with pytest.raises(EditError) as caught:
        apply(DESIGN, edit)
    assert problem in caught.value.problem
    assert remedy in caught.value.remedy


def test_several_edits_may_pass_through_what_no_flute_can_be():
    """Only what comes out is checked: two holes change places, a tube is cut before its hole is moved."""
    through = Several("shorten", (SetField("tube", "length", 0.24), SetHole(2, "at", 0.23)))
    assert apply(DESIGN, through).tube.length == 0.24
    with pytest.raises(EditError):
        apply(DESIGN, through.edits[0])


def test_an_edit_on_the_way_to_one_that_will_be_checked():
    """Unchecked, it still needs something to change and a value that fits."""
    cut = SetField("tube", "length", 0.24)
    assert unchecked(DESIGN, cut).tube.length == 0.24
    assert unchecked(DESIGN, SetRow(0, "cents", 4.0)) == apply(DESIGN, SetRow(0, "cents", 4.0))
    for edit in (SetRow(9, "cents", 4.0), SetRow(0, "cents", "4")):
        with pytest.raises(EditError):
            unchecked(DESIGN, edit)


def test_edits_of_more_than_a_cell_set_no_cell():
    for edit in (ReorderRows((0, 1, 2)), Several("x", (SetRow(0, "cents", 4.0),)), Become("x", DESIGN)):
        assert edit.cell is None


def test_a_state_goes_round():
    design, seen = DESIGN, []
    for _ in range(4):
        design = apply(design, cycled(design, 0, 2))
        seen.append(design.rows[0].holes[1])
    assert seen == ["O", "H", "X", "O"]
    assert cycled(DESIGN, 0, 2).label == "open hole 3 of row 1"
    with pytest.raises(EditError, match="no finger"):
        cycled(DESIGN, 0, 1)


def test_retuning_rewrites_the_rows():
    edit = Retune(replace(DESIGN.tuning, tonic="D4"), MINOR, MINOR)
    after = apply(DESIGN, edit)
    assert [row.note for row in after.rows] == ["D4", "F4", "G4"]
    assert [row.holes for row in after.rows] == [row.holes for row in DESIGN.rows]
    assert after.tuning.tonic == "D4"
    assert edit.left_behind(DESIGN) == ()
    assert edit.label == "retune to D4 pentatonic minor"
    other = replace(DESIGN, rows=(Row("440 Hz", ("X", "X")),))
    assert edit.left_behind(other) == (0,)


def test_an_old_fault_does_not_forbid_the_way_out_of_it():
    """A design made by a program may be wrong already; an edit may leave that as it is or mend it."""
    wrong = replace(DESIGN, tube=replace(DESIGN.tube, length=0.2))
    assert apply(wrong, SetField("", "name", "Wren")).name == "Wren"
    assert apply(wrong, SetField("tube", "length", 0.36)).tube == DESIGN.tube


def test_cells():
    assert SetField("tube", "length", 0.4).cell == ("tube", "length")
    assert SetHole(0, "at", 0.1).cell == ("holes", 0, "at")
    assert SetRow(0, "note", "A4").cell == ("rows", 0, "note")
    assert RemoveHole(0).cell is None
