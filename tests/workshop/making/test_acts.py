"""What is noted stays true: of the tube as it was, and gone without a trace where it is taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from scaledesign.model.document import Design, LogEntry
from scaledesign.model.pitch import format_reading, raised
from scaledesign.workshop import ask, calibration
from scaledesign.workshop.making import acts
from scaledesign.workshop.noting import Act, taken_back, with_acts
from scaledesign.workshop.readings import readings_of
from tests.workshop.making.reeds import START, planned


def read() -> Design:
    """A finished flute whose rows were read 15 cents flat; nothing stands in its log."""
    flute = planned()
    rows = tuple(
        replace(row, measured=format_reading(raised(target, -15.0), flute.tuning.reference))
        for row, target in zip(flute.rows, ask.targets(flute), strict=True)
    )
    noted = replace(
        flute,
        rows=rows,
        holes=tuple(replace(hole, drilled=True) for hole in flute.holes),
        tube=replace(flute.tube, locked=False),
    )
    return calibration.learn(noted, noted).design


def test_a_finished_flute_with_an_empty_log_keeps_its_length():
    flute = read()
    assert not flute.log
    assert acts.resolved(flute) == flute


def test_what_was_read_before_a_cut_stays_of_the_longer_tube():
    flute = read()
    before = [float(reading.flutes.length[0]) for reading in readings_of(flute)]
    cut = acts.cut(flute, flute.tube.length - 0.003, START)
    assert [float(reading.flutes.length[0]) for reading in readings_of(cut)] == pytest.approx(before)
    learnt = calibration.learn(cut, cut).design
    assert learnt.voicing.added_length == pytest.approx(flute.voicing.added_length, abs=1e-5)


def test_a_cut_that_is_taken_back_was_none():
    flute = read()
    cut = with_acts(flute, (Act("cut", flute.tube.length - 0.003),), START)
    assert cut.tube.length < flute.tube.length
    back, entry = taken_back(cut)
    assert entry.event == "cut"
    assert back.tube.length == pytest.approx(flute.tube.length, abs=1e-9)


def test_the_only_entry_of_a_log_is_taken_back():
    flute = replace(read(), rows=planned().rows)
    opened = acts.opened(flute, 1, START, diameter=flute.holes[1].diameter + 1e-4)
    back, entry = taken_back(opened)
    assert (entry.event, back.log) == ("opened", ())


def test_a_reading_is_taken_back_even_where_the_rest_cannot_be_learnt_from():
    """The older reading is of another tube altogether; the newer one must not stay for that."""
    flute = read()
    odd = LogEntry(START, "measured", (), "A6 +0", 20.0, flute.tube.length, "the bare tube", 1)
    newer = LogEntry(START + timedelta(hours=1), "measured", (), "A4 +0", 20.0, flute.tube.length, "", 1)
    back, entry = taken_back(replace(flute, log=(odd, newer)))
    assert entry == newer
    assert newer not in back.log
