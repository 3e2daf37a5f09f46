"""The sentences about rules: why a row is off and what would free it, which rules a layout breaks.

Words only, with lengths in the design's units; which rule is to blame is found in ``explain``.
"""

from __future__ import annotations

from collections.abc import Sequence

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering
from scaledesign.model.hands import hand, whose_hand
from scaledesign.model.saying import listed
from scaledesign.model.units import INCH, format_length
from scaledesign.solver.limits import (
    HEAD,
    SEAL,
    Geometry,
    Limit,
    bits_allowed,
    limits_of,
    profile,
    room,
    wood_left,
    wood_to_foot,
)
from scaledesign.values import dataclass

KINDS = {
    "smallest": "shop.smallest", "largest": "shop.largest", "share_of_bore": "shop.share_of_bore",
    "pad": "shop.hand", "wood": "shop.wood", "foot": "shop.wood", "spread": "shop.hand",
    "fingers": "shop.hand", "gap": "shop.hand", "thumb": "shop.hand", "avoid": "tube.avoid",
    "blank": "tube.blank", "head": "tube.bore",
}  # fmt: skip
"""The design file's key for each kind of limit."""
TOGETHER = {
    "smallest": "the smallest hole you allow", "largest": "the largest hole you allow",
    "share_of_bore": "how wide a hole may be beside the bore", "pad": "what a finger seals",
    "wood": "the wood between holes", "foot": "the wood to the foot", "spread": "the reach of the hand",
    "fingers": "the room that fingers need", "gap": "the reach of the hand", "thumb": "the thumb's reach",
    "avoid": "the stretches to avoid", "blank": "the length of the blank", "head": "the room to the mouth",
    "tube_locked": "the cut foot", "hole_locked": "the locked holes",
}  # fmt: skip
"""Each kind of limit, and the locks, as a few words among others."""
BROKEN = 5e-5
"""m by which a rule may be broken before it is worth a word."""


@dataclass(frozen=True)
class Obstacle:
    """What keeps a row (0-based) off its note: the kind of rule, the holes concerned, in words.

    ``kind`` is one of ``KINDS``, "tube_locked", "hole_locked", "bits", "same_fingering", "on_edge" (a hair
    decides which note sounds), "several" (no single rule would do) or "none" (no rule does: the fingering
    cannot play the note in this tube).
    ``key`` is what to change in the design file, '' for the last two.
    """

    row: int
    kind: str
    holes: tuple[int, ...]
    key: str
    sentence: str


def named(holes: tuple[int, ...]) -> str:
    """'hole 3', 'holes 2 and 3': as a person counts."""
    return _listed("hole", [i + 1 for i in sorted(holes)])


def _listed(what: str, numbers: Sequence[int]) -> str:
    return f"{what if len(numbers) == 1 else f'{what}s'} {listed(numbers)}"


def row_name(design: Design, row: int) -> str:
    """'Row 3 (C5)': as a person counts; a secondary row that the system lent has no number."""
    return f"Row {row + 1} ({design.rows[row].note})" if row < len(design.rows) else "A secondary row"


def _off(design: Design, row: int, cents: float) -> str:
    return f"{row_name(design, row)} stays {abs(cents):.0f} cents {'sharp' if cents > 0 else 'flat'}"


def rule(design: Design, row: int, limit: Limit, then: Geometry, cents: float) -> Obstacle:
    """The verdict on a limit without which the layout would be ``then``."""
    key = KINDS[limit.kind]
    words, would = _rule(design, limit, then)
    return Obstacle(
        row, limit.kind, limit.holes, key, f"{_off(design, row, cents)}: {words} ({key}); {would}."
    )


def _rule(design: Design, limit: Limit, then: Geometry) -> tuple[str, str]:
    """What the rule asks, and what would do instead."""
    shop, tube = design.shop, design.tube

    def length(metres: float) -> str:
        return format_length(max(metres, 0.0), design.units)

    i, j = (limit.holes[0], limit.holes[-1]) if limit.holes else (0, 0)
    who = named(limit.holes) if limit.holes else "the tube"
    at, wide = (float(then.at[i]), float(then.diameter[i])) if limit.holes else (0.0, 0.0)
    apart = float(abs(then.at[j] - then.at[i])) if limit.holes else 0.0
    owner = whose_hand(design.shop.hand)
    if limit.kind == "smallest":
        return f"{who} may be no smaller than {length(shop.smallest)}", f"{length(wide)} would do"
    if limit.kind == "largest":
        return f"{who} may be no larger than {length(shop.largest)}", f"{length(wide)} would do"
    if limit.kind == "share_of_bore":
        bore = profile(tube.bore, at)
        most = f"{shop.share_of_bore:g} of the bore, {length(shop.share_of_bore * bore)}"
        return f"{who} may take no more than {most}", f"{length(wide)} would do"
    if limit.kind == "pad":
        most = length(hand(shop.hand).pad - SEAL)
        return (
            f"{who} may be no wider than {most}, what a finger of {owner} seals",
            f"{length(wide)} would do",
        )
    if limit.kind == "wood":
        need = f"{who} must keep {length(shop.wood)} of wood between them"
        return need, f"{length(wood_left(design, then, i, j))} would do"
    if limit.kind == "foot":
        need = f"{who} must keep {length(shop.wood)} of wood to the foot"
        return need, f"{length(wood_to_foot(then, i))} would do"
    if limit.kind == "fingers":
        need = f"the fingers of {owner} need {length(limit.bound)} from hole {i + 1} to hole {j + 1}"
        return need, f"{length(apart)} would do"
    if limit.kind == "avoid":
        start, end = min(tube.avoid, key=lambda one: abs(at - sum(one) / 2))
        edge = format_length(start, design.units, unit=False)
        return f"{who} may not lie between {edge} and {length(end)}", f"it wants to be at {length(at)}"
    if limit.kind == "blank":
        return f"the blank is only {length(tube.blank or 0.0)} long", f"{length(then.length)} would do"
    if limit.kind == "head":
        head = length(HEAD * tube.bore[0].value)
        return f"{who} may come no nearer to the mouth than two bores, {head}", "a narrower bore would do"
    reach = f"{owner} reaches {length(-limit.bound)} from hole {i + 1} to hole {j + 1}"
    return reach, f"{length(apart)} would do"


def locked(design: Design, row: int, hole: int | None, then: Geometry, cents: float) -> Obstacle:
    """The verdict on a lock, of a hole or (None) of the tube; without it the layout would be ``then``."""

    def length(metres: float) -> str:
        return format_length(metres, design.units)

    if hole is None:
        key = "tube.locked"
        words, would = f"the tube is cut at {length(design.tube.length)}", length(then.length)
    else:
        key, now = f"holes[{hole + 1}].locked", design.holes[hole]
        words = f"hole {hole + 1} is locked, {length(now.diameter)} at {length(now.at)}"
        would = f"{length(float(then.diameter[hole]))} at {length(float(then.at[hole]))}"
    sentence = f"{_off(design, row, cents)}: {words} ({key}); {would} would do."
    if hole is None:
        return Obstacle(row, "tube_locked", (), key, sentence)
    return Obstacle(row, "hole_locked", (hole,), key, sentence)


def conflict(design: Design, row: int, other: int, cents: float) -> Obstacle:
    """The verdict on two rows that ask two notes of one fingering."""
    key = f"rows[{row + 1}].holes"
    fingering = format_fingering(design.rows[row].holes, [design.holes[i].finger for i in design.fingered()])
    return Obstacle(
        row, "same_fingering", (), key,
        f"{_off(design, row, cents)}: row {other + 1} ({design.rows[other].note}) asks another note of "
        f"{fingering} ({key}); give one of the two another fingering.",
    )  # fmt: skip


def on_edge(design: Design, row: int, cents: float) -> Obstacle:
    """The verdict on a row met before rounding, whose fingering then plays another resonance."""
    key = f"rows[{row + 1}].holes"
    return Obstacle(
        row, "on_edge", (), key,
        f"{_off(design, row, cents)}: here its fingering is between two notes, and a hair in any hole "
        f"decides which of them sounds ({key}); give it another fingering.",
    )  # fmt: skip


def coarse(design: Design, row: int, wanted: Geometry, cents: float) -> Obstacle:
    """The verdict on bits that are too far apart; ``wanted`` is the layout before rounding."""

    def miss(i: int) -> float:
        allowed = bits_allowed(design, design.holes[i], float(wanted.at[i]))
        return min((abs(bit - float(wanted.diameter[i])) for bit in allowed), default=0.0)

    worst = max(range(len(design.holes)), key=miss)
    wish = float(wanted.diameter[worst])
    own = bit_set(design.shop.bits)
    nearest = own.label(own.nearest(wish), design.units)
    return Obstacle(
        row, "bits", (worst,), "shop.bits",
        f"{_off(design, row, cents)}: {named((worst,))} wants {_fine(design, wish)} and your "
        f"nearest bit is {nearest} (shop.bits); a finer set, or a file, would do.",
    )  # fmt: skip


def _fine(design: Design, metres: float) -> str:
    """A diameter finer than bits are."""
    return f"{metres / float(INCH):.3f} in" if design.units == "in" else f"{metres * 1e3:.2f} mm"


def several(design: Design, row: int, kinds: Sequence[str], cents: float) -> Obstacle:
    """The verdict when only several rules left out together free the row."""
    rules = list(dict.fromkeys(TOGETHER[kind] for kind in kinds))
    which = listed(rules) if len(rules) > 1 else "several rules"
    return Obstacle(
        row, "several", (), "",
        f"{_off(design, row, cents)}: {which} hold it together, none of them alone; ease more than one.",
    )  # fmt: skip


def nothing(design: Design, row: int, cents: float) -> Obstacle:
    """The verdict when no rule is to blame."""
    return Obstacle(
        row, "none", (), "",
        f"{_off(design, row, cents)}: no hole or length in this tube meets it together with the other rows; "
        "give it another fingering, another note or a smaller weight.",
    )  # fmt: skip


def told(obstacles: tuple[Obstacle, ...]) -> tuple[str, ...]:
    """The sentences of obstacles, with rows that the same rule holds named together."""
    sentences: list[str] = []
    for first in dict.fromkeys((one.kind, one.holes) for one in obstacles):
        same = [one for one in obstacles if (one.kind, one.holes) == first]
        sentences.append(same[0].sentence)
        if len(same) > 1:
            rows = _listed("row", [one.row + 1 for one in same[1:]])
            sentences.append(f"The same keeps {rows} off.")
    return tuple(sentences)


def no_bit(design: Design, geometry: Geometry) -> tuple[str, ...]:
    """A sentence for every unlocked hole that none of the shop's bits may make."""
    sentences = []
    for i, hole in enumerate(design.holes):
        if "diameter" in hole.locked or bits_allowed(design, hole, float(geometry.at[i])):
            continue
        wide = format_length(float(geometry.diameter[i]), design.units)
        sentences.append(f"None of your bits may make {named((i,))}, {wide} (shop.bits): file it to size.")
    return tuple(sentences)


def broken_rules(design: Design, geometry: Geometry) -> tuple[str, ...]:
    """Sentences for every rule of the shop and the hand that a layout breaks."""
    found: dict[tuple[str, tuple[int, ...]], str] = {}
    for limit in limits_of(design, geometry):
        if room(limit, geometry) < -BROKEN:
            found.setdefault((limit.kind, tuple(sorted(limit.holes))), _broken(design, geometry, limit))
    return tuple(found.values())


def _broken(design: Design, now: Geometry, limit: Limit) -> str:
    def length(metres: float) -> str:
        return format_length(metres, design.units)

    shop, holes = design.shop, limit.holes
    who = named(holes).capitalize() if holes else "The tube"
    i, j = (holes[0], holes[-1]) if holes else (0, 0)
    size = f"{who}, {length(float(now.diameter[i]))}," if holes else who
    apart = f"{who} are {length(abs(float(now.at[j] - now.at[i])))} apart" if holes else who
    owner = whose_hand(design.shop.hand)
    if limit.kind == "smallest":
        return f"{size} is under your smallest, {length(shop.smallest)} (shop.smallest)."
    if limit.kind == "largest":
        return f"{size} is over your largest, {length(shop.largest)} (shop.largest)."
    if limit.kind == "share_of_bore":
        return f"{size} takes more than {shop.share_of_bore:g} of the bore (shop.share_of_bore)."
    if limit.kind == "pad":
        return f"{size} is wide for the fingers of {owner}: it may not seal."
    if limit.kind == "wood":
        left = length(max(wood_left(design, now, i, j), 0.0))
        return f"{who} leave {left} of wood; you ask for {length(shop.wood)} (shop.wood)."
    if limit.kind == "foot":
        left = length(max(wood_to_foot(now, i), 0.0))
        return f"{who} leaves {left} of wood to the foot; you ask for {length(shop.wood)} (shop.wood)."
    if limit.kind == "thumb":
        return f"{apart}: a stretch for the thumb of {owner}."
    if limit.kind == "fingers":
        return f"{apart}: too close for the fingers of {owner}."
    if limit.kind == "avoid":
        return f"{who} lies in a stretch to avoid (tube.avoid)."
    if limit.kind == "blank":
        return f"The tube is longer than its blank, {length(design.tube.blank or 0.0)} (tube.blank)."
    if limit.kind == "head":
        return f"{who} lies within two bores of the mouth."
    return f"{apart}: more than {owner} covers in comfort."
