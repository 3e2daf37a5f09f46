"""The rules that keep a flute from being its pattern in proportion, a few words each.

Apart because ``solver.verdict`` says what a layout breaks; here it is said of one that was never made.
"""

from __future__ import annotations

from scaledesign.model.hands import hand, whose_hand
from scaledesign.model.units import format_length
from scaledesign.solver.limits import SEAL, Limit
from scaledesign.workshop.carry import Carried

NAMES = {
    "spread": "reach", "gap": "reach", "thumb": "the thumb's reach", "fingers": "room for the fingers",
    "wood": "wood between holes", "foot": "wood to the foot", "avoid": "a stretch without holes",
    "smallest": "your smallest hole", "largest": "your largest hole",
    "share_of_bore": "the share of the bore",
    "pad": "what a finger seals", "blank": "the length of the tube", "head": "the mouth's nearness",
}  # fmt: skip


def binding(found: Carried, limit: Limit) -> str:
    """``"reach: in proportion holes 4 and 5 would lie 39.2 mm apart, and a medium hand spans 38.0 mm"``."""
    design, would = found.design, found.ideal
    shop, units, kind = design.shop, design.units, limit.kind
    name = NAMES[kind]

    def length(metres: float) -> str:
        return format_length(metres, units)

    who = " and ".join(str(hole + 1) for hole in sorted(limit.holes))
    owner = whose_hand(shop.hand)
    if kind == "blank":
        return (
            f"{name}: in proportion it would be {length(would.length)}, and you have {length(-limit.bound)}"
        )
    i, j = limit.holes[0], limit.holes[-1]
    wide = length(float(would.diameter[i]))
    apart = length(abs(float(would.at[j] - would.at[i])))
    if kind in ("spread", "gap", "thumb"):
        spans = length(abs(limit.bound))
        return f"{name}: in proportion holes {who} would lie {apart} apart, and {owner} spans {spans}"
    if kind == "fingers":
        need = length(hand(shop.hand).pad)
        return f"{name}: in proportion holes {who} would lie {apart} apart, and {owner} needs {need}"
    if kind == "wood":
        return f"{name}: in proportion holes {who} would leave less than {length(shop.wood)}"
    if kind == "foot":
        return f"{name}: in proportion hole {who} would leave less than {length(shop.wood)}"
    if kind in ("avoid", "head"):
        return f"{name}: in proportion hole {who} would lie at {length(float(would.at[i]))}"
    most = {
        "smallest": shop.smallest, "largest": shop.largest, "pad": hand(shop.hand).pad - SEAL,
    }.get(kind)  # fmt: skip
    bound = f"{shop.share_of_bore:g} of the bore" if most is None else length(most)
    return f"{name}: in proportion hole {who} would be {wide}, and the bound is {bound}"
