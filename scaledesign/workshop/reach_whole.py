"""Remedies for the whole flute, or for the hands: other fingers, holes anew, another bore, another key.

Apart from those for one misfit (``reach_single``), and from ``reach_remedies``, which plays and ranks all of
them. Here they are drafted: a design and what to do, nothing said yet of what it is worth.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import cast

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.model.document import Design, Finger, Hand, Hole
from scaledesign.model.hands import flat_fingers, hand
from scaledesign.model.units import format_length
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.reach import HAIR, Misfit, misfits

BORES = (0.88, 1.14)
"""Shares of the bore that are tried for another tube."""
BETTER = 3.0
"""Cents by which another bore has to be better than this one, laid out anew, to be worth telling."""
HIGHEST = 12
"""Semitones that a flute may be made higher or lower for a hand."""


@dataclass(frozen=True)
class Draft:
    """A remedy that has not been played."""

    kind: str
    words: str
    holes: tuple[int, ...]
    design: Design
    row: int | None = None


def fixed(hole: Hole) -> bool:
    """Whether a hole can be moved no more: it is drilled, or locked where it is."""
    return hole.drilled or "at" in hole.locked


def whole_flute(design: Design, counted: Sequence[int], found: Sequence[Misfit]) -> Iterator[Draft]:
    """Every remedy for the whole flute, or for the hands, not yet played.

    Parameters
    ----------
    design : Design
    counted : rows (0-based) that have to be in tune
    found : what does not fit
    """
    yield from _other_fingers(design)
    own = hand(design.shop.hand)
    flat = flat_fingers(own)
    yield Draft("flat fingers", _flat_words(design, flat), (), _with_hand(design, flat))
    anew = _anew(design)
    if anew is not None:
        yield Draft("anew", "Lay all holes out anew for this hand; widths and places give way.", (), anew)
    if any(fixed(hole) for hole in design.holes) or design.tube.locked:
        return
    yield from _other_bore(design, counted, anew)
    yield from _other_key(design, found)


def _with_hand(design: Design, own: Hand) -> Design:
    return replace(design, shop=replace(design.shop, hand=own))


def _flat_words(design: Design, flat: Hand) -> str:
    spreads = ", ".join(format_length(each, design.units, unit=False) for each in flat.spread)
    return (
        f"Lay the fingers flat, as pipers do: they then spread about {spreads} {design.units} and cover "
        "holes about 1 mm wider (common practice, no source). Try it on the tube first."
    )


def _anew(design: Design) -> Design | None:
    """Solved for this hand, what is drilled left alone; None where nothing comes of it."""
    holes = tuple(
        replace(hole, locked=hole.locked | {"at", "diameter"}) if hole.drilled else hole
        for hole in design.holes
    )
    solved = _solved(replace(design, holes=holes))
    if solved is None:
        return None
    kept = zip(solved.holes, design.holes, strict=True)
    solved = replace(solved, holes=tuple(replace(new, locked=was.locked) for new, was in kept))
    return None if solved.holes == design.holes else solved


def _other_fingers(design: Design) -> Iterator[Draft]:
    """The same holes for other fingers; the one that breaks least of the hand's rules, if it helps."""
    front = [i for i, h in enumerate(design.holes) if h.finger != "none" and h.finger[1] != "T"]
    front.sort(key=lambda i: design.holes[i].at)
    if not 2 <= len(front) <= 8:
        return
    now = tuple(design.holes[i].finger for i in front)
    best: tuple[float, int, tuple[Finger, ...]] | None = None
    for upper in range(max(0, len(front) - 4), min(4, len(front)) + 1):
        for left in combinations(range(1, 5), upper):
            for right in combinations(range(1, 5), len(front) - upper):
                names = cast(tuple[Finger, ...], (*(f"L{n}" for n in left), *(f"R{n}" for n in right)))
                short = sum(one.by for one in misfits(_fingered(design, front, names)))
                changed = sum(a != b for a, b in zip(now, names, strict=True))
                if best is None or (short, changed) < best[:2]:
                    best = (short, changed, names)
    if best is None or best[1] == 0:
        return
    if best[0] >= sum(one.by for one in misfits(design)) - HAIR:
        return
    said = ", ".join(
        f"hole {i + 1} with {name}"
        for i, name, was in zip(front, best[2], now, strict=True)
        if name != was
    )  # fmt: skip
    little = (
        " A little finger is short and weak." if any(n[1] == "4" for n in set(best[2]) - set(now)) else ""
    )
    words = f"Cover them with other fingers: {said}.{little}"
    yield Draft("fingers", words, (), _fingered(design, front, best[2]))


def _fingered(design: Design, front: Sequence[int], names: Sequence[Finger]) -> Design:
    holes = list(design.holes)
    for i, name in zip(front, names, strict=True):
        holes[i] = replace(holes[i], finger=name)
    return replace(design, holes=tuple(holes))


def _other_bore(design: Design, counted: Sequence[int], anew: Design | None) -> Iterator[Draft]:
    """A tube of another bore, if one is clearly better than this one laid out anew."""
    least = _worst(counted, anew or design) - BETTER
    if least < 0:
        return
    best: Design | None = None
    for share in BORES:
        stations = tuple(
            replace(s, value=round(s.value * share, 4), across=None if s.across is None else s.across * share)
            for s in design.tube.bore
        )
        solved = _solved(replace(design, tube=replace(design.tube, bore=stations)))
        if solved is not None and not misfits(solved) and _worst(counted, solved) < least:
            best, least = solved, _worst(counted, solved)
    if best is not None:
        wide = format_length(best.tube.bore[0].value, design.units)
        words = f"Take a tube with a bore of {wide} at the mouth instead, laid out for this hand."
        yield Draft("bore", words, (), best)


def _solved(design: Design) -> Design | None:
    """Laid out; None where a note has no pitch there, so that it is no remedy."""
    try:
        return ask.solve(design).design
    except NoPitchError:
        return None


def _worst(counted: Sequence[int], design: Design) -> float:
    off = np.abs(ask.predict(design).cents[list(counted)])
    return float(off.max(initial=0.0))


def _other_key(design: Design, found: Sequence[Misfit]) -> Iterator[Draft]:
    """The same flute in the nearest key in which it lies under the hand, its holes solved there."""
    from scaledesign.model.edits import Retune
    from scaledesign.model.pitch import note_frequency, parse_note
    from scaledesign.model.spelling import tuner_note

    far, close = (any(one.what == what for one in found) for what in ("too far", "too close"))
    if far == close:
        return
    tuning, scale = design.tuning, ask.scale_of(design)
    tonic = note_frequency(parse_note(tuning.tonic), tuning.reference)
    worst = max(_ratio(design, one) for one in found if one.what != "too wide")
    first = max(1, round(12 * np.log2(worst)))
    for steps in range(first, min(first + 3, HIGHEST) + 1):
        ratio = 2.0 ** (steps / 12 if far else -steps / 12)
        name = tuner_note(design, tonic * ratio)[0].name
        edit = Retune(replace(tuning, tonic=name), scale, scale)
        other = edit._change(replace(design, log=()))
        other = replace(
            other,
            tube=replace(other.tube, length=design.tube.length / ratio, avoid=(), blank=None),
            holes=tuple(replace(hole, at=hole.at / ratio) for hole in other.holes),
            rows=tuple(replace(row, measured="") for row in other.rows),
        )
        solved = _solved(other)
        if solved is not None and not misfits(solved):
            words = (
                f"Make it in {name} instead, {steps} semitone{'s' if steps > 1 else ''} "
                f"{'higher' if far else 'lower'}: {format_length(solved.tube.length, design.units)} long."
            )
            yield Draft("key", words, (), solved)
            return


def _ratio(design: Design, one: Misfit) -> float:
    """How much shorter (or longer) a flute has to be for one misfit to go."""
    apart = abs(design.holes[one.holes[0]].at - design.holes[one.holes[-1]].at)
    if one.what == "too far":
        return apart / max(apart - one.by, 1e-3)
    return (apart + one.by) / max(apart, 1e-3)
