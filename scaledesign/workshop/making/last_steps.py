"""The whole flute blown through, and what the last holes did to the first touched up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scaledesign.model.document import Row
from scaledesign.solver.problem import CENT
from scaledesign.workshop.drilling import Listened
from scaledesign.workshop.making.hole_steps import fill, raised
from scaledesign.workshop.making.opening import Opening, chance
from scaledesign.workshop.making.stage import ENOUGH, Stage
from scaledesign.workshop.making.step import Step
from scaledesign.workshop.making.tube_steps import trim

PASSES = ((1, 0.04), (2, 0.08))
"""How often each note of the whole flute is blown in a day, and the chance to be outside the tolerance from
which."""
DAYS, REST = 3, 0.04
"""On how many days the whole flute is blown, and the chance to be outside the tolerance from which: what the
breath and the thermometer do is of the day, and no reading of that day can tell it from the flute."""
OFTEN = 6
"""How often a note is blown at most, the flute being as it is."""
LIKELY = 0.15
"""Chance to be sharp beyond the tolerance from which a hole is filled."""
FIRST = "The flute has all its holes: blow this note and type what the tuner shows."
SURE_FIRST = "Blow it once more, to be sure: what comes next is not easily undone."
LATER = (
    "For today it is done. Breath and thermometer are of the day: blow it again on another, before the last "
    "is filed. If you would rather not wait, leave it as it is."
)


def touch_up(stage: Stage) -> Step:
    """Every hole is there: what is still off, the foot first, then the worst."""
    rows = [i for i, row in enumerate(stage.design.rows) if row.counts and row.register == 1]
    if not rows or stage.design.instrument.mouth == "open":
        return Step("done", "Every hole is drilled.")
    off, sure = stage.standing(rows)
    out = np.array([
        chance((o - stage.tolerance) / s) + chance((-o - stage.tolerance) / s)
        for o, s in zip(off, sure, strict=True)
    ])  # fmt: skip
    again = _left_out(stage, rows)
    if again is not None:
        place, why = again
        return _listen(stage, rows[place], float(off[place]), float(sure[place]), why)
    read = np.array([stage.read_since(stage.design.rows[i]) for i in rows])
    today = np.array([stage.read_since(stage.design.rows[i], today=True) for i in rows])
    mendable = np.array([_mendable(stage, stage.design.rows[i], o) for i, o in zip(rows, off, strict=True)])
    for most, doubt in PASSES:
        asked = [
            i for i, o, n, m in zip(rows, out, today, mendable, strict=True) if o > doubt and n < most and m
        ]
        if asked:  # not the one just blown, if another will do: breath wanders
            fresh = [i for i in asked if stage.design.rows[i].holes != stage.design.log[-1].holes]
            place = rows.index((fresh or asked)[0])
            why = _once_more(stage, float(out[place])) if today[place] else FIRST
            return _listen(stage, rows[place], float(off[place]), float(sure[place]), why)
        # the foot first: what is taken off it sharpens the notes of the lowest holes too
        for place in sorted(range(len(rows)), key=lambda p: (rows[p] != stage.root, -abs(off[p]))):
            step = _touched(stage, rows[place], float(off[place]), float(sure[place]), int(read[place]))
            if step is not None:
                return step
    waiting = [
        i
        for i, o, n, now, m in zip(rows, out, read, today, mendable, strict=True)
        if o > REST and m and n < OFTEN and now <= PASSES[-1][0]  # who does not wait is asked once for each
    ]
    if waiting and stage.days() < DAYS:
        place = rows.index(waiting[0])
        return replace(_listen(stage, rows[place], float(off[place]), float(sure[place]), LATER), rest=True)
    return Step("done", "Every note that counts is where it should be, as far as a tuner can tell.")


def _left_out(stage: Stage, rows: list[int]) -> tuple[int, str] | None:
    """Place of a row whose newest reading is left out, the one just blown first, and why to blow it again."""
    asked = list[tuple[int, str]]()
    for place, row in enumerate(stage.design.rows[i] for i in rows):
        doubt = stage.doubt(row.holes, row.register)
        if doubt is None:
            continue
        if doubt.believed:
            stage.notes.append(doubt.taken(row.note))
            continue
        newest = row.holes == stage.design.log[-1].holes
        asked.insert(0 if newest else len(asked), (place, doubt.why))
    return asked[0] if asked else None


def _mendable(stage: Stage, row: Row, off: float) -> bool:
    """Whether anything can be done about a note: a tube that is too short stays so."""
    return stage.governing(row) is not None or (off < 0 and stage.foot is not None)


def _once_more(stage: Stage, out: float) -> str:
    """Why a note is blown again."""
    return (
        f"As far as is known it is more than {stage.tolerance:g} cents off with "
        f"{max(1, round(100 * out))} chances in 100: blow it once more."
    )


def _listen(stage: Stage, index: int, off: float, sure: float, why: str) -> Step:
    row = stage.design.rows[index]
    tuner = stage.outlook.problem.doubts.tuner
    return Step(
        "read", why, hole=stage.governing(row), row=index, holes=row.holes, register=row.register,
        sounds=float(stage.target[index] * np.exp(off / CENT)), sure=float(np.hypot(sure, tuner)),
        aim=float(stage.target[index]), off=off, off_sure=sure,
    )  # fmt: skip


def _touched(stage: Stage, index: int, off: float, sure: float, read: int) -> Step | None:
    """What to do about one note of the flute that has all its holes; None: leave it."""
    row = stage.design.rows[index]
    hole = stage.governing(row)
    heard = Listened(index, row.holes, row.register, row.open_share)
    flat = off < -ENOUGH * stage.tolerance and off < -sure
    sharp = chance((off - stage.tolerance) / sure) > LIKELY
    if not (flat or sharp) or (sharp and hole is None):
        return None
    for_good = sharp or hole is None  # one reading is not enough for what cannot be undone, or not well
    if read < (2 if for_good else 1):
        return _listen(stage, index, off, sure, SURE_FIRST if read else FIRST)
    if hole is None:
        return trim(stage, index, off, sure) if flat else None
    opening = Opening(stage.outlook, hole, row, float(stage.target[index]))
    if not flat:
        return None if stage.was_filled(hole) else fill(stage, opening, heard)
    return raised(stage, opening, heard)
