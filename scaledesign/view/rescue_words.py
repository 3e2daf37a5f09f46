"""A rescue in words: how the flute stands, what to do step by step, and what no hole mends.

The same for screen and command line, which only lay it out. Every number is the workshop's
(``workshop/rescue.py``); cautions are ``paper/cautions.py``'s and stand at the step that needs them.
"""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Units
from scaledesign.model.saying import listed
from scaledesign.model.units import LENGTH_UNITS, format_cents, format_length
from scaledesign.paper.cautions import Caution, at_work
from scaledesign.solver.verdict import KINDS as RULES
from scaledesign.values import dataclass
from scaledesign.view.bench_words import Words
from scaledesign.view.lines import DRAWN, Signs
from scaledesign.workshop.odd import MISREAD, ODD
from scaledesign.workshop.readings import read_too_early
from scaledesign.workshop.rescue import Act, Proposal, Rescue
from scaledesign.workshop.rescue_beyond import Beyond, beyond, left_by
from scaledesign.workshop.rescue_levers import SHARPENS, Change

FEW = 0.5
"""Share of the scale's notes that should be read before anything is cut (proposed here, no source)."""
NUMBERS = ("No", "One", "Two", "Three", "Four")


@dataclass(frozen=True)
class RescueWords:
    """How one rescue is said."""

    found: Rescue
    units: Units
    signs: Signs = DRAWN

    @property
    def design(self) -> Design:
        """The flute, every hole marked as drilled: it is finished."""
        design = self.found.heard.design
        return replace(design, holes=tuple(replace(hole, drilled=True) for hole in design.holes))

    @property
    def _words(self) -> Words:
        return Words(self.design, self.units, signs=self.signs)

    # How it stands

    def verdict(self) -> str:
        """The one thing to know, in a sentence or two."""
        found = self.found
        if found.aim.judged.any():
            judged = [i for i in range(len(found.heard.notes)) if found.aim.judged[i]]
            worst = max(judged, key=lambda i: abs(found.heard.off[i] - found.aim.pitch))
            off = self.off(float(found.heard.off[worst] - found.aim.pitch))
            name, count = found.heard.notes[worst].name, len(judged)
            many = f"{count} notes of the scale that were read" if count > 1 else "one note that was read"
            if found.in_tune:
                tolerance = self.design.tuning.tolerance
                said = f"the {many} are" if count > 1 else f"the {many} is"
                first = f"Nothing to mend in the scale: {said} within {tolerance:g} cents"
                first += f"; the worst, {name}, is {off}." if count > 1 else "."
            else:
                first = f"{name} is {off}, the worst of {many}." if count > 1 else f"{name} is {off}."
        else:
            first = "No note of the scale was read."
        if found.aim.pitch:
            first = f"The notes are {self.off(found.aim.pitch)} together. Against each other: {first}"
        return f"{first} {self._answer()}".strip()

    def _answer(self) -> str:
        found = self.found
        if not found.proposals:
            if found.in_tune:
                return ""
            return "No few changes of holes and foot make it better by more than a cent."
        plan = found.proposals[0]
        count = len(plan.acts)
        what = f"{NUMBERS[count]} change" + ("s" if count > 1 else "")
        verb = ("mend it" if count > 1 else "mends it") if plan.mends else ("help" if count > 1 else "helps")
        if self.too_few:
            what = f"As far as they tell, {what[0].lower()}{what[1:]}"
        return f"{what} {verb}: {self.headline(plan)}."

    @property
    def too_few(self) -> bool:
        """Whether too little was read to cut by."""
        judged = int(self.found.aim.judged.sum())
        return judged < FEW * (judged + len(self.found.unread))

    def off(self, cents: float) -> str:
        """'9 cents flat'."""
        whole = abs(round(cents))
        if not whole:
            return "in tune"
        return f"{whole} {'cent' if whole == 1 else 'cents'} {'sharp' if cents > 0 else 'flat'}"

    def remarks(self) -> tuple[str, ...]:
        """What to look at before anything is cut."""
        return tuple(filter(None, (self._together(), self._unread(), self._early(), *self._odd())))

    def _early(self) -> str:
        rows = read_too_early(self.design)
        if not rows:
            return ""
        was, it = ("was", "it") if len(rows) == 1 else ("were", "them")
        return (
            f"{listed([self.design.rows[row].note for row in rows])} {was} read before all holes were there, "
            f"as the log has it, and holes above make a note flatter. If all were there, type {it} again."
        )

    def _unread(self) -> str:
        found = self.found
        if not found.unread:
            return ""
        left = len(found.unread)
        heard = found.heard
        least = max(
            (i for i, note in enumerate(heard.notes) if note.row in found.unread), key=lambda i: heard.sure[i]
        )
        names = ", ".join(self.design.rows[row].note for row in found.unread[:4])
        more = f" and {left - 4} more" if left > 4 else ""
        verb = "was" if left == 1 else "were"
        first = f"{names}{more} {verb} not read, and {'is' if left == 1 else 'are'} only reckoned."
        if self.too_few:
            first = f"Too few notes were read to cut by: {first}"
        plays = self._words.tuner(self._hertz(least, float(heard.off[least])))
        return (
            f"{first} Blow {heard.notes[least].name} first, which is least known: about {plays}, "
            f"{self.signs.plus_minus} {heard.sure[least]:.0f} cents."
        )

    def _odd(self) -> tuple[str, ...]:
        heard = self.found.heard
        said = []
        for i, note in enumerate(heard.notes):
            if isfinite(heard.unlikely[i]) and abs(heard.unlikely[i]) >= ODD:
                misread = abs(heard.odd[i]) >= MISREAD
                ask = "blow it once more before you cut anything" if misread else "blow it once more"
                said.append(
                    f"{note.name}, read as {note.said}, is {self.off(float(heard.odd[i]))} of what the other "
                    f"notes let expect: {ask}."
                )
        others = [
            f"{note.name}, read as {note.said}, cannot be that fingering of this flute and was left out."
            for i, note in enumerate(heard.notes)
            if note.said and not heard.read[i]
        ]
        return (*said, *others)

    def _together(self) -> str:
        pitch = self.found.aim.pitch
        if not pitch:
            return ""
        if pitch < 0:
            mend = "a larger mouth opening, warmer air or more breath sharpens them all"
        else:
            mend = "a smaller mouth opening, cooler air or less breath flattens them all"
        return (
            "What the notes are off together is the mouth's, the warmth's or the tuner's A, not a hole's: "
            f"{mend}. Here they are mended against each other, {self.pitch()}."
        )

    def pitch(self) -> str:
        """The pitch that is aimed at: 'at A4 = 437.0 Hz'."""
        return f"at A4 = {self.design.tuning.reference * 2 ** (self.found.aim.pitch / 1200):.1f} Hz"

    # A plan

    def headline(self, plan: Proposal) -> str:
        """All its changes in a line, without a stop."""
        return "; ".join(self.short(act.change) for act in plan.acts)

    def short(self, change: Change) -> str:
        """'open hole 4 (R1) to 8.8 mm'."""
        words = self._words
        if change.hole is None:
            return f"cut the foot shorter by {self.amount(-change.by)}"
        hole = words.named(change.hole)
        if change.kind == "undercut":
            return f"undercut {hole} by {self.amount(change.by)}"
        if change.kind == "move":
            end = "foot" if change.by > 0 else "mouth"
            return f"fill {hole} and drill it {self.amount(abs(change.by))} nearer the {end}"
        return f"{'open' if change.kind == 'open' else 'narrow'} {hole} to {words.width(change.to)}"

    def amount(self, metres: float) -> str:
        """How much is taken off, or how far something is moved: finer than a ruler in inches."""
        inches = metres / float(LENGTH_UNITS["in"])
        if self.units == "in" and abs(inches * 64 - round(inches * 64)) > 0.02:
            return f"{inches:.3f} in"
        return format_length(metres, self.units)

    def what(self, act: Act) -> str:
        """One act as a sentence, with the tool."""
        words, change = self._words, act.change
        if change.hole is None:
            left = format_length(change.to, self.units)
            return (
                f"Cut the foot shorter by {self.amount(-change.by)}: leave {left} from sounding edge to "
                "foot. Saw a little long, then sand."
            )
        hole = words.named(change.hole)
        was, to = words.width(change.was), words.width(change.to)
        if change.kind == "open":
            return f"Open {hole} from {was} to {to}: {self._tool(act)}."
        if change.kind == "undercut":
            before = f", {words.width(change.was)} so far" if change.was else ""
            return (
                f"Undercut {hole}: {to} wider at the bore than outside{before}. With a small file or a knife."
            )
        if change.kind == "fill":
            layer = self.amount(-change.by / 2)
            return (
                f"Narrow {hole} from {was} to {to}: a ring of {layer} all around, first of wax, to try; "
                "then of glue and dust, or a shim."
            )
        end = "foot" if change.by > 0 else "mouth"
        width = words.width(self.design.holes[change.hole].diameter)
        return (
            f"Fill {hole} with a plug and drill it anew {self.amount(abs(change.by))} nearer the {end}: "
            f"{words.place(change.to)}, {width} wide. A pilot first."
        )

    def _tool(self, act: Act) -> str:
        """The widest bit that does not pass where to stop first, and the file for the rest."""
        change = act.change
        bits = bit_set(self.design.shop.bits)
        bit = bits.below(change.to if act.first is None else act.first)
        if bit is None or bit <= change.was + 1e-5:
            return "with the file"
        label = bits.label(bit, self.units)
        if change.to - bit < 3e-5:
            return f"the {label} bit, turned by hand, or the file"
        return f"the {label} bit, turned by hand, then the file"

    def on_the_way(self, act: Act) -> tuple[str, ...]:
        """What to measure first, where to stop and blow, what the tuner shows then."""
        said = []
        if measure := self._measure(act.change):
            said.append(measure)
        note = self.found.heard.notes[act.listen]
        plays = f"{note.name}, {self._words.fingers(note.holes)}"
        plays += ", overblown" if note.register > 1 else ""
        if act.first is not None:
            first = self._words.tuner(self._hertz(act.listen, act.first_cents))
            said.append(
                f"Not all at once: go to {self._stop(act)} and blow {plays}: about {first}. Go on a "
                "little at a time, while it is still flat."
            )
        then = self._words.tuner(self._hertz(act.listen, act.then_cents))
        again = note.name if act.first is not None else plays
        said.append(
            f"Blow {again}: the tuner should show {then}, {self.signs.plus_minus} {act.sure:.0f} cents."
        )
        return tuple(said)

    def _stop(self, act: Act) -> str:
        first = act.first or 0.0
        if act.change.kind == "cut":
            return format_length(first, self.units)
        return self._words.width(first)

    def _measure(self, change: Change) -> str:
        """Where readings are odd, what would explain them."""
        heard, words = self.found.heard, self._words
        if change.kind == "undercut" or not any(abs(x) >= ODD for x in heard.unlikely if isfinite(x)):
            return ""
        if change.hole is None:
            return f"Measure the tube first: this reckons with {format_length(change.was, self.units)}."
        if change.kind == "move":
            return f"Measure where it is first: this reckons with {words.place(change.was)}."
        return (
            f"Measure it first: this reckons with {words.width(change.was)}; change the design if it is not."
        )

    def _hertz(self, note: int, cents: float) -> float:
        return float(self.found.heard.notes[note].target * 2 ** (cents / 1200))

    def cautions(self, act: Act) -> tuple[Caution, ...]:
        """What can hurt at an act."""
        change = act.change
        kinds: tuple[str, ...] = (change.kind,)
        if change.kind == "move":
            kinds = ("fill", "drill")
        elif change.kind == "open" and "bit" not in self._tool(act):
            kinds = ("file",)
        every = (caution for kind in kinds for caution in at_work(kind, self.design.instrument.material))
        return tuple(dict.fromkeys(every))

    def sure(self, plan: Proposal) -> str:
        """How sure the notes of the scale are then."""
        known = plan.sure[self.found.aim.judged]
        if not len(known):
            return ""
        low, high = round(float(known.min())), round(float(known.max()))
        amount = f"{low} to {high}" if low != high else f"{high}"
        return f"The notes that were read come out so within {self.signs.plus_minus} {amount} cents."

    def lasting(self, plan: Proposal) -> str:
        """How much of it can be taken back."""
        kinds = {act.change.kind for act in plan.acts}
        if kinds == {"fill"}:
            return "Wax comes out again: try it before you make it last."
        if kinds & SHARPENS:
            return "Wood that is gone stays gone: stop early, blow, go on."
        return ""

    # What no hole mends

    def beyond(self) -> tuple[str, ...]:
        """Why some notes stay off, and what would help."""
        return tuple(self._beyond(each) for each in beyond(self.found))

    def _beyond(self, each: Beyond) -> str:
        heard, left = self.found.heard, left_by(self.found)
        names = ", ".join(f"{heard.notes[i].name} {format_cents(float(left[i]))}" for i in each.notes)
        one = heard.notes[each.notes[0]].name
        off = self.off(float(left[each.notes[0]]))
        if each.why == "longer":
            longer = f", by about {self.amount(each.by)}" if each.by else ""
            return (
                f"{one} stays {off} with every hole closed: only a longer tube flattens it{longer}. A sleeve "
                "on the foot, or a ring of wax inside it, would do; no hole does."
            )
        if each.why == "rule":
            hole = self._words.named(each.hole or 0)
            key = f" ({RULES[each.rule]})" if each.rule else ""
            wider = left[each.notes[0]] < 0
            wants = "wider" if wider else "narrower"
            return f"{one} stays {off}: {hole} may not be made {wants} by your rules{key}."
        if each.why == "others":
            return f"{one} stays {off}: what would mend it spoils other notes, or takes more changes."
        if each.by:
            way = "drawn back" if each.by > 0 else "pushed in"
            mend = (
                f"The stopper {way} by {self.amount(abs(each.by))} would bring the worst to {each.left:.0f} "
                "cents and keep the low notes; bore, mouth and breath do the rest"
            )
        else:
            mend = "What lies between them is the bore's, the mouth's and the breath's to mend"
        if len(each.notes) > 1:
            first = f"These octaves stay off, and a hole moves them with their low notes: {names} cents"
        else:
            first = f"This octave stays off, and a hole moves it with its low note: {names} cents"
        return f"{first}. {mend}; scaledesign registers says more."
