"""The strip of one flute: its holes as a bit cuts them, where it begins and ends, where its seam runs.

Apart from the geometry (``unrolled.py``), which knows no flute, and from what is printed beside the holes
(``marks.py``). Metres on paper; angles in degrees, as the document has them.
"""

from __future__ import annotations

from functools import cached_property
from math import radians

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.paper.layout import OPEN_ENDS
from scaledesign.paper.template.unrolled import Outside
from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass

LEAD = 0.010
"""m of paper beyond the mouth's opening and beyond the foot."""
TAB = 0.007
"""m of paper that goes under the other edge of the seam."""
BACK = 180.0
CLEAR = 0.006
"""m: a seam at the back stays there while the holes leave it this much."""
LEAST = 0.002
"""m: no seam comes closer to a hole."""
STEP = 5.0
"""Degrees between the seams that are tried."""


@dataclass(frozen=True, eq=False)
class Opening:
    """Something cut into the outside: its outline on paper, (N,) ``u`` and ``v`` in m, and its middle."""

    u: Floats
    v: Floats
    middle: tuple[float, float]
    hole: int | None = None
    """Index in ``Design.holes``; None: window, embouchure hole or notch."""
    open: bool = False
    """Whether the outline does not close: a notch in the rim."""

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Least u and v, greatest u and v, m."""
        return float(self.u.min()), float(self.v.min()), float(self.u.max()), float(self.v.max())


@dataclass(frozen=True, eq=False)
class Strip:
    """See the module. ``start`` and ``end`` are places along the bore, m."""

    outside: Outside
    openings: tuple[Opening, ...]
    start: float
    end: float
    seam: float
    """Degrees, 0..360: the lower edge of the strip; its upper edge is the same line, a turn before."""

    def side(self, angle: float) -> float:
        """``angle`` (degrees) in the turn that the strip shows."""
        return self.seam - (self.seam - angle) % 360.0

    def line(self, angle: float, count: int) -> tuple[Floats, Floats]:
        """A line along the tube from start to end, (count,) u and v, m."""
        x = np.linspace(self.start, self.end, count)
        return self.outside.paper(x, np.full(count, radians(angle)))

    def ring(self, x: float, count: int = 25) -> tuple[Floats, Floats]:
        """A line around the tube from edge to edge, (count,) u and v, m."""
        angle = np.radians(np.linspace(self.seam - 360.0, self.seam, count))
        return self.outside.paper(np.full(count, x), angle)


def strip_of(design: Design) -> Strip:
    """The strip of a flute.

    Raises
    ------
    EditError
        when a hole is wider than the tube, or the holes leave no line for a seam.
    """
    outside = Outside.of(design)
    mouth = _mouth(design, outside)
    holes = [_hole(design, index, outside, 0.0) for index in range(len(design.holes))]
    seam = _seam(design, outside, (*mouth, *holes))
    bare = Strip(outside, (), 0.0, 0.0, seam)
    placed = [_hole(design, index, outside, bare.side(hole.side)) for index, hole in enumerate(design.holes)]
    openings = (*mouth, *placed)
    boxes = [each.box for each in openings]
    first = min((box[0] for box in boxes), default=0.0)
    last = max((box[2] for box in boxes), default=0.0)
    # A tube that begins at x = 0 carries no paper beyond it: there the edge lies flush with the rim.
    start = 0.0 if design.instrument.mouth in OPEN_ENDS else min(0.0, first) - LEAD
    return Strip(outside, openings, start, max(design.tube.length, last) + LEAD, seam)


def _hole(design: Design, index: int, outside: Outside, side: float) -> Opening:
    hole = design.holes[index]
    across = hole.diameter if hole.across is None else hole.across
    angle = radians(side)
    try:
        u, v = outside.drilled(hole.at, angle, hole.diameter, across, radians(hole.slant))
    except EditError as error:
        raise EditError(f"hole {index + 1}: {error.problem}", error.remedy) from None
    middle_u, middle_v = outside.paper(np.array([hole.at]), np.array([angle]))
    return Opening(u, v, (float(middle_u[0]), float(middle_v[0])), index)


def _mouth(design: Design, outside: Outside) -> tuple[Opening, ...]:
    """Window, embouchure hole or notch, where the design has its size."""
    mouth, voicing = design.instrument.mouth, design.voicing
    try:
        if mouth == "duct" and voicing.window is not None:
            length = voicing.window.length
            u, v = outside.sawn(-length, 0.0, voicing.window.width)
            return (Opening(u, v, (-length / 2, 0.0)),)
        lips = voicing.embouchure
        if mouth == "transverse" and lips is not None:
            u, v = outside.drilled(0.0, 0.0, lips.length, lips.width)
            return (Opening(u, v, (0.0, 0.0)),)
        if mouth == "notch" and lips is not None:
            u, v = outside.notched(lips.length, lips.width)
            return (Opening(u, v, (lips.length / 2, 0.0), open=True),)
    except EditError as error:
        what = "the window" if mouth == "duct" else "the embouchure"
        raise EditError(f"{what}: {error.problem}", error.remedy) from None
    return ()


def _seam(design: Design, outside: Outside, openings: tuple[Opening, ...]) -> float:
    """The angle, 0..360, at which the strip's edges meet: the back where it is free, else the widest gap."""
    if not openings:
        return BACK
    # Outlines are laid at angle 0 here: what they take to either side is turned to where they are.
    sides = np.array([0.0 if each.hole is None else design.holes[each.hole].side for each in openings])
    at = np.array([0.0 if each.hole is None else design.holes[each.hole].at for each in openings])
    half = np.array([np.abs(each.v).max() for each in openings])
    tried = np.arange(STEP, 360.0, STEP)
    apart = (tried[:, None] - sides + 180.0) % 360.0 - 180.0
    _, first = outside.paper(at, np.radians(sides))
    _, second = outside.paper(np.tile(at, len(tried)), np.radians(sides + apart).ravel())
    clear = (np.abs(second.reshape(apart.shape) - first) - half).min(axis=1)
    if clear[tried == BACK] >= CLEAR:
        return BACK
    # To a tenth of a millimetre: of two as good the one nearer to the back, then the one further round.
    _, _, best = max(zip(clear.round(4), -np.abs(tried - BACK), tried, strict=True))
    if clear[tried == best] < LEAST:
        raise EditError(
            "the holes stand so close around the tube that no seam of the paper passes between them",
            "mark this tube from the hole list",
        )
    return float(best)
