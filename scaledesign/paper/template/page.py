"""Sheets of the drilling template: the strip's pieces laid on as few sheets as the paper allows.

Apart from the strip and its marks because this is the one place that knows the paper. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil
from typing import Any

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design, Units
from scaledesign.model.drill_step import DrillStep
from scaledesign.model.units import format_length
from scaledesign.paper.cautions import DRILLING
from scaledesign.paper.choices import PAPERS, PaperChoices
from scaledesign.paper.layout import ZERO_WORDS, origin_words
from scaledesign.paper.press import PPI, PageForm, pressed
from scaledesign.paper.report import scale_words
from scaledesign.paper.template.ink import Point, Stroke
from scaledesign.paper.template.joints import Piece, pieces_of
from scaledesign.paper.template.labels import hole_words
from scaledesign.paper.template.marks import Marks, marks_of, ways_of
from scaledesign.paper.template.strip import TAB, Strip, strip_of
from scaledesign.paper.template.unrolled import PAPER
from scaledesign.paper.text import LONG_NAME, NAME, held_together, on_one_line
from scaledesign.paper.unblown import unblown, warning
from scaledesign.values import dataclass

MARGIN = 10.0
"""mm that printers leave white (common practice, no source)."""
HEAD = 15.0
WARNED = {True: 5.5, False: 9.5}
FOOT = {True: 26.0, False: 38.5}
"""mm of title, of what is said there of a flute that was not blown yet, and of bars and advice on a page
that lies or stands."""
GAP = 5.0
"""mm between pieces, and between them and what is over and under them."""
SLACK = 0.5
"""mm at either end of a piece, for the breadth of its lines."""
LETTER, LINE = 1.3, 3.6
"""mm: breadth of a letter and height of a line of what is said under the strip."""
PAPER_WORDS = {"a4": "A4", "letter": "Letter"}
FIRST = "Safety data sheets, local rules and licensed practice come first."
UNIT_WORDS = {"mm": "Millimetres", "in": "Inches"}


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece on a sheet: where its front line begins, mm from the sheet's upper left corner."""

    piece: Piece
    sheet: int
    x: float
    y: float
    turned: bool
    """Whether the strip runs down the sheet, turned clockwise."""

    def at(self, point: Point) -> Point:
        """Where a place on the strip lies on the sheet."""
        u, v = point[0] - self.piece.start, point[1]
        x, y = (self.x - v, self.y + u) if self.turned else (self.x + u, self.y + v)
        return round(x, 4), round(y, 4)


@dataclass(frozen=True, slots=True)
class Plan:
    """How the strip is laid on sheets."""

    placed: tuple[Placed, ...]
    flipped: bool
    """Whether the paper lies on its long side."""
    width: float
    """mm of a sheet between its margins."""
    foot_at: float
    """mm from the upper edge of a sheet to its foot."""

    @property
    def sheets(self) -> int:
        """How many."""
        return self.placed[-1].sheet + 1

    @property
    def joints(self) -> tuple[float, ...]:
        """mm on the strip."""
        return tuple(each.piece.after for each in self.placed if each.piece.after is not None)


def template_pages(
    design: Design,
    choices: PaperChoices,
    form: PageForm,
    *,
    ppi: float = PPI,
    doubt: float | None = None,
    steps: Sequence[DrillStep] = (),
) -> tuple[bytes, ...]:
    """The drilling template at true size: one PDF, or an SVG or PNG for each sheet.

    Parameters
    ----------
    design : Design
    choices : PaperChoices
    form : "pdf", "svg" or "png"
    ppi : pixels an inch, for "png" only
    doubt : cents, one standard deviation of the least certain note; None: not known
    steps : the order of drilling, for the bit to begin each hole with; empty: not said

    Raises
    ------
    EditError
        when a hole is wider than the tube, the tube is thicker than the paper takes, or the holes leave
        no room for seam or joints.
    DesignError
        when measured from a cut end that the design does not state.
    """
    strip = strip_of(design)
    begun = {step.hole: step.start for step in steps}
    plan, marks = laid(design, strip, choices, begun)
    return pressed("template", _data(design, strip, choices, plan, marks, begun, doubt), form, ppi=ppi)


def laid(
    design: Design, strip: Strip, choices: PaperChoices, begun: Mapping[int, float] = {}
) -> tuple[Plan, Marks]:
    """Plan and marks; where a label found no room, the plan keeps some free to say it under the strip.

    ``begun`` (m) is the bit to begin a hole with, by its index.
    """
    plan = plan_of(design, strip, choices)
    marks = marks_of(design, strip, choices, plan.joints, begun)
    if marks.crowded:
        said = sum(len(hole_words(design, choices, hole, begun)) + 2 for hole in marks.crowded)
        lines = ceil(said * LETTER / (plan.width - LETTER * 10))
        plan = plan_of(design, strip, choices, lines * LINE)
        marks = marks_of(design, strip, choices, plan.joints, begun)
    return plan, marks


def head_of(design: Design, flipped: bool) -> float:
    """mm that the head of a sheet takes."""
    return HEAD + (WARNED[flipped] if unblown(design) else 0.0)


def plan_of(design: Design, strip: Strip, choices: PaperChoices, kept: float = 0.0) -> Plan:
    """The fewest sheets, then the fewest pieces, then the paper on its long side.

    A strip too broad to lie along a sheet runs down it. ``kept`` mm stay free above the foot.

    Raises
    ------
    EditError
        when the strip is wider than the paper, or no joint passes between the holes.
    """
    low, high = _breadth(strip)
    start = float(strip.ring(strip.start)[0].min()) * 1e3
    end = float(strip.ring(strip.end)[0].max()) * 1e3
    ways, tall = ways_of(design, strip), high - low
    short, long = (side * 1e3 for side in PAPERS[choices.paper])
    plans: list[Plan] = []
    for flipped, turned in ((True, False), (False, False), (True, True)):
        width, height = (long, short) if flipped else (short, long)
        inside, foot_at = width - 2 * MARGIN, height - MARGIN - FOOT[flipped]
        head = head_of(design, flipped)
        deep = foot_at - kept - MARGIN - head
        if turned:
            stack, room = int(not plans and tall + 2 * SLACK <= inside), deep - GAP
        else:
            stack, room = int((deep - GAP) // (tall + GAP)), inside - 2 * SLACK
        if not stack:
            continue
        pieces = pieces_of(start, end, room, ways)
        sheet = _Sheet(inside, MARGIN + head, deep, low, tall)
        placed = sheet.turned(pieces) if turned else sheet.stacked(pieces, stack)
        plans.append(Plan(tuple(placed), flipped, inside, foot_at))
    if not plans:
        units = choices.units_of(design.units)
        most = (long - 2 * MARGIN - 2 * SLACK) / 1e3 - TAB
        raise EditError(
            f"the tube is {format_length(strip.outside.around(0.0), units)} around, and "
            f"{PAPER_WORDS[choices.paper]} takes {format_length(most, units)}",
            "make the DXF, which is not cut into sheets, or mark this tube from the hole list",
        )
    return min(plans, key=lambda plan: (plan.sheets, len(plan.placed), not plan.flipped))


@dataclass(frozen=True, slots=True)
class _Sheet:
    """The room on a sheet: ``inside`` wide, ``deep`` from ``top``; a strip from v = ``low``, ``tall``. mm."""

    inside: float
    top: float
    deep: float
    low: float
    tall: float

    def stacked(self, pieces: tuple[Piece, ...], stack: int) -> Iterator[Placed]:
        """Pieces along the sheet, at most ``stack`` under each other, evenly."""
        for index, piece in enumerate(pieces):
            sheet, row = divmod(index, stack)
            count = min(stack, len(pieces) - sheet * stack)
            free = (self.deep - count * self.tall) / (count + 1)
            left = MARGIN + (self.inside - piece.length) / 2
            yield Placed(piece, sheet, left, self.top + free + row * (self.tall + free) - self.low, False)

    def turned(self, pieces: tuple[Piece, ...]) -> Iterator[Placed]:
        """Pieces down the sheet, one on each."""
        right = MARGIN + (self.inside + self.tall) / 2
        for sheet, piece in enumerate(pieces):
            yield Placed(piece, sheet, right + self.low, self.top + (self.deep - piece.length) / 2, True)


def _breadth(strip: Strip) -> tuple[float, float]:
    """Least v, and greatest with the tab, mm."""
    count = 50
    low, high = strip.line(strip.seam - 360.0, count)[1], strip.line(strip.seam, count)[1]
    return float(low.min()) * 1e3, (float(high.max()) + TAB) * 1e3


def _data(
    design: Design,
    strip: Strip,
    choices: PaperChoices,
    plan: Plan,
    marks: Marks,
    begun: Mapping[int, float],
    doubt: float | None,
) -> Mapping[str, Any]:
    units = choices.units_of(design.units)
    return {
        "paper": choices.paper,
        "flipped": plan.flipped,
        "margin": MARGIN,
        "head": head_of(design, plan.flipped),
        "width": plan.width,
        "foot-at": plan.foot_at,
        "title": on_one_line(design.name, LONG_NAME) or "Unnamed flute",
        "scale": on_one_line(scale_words(design).replace("#", "♯"), NAME),
        "about": f"Drilling template, true size. {_measured(design, choices)}",
        "warning": held_together(warning(design, units, doubt)),
        "tube": f"tube {_outside(strip, design.tube.length, units)} outside",
        "beside": "; ".join(hole_words(design, choices, hole, begun) for hole in marks.crowded),
        "measure": f"Measure the bars. If they are not 100 mm and 4 in long, print again on "
        f"{PAPER_WORDS[choices.paper]} at 100\u00a0%, not fitted to the page.",
        "how": _how(design, plan),
        "caution": f"{DRILLING.text} {FIRST}",
        "sheets": [_sheet(plan, marks, sheet) for sheet in range(plan.sheets)],
    }


def _measured(design: Design, choices: PaperChoices) -> str:
    if not design.holes:
        return "There are no holes yet."
    units = UNIT_WORDS[choices.units_of(design.units)]
    return f"{units}, from {origin_words(design, choices.origin)} to the middle of each hole."


def _outside(strip: Strip, length: float, units: Units) -> str:
    """Outer diameter at the edge, and at the foot where it differs; both diameters of an oval."""
    ends = []
    for x in (0.0, length):
        one, two = (format_length(2 * float(half[0]), units, unit=False)
                    for half in strip.outside.halves(np.array([x])))  # fmt: skip
        ends.append(one if one == two else f"{one} × {two}")
    return f"{ends[0] if ends[0] == ends[1] else ' to '.join(ends)} {units}"


def _how(design: Design, plan: Plan) -> list[str]:
    """What to do with the sheets, step by step; lines are called what they look like."""
    join = (
        "Join the pieces, letter to letter: cut one at its dotted line and lay it on the next, "
        "dotted line on dotted line, targets on targets. Tape."
    )
    wrap = (
        "Cut along the thick outer lines. Wrap the strip around the tube, print outside, front line on top, "
        f"the lines across where they say: {ZERO_WORDS[design.instrument.mouth][0]}, foot."
    )
    close = "Lay the plain long edge on the dashed line: each line across meets its own beginning. Tape."
    drill = (
        "Punch the middle of each cross. Drill towards the middle of the bore. "
        f"Drawn for office paper, {PAPER * 1e3:g}\u00a0mm thick."
    )
    return [*([join] if plan.joints else []), wrap, close, drill]


def _sheet(plan: Plan, marks: Marks, sheet: int) -> Mapping[str, Any]:
    strokes: list[Mapping[str, Any]] = []
    words: list[Mapping[str, Any]] = []
    for each in plan.placed:
        if each.sheet != sheet:
            continue
        start, end = each.piece.start, each.piece.end
        for stroke in (*_ends(marks, each.piece), *marks.on(start, end)):
            points = [each.at(point) for point in stroke.points]
            strokes.append({"look": stroke.look, "closed": stroke.closed, "points": points})
        for word in marks.words:
            if start <= word.box[0] and word.box[2] <= end:
                x, y = each.at((word.u, word.v))
                angle = (90 if each.turned else 0) - (90 if word.turned else 0)
                words.append(
                    {"face": word.face, "text": word.text, "x": x, "y": y, "size": word.size, "angle": angle}
                )
    return {"title": f"Sheet {sheet + 1} of {plan.sheets}", "strokes": strokes, "words": words}


def _ends(marks: Marks, piece: Piece) -> Iterator[Stroke]:
    """Where a piece is cut from its sheet at a joint."""
    for u, joint in ((piece.start, piece.before), (piece.end, piece.after)):
        if joint is not None:
            yield Stroke("end", tuple((u, v) for v in marks.across(u)))
