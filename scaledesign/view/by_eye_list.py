"""The layout without a tape, as lists: by a cord, by fingers, by the bore, and rules of thumb; one put in.

Apart from the reckoning (``workshop/by_eye.py``, ``rules_of_thumb.py``), which the ``cord`` command shares.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.model.edits import Become
from scaledesign.model.units import format_length
from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass
from scaledesign.view.columns import Sheet, signed
from scaledesign.view.found_lines import off_span
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.workshop.by_eye import NAMES, Layout, Rounded, Way, how_to, layouts, serves_best
from scaledesign.workshop.remedy_words import DIFFERENCES
from scaledesign.workshop.rules_of_thumb import Judged, applies, judged

BELOW = 6
"""Lines beneath the list."""
MARK = 27
"""Letters of a mark."""
NAME = 20
"""Letters of a rule's name."""
PAGES: dict[Way, str] = {"cord": "cord", "two folds": "two folds", "fingers": "fingers", "bore": "bore"}
HELP = (
    (
        "Each hole goes to the nearest mark. moves: toward the foot (+) or the mouth. costs: the note that "
        "this hole's move alone shifts most. Beneath stand the cents of all notes, as this hole alone shifts "
        f"them and with all holes at their marks. {DIFFERENCES}"
    ),
    (
        "Enter puts these places in as one step and locks them, and the foot, with the widths chosen anew "
        "where that helps. Widths stay free for what you change later."
    ),
    (
        "Rules of thumb are common practice, no source. Such a rule knows neither your wall nor your mouth: "
        "the model plays it on this tube, every hole half as wide as the bore."
    ),
)


@dataclass(frozen=True)
class Placed:
    """Places to put in."""

    design: Design
    name: str
    """What the menu says."""


def without_a_tape(sheet: Sheet) -> tuple[Listing, ...]:
    """A list for each way of measuring, and one for the rules of thumb.

    Raises
    ------
    EditError
        for a flute without holes.
    UnknownNameError, NoPitchError
    """
    if not sheet.design.holes:
        raise EditError("this flute has no holes", "add holes first, or lay out a new flute")
    found = layouts(sheet.design)
    best = serves_best(found, others=False)
    rules = (_rules(sheet, judged(sheet.design)),) if applies(sheet.design) else ()
    return (*(_layout(sheet, one, best) for one in found), *rules)


def _layout(sheet: Sheet, found: Layout, best: str) -> Listing:
    units = sheet.design.units
    head = (
        Span(
            f"hole   {'from the foot'.ljust(MARK)}{'from edge'.rjust(10)}{'moves'.rjust(8)}  costs", "label"
        ),
    )
    order = sorted(found.holes, key=lambda one: -found.design.holes[one.hole].at)
    entries = tuple(_hole(sheet, found, one) for one in order)
    said = f"{best} Here: {NAMES[found.way]}, {format_length(found.measure, units)}; F1 tells the steps."
    steps = " ".join(f"{n}. {text}" for n, text in enumerate(how_to(sheet.design, found), 1))
    return Listing(
        PAGES[found.way], said, head, entries, BELOW, verb="put these places in",
        help=(f"How to lay it out: {steps}", *HELP),
    )  # fmt: skip


def _hole(sheet: Sheet, found: Layout, one: Rounded) -> Entry:
    design, units = sheet.design, sheet.design.units
    hole = design.holes[one.hole]
    finger = "" if hole.finger == "none" else hole.finger
    moves = f"{sheet.signs.minus if one.shift < 0 else '+'}{format_length(abs(one.shift), units, unit=False)}"
    shifted = _most(design, one.cents)
    line: Line = (
        Span(f"{one.hole + 1:>2} {finger.ljust(4)}", "strong"),
        Span((one.mark.words if one.mark else "as it is").ljust(MARK)),
        Span(format_length(found.design.holes[one.hole].at, units, unit=False).rjust(10)),
        Span((moves if one.mark else "").rjust(8), "faint"),
        *((Span(f"  {design.rows[shifted].note.ljust(4)}"), off_span(sheet, float(one.cents[shifted]), 6))
          if shifted is not None and one.mark else (Span("  nothing", "faint"),)),
    )  # fmt: skip

    def about(width: int, height: int) -> tuple[Line, ...]:
        row, worst = found.worst(chosen=True)
        note = "" if row is None else f", {design.rows[row].note}"
        then = (
            "Other widths hardly help."
            if found.chosen is found.design
            else f"With widths chosen anew, to your bits: {abs(worst):.0f} cents at worst{note}."
        )
        lines = (
            (Span("This hole alone shifts", "label"),),
            *note_lines(sheet, one.cents, width),
            (Span("All holes at their marks", "label"),),
            *note_lines(sheet, found.cents, width),
            (Span(then),),
        )
        return lines[:height]

    value = Placed(found.chosen, f"lay out by {NAMES[found.way]}")
    return Entry(line, about, value, f"{one.hole + 1} {finger}")


def _most(design: Design, cents: Floats) -> int | None:
    rows = [i for i, row in enumerate(design.rows) if row.counts and isfinite(cents[i])]
    most = max(rows, key=lambda i: abs(cents[i]), default=None)
    return most if most is not None and abs(cents[most]) >= 0.5 else None


def note_lines(sheet: Sheet, cents: Floats, width: int) -> tuple[Line, ...]:
    """Cents of every note that counts, as many side by side as there is room for."""
    rows = [i for i, row in enumerate(sheet.design.rows) if row.counts]
    across = max(1, width // 10)
    lines = []
    for first in range(0, len(rows), across):
        spans: list[Span] = []
        for i in rows[first : first + across]:
            value = float(cents[i])
            text = signed(value, sheet.signs) if isfinite(value) else "silent"
            tone = off_span(sheet, value).tone if isfinite(value) else "wrong"
            spans.append(Span(f"{sheet.design.rows[i].note} {text}".ljust(10), tone))
        lines.append(tuple(spans))
    return tuple(lines)


def _rules(sheet: Sheet, found: Sequence[Judged]) -> Listing:
    head = (Span(f"{'rule of thumb'.ljust(NAME)}{'worst'.rjust(8)}  at    nearest scale", "label"),)
    said = (
        "Rules of thumb (common practice, no source), laid out on this tube and played by the model; every "
        "hole half as wide as the bore."
    )
    entries = tuple(_rule(sheet, one) for one in found)
    return Listing("rules", said, head, entries, BELOW, verb="put these places in", help=HELP)


def _rule(sheet: Sheet, one: Judged) -> Entry:
    design = sheet.design
    note = "" if one.worst_row is None else design.rows[one.worst_row].note
    near = "" if one.nearest is None else f"{one.nearest.name}, {abs(one.nearest.worst):.0f} cents off"
    worst = off_span(sheet, one.worst, 8) if isfinite(one.worst) else Span("silent".rjust(8), "wrong")
    line: Line = (
        Span(one.name.ljust(NAME), "strong" if one.usable else "plain"),
        worst,
        Span(f"  {note.ljust(6)}"),
        Span(near, "faint"),
    )

    def about(width: int, height: int) -> tuple[Line, ...]:
        words = wrapped(f"{one.verdict} The rule: {one.words}.", width)
        return (*note_lines(sheet, one.cents, width), *words)[:height]

    return Entry(line, about, Placed(one.design, f"lay out {one.name}"), one.name)


def put_in(taken: Placed) -> Become:
    """The step that puts places in, locked."""
    return Become(taken.name, taken.design)
