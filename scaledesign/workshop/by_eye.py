"""A layout without a tape: every hole at the nearest fold of a cord, finger width or width of the bore.

Apart from solving: the marks are few and the holes go to them; what each rounding costs is played by the
engine, each hole alone and all together, in one batch. Rules that know no flute are in ``rules_of_thumb``.
Folding, finger widths and bore widths as measures are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

import numpy as np

from scaledesign.errors import EditError, NoPitchError
from scaledesign.model.document import Design, Hole
from scaledesign.model.hands import hand
from scaledesign.model.saying import hole_words
from scaledesign.model.units import format_length
from scaledesign.physics.arrays import Floats
from scaledesign.solver.limits import profile
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.played_as import cents_off, played

Way = Literal["cord", "two folds", "fingers", "bore"]
WAYS: tuple[Way, ...] = ("cord", "two folds", "fingers", "bore")
FOLDS = {
    2: "in half", 3: "in thirds", 4: "in half twice", 6: "in thirds, then in half", 8: "in half three times",
    9: "in thirds twice", 12: "in thirds, then in half twice", 16: "in half four times",
}  # fmt: skip
"""Parts that a cord is folded into, and how."""
SECOND = (8, 9, 12, 16)
"""Parts of which one is laid off from another fold's mark."""
SAME = 2e-4
"""m within which of two marks the simpler one is taken."""
PARTS: dict[Way, int] = {"fingers": 2, "bore": 4}
"""Into how many parts a finger's width is judged, and a stick as wide as the bore is marked."""
FINGERS = (0.005, 0.05)
"""m: widths that a finger may have (proposed here, no source)."""
BESIDE = 60.0
"""Degrees around the tube from which two holes may share a mark."""


@dataclass(frozen=True)
class Mark:
    """A place that can be found without a tape."""

    at: float
    """m from the sounding edge."""
    words: str
    """From the foot: ``"5/12 of the cord"``."""
    steps: int = 0
    """Half finger widths, or quarters of the bore, from the foot; 0 for a cord."""
    folds: tuple[int, ...] = ()
    """Parts that the cord is folded into."""


@dataclass(frozen=True)
class Rounded:
    """One hole at its mark."""

    hole: int
    """0-based."""
    mark: Mark | None
    """None for one that is drilled or locked, and stays."""
    shift: float
    """m toward the foot."""
    cents: Floats
    """(R,) what moving this hole alone does to each row."""


@dataclass(frozen=True)
class Layout:
    """All holes by one way of measuring."""

    way: Way
    measure: float
    """m: the cord's length, a finger's width, the bore's."""
    holes: tuple[Rounded, ...]
    """In the order of the design."""
    design: Design
    """Places rounded and locked, widths as they were."""
    cents: Floats
    """(R,) off each row's note."""
    chosen: Design
    """The same places with widths chosen anew, to bits where they serve."""
    chosen_cents: Floats
    """(R,)"""

    def worst(self, *, chosen: bool = False) -> tuple[int | None, float]:
        """The counted row (0-based) that is furthest off, and its cents."""
        return worst_of(self.design, self.chosen_cents if chosen else self.cents)


def worst_of(design: Design, cents: Floats) -> tuple[int | None, float]:
    """The counted row (0-based) that is furthest off, and its cents; NaN for one that has no pitch."""
    rows = [i for i, row in enumerate(design.rows) if row.counts]
    if not rows:
        return None, 0.0
    worst = max(rows, key=lambda i: abs(cents[i]) if np.isfinite(cents[i]) else np.inf)
    return worst, float(cents[worst])


def layouts(design: Design, ways: Sequence[Way] = WAYS, finger: float | None = None) -> tuple[Layout, ...]:
    """The design's holes by each way of measuring.

    Parameters
    ----------
    design : Design
    ways : which
    finger : m, the maker's finger width; None: that of the design's hand

    Raises
    ------
    EditError
        for what is no finger.
    UnknownNameError, NoPitchError
    """
    target = ask.targets(design)
    measures = {way: measure_of(design, way, finger) for way in ways}
    marked = {way: _marked(design, way, measures[way]) for way in ways}
    versions = [design]
    for way in ways:
        made = [_placed(design, [mark if i == n else None for i, mark in enumerate(marked[way])])
                for n in range(len(design.holes))]  # fmt: skip
        versions += [*made, _placed(design, marked[way])]
    cents = cents_off(played(versions), target)
    found = []
    count = len(design.holes)
    for place, way in enumerate(ways):
        first = 1 + place * (count + 1)
        rounded = tuple(
            Rounded(
                i,
                mark,
                0.0 if mark is None else mark.at - design.holes[i].at,
                cents[first + i] - cents[0],
            )
            for i, mark in enumerate(marked[way])
        )
        placed = locked(versions[first + count])
        now = cents[first + count]
        chosen, then = chosen_anew(placed, now)
        found.append(Layout(way, measures[way], rounded, placed, now, chosen, then))
    return tuple(found)


def chosen_anew(placed: Design, now: Floats) -> tuple[Design, Floats]:
    """The places kept and widths chosen anew, where that brings the worst note nearer."""
    try:
        solution = ask.solve(placed)
    except NoPitchError:
        return placed, now
    then = solution.prediction.cents
    before, after = abs(worst_of(placed, now)[1]), abs(worst_of(placed, then)[1])
    return (placed, now) if after >= before else (solution.design, then)


def measure_of(design: Design, way: Way, finger: float | None) -> float:
    """What is laid off, m: the cord as long as the tube, a finger's width, the bore's at the foot."""
    if way == "fingers":
        return finger_width(design, finger)
    return design.tube.length if way != "bore" else profile(design.tube.bore, design.tube.length)


def finger_width(design: Design, finger: float | None) -> float:
    """m: the maker's own, or that of the design's hand.

    Raises
    ------
    EditError
        for what is no finger.
    """
    wide = hand(design.shop.hand).pad if finger is None else finger
    if not FINGERS[0] <= wide <= FINGERS[1]:
        least, most = (format_length(each, design.units) for each in FINGERS)
        raise EditError(
            f"No finger is {format_length(wide, design.units)} wide", f"give a width from {least} to {most}"
        )
    return wide


def locked(design: Design) -> Design:
    """The design with every hole, and the foot, locked where it is; widths stay free."""
    holes = tuple(replace(hole, locked=hole.locked | {"at"}) for hole in design.holes)
    return replace(design, holes=holes, tube=replace(design.tube, locked=True))


def _placed(design: Design, marks: Sequence[Mark | None]) -> Design:
    holes = tuple(
        hole if mark is None else replace(hole, at=mark.at)
        for hole, mark in zip(design.holes, marks, strict=True)
    )
    return replace(design, holes=holes)


def _marked(design: Design, way: Way, measure: float) -> list[Mark | None]:
    """The nearest free mark of every hole, foot upward."""
    marks = tuple(_marks(design, way, measure))
    taken = [(h.at, h) for h in design.holes if h.drilled or "at" in h.locked]
    found: list[Mark | None] = [None] * len(design.holes)
    for i in sorted(range(len(design.holes)), key=lambda i: -design.holes[i].at):
        hole = design.holes[i]
        if hole.drilled or "at" in hole.locked:
            continue
        free = [m for m in marks if all(_apart(design, (m.at, hole), each) for each in taken)]
        if not free:
            continue
        miss = min(abs(m.at - hole.at) for m in free)
        mark = next(m for m in free if abs(m.at - hole.at) <= miss + SAME)  # the simplest comes first
        taken.append((mark.at, hole))
        found[i] = mark
    return found


def _apart(design: Design, one: tuple[float, Hole], other: tuple[float, Hole]) -> bool:
    """Whether two holes at their marks keep wood and room for two fingers, as far as they had it before."""
    (at, hole), (beside, below) = one, other
    turn = abs(hole.side - below.side) % 360.0
    if min(turn, 360.0 - turn) > BESIDE:
        return True
    least = (hole.diameter + below.diameter) / 2 + design.shop.wood
    if "none" not in (hole.finger, below.finger):
        least = max(least, hand(design.shop.hand).pad)
    return abs(at - beside) >= min(least, abs(hole.at - below.at)) - SAME and (at < beside) == (
        hole.at < below.at
    )


def _marks(design: Design, way: Way, measure: float) -> Iterator[Mark]:
    """Every mark inside the tube, the simplest first."""
    length = design.tube.length
    if way in PARTS:
        step = measure / PARTS[way]
        for n in range(1, int(length / step)):
            yield Mark(round(length - n * step, 6), steps_words(n, way), steps=n)
        return
    shares: dict[Fraction, tuple[str, tuple[int, ...]]] = {}
    for parts in FOLDS:
        for n in range(1, parts):
            share = Fraction(n, parts)
            shares.setdefault(share, (_share(share), (share.denominator,)))
    if way == "two folds":
        for share, (words, folds) in list(shares.items()):
            for parts in SECOND:
                for sign, said in ((1, "and"), (-1, "less")):
                    other = share + sign * Fraction(1, parts)
                    if 0 < other < 1 and parts != folds[0]:
                        shares.setdefault(other, (f"{words} {said} 1/{parts}", (*folds, parts)))
    for share, (words, folds) in shares.items():
        yield Mark(round(length * float(1 - share), 6), words, folds=folds)


def _share(share: Fraction) -> str:
    return (
        "half the cord" if share == Fraction(1, 2) else f"{share.numerator}/{share.denominator} of the cord"
    )


def steps_words(steps: int, way: Way) -> str:
    """``"3 1/2 fingers"``, ``"1 1/4 bores"``, ``"half a finger"``."""
    whole, rest = divmod(Fraction(steps, PARTS[way]), 1)
    name = {"fingers": "finger", "bore": "bore"}[way]
    if not whole:
        return f"half a {name}" if rest == Fraction(1, 2) else f"{rest} of a {name}"
    number = f"{whole} {rest}" if rest else str(whole)
    return f"{number} {name}{'' if number == '1' else 's'}"


def how_to(design: Design, found: Layout) -> tuple[str, ...]:
    """What to do, foot upward, a line each; no ruler is asked for."""
    order = [(each.mark, each.hole) for each in found.holes if each.mark]
    order.sort(key=lambda one: (-one[0].at, -design.holes[one[1]].at))
    lines = list(_begin(found.way, [mark for mark, _ in order]))
    below = 0
    for mark, place in order:
        hole = design.holes[place]
        who = hole_words(place, hole.finger)
        behind = " behind" if 90 < hole.side % 360 < 270 else ""
        if found.way in PARTS:
            start = "From the foot go up" if not below else "From there"
            lines.append(f"{start} {steps_words(mark.steps - below, found.way)}: {who}{behind}.")
            below = mark.steps
        else:
            lines.append(f"At {mark.words}, from the foot: {who}{behind}.")
    stay = [each.hole + 1 for each in found.holes if each.mark is None]
    if stay:
        many = len(stay) > 1
        lines.append(
            f"{'Holes' if many else 'Hole'} {', '.join(map(str, stay))} {'are' if many else 'is'} made or "
            f"locked, and {'stay' if many else 'stays'}."
        )
    return tuple(lines)


def _begin(way: Way, marks: Sequence[Mark]) -> Iterator[str]:
    if way == "fingers":
        yield "Lay your fingers side by side on the tube: the width of one is the measure."
    elif way == "bore":
        yield "Cut a stick just as long as the bore is wide at the foot, and mark its half and its quarters."
    else:
        yield "Cut a cord just as long as the tube from the sounding edge to the foot; lay it along the tube."
        used = {parts for mark in marks for parts in mark.folds}
        parts = sorted(n for n in used if not any(n < other and other % n == 0 for other in used))
        folded = "; ".join(f"{FOLDS[n]} for {_ordinal(n)}" for n in parts if n in FOLDS)
        if folded:
            yield f"Fold it {folded}; mark every fold."


def _ordinal(parts: int) -> str:
    names = {2: "halves", 3: "thirds", 4: "quarters", 6: "sixths", 8: "eighths", 9: "ninths"}
    return names.get(parts, {12: "twelfths", 16: "sixteenths"}.get(parts, f"{parts} parts"))


NAMES: dict[Way, str] = {
    "cord": "a folded cord", "two folds": "a cord, two folds together", "fingers": "finger widths",
    "bore": "widths of the bore",
}  # fmt: skip


def serves_best(found: Sequence[Layout], *, others: bool = True) -> str:
    """Which way is best for this flute, in a sentence; ``others``: and how the others fare."""
    ranked = sorted(found, key=lambda one: (round(abs(one.worst()[1])), WAYS.index(one.way)))
    best = ranked[0]
    if best.worst()[0] is None:
        return "No note counts on this flute, so one way serves as well as another."
    then = abs(best.worst(chosen=True)[1])
    rest = ", ".join(f"{NAMES[one.way]} {abs(one.worst()[1]):.0f}" for one in ranked[1:])
    verb, whose = ("serve", "their") if best.way in PARTS else ("serves", "its")
    worst = f"{abs(best.worst()[1]):.0f} cents off"
    said = f"{NAMES[best.way].capitalize()} {verb} best here: {whose} worst note is {worst}"
    if then < abs(best.worst()[1]) - 1:
        said += f", {then:.0f} once the widths are chosen anew"
    return f"{said}{f' (the others: {rest})' if others and rest else ''}."
