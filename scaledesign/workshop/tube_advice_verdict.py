"""One plain verdict on a tube as a flute in one key: what is good about it, what is not, and why.

Six things are looked at: length, slenderness, tuning, evenness of the holes, second octave, reach. Each gets
a grade and words; the worst of them is the verdict. Limits without a source are rules of thumb and say so.
Nothing is laid out here.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import log
from typing import Literal, get_args

from scaledesign.model.document import Design
from scaledesign.model.hands import whose_hand
from scaledesign.model.saying import begun
from scaledesign.model.units import format_length
from scaledesign.values import dataclass
from scaledesign.workshop import advice, reach
from scaledesign.workshop.registers import SPEECHES, Played
from scaledesign.workshop.start import Wanted
from scaledesign.workshop.tube_advice_layout import Laid
from scaledesign.workshop.usual import USUAL_BORES

Grade = Literal["good", "will do", "poor", "no"]
GRADES: tuple[Grade, ...] = get_args(Grade)
"""From the best to the worst."""
Answer = Literal["yes", "weakly", "no"]
"""Whether the second octave will speak."""
MOST_NOTES = 0.6
"""Share of the notes of the scale that makes a second octave (proposed here, no source)."""
OFF = (5.0, 15.0, 40.0)
"""Cents that the worst note may be off in a good flute, one that will do, a poor one (proposed here, no
source)."""
EVEN, UNEVEN = 1.8, 3.0
"""Widest over narrowest hole up to which holes are even, and beyond which they are very uneven (proposed
here, no source)."""
HOPELESS = (0.9 * advice.STOUT, 1.25 * advice.SLENDER)
"""Bores of length under which, and beyond which, there is no hope (proposed here, no source)."""
ROOM = 5e-5
"""m that rounding may take from a length."""
TELLING = ("holes", "octave", "reach")
"""What a good flute is praised for."""
WORSE: Mapping[advice.Verdict, Grade] = {
    "too slender": "poor", "slender": "will do", "comfortable": "good", "a little stout": "will do",
    "stout": "poor",
}  # fmt: skip


@dataclass(frozen=True)
class Aspect:
    """One of the things a verdict rests on."""

    name: str
    """"length", "slenderness", "tuning", "holes", "octave" or "reach"."""
    grade: Grade
    short: str
    """For a list: ``"holes uneven"``."""
    words: str
    """The same as a sentence."""


@dataclass(frozen=True)
class Choice:
    """One flute that could be made, and what it would be like."""

    wanted: Wanted
    length: float
    """m to cut to, sounding edge to foot."""
    leave: float
    """m to leave until the bare tube was blown; no more than the tube has."""
    bores: float
    """Length over bore."""
    aspects: tuple[Aspect, ...]
    laid: Laid | None
    """The flute laid out; None where its proportions alone decide, or a note has no pitch."""

    @property
    def verdict(self) -> Grade:
        """The worst grade of all."""
        return max((each.grade for each in self.aspects), key=GRADES.index)

    @property
    def reason(self) -> str:
        """What the verdict rests on, in few words: the worst first, or what is good."""
        return "; ".join(each.short for each in self._telling())

    @property
    def because(self) -> str:
        """The same beside a column that answers for the second octave."""
        telling = self._telling()
        others = [each for each in telling if each.name != "octave" or each.grade == "poor"]
        return "; ".join(each.short for each in others or telling)

    def _telling(self) -> list[Aspect]:
        flaws = [each for each in self.aspects if each.grade != "good"]
        flaws.sort(key=lambda each: -GRADES.index(each.grade))
        return flaws or [each for each in self.aspects if each.name in TELLING]

    @property
    def octave(self) -> Answer | None:
        """Whether the second octave will speak; None where nothing was laid out."""
        return None if self.laid is None else octave(self.laid)[0]

    @property
    def order(self) -> tuple[int, float]:
        """The smaller, the sooner it is recommended: the verdict, then what is left to wish."""
        wish = abs(log(self.bores / USUAL_BORES))
        if self.laid is not None:
            played = self.laid.registers.fingerings
            speaking = sum(each.registers[1].speech == "speaks" for each in played) / len(played)
            wish += 0.5 * (evenness(self.laid.design) - 1) + (1 - speaking)
            wish += abs(float(self.laid.cents[self.laid.worst])) / OFF[1]
        return GRADES.index(self.verdict), wish


def choice(want: Wanted, length: float, spare: float, laid: Laid | None, *, silent: bool = False) -> Choice:
    """Judge one flute.

    Parameters
    ----------
    want : Wanted
    length : m that its key wants of the bare tube
    spare : m to leave it longer until it was blown
    laid : as it was laid out; None where it was not
    silent : whether that is because a note of its scale has no pitch, or a hole no room
    """
    cut = length if laid is None else laid.design.tube.length
    bores = length / want.bore if laid is None else advice.slenderness(laid.design)
    leave = cut + spare if want.length is None else min(cut + spare, max(cut, want.length))
    aspects = [_length(want, length, spare), _slenderness(bores)]
    if laid is not None:
        aspects += [_tuning(laid), _holes(laid.design), _octave(laid), _reach(laid.design)]
    elif silent:
        said = "no room for its holes" if want.avoid else "a note of the scale has no pitch in it"
        aspects.append(Aspect("tuning", "no", said, f"{begun(said)}."))
    return Choice(want, cut, leave, bores, tuple(aspects), laid)


def _length(want: Wanted, length: float, spare: float) -> Aspect:
    def shown(metres: float) -> str:
        return format_length(metres, want.units)

    if want.length is None or want.length >= length + spare - ROOM:
        return Aspect("length", "good", "long enough", "The tube is long enough.")
    if want.length < length - ROOM:
        short = f"wants {shown(length)}"
        return Aspect("length", "no", short, f"It {short} and the tube has {shown(want.length)}.")
    left = shown(want.length - length)
    return Aspect(
        "length",
        "will do",
        "little to spare",
        f"The tube is only {left} longer than it should need. Blow it before you cut: if it sounds sharp of "
        f"{want.key}, take a higher key.",
    )


def _slenderness(bores: float) -> Aspect:
    found = advice.verdict(bores)
    grade = WORSE[found]
    if not HOPELESS[0] <= bores <= HOPELESS[1]:
        grade = "no"
    weak = f": {advice.WEAKNESS[found]}" if found in advice.WEAKNESS else ""
    words = f"It is {bores:.0f} bores long, {found}{weak}."
    return Aspect("slenderness", grade, found, words)


def _tuning(laid: Laid) -> Aspect:
    cents = float(laid.cents[laid.worst])
    size = abs(cents)
    grade = next((g for g, most in zip(GRADES, OFF, strict=False) if size <= most), GRADES[-1])
    if grade == "good":
        return Aspect("tuning", grade, "in tune", "Every note of the scale can be met.")
    short = f"{laid.notes[laid.worst]} {size:.0f} cents {'sharp' if cents > 0 else 'flat'}"
    why = _why(laid)
    return Aspect("tuning", grade, f"{short}: {why}" if why else short, _whole(laid, short, why))


def _whole(laid: Laid, short: str, why: str) -> str:
    if laid.said:
        return laid.said[0]
    return f"{short}: {why}." if why else f"{short}."


def _why(laid: Laid) -> str:
    """What keeps notes off, in a few words; '' where nothing does but the tube itself."""
    design, hand = laid.design, whose_hand(laid.design.shop.hand)
    words = {
        "blank": "the tube is too short",
        "smallest": "holes narrower than your bits",
        "largest": "holes wider than your bits",
        "share_of_bore": "holes too wide for the bore",
        "pad": "holes wider than a finger",
        "spread": f"further apart than {hand} reaches",
        "gap": f"further apart than {hand} reaches",
        "thumb": f"further apart than {hand} reaches",
        "fingers": "too close for the fingers",
        "wood": "too little wood between holes",
        "foot": "too little wood at the foot",
        "head": "a hole too near the mouth",
    }
    for kind, holes in laid.binding:
        if kind == "avoid":
            at = design.holes[holes[0]].at
            start, end = min(design.tube.avoid, key=lambda each: abs(sum(each) / 2 - at))
            low = format_length(start, design.units, unit=False)
            return f"no hole may go at {low} to {format_length(end, design.units)}"
        if kind in words:
            return words[kind]
    return ""


def evenness(design: Design) -> float:
    """Widest over narrowest hole."""
    sizes = [hole.diameter for hole in design.holes]
    return max(sizes) / min(sizes) if sizes else 1.0


def _holes(design: Design) -> Aspect:
    ratio, sizes = evenness(design), [hole.diameter for hole in design.holes]
    low, high = (format_length(size, design.units, unit=False) for size in (min(sizes), max(sizes)))
    span = f"{low} to {high} {design.units}" if low != high else f"{low} {design.units}"
    if ratio <= EVEN:
        return Aspect("holes", "good", "holes even", f"The holes are even: {span}.")
    very = "very " if ratio > UNEVEN else ""
    grade: Grade = "poor" if very else "will do"
    return Aspect("holes", grade, f"holes {very}uneven", f"The holes are {very}uneven: {span}.")


def octave(laid: Laid) -> tuple[Answer, str]:
    """Whether the second octave will speak, and what of it does or why it does not, in words.

    Yes where it speaks freely on most notes of the scale, weakly where it speaks on most, if not freely;
    else no.
    """
    played = laid.registers.fingerings
    freely, at_all = (
        [each for each in played if SPEECHES.index(each.registers[1].speech) <= worst] for worst in (0, 1)
    )
    if len(freely) >= MOST_NOTES * len(played):
        return "yes", f"yes, on {_counted(len(freely), len(played))}"
    if len(at_all) >= MOST_NOTES * len(played):
        return "weakly", f"weakly: {_reason(played, freely)}"
    return "no", f"no, on only {_counted(len(at_all), len(played))}: {_reason(played, at_all)}"


def _counted(some: int, of: int) -> str:
    return f"{some} of {of} notes" if some < of else f"all {of} notes"


def _reason(played: tuple[Played, ...], good: list[Played]) -> str:
    """Why the lowest note that is none of the good ones does not speak."""
    bad = next(each for each in played if each not in good)
    return f"on {bad.note} {bad.registers[1].reason}"


def _octave(laid: Laid) -> Aspect:
    answer, words = octave(laid)
    grades: Mapping[Answer, Grade] = {"yes": "good", "weakly": "will do", "no": "poor"}
    short = {"yes": "second octave speaks", "weakly": "second octave weak", "no": "no second octave"}[answer]
    return Aspect("octave", grades[answer], short, f"Second octave: {words}.")


def _reach(design: Design) -> Aspect:
    hand = whose_hand(design.shop.hand)
    far = [each for each in reach.misfits(design) if each.kind != "pad"]
    if far:
        worst = far[0]
        which = " to ".join(str(i + 1) for i in sorted(worst.holes))
        by = format_length(worst.by, design.units)
        short = f"holes {which} {by} {worst.what}"
        grade: Grade = "will do" if worst.by < 0.1 * sum(_reaches(design)) else "poor"
        return Aspect("reach", grade, short, f"Holes {which} are {by} {worst.what} for {hand}.")
    bridges = reach.bridges(design)
    if not bridges:
        return Aspect("reach", "good", "within reach", "Nothing to reach for.")
    wide = max(
        (each for each in bridges if each.kind != "gap"), key=lambda each: each.along, default=bridges[0]
    )
    which = " to ".join(str(i + 1) for i in sorted(wide.holes))
    words = (
        f"Within reach of {hand}: its widest stretch is {format_length(wide.along, design.units)}, from hole "
        f"{which}, and {format_length(wide.most, design.units)} would do."
    )
    return Aspect("reach", "good", "within reach", words)


def _reaches(design: Design) -> tuple[float, ...]:
    return tuple(each.most for each in reach.bridges(design)[:1])
