"""The hole list: where to drill, how wide, with which bit, and what a slip costs.

Apart from the report (``report.py``) because it is what goes to the bench. It restates positions from
the end the maker measures from and rounds to what a hand can do; it computes no acoustics.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import TYPE_CHECKING

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Hole, Units
from scaledesign.model.units import HAND_STEP, format_length
from scaledesign.paper.cautions import cautions
from scaledesign.paper.layout import (
    Origin,
    distance_from,
    holes_from,
    origin_title,
    origin_words,
    wood_beside,
)
from scaledesign.paper.text import paragraph, table

if TYPE_CHECKING:
    from scaledesign.physics.arrays import Floats
    from scaledesign.solver.prediction import Prediction

UNIT_WORDS = {"mm": "millimetres", "in": "inches"}
PLACED_WORDS = {"solved": "", "rule": "rule", "locked": "locked", "undetermined": "free"}
"""How a hole was placed, as the list says it; what is usual is not said."""
_PLACED_LEGEND = {
    "rule": "rule: no note of the scale opens this hole; see below what placed it.",
    "locked": "locked: as you set it.",
    "free": "free: the notes hardly say where.",
}


def hole_list(
    design: Design,
    prediction: Prediction,
    placed: Sequence[str] = (),
    *,
    units: Units,
    origin: Origin = "edge",
) -> str:
    """Hole list as text of at most 80 columns, without the cautions.

    Parameters
    ----------
    design : Design
    prediction : Prediction
        of the same design, for what a slip costs
    placed : sequence of str
        how the solver placed each hole; empty: not said
    units : "mm" or "in"
    origin : "edge", "foot" or "cut-end"
        the end the maker measures from

    Raises
    ------
    DesignError
        when measured from a cut end that the design does not state.
    """
    if not design.holes:
        return paragraph("There are no holes yet.")
    bits = bit_set(design.shop.bits)
    other: Origin = "edge" if origin == "foot" else "foot"
    step = HAND_STEP[units]
    rows = [
        (
            str(i + 1),
            length(distance_from(design, origin, hole.at), units),
            length(distance_from(design, other, hole.at), units),
            _wood(design, i, units),
            width_words(hole, units),
            bits.label(bits.nearest(hole.diameter), units),
            finger_words(hole),
            f"{slip(design, prediction.sensitivity.at, i) * step:.1f}",
            f"{slip(design, prediction.sensitivity.diameter, i) * step:.1f}",
            PLACED_WORDS[placed[i]] if placed else "",
        )
        for i, hole in ((i, design.holes[i]) for i in holes_from(design, origin))
    ]
    places = (origin_title(design, origin), origin_title(design, other))
    header = ("", *places, "wood", "width", "bit", "finger", "slip", "wide", "by")
    return "\n".join(
        (
            paragraph(
                f"In {UNIT_WORDS[units]}, from {origin_words(design, origin)} to the middle of each hole. "
                f"The foot is {format_length(design.tube.length, units)} from {origin_words(design, 'edge')}."
            ),
            "",
            table(header, rows, "rrrrrllrrl"),
            "",
            paragraph(_legend(units, {row[-1] for row in rows})),
        )
    )


def changes(before: Design, after: Design, *, units: Units, origin: Origin = "edge") -> str:
    """Where the holes that moved were, how wide, and where the foot was; empty when nothing moved."""

    def seen(design: Design, hole: Hole) -> str:
        return f"at {length(distance_from(design, origin, hole.at), units)}, {width_words(hole, units)} wide"

    pairs = enumerate(zip(before.holes, after.holes, strict=True), 1)
    was = [
        f"hole {i} {seen(before, old)}" for i, (old, new) in pairs if seen(before, old) != seen(after, new)
    ]
    foot, now = (length(design.tube.length, units) for design in (before, after))
    was += [f"the foot at {foot}"] if foot != now else []
    return paragraph(f"Before: {'; '.join(was)}.") if was else ""


def _legend(units: Units, placed: set[str]) -> str:
    """What the columns mean; of the last one only the words that stand in it."""
    step = format_length(HAND_STEP[units], units)
    always = (
        "wood: what is left to the nearest hole. slip, wide: cents that the touchiest note of the scale "
        f"shifts when the hole is {step} out of place, or that much too wide."
    )
    return " ".join((always, *(words for by, words in _PLACED_LEGEND.items() if by in placed)))


def slip(design: Design, cents: Floats, hole: int) -> float:
    """Largest of the (R, H) ``cents`` per m of one hole, over the rows that count and can sound."""
    each = [abs(float(cents[i, hole])) for i, row in enumerate(design.rows) if row.counts]
    return max(filter(isfinite, each), default=0.0)


def length(metres: float, units: Units) -> str:
    """A length as it stands in a column: rounded for the hand, without its unit."""
    return format_length(metres, units, unit=False)


def width_words(hole: Hole, units: Units) -> str:
    """Width of a hole; both diameters of an oval."""
    if hole.across is None:
        return length(hole.diameter, units)
    return f"{length(hole.diameter, units)} x {length(hole.across, units)}"


def finger_words(hole: Hole) -> str:
    """Finger, and where the hole is when it is not in front."""
    side = {0.0: "", 180.0: "back"}.get(hole.side, f"{hole.side:g}°")
    return " ".join(word for word in (hole.finger, side) if word)


def caution_lines(material: str) -> str:
    """The cautions that every hole list ends with."""
    lines = ["Before you start"]
    lines += [paragraph(f"{each.hazard}. {each.text}", indent="  ") for each in cautions(material)]
    lines.append(
        paragraph("Safety data sheets, local rules and licensed practice come before this list.", indent="  ")
    )
    return "\n".join(lines)


def _wood(design: Design, hole: int, units: Units) -> str:
    wood = wood_beside(design, hole)
    return "" if wood is None else length(wood, units)
