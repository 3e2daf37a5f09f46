"""A pattern flute carried to another tube, key, scale or hand, its character kept as far as physics allows.

Character is what a maker's eye and fingers know a flute by: how wide each hole is for the bore, how evenly
the holes lie, how it is fingered, how its mouth is cut. So the new flute begins as the pattern in proportion,
and only what the notes and the rules of shop and hand ask for moves from there. What moved, and why, is said
in ``carry_words``.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from math import hypot
from statistics import median

import numpy as np

from scaledesign.errors import EditError, NoPitchError
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Hole, Learned, Station, Tube, Voicing
from scaledesign.model.hands import hand as hand_named
from scaledesign.model.pitch import cents_between, parse_note, reading_frequency
from scaledesign.model.scale import retuned_rows
from scaledesign.model.tube_words import TubeSize
from scaledesign.physics.arrays import Floats
from scaledesign.solver import solution as solving
from scaledesign.solver.layout import (
    DRIFT_AT,
    DRIFT_DIAMETER,
    DRIFT_LENGTH,
    MM,
    WISH_SPACING,
    Task,
    Wish,
    fit,
)
from scaledesign.solver.limits import Geometry, Limit, bits_allowed, geometry_of, limits_of, room
from scaledesign.solver.problem import problem_of, voicing_of
from scaledesign.solver.solution import Solution, hands_of, with_geometry
from scaledesign.solver.verdict import BROKEN, KINDS
from scaledesign.values import dataclass
from scaledesign.workshop import ask, start
from scaledesign.workshop.asked import Asked
from scaledesign.workshop.beside import retuned
from scaledesign.workshop.calibration import learn
from scaledesign.workshop.readings import readings_of
from scaledesign.workshop.variants import Worth, worth_of

ANOTHER_MOUTH = 0.5
"""A mouth cut after one that was heard is so many times as far off as one that is only reckoned (common
practice, no source)."""
NEAR_ENOUGH = 1.0
"""Cents off within which the holes are left as wide as in proportion."""


@dataclass(frozen=True)
class Other:
    """What is to be otherwise than in the pattern; what is left alone stays as it is."""

    tube: TubeSize | None = None
    avoid: tuple[tuple[float, float], ...] = ()
    """m, from the sounding edge, where the new tube takes no hole."""
    key: str = ""
    scale: str = ""
    reference: float | None = None
    """Hz of A4."""
    hand: str = ""
    as_it_plays: bool = False
    """Whether what the pattern was read to be off its notes belongs to it: its intervals, not its pitch."""
    name: str = ""


@dataclass(frozen=True)
class Carried:
    """The pattern, and the flute that was made of it."""

    pattern: Design
    """As its readings have it."""
    solution: Solution
    grown: float
    """New bore over old, at the head."""
    ideal: Geometry
    """The layout that keeps every width in proportion, whatever shop and hand say."""
    broken: tuple[Limit, ...]
    """Rules that would break."""
    stayed: tuple[int, ...]
    """Rows (0-based) that have no note in the new tuning, and kept their own."""
    own_fingerings: bool
    """Whether the pattern's fingerings were kept."""
    heard: bool
    """Whether the pattern's mouth is known from readings."""
    worth: tuple[Worth, Worth]
    """What the pattern is worth, and what came of it."""

    @property
    def design(self) -> Design:
        """The new flute."""
        return self.solution.design


def carried(pattern: Design, want: Other) -> Carried:
    """The pattern made anew of another tube, in another key or scale, for another hand.

    Parameters
    ----------
    pattern : Design, measured; readings that it holds are learnt from first
    want : what is to be otherwise

    Raises
    ------
    UnknownNameError, QuantityError, EditError, NoPitchError
    """
    if not pattern.rows or not pattern.holes:
        raise EditError(
            "There is nothing to carry over", "give the pattern its holes, and a row for each note"
        )
    pattern = _known(pattern)
    grown = want.tube.bore / pattern.tube.bore[0].value if want.tube else 1.0
    design, stayed, own = _in_other_tuning(_in_other_tube(pattern, want, grown), want)
    target = ask.targets(design)
    root = _lowest(target, design)
    length = start.require_a_flute(design, root)
    stretch = _stretch(pattern, design, length)
    design = replace(design, tube=replace(design.tube, length=length))
    places = _places(pattern, design, stretch)
    ideal = _ideal(design, target, Geometry(places, geometry_of(design).diameter, length), stretch, pattern)
    laid = with_geometry(design, ideal)
    broken = tuple(limit for limit in limits_of(laid, ideal) if room(limit, ideal) < -BROKEN)
    solution = _solved(laid, target, character(pattern, ideal, stretch), broken)
    worth = (worth_of(pattern), worth_of(solution.design, solution.prediction))
    return Carried(
        pattern, ask.told(solution), grown, ideal, broken, stayed, own, pattern.voicing.calibrated, worth
    )


def _known(pattern: Design) -> Design:
    """The pattern as its readings have it."""
    if pattern.voicing.calibrated or pattern.instrument.mouth == "open" or not readings_of(pattern):
        return pattern
    return learn(pattern, pattern).design


def _in_other_tube(pattern: Design, want: Other, grown: float) -> Design:
    """The pattern in proportion to the new bore: nothing is drilled, nothing read, nothing locked."""
    learned = pattern.learned if pattern.voicing.calibrated else Learned()
    tube = pattern.tube
    if want.tube is None:
        bore = tuple(replace(s, value=s.value + learned.bore) for s in tube.bore)
        wall = tuple(replace(s, value=s.value + learned.wall) for s in tube.wall)
        new = replace(tube, bore=_fine(bore), wall=_fine(wall), blank=None)
    else:
        size = want.tube
        new = Tube(
            tube.length, (Station(0.0, size.bore),), (Station(0.0, size.wall),), tube.foot,
            blank=size.length, chamber=tube.chamber,
        )  # fmt: skip
        if new.foot.diameter is not None:
            new = replace(new, foot=replace(new.foot, diameter=new.foot.diameter * grown))
    thicker = new.wall[0].value / tube.wall[0].value
    new = replace(new, locked=False, avoid=want.avoid)
    shop = replace(pattern.shop, hand=want.hand) if want.hand else pattern.shop
    hand_named(shop.hand)
    units = want.tube.units if want.tube else pattern.units
    design = replace(
        pattern,
        name=want.name or (f"After {pattern.name}" if pattern.name else ""),
        units=units,
        tube=new,
        shop=shop,
        learned=Learned(),
        rows=tuple(
            replace(row, measured="", cents=cents)
            for row, cents in zip(pattern.rows, _habits(pattern, want), strict=True)
        ),
        log=(),
        holes=tuple(_hole(hole, grown, thicker) for hole in pattern.holes),
        text=None,
    )
    return replace(design, voicing=_mouth(pattern, design, grown))


def _fine(stations: tuple[Station, ...]) -> tuple[Station, ...]:
    return tuple(replace(each, value=round(each.value, 5)) for each in stations)


def _hole(hole: Hole, grown: float, thicker: float) -> Hole:
    return replace(
        hole,
        diameter=hole.diameter * grown,
        across=None if hole.across is None else hole.across * grown,
        undercut=hole.undercut * grown,
        wall=None if hole.wall is None else hole.wall * thicker,
        drilled=False,
        locked=frozenset(),
    )


def _habits(pattern: Design, want: Other) -> tuple[float, ...]:
    """Cents that each row is wanted off its note; as it plays, beside what the whole flute is off."""
    stated = tuple(row.cents for row in pattern.rows)
    if not want.as_it_plays:
        return stated
    targets, reference = ask.targets(pattern), pattern.tuning.reference
    off = {
        i: cents_between(targets[i], reading_frequency(row.measured, reference))
        for i, row in enumerate(pattern.rows)
        if row.measured
    }
    counted = [off[i] for i in off if pattern.rows[i].counts]
    whole = float(median(counted)) if counted else 0.0
    return tuple(float(round(cents + off.get(i, whole) - whole)) for i, cents in enumerate(stated))


def _mouth(pattern: Design, design: Design, grown: float) -> Voicing:
    """The pattern's mouth in proportion, adding as much more or less than reckoned as the pattern's does."""
    was = pattern.voicing
    window, hole = was.window, was.embouchure
    if window is not None:
        sizes = ("length", "width", "wall", "flue_length", "flue_height")
        window = replace(window, **_times(window, sizes, grown))
    if hole is not None:
        hole = replace(hole, **_times(hole, ("length", "width"), grown))
    new = replace(was, window=window, embouchure=hole, cavity=was.cavity * grown, calibrated=False)
    if was.added_length is None or pattern.instrument.mouth == "open":
        return new
    bare = replace(was, added_length=None, uncertainty=None, drift=0.0, calibrated=False)
    reckoned = voicing_of(replace(pattern, voicing=bare, learned=Learned()))
    anew = voicing_of(replace(design, voicing=replace(new, added_length=None, uncertainty=None, drift=0.0)))
    times = anew.added_length / reckoned.added_length
    added = was.added_length * times
    known = (was.uncertainty if was.uncertainty is not None else reckoned.uncertainty) * times
    doubt = hypot(known, ANOTHER_MOUTH * anew.uncertainty) if was.calibrated else known
    return replace(
        new,
        added_length=round(added, 5),
        uncertainty=round(min(doubt, max(anew.uncertainty, known)), 5),
        drift=round(was.drift * times**3, 7) + 0.0,
    )


def _times(part: object, names: tuple[str, ...], grown: float) -> dict[str, float]:
    found = {name: getattr(part, name) for name in names}
    return {name: round(value * grown, 5) for name, value in found.items() if value is not None}


def _in_other_tuning(design: Design, want: Other) -> tuple[Design, tuple[int, ...], bool]:
    """With its rows in the new key and scale, those that have no note there, and whether fingered alike."""
    own = ask.scale_of(design)
    before = design.rows
    stayed: tuple[int, ...] = ()
    if want.scale:
        tonic = parse_note(want.key or design.tuning.tonic)
        design, stayed = retuned(design, own, Asked(ask.offers().scale(want.scale), tonic))
    elif want.key:
        tuning = replace(design.tuning, tonic=parse_note(want.key).name)
        rows, stayed = retuned_rows(design, own, ask.offers().scale_of(tuning), tuning)
        design = replace(design, tuning=tuning, rows=rows)
    if want.reference is not None:
        design = replace(design, tuning=replace(design.tuning, reference=want.reference))
    fingerings = [(row.holes, row.register) for row in design.rows]
    return design, stayed, fingerings == [(row.holes, row.register) for row in before]


def _stretch(pattern: Design, design: Design, length: float) -> float:
    """How many times as long the sounding length is."""
    old = pattern.tube.length + voicing_of(pattern).added_length
    return (length + voicing_of(design).added_length) / old


def _places(pattern: Design, design: Design, stretch: float) -> Floats:
    """Where each hole is in proportion to the sounding length, m."""
    old, new = voicing_of(pattern).added_length, voicing_of(design).added_length
    at = np.array([hole.at for hole in pattern.holes])
    return np.asarray((at + old) * stretch - new)


def character(pattern: Design, ideal: Geometry, stretch: float) -> Wish:
    """Prefer widths in proportion, spacing as even as the pattern's, and places as they would be."""
    count = len(ideal.at)
    weight = np.array([0.1 * DRIFT_AT] * count + [DRIFT_DIAMETER] * count + [0.1 * DRIFT_LENGTH]) / MM
    rows, values = [np.diag(weight)], [weight * ideal.u]
    was = geometry_of(pattern).at
    bend = np.array([1.0, -2.0, 1.0])
    for hand in hands_of(pattern):
        for three in zip(hand, hand[1:], hand[2:], strict=False):
            row = np.zeros((1, 2 * count + 1))
            row[0, list(three)] = WISH_SPACING / MM * bend
            rows.append(row)
            values.append(np.array([WISH_SPACING / MM * float(bend @ was[list(three)]) * stretch]))
    return Wish(np.vstack(rows), np.concatenate(values))


def _ideal(
    design: Design, target: tuple[float, ...], near: Geometry, stretch: float, pattern: Design
) -> Geometry:
    """The layout in which every hole is as wide as in proportion, as if there were no rule."""
    problem = problem_of(design, target, ask.secondary(design))
    free = np.array([True] * len(near.at) + [False] * len(near.at) + [True])
    task = Task(design, problem, free, without=frozenset(KINDS))
    return fit(task, near, character(pattern, near, stretch)).geometry


def _solved(laid: Design, target: tuple[float, ...], wish: Wish, broken: tuple[Limit, ...]) -> Solution:
    """Places and foot alone where that will do, every hole the nearest bit to its proportion.

    Where it will not, the holes that a rule concerns may become wider or narrower, then all.
    """
    extra = ask.secondary(laid)
    concerned = {hole for limit in broken for hole in limit.holes}
    every = set(range(len(laid.holes)))
    for free in (set(), concerned) if concerned and concerned != every else (set(),):
        held = solving.solve(_held(laid, every - free), target, extra=extra, wish=wish)
        held = replace(held, design=_unlocked(held.design))
        if _good(held):
            return held
    try:
        return solving.solve(laid, target, extra=extra, wish=wish)
    except NoPitchError:
        return held


def _held(laid: Design, held: set[int]) -> Design:
    """Some holes as wide as in proportion, to the nearest bit they may have, and no other."""
    holes = list(laid.holes)
    for i in held:
        hole, wide = holes[i], holes[i].diameter
        bits = bits_allowed(laid, hole, hole.at)
        bit = min(bits, key=partial(_apart, wide), default=wide)
        across = None if hole.across is None else hole.across * bit / hole.diameter
        holes[i] = replace(hole, diameter=bit, across=across, locked=frozenset(("diameter",)))
    return replace(laid, holes=tuple(holes))


def _apart(wide: float, bit: float) -> float:
    return abs(bit - wide)


def _good(solution: Solution) -> bool:
    off = np.abs(solution.prediction.cents[[i for i, row in enumerate(solution.design.rows) if row.counts]])
    now = geometry_of(solution.design)
    kept = all(room(limit, now) > -BROKEN for limit in limits_of(solution.design, now))
    return bool(kept and not solution.obstacles and (off < NEAR_ENOUGH).all())


def _unlocked(design: Design) -> Design:
    return replace(design, holes=tuple(replace(hole, locked=frozenset()) for hole in design.holes))


def own_key(pattern: Design, grown: float) -> float:
    """Hz of the lowest note of the pattern with everything ``grown`` so many times."""
    return _lowest(ask.targets(pattern), pattern) / grown


def _lowest(targets: tuple[float, ...], design: Design) -> float:
    """Hz of the lowest note that is not overblown."""
    low = [target for target, row in zip(targets, design.rows, strict=True) if row.register == 1]
    if not low:
        raise EditError("Every row of the pattern is overblown", "add the row of its lowest note")
    return min(low)


def in_proportion(found: Carried, hole: int) -> float:
    """m: how wide a hole would be in proportion, to the nearest bit there is."""
    bits = bit_set(found.design.shop.bits)
    return bits.nearest(found.pattern.holes[hole].diameter * found.grown)
