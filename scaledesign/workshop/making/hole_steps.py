"""One hole on its way to its note: a pilot, then wider by what the readings allow, and what helps at a limit.

How far it may go in one go is ``opening.py``'s.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scaledesign.model.bits import bit_set
from scaledesign.solver.problem import CENT
from scaledesign.workshop.drilling import Listened
from scaledesign.workshop.making.opening import HAND, SURE, Opening, finished, own_row, whole
from scaledesign.workshop.making.stage import ENOUGH, GO, GO_LAST, NEAR, Stage
from scaledesign.workshop.making.step import Shift, Step, StepKind
from scaledesign.workshop.making.tries import READINGS

HAIR = 1e-8
"""m: no difference."""
RISK = 0.08
"""Chance that a note may be sharp beyond the tolerance after the least that can be filed."""
FILE = 1e-4
"""m: the least that is filed in one go."""
FILE_ONLY = 2.5e-4
"""m: less than this is filed, and no bit taken for it."""
NARROWEST = 0.4
"""Share of a hole's width that a pilot is never under (common practice, no source)."""
SHOWN = 1.0
"""Cents from which a shift of another note is worth a word."""
UNDERCUTS = tuple(1e-4 * tenth for tenth in range(1, 13))
"""m of widening at the bore that are thought of, tenth by tenth."""


def drill(stage: Stage, hole: int) -> Step:
    """The pilot of a hole: surely not too wide."""
    own, heard = stage.design.holes[hole], stage.listened(hole)
    bits = bit_set(stage.design.shop.bits)
    opening = stage.opening(hole)
    if opening is None:
        to = bits.below(own.diameter) or own.diameter
        row = own_row(stage.design, heard.states, heard.register, heard.open_share)
        sounds, sure = Opening(stage.outlook, hole, row, 1.0).sounds(to)
        why = "No note that counts opens it by itself: drill it as it is planned."
        return Step(
            "drill", why, hole=hole, at=own.at, to=to, bit=to, final=own.diameter, row=heard.row,
            holes=heard.states, register=heard.register, sounds=sounds, sure=sure,
        )  # fmt: skip
    line = opening.line
    safe = line.safe(0.0)
    fitting = [b for b in bits.diameters if NARROWEST * own.diameter <= b <= min(safe, own.diameter) + 1e-8]
    narrow = [b for b in bits.diameters if b >= NARROWEST * own.diameter]
    to = fitting[-1] if fitting else narrow[0] if narrow else own.diameter
    sharp = line.sharp(to)
    surely = (
        "surely still flat" if sharp < 0.005 else f"still flat with {100 * (1 - sharp):.0f} chances in 100"
    )
    why = f"So narrow, the note is {surely}: what it sounds then says how far to go."
    if not fitting:
        why = "Little room is left before the note may be sharp: begin narrow."
        if not stage.outlook.readings:
            why = "Not much is known of this note yet: begin with the narrowest bit that makes sense."
    return _step(stage, "drill", why, opening, heard, to, bit=to, at=own.at, now=None)


def in_hand(stage: Stage, hole: int) -> Step | None:
    """What to do with the hole that was drilled last; None where it may be left."""
    opening, heard = stage.opening(hole), stage.listened(hole)
    doubt = stage.doubt(heard.states, heard.register)
    if doubt is not None and not doubt.believed:
        if opening is not None:
            return _read(stage, opening, heard, doubt.why)
        return Step("read", doubt.why, hole=hole, row=heard.row, holes=heard.states, register=heard.register)
    if opening is None:
        return None
    if doubt is not None and stage.left:  # else it is told of with the whole flute
        stage.notes.append(doubt.taken(f"Hole {hole + 1}"))
    return _mend(stage, opening, heard, stage.readings(opening.row))


def _mend(stage: Stage, opening: Opening, heard: Listened, read: int) -> Step | None:
    """The next step on the hole in hand; None: go on to the next.

    While holes are still to come it is enough to be near: a little flat is touched up at the end, when
    the whole flute can be heard.
    """
    line, now = opening.line, opening.now.diameter
    off, sure = line.at(now)
    if not read:
        return _read(stage, opening, heard, "Blow it, and type what the tuner shows.")
    if read == 1 and stage.surprised(opening.row):
        return _read(
            stage,
            opening,
            heard,
            "That is far from what was foretold: blow it once more before anything is cut.",
        )
    enough = (NEAR if stage.left else ENOUGH) * stage.tolerance
    if off > -enough:
        if off <= stage.tolerance:
            return None
        if read < 2:
            return _read(stage, opening, heard, "It seems sharp: blow it once more, to be sure.")
        return fill(stage, opening, heard) if off - sure > 0 and not stage.was_filled(opening.hole) else None
    step = raised(stage, opening, heard)
    if step is None and now < opening.widest - HAND and off < -stage.tolerance and read < READINGS - 1:
        why = "Blow it once more: it is flat, but by how much is not sure enough yet."
        return _read(stage, opening, heard, why)
    return step


def raised(stage: Stage, opening: Opening, heard: Listened) -> Step | None:
    """A flat note raised as far as is safe: its hole opened, or undercut where it is as wide as it may be."""
    best = opening.line.reaching(stage.aim)
    to = _go(stage, opening, best)
    if to is not None:
        return _widen(stage, opening, heard, to, best)
    if opening.now.diameter >= opening.widest - HAND:
        return _undercut(stage, opening, heard)
    return None


def _go(stage: Stage, opening: Opening, best: float) -> float | None:
    """m: how wide to make a hole in one go, None where nothing can be taken off safely."""
    line, now, least = opening.line, opening.now.diameter, _least(stage, opening)
    share = GO if stage.left else GO_LAST
    to = whole(min(best, line.safe(share * stage.tolerance)))
    if to - now >= least - HAIR:
        return to
    to = whole(now + least)
    fits = to <= opening.widest and to <= best + HAND
    return to if fits and line.sharp(to, stage.tolerance) < RISK else None


def _least(stage: Stage, opening: Opening) -> float:
    """m: the least that is taken off in one go; half of it where a tenth is too much."""
    now = opening.now.diameter
    tenth = opening.line.at(min(now + FILE, opening.line.width[-1]))[0] - opening.line.at(now)[0]
    return FILE if tenth < 0.6 * stage.tolerance else FILE / 2


def _read(stage: Stage, opening: Opening, heard: Listened, why: str) -> Step:
    return _step(stage, "read", why, opening, heard, opening.now.diameter, bit=None)


def _widen(stage: Stage, opening: Opening, heard: Listened, to: float, best: float) -> Step:
    now = opening.now.diameter
    bits = opening.bits(now, to)
    bit = bits[-1] if bits and bits[-1] - now >= FILE_ONLY else None
    off, _ = opening.line.at(now)
    flat = f"It would end {abs(off):.0f} cents flat."
    if to < best - 2 * HAND:
        flat += " Not all at once: further it might be sharp."
    if bit is not None and to - bit <= 2 * HAND:
        return _step(stage, "open", flat, opening, heard, bit, bit=bit)
    return _step(stage, "file", flat, opening, heard, to, bit=bit)


def _undercut(stage: Stage, opening: Opening, heard: Listened) -> Step | None:
    """The hole is as wide as it may be and its note still flat."""
    now, had = opening.now.diameter, opening.now.undercut
    most = 0.5 * now
    chosen, best = None, None
    for more in UNDERCUTS:
        under = had + more
        if under > most:
            break
        line = opening.between(now, now + HAND, under)
        off, sure = float(line.off[0]), float(line.sure[0])
        if off + SURE * sure > GO_LAST * stage.tolerance and chosen is not None:
            break
        chosen, best = under, (off, sure)
        if off >= stage.aim:
            break
    if chosen is None or best is None:
        off, _ = opening.line.at(now)
        stage.notes.append(
            f"Hole {opening.hole + 1} is as wide as your rules let it be, and its note {abs(off):.0f} "
            "cents flat. Ease the rule, or leave the note so."
        )
        return None
    sounds, sure = opening.sounds(now, chosen)
    step = _step(
        stage,
        "undercut",
        "It is as wide as it may be, and its note is still flat.",
        opening,
        heard,
        now,
        bit=None,
    )
    return replace(
        step,
        now=had,
        to=chosen,
        final=None,
        sounds=sounds,
        sure=sure,
        shifts=_shifts(stage, opening, now, chosen),
    )


def fill(stage: Stage, opening: Opening, heard: Listened) -> Step:
    """A note that is surely sharp."""
    now = opening.now.diameter
    line = opening.between(0.7 * now, now)
    to = whole(line.reaching(0.0))
    off, _ = opening.line.at(now)
    why = (
        f"Its note would be {off:.0f} cents sharp, surely. Fill it a little on the side toward the "
        "mouth and blow; or leave it so and play it softer."
    )
    return _step(stage, "fill", why, opening, heard, to, bit=None)


def _step(
    stage: Stage, kind: StepKind, why: str, opening: Opening, heard: Listened, to: float, *,
    bit: float | None, at: float | None = None, now: float | None = -1.0,
) -> Step:  # fmt: skip
    present = opening.now.diameter if now == -1.0 else now
    line = opening.line
    best = max(line.reaching(stage.aim), present or 0.0)
    off, off_sure = line.at(to if present is None else present)
    told = opening.sounds_at((to, max(best, to)))
    at_most = line.at(best)
    short = (
        best > opening.widest - HAND and at_most[0] < -stage.tolerance and kind not in ("undercut", "fill")
    )
    tuner = stage.outlook.problem.doubts.tuner
    return Step(
        kind, why, hole=opening.hole, at=at, now=present, to=None if kind == "read" else to, bit=bit,
        final=best, row=heard.row, holes=heard.states, register=heard.register,
        sounds=float(told.frequency[0, 0]), sure=float(np.hypot(told.sure[0, 0], tuner)),
        aim=float(told.frequency[1, 0]), off=off, off_sure=off_sure, stays=at_most if short else None,
        sharp=line.sharp(to) if to >= line.width[0] - 1e-9 else None,
        shifts=() if kind in ("read", "drill") else _shifts(stage, opening, to, None),
    )  # fmt: skip


def _shifts(stage: Stage, opening: Opening, to: float, undercut: float | None) -> tuple[Shift, ...]:
    """What a change of one drilled hole does to the other rows of the finished flute."""
    rows = [i for i, row in enumerate(stage.design.rows) if row.counts or row.register > 1]
    chosen = tuple(stage.design.rows[i] for i in rows)
    now = opening.now.diameter
    if undercut is None:
        widths = np.array([now, to])
        told = stage.outlook.tell(finished(stage.design, chosen, opening.hole, widths)).frequency
    else:
        told = np.concatenate([
            stage.outlook.tell(
                finished(stage.design, chosen, opening.hole, np.array([now]), cut)
            ).frequency
            for cut in (opening.now.undercut, undercut)
        ])  # fmt: skip
    cents = CENT * np.log(told[1] / told[0])
    shifts = [
        Shift(i, float(c)) for i, c in zip(rows, cents, strict=True)
        if abs(c) >= SHOWN and stage.design.rows[i] != opening.row
    ]  # fmt: skip
    return tuple(sorted(shifts, key=lambda shift: -abs(shift.cents)))
