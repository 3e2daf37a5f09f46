"""The one next thing to do on a flute in the making, and what is left after it.

From the foot toward the mouth each note hangs only on what is drilled already, so that it can still be
mended by the hole in hand (common practice, no source). First the bare tube is blown and cut a little long;
then hole by hole a pilot that is surely not too wide, a reading, and wider by what the reading allows; at the
end the whole flute is blown through, and what the last holes did to the first is touched up.

The plan is worked out anew from the design and its log each time: nothing else is kept, so a flute can be
laid aside for as long as you like. How far one hole may be opened is ``opening.py``'s, what is foretold
``outlook.py``'s.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, HoleState, LogEntry, Row
from scaledesign.model.widths import WORK, drilled_now, hole_in_hand, hole_then, length_now
from scaledesign.physics.arrays import Floats
from scaledesign.solver.problem import CENT, counts
from scaledesign.workshop import ask
from scaledesign.workshop.drilling import Listened, drill_steps, listened, next_hole
from scaledesign.workshop.making.opening import (
    HAND,
    SURE,
    Line,
    Opening,
    chance,
    finished,
    own_row,
    whole,
)
from scaledesign.workshop.making.outlook import Outlook, outlook_of
from scaledesign.workshop.making.step import Account, Plan, Shift, Standing, Step, StepKind
from scaledesign.workshop.readings import bare_reading

AIM = -1.0
"""Cents: a little flat, since a hole is opened more easily than filled."""
GO, GO_LAST = 0.3, 0.7
"""Share of the tolerance that a step may be sharp with 95 chances in 100: while holes are still to come, and
at the last."""
ENOUGH = 0.5
"""Share of the tolerance within which a note is left as it is."""
PASSES = ((1, 0.04), (2, 0.08))
"""How often each note of the whole flute is blown in a day, and the chance to be outside the tolerance from
which."""
DAYS, REST = 3, 0.05
"""On how many days the whole flute is blown, and the chance to be outside the tolerance from which: what the
breath and the thermometer do is of the day, and no reading of that day can tell it from the flute."""
OFTEN = 6
"""How often a note is blown at most, the flute being as it is."""
LIKELY = 0.18
"""Chance to be sharp beyond the tolerance from which a hole is filled."""
SURPRISED = 2.5
"""Standard deviations from what was foretold from which a reading is taken again before it is acted upon."""
FAR, THIRD = 0.06, 1 / 3
"""Share of the tube's length beyond which it is not cut off in one go, and what is left on then of that."""
HAIR = 1e-8
"""m: no difference."""
RISK = 0.08
"""Chance that a note may be sharp beyond the tolerance after the least that can be filed."""
FILE = 1e-4
"""m: the least that is filed in one go."""
NEAR = 0.8
"""The same while other holes are still to be drilled."""
READINGS = 4
"""How often one fingering is blown, the flute being the same."""
LEAST_CUT = 5e-4
"""m: less than this is not sawn off."""
FILE_ONLY = 2.5e-4
"""m: less than this is filed, and no bit taken for it."""
NARROWEST = 0.4
"""Share of a hole's width that a pilot is never under (common practice, no source)."""
LATER = (
    "For today it is done. Breath and thermometer are of the day: blow it again on another, before the last "
    "is filed. If you would rather not wait, leave it as it is."
)
SHOWN = 1.0
"""Cents from which a shift of another note is worth a word."""
UNDERCUTS = tuple(1e-4 * tenth for tenth in range(1, 13))
"""m of widening at the bore that are thought of, tenth by tenth."""


def plan(design: Design) -> Plan:
    """Where the flute stands, what to do now, and what comes after.

    Raises
    ------
    NoPitchError
        where a fingering that is to be blown cannot sound.
    UnknownNameError
        where nobody offers the scale.
    """
    return _Planner(design).whole()


def next_step(design: Design) -> Step:
    """What to do now.

    Raises
    ------
    NoPitchError, UnknownNameError
    """
    return _Planner(design).now()


def best_width(outlook: Outlook, hole: int, target: Floats) -> float | None:
    """m: how wide a drilled hole is to become, as far as is known; None where no row tells."""
    opening = _Planner(outlook.design, outlook, target).opening(hole)
    if opening is None:
        return None
    line = opening.line
    off, _ = line.at(opening.now.diameter)
    return opening.now.diameter if off >= AIM else line.reaching(AIM)


def best_length(outlook: Outlook, target: Floats) -> float | None:
    """m: how long the tube is to end, as far as is known; None where no row with all holes closed tells."""
    planner = _Planner(outlook.design, outlook, target)
    line = planner.lengths(0.0)
    return None if line is None else line.reaching(AIM)


def unfinished(outlook: Outlook, target: Floats) -> bool:
    """Whether the tube or the hole in hand has to be seen to before another hole is begun."""
    return _Planner(outlook.design, outlook, target).unfinished()


@dataclass(frozen=True)
class _Foot:
    """Lengths of the tube, falling, and what they come to: as ``Line``."""

    length: Floats
    line: Line

    def reaching(self, cents: float) -> float:
        """m."""
        return float(np.interp(cents, np.maximum.accumulate(self.line.off), self.length))

    def safe(self, most: float) -> float:
        """m: the shortest that is not sharper than ``most`` cents, with 95 chances in 100."""
        bad = self.line.off + SURE * self.line.sure > most
        if not bad.any():
            return float(self.length[-1])
        return float(self.length[max(int(np.argmax(bad)) - 1, 0)])


class _Planner:
    def __init__(self, design: Design, outlook: Outlook | None = None, target: Floats | None = None) -> None:
        self.design = design
        self.place = len(design.log)
        self.there = drilled_now(design)
        self.left = sorted(
            set(range(len(design.holes))) - set(self.there), key=lambda i: (-design.holes[i].at, -i)
        )
        self.tolerance = design.tuning.tolerance
        self._outlook = outlook
        self.target = np.array(ask.targets(design)) if target is None else target
        self.notes: list[str] = []

    @cached_property
    def outlook(self) -> Outlook:
        return self._outlook or outlook_of(self.design)

    def whole(self) -> Plan:
        steps = [self.now()]
        done = steps[0].hole if steps[0].kind == "drill" else None
        if self.left:
            steps += [
                Step(
                    "drill", "", hole=each.hole, at=self.design.holes[each.hole].at, to=each.start,
                    bit=each.start, final=each.finish, row=each.row, holes=each.states,
                )
                for each in drill_steps(self.design)
                if each.hole != done
            ]  # fmt: skip
        if steps[0].kind != "done":
            steps.append(Step("done", "Blow every note of the scale once more."))
        return Plan(tuple(steps), self.accounts(), tuple(self.notes))

    def now(self) -> Step:
        """The one step."""
        if self.design.instrument.mouth != "open":
            step = self.foot()
            if step is not None:
                return step
        hole = hole_in_hand(self.design)
        if hole is not None:
            step = self.in_hand(hole)
            if step is not None:
                return step
        if self.left:
            return self.drill(next_hole(self.design, list(self.left), set(self.there)))
        return self.touch_up()

    def unfinished(self) -> bool:
        """Whether the tube or the hole in hand has to be seen to before another hole is begun."""
        if self.design.instrument.mouth != "open" and self.foot() is not None:
            return True
        hole = hole_in_hand(self.design)
        return hole is not None and self.in_hand(hole) is not None

    # The tube

    @cached_property
    def root(self) -> int | None:
        """The row that is played with every hole closed, in the first register, that counts."""
        rows = self.design.rows
        closed = (
            i for i, row in enumerate(rows)
            if set(row.holes) <= {"X"} and row.register == 1 and counts(row) and row.holes
        )  # fmt: skip
        return next(closed, None)

    def lengths(self, longer: float) -> _Foot | None:
        """Lengths from what the tube is now, or the planned one and ``longer`` m more, down by a tenth."""
        if self.root is None or self.design.tube.locked or self.design.tube.foot.kind != "open":
            return None
        start = length_now(self.design) or self.design.tube.length + longer
        lowest = max((hole.at + hole.diameter / 2 for hole in self.design.holes), default=0.0)
        shortest = max(0.85 * min(start, self.design.tube.length), lowest + self.design.shop.wood)
        length = np.linspace(start, min(shortest, start - HAND), 81)
        told = self.outlook.tell(finished(self.design, (self.design.rows[self.root],), length=length))
        off = CENT * np.log(told.frequency[:, 0] / self.target[self.root])
        return _Foot(length, Line(-length, off, told.sure[:, 0]))

    def foot(self) -> Step | None:
        """To blow the bare tube, or to cut it; None where that is done."""
        if self.there or not self.design.holes:
            return None
        bare = [e for e in self.design.log if e.event == "measured" and e.measured and not e.holes]
        now = length_now(self.design)
        if not bare:
            why = (
                "Cut the tube a good thumb longer than planned, make the mouth, blow it with no holes and "
                "type what the tuner shows and how long it is. Until then nobody knows what the mouth adds."
            )
            return self._blow(why, now or self.design.tube.length, self.design.tube.length)
        foot = self.lengths(0.0)
        if foot is None or now is None:
            return None
        safe, final = foot.safe(0.0), foot.reaching(AIM)
        last = bare[-1].length or now
        if abs(last - now) > 0.03 * now:
            why = (
                "The tube was much longer when it was blown last. Blow it as it is now: what the mouth adds "
                "is surer then."
            )
            return self._blow(why, now, final)
        why = "So much is surely too long. The rest comes off at the end, with all the holes there."
        if now - safe > FAR * safe:  # too far to foretell from one reading
            safe += max((now - safe) * THIRD, 0.5 * FAR * safe)
            why = (
                "Not all at once: from so far off nobody can foretell it. Cut this much, then blow it again."
            )
        to = _up(safe)
        if now - to >= LEAST_CUT:
            sounds, sure = self._bare(to)
            off, off_sure = foot.line.at(-to)
            return Step(
                "cut", why, now=now, to=to, final=final, row=self.root, sounds=sounds, sure=sure, off=off,
                off_sure=off_sure,
            )  # fmt: skip
        if (sharp := float(foot.line.off[0])) > self.tolerance:
            self.notes.append(
                f"The tube is too short already: with every hole closed it will be {sharp:.0f} cents sharp. "
                "Take the key a little higher, or a longer tube."
            )
        return None

    def _blow(self, why: str, length: float, final: float) -> Step:
        sounds, sure = self._bare(length)
        return Step("blow", why, now=length, final=final, sounds=sounds, sure=sure)

    def _bare(self, length: float) -> tuple[float, float]:
        """What the tube without holes should show on the tuner, Hz, and one standard deviation in cents."""
        told = self.outlook.tell(bare_reading(self.design, 1.0, None, length, 1))
        return float(told.frequency[0, 0]), float(
            np.hypot(told.sure[0, 0], self.outlook.problem.doubts.tuner)
        )

    # A hole

    def listened(self, hole: int) -> Listened:
        return listened(self.design, hole, set(self.there) | {hole})

    def opening(self, hole: int) -> Opening | None:
        """The hole, heard through the row that tells of it; None where no row that counts does."""
        heard = self.listened(hole)
        if heard.row is None or not counts(self.design.rows[heard.row]):
            return None
        row = self.design.rows[heard.row]
        return Opening(self.outlook, hole, row, float(self.target[heard.row]))

    def drill(self, hole: int) -> Step:
        """The pilot of a hole: surely not too wide."""
        own, heard = self.design.holes[hole], self.listened(hole)
        bits = bit_set(self.design.shop.bits)
        opening = self.opening(hole)
        if opening is None:
            to = bits.below(own.diameter) or own.diameter
            row = own_row(self.design, heard.states, heard.register, heard.open_share)
            sounds, sure = Opening(self.outlook, hole, row, 1.0).sounds(to)
            why = "No note that counts opens it by itself: drill it as it is planned."
            return Step(
                "drill", why, hole=hole, at=own.at, to=to, bit=to, final=own.diameter, row=heard.row,
                holes=heard.states, register=heard.register, sounds=sounds, sure=sure,
            )  # fmt: skip
        line = opening.line
        safe = line.safe(0.0)
        fitting = [
            b for b in bits.diameters if NARROWEST * own.diameter <= b <= min(safe, own.diameter) + 1e-8
        ]
        narrow = [b for b in bits.diameters if b >= NARROWEST * own.diameter]
        to = fitting[-1] if fitting else narrow[0] if narrow else own.diameter
        sharp = line.sharp(to)
        surely = (
            "surely still flat"
            if sharp < 0.005
            else f"still flat with {100 * (1 - sharp):.0f} chances in 100"
        )
        why = f"So narrow, the note is {surely}: what it sounds then says how far to go."
        if not fitting:
            why = "Little room is left before the note may be sharp: begin narrow."
            if not self.outlook.readings:
                why = "Not much is known of this note yet: begin with the narrowest bit that makes sense."
        return self._step("drill", why, opening, heard, to, bit=to, at=own.at, now=None)

    def in_hand(self, hole: int) -> Step | None:
        """What to do with the hole that was drilled last; None where it may be left."""
        opening, heard = self.opening(hole), self.listened(hole)
        if opening is None:
            return None
        return self._mend(opening, heard, self._readings(hole, opening.row))

    def _readings(self, hole: int, row: Row) -> int:
        """How often a fingering was blown since anything that it opens was worked on."""
        states = dict(zip(self.design.fingered(), row.holes, strict=True))
        count = 0
        for entry in reversed(self.design.log):
            if _touches(entry, states):
                break
            same = entry.event == "measured" and entry.holes == row.holes and bool(entry.measured)
            count += same and (entry.register or 1) == row.register
        return count

    def _ever_read(self, hole: int, row: Row) -> bool:
        """Whether a fingering was blown since a hole was worked on."""
        for entry in reversed(self.design.log):
            if entry.event in WORK and entry.hole == hole:
                return False
            if entry.event == "measured" and entry.holes == row.holes and entry.measured:
                return True
        return False

    def _mend(self, opening: Opening, heard: Listened, read: int) -> Step | None:
        """The next step on the hole in hand; None: go on to the next.

        While holes are still to come it is enough to be near: a little flat is touched up at the end, when
        the whole flute can be heard.
        """
        line, now = opening.line, opening.now.diameter
        off, sure = line.at(now)
        if not read:
            return self._read(opening, heard, "Blow it, and type what the tuner shows.")
        if read == 1 and self._surprised(opening.row):
            return self._read(
                opening,
                heard,
                "That is far from what was foretold: blow it once more before anything is cut.",
            )
        enough = (NEAR if self.left else ENOUGH) * self.tolerance
        if off > -enough:
            if off <= self.tolerance:
                return None
            if read < 2:
                return self._read(opening, heard, "It seems sharp: blow it once more, to be sure.")
            return (
                self._fill(opening, heard) if off - sure > 0 and not self._was_filled(opening.hole) else None
            )
        best = line.reaching(AIM)
        to = self._go(opening, best)
        if to is not None:
            return self._widen(opening, heard, to, best)
        if now >= opening.widest - HAND:
            return self._undercut(opening, heard)
        if off < -self.tolerance and read < READINGS - 1:
            return self._read(
                opening, heard, "Blow it once more: it is flat, but by how much is not sure enough yet."
            )
        return None

    def _go(self, opening: Opening, best: float) -> float | None:
        """m: how wide to make a hole in one go, None where nothing can be taken off safely."""
        line, now, least = opening.line, opening.now.diameter, self._least(opening)
        go = GO if self.left else GO_LAST
        to = whole(min(best, line.safe(go * self.tolerance)))
        if to - now >= least - HAIR:
            return to
        to = whole(now + least)
        fits = to <= opening.widest and to <= best + HAND
        return to if fits and line.sharp(to, self.tolerance) < RISK else None

    def _least(self, opening: Opening) -> float:
        """m: the least that is taken off in one go; half of it where a tenth is too much."""
        now = opening.now.diameter
        tenth = opening.line.at(min(now + FILE, opening.line.width[-1]))[0] - opening.line.at(now)[0]
        return FILE if tenth < 0.6 * self.tolerance else FILE / 2

    def _surprised(self, row: Row) -> bool:
        """Whether the newest reading, of that row, lies far from what all others say."""
        readings = self.outlook.readings
        newest = next((e for e in reversed(self.design.log) if e.event == "measured" and e.measured), None)
        if newest is None or newest.holes != row.holes:
            return False
        index = next((i for i in reversed(range(len(readings))) if readings[i].said == newest.measured), None)
        return index is not None and abs(float(self.outlook.surprise[index])) > SURPRISED

    def _was_filled(self, hole: int) -> bool:
        """Whether the last thing done to a hole was to fill it: once is enough."""
        return any(entry.event == "filled" and entry.hole == hole for entry in self.design.log[-6:])

    def _read(self, opening: Opening, heard: Listened, why: str) -> Step:
        return self._step("read", why, opening, heard, opening.now.diameter, bit=None)

    def _widen(self, opening: Opening, heard: Listened, to: float, best: float) -> Step:
        now = opening.now.diameter
        bits = opening.bits(now, to)
        bit = bits[-1] if bits and bits[-1] - now >= FILE_ONLY else None
        off, _ = opening.line.at(now)
        flat = f"It would end {abs(off):.0f} cents flat."
        if to < best - 2 * HAND:
            flat += " Not all at once: further it might be sharp."
        if bit is not None and to - bit <= 2 * HAND:
            return self._step("open", flat, opening, heard, bit, bit=bit)
        return self._step("file", flat, opening, heard, to, bit=bit)

    def _undercut(self, opening: Opening, heard: Listened) -> Step | None:
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
            if off + SURE * sure > GO_LAST * self.tolerance and chosen is not None:
                break
            chosen, best = under, (off, sure)
            if off >= AIM:
                break
        if chosen is None or best is None:
            off, _ = opening.line.at(now)
            self.notes.append(
                f"Hole {opening.hole + 1} is as wide as your rules let it be, and its note {abs(off):.0f} "
                "cents flat. Ease the rule, or leave the note so."
            )
            return None
        sounds, sure = opening.sounds(now, chosen)
        step = self._step(
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
            shifts=self._shifts(opening, now, chosen),
        )

    def _fill(self, opening: Opening, heard: Listened) -> Step | None:
        now = opening.now.diameter
        line = opening.between(0.7 * now, now)
        to = whole(line.reaching(0.0))
        off, _ = opening.line.at(now)
        why = (
            f"Its note would be {off:.0f} cents sharp, surely. Fill it a little on the side toward the "
            "mouth and blow; or leave it so and play it softer."
        )
        return self._step("fill", why, opening, heard, to, bit=None)

    def _step(
        self, kind: StepKind, why: str, opening: Opening, heard: Listened, to: float, *, bit: float | None,
        at: float | None = None, now: float | None = -1.0,
    ) -> Step:  # fmt: skip
        present = opening.now.diameter if now == -1.0 else now
        line = opening.line
        best = max(line.reaching(AIM), present or 0.0)
        off, off_sure = line.at(to if present is None else present)
        told = opening.sounds_at((to, max(best, to)))
        tuner = self.outlook.problem.doubts.tuner
        return Step(
            kind, why, hole=opening.hole, at=at, now=present, to=None if kind == "read" else to, bit=bit,
            final=best, row=heard.row, holes=heard.states, register=heard.register,
            sounds=float(told.frequency[0, 0]), sure=float(np.hypot(told.sure[0, 0], tuner)),
            aim=float(told.frequency[1, 0]), off=off, off_sure=off_sure,
            sharp=line.sharp(to) if to >= line.width[0] - 1e-9 else None,
            shifts=() if kind in ("read", "drill") else self._shifts(opening, to, None),
        )  # fmt: skip

    def _shifts(self, opening: Opening, to: float, undercut: float | None) -> tuple[Shift, ...]:
        """What a change of one drilled hole does to the other rows of the finished flute."""
        rows = [i for i, row in enumerate(self.design.rows) if counts(row) or row.register > 1]
        chosen = tuple(self.design.rows[i] for i in rows)
        now = opening.now.diameter
        if undercut is None:
            widths = np.array([now, to])
            told = self.outlook.tell(finished(self.design, chosen, opening.hole, widths)).frequency
        else:
            told = np.concatenate([
                self.outlook.tell(
                    finished(self.design, chosen, opening.hole, np.array([now]), cut)
                ).frequency
                for cut in (opening.now.undercut, undercut)
            ])  # fmt: skip
        cents = CENT * np.log(told[1] / told[0])
        shifts = [
            Shift(i, float(c)) for i, c in zip(rows, cents, strict=True)
            if abs(c) >= SHOWN and self.design.rows[i] != opening.row
        ]  # fmt: skip
        return tuple(sorted(shifts, key=lambda shift: -abs(shift.cents)))

    # The whole flute

    def touch_up(self) -> Step:
        """Every hole is there: what is still off, the worst first."""
        rows = [i for i, row in enumerate(self.design.rows) if counts(row) and row.register == 1]
        if not rows or self.design.instrument.mouth == "open":
            return Step("done", "Every hole is drilled.")
        off, sure = self._standing(rows)
        out = np.array([
            chance((o - self.tolerance) / s) + chance((-o - self.tolerance) / s)
            for o, s in zip(off, sure, strict=True)
        ])  # fmt: skip
        read = np.array([self._read_since(self.design.rows[i]) for i in rows])
        today = np.array([self._read_since(self.design.rows[i], today=True) for i in rows])
        mendable = np.array([self._mendable(self.design.rows[i], o) for i, o in zip(rows, off, strict=True)])
        for most, doubt in PASSES:
            asked = [
                i
                for i, o, n, m in zip(rows, out, today, mendable, strict=True)
                if o > doubt and n < most and m
            ]
            if asked:  # not the one just blown, if another will do: breath wanders
                fresh = [i for i in asked if self.design.rows[i].holes != self.design.log[-1].holes]
                return self._listen((fresh or asked)[0], off, sure, rows)
            for place in np.argsort(-np.abs(off)):
                step = self._touched(
                    rows[int(place)], float(off[place]), float(sure[place]), int(read[place])
                )
                if step is not None:
                    return step
        waiting = [
            i for i, o, n, m in zip(rows, out, read, mendable, strict=True) if o > REST and m and n < OFTEN
        ]
        if waiting and self._days() < DAYS:
            return replace(self._listen(waiting[0], off, sure, rows), why=LATER, rest=True)
        return Step("done", "Every note that counts is where it should be, as far as a tuner can tell.")

    def _mendable(self, row: Row, off: float) -> bool:
        """Whether anything can be done about a note: a tube that is too short stays so."""
        return self._governing(row) is not None or (off < 0 and self.lengths(0.0) is not None)

    def _standing(self, rows: list[int]) -> tuple[Floats, Floats]:
        """Cents off and ± of rows of the flute as it stands, its tube as long as it is."""
        now = length_now(self.design)
        length = None if now is None else np.array([now])
        told = self.outlook.tell(
            finished(self.design, tuple(self.design.rows[i] for i in rows), length=length)
        )
        return CENT * np.log(told.frequency[0] / self.target[rows]), told.sure[0]

    def _days(self) -> int:
        """On how many days the whole flute was blown."""
        found = set()
        for entry in reversed(self.design.log):
            if entry.event == "drilled":
                break
            if entry.event == "measured":
                found.add(entry.when.date())
        return len(found)

    def _read_since(self, row: Row, *, today: bool = False) -> int:
        """How often a row was blown on the flute as it is: nothing that it hangs on was changed since.

        ``today``: on the day of the newest entry only.
        """
        states = dict(zip(self.design.fingered(), row.holes, strict=True))
        count = 0
        for entry in reversed(self.design.log):
            if entry.event == "cut" and not any(state != "X" for state in states.values()):
                break
            if _touches(entry, states) or entry.event == "drilled":
                break
            if today and entry.when.date() != self.design.log[-1].when.date():
                break
            same = entry.event == "measured" and entry.holes == row.holes and bool(entry.measured)
            count += same and (entry.register or 1) == row.register
        return count

    def _governing(self, row: Row) -> int | None:
        """The topmost open hole of a row, None where all are closed."""
        states = zip(self.design.fingered(), row.holes, strict=True)
        opened = [i for i, state in states if state != "X"]
        return min(opened, key=lambda i: self.design.holes[i].at, default=None)

    def _listen(self, index: int, off: Floats, sure: Floats, rows: list[int]) -> Step:
        row = self.design.rows[index]
        place = rows.index(index)
        told = float(self.target[index] * np.exp(off[place] / CENT))
        tuner = self.outlook.problem.doubts.tuner
        return Step(
            "read", "The flute has all its holes: blow this note and type what the tuner shows.",
            hole=self._governing(row), row=index, holes=row.holes, register=row.register, sounds=told,
            sure=float(np.hypot(sure[place], tuner)), aim=float(self.target[index]), off=float(off[place]),
            off_sure=float(sure[place]),
        )  # fmt: skip

    def _touched(self, index: int, off: float, sure: float, read: int) -> Step | None:
        """What to do about one note of the flute that has all its holes; None: leave it."""
        row = self.design.rows[index]
        hole = self._governing(row)
        heard = Listened(index, row.holes, row.register, row.open_share)
        flat = off < -ENOUGH * self.tolerance and off < -sure
        sharp = chance((off - self.tolerance) / sure) > LIKELY
        if not (flat or sharp):
            return None
        if not read or (sharp and read < 2 and hole is not None):
            return self._listen(index, np.array([off]), np.array([sure]), [index])
        if hole is None:
            return self._trim(index, off, sure) if flat else None
        opening = Opening(self.outlook, hole, row, float(self.target[index]))
        if not flat:
            return None if self._was_filled(hole) else self._fill(opening, heard)
        line, now = opening.line, opening.now.diameter
        best = line.reaching(AIM)
        to = self._go(opening, best)
        if to is not None:
            return self._widen(opening, heard, to, best)
        if now >= opening.widest - HAND:
            return self._undercut(opening, heard)
        return None

    def _trim(self, index: int, off: float, sure: float) -> Step | None:
        """What is left of the tube's length comes off."""
        foot, now = self.lengths(0.0), length_now(self.design)
        if foot is None or now is None:
            return None
        to = _up(max(foot.reaching(AIM), foot.safe(GO_LAST * self.tolerance)))
        if now - to < 1e-4:
            return None
        return Step(
            "cut", f"With every hole closed it is {abs(off):.0f} cents flat: take this off the foot.",
            now=now, to=to, final=to, row=index, holes=self.design.rows[index].holes, off=off, off_sure=sure,
        )  # fmt: skip

    # The account

    def accounts(self) -> tuple[Account, ...]:
        """How every hole stands, foot to mouth."""
        found = []
        order = sorted(range(len(self.design.holes)), key=lambda i: -self.design.holes[i].at)
        rows = {each.hole: each.row for each in drill_steps(self.design)} if self.left else {}
        hand = hole_in_hand(self.design) if self.left else None
        for hole in order:
            own = self.design.holes[hole]
            if hole not in self.there:
                found.append(Account(hole, "planned", None, own.diameter, rows.get(hole), None, None))
                continue
            heard = self.listened(hole)
            width = hole_then(self.design, hole, self.place).diameter
            opening = self.opening(hole)
            if opening is None or not self._ever_read(hole, opening.row):
                unread: Standing = "begun" if hole == hand else "in tune"
                found.append(Account(hole, unread, width, max(own.diameter, width), heard.row, None, None))
                continue
            off, sure = opening.line.at(width)
            final = max(width, opening.line.reaching(AIM)) if off < AIM else width
            least = (NEAR if self.left else ENOUGH) if hole == hand else 1.0
            state: Standing = "in tune" if off > -least * self.tolerance else "begun"
            state = "sharp" if off > self.tolerance else state
            found.append(Account(hole, state, width, final, heard.row, off, sure))
        return tuple(found)


def _touches(entry: LogEntry, states: Mapping[int, HoleState]) -> bool:
    """Whether something was done to a hole that a fingering opens."""
    return entry.event in WORK and entry.hole is not None and states.get(entry.hole, "O") != "X"


def _up(length: float) -> float:
    """m: rounded up to a tenth of a millimetre."""
    return float(np.ceil(length * 1e4 - 1e-6)) / 1e4
