"""Lists of what plays the row in hand: fingerings best first, and trills to the next note.

Apart from charts, where notes are chosen together. What an entry becomes in the design is made here too: the
row itself fingered otherwise, or another row beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from scaledesign.errors import EditError, ScaledesignError
from scaledesign.model.document import Design
from scaledesign.model.edits import Become, Edit, SetRow, Several
from scaledesign.model.fingering import parse_fingering
from scaledesign.model.pitch import cents_between, parse_note
from scaledesign.model.scale import Tuned
from scaledesign.model.spelling import tuner_shows
from scaledesign.values import dataclass
from scaledesign.view.columns import Sheet
from scaledesign.view.desk import Desk
from scaledesign.view.found_lines import COST, about, cost_words, drawn, off_span, room_for, steadiness
from scaledesign.view.hearing import LONG, SHORT, pair
from scaledesign.view.lines import Line, Span
from scaledesign.view.listing import Entry, Listing, Tune
from scaledesign.view.selection import Selection
from scaledesign.workshop import ask
from scaledesign.workshop.chosen_rows import with_rows
from scaledesign.workshop.finder import FAR, Choice, Found, find, nearest
from scaledesign.workshop.playable import HALF_OPEN
from scaledesign.workshop.trills import Trill, trills
from scaledesign.workshop.wanted_notes import WantedNote

BEST = 24
"""Fingerings of a note that are listed."""
PAIRS = 16
"""Trills that are listed."""
STANDS = (
    "Every way to cover the holes is tried, in two registers, on the flute as it stands now. What you take "
    "goes into the row; then the holes follow it, unless you hold them still."
)
TRILL = (
    "Every fingering of the one note is tried with every one of the other. moves: the fingers that do; one "
    "finger is worth more than a few cents, and the breath cannot follow a change of register."
)
HARDLY_OPEN = 0.1
"""Open share of a hole that is tried where half of one is too much."""
WORDS = 34
"""Cells for what a fingering asks."""
BELOW = 6
"""Lines beneath the list: the flute, and two of words."""


Choices = Callable[[float], Choice]
"""Everything the flute can play where a hole is partly open by a share."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """Fingerings that were chosen, each for its note, and what stands for H in them."""

    notes: tuple[tuple[WantedNote, Found], ...]
    open_share: float


# What plays the row


def fingerings(sheet: Sheet, row: int, choices: Choices) -> tuple[Listing, ...]:
    """What plays a row's note, the cheapest first; the fingering it has is marked.

    Two lists where a hole is partly open by another share than half of it: that of the row, then half; and
    where half is too much for any fingering to play the note, one with a hole hardly open.

    Raises
    ------
    UnknownNameError
        when nobody offers the scale.
    EditError
        when there are too many holes to try all.
    """
    shares = [HALF_OPEN]
    if (own := _share(sheet.design, (row,))) != HALF_OPEN:
        shares.insert(0, own)
    elif not find(sheet.design, [_wanted(sheet.design, row).frequency], choice=choices(HALF_OPEN))[0]:
        shares.append(HARDLY_OPEN)
    return tuple(_fingerings(sheet, row, choices(share), share) for share in shares)


def _share(design: Design, rows: Sequence[int]) -> float:
    """What partly open means in some rows: the least of them that say so."""
    return min((design.rows[i].open_share for i in rows if "H" in design.rows[i].holes), default=HALF_OPEN)


def _fingerings(sheet: Sheet, row: int, choice: Choice, share: float) -> Listing:
    design = sheet.design
    wanted = _wanted(design, row)
    found = find(design, [wanted.frequency], best=BEST, choice=choice)[0]
    count = f"the {BEST} best fingerings" if len(found) == BEST else _counted(len(found))
    said = f"Row {row + 1}, {wanted.name}: {count} of this flute as it stands, the best first."
    if not found and (near := nearest(choice, wanted.frequency)) is not None:
        found = (near,)
        said = f"Row {row + 1}, {wanted.name}: no fingering within {FAR:.0f} cents. This one comes nearest."
    if choice.playable.remark:
        said = f"{said} {choice.playable.remark}"
    head = (
        Span(f"{'fingering'.ljust(room_for(sheet))}reg  {'plays'.ljust(8)}   off  cost  ", "label"),
        Span("what it asks of a player", "label"),
    )
    now = design.rows[row]
    is_now = tuple(
        "".join(now.holes) == each.letters
        and now.register == each.register
        and ("H" not in each.letters or now.open_share == share)
        for each in found
    )
    if len(found) > 1 and len(found) < BEST and not any(is_now):
        said = f"{said} How the row is fingered now is not among them."
    entries = tuple(
        _fingering(sheet, each, wanted, share, here) for each, here in zip(found, is_now, strict=True)
    )
    return Listing(
        f"holes {share * 100:.0f}% open", said, head, entries, BELOW, verb="into the row",
        second=("a", "another row"), help=(STANDS, *COST),
    )  # fmt: skip


def _counted(count: int) -> str:
    return "1 fingering" if count == 1 else f"{count} fingerings"


def _fingering(sheet: Sheet, found: Found, wanted: WantedNote, share: float, is_now: bool) -> Entry:
    words = "as it is now" if is_now else cost_words(found, WORDS)
    line: Line = (
        Span(drawn(sheet, found.letters).ljust(room_for(sheet)), "strong"),
        Span(f"{found.register:>3}  ", "faint" if found.register == 1 else "plain"),
        Span(tuner_shows(sheet.design, found.frequency).ljust(8)),
        off_span(sheet, found.cents, 6),
        Span(f"{found.total:>6.0f}  "),
        Span(words, "held" if is_now else "faint"),
    )
    said = [steadiness(found)]
    if is_now:
        said.append(f"It is how the row is fingered now: {cost_words(found)}.")
    return Entry(
        line,
        about(sheet, found.letters, said),
        Chosen(((wanted, found),), share),
        tune=Tune(
            ((found.frequency, LONG),), f"{drawn(sheet, found.letters)}, as the flute will play it."
        ),
    )  # fmt: skip


def into_row(design: Design, row: int, chosen: Chosen) -> Edit | None:
    """The row fingered so; None where it is already."""
    (wanted, found), share = chosen.notes[0], chosen.open_share
    now = design.rows[row]
    edits: list[Edit] = []
    holes = parse_fingering(found.letters)
    if now.holes != holes:
        edits.append(SetRow(row, "holes", holes))
    if now.register != found.register:
        edits.append(SetRow(row, "register", found.register))
    if "H" in holes and now.open_share != share:
        edits.append(SetRow(row, "open_share", share))
    return Several(f"finger {wanted.name} in row {row + 1}", tuple(edits)) if edits else None


def as_rows(design: Design, chosen: Chosen, name: str) -> Edit | None:
    """Rows for what was chosen, as one step; None where the design has them all.

    Raises
    ------
    UnknownNameError
        when nobody offers the scale.
    EditError
        when the result could not be a flute.
    """
    after = with_rows(design, tuned(design), chosen.notes, chosen.open_share)
    return None if len(after.rows) == len(design.rows) else Become(name, after)


def adding(desk: Desk, chosen: Chosen, name: str, now: float) -> Desk:
    """The desk with a row for each fingering that it has not, as one step.

    The cursor goes to a single new row; of several it stays on the row it was on.
    """
    try:
        edit = as_rows(desk.design, chosen, name)
    except ScaledesignError as fault:
        return desk.saying(str(fault), "wrong")
    if edit is None:
        return desk.saying("The design has these fingerings already.", "faint")
    done = desk.doing(edit, now)
    before, after = desk.design.rows, done.design.rows
    new = [i for i, row in enumerate(after) if not any(row is old for old in before)]
    if not new:
        return done
    cursor = desk.selections["rows"]
    here = new[0]
    if len(new) > 1 and before:
        old = before[min(cursor.row, len(before) - 1)]
        here = next((i for i, row in enumerate(after) if row is old), here)
    said = f"{done.said.text} {len(new)} {'row' if len(new) == 1 else 'rows'} more."
    selections = {**done.selections, "rows": Selection(here, cursor.column)}
    return replace(done, selections=selections).saying(said)


# Trills


def trill_list(sheet: Sheet, row: int, choices: Choices) -> Listing:
    """Pairs of fingerings for a row's note and the next higher one of the rows, the easiest first.

    Raises
    ------
    EditError
        when no other row has another note.
    UnknownNameError
        when nobody offers the scale.
    """
    design = sheet.design
    low = _wanted(design, row)
    other = _next(design, row)
    if other is None:
        raise EditError("A trill needs two notes", "add a row for the other one")
    low, high = sorted((low, _wanted(design, other)), key=lambda note: note.frequency)
    choice = choices(_share(design, (row, other)))
    found = trills(choice, low.frequency, high.frequency, best=PAIRS)
    said = f"{low.name} to {high.name}: " + (
        f"the {len(found)} easiest trills, by the fingers that move and by pitch."
        if found
        else "the flute has no two fingerings for it."
    )
    width = room_for(sheet)
    head = (
        Span(f"{low.name.ljust(width)}reg   off  {high.name.ljust(width)}reg   off  cost  moves", "label"),
    )
    entries = tuple(_trill(sheet, each, (low, high), choice) for each in found)
    return Listing("trills", said, head, entries, BELOW, verb="add both as rows", help=(TRILL, *COST))


def _trill(sheet: Sheet, trill: Trill, notes: tuple[WantedNote, WantedNote], choice: Choice) -> Entry:
    spans: list[Span] = []
    for found in (trill.low, trill.high):
        spans += [
            Span(drawn(sheet, found.letters).ljust(room_for(sheet)), "strong"),
            Span(f"{found.register:>3}", "faint" if found.register == 1 else "plain"),
            off_span(sheet, found.cents, 6),
            Span("  "),
        ]
    fingers = " ".join(trill.fingers) if len(trill.fingers) < 4 else f"{len(trill.fingers)} fingers"
    spans += [Span(f"{trill.total:>4.0f}  "), Span(fingers, "plain" if len(trill.fingers) == 1 else "faint")]
    low, high = trill.low, trill.high
    said = (f"The lower note: {cost_words(low)}.", f"The higher: {cost_words(high)}.")
    beats = tuple(each for _ in range(3) for each in pair(low.frequency, high.frequency))
    return Entry(
        tuple(spans),
        about(sheet, low.letters, said),
        Chosen(((notes[0], low), (notes[1], high)), choice.playable.open_share),
        tune=Tune(tuple((hertz, SHORT / 4) for hertz, _ in beats), "The trill, as the flute will play it."),
    )


def _next(design: Design, row: int) -> int | None:
    """The row with the next higher note; where there is none, the next lower."""
    targets = ask.targets(design)
    off = [(cents_between(targets[row], hertz), i) for i, hertz in enumerate(targets)]
    above = [each for each in off if each[0] > FAR]
    below = [(-cents, i) for cents, i in off if cents < -FAR]
    return min(above or below, default=(0.0, None))[1]


def _wanted(design: Design, row: int) -> WantedNote:
    return WantedNote(design.rows[row].note, ask.targets(design)[row])


def tuned(design: Design) -> Tuned:
    """The design's own scale, tonic and reference.

    Raises
    ------
    UnknownNameError
    """
    return Tuned(ask.scale_of(design), parse_note(design.tuning.tonic), design.tuning.reference)
