"""What to do where a hand cannot cover a flute: each remedy with its cents, ranked.

A remedy is a whole design that was played by the engine: what every row does is exact for it, nothing is
estimated from slopes. Apart from ``reach``, which finds what is too far; what other things stay still is said
in ``kept_note``. Which remedy is easier on maker and player is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import asin, atan, ceil, degrees, radians, sqrt, tan

import numpy as np

from scaledesign.model.document import Design, Finger, Row
from scaledesign.model.hands import hand
from scaledesign.model.units import format_length
from scaledesign.physics.arrays import Floats
from scaledesign.solver.limits import SEAL, SIDEWAYS, profile
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import counts
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.kept_note import own_row, place_for, widened, width_for, with_hole
from scaledesign.workshop.played_as import cents_off, played
from scaledesign.workshop.reach import HAIR, Misfit, broken, misfits
from scaledesign.workshop.reach_whole import Draft, fixed, whole_flute
from scaledesign.workshop.registers import WRONG

MOST_TURN = 40.0
"""Degrees around the tube that a hole in front may be turned (common practice, no source)."""
MOST_SLANT = 30.0
"""Degrees from square that a bit still drills true, with a guide (common practice, no source)."""
TENTH = 1e-4
"""m: what a slip of the bit or the file is told for."""
EASE = (
    "turn",
    "fingers",
    "narrower",
    "wider",
    "slant",
    "oval",
    "flat fingers",
    "both",
    "anew",
    "bore",
    "key",
)
"""Kinds of remedy, the easiest on maker and player first."""
USEFUL = 60.0
"""Cents from twice the low note beyond which an octave is of no use to a player (common practice, no
source)."""


@dataclass(frozen=True)
class Remedy:
    """One way to make a flute fit a hand, played."""

    kind: str
    """One of ``EASE``."""
    words: str
    """What to do, as a sentence."""
    holes: tuple[int, ...]
    """Holes (0-based) that are worked on otherwise; empty where it is the whole flute, or the hands."""
    design: Design
    met: bool
    """Whether what it is for is done: that pair, or for the whole flute everything."""
    breaks: tuple[tuple[str, tuple[int, ...]], ...]
    """Rules that it breaks and that were kept before: kind and holes."""
    cents: Floats
    """(R,) off each row's note; NaN for a row that no longer speaks."""
    worst_row: int | None
    """The counted row that is furthest off."""
    changed: Floats
    """(R,) cents by which each row changes."""
    row: int | None = None
    """The note that was kept, of the hole worked on."""
    touchy: tuple[float, float] | None = None
    """Cents that a tenth of a millimetre more width moves that note: before, after."""
    octave: tuple[float, float] | None = None
    """Cents that the octave which shifts most lies above twice its low note: before, after; NaN: no more."""
    octave_note: str = ""
    """The low note of that octave."""
    fingers: tuple[Finger, ...] = ()
    """Fingers that it is for; empty where it is for the whole flute."""
    crossed: float = 0.0
    """Cents by which a cross-fingered row changes most."""

    @property
    def worst(self) -> float:
        """Cents off of the counted row that is furthest off."""
        return 0.0 if self.worst_row is None else float(self.cents[self.worst_row])


@dataclass(frozen=True)
class Remedied:
    """A flute under a hand, what does not fit, and what would help."""

    design: Design
    """With that hand."""
    cents: Floats
    """(R,) as it stands."""
    misfits: tuple[Misfit, ...]
    """Worst first."""
    single: tuple[tuple[Remedy, ...], ...]
    """For each misfit, best first."""
    whole: tuple[Remedy, ...]
    """For all of them at once, best first; empty where all fits."""
    too_late: tuple[int, ...]
    """Holes that are drilled or locked, so that no remedy moves them."""


def remedies(design: Design) -> Remedied:
    """What does not fit the design's hand, and every remedy there is, played and ranked.

    Raises
    ------
    UnknownNameError, NoPitchError
    """
    heard = ask.predict(design)
    found = misfits(design)
    late = tuple(i for i, hole in enumerate(design.holes) if fixed(hole))
    if not found:
        return Remedied(design, heard.cents, (), (), (), late)
    scales = _Scales(design, heard)
    single = tuple(_ranked(scales, _singles(scales, one), one) for one in found)
    whole = _ranked(scales, list(whole_flute(design, scales.counted, found)), None)
    return Remedied(design, heard.cents, found, single, whole, late)


class _Scales:
    """What all remedies are weighed against: the flute as it is."""

    def __init__(self, design: Design, heard: Prediction) -> None:
        self.design, self.heard = design, heard
        self.target = ask.targets(design)
        self.counted = [i for i, row in enumerate(design.rows) if counts(row)]
        self.low = [i for i in self.counted if design.rows[i].register == 1]
        self.crossed = [i for i, row in enumerate(design.rows) if _is_crossed(design, row)]
        octaves = tuple(replace(design.rows[i], register=2) for i in self.low)
        self.rows = (*design.rows, *octaves)
        self.before = broken(design)
        self.own = [own_row(design, heard, i) for i in range(len(design.holes))]
        self.base = played([design], self.rows)[0]

    def stretch(self, frequency: Floats) -> Floats:
        """(N, L) cents of each counted note's octave over twice the note; NaN for one that is none."""
        count = len(self.design.rows)
        found = cents_off(frequency[:, count:], (2.0,)) - cents_off(frequency[:, self.low], (1.0,))
        return np.where(np.abs(found) < WRONG, found, np.nan)


def _is_crossed(design: Design, row: Row) -> bool:
    opened = False
    for letter in row.holes:
        if opened and letter == "X":
            return True
        opened = opened or letter != "X"
    return False


def _ranked(scales: _Scales, drafts: Sequence[Draft], misfit: Misfit | None) -> tuple[Remedy, ...]:
    made = _played(scales, drafts, misfit)
    if misfit is not None and not any(_good(scales, one) for one in made):
        made += _played(scales, list(_pairs_of_two(scales, misfit)), misfit)

    def key(one: Remedy) -> tuple[bool, bool, bool, int, float]:
        return (not one.met, bool(one.breaks), not _good(scales, one), EASE.index(one.kind), abs(one.worst))

    return tuple(sorted(made, key=key))


def _good(scales: _Scales, one: Remedy) -> bool:
    """Whether it does what it is for, breaks nothing, and no note that counts goes out of tune by it."""
    was = np.abs(scales.heard.cents[scales.counted]).max(initial=0.0)
    allowed = max(scales.design.tuning.tolerance, float(was) + 1.0)
    return one.met and not one.breaks and abs(one.worst) <= allowed


def _played(scales: _Scales, drafts: Sequence[Draft], misfit: Misfit | None) -> list[Remedy]:
    """Drafts with what they do; those of another tube or key are predicted one by one."""
    same = [one for one in drafts if one.kind not in ("key", "bore")]
    slipped = [_slipped(one) for one in same]  # stands like its draft, so it costs next to nothing
    frequency = played([scales.design, *(one.design for one in same), *slipped], scales.rows)
    count, rows = len(same), len(scales.design.rows)
    cents = cents_off(frequency[:, :rows], scales.target)
    octave = scales.stretch(frequency)
    found = []
    for n, one in enumerate(same, 1):
        changed = cents[n] - cents[0]
        touchy = None
        if one.row is not None and len(one.holes) == 1:
            before = float(scales.heard.sensitivity.diameter[one.row, one.holes[0]]) * TENTH
            touchy = (before, float(cents[count + n, one.row] - cents[n, one.row]))
        found.append(
            _remedy(
                scales, one, misfit, cents[n], changed,
                touchy, *_most(scales, octave[0], octave[n]),
                float(np.nanmax(np.abs(changed[scales.crossed]), initial=0.0)),
            )
        )  # fmt: skip
    for one in drafts:
        if one.kind in ("key", "bore"):
            heard = ask.predict(one.design)
            found.append(_remedy(scales, one, misfit, heard.cents, heard.cents - cents[0]))
    return found


def _most(scales: _Scales, before: Floats, after: Floats) -> tuple[tuple[float, float] | None, str]:
    """The octave that shifts most, cents before and after, and its low note; lost ones come first.

    One that was of no use and stays so is left out.
    """
    was, now = (np.where(np.isfinite(off), np.abs(off), np.inf) for off in (before, after))
    known = [k for k in range(len(before)) if np.isfinite(before[k]) and min(was[k], now[k]) <= USEFUL]
    if not known:
        return None, ""
    shift = np.where(np.isfinite(after), np.abs(after - before), np.inf)
    most = max(known, key=lambda k: float(shift[k]))
    return (float(before[most]), float(after[most])), scales.design.rows[scales.low[most]].note


def _slipped(one: Draft) -> Design:
    """The draft with the hole that was worked on a tenth of a millimetre wider."""
    if not one.holes:
        return one.design
    hole = one.design.holes[one.holes[0]]
    return with_hole(one.design, one.holes[0], widened(hole, hole.diameter + TENTH))


def _remedy(
    scales: _Scales, one: Draft, misfit: Misfit | None, cents: Floats, changed: Floats,
    touchy: tuple[float, float] | None = None, octave: tuple[float, float] | None = None,
    octave_note: str = "", crossed: float = 0.0,
) -> Remedy:  # fmt: skip
    now = broken(one.design)
    worse = tuple(at for at, by in now.items() if by > scales.before.get(at, 0.0) + HAIR)
    if misfit is None:
        met = not misfits(one.design)
    else:
        met = (misfit.kind, tuple(sorted(misfit.holes))) not in now
        worse = tuple(at for at in worse if at != (misfit.kind, tuple(sorted(misfit.holes))))
    off = np.where(np.isfinite(cents), np.abs(cents), np.inf)
    holes = () if misfit is None else misfit.holes
    fingers = tuple(scales.design.holes[i].finger for i in sorted(holes))
    worst = max(scales.counted, key=lambda i: off[i], default=None)
    return Remedy(
        one.kind, one.words, one.holes, one.design, met, worse, cents, worst, changed, one.row, touchy,
        octave, octave_note, fingers, crossed,
    )  # fmt: skip


# One pair of holes, or one hole


def _singles(scales: _Scales, one: Misfit) -> list[Draft]:
    if one.kind == "pad":
        return [*_for_pad(scales, one)]
    found = [*_turned(scales, one)]
    for hole, coefficient in one.limit.terms:
        found += _moved(scales, scales.design, hole, coefficient * (one.by + HAIR))
        found += _slanted(scales, hole, coefficient * (one.by + HAIR))
    return found


def _turned(scales: _Scales, one: Misfit) -> Iterator[Draft]:
    """The hole of the shorter finger turned toward the palm, as far as it has to be or may be."""
    short, other = _short_first(scales.design, one)
    if one.kind not in ("spread", "fingers") or fixed(scales.design.holes[short]):
        return
    design, apart = scales.design, abs(scales.design.holes[short].at - scales.design.holes[other].at)
    radius = _outside(design, short)
    if one.kind == "spread":
        need = one.by + HAIR
        across = min(need, SIDEWAYS)
    else:
        across = sqrt(max(hand(design.shop.hand).pad ** 2 - apart**2, 0.0))
    turn = 2 * degrees(asin(min(1.0, across / (2 * radius))))
    whole = min(MOST_TURN, float(ceil(turn - 1e-9)))
    yield _turn(design, short, other, whole, scales.own[short])


def _turn(design: Design, short: int, other: int, turn: float, row: int | None) -> Draft:
    hole, line = design.holes[short], design.holes[other].side
    side = line - turn if hole.finger[0] == "L" else line + turn
    around = _outside(design, short) * radians(turn)
    words = (
        f"Turn hole {short + 1} ({hole.finger}) {turn:.0f}° around the tube toward your palm: "
        f"{format_length(around, design.units)} off the line, measured around the outside."
    )
    return Draft("turn", words, (short,), with_hole(design, short, replace(hole, side=side)), row)


def _short_first(design: Design, one: Misfit) -> tuple[int, int]:
    """The hole of the shorter finger of two, and the other: of index and middle the index, else the lower."""
    upper, lower = one.holes[0], one.holes[-1]
    fingers = design.holes[upper].finger[1:], design.holes[lower].finger[1:]
    return (upper, lower) if fingers == ("1", "2") else (lower, upper)


def _outside(design: Design, hole: int) -> float:
    at = design.holes[hole].at
    return profile(design.tube.bore, at) / 2 + profile(design.tube.wall, at)


def _moved(scales: _Scales, start: Design, hole: int, by: float) -> Iterator[Draft]:
    """A hole moved by so much (m, toward the foot), its width sought anew so that its note stays."""
    was, row = start.holes[hole], scales.own[hole]
    if fixed(was) or "diameter" in was.locked or row is None or was.at + by <= 0:
        return
    moved = with_hole(start, hole, replace(was, at=round(was.at + by, 6)))
    least = min(start.shop.smallest, 0.0025)
    most = profile(start.tube.bore, was.at)
    width = width_for(moved, hole, row, float(scales.base[row]), least, most)
    if width is None:
        return
    made = with_hole(moved, hole, widened(moved.holes[hole], round(width, 5)))
    nearer = by < 0
    words = (
        f"Move hole {hole + 1} ({was.finger}) {format_length(abs(by), start.units)} toward the "
        f"{'mouth' if nearer else 'foot'} and make it {'narrower' if width < was.diameter else 'wider'}: at "
        f"{format_length(made.holes[hole].at, start.units)}, {_fine(width, start)} wide."
    )
    yield Draft("narrower" if nearer else "wider", words, (hole,), made, row)


def _fine(width: float, design: Design) -> str:
    """A width as a file makes it, finer than bits are."""
    return f"{width / 0.0254:.3f} in" if design.units == "in" else f"{width * 1e3:.2f} mm"


def _slanted(scales: _Scales, hole: int, by: float) -> Iterator[Draft]:
    """The outer opening moved by so much (m), the inner one where it is, as far as a bit drills true."""
    design = scales.design
    was, row = design.holes[hole], scales.own[hole]
    if fixed(was) or "diameter" in was.locked or row is None:
        return
    wall = profile(design.tube.wall, was.at) if was.wall is None else was.wall
    slant = degrees(atan(tan(radians(was.slant)) - by / wall))
    slant = max(-MOST_SLANT, min(MOST_SLANT, round(slant)))
    by = -wall * (tan(radians(slant)) - tan(radians(was.slant)))
    if abs(by) < HAIR:
        return
    leant = with_hole(design, hole, replace(was, at=round(was.at + by, 6), slant=float(slant)))
    width = width_for(
        leant, hole, row, float(scales.base[row]), design.shop.smallest, profile(design.tube.bore, was.at)
    )
    if width is None:
        return
    made = with_hole(leant, hole, widened(leant.holes[hole], round(width, 5)))
    words = (
        f"Slant hole {hole + 1} ({was.finger}) by {abs(slant):.0f}°, its outer end "
        f"{format_length(abs(by), design.units)} toward the {'mouth' if by < 0 else 'foot'}: at "
        f"{format_length(made.holes[hole].at, design.units)}, {_fine(width, design)} wide. Begin square, "
        "then lean over along a guide: a bit that starts aslant wanders and grabs."
    )
    yield Draft("slant", words, (hole,), made, row)


def _for_pad(scales: _Scales, one: Misfit) -> Iterator[Draft]:
    """A hole that is too wide to be sealed: narrower and nearer the mouth, or as wide but longer across."""
    design, hole = scales.design, one.holes[0]
    was, row = design.holes[hole], scales.own[hole]
    if was.drilled or "diameter" in was.locked:
        return
    seals = hand(design.shop.hand).pad - SEAL
    area = was.diameter * (was.across or was.diameter)
    if area / seals < profile(design.tube.bore, was.at):
        oval = replace(was, diameter=seals, across=round(area / seals, 6))
        words = (
            f"Make hole {hole + 1} ({was.finger}) oval with a file: {_fine(seals, design)} along the tube, "
            f"{_fine(area / seals, design)} across it; a finger is longer than it is broad."
        )
        yield Draft("oval", words, (hole,), with_hole(design, hole, oval), row)
    if row is None or "at" in was.locked:
        return
    narrow = with_hole(design, hole, widened(was, seals))
    low = max((h.at for h in design.holes if h.at < was.at), default=0.0)
    place = place_for(narrow, hole, row, float(scales.base[row]), low, was.at)
    if place is not None:
        made = with_hole(narrow, hole, replace(narrow.holes[hole], at=round(place, 6)))
        words = (
            f"Make hole {hole + 1} ({was.finger}) {_fine(seals, design)} wide and "
            f"move it {format_length(was.at - place, design.units)} toward the mouth: at "
            f"{format_length(place, design.units)}."
        )
        yield Draft("narrower", words, (hole,), made, row)


def _pairs_of_two(scales: _Scales, one: Misfit) -> Iterator[Draft]:
    """Two remedies that share the work: part by turning, part by moving; or both holes move half the way."""
    if one.kind == "pad":
        return
    design, terms = scales.design, one.limit.terms
    for first in _turned(scales, one):
        left = [each for each in misfits(first.design) if (each.kind, each.holes) == (one.kind, one.holes)]
        for each in left:
            for hole, coefficient in terms:
                for second in _moved(scales, first.design, hole, coefficient * (each.by + HAIR)):
                    yield _joined(first, second)
    (i, ci), (j, cj) = terms
    for first in _moved(scales, design, i, ci * (one.by + HAIR) / 2):
        for second in _moved(scales, first.design, j, cj * (one.by + HAIR) / 2):
            yield _joined(first, second)


def _joined(first: Draft, second: Draft) -> Draft:
    then = second.words[:1].lower() + second.words[1:]
    if first.holes == second.holes:
        hole = first.holes[0]
        then = then.replace(f"hole {hole + 1} ({first.design.holes[hole].finger})", "it", 1)
    holes = tuple(dict.fromkeys((*first.holes, *second.holes)))
    return Draft("both", f"{first.words.rstrip('.')}; and {then}", holes, second.design, second.row)
