"""What there is to say of a flute's registers: which speak and why not, what to change, in sentences.

Words and rounding only; numbers and verdicts are made in ``registers.py``, rates of change in ``octave.py``.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, isfinite

from scaledesign.model.document import Design, Units
from scaledesign.model.saying import begun, listed
from scaledesign.model.units import HAND_STEP, INCH, format_cents, format_length
from scaledesign.physics import jet
from scaledesign.solver.problem import air_of, hole_radius
from scaledesign.workshop import advice
from scaledesign.workshop.octave import Bend, Lever
from scaledesign.workshop.registers import (
    BREATH,
    LEANING,
    NEAR,
    SPEECHES,
    Played,
    Registers,
    Speech,
)

OFF = 20.0
"""Cents from the octave that lip and breath make up for without a thought (common practice, no source)."""
STEP: dict[Units, float] = {"mm": 1e-3, "in": float(INCH) / 32}
"""m: the change that a rate is told for."""
ANSWER: dict[Speech, str] = {"speaks": "yes", "weakly": "weakly", "hardly": "hardly", "none": "no"}
BLOWN: dict[Speech, str] = {
    "speaks": "speaks", "weakly": "speaks weakly", "hardly": "hardly speaks", "none": "no such note",
}  # fmt: skip
NAMES = {1: "Low notes", 2: "Second octave", 3: "Third register"}


def of_the_scale(found: Registers) -> tuple[Played, ...]:
    """The fingerings that a verdict on the whole flute is about; all where none is of the scale."""
    return tuple(one for one in found.fingerings if one.of_the_scale) or found.fingerings


def verdicts(found: Registers) -> tuple[str, ...]:
    """Whether the second octave speaks, then the third register where it is played, then weak low notes."""
    played = of_the_scale(found)
    most = max((len(one.registers) for one in played), default=0)
    low_is_weak = any(one.low.speech != "speaks" for one in played)
    wanted = (*range(2, most + 1), *((1,) if low_is_weak else ()))
    return tuple(_verdict(played, number) for number in wanted)


def _verdict(played: Sequence[Played], number: int) -> str:
    """One sentence: the notes that answer best first, then each other kind with a reason."""
    name, total = NAMES.get(number, f"Register {number}"), len(played)
    kinds: dict[Speech, list[Played]] = {}
    for speech in SPEECHES:
        if alike := [one for one in played if one.registers[number - 1].speech == speech]:
            kinds[speech] = alike
    parts = []
    for speech, alike in kinds.items():
        why = _why(alike, number)
        if len(kinds) == 1:
            each = "none of the" if speech == "none" else "all"
            notes = f"{each} {total} notes of the scale" if total > 1 else played[0].note
            parts.append(f"{ANSWER[speech]}, on {notes}{why}")
        elif not parts:
            parts.append(f"{ANSWER[speech]} on {len(alike)} of {total} notes, {_named(alike)}{why}")
        else:
            parts.append(f"{'not' if speech == 'none' else ANSWER[speech]} on {_named(alike)}{why}")
    return f"{name}: {'; '.join(parts)}."


def _why(alike: Sequence[Played], number: int) -> str:
    """The reason of the first of several notes, which is named then."""
    reason = alike[0].registers[number - 1].reason
    if not reason:
        return ""
    return f": {reason}" if len(alike) == 1 else f": on {alike[0].note} {reason}"


def _named(played: Sequence[Played]) -> str:
    notes = [one.note for one in played]
    return listed(notes)


def in_short(played: Played, register: int) -> tuple[str, ...]:
    """A verdict on a row that is blown in ``register``, on its octave where that is the first; then more."""
    blown = played.registers[max(register, 2) - 1]
    reasons = (blown.reason,) if blown.reason else ()
    harder = (
        (f"{format_cents(played.leaning(LEANING[1]))} cents blown harder",)
        if isfinite(played.low.quality)
        else ()
    )
    if register > 1:
        return (BLOWN[blown.speech], *reasons, *harder)
    if blown.speech == "none":
        return ("no octave", *reasons, *harder)
    off = f", {_off(blown.stretch)}" if isfinite(blown.stretch) else ""
    return (f"octave {BLOWN[blown.speech]}{off}", *reasons, *harder)


def _off(cents: float) -> str:
    size = round(abs(cents))
    return f"{size} cent{'s' if size != 1 else ''} {'sharp' if cents > 0 else 'flat'}" if size else "true"


def advices(design: Design, found: Registers) -> tuple[str, ...]:
    """What to change, most telling first; what blowing harder does comes last."""
    played = of_the_scale(found)
    return (
        *advice.length_remarks(design),
        *_octaves(design, played),
        *_cutoffs(played),
        *_breath(design, played),
        *advice.stopper_remarks(design),
        *_leaning(played),
    )


def _octaves(design: Design, played: Sequence[Played]) -> tuple[str, ...]:
    off = [
        (one, one.registers[1].stretch, one.bend)
        for one in played
        if one.registers[1].speech != "none" and abs(one.registers[1].stretch) >= OFF and one.bend
    ]
    sentences = [
        f"The octave of {one.note} is {_off(cents)}: {_mend(design, one, cents, bend)}"
        for one, cents, bend in off
    ]
    step = STEP[design.units]
    narrow = [-bend.by_bore * step for _, cents, bend in off if cents < 0 and bend.lever]
    if narrow and min(narrow) >= 0.5:
        rise = _between(min(narrow), max(narrow))
        sentences.append(
            f"A bore {_stepped(step, design.units)} narrower, with the holes as they are, raises "
            f"{'these flat octaves' if len(narrow) > 1 else 'this flat octave'} by {rise} cents."
        )
    return tuple(sentences)


def _mend(design: Design, played: Played, cents: float, bend: Bend) -> str:
    """What brings an octave nearer, with its rate."""
    step, units, lever = STEP[design.units], design.units, bend.lever
    if lever is not None and lever.rise * step >= 0.5 and lever.along > 0:
        return _open(design, played, cents, lever, step)
    if lever is None and cents > 0 and -bend.by_cavity * step >= 0.1:
        way = {"transverse": "draw the stopper back", "duct": "leave bore behind the window"}
        if design.instrument.mouth in way:
            each = f"{_stepped(step, units)} lowers it {-bend.by_cavity * step:.1f} cents"
            return f"{way[design.instrument.mouth]}; {each}."
    return "bend it with lip and breath, no hole mends that."


def _open(design: Design, played: Played, cents: float, lever: Lever, step: float) -> str:
    hole, units = design.holes[lever.hole], design.units
    number, size = f"hole {lever.hole + 1}", _stepped(step, units)
    if cents < 0 and 2 * hole_radius(hole) + step > widest(design):
        return f"{number} is nearly as wide as it may be, so take a narrower bore or a thinner wall."
    change, end = ("wider", "foot") if cents < 0 else ("narrower", "mouth")
    moved = format_length(lever.along * step, units)
    later = " On the next flute: that hole is drilled." if hole.drilled or hole.locked else ""
    return (
        f"make {number} {change} and move it toward the {end}. {begun(size)} {change} and "
        f"{moved} nearer the {end} keeps {played.note} and {'raises' if cents < 0 else 'lowers'} its octave "
        f"{lever.rise * step:.0f} cents.{later}"
    )


def widest(design: Design) -> float:
    """The widest hole (m) that the shop allows."""
    return min(design.shop.largest, design.shop.share_of_bore * design.tube.bore[0].value)


def _stepped(step: float, units: Units) -> str:
    return format_length(step, units)


def _between(low: float, high: float) -> str:
    return f"{low:.0f}" if f"{low:.0f}" == f"{high:.0f}" else f"{low:.0f} to {high:.0f}"


def _cutoffs(played: Sequence[Played]) -> tuple[str, ...]:
    near = [
        f"{one.note} {one.share(octave):.2f} ({octave.frequency:.0f} of {one.cutoff:.0f} Hz)"
        for one in played
        for octave in one.registers[1:2]
        if one.share(octave) > NEAR
    ]
    if not near:
        return ()
    note = (
        f"Octaves beyond {NEAR:g} of the cutoff of their open holes tend to come out wrong: "
        f"{', '.join(near)}. Holes that are wider or closer together, or a thinner wall, raise the cutoff."
    )
    return (note,)


def _breath(design: Design, played: Sequence[Played]) -> tuple[str, ...]:
    """What breath the window asks, and another window where it asks too much or too little."""
    if design.instrument.mouth != "duct":
        return ()
    window, units, (soft, strong) = design.voicing.window, design.units, BREATH
    if window is None:
        note = "Write length and width of the window under [voicing] to hear what breath each register asks."
        return (note,)
    rho, step = float(air_of(design).rho), HAND_STEP[units]
    sounding = [one for one in played if isfinite(one.low.frequency)]
    octaves = [one for one in sounding if one.registers[1].speech in ("speaks", "weakly", "hardly")]
    notes = []
    if sounding:
        low, top = sounding[0], (octaves or sounding)[-1]
        high, name = (top.registers[1], "the octave of ") if octaves else (top.low, "")
        notes.append(
            f"A window of {format_length(window.length, units)} asks a breath of {low.low.pressure:.0f} Pa "
            f"for {low.note} and {high.pressure:.0f} Pa for {name}{top.note}; usual are {soft:.0f} to "
            f"{strong:.0f}. The mouth of an organ pipe of {low.note} would be "
            f"{format_length(jet.organ_window(low.low.frequency), units)} long."
        )
    asked = [one.registers[1].frequency for one in octaves if one.registers[1].pressure > strong]
    if asked:
        fits = floor(jet.window_for(max(asked), strong, rho) / step) * step
        notes.append(
            f"Shorten the window to {format_length(fits, units)} for the second octave: a shorter one asks "
            "less breath. It makes every note flatter, so finish it before you drill."
        )
    faint = [one.low.frequency for one in sounding if one.low.pressure < soft]
    if faint:
        fits = ceil(jet.window_for(min(faint), soft, rho) / step) * step
        notes.append(
            f"Lengthen the window to {format_length(fits, units)} for the low notes: a longer one lets them "
            "be blown harder before they break. It makes every note sharper, so finish it before you drill."
        )
    return tuple(notes)


def _leaning(played: Sequence[Played]) -> tuple[str, ...]:
    sounding = [one for one in played if isfinite(one.low.quality)]
    if not sounding:
        return ()
    softer = min(one.leaning(LEANING[0]) for one in sounding)
    harder = max(one.leaning(LEANING[1]) for one in sounding)
    twice = [one.leaning(2.0) for one in sounding]
    note = (
        f"Blowing moves the low notes too: from {1 - LEANING[0]:.0%} softer to {LEANING[1] - 1:.0%} harder, "
        f"by {format_cents(softer)} to {format_cents(harder)} cents; twice the pressure, by "
        f"{_between(min(twice), max(twice))}."
    )
    return (note,)
