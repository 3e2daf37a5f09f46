"""A step at the bench in words: what to do, where, which bit, what to blow and what the tuner shows then.

The same for screen and command line, which only lay it out. Apart from the plan, which knows no words but its
reasons, and from paper. Numbers are rounded to what a hand can do.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, HoleState, Units
from scaledesign.model.fingering import format_fingering
from scaledesign.model.pitch import raised
from scaledesign.model.saying import hole_words, listed
from scaledesign.model.spelling import tuner_shows
from scaledesign.model.units import (
    HAND_STEP,
    INCH,
    format_cents,
    format_length,
    format_temperature,
    parse_length,
)
from scaledesign.model.widths import drilled_now, length_now
from scaledesign.paper.layout import Origin, distance_from, origin_title, origin_words
from scaledesign.paper.unblown import spare_words, told_length
from scaledesign.values import dataclass
from scaledesign.view.lines import DRAWN, Signs
from scaledesign.workshop.making.step import Account, Plan, Step
from scaledesign.workshop.noting import Act, Noted, in_room
from scaledesign.workshop.rescue_levers import SHARE

FINE = 0.02
"""Sixty-fourths of an inch within which a width is said as a fraction."""
LEAST_MORE = 5e-5
"""m: less than this longer is as planned."""
HAIR = 6e-5
"""m: a width that differs by less is the same."""
SHIFTS = 4
"""Other notes that are told of."""
STATES = {
    "planned": "to drill", "begun": "in hand", "drilled": "not blown", "in tune": "in tune", "sharp": "sharp",
}  # fmt: skip


@dataclass(frozen=True)
class Words:
    """How one design's steps are said."""

    design: Design
    units: Units
    origin: Origin = "edge"
    signs: Signs = DRAWN
    temperature: float | None = None
    """degC of the room at the bench; None: the design's."""

    # Parts

    def length(self, metres: float) -> str:
        """A length for the hand."""
        return format_length(metres, self.units)

    def width(self, metres: float) -> str:
        """A width as it is stamped on a bit, else to a tenth of a millimetre or ``"19/64 in (0.295)"``.

        Where a file is meant the nearest 1/64 in is what a rule shows, and the thousandths are what a caliper
        shows.
        """
        bits = bit_set(self.design.shop.bits)
        if min(abs(bit - metres) for bit in bits.diameters) < 1e-8:
            return bits.label(bits.nearest(metres), self.units)
        inches = metres / float(INCH)
        if self.units == "in" and abs(inches * 64 - round(inches * 64)) > FINE:
            near = format_length(metres, "in")
            return f"{inches:.3f} in" if near == "0 in" else f"{near} ({inches:.3f})"
        if self.units == "mm" and abs(metres * 1e4 - round(metres * 1e4)) > 0.3:
            return f"{metres * 1e3:.2f} mm"
        return format_length(metres, self.units)

    def filed(self, metres: float) -> str:
        """A width to file to: on which side of the 1/64 in it lies is said, so that nobody files too far."""
        words = self.width(metres)
        near, fine, _ = words.partition(" (")
        if not fine:
            return words
        return f"{'just over' if metres > parse_length(near, 'in') else 'just under'} {words}"

    def brief(self, metres: float) -> str:
        """The same without the thousandths of an inch, for a table."""
        return self.width(metres).partition(" (")[0]

    def ending(self, final: float, now: float | None) -> float:
        """m: how wide a hole will end, to the tenth; where it is so wide already, as it was measured."""
        return now if now is not None and abs(final - now) < HAIR else round(final, 4)

    def place(self, at: float) -> str:
        """A place on the tube, from the end that is measured from."""
        return f"{self.spot(at)} from {self.end}"

    def spot(self, at: float) -> str:
        """The same without saying from where."""
        return self.length(distance_from(self.design, self.origin, at))

    @property
    def end(self) -> str:
        """The end that is measured from."""
        return origin_words(self.design, self.origin)

    @property
    def end_title(self) -> str:
        """The same over a column."""
        return origin_title(self.design, self.origin)

    def named(self, hole: int) -> str:
        """A hole by its number and its finger: ``hole 6 (R3)``."""
        return hole_words(hole, self.design.holes[hole].finger)

    def tuner(self, hertz: float) -> str:
        """What a tuner shows in the room as it is."""
        return tuner_shows(self.design, in_room(self.design, hertz, self.temperature))

    def fingers(self, holes: Sequence[HoleState], drilling: int | None = None) -> str:
        """A fingering in signs; where no hole is yet, a point."""
        there = {*drilled_now(self.design), *(() if drilling is None else (drilling,))}
        fingered = self.design.fingered()
        written = format_fingering(holes, [self.design.holes[i].finger for i in fingered])
        place, text = 0, ""
        for letter in written:
            if letter == " ":
                text += letter
                continue
            state = holes[place]
            text += self.signs.state(state) if fingered[place] in there else self.signs.true
            place += 1
        return text

    # A step

    def headline(self, step: Step) -> str:
        """The step in one short sentence."""
        hole = "" if step.hole is None else self.named(step.hole)
        to = "" if step.to is None else self.width(step.to)
        if step.kind == "blow":
            return "Blow the bare tube."
        if step.kind == "cut":
            return f"Cut the foot: leave {self.length(step.to or 0.0)}."
        if step.kind == "drill":
            return f"Drill {hole} with the {self.width(step.bit or step.to or 0.0)} bit."
        if step.kind == "read":
            note = "" if step.row is None else f" {self.design.rows[step.row].note}"
            fingers = f", {self.fingers(step.holes)}" if step.holes else ""
            return f"{'On another day, blow' if step.rest else 'Blow'}{note}{fingers}."
        if step.kind == "open":
            return f"Open {hole} to {to}."
        if step.kind == "file":
            return f"File {hole} to {self.filed(step.to or 0.0)}."
        if step.kind == "undercut":
            return f"Undercut {hole}: {to} wider at the bore."
        if step.kind == "fill":
            return f"Fill {hole} to {to}."
        return "Nothing is left to do: the flute is made."

    def facts(self, step: Step) -> tuple[tuple[str, str], ...]:
        """What there is to know for it: a name of a word or two, and what it is."""
        found = [*self._work(step)]
        if step.kind in ("blow", "cut") and not step.holes:
            found.append(("blow", "the bare tube, gently, as you will play"))
        elif step.holes and step.kind != "read":
            found.append(("then blow", self.fingers(step.holes, step.hole)))
        if step.sounds is not None:
            sure = f", {self.signs.plus_minus} {step.sure:.0f} cents" if step.sure is not None else ""
            longer = "" if self.told_for(step) else "; flatter, the longer it still is"
            found.append(("tuner", f"{self.tuner(step.sounds)}{sure}{longer}"))
        if (wanted := too_sharp(step)) is not None:
            found.append(("in tune", self.tuner(wanted)))
        elif step.aim is not None and step.final is not None and step.kind not in ("fill", "undercut"):
            found.append(
                (
                    "in the end",
                    f"{self.tuner(step.aim)} at about {self.width(self.ending(step.final, step.now))}",
                )
            )
        return tuple(found)

    def numbers(self, step: Step) -> tuple[tuple[str, str], ...]:
        """What is read from the drill, at arm's length: each a word or two, and the number itself."""
        found = []
        if step.kind == "drill" and step.at is not None:
            found.append(self._split(self.spot(step.at), f"from {self.end}"))
        if step.kind == "cut" and step.to is not None:
            found.append(self._split(self.length(step.to), "leave"))
        if step.kind in ("drill", "open") and (bit := step.bit or step.to) is not None:
            found.append(self._split(self.width(bit), "bit"))
        if step.kind in ("file", "undercut", "fill") and step.to is not None:
            words = {"file": "file to", "undercut": "undercut", "fill": "fill to"}[step.kind]
            found.append(self._split(self.width(step.to), words))
        if step.sounds is not None and self.told_for(step):
            sure = "" if step.sure is None else f", {self.signs.plus_minus} {step.sure:.0f}"
            then = "" if step.kind == "read" else " then"
            found.append((f"the tuner{then}{sure}", self.tuner(step.sounds)))
        return tuple(found)

    def told_for(self, step: Step) -> bool:
        """Whether what the tuner should show is told for the tube as it is: its length is known."""
        return step.kind != "blow" or length_now(self.design) is not None

    def _split(self, length: str, words: str) -> tuple[str, str]:
        """Words with the unit of a length, and its number; a stamp without a unit stays whole."""
        length, fine, thousandths = length.partition(" (")
        number, _, unit = length.rpartition(" ")
        if unit not in ("mm", "in") or not number:
            return words, length
        if fine:  # what a caliper shows
            number, unit = thousandths.rstrip(")"), f"{unit} ({number})"
        return (f"{unit} {words}" if words.startswith("from") else f"{words}, {unit}"), number

    def _work(self, step: Step) -> tuple[tuple[str, str], ...]:
        now, to = step.now, step.to
        if step.kind == "blow" and now is not None and step.final is not None:
            if length_now(self.design):
                return (("length", self.length(now)),)
            told = told_length(self.design, self.units)
            more = spare_words(told - step.final, self.units)
            longer = f"{more} longer than planned" if told - step.final > LEAST_MORE else "as planned"
            return (("length", f"{self.length(told)}, {longer}"),)
        if step.kind == "cut" and now is not None and to is not None:
            rest = (
                (("in the end", f"about {self.length(step.final)}"),)
                if step.final is not None and step.final < to - 1e-4
                else ()
            )
            return (("take off", f"{self.length(now - to)} of {self.length(now)}"), *rest)
        if step.kind == "drill" and step.at is not None and step.hole is not None:
            side = self.design.holes[step.hole].side % 360
            where = "" if side == 0 else ", on the back" if side == 180 else f", {side:g}° around"
            return (("where", f"{self.place(step.at)}{where}"), ("bit", self.width(step.bit or to or 0.0)))
        if now is None or to is None:
            return ()
        if step.kind == "open":
            return (("now", self.width(now)), ("bit", self.width(step.bit or to)))
        if step.kind == "file":
            first = (("bit first", self.width(step.bit)),) if step.bit is not None else ()
            return (("now", self.width(now)), *first, ("file to", self.filed(to)))
        if step.kind == "fill":
            return (("now", self.width(now)),)
        if step.kind == "undercut":
            return (("at the bore", f"{self.width(to)} wider than outside"),)
        return ()

    def otherwise(self, step: Step) -> str:
        """What to do when the tuner shows something else; '' where nothing is blown after it."""
        if step.kind == "blow":
            first = not self.design.voicing.calibrated
            return "Whatever it shows is what your mouth makes of the tube." if first else ""
        if step.kind == "cut":
            return "Blow the tube again before you take off the rest." if not step.holes else ""
        if step.sounds is None or step.aim is None:
            return ""
        if step.stays is not None and step.final is not None:
            return self._short(self.ending(step.final, step.now), *step.stays)
        if step.sounds >= step.aim and step.kind not in ("read", "fill"):
            return ""
        aim, sounds = self.tuner(step.aim), self.tuner(step.sounds)
        if step.kind == "fill":
            return "Still sharp: a little more. Flat: it can be opened again."
        if step.kind == "read" and step.hole is None:
            return f"Flatter than {aim}: a little comes off the foot. Sharper: leave the foot as it is."
        if (wanted := too_sharp(step)) is not None:
            return (
                f"So sharp again: the next step narrows the hole. Flatter than {self.tuner(wanted)}: it is "
                "opened further."
            )
        if step.kind == "read":
            return f"Flatter than {aim}: it is opened further. Sharper: leave the hole as it is."
        return (
            f"Sharper than {aim}: leave the hole as it is. Flatter than {sounds}: the next step goes further."
        )

    def _short(self, widest: float, off: float, sure: float) -> str:
        """That the note stays flat however far the hole is opened, and what helps."""
        return (
            f"{self.width(widest)} is as wide as your rules let it be: it then stays about "
            f"{abs(off):.0f} cents flat, {self.signs.plus_minus} {max(1, round(sure))}. Undercut it then, "
            "ease the rule, or leave the note so."
        )

    def besides(self, step: Step) -> str:
        """What it does to other notes; '' where nothing to speak of."""
        rows = self.design.rows
        shown = [f"{rows[each.row].note} {format_cents(each.cents)}" for each in step.shifts[:SHIFTS]]
        if not shown:
            return ""
        sure = max(1, round(SHARE["open"] * max(abs(each.cents) for each in step.shifts)))
        return f"It also moves {', '.join(shown)} cents, {self.signs.plus_minus} {sure}."

    def coming(self, step: Step) -> str:
        """A step that comes later, in a line."""
        if step.kind == "drill" and step.hole is not None and step.at is not None:
            at, first = self.spot(step.at), self.width(step.bit or step.to or 0.0)
            final = "" if step.final is None else f", in the end {self.brief(round(step.final, 4))}"
            return f"drill {self.named(step.hole)} at {at}: {first}{final}."
        text = step.why if step.kind == "done" else self.headline(step)
        return text[:1].lower() + text[1:]

    # The whole flute

    def standing(self, plan: Plan) -> str:
        """Where the flute stands, in a sentence."""
        counted = {state: sum(each.state == state for each in plan.holes) for state in STATES}
        total = len(plan.holes)
        if plan.now.kind == "done":
            return f"All {total} holes are drilled and as near as they come."
        long = length_now(self.design)
        if counted["planned"] == total:
            return "No hole is drilled yet." if long else "Nothing is done to this tube yet."
        said = [f"{counted['in tune']} of {total} holes in tune"]
        said += [
            f"{counted[state]} {STATES[state]}"
            for state in ("begun", "drilled", "sharp", "planned")
            if counted[state]
        ]
        return f"{', '.join(said)}."

    def account(self, plan: Plan, each: Account) -> tuple[str, str, str, str, str, str, str]:
        """One hole: number, finger, place, width now, width in the end, note, how far off, state."""
        own = self.design.holes[each.hole]
        later = (step.row for step in plan.steps if step.hole == each.hole and step.row is not None)
        row = next(later, None) if each.row is None else each.row
        note = "" if row is None else self.design.rows[row].note
        off = ""
        if each.off is not None:
            off = format_cents(each.off)
            if each.sure is not None:
                off = f"{off} {self.signs.plus_minus} {max(1, round(each.sure))}"
        return (
            f"{each.hole + 1} {'' if own.finger == 'none' else own.finger}".rstrip(),
            self.spot(own.at),
            "" if each.width is None else self.brief(each.width),
            "" if plan.now.kind == "done" else self.brief(self.ending(each.final, each.width)),
            note,
            off,
            STATES[each.state],
        )

    # What was noted

    def done(self, act: Act) -> str:
        """One thing that was done, as it stands in the log."""
        hole = "" if act.hole is None else self.named(act.hole)
        if act.kind == "cut":
            return f"Cut to {self.length(act.size)}."
        if act.kind == "drilled":
            return f"Drilled {hole}, {self.width(act.size)}."
        if act.kind == "opened":
            return f"Opened {hole} to {self.width(act.size)}."
        if act.kind == "undercut":
            return f"Undercut {hole}, {self.width(act.size)}."
        return f"Filled {hole} to {self.width(act.size)}."

    def heard(self, noted: Noted) -> str:
        """Old expectation beside what was heard, and what was learnt of the mouth, in a line or two."""
        heard = noted.heard
        if heard is None:
            return ""
        said = f"Heard {heard.said}"
        if heard.ear.expected is not None and heard.off is not None:
            sure = "" if heard.ear.sure is None else f" {self.signs.plus_minus} {heard.ear.sure:.0f}"
            side = "sharper" if heard.off > 0 else "flatter"
            cents = round(abs(heard.off))
            off = f"{cents} cent{'' if cents == 1 else 's'} {side}" if cents else "just so"
            said += f", expected {tuner_shows(self.design, heard.ear.expected)}{sure}: {off}"
        said += "."
        if noted.added is not None:
            was, now = (self.length(each) for each in noted.added)
            said += f" The mouth adds {now} of tube, not {was}." if was != now else ""
        return said

    def moved(self, noted: Noted) -> str:
        """What moved on what is not made yet, in a sentence or two; '' where nothing did."""
        said = []
        for way, sign in (("foot", 1.0), ("mouth", -1.0)):
            gone = [(each.hole, sign * (each.after.at - each.before.at)) for each in noted.moved]
            far = {hole: by for hole, by in gone if by > HAND_STEP[self.units] / 2}
            if far:
                said.append(f"{_holes(far)} {self._by(far)} toward the {way}")
        for each in noted.moved:
            old, new = self.width(each.before.diameter), self.width(each.after.diameter)
            if old != new:
                said.append(f"hole {each.hole + 1} is to be {new} wide, not {old}")
        if noted.length is not None:
            before, after = (self.length(each) for each in noted.length)
            if before != after:
                said.append(f"the tube is to end at {after}, not {before}")
        return f"Moved: {'; '.join(said)}." if said else ""

    def _by(self, far: dict[int, float]) -> str:
        least, most = (self.length(each) for each in (min(far.values()), max(far.values())))
        if least == most:
            return most
        return f"{least.rpartition(' ')[0]} to {most}"

    @property
    def room_apart(self) -> str:
        """The room where it is not as warm as the flute is made for; '' where it is."""
        made_for = format_temperature(self.design.air.temperature)
        return "" if made_for == self.room else f"{self.room}; in tune is meant at {made_for}"

    @property
    def room(self) -> str:
        """How warm the room is taken to be."""
        temperature = self.design.air.temperature if self.temperature is None else self.temperature
        return format_temperature(temperature)


def too_sharp(step: Step) -> float | None:
    """Hz that a hole to be blown again should sound to end in tune; None unless it is too wide for it."""
    if step.kind != "read" or step.hole is None:
        return None
    if step.sounds is None or step.aim is None or step.off is None:
        return None
    if step.off <= 0 or step.aim > step.sounds:  # flat, or there is more to open
        return None
    return raised(step.sounds, -step.off)


def _holes(numbers: Iterable[int]) -> str:
    """Holes by number: ``hole 3``, ``holes 1 to 4``, ``holes 2 and 5``."""
    every = sorted(number + 1 for number in numbers)
    if len(every) == 1:
        return f"hole {every[0]}"
    if len(every) > 2 and every[-1] - every[0] == len(every) - 1:
        return f"holes {every[0]} to {every[-1]}"
    return f"holes {listed(every)}"
