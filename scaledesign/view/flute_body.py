"""The wood of the flute picture: where x falls, which line shows what, walls, mouth, nodes and foot.

Apart from the holes and what is written beside them (``flute_drawing``), which change with every key press
and know nothing of mouths. Between the sounding edge and the foot everything is to scale; a slow-air
chamber, or the waste of a blank, is cut short with a break where it would take the room from the holes.
"""

from __future__ import annotations

from dataclasses import replace

from scaledesign.model.document import Design
from scaledesign.values import dataclass
from scaledesign.view.canvas import Canvas
from scaledesign.view.lines import Signs

OUTSIDE = 0.1
"""Share of the width that a slow-air chamber, or the waste of a blank, may take before it is cut short."""
STOPPER = 2
"""Cells of a plug or a stopper."""
GUESSED_WINDOW, GUESSED_EMBOUCHURE = 0.3, 0.6
"""Length of a mouth that is not stated, in bores; for the eye alone."""
SHORTEST = 1e-3
"""m: a tube is drawn as if it were no shorter."""


@dataclass(frozen=True, slots=True)
class Pieces:
    """What wood is drawn with: signs of one cell, and runs of them."""

    top: str
    bottom: str
    top_waste: str
    bottom_waste: str
    top_edge: str
    """The upper wall, sharpened, from the edge on."""
    bottom_edge: str
    solid: str
    flue: str
    """The plug under the upper wall, with the slit that the air takes."""
    notch: str
    node: str
    """Over a stretch where no hole may go."""
    foot_hole: str
    """The hole in a node at the foot."""
    cut: str
    broken: str
    measured: str
    """Where a measuring line begins."""


_DRAWN = Pieces(
    top="▄", bottom="▀", top_waste="▖", bottom_waste="▘", top_edge="▁▂▃", bottom_edge="▔",
    solid="█", flue="▇", notch=">", node="░", foot_hole="▒", cut="┊", broken="╱╱", measured="├",
)  # fmt: skip
_THIN = replace(_DRAWN, top="▁", bottom="▔", top_waste="╴", bottom_waste="╴", top_edge="")
_TYPED = Pieces(
    top="=", bottom="=", top_waste="-", bottom_waste="-", top_edge="_", bottom_edge="-",
    solid="#", flue="#", notch=">", node=":", foot_hole=":", cut=":", broken="//", measured="|",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rows:
    """Which line shows what; None: no room for it. ``middle`` are the lines of the bore."""

    top: int | None
    middle: range
    bottom: int | None
    names: int | None
    notes: int | None
    hands: int | None = None

    @property
    def axis(self) -> int:
        """The line through the holes."""
        return self.middle[len(self.middle) // 2]

    @property
    def tube(self) -> range:
        """All lines of the tube, walls included."""
        first = self.middle[0] if self.top is None else self.top
        last = self.middle[-1] if self.bottom is None else self.bottom
        return range(first, last + 1)


def rows_of(height: int) -> Rows:
    """What to do with ``height`` lines; beyond eight the rest stays blank."""
    plans = {
        1: Rows(None, range(1), None, None, None),
        2: Rows(None, range(1), None, 1, 1),
        3: Rows(0, range(1, 2), 2, 2, 2),
        4: Rows(0, range(1, 2), 2, 3, 3),
        5: Rows(1, range(2, 3), 3, 0, 4),
        6: Rows(0, range(1, 4), 4, 5, 5),
        7: Rows(1, range(2, 5), 5, 0, 6),
        8: Rows(2, range(3, 6), 6, 1, 7, hands=0),
    }
    return plans[min(height, 8)]


def pieces_of(signs: Signs, rows: Rows) -> Pieces:
    """The pieces that go with a set of signs; a wall that names are written on is a thin one."""
    if not signs.parts:
        return _TYPED
    return _THIN if rows.names == rows.bottom else _DRAWN


@dataclass(frozen=True, slots=True)
class Frame:
    """Where x falls."""

    head: int
    """Cells before the sounding edge."""
    scale: float
    """Cells a metre."""
    foot: int
    """Cell of the cut line; the tube ends on its left."""
    waste: int
    """Cells beyond the cut."""
    short_head: bool
    """The head is drawn shorter than it is."""
    short_waste: bool

    def cell(self, x: float) -> float:
        """Place of ``x`` (m from the sounding edge) in cells; whole numbers lie between two cells."""
        return self.head + x * self.scale


def frame_of(design: Design, width: int) -> Frame:
    """Share ``width`` cells out over what lies before the edge, the tube, and what will be cut off."""
    tube = design.tube
    length = max(tube.length, SHORTEST)
    rough, most, third = width / length, max(3, round(OUTSIDE * width)), width // 3
    head, short_head = 0, False
    match design.instrument.mouth:
        case "duct":
            chamber = round(tube.chamber.length * rough) if tube.chamber else 1
            short_head = chamber > most
            head = window_cells(design, rough) + STOPPER + max(1, min(most, chamber))
        case "transverse":
            behind = round((design.voicing.cavity + embouchure_length(design) / 2) * rough)
            head = STOPPER + max(1, min(most, behind))
    head = min(head, third)
    off = round(((tube.blank or 0.0) - length) * rough)
    waste = min(max(off, 0), most, third)
    foot = max(head + 1, width - waste - 1)
    return Frame(head, (foot - head) / length, foot, waste, short_head, off > waste)


def window_cells(design: Design, scale: float) -> int:
    """Cells of a duct's window."""
    window = design.voicing.window
    length = window.length if window else GUESSED_WINDOW * design.tube.bore[0].value
    return max(1, round(length * scale))


def embouchure_length(design: Design) -> float:
    """Length (m) of an embouchure hole along the bore."""
    hole = design.voicing.embouchure
    return hole.length if hole else GUESSED_EMBOUCHURE * design.tube.bore[0].value


def draw_body(canvas: Canvas, design: Design, signs: Signs, rows: Rows, frame: Frame) -> None:
    """Walls, what is left of a blank, mouth, nodes, foot and cut line."""
    pieces = pieces_of(signs, rows)
    _walls(canvas, signs, pieces, rows, frame)
    _mouth(canvas, design, pieces, rows, frame)
    for start, stop in design.tube.avoid:
        first = round(frame.cell(start))
        count = max(1, round(frame.cell(stop)) - first)
        for row in rows.middle:
            canvas.put(row, first, pieces.node * count, "faint")
        for wall in (rows.top, rows.bottom):
            if wall is not None:
                canvas.put(wall, first, pieces.solid * count, "wood")
    _foot(canvas, design, signs, pieces, rows, frame)


def _walls(canvas: Canvas, signs: Signs, pieces: Pieces, rows: Rows, frame: Frame) -> None:
    if rows.top is None or rows.bottom is None:
        canvas.put(rows.axis, 0, signs.across * frame.foot, "wood")
        return
    canvas.put(rows.top, 0, pieces.top * frame.foot, "wood")
    canvas.put(rows.bottom, 0, pieces.bottom * frame.foot, "wood")
    canvas.put(rows.top, frame.foot + 1, pieces.top_waste * frame.waste, "faint")
    canvas.put(rows.bottom, frame.foot + 1, pieces.bottom_waste * frame.waste, "faint")
    if frame.short_waste:
        _break(canvas, pieces, rows, frame.foot + 1, canvas.width)


def _break(canvas: Canvas, pieces: Pieces, rows: Rows, start: int, stop: int) -> None:
    """Where a part is drawn shorter than it is."""
    if stop - start >= 3 * len(pieces.broken):
        for row in rows.tube:
            canvas.put(row, (start + stop - len(pieces.broken)) // 2, pieces.broken, "faint")


def _mouth(canvas: Canvas, design: Design, pieces: Pieces, rows: Rows, frame: Frame) -> None:
    kind, head = design.instrument.mouth, frame.head
    if kind == "duct":
        window = min(window_cells(design, frame.scale), head)
        plug = max(0, head - window - STOPPER)
        for row in rows.middle:
            sign = pieces.flue if row == rows.middle[0] and rows.top is not None else pieces.solid
            canvas.put(row, plug, sign * min(STOPPER, head - window), "wood")
        if rows.top is not None:
            canvas.put(rows.top, head - window, " " * window)
        if frame.short_head:
            _break(canvas, pieces, rows, 0, plug)
    if kind == "transverse":
        for row in rows.middle:
            canvas.put(row, 0, pieces.solid * min(STOPPER, head), "wood")
    if kind in ("duct", "notch", "rim") and rows.top is not None:
        canvas.put(rows.top, head, pieces.top_edge, "wood")
    if kind == "rim" and rows.bottom is not None:
        canvas.put(rows.bottom, head, pieces.bottom_edge, "wood")
    if kind == "notch":
        canvas.put(rows.axis, head, pieces.notch, "wood")


def _foot(canvas: Canvas, design: Design, signs: Signs, pieces: Pieces, rows: Rows, frame: Frame) -> None:
    kind, locked = design.tube.foot.kind, design.tube.locked
    last = frame.foot - 1
    if kind in ("stopped", "node"):
        for row in rows.middle:
            pierced = kind == "node" and row == rows.axis
            canvas.put(row, last, pieces.foot_hole if pierced else pieces.solid, "wood")
    if kind == "flanged":
        for wall in (rows.top, rows.bottom):
            if wall is not None:
                canvas.put(wall, last, pieces.solid, "wood")
    for row in rows.tube:
        canvas.put(row, frame.foot, signs.down if locked else pieces.cut, "held" if locked else "label")
