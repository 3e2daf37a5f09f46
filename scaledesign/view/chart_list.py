"""A whole chart proposed: a fingering a note over two registers, chosen so that few fingers move.

Apart from the list for one row: here the notes are chosen together (``workshop/whole_chart.py``), and all
that the design has not become rows in one step.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.pitch import cents_between
from scaledesign.view.columns import Sheet
from scaledesign.view.fingering_list import BELOW, Chosen, tuned
from scaledesign.view.found_lines import COST, about, cost_words, drawn, off_span, room_for, steadiness
from scaledesign.view.hearing import LONG
from scaledesign.view.lines import Line, Span
from scaledesign.view.listing import Entry, Listing, Tune
from scaledesign.workshop import ask, wanted_notes
from scaledesign.workshop.chosen_rows import with_rows
from scaledesign.workshop.finder import Choice, Found
from scaledesign.workshop.wanted_notes import ONE, WantedNote
from scaledesign.workshop.whole_chart import whole_chart

WORDS = 24
"""Cells for what a fingering asks."""
HELP = (
    (
        "One fingering a note, chosen together: notes that are in tune, and short ways from each to "
        "the next. moves: fingers that move from the note before."
    ),
    (
        "Enter adds a row for every fingering that the design has not; rows that are there stay. A "
        "row of a note that has one already, or that is overblown, gets the role other, the rest "
        "between."
    ),
    *COST,
)
SCALE, SEMITONES = "the scale", "all semitones"


def charts(sheet: Sheet, choice: Choice) -> tuple[Listing, ...]:
    """A chart of the design's scale, and one of all semitones, each over two registers.

    Raises
    ------
    EditError
        when the flute plays nothing.
    UnknownNameError
        when nobody offers the scale.
    """
    own = tuned(sheet.design)
    low = choice.frequency[(choice.register == 1) & (choice.ease.halves + choice.ease.thumb_halves == 0)]
    if not len(low):
        raise EditError("This flute plays nothing", "look at the length of the tube and at its foot")
    lowest = float(np.min(low))
    return tuple(
        _chart(sheet, name, notes, choice)
        for name, notes in (
            (SCALE, wanted_notes.of_scale(own, lowest)),
            (SEMITONES, wanted_notes.chromatic(own, lowest)),
        )
    )


def _chart(sheet: Sheet, name: str, notes: Sequence[WantedNote], choice: Choice) -> Listing:
    chart = whole_chart(choice, [note.frequency for note in notes])
    share = choice.playable.open_share
    both = list(zip(notes, chart.notes, strict=True))
    all_of_it = Chosen(tuple((note, found) for note, found in both if found), share)
    design, own = sheet.design, tuned(sheet.design)
    targets = ask.targets(design)
    new = [
        found is not None and len(with_rows(design, own, [(note, found)], share).rows) > len(design.rows)
        for note, found in both
    ]
    count, silent = sum(new), sum(found is None for _, found in both)
    said = f"{len(notes)} notes, two registers. From first to last {chart.moved} fingers move. "
    said += f"{count or 'No'} {'row is' if count == 1 else 'rows are'} new"
    said += f"; {silent} {'note has' if silent == 1 else 'notes have'} no fingering." if silent else "."
    head = (
        Span(f"note   {'fingering'.ljust(room_for(sheet))}reg   off  moves  cost         ", "label"),
        Span("what it asks of a player", "label"),
    )
    entries = tuple(
        _note(sheet, targets, note, found, is_new, all_of_it if count else None)
        for (note, found), is_new in zip(both, new, strict=True)
    )
    verb = f"add {count} {'row' if count == 1 else 'rows'}" if count else "nothing to add"
    if choice.playable.remark:
        said = f"{said} {choice.playable.remark}"
    return Listing(name, said, head, entries, BELOW, verb=verb, help=HELP)


def _note(
    sheet: Sheet,
    targets: Sequence[float],
    note: WantedNote,
    found: Found | None,
    new: bool,
    all_of_it: Chosen | None,
) -> Entry:
    name = Span(note.name[:6].ljust(7), "strong")
    refusal = "The design has a row for every note of it."
    if found is None:
        row = next(
            (i for i, hertz in enumerate(targets) if abs(cents_between(hertz, note.frequency)) <= ONE), None
        )
        also = "" if row is None else f"; row {row + 1} is for it"
        line: Line = (name, Span(f"nothing plays it with holes half open{also}", "faint"))
        return Entry(line, lambda width, height: (), all_of_it, refusal=refusal)
    line = (
        name,
        Span(drawn(sheet, found.letters).ljust(room_for(sheet))),
        Span(f"{found.register:>3}", "faint" if found.register == 1 else "plain"),
        off_span(sheet, found.cents, 6),
        Span(f"{found.moved:>7.0f}" if found.moved else " " * 7, "faint"),
        Span(f"{found.total:>6.0f}  "),
        Span("new    " if new else "       ", "held"),
        Span(cost_words(found, WORDS), "faint"),
    )
    tune = Tune(((found.frequency, LONG),), f"{note.name}, as the flute will play it.")
    below = about(sheet, found.letters, (steadiness(found),))
    return Entry(line, below, all_of_it, tune=tune, refusal=refusal)
