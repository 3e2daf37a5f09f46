"""History: grouping rules, undo, redo, the dirty mark."""

from dataclasses import replace

import pytest

from scaledesign.errors import EditError
from scaledesign.model.document import Design, Row, Station, Tube
from scaledesign.model.edits import DeleteRow, InsertRow, SetField, SetRow
from scaledesign.model.history import GAP, History

DESIGN = Design(Tube(0.36, (Station(0.0, 0.016),), (Station(0.0, 0.0035),)), rows=(Row("A4", ()),))


def length(value):
    return SetField("tube", "length", value)


def test_undo_and_redo_give_the_very_documents():
    start = History.start(DESIGN)
    done = start.do(length(0.4), 0.0).do(SetField("", "name", "Wren"), 10.0)
    assert (done.undo_name, done.redo_name) == ("set name", "")
    back = done.undo()
    assert (back.undo_name, back.redo_name) == ("set length", "set name")
    assert back.undo().present is DESIGN
    assert back.undo().redo().redo().present is done.present
    assert back.undo().redo().redo().past == done.past


def test_an_edit_after_undo_drops_the_future():
    history = History.start(DESIGN).do(length(0.4), 0.0).undo().do(length(0.5), 10.0)
    assert history.future == ()
    assert history.undo().present is DESIGN


def test_fast_edits_of_one_cell_are_one_step():
    history = History.start(DESIGN)
    for count in range(5):
        history = history.do(length(0.4 + count / 100), count * GAP * 0.9)
    assert len(history.past) == 1
    assert history.undo().present is DESIGN


@pytest.mark.parametrize("later", [GAP, -0.5])
def test_slow_edits_and_a_clock_set_back_are_two_steps(later):
    assert len(History.start(DESIGN).do(length(0.4), 0.0).do(length(0.5), later).past) == 2


def test_edits_of_two_cells_are_two_steps():
    history = History.start(DESIGN).do(length(0.4), 0.0).do(SetRow(0, "cents", 3.0), 0.1)
    assert len(history.past) == 2


def test_edits_of_more_than_a_cell_are_never_joined():
    row = Row("C5", ())
    history = History.start(DESIGN).do(InsertRow(row), 0.0).do(InsertRow(row), 0.1).do(DeleteRow(0), 0.2)
    assert len(history.past) == 3


@pytest.mark.parametrize("between", [lambda h: h.undo().redo(), History.save])
def test_undo_redo_and_save_end_a_step(between):
    history = between(History.start(DESIGN).do(length(0.4), 0.0)).do(length(0.5), 0.1)
    assert len(history.past) == 2


def test_an_edit_that_changes_nothing_is_no_step():
    history = History.start(DESIGN)
    assert history.do(length(0.36), 0.0) is history


def test_an_edit_that_does_not_fit_leaves_the_history():
    history = History.start(DESIGN).do(length(0.4), 0.0)
    with pytest.raises(EditError):
        history.do(length(-1.0), 0.1)
    assert history.present.tube.length == 0.4


def test_the_dirty_mark():
    history = History.start(DESIGN)
    assert not history.dirty
    edited = history.do(length(0.4), 0.0)
    assert edited.dirty
    assert not edited.undo().dirty
    saved = edited.save()
    assert not saved.dirty
    assert saved.undo().dirty
    assert not saved.undo().redo().dirty
    assert not saved.undo().do(length(0.4), 9.0).dirty
    assert History.start(DESIGN, saved=False).dirty


def test_nothing_to_undo_or_redo():
    history = History.start(DESIGN)
    assert (history.undo_name, history.redo_name) == ("", "")
    with pytest.raises(EditError, match="nothing to undo"):
        history.undo()
    with pytest.raises(EditError, match="nothing to redo"):
        history.redo()


# Beside the document


def test_what_is_kept_beside_the_document_is_a_step_of_its_own():
    history = History.start(DESIGN).keep({"cell": "H4"}, "type into note", ("rows", 0))
    assert history.aside == {"cell": "H4"}
    assert history.present is DESIGN
    assert history.undo_name == "type into note"
    assert not history.dirty
    back = history.undo()
    assert back.aside is None
    assert back.redo_name == "type into note"
    assert back.redo().aside == {"cell": "H4"}


def test_the_same_kept_again_is_no_step():
    history = History.start(DESIGN).keep({"cell": "H4"}, "type into note")
    assert history.keep({"cell": "H4"}, "type into note") is history
    assert History.start(DESIGN).keep(None, "type into note") == History.start(DESIGN)


def test_keeping_drops_the_future_and_begins_a_new_step():
    history = History.start(DESIGN).do(length(0.4), 0.0).undo().keep("kept", "type")
    assert history.future == ()
    typed = History.start(DESIGN).do(length(0.4), 0.0).keep("kept", "type").do(length(0.5), 0.1, aside="kept")
    assert len(typed.past) == 3


def test_an_edit_goes_with_what_is_kept_beside_it():
    """An edit that mends a text takes it away, and undo brings both back."""
    wrong = History.start(DESIGN).keep("H4", "type into length")
    mended = wrong.do(length(0.4), 10.0)
    assert mended.aside is None
    assert mended.undo().aside == "H4"
    assert mended.undo().present is DESIGN
    assert mended.undo().undo().aside is None
    assert mended.undo().redo().aside is None


def test_an_edit_that_changes_nothing_may_take_a_text_away():
    wrong = History.start(DESIGN).keep("H4", "type into length")
    mended = wrong.do(length(0.36), 10.0)
    assert mended.aside is None
    assert mended.present is DESIGN
    assert len(mended.past) == 2
    assert mended.undo_name == "set length"
    assert mended.undo().aside == "H4"


def test_what_the_solver_makes_of_an_edit_belongs_to_its_step():
    edited = History.start(DESIGN).do(length(0.4), 0.0)
    solved = replace(edited.present, name="solved")
    history = edited.amend(solved)
    assert history.present is solved
    assert history.past == edited.past
    assert history.undo().present is DESIGN
    assert history.undo().redo().present is solved
    joined = history.do(length(0.41), 0.5)
    assert len(joined.past) == 1
    assert joined.undo().present is DESIGN


def test_each_step_knows_where_it_was_made():
    history = (
        History.start(DESIGN)
        .do(length(0.4), 0.0, place="here")
        .do(SetRow(0, "cents", 3.0), 9.0, place="there")
    )
    assert [step.place for step in history.past] == ["here", "there"]
    back = history.undo()
    assert back.future[0].place == "there"
    assert [step.place for step in back.redo().past] == ["here", "there"]
    assert [step.label for step in back.undo().future] == ["set length", "set cents of row 1"]
