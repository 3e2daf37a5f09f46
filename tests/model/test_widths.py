"""The bench log tells how wide each hole was when."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from scaledesign.model.document import Design, Hole, LogEntry, Station, Tube
from scaledesign.model.edits import AddHole, RemoveHole, apply
from scaledesign.model.widths import as_it_is, hole_then, was_there

WHEN = datetime(2026, 3, 1, 9)
DESIGN = Design(
    Tube(0.3, (Station(0.0, 0.016),), (Station(0.0, 0.003),)),
    holes=(Hole(0.15, 0.008, finger="L1"), Hole(0.22, 0.009, finger="R1", drilled=True)),
)


def _entry(event, **told):
    return LogEntry(WHEN, event, **told)


def test_a_hole_is_as_wide_as_it_was_last_made():
    log = (
        _entry("drilled", hole=1, diameter=0.006, at=0.2203),
        _entry("measured", hole=1, measured="B4 -30"),
        _entry("opened", hole=1, diameter=0.007, was=0.006),
        _entry("opened", hole=1, undercut=0.0005),
    )
    design = replace(DESIGN, log=log)
    assert [hole_then(design, 1, place).diameter for place in range(5)] == [
        0.009, 0.006, 0.006, 0.007, 0.007,
    ]  # fmt: skip
    assert hole_then(design, 1, 1).at == 0.2203
    assert [hole_then(design, 1, place).undercut for place in (1, 4)] == [0.0, 0.0005]
    assert [was_there(design, 1, place) for place in (0, 1)] == [False, True]
    assert as_it_is(design).holes[1] == replace(DESIGN.holes[1], at=0.2203, diameter=0.007, undercut=0.0005)


def test_before_a_finished_flute_was_touched_it_was_as_the_log_says_it_was():
    log = (_entry("measured"), _entry("opened", hole=1, diameter=0.0095, was=0.0088))
    design = replace(DESIGN, log=log)
    assert hole_then(design, 1, 0).diameter == 0.0088
    assert was_there(design, 1, 0)
    assert not was_there(design, 0, 2)


def test_work_follows_its_hole_when_holes_are_counted_anew():
    design = replace(DESIGN, log=(_entry("drilled", hole=1, diameter=0.006),))
    more = apply(design, AddHole(Hole(0.1, 0.005, side=180.0, finger="LT"), 0))
    assert more.log[0].hole == 2
    assert apply(more, RemoveHole(0)).log == design.log
    assert apply(design, RemoveHole(1)).log == (_entry("note", diameter=0.006),)
