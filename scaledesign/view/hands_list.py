"""How the flute lies under a hand, as lists: the pairs, what does not fit first, and remedies to put in.

Apart from the reckoning (``workshop/reach_remedies.py``), which the ``hands`` command shares.
"""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

from scaledesign.model.document import Design, Hand
from scaledesign.model.edits import Become
from scaledesign.model.hands import whose_hand
from scaledesign.model.units import format_length
from scaledesign.values import dataclass
from scaledesign.view.columns import Sheet, signed
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.found_lines import PICTURE, off_span
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.workshop.reach import Bridge, Misfit, bridges, for_hand, hand_words, misfit_words
from scaledesign.workshop.reach_remedies import Remedied, Remedy, remedies
from scaledesign.workshop.remedy_words import DIFFERENCES, drilled_words, effect, room_words

BELOW, BELOW_PAIRS = 9, 8
"""Lines beneath a list of remedies, and beneath the pairs with the flute."""
WHAT = 46
"""Letters of a remedy in the list."""
SHORT = {
    "turn": "turn hole {hole} toward the palm", "fingers": "other fingers",
    "narrower": "hole {hole} toward the mouth, narrower", "wider": "hole {hole} toward the foot, wider",
    "slant": "slant hole {hole}", "oval": "make hole {hole} oval", "flat fingers": "lay the fingers flat",
    "both": "two at once: holes {hole}", "anew": "lay all holes out anew", "bore": "a tube of another bore",
    "key": "another key",
}  # fmt: skip
"""What each kind of remedy is called in the list, and in the menu once it is put in."""
NO_SINGLE = "No single hole helps here without breaking another rule"
LOCKED = ("narrower", "wider", "slant", "oval", "both")
"""Kinds whose holes are locked as they are put in: else the solver would take them back."""
HELP = (
    (
        "apart: from centre to centre along the tube. reach: what the hand covers in comfort. tips: nearer "
        "than that two finger tips touch. What a hand covers is common practice, no source: lay it on the "
        "tube."
    ),
    (
        "A remedy was played by the model before it stands here. A hole that is moved has its width sought "
        "anew, so that its own note stays; it is locked when you put it in, so that solving again leaves it. "
        f"What is easier comes first. {DIFFERENCES}"
    ),
    (
        "H tries another hand: a name; or two measures, from index to ring finger spread in comfort and "
        "the breadth of a finger tip; or all five."
    ),
)


@dataclass(frozen=True)
class Fitted:
    """A remedy to put in."""

    design: Design
    name: str
    """What the menu says."""


def under_hand(sheet: Sheet, own: str | Hand | None = None) -> tuple[Listing, ...]:
    """The pairs of holes, then remedies for each thing that does not fit, then for the whole flute.

    ``own`` is another hand than the design's, to try: it goes into the design with a remedy.

    Raises
    ------
    UnknownNameError, NoPitchError
    """
    if own is not None:
        sheet = replace(sheet, design=for_hand(sheet.design, own))
    found = remedies(sheet.design)
    pages = [_pairs(sheet, found)]
    for one, group in zip(found.misfits, found.single, strict=True):
        name = " ".join(sheet.design.holes[i].finger for i in _along(sheet.design, one.holes))
        said = misfit_words(sheet.design, one, sheet.design.units)
        pages.append(_remedies(sheet, found, name, said, group))
    if found.misfits:
        said = "For everything at once: the hands, or the whole flute."
        pages.append(_remedies(sheet, found, "whole", said, found.whole))
    return tuple(pages)


def _along(design: Design, holes: tuple[int, ...]) -> list[int]:
    return sorted(holes, key=lambda i: design.holes[i].at)


def _pairs(sheet: Sheet, found: Remedied) -> Listing:
    design, units = sheet.design, sheet.design.units
    owner = whose_hand(design.shop.hand).capitalize()
    count = len(found.misfits)
    first = misfit_words(design, found.misfits[0], units) if count else "Everything lies under this hand."
    more = f" And {count - 1} more." if count > 1 else ""
    said = f"{first}{more} {owner}: {hand_words(design.shop.hand, units)}."
    head = (
        Span(f"{'fingers'.ljust(9)}holes  {'apart'.rjust(9)}{'reach'.rjust(9)}{'tips'.rjust(9)}", "label"),
    )
    best: dict[tuple[int, ...], Remedy | None] = {}
    for one, group in zip(found.misfits, found.single, strict=True):
        at = tuple(sorted(one.holes))
        best.setdefault(at, next((each for each in group if each.met and not each.breaks), None))
    entries = [_pair(sheet, found, one, best.get(tuple(sorted(one.holes)))) for one in bridges(design)]
    entries = [*(_wide(sheet, found, one, best) for one in found.misfits if one.kind == "pad"), *entries]
    return Listing(
        "reach", said, head, tuple(entries), BELOW_PAIRS, verb="put it in" if found.misfits else "",
        second=("H", "another hand"), always=True, help=HELP,
    )  # fmt: skip


def _pair(sheet: Sheet, found: Remedied, one: Bridge, best: Remedy | None) -> Entry:
    design, units = sheet.design, sheet.design.units

    def length(metres: float) -> str:
        return (format_length(metres, units, unit=False) if metres else "").rjust(9)

    i, j = _along(design, one.holes)
    fits = one.verdict == "fits"
    line: Line = (
        Span(f"{design.holes[i].finger} {design.holes[j].finger}".ljust(9), "plain" if fits else "strong"),
        Span(f"{i + 1} {j + 1}".ljust(7)),
        Span(length(one.along)),
        Span(length(one.most), "faint"),
        Span(length(one.least), "faint"),
        Span(f"  {room_words(one, units)}", "faint" if fits else "reach"),
    )
    return _fit_entry(sheet, found, line, (i, j), fits, best)


def _wide(sheet: Sheet, found: Remedied, one: Misfit, best: dict[tuple[int, ...], Remedy | None]) -> Entry:
    design, units = sheet.design, sheet.design.units
    hole = one.holes[0]
    line: Line = (
        Span(design.holes[hole].finger.ljust(9), "strong"),
        Span(f"{hole + 1}".ljust(7)),
        Span(f"{format_length(design.holes[hole].diameter, units)} wide".rjust(9)),
        Span(f"  too wide by {format_length(one.by, units)}", "reach"),
    )
    return _fit_entry(sheet, found, line, (hole,), False, best.get((hole,)))


def _fit_entry(
    sheet: Sheet, found: Remedied, line: Line, holes: tuple[int, ...], fits: bool, best: Remedy | None
) -> Entry:
    design = sheet.design

    def about(width: int, height: int) -> tuple[Line, ...]:
        picture = flute_lines(design, sheet.signs, width, PICTURE, hole=holes[-1])
        if fits:
            said = ["It fits as it is."]
        elif best is None:
            said = [f"{NO_SINGLE}; Tab shows what there is, and what helps the whole flute."]
        else:
            said = [f"What helps: {best.words}", effect(found, best)]
        late = drilled_words(found)
        words = (line for each in (*said, late) for line in wrapped(each, width))
        return (*picture, *words)[:height]

    refusal = "It fits as it is." if fits else f"{NO_SINGLE}; Tab shows the rest."
    return Entry(line, about, None if fits or best is None else fitted(design, best), refusal=refusal)


def _remedies(sheet: Sheet, found: Remedied, name: str, said: str, group: tuple[Remedy, ...]) -> Listing:
    late = drilled_words(found)
    if not group:
        said = f"{said} Nothing helps that can still be moved. {late}"
    head = (Span(f"{'what'.ljust(WHAT)} fits   worst  at", "label"),)
    entries = tuple(_remedy(sheet, found, one) for one in group)
    return Listing(
        name,
        said,
        head,
        entries,
        BELOW,
        verb="put it in",
        second=("H", "another hand"),
        always=True,
        help=HELP,
    )


def _remedy(sheet: Sheet, found: Remedied, one: Remedy) -> Entry:
    design = sheet.design
    good = one.met and not one.breaks
    worst = off_span(sheet, one.worst, 8) if isfinite(one.worst) else Span("silent".rjust(8), "wrong")
    note = "" if one.worst_row is None else one.design.rows[one.worst_row].note
    line: Line = (
        Span(short(one).ljust(WHAT + 1), "strong" if good else "plain"),
        Span(("yes" if good else "but" if one.met else "no").ljust(4), "true" if good else "reach"),
        worst,
        Span(f" {note}", "faint"),
    )

    def about(width: int, height: int) -> tuple[Line, ...]:
        words = (*wrapped(one.words, width), *wrapped(effect(found, one), width))
        return (*words, (), *_notes(sheet, one, width))[:height]

    return Entry(line, about, fitted(design, one), one.words)


def _notes(sheet: Sheet, one: Remedy, width: int) -> tuple[Line, ...]:
    """Cents off, of every note that counts."""
    spans: list[Span] = []
    lines: list[Line] = []
    used = 0
    for i, row in enumerate(one.design.rows):
        if not row.counts:
            continue
        off = f"{signed(float(one.cents[i]), sheet.signs)}" if isfinite(one.cents[i]) else "silent"
        text = f"{row.note} {off}".ljust(10)
        if used + len(text) > width:
            lines.append(tuple(spans))
            spans, used = [], 0
        tone = off_span(sheet, float(one.cents[i])).tone if isfinite(one.cents[i]) else "wrong"
        spans.append(Span(text, tone))
        used += len(text)
    return (*lines, tuple(spans))


def short(one: Remedy) -> str:
    """A remedy in a few words."""
    return SHORT[one.kind].format(hole=" and ".join(str(i + 1) for i in one.holes))


def fitted(design: Design, one: Remedy) -> Fitted:
    """A remedy as it is put in: holes that were made for the hand stay as they are."""
    made = one.design
    if one.kind in LOCKED:
        holes = tuple(
            replace(hole, locked=frozenset(("at", "diameter"))) if i in one.holes else hole
            for i, hole in enumerate(made.holes)
        )
        made = replace(made, holes=holes)
    return Fitted(made, short(one))


def put_in(taken: Fitted) -> Become:
    """The step that puts a remedy in."""
    return Become(taken.name, taken.design)
