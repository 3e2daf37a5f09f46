"""Remedies for one misfit: a hole turned, moved, slanted, narrower or oval, or two of these together.

Apart from those for the whole flute (``reach_whole``), and from ``reach_remedies``, which plays and ranks all
of them. Here they are drafted: a design and what to do, the hole's own note kept as far as it can be.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import asin, atan, ceil, degrees, radians, sqrt, tan

from scaledesign.model.document import Design
from scaledesign.model.hands import hand
from scaledesign.model.units import format_length
from scaledesign.solver.limits import SEAL, SIDEWAYS, profile
from scaledesign.solver.resonance import Resonances
from scaledesign.values import dataclass
from scaledesign.workshop.kept_note import place_for, widened, width_for, with_hole
from scaledesign.workshop.reach import HAIR, Misfit, misfits
from scaledesign.workshop.reach_whole import Draft, fixed

MOST_TURN = 40.0
"""Degrees around the tube that a hole in front may be turned (common practice, no source)."""
MOST_SLANT = 30.0
"""Degrees from square that a bit still drills true, with a guide (common practice, no source)."""


@dataclass(frozen=True)
class Now:
    """A flute as it is, and what its holes are made for."""

    design: Design
    own: tuple[int | None, ...]
    """For each hole the row (0-based) whose note is to stay; None where there is none."""
    sounds: Resonances
    """What each row plays, (1, R)."""

    def kept(self, row: int) -> Resonances:
        """What one row plays, (1, 1)."""
        return Resonances(self.sounds.frequency[:, [row]], self.sounds.level[:, [row]])


def singles(now: Now, one: Misfit) -> list[Draft]:
    """Every remedy for one misfit that changes one hole, not yet played."""
    if one.kind == "pad":
        return [*_for_pad(now, one)]
    found = [*_turned(now, one)]
    for hole, coefficient in one.limit.terms:
        found += _moved(now, now.design, hole, coefficient * (one.by + HAIR))
        found += _slanted(now, hole, coefficient * (one.by + HAIR))
    return found


def _turned(now: Now, one: Misfit) -> Iterator[Draft]:
    """The hole of the shorter finger turned toward the palm, as far as it has to be or may be."""
    short, other = _short_first(now.design, one)
    if one.kind not in ("spread", "fingers") or fixed(now.design.holes[short]):
        return
    design, apart = now.design, abs(now.design.holes[short].at - now.design.holes[other].at)
    radius = _outside(design, short)
    if one.kind == "spread":
        need = one.by + HAIR
        across = min(need, SIDEWAYS)
    else:
        across = sqrt(max(hand(design.shop.hand).pad ** 2 - apart**2, 0.0))
    turn = 2 * degrees(asin(min(1.0, across / (2 * radius))))
    whole = min(MOST_TURN, float(ceil(turn - 1e-9)))
    yield _turn(design, short, other, whole, now.own[short])


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


def _moved(now: Now, start: Design, hole: int, by: float) -> Iterator[Draft]:
    """A hole moved by so much (m, toward the foot), its width sought anew so that its note stays."""
    was, row = start.holes[hole], now.own[hole]
    if fixed(was) or "diameter" in was.locked or row is None or was.at + by <= 0:
        return
    moved = with_hole(start, hole, replace(was, at=round(was.at + by, 6)))
    least = min(start.shop.smallest, 0.0025)
    most = profile(start.tube.bore, was.at)
    width = width_for(moved, hole, row, now.kept(row), least, most)
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


def _slanted(now: Now, hole: int, by: float) -> Iterator[Draft]:
    """The outer opening moved by so much (m), the inner one where it is, as far as a bit drills true."""
    design = now.design
    was, row = design.holes[hole], now.own[hole]
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
        leant, hole, row, now.kept(row), design.shop.smallest, profile(design.tube.bore, was.at)
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


def _for_pad(now: Now, one: Misfit) -> Iterator[Draft]:
    """A hole that is too wide to be sealed: narrower and nearer the mouth, or as wide but longer across."""
    design, hole = now.design, one.holes[0]
    was, row = design.holes[hole], now.own[hole]
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
    place = place_for(narrow, hole, row, now.kept(row), low, was.at)
    if place is not None:
        made = with_hole(narrow, hole, replace(narrow.holes[hole], at=round(place, 6)))
        words = (
            f"Make hole {hole + 1} ({was.finger}) {_fine(seals, design)} wide and "
            f"move it {format_length(was.at - place, design.units)} toward the mouth: at "
            f"{format_length(place, design.units)}."
        )
        yield Draft("narrower", words, (hole,), made, row)


def pairs(now: Now, one: Misfit) -> Iterator[Draft]:
    """Two remedies that share the work: part by turning, part by moving; or both holes move half the way."""
    if one.kind == "pad":
        return
    design, terms = now.design, one.limit.terms
    for first in _turned(now, one):
        left = [each for each in misfits(first.design) if (each.kind, each.holes) == (one.kind, one.holes)]
        for each in left:
            for hole, coefficient in terms:
                for second in _moved(now, first.design, hole, coefficient * (each.by + HAIR)):
                    yield _joined(first, second)
    (i, ci), (j, cj) = terms
    for first in _moved(now, design, i, ci * (one.by + HAIR) / 2):
        for second in _moved(now, first.design, j, cj * (one.by + HAIR) / 2):
            yield _joined(first, second)


def _joined(first: Draft, second: Draft) -> Draft:
    then = second.words[:1].lower() + second.words[1:]
    if first.holes == second.holes:
        hole = first.holes[0]
        then = then.replace(f"hole {hole + 1} ({first.design.holes[hole].finger})", "it", 1)
    holes = tuple(dict.fromkeys((*first.holes, *second.holes)))
    return Draft("both", f"{first.words.rstrip('.')}; and {then}", holes, second.design, second.row)
