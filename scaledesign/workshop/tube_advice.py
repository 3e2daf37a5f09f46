"""What a tube can become, and which bore to look for: keys and bores, ranked, with a plain verdict each.

From bore, wall and length alone; all else has its usual answer. Every key is laid out as a new flute would be
(``tube_advice_layout``) and judged (``tube_advice_verdict``); here is what is tried, what is recommended and
what is said of the tube as a whole. The same words for the command line and the screen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Units
from scaledesign.model.pitch import Note, note_frequency, parse_note
from scaledesign.model.units import INCH, format_length
from scaledesign.physics.arrays import Floats
from scaledesign.solver.spare import spare_wanted
from scaledesign.values import dataclass
from scaledesign.workshop import advice, ask, start
from scaledesign.workshop.advice import COMFORTABLE, SLENDER, STOUT
from scaledesign.workshop.start import KEYS, Wanted
from scaledesign.workshop.suits import TONICS
from scaledesign.workshop.tube_advice_layout import Laid, exactly, has_room, laid_out, lengths
from scaledesign.workshop.tube_advice_verdict import GRADES, HOPELESS, Choice, choice

LAID_OUT = (HOPELESS[0], 1.1 * SLENDER)
"""Bores of length between which a flute is laid out: beyond them its proportions decide."""
TRIED = (0.5 * STOUT, 2.0 * SLENDER)
"""Bores of length between which a key is worth a verdict."""
NODE = 0.002
"""m that a cut may lie beside a node and still meet it."""
USUAL_WALL: dict[Units, float] = {"mm": 3e-3, "in": float(INCH) / 8}
"""m: of a tube whose wall is not known (3.2 to 3.8 mm is usual; common practice, no source)."""


@dataclass(frozen=True)
class Becoming:
    """What one tube can become."""

    wanted: Wanted
    """The tube and the wish, without a key."""
    choices: tuple[Choice, ...]
    """One a key, what suits best first."""
    spare: float
    """m to leave the tube longer than any of them until it was blown."""
    deepest: Choice
    """The deepest key that the tube is long enough for; of a tube without limit the best."""
    deeper: tuple[str, float] | None
    """The next deeper key and the length (m) it wants; None where the tube has no limit."""
    remarks: tuple[str, ...]
    """What is to be said of the tube, most telling first."""

    @property
    def best(self) -> Choice | None:
        """The first, where it makes a flute."""
        return self.choices[0] if self.choices[0].verdict != GRADES[-1] else None


@dataclass(frozen=True)
class Bores:
    """Which bores serve a key."""

    wanted: Wanted
    """The wish; its bore says nothing."""
    choices: tuple[Choice, ...]
    """One a bore, what suits best first."""
    good: tuple[float, float] | None
    """m: the narrowest and the widest of the bores whose verdict is as the best one's."""
    said: str
    """The range in a sentence."""

    @property
    def best(self) -> Choice | None:
        """The first, where it makes a flute."""
        return self.choices[0] if self.choices[0].verdict != GRADES[-1] else None


def becoming(want: Wanted) -> Becoming:
    """What a tube can become.

    Parameters
    ----------
    want : tube, mouth, scale, fingering system, hand and bits; its key says nothing

    Raises
    ------
    UnknownNameError
        for a scale or system that nobody offers.
    EditError
        for a tube that no flute is made of, in one sentence.
    """
    start.require_a_bore(want.bore, want.units)
    wishes = [replace(want, key=note.name) for note in _keys()]
    length = lengths(wishes)
    fits = np.isfinite(length) & (length >= TRIED[0] * want.bore)
    if want.length is not None:
        deeper = [i for i in range(len(wishes)) if fits[i] and length[i] > want.length]
        fits &= length <= want.length
    else:
        fits &= length <= LAID_OUT[1] * want.bore
        deeper = []
    fits &= length <= TRIED[1] * want.bore
    if not fits.any():
        raise _nothing(want, length)
    which = np.flatnonzero(fits)
    choices = _chosen([wishes[i] for i in which], length[which])
    deepest = choices[0] if want.length is not None else min(choices, key=lambda each: each.order)
    ranked = tuple(sorted(choices, key=lambda each: each.order))
    next_one = (wishes[deeper[-1]].key, float(length[deeper[-1]])) if deeper else None
    spare = spare_wanted(start.blank_design(want), want.units)
    return Becoming(want, ranked, spare, deepest, next_one, _remarks(want, ranked, deepest))


def exact(one: Choice) -> Choice:
    """A choice judged by the very flute that would be begun of it; takes a second or more."""
    want = one.wanted
    laid = exactly(want)
    return _judged(want, float(lengths([want])[0]), laid, laid is None)


def in_key(want: Wanted) -> Choice:
    """What a tube would be like in one key; laid out whole where that makes a flute.

    Raises
    ------
    UnknownNameError, QuantityError
    EditError
        for a tube or key that no flute has.
    """
    note = parse_note(want.key)
    want = replace(want, key=note.name)
    blank = start.blank_design(want)
    length = start.require_a_flute(blank, note_frequency(note, blank.tuning.reference))
    (one,) = _chosen([want], np.array([length]), TRIED)
    return exact(one) if _provable(one) else one


def bores(want: Wanted) -> Bores:
    """Which bores serve a key, of the usual sizes.

    Parameters
    ----------
    want : key, wall, mouth, scale, system, hand, bits, units, and the length if it is limited

    Raises
    ------
    UnknownNameError, QuantityError
    EditError
        for a key that no flute has, or a length that is too short for it in any bore.
    """
    note = parse_note(want.key)
    frequency = note_frequency(note, start.blank_design(want).tuning.reference)
    if not KEYS[0] <= frequency <= KEYS[1]:
        way = "high" if frequency > KEYS[1] else "low"
        raise EditError(f"{note.name} is too {way} for a flute", "take a key from C2 to C7")
    wishes = [replace(want, key=note.name, bore=size) for size in usual_bores(want.units)]
    length = lengths(wishes)
    size = np.array([each.bore for each in wishes])
    fits = np.isfinite(length) & (length >= LAID_OUT[0] * size) & (length <= LAID_OUT[1] * size)
    if want.length is not None:
        room = fits & (length <= want.length)
        if fits.any() and not room.any():
            least = float(length[fits].min())
            raise EditError(
                f"{format_length(want.length, want.units)} is too short for {note.name} in any bore; it "
                f"wants {_up(least, want.units)} or more",
                "take a higher key or a longer tube",
            )
        fits = room
    if not fits.any():
        raise EditError(f"No usual bore serves {note.name}", "take a key from C3 to C6")
    which = np.flatnonzero(fits)
    ranked = tuple(sorted(_chosen([wishes[i] for i in which], length[which]), key=lambda each: each.order))
    verdict = ranked[0].verdict
    alike = [each.wanted.bore for each in ranked if each.verdict == verdict]
    good = (min(alike), max(alike)) if verdict != GRADES[-1] else None
    return Bores(want, ranked, good, _range_words(note.name, ranked, good, want.units))


@lru_cache(maxsize=2)
def usual_bores(units: Units) -> tuple[float, ...]:
    """Bores (m) that tubes are commonly had in: whole millimetres, or sixteenths and eighths of an inch."""
    inch = float(INCH)
    if units == "in":
        return (*(n * inch / 16 for n in range(5, 17)), *(n * inch / 8 for n in range(9, 17)))
    return (*(n * 1e-3 for n in range(8, 24)), *(n * 1e-3 for n in range(24, 52, 2)))


@lru_cache(maxsize=1)
def _keys() -> tuple[Note, ...]:
    """Every key that a flute can have, low to high."""
    notes = [parse_note(f"{name}{octave}") for octave in range(2, 8) for name in TONICS]
    return tuple(note for note in notes if KEYS[0] <= note_frequency(note, 440.0) <= KEYS[1])


def _chosen(
    wishes: Sequence[Wanted], length: Floats, between: tuple[float, float] = LAID_OUT
) -> list[Choice]:
    """Wishes judged, each laid out where its length is ``between`` so many bores."""
    bore = np.array([want.bore for want in wishes])
    worth = np.flatnonzero((length >= between[0] * bore) & (length <= between[1] * bore))
    laid: dict[int, Laid | None] = dict(
        zip(worth.tolist(), laid_out([wishes[i] for i in worth.tolist()], length[worth]), strict=True)
    )
    return [
        _judged(want, float(metres), laid.get(i), laid[i] is None if i in laid else not _room(want, metres))
        for i, (want, metres) in enumerate(zip(wishes, length, strict=True))
    ]


def _room(want: Wanted, length: float) -> bool:
    """Whether the holes find room beside the stretches to avoid, on a tube that is not laid out."""
    blank = start.blank_design(want)
    holes = len(ask.offers().system(want.system).slots)
    return not want.avoid or has_room(replace(blank, tube=replace(blank.tube, length=length)), holes)


def _provable(one: Choice) -> bool:
    """Whether laying it out whole is worth it and quick: where limits contradict each other it is neither."""
    laid = one.laid
    if laid is None or laid.exact or GRADES.index(one.verdict) > 1:
        return False
    return all(kind != "avoid" for kind, _ in laid.binding)


def _judged(want: Wanted, length: float, laid: Laid | None, silent: bool) -> Choice:
    return choice(want, length, spare_wanted(start.blank_design(want), want.units), laid, silent=silent)


# Words


def _nothing(want: Wanted, length: Floats) -> EditError:
    """Why no key suits a tube at all: it is too short for its bore, or longer than any key wants."""
    bore = format_length(want.bore, want.units)
    if want.length is None:
        return EditError(f"No key suits a bore of {bore}", "take a bore of 8 mm to 50 mm")
    shown = format_length(want.length, want.units)
    if want.length < TRIED[0] * want.bore:
        least, most = (_up(STOUT * want.bore, want.units), _down(want.length / STOUT, want.units))
        return EditError(
            f"{shown} is too short for a bore of {bore}: no room for holes",
            f"take a tube of {least} or more, or a bore of {most} or less",
        )
    wanted = float(np.nanmin(length))
    return EditError(
        f"{shown} is too short for any key in a bore of {bore}",
        f"take a tube of {_up(max(wanted, STOUT * want.bore), want.units)} or more",
    )


def _remarks(want: Wanted, ranked: Sequence[Choice], deepest: Choice) -> tuple[str, ...]:
    """What is to be said of the tube as a whole."""
    said = []
    if want.length is not None:
        said += [each for each in (_whole_length(want, ranked, deepest),) if each]
    best = ranked[0]
    if best.laid is not None and best.verdict != GRADES[-1]:
        said += [foot for foot in (node_words(best),) if foot]
        design = best.laid.design
        said += [each for each in advice.tube_remarks(design) if each not in advice.length_remarks(design)]
    return tuple(said)


def _whole_length(want: Wanted, ranked: Sequence[Choice], deepest: Choice) -> str:
    """What a tube is like at its whole length, where it is too slender or too stout there; else ''."""
    assert want.length is not None
    units, ratio = want.units, want.length / want.bore
    whole = format_length(want.length, units)
    if advice.verdict(ratio) == "too slender" and advice.verdict(deepest.bores) == "too slender":
        least = _up(want.length / SLENDER, units)
        low, high = _up(want.length / COMFORTABLE[1], units), _down(want.length / COMFORTABLE[0], units)
        cut = _down(SLENDER * want.bore, units)
        return (
            f"Too slender uncut: {whole} is {ratio:.0f} bores, and beyond {SLENDER:.0f} the low notes are "
            f"weak and break upward. At that length, for {deepest.wanted.key}, a bore of {least} or more "
            f"would serve, best {low} to {high}. In this bore cut it to {cut} or less: {_serving(ranked)}."
        )
    if advice.verdict(ratio) == "stout":
        most = _down(want.length / STOUT, units)
        return (
            f"Too wide for its length: {whole} is only {ratio:.0f} bores, and under {STOUT:.0f} the second "
            f"octave is weak or missing. At that length a bore of {most} or less would serve; in this bore, "
            f"a tube of {_up(STOUT * want.bore, units)} or more."
        )
    return ""


def _serving(ranked: Sequence[Choice]) -> str:
    """The keys of a tube that serve, as a range: ``"take D4 to C5"``."""
    serving = [each for each in ranked if GRADES.index(each.verdict) < 2]
    if not serving:
        return "but no key suits it there"
    low, high = max(serving, key=lambda each: each.length), min(serving, key=lambda each: each.length)
    if low is high:
        return f"{low.wanted.key} serves"
    return f"{low.wanted.key} to {high.wanted.key} serve, {ranked[0].wanted.key} best"


def remedy(one: Choice) -> str:
    """What would serve instead of a tube that is too slender or too stout; '' for one that is neither."""
    blank = start.blank_design(one.wanted)
    design = replace(blank, tube=replace(blank.tube, length=one.length))
    return " ".join(advice.length_remarks(design))


def told(one: Choice) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is wrong with a choice, the worst first and with what would serve, and what is well; sentences."""
    instead = remedy(one)
    flaws = sorted(
        (each for each in one.aspects if each.grade != GRADES[0]), key=lambda each: -GRADES.index(each.grade)
    )
    wrong = [instead if instead and each.name == "slenderness" else each.words for each in flaws]
    well = [each.words for each in one.aspects if each.grade == GRADES[0] and each.name != "length"]
    return (*wrong, *filter(None, (node_words(one),))), tuple(well)


def node_words(one: Choice) -> str:
    """What to do where the cut meets a stretch to avoid; '' where it does not."""
    units = one.wanted.units
    for start_, end in one.wanted.avoid:
        if start_ - NODE <= one.length <= end + NODE:
            low, high = format_length(start_, units, unit=False), format_length(end, units)
            return (
                f"The foot of {one.wanted.key} falls on the stretch at {low} to {high}. If that is a node, "
                "saw beyond it and clear it to the full bore; or keep it as the foot with a hole in it "
                "(foot, under [tube]), which makes the flute shorter."
            )
    return ""


def _range_words(key: str, ranked: Sequence[Choice], good: tuple[float, float] | None, units: Units) -> str:
    if good is None:
        return f"No usual bore makes a flute in {key}: {ranked[0].reason}."
    best = ranked[0]
    span = bore_words(good[0], units)
    if good[0] != good[1]:
        span = f"{bore_words(good[0], units)} to {bore_words(good[1], units)}"
    how = {"good": "suits", "will do": "will do for", "poor": "may pass for"}[best.verdict]
    return f"A bore of {span} {how} {key}; best {bore_words(best.wanted.bore, units)}."


def bore_words(metres: float, units: Units) -> str:
    """A bore in both units: ``"5/8 in (15.9 mm)"``, ``"16 mm (5/8 in)"``; the other's nearest usual size."""
    inch = float(INCH)
    if units == "in":
        return f"{format_length(metres, 'in')} ({format_length(metres, 'mm')})"
    sixteenths = round(metres / inch * 16) * inch / 16
    near = "" if abs(sixteenths - metres) < 1e-5 else "about "
    return f"{metres * 1e3:g} mm ({near}{format_length(sixteenths, 'in')})"


def _up(metres: float, units: Units) -> str:
    """A least length, rounded up to what a ruler shows at a glance."""
    return _rounded(metres, units, up=True)


def _down(metres: float, units: Units) -> str:
    return _rounded(metres, units, up=False)


def _rounded(metres: float, units: Units, *, up: bool) -> str:
    step = {"mm": 1e-3 if metres > 0.05 else 5e-4, "in": float(INCH) / 16}[units]
    steps = round(metres / step, 6)
    whole = -(-steps // 1) if up else steps // 1
    return format_length(whole * step, units)
