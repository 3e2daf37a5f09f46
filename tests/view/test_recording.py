"""A recording beside a flute's rows as plain data: put right by the maker, entered; what is asked.

What was heard is made up here: no file, no tracker.
"""

from __future__ import annotations

from datetime import datetime
from functools import cache
from pathlib import Path

import pytest

from scaledesign.errors import EditError
from scaledesign.listening.notes import Listened, Note
from scaledesign.model.pitch import raised
from scaledesign.model.spelling import tuner_shows
from scaledesign.view import recording
from scaledesign.view.lines import text_of
from scaledesign.view.recording import Heard
from scaledesign.view.recording_list import listing, switched, turned
from scaledesign.view.recording_questions import BARE, RecordingAsked, recordings
from scaledesign.workshop.heard_rows import awaited, paired
from tests.view.small_flute import flute, sheet

WHEN = datetime(2026, 5, 4, 10, 30)
OFF = 9.0
"""Cents by which this flute lies sharp of what is expected."""


@cache
def heard(places: tuple[int, ...] = (0, 1, 1, 2, 3), bare: bool = False) -> Heard:
    """A second and more of each of some rows, the second take of a row 4 cents sharper."""
    among = awaited(flute(), bare=bare)
    notes, start = [], 0.5
    for number, place in enumerate(places):
        again = 4.0 if number and places[number - 1] == place else 0.0
        hertz = raised(float(among.frequency[place]), OFF + again)
        notes.append(Note(start, 1.0 + bool(again), hertz, 11.0, 15.0, 5.0, 24.0))
        start += 2.0
    passed = (Note(12.0, 0.2, 500.0, reason="short"),)
    found = Listened(14.0, tuple(notes), passed, False)
    pairing = paired([note.frequency for note in notes], among, "any" if bare else "up")
    return Heard(flute(), bare, None, None, found, pairing, tuple(note.place for note in pairing.notes))


def test_each_row_gets_the_mean_of_its_notes_as_long_as_they_were_held() -> None:
    one = heard()
    assert one.of == (0, 1, 1, 2, 3)
    assert one.takes() == {0: (0,), 1: (1, 2), 2: (3,), 3: (4,)}
    assert one.reading(0) == "A4 +9"
    plain = raised(float(one.awaited.frequency[1]), OFF + 4.0 * 2 / 3)
    assert one.reading(1) == tuner_shows(one.design, plain)
    assert recording.said(one) == "5 steady notes, of 4 rows."
    assert "Row 2 was heard 2 times, 4 cents apart: their mean counts" in recording.remarks(one)[-1]


def test_what_is_entered_stands_in_the_rows_and_in_the_log_and_teaches() -> None:
    found = heard().entered(WHEN)
    assert [row.measured for row in found.design.rows] == [heard().reading(i) for i in range(4)]
    assert [entry.event for entry in found.design.log] == ["measured"] * 4
    assert {entry.when for entry in found.design.log} == {WHEN}
    assert found.after.uncertainty.max() < found.before.uncertainty.max()
    assert found.residuals[0].before == pytest.approx(OFF, abs=0.6)
    held = found.design
    assert held.tube.locked
    assert all(hole.locked == {"at", "diameter"} for hole in held.holes)
    assert recording.taught(found).startswith("4 readings in force.")


def test_the_bare_tube_is_entered_as_such() -> None:
    one = heard((0, 1), bare=True)
    design = one.entered(WHEN).design
    assert [entry.holes for entry in design.log] == [(), ()]
    assert all(not row.measured for row in design.rows)


def test_a_note_is_left_out_given_to_another_row_and_put_back() -> None:
    one = heard()
    without = switched(one, 1)
    assert without.of == (0, None, 1, 2, 3)
    assert without.why(1) == recording.LEFT
    assert switched(without, 1).of == one.of
    assert turned(one, 0, 1).of[0] == 1
    assert turned(one, 0, -1).of[0] == 3
    assert turned(without, 1, 1).of[1] == 1
    for number in range(5):
        one = one.put(number, None)
    with pytest.raises(EditError):
        one.entered(WHEN)
    assert recording.said(one) == "5 steady notes, and none of them is one of this flute's."
    assert [entry.value for entry in listing(sheet(), one).entries] == [None] * 5
    assert "Space puts one back" in listing(sheet(), one).entries[0].refusal


def test_the_list_says_what_each_note_is_and_why_one_is_left_out() -> None:
    shown = listing(sheet(), switched(heard(), 3))
    assert shown.said.startswith(
        "5 steady notes, of 3 rows; 1 left out. 1 more was too short or never steady."
    )
    assert text_of(shown.entries[0].line).split()[:6] == ["0:00.5", "1.0", "s", "A4", "+9", "11"]
    assert "row 1" in text_of(shown.entries[0].line)
    assert "left out" in text_of(shown.entries[3].line)
    about = " ".join(text_of(line) for line in shown.entries[3].about(74, 4))
    assert "in a vibrato of 15 cents up and down, 5.0 times a second" in about
    assert "You left it out." in about
    assert all(len(text_of(entry.line)) <= 74 for entry in shown.entries)
    assert all(len(text_of(line)) <= 40 for entry in shown.entries for line in entry.about(40, 4))


def test_times_are_minutes_and_seconds() -> None:
    assert [recording.moment(s) for s in (0.0, 7.44, 59.97, 61.0)] == ["0:00.0", "0:07.4", "1:00.0", "1:01.0"]


def test_the_questions_take_the_newest_recording_and_say_what_cannot_be(tmp_path: Path) -> None:
    empty = RecordingAsked(flute(), tmp_path, recordings(tmp_path))
    assert not empty.ready
    assert "no recording in" in text_of(empty.tail(200)[0])
    for name in ("a.wav", "b.FLAC", "c.txt"):
        (tmp_path / name).write_bytes(b"")
    there = recordings(tmp_path)
    assert set(there) == {"a.wav", "b.FLAC"}
    asked = RecordingAsked(flute(), tmp_path, there)
    assert asked.ready
    assert asked.path == tmp_path / there[0]
    assert (asked.bare, asked.order, asked.conditions()) == (False, "up", (None, None))
    assert not asked.answered("file", "gone.wav").ready
    assert "There is no file" in asked.answered("file", "gone.wav").questions()[0].problem
    assert not asked.answered("played", "backwards").ready
    assert not asked.answered("temperature", "warm").ready
    tube = asked.answered("played", BARE).answered("length", "40 cm").answered("temperature", "19 °C")
    assert tube.bare
    assert tube.questions()[-1].asked
    assert tube.conditions() == (pytest.approx(0.4), pytest.approx(19.0))
    assert not asked.questions()[-1].asked
    with pytest.raises(KeyError):
        asked.answered("colour", "red")
    assert not recordings(tmp_path / "none")
