"""The flute in hand beside others: what each is worth, how it differs in words, and one taken over.

Apart from the reckoning (``workshop/variants.py``), which the ``compare`` command shares.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from math import isfinite

from scaledesign.model.document import Design
from scaledesign.model.edits import Become
from scaledesign.model.pitch import parse_note
from scaledesign.model.saying import begun
from scaledesign.model.scale import Tuned
from scaledesign.model.spelling import names_of
from scaledesign.model.units import format_length
from scaledesign.view.columns import Sheet
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.found_lines import PICTURE, off_span
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.view.scale_degrees import spelled
from scaledesign.workshop import ask
from scaledesign.workshop.variants import Variant, adopted, variants

NAME = 16
"""Letters of a name."""
BELOW = 11
"""Lines beneath: the flute, and words."""
HELP = (
    (
        "worst: the note of the scale that is furthest off, in cents. all: cents off, all its notes "
        "together. The third column is the doubt of the least certain note. notes: lowest and "
        "highest."
    ),
    "octaves: notes whose octave speaks. off: cents the worst of these octaves is off twice its low note.",
    (
        "touchy: cents that the touchiest note shifts when a hole is 0.1 mm out. spare: what the hand "
        "could still reach further; less than nothing is too far."
    ),
    (
        "Enter takes the other flute over as one step. The bench log goes on in it: it tells of the "
        "wood, not of the plan."
    ),
)
HERE = "this flute, now"


def compared(sheet: Sheet, others: Sequence[tuple[str, Design]]) -> Listing:
    """The flute in hand and others, each with what it is worth; the second is in hand.

    Raises
    ------
    UnknownNameError, NoPitchError
    """
    first = sheet.design
    found = variants([(HERE, first), *others], first.units)
    head = (
        Span(f"{''.ljust(NAME)}  worst  all   {sheet.signs.plus_minus}  {'notes'.ljust(11)}", "label"),
        Span("octaves    off touchy  spare", "label"),
    )
    entries = (_entry(sheet, found[0], None), *(_entry(sheet, one, one.design) for one in found[1:]))
    said = "What each is worth, cents off the notes of the scale first; beneath, what is other in it."
    return Listing("flutes", said, head, entries, BELOW, start=1, verb="take it over", help=HELP)


def _entry(sheet: Sheet, one: Variant, taken: Design | None) -> Entry:
    worth, units, signs = one.worth, sheet.design.units, sheet.signs
    told = one.design.tuning
    tuned = Tuned(ask.scale_of(one.design), parse_note(told.tonic), told.reference)

    def whole(value: float, width: int) -> str:
        return (f"{value:.0f}" if isfinite(value) else "").rjust(width)

    def note(hertz: float) -> str:
        return spelled(tuned, hertz, names_of(one.design)) if isfinite(hertz) else ""

    name = one.name if len(one.name) <= NAME else f"{one.name[: NAME - 1]}{signs.ellipsis}"
    spare = format_length(worth.spare, units, unit=False) if isfinite(worth.spare) else ""
    worst = off_span(sheet, worth.worst, 7) if isfinite(worth.worst) else Span(" " * 7)
    line: Line = (
        Span(name.ljust(NAME), "strong"),
        worst,
        Span(whole(worth.rms, 5)),
        Span(whole(worth.doubt, 4)),
        Span(f"  {note(worth.low)} to {note(worth.high)}".ljust(13)),
        Span(f"{worth.octaves} of {worth.of_octaves}".ljust(8)),
        off_span(sheet, worth.stretch, 6) if isfinite(worth.stretch) else Span(" " * 6),
        Span(whole(worth.touchy, 7)),
        Span(spare.rjust(7), "reach" if worth.spare < 0 else "plain"),
    )
    refusal = "That is the flute in hand; choose another to take over."
    return Entry(line, _about(sheet, one, taken is None), taken, one.name, refusal=refusal)


def _about(sheet: Sheet, one: Variant, first: bool) -> Callable[[int, int], tuple[Line, ...]]:
    worth, design = one.worth, one.design

    def lines(width: int, height: int) -> tuple[Line, ...]:
        said = "; ".join(one.differs) or "No difference that a hand or an ear would find"
        text: list[Line] = [] if first else [*wrapped(f"{begun(said)}.", width)]
        if worth.worst_row is not None:
            row = design.rows[worth.worst_row]
            hole = "" if worth.touchy_hole is None else f" Hole {worth.touchy_hole + 1} is the touchiest."
            text += wrapped(f"Furthest off: {row.note} in row {worth.worst_row + 1}.{hole}", width)
        text += (line for rule in worth.broken for line in wrapped(rule, width, "reach"))
        states = design.rows[0].holes if design.rows else ()
        drawn = replace(design, units=sheet.design.units)  # one page, one unit
        picture = flute_lines(drawn, sheet.signs, width, PICTURE, states=states)
        room = height - PICTURE
        if len(text) > room:
            text = [*text[: room - 1], (Span("And more: scaledesign compare tells all.", "faint"),)]
        return (*picture, *text)

    return lines


def taken_over(first: Design, chosen: Design, name: str, when: datetime) -> tuple[Become, tuple[str, ...]]:
    """The step that puts another design in the place of the one in hand, and what is to be said of it.

    The bench log goes on: it tells of the wood, not of the plan.
    """
    now = when.replace(microsecond=0)
    result = adopted(first, chosen, f"Took over {name}.", now)
    return Become(f"take over {name}", result.design), result.remarks
