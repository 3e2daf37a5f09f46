"""Rules of thumb for where holes go, laid out on the tube in hand and judged by the engine.

All are common practice, no source. Such a rule knows neither wall nor mouth, so what it gives is told as it
is: cents off the wished scale for every note, and the scale that comes nearest to what it does play.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.physics.arrays import Floats
from scaledesign.solver.limits import profile
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.by_eye import chosen_anew, finger_width, locked, worst_of
from scaledesign.workshop.played_as import cents_off, played
from scaledesign.workshop.suits import CARE, CLEAN

HALF = 0.5
"""Width of every hole over the bore in such a rule (common practice, no source)."""
TOP, LOWEST = 2 / 5, 4 / 5
"""Shares of the length at which the evenly spaced ones begin and end."""
GROWS = 1 / 4
"""Bores by which each pair is further apart than the one above."""
FIST = 4.0
"""Finger widths."""


@dataclass(frozen=True)
class Nearest:
    """The scale that comes nearest to what a layout plays from its lowest note."""

    name: str
    tonic: str
    worst: float
    """Cents, with its sign."""


@dataclass(frozen=True)
class Judged:
    """One rule on this tube."""

    name: str
    words: str
    design: Design
    """Places and widths by the rule, places locked."""
    cents: Floats
    """(R,) off each row's note; NaN for one without a pitch."""
    worst_row: int | None
    worst: float
    nearest: Nearest | None
    verdict: str
    """A sentence."""
    usable: bool
    """Whether it plays the wished scale or another one, at worst with care."""
    chosen_worst: float
    """Cents of the note furthest off once the widths are chosen anew for these places, to bits where they
    serve; ``worst`` where that does not help."""


def judged(design: Design, finger: float | None = None) -> tuple[Judged, ...]:
    """Every rule on this tube, the one nearest to the wished scale first.

    Parameters
    ----------
    design : Design
    finger : m, the maker's finger width; None: that of the design's hand

    Raises
    ------
    EditError
        for a flute without front holes, or what is no finger.
    UnknownNameError
    """
    front = _front(design)
    if not front:
        raise EditError("this flute has no holes in front", "lay it out first: scaledesign new")
    wide = finger_width(design, finger)
    made = [(name, words, _laid(design, front, rule(design, front, wide))) for name, words, rule in RULES]
    cents = cents_off(played([one for _, _, one in made]), ask.targets(design))
    found = [_judged(name, words, one, cents[n]) for n, (name, words, one) in enumerate(made)]
    return tuple(sorted(found, key=lambda one: abs(one.worst) if np.isfinite(one.worst) else np.inf))


def applies(design: Design) -> bool:
    """Whether there are holes that such a rule places."""
    return bool(_front(design))


def _front(design: Design) -> list[int]:
    """Holes that fingers cover in front, mouth to foot."""
    front = [i for i, h in enumerate(design.holes) if h.finger != "none" and h.finger[1] != "T"]
    return sorted(front, key=lambda i: design.holes[i].at)


def _laid(design: Design, front: Sequence[int], places: Sequence[float]) -> Design:
    """The rule's places and widths; a thumb's hole keeps its distance from the uppermost front hole."""
    wide = bit_set(design.shop.bits).nearest(HALF * profile(design.tube.bore, places[0]))
    shift = places[0] - design.holes[front[0]].at
    holes = list(design.holes)
    for i, at in zip(front, places, strict=True):
        holes[i] = replace(holes[i], at=round(at, 5), diameter=wide, across=None, locked=frozenset())
    for i, hole in enumerate(holes):
        if hole.finger != "none" and hole.finger[1] == "T":
            at = min(max(hole.at + shift, wide), design.tube.length - wide)
            holes[i] = replace(hole, at=round(at, 5), diameter=wide, across=None, locked=frozenset())
    return locked(replace(design, holes=tuple(holes)))


def _judged(name: str, words: str, design: Design, cents: Floats) -> Judged:
    row, worst = worst_of(design, cents)
    near = nearest_scale(design, cents)
    verdict, usable = verdict_of(design, row, worst, near)
    left = worst
    if row is not None and np.isfinite(worst) and abs(worst) > CLEAN:
        left = worst_of(design, chosen_anew(design, cents)[1])[1]
        if abs(left) < abs(worst) - 1:
            verdict += f" With widths chosen anew for these places: {abs(left):.0f} cents at worst."
    return Judged(name, words, design, cents, row, worst, near, verdict, usable, left)


def verdict_of(design: Design, row: int | None, worst: float, near: Nearest | None) -> tuple[str, bool]:
    """What a layout is worth, in a sentence, and whether it plays the wished scale or another one.

    Parameters
    ----------
    row, worst : the counted row (0-based) that is furthest off, and its cents
    near : the scale that comes nearest to what it plays
    """
    if row is None:
        return "No note counts here, so there is nothing to be in tune with.", False
    note = design.rows[row].note
    if not np.isfinite(worst):
        return f"Not in tune: {note} does not sound.", False
    off = f"worst note {note}, {abs(worst):.0f} cents {'sharp' if worst > 0 else 'flat'}"
    if abs(worst) <= CLEAN:
        return f"In tune as it is: {off}.", True
    if abs(worst) <= CARE:
        return f"Playable with care: {off}.", True
    if near is None:
        return f"Not in tune: {off}.", False
    other, within = f"{near.name} on {near.tonic}", f"{abs(near.worst):.0f} cents"
    if abs(near.worst) <= CARE:
        return f"Not your scale ({off}), but usable as its own: {other}, to within {within}.", True
    return f"Not in tune: {off}; nearest is {other}, {within} off.", False


def nearest_scale(design: Design, cents: Floats) -> Nearest | None:
    """The scale on the flute's tonic that its counted notes come nearest to, row for degree.

    A scale fits that has as many notes before it repeats as the flute's own. None where the lowest counted
    row is not the tonic, or a note has no pitch.
    """
    own, tuning = ask.scale_of(design), design.tuning
    tonic = parse_note(tuning.tonic)
    hertz = note_frequency(tonic, tuning.reference)
    target = np.array(ask.targets(design))
    rows = sorted(
        (i for i, row in enumerate(design.rows) if row.counts and row.register == 1 and row.role == "scale"),
        key=lambda i: target[i],
    )
    if not rows or not np.isfinite(cents[rows]).all():
        return None
    low = float(cents_off(target[rows[:1]], (hertz,))[0])
    if abs(low - round(low / own.period) * own.period) > 1.0:
        return None
    plays = cents_off(target[rows], (float(target[rows[0]]),)) + cents[rows]
    best: Nearest | None = None
    for scale in ask.offers().scales():
        if len(scale.cents) != len(own.cents) or scale.period != own.period:
            continue
        count = len(scale.cents)
        wanted = np.array([scale.cents[k % count] + scale.period * (k // count) for k in range(len(rows))])
        off = plays - wanted
        worst = float(off[int(np.abs(off).argmax())])
        if best is None or abs(worst) < abs(best.worst):
            best = Nearest(scale.name, tuning.tonic, worst)
    return best


# The rules: places in m from the sounding edge, mouth to foot

Rule = Callable[[Design, Sequence[int], float], list[float]]


def _even(design: Design, front: Sequence[int], finger: float) -> list[float]:
    length, last = design.tube.length, max(1, len(front) - 1)
    return [length * (TOP + (LOWEST - TOP) * k / last) for k in range(len(front))]


def _growing(design: Design, front: Sequence[int], finger: float) -> list[float]:
    length = design.tube.length
    bore = profile(design.tube.bore, length / 2)
    places = [TOP * length]
    for k in range(len(front) - 1):
        places.append(places[-1] + bore * (1 + GROWS * k))
    return _inside(design, places)


def _falling(design: Design, front: Sequence[int], finger: float) -> list[float]:
    at = design.tube.length - FIST * finger
    places = [at]
    for lower, upper in zip(reversed(front), reversed(front[:-1]), strict=False):
        other = design.holes[lower].finger[0] != design.holes[upper].finger[0]
        places.append(places[-1] - finger * (2.5 if other else 1.5))
    return _inside(design, places[::-1])


def _string(design: Design, front: Sequence[int], finger: float) -> list[float]:
    target = ask.targets(design)
    counted = [i for i, row in enumerate(design.rows) if row.counts and row.register == 1]
    low = min(target[i] for i in counted) if counted else 1.0
    letters = design.fingered()
    places: list[float] = []
    for hole in front:
        at = letters.index(hole)
        nearer = [letters.index(i) for i in front if design.holes[i].at < design.holes[hole].at]
        plays = [
            target[i]
            for i in counted
            if design.rows[i].holes[at] == "O" and all(design.rows[i].holes[k] == "X" for k in nearer)
        ]
        places.append(design.tube.length * low / min(plays) if plays else np.nan)
    return _filled(design, front, places)


def _filled(design: Design, front: Sequence[int], places: list[float]) -> list[float]:
    """Holes that no note of the scale opens go midway between their neighbours."""
    known = [k for k, at in enumerate(places) if np.isfinite(at)]
    if not known:
        return _even(design, front, 0.0)
    ends = [(-1, places[known[0]] * 0.9), (len(places), (places[known[-1]] + design.tube.length) / 2)]
    points = sorted([*((k, places[k]) for k in known), *ends])
    return [float(np.interp(k, [p[0] for p in points], [p[1] for p in points])) for k in range(len(places))]


def _twelfths(design: Design, front: Sequence[int], finger: float) -> list[float]:
    return [design.tube.length * (1 - (2 + k) / 12) for k in reversed(range(len(front)))]


def _inside(design: Design, places: list[float]) -> list[float]:
    """Places that would leave the tube drawn together until they are in it."""
    length = design.tube.length
    low, high = 0.1 * length, 0.95 * length
    first, last = places[0], places[-1]
    if first >= low and last <= high:
        return places
    start, end = max(first, low), min(last, high)
    return [start + (at - first) * (end - start) / max(last - first, 1e-9) for at in places]


_WORDS = {
    "evenly spaced": (
        "the uppermost at two fifths of the length from the sounding edge, the lowest at four fifths, the "
        "others evenly between"
    ),
    "a bore and growing": (
        "the uppermost at two fifths of the length, the next a bore's width below, each further pair a "
        "quarter of a bore wider"
    ),
    "fist and fingers": (
        "a fist of four fingers from the foot to the lowest, then a finger and a half from hole to hole, two "
        "and a half between the hands"
    ),
    "as on a string": "each at the part of the length where a string would be stopped for its note",
    "by twelfths": "the lowest at two twelfths of the length from the foot, then one every twelfth",
}
_PLACES: dict[str, Rule] = {
    "evenly spaced": _even,
    "a bore and growing": _growing,
    "fist and fingers": _falling,
    "as on a string": _string,
    "by twelfths": _twelfths,
}
RULES = tuple((name, _WORDS[name], _PLACES[name]) for name in _WORDS)
"""Name, words and places; every hole half as wide as the bore."""
