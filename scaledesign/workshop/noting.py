"""What a maker says of a step at the bench, taken in: done as told or otherwise, and what the tuner showed.

Apart from the entries themselves (``making/acts.py``) and from what to do next (``making/plan.py``): here
they are put together, and what was heard is held against what was to be expected before anything is learnt
from it. One call is one step of the design. Plain values; words are made elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from math import hypot, inf
from re import Match
from typing import Literal

from scaledesign.errors import EditError, NoPitchError
from scaledesign.model.document import Design, Hole, HoleState, LogEntry
from scaledesign.model.pitch import OCTAVE, cents_between, reading_frequency
from scaledesign.model.saying import begun
from scaledesign.model.spelling import tuner_shows
from scaledesign.model.widths import drilled_now, hole_then, length_now, was_there, worked
from scaledesign.solver.problem import air_of, voicing_of
from scaledesign.values import dataclass
from scaledesign.workshop.making import acts
from scaledesign.workshop.making.outlook import outlook_of
from scaledesign.workshop.making.plan import end_length
from scaledesign.workshop.making.step import Plan, Step
from scaledesign.workshop.making.tries import ALIKE, BARE, tries_of
from scaledesign.workshop.readings import bare_reading, heard_at_work

ActKind = Literal["cut", "drilled", "opened", "undercut", "filled"]
ANOTHER_REGISTER = 600.0
"""Cents from what was expected beyond which a reading is of another register."""
NEAR = 120.0
"""Cents about an octave within which the octave is taken for what is wrong."""
BEYOND = 5.0
"""Standard deviations beyond which a reading is not believed at once."""
LEAST = 50.0
"""Cents: within these every reading is believed."""
OF_ROW = re.compile(r"\b[Rr]ow (?P<row>[0-9]{1,4}) \((?P<said>[^()]+)\)")
"""How a reading is named by its row."""
LEFT_OUT, AGAIN = "left out", "Blow it again, or take it back."
"""Words of ``odd.words_for_odd`` about a reading that does not go with the others."""
ONLY_BACK = "It cannot be blown again, the flute is another by now: take it back."
SINCE = "It was blown again since."


@dataclass(frozen=True)
class Act:
    """One thing that was done, SI."""

    kind: ActKind
    size: float
    """m: the length of the tube, the width of the hole, the undercut."""
    hole: int | None = None
    """0-based."""
    at: float | None = None
    """m from the sounding edge, where a hole was not drilled where it was planned."""


@dataclass(frozen=True)
class Told:
    """What the maker says in one go."""

    did: bool = False
    """The step was done exactly as told."""
    acts: tuple[Act, ...] = ()
    """What was done otherwise, in the order it was done."""
    blew: str = ""
    """What the tuner showed then."""
    bare: bool = False
    """That was of the bare tube, no hole open."""
    temperature: float | None = None
    """degC of the room; None: the design's."""
    length: float | None = None
    """m: how long the tube was that was blown bare; None: as it was last."""
    even_so: bool = False
    """It is to be believed however far it is off."""

    @property
    def anything(self) -> bool:
        """Whether there is anything to note."""
        return bool(self.did or self.acts or self.blew)


@dataclass(frozen=True)
class Ear:
    """What a reading is of, and what was to be expected of it."""

    holes: tuple[HoleState, ...]
    """() for the bare tube."""
    hole: int | None
    register: int
    expected: float | None
    """Hz in the room as it is."""
    sure: float | None
    """Cents: one standard deviation."""


@dataclass(frozen=True)
class Heard:
    """A reading beside what was expected."""

    said: str
    hertz: float
    ear: Ear

    @property
    def off(self) -> float | None:
        """Cents by which it was sharper than expected."""
        return None if self.ear.expected is None else cents_between(self.ear.expected, self.hertz)


@dataclass(frozen=True)
class Moved:
    """A hole that is not drilled yet, before and after."""

    hole: int
    before: Hole
    after: Hole


@dataclass(frozen=True)
class Noted:
    """The design that knows it all, and what came of it."""

    design: Design
    acts: tuple[Act, ...]
    heard: Heard | None
    added: tuple[float, float] | None
    """m that the mouth was taken to add, before and after; None where nothing was learnt."""
    moved: tuple[Moved, ...]
    length: tuple[float, float] | None
    """m: the length that the tube is to have, before and after, where it changed."""
    notes: tuple[str, ...]


class FarOffError(EditError):
    """A reading so far from what was expected that it is asked about before anything is learnt from it."""

    def __str__(self) -> str:
        return f"{self.problem} {self.remedy}."


def as_told(step: Step) -> tuple[Act, ...]:
    """What "done exactly as told" means for a step; () where there is nothing to do with the hands."""
    kinds: dict[str, ActKind] = {
        "cut": "cut", "drill": "drilled", "open": "opened", "file": "opened", "undercut": "undercut",
        "fill": "filled",
    }  # fmt: skip
    kind = kinds.get(step.kind)
    size = step.to if step.to is not None else step.bit
    if kind is None or size is None:
        return ()
    return (Act(kind, size, step.hole, step.at if kind == "drilled" else None),)


def note(
    design: Design, step: Step, told: Told, when: datetime, next_step: Callable[[Design], Step]
) -> Noted:
    """The design with what the maker says in its log, learnt from, and the rest laid out anew.

    Parameters
    ----------
    design : Design
    step : what was to be done now
    told : what was done and heard
    when : now
    next_step : gives the step that comes after some of it was done otherwise

    Raises
    ------
    FarOffError
        for a reading too far off to be believed at once; ``told.even_so`` believes it.
    EditError
        for what cannot have been done, and a reading that is of another register or of another flute.
    QuantityError
        for a reading that cannot be read.
    NoPitchError
    """
    if told.did and step.kind == "done":
        raise EditError("There is no step left to have done", "say what you did, such as --opened 3=...")
    if told.did and not as_told(step) and not told.blew:
        raise EditError("The step now is to blow", "say what the tuner showed")
    done = (*(as_told(step) if told.did else ()), *told.acts)
    now = with_acts(design, done, when)
    heard, added, notes = None, None, tuple[str, ...]()
    if told.blew:
        ear = _ear(now, step, told, done, next_step)
        if ear.holes and told.length is not None:
            raise EditError("A length goes with a reading of the bare tube", "leave it out, or say --cut")
        heard = None if ear.expected is None else _heard(now, told, ear)
        reads = acts.blown(
            now, told.blew, when, hole=ear.hole, holes=ear.holes, register=ear.register,
            temperature=told.temperature, length=_long(now, told),
        )  # fmt: skip
        if heard is None:
            heard = _heard(now, told, _as_it_stands(now, ear, reads.design))
        notes = by_hole(reads.design, reads.notes)
        if reads.taught is not None and reads.design is now:
            raise EditError(
                (" ".join(notes) or "This reading cannot be of this flute").rstrip("."),
                "blow it again, and check fingering, octave and temperature",
            )
        if reads.taught is not None and (learnt := reads.taught.learnt):
            added = (voicing_of(now).added_length, learnt[0].value)
        now = reads.design
    now = acts.resolved(now)
    return Noted(now, done, heard, added, _moved(design, now), _length(design, now, done), notes)


def with_acts(design: Design, done: Sequence[Act], when: datetime) -> Design:
    """The design with these things done, nothing heard of them yet and nothing laid out anew.

    Raises
    ------
    EditError
        for what cannot have been done.
    """
    for act in done:
        design = _acted(design, act, when)
    return design


def taken_back(design: Design) -> tuple[Design, LogEntry]:
    """The design without the newest thing done or heard, and that entry.

    What it taught is forgotten and what it moved laid out anew. The foot is free again where this was what
    finished the flute; one that was marked as cut before stays so.

    Raises
    ------
    EditError
        where the log tells of nothing.
    """
    places = [place for place, entry in enumerate(design.log) if entry.event != "note"]
    if not places:
        raise EditError("There is nothing to take back", "the log of this flute tells of no work yet")
    entry = design.log[places[-1]]
    log = (*design.log[: places[-1]], *design.log[places[-1] + 1 :])
    locked = design.tube.locked and acts.FINISHED not in entry.note
    back = replace(design, log=log, tube=replace(design.tube, locked=locked))
    if entry.hole is not None and entry.event != "measured":
        back = replace(back, holes=_without(back, entry, entry.hole))
    if entry.event == "cut" and entry.length == back.tube.length:
        was = next((each.length for each in reversed(log) if each.length is not None), entry.length)
        back = replace(back, tube=replace(back.tube, length=was))
    if entry.event == "measured":
        rows = tuple(
            replace(row, measured="") if (row.holes, row.measured) == (entry.holes, entry.measured) else row
            for row in back.rows
        )
        back = replace(back, rows=rows)
        if back.voicing.calibrated:
            back = acts.taught(back, back).design
    return acts.resolved(back), entry


def foretold(design: Design, found: Plan) -> Plan:
    """The plan with what the bare tube should sound where it is to be blown, or cut and then blown."""
    step = found.now
    length = step.to if step.kind == "cut" else length_now(design) if step.kind == "blow" else None
    if length is None or step.holes or step.sounds is not None:
        return found
    sounds, sure = _bare(design, length)
    return replace(found, steps=(replace(step, sounds=sounds, sure=sure), *found.steps[1:]))


def by_hole(design: Design, notes: Sequence[str]) -> tuple[str, ...]:
    """Remarks that name a reading by its row, naming it as at the bench: ``"C5 -3 (hole 6)"``.

    What cannot be blown again, the flute being another by now, is not asked to be.
    """
    heard = {
        (entry.holes, entry.measured): entry.hole
        for entry in design.log
        if entry.event == "measured" and entry.hole is not None
    }

    def named(found: Match[str]) -> str:
        index, said = int(found["row"]) - 1, found["said"]
        holes = design.rows[index].holes if index < len(design.rows) else ()
        hole = heard.get((holes, said))
        return found[0] if hole is None else f"{said} (hole {hole + 1})"

    return tuple(OF_ROW.sub(named, _once(design, note)) for note in notes)


def _once(design: Design, note: str) -> str:
    """A remark that asks for a reading again, so that it asks for nothing that cannot be."""
    if not note.endswith(AGAIN):
        return note
    named = [e for e in design.log if e.event == "measured" and e.measured and f"({e.measured})" in note]
    about = [e for e in named if bool(e.holes) != note.startswith(begun(BARE))]
    if not about:
        return note
    tries = tries_of(design, about[-1].holes, about[-1].register or 1)
    if not any(entry is about[-1] for entry in tries):
        return note.removesuffix(AGAIN) + ONLY_BACK
    if tries[0] is not about[-1] and LEFT_OUT in note:
        return note.removesuffix(AGAIN) + SINCE
    return note


def room_now(design: Design, when: datetime) -> float:
    """degC of the room: as it was noted last on the same day, else the design's."""
    for entry in reversed(design.log):
        if entry.temperature is not None and entry.when.date() == when.date():
            return entry.temperature
    return design.air.temperature


def in_room(design: Design, hertz: float, temperature: float | None) -> float:
    """What sounds ``hertz`` in the room of the design sounds in a room of ``temperature`` degC.

    All notes alike, by the speed of sound in the bore.
    """
    if temperature is None or temperature == design.air.temperature:
        return hertz
    return hertz * float(air_of(design, temperature).c / air_of(design).c)


def _acted(design: Design, act: Act, when: datetime) -> Design:
    if act.kind == "cut":
        return acts.cut(design, act.size, when)
    if act.hole is None:
        raise EditError("Nobody knows which hole that was", "name the hole by its number")
    if act.kind == "drilled":
        return acts.drilled(design, act.hole, act.size, when, at=act.at)
    if act.kind == "filled":
        return acts.filled(design, act.hole, when, diameter=act.size)
    if act.kind == "undercut":
        return acts.opened(design, act.hole, when, undercut=act.size)
    return acts.opened(design, act.hole, when, diameter=act.size)


def _ear(
    design: Design, step: Step, told: Told, done: tuple[Act, ...], next_step: Callable[[Design], Step]
) -> Ear:
    """What the reading is of: the bare tube, the fingering of the step, or of what comes after other work."""
    there = any(was_there(design, i, len(design.log)) for i in range(len(design.holes)))
    if not (done or told.bare) and step.kind == "drill":
        hole = 1 if step.hole is None else step.hole + 1
        raise EditError(
            "The step now is to drill; what the flute sounds before that was heard already",
            f'say that it was done as told (--did), or what you did instead (--drilled {hole}="5.5 mm")'
            + ("" if there else ", or that it was the bare tube (--bare)"),
        )
    if told.bare or not there:
        return _of_bare(design, step, told, done)
    if done == as_told(step) and step.holes:
        return _of(design, step, told)
    after = next_step(design)
    if after.kind == "read":
        return _of(design, after, told)
    if not (after.holes or step.holes):
        raise EditError("Nobody knows what was blown", "say so where it was the bare tube (--bare)")
    return replace(_of(design, after if after.holes else step, told), expected=None, sure=None)


def _as_it_stands(design: Design, ear: Ear, noted: Design) -> Ear:
    """With what the flute should have sounded as it is, by all readings before the one in ``noted``."""
    if not ear.holes or not design.voicing.calibrated or len(noted.log) == len(design.log):
        return ear
    outlook = outlook_of(design)
    found = outlook.tell(heard_at_work(noted, len(noted.log) - 1))
    sure = hypot(float(found.sure[0, 0]), outlook.problem.doubts.tuner)
    return replace(ear, expected=float(found.frequency[0, 0]), sure=sure)


def _of_bare(design: Design, step: Step, told: Told, done: tuple[Act, ...]) -> Ear:
    """The bare tube; where it is the one that the step foretold, what it said then is what was expected."""
    length = _long(design, told)
    foretold_for = {"blow": step.now, "cut": step.to}.get(step.kind)
    same = length is not None and foretold_for is not None and abs(length - foretold_for) <= acts.SAME
    if same and done == as_told(step) and not step.holes:
        return replace(_of(design, step, told), hole=None, register=1)
    expected, sure = _bare(design, length, told.temperature)
    return Ear((), None, 1, expected, sure)


def _bare(design: Design, length: float | None, temperature: float | None = None) -> tuple[float, float]:
    """What the tuner should show of the tube without holes, by all readings: Hz, one deviation in cents."""
    length = design.tube.length if length is None else length
    outlook = outlook_of(design)
    found = outlook.tell(bare_reading(design, 1.0, temperature, length, 1))
    return float(found.frequency[0, 0]), hypot(float(found.sure[0, 0]), outlook.problem.doubts.tuner)


def _long(design: Design, told: Told) -> float | None:
    """m: how long the tube is that is blown bare; None: as the design has it."""
    return length_now(design) if told.length is None else told.length


def _of(design: Design, step: Step, told: Told) -> Ear:
    expected = None if step.sounds is None else in_room(design, step.sounds, told.temperature)
    return Ear(step.holes, step.hole, step.register, expected, step.sure)


def _heard_alike(design: Design, heard: Heard) -> bool:
    """Whether it was blown so just before: who was asked to blow it again need not say that it is so."""
    tries = tries_of(design, heard.ear.holes, heard.ear.register)
    if not tries:
        return False
    before = reading_frequency(tries[0].measured, design.tuning.reference)
    return abs(cents_between(before, heard.hertz)) <= ALIKE


def _heard(design: Design, told: Told, ear: Ear) -> Heard:
    """The reading, unless it cannot be of this fingering."""
    reference = design.tuning.reference
    heard = Heard(told.blew, reading_frequency(told.blew, reference), ear)
    off = heard.off
    if off is None or ear.expected is None:
        return heard
    wanted = tuner_shows(design, ear.expected)
    where = "above" if off > 0 else "below"
    if abs(off) > ANOTHER_REGISTER:
        octaves = round(off / OCTAVE)
        if octaves and abs(off - octaves * OCTAVE) < NEAR:
            raise EditError(
                f"{told.blew} lies in another register, an octave {where} the {wanted} that was expected",
                "blow it more gently, and check the octave you typed" if off > 0 else "check the octave",
            )
        raise EditError(
            f"{told.blew} is {abs(off):.0f} cents {where} the {wanted} that was expected: no mouth does that",
            "check fingering and octave, and whether every closed hole was covered"
            if ear.holes
            else "check the octave, the tube's length and the window",
        )
    sure = inf if ear.sure is None else ear.sure
    if abs(off) > max(LEAST, BEYOND * sure) and not (told.even_so or _heard_alike(design, heard)):
        look = "does a finger leak?" if off > 0 else "are there chips in the hole, or a finger over it?"
        if not ear.holes:
            breath = "no harder than you will play" if off > 0 else "as firm as you will play"
            look = f"is the tube as long as typed, the octave right, the window clear, the breath {breath}?"
        raise FarOffError(
            f"{told.blew} is {abs(off):.0f} cents {where} the {wanted} that was expected (± {sure:.0f}); "
            f"blow it once more: {look}",
            "If it is so, say it again with --even-so",
        )
    return heard


def _moved(before: Design, after: Design) -> tuple[Moved, ...]:
    place = len(after.log)
    return tuple(
        Moved(i, old, new)
        for i, (old, new) in enumerate(zip(before.holes, after.holes, strict=True))
        if not was_there(after, i, place)
        and (abs(old.at - new.at) > acts.SAME or abs(old.diameter - new.diameter) > acts.SAME)
    )


def _length(before: Design, after: Design, done: tuple[Act, ...]) -> tuple[float, float] | None:
    if any(act.kind == "cut" for act in done) or len(drilled_now(after)) == len(after.holes):
        return None  # what comes off a flute that has all its holes is a step of its own
    try:
        old, new = end_length(before), end_length(after)
    except NoPitchError:  # what was done is noted all the same
        return None
    return (old, new) if abs(old - new) > acts.SAME else None


def _without(design: Design, entry: LogEntry, hole: int) -> tuple[Hole, ...]:
    """The holes as they are to become without what ``entry``, which is gone from the log, did to one."""
    own, then = design.holes[hole], hole_then(design, hole, len(design.log))
    if entry.event == "drilled":
        own = replace(own, drilled=bool(worked(design.log, hole)))
    elif entry.event == "filled":
        own = replace(own, diameter=then.diameter)
    if entry.undercut is not None:
        before = [each.undercut for each in worked(design.log, hole) if each.undercut is not None]
        own = replace(own, undercut=before[-1] if before else 0.0)
    return (*design.holes[:hole], own, *design.holes[hole + 1 :])
