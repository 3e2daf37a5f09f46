"""Where things are on the outside of the tube, as a maker measures them.

Apart from the lists because the hole list, its JSON and later templates restate the same positions.
Where the shop's limits lie is the solver's affair.
"""

from __future__ import annotations

from typing import Literal

from scaledesign.errors import DesignError, Fault
from scaledesign.model.document import Design, Mouth
from scaledesign.solver.limits import geometry_of, wood_left

Origin = Literal["edge", "foot", "cut-end"]
ORIGIN_WORDS = {"edge": "the sounding edge", "foot": "the foot", "cut-end": "the tube's cut end"}
ORIGIN_TITLES = {"edge": "from edge", "foot": "from foot", "cut-end": "cut end"}
"""The same over a column."""
ZERO_WORDS: dict[Mouth, tuple[str, str, str]] = {
    "duct": ("sounding edge", "edge", "edge"),
    "rim": ("blown rim", "rim", "rim"),
    "notch": ("rim with the notch", "rim", "rim"),
    "transverse": ("middle of the mouth hole", "mouth hole", "mouth"),
    "open": ("open end", "end", "end"),
}
"""What lies at x = 0, the same where there is little room, and over a column."""
OPEN_ENDS = ("rim", "notch", "open")
"""Mouths that are themselves the cut end of the tube."""


def origin_words(design: Design, origin: Origin) -> str:
    """The end that is measured from, as this flute has it: ``"the middle of the mouth hole"``."""
    return f"the {ZERO_WORDS[design.instrument.mouth][0]}" if origin == "edge" else ORIGIN_WORDS[origin]


def origin_title(design: Design, origin: Origin) -> str:
    """The same over a column: ``"from rim"``."""
    return f"from {ZERO_WORDS[design.instrument.mouth][2]}" if origin == "edge" else ORIGIN_TITLES[origin]


def distance_from(design: Design, origin: Origin, x: float) -> float:
    """Distance (m) from ``origin`` of a place ``x`` m from the sounding edge.

    Raises
    ------
    DesignError
        when the cut end is asked for and the design does not say where it is.
    """
    if origin == "edge":
        return x
    if origin == "foot":
        return design.tube.length - x
    return x + mouth_side(design)


def holes_from(design: Design, origin: Origin) -> tuple[int, ...]:
    """Holes (0-based) as a list measured from ``origin`` names them: from the foot the last comes first."""
    order = range(len(design.holes))
    return tuple(reversed(order) if origin == "foot" else order)


def has_cut_end(design: Design) -> bool:
    """Whether the design says where the cut end at the mouth side is."""
    return design.tube.chamber is not None or design.instrument.mouth in OPEN_ENDS


def mouth_side(design: Design) -> float:
    """Length (m) of tube from the cut end at the mouth side to the sounding edge.

    For a duct: slow-air chamber, plug, what the plug leaves of the bore, and the window. A rim, a notch
    and an open end are themselves the cut end.
    """
    if design.instrument.mouth in OPEN_ENDS:
        return 0.0
    chamber = design.tube.chamber
    if chamber is None:
        fault = Fault(
            "is not stated, so nobody knows where the cut end is",
            "state chamber = { length = 150, wall = 5 } under [tube], or measure from the edge or the foot",
            key="tube.chamber",
        )
        raise DesignError("", (fault,))
    window = design.voicing.window
    opening = window.length if design.instrument.mouth == "duct" and window else 0.0
    return chamber.length + chamber.wall + design.voicing.cavity + opening


def wood_beside(design: Design, hole: int) -> float | None:
    """Wood (m) from one hole's edge to the nearest other hole's edge; None for an only hole."""
    now = geometry_of(design)
    others = (wood_left(design, now, hole, other) for other in range(len(design.holes)) if other != hole)
    return min(others, default=None)
