"""Many flutes made from the one in hand, as a list: how many of them have each note in tune.

Apart from the reckoning (``workshop/chances.py``). Nothing is taken from it but the wish for more flutes.
"""

from __future__ import annotations

from collections.abc import Callable

from scaledesign.view.columns import Sheet, signed
from scaledesign.view.found_lines import drawn, room_for
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.workshop.chances import Chances, chances, in_words

MANY = 10_000
"""Flutes that are made where more are wished for."""
BELOW = 3
GOOD = 0.9
"""Share of flutes in tune from which a note is as good as sure."""
SELDOM = 0.005
"""Share of flutes up to which nothing is said of what would help."""
HELP = (
    "in tune: of a hundred flutes, those with this note within your tolerance; flat, sharp: the others.",
    "from, to: cents off between which half of the flutes lie.",
    (
        "What varies is what the ± in the grid is made of: the mouth, bore, wall and air, each hole's place "
        "and width, and what the calculation leaves out. How much, the file says under [uncertainty]."
    ),
    (
        "It is what becomes of flutes that are cut and drilled straight from the numbers. Made step by step, "
        "at the bench and with a tuner, most of it goes."
    ),
)


def many(sheet: Sheet, count: int) -> Listing:
    """``count`` flutes made from the one in hand.

    Raises
    ------
    EditError, UnknownNameError, NoPitchError
    """
    found = chances(sheet.design, count)
    head = (
        Span(
            f"{'note'.ljust(7)}{'fingering'.ljust(room_for(sheet))}in tune  flat  sharp   from    to", "label"
        ),
    )
    entries = tuple(_entry(sheet, found, place) for place in range(len(found.rows)))
    more = ("m", f"{MANY:,} flutes") if count < MANY else ("", "")
    return Listing(
        "chances", in_words(found, sheet.design), head, entries, BELOW, verb="", second=more, always=True,
        help=HELP,
    )  # fmt: skip


def _entry(sheet: Sheet, found: Chances, place: int) -> Entry:
    row = sheet.design.rows[found.rows[place]]
    within, sharp = float(found.within[place]), float(found.sharp[place])
    low, high = (signed(float(cents[place]), sheet.signs) for cents in (found.low, found.high))
    note = f"{row.note} ({row.register})" if row.register > 1 else row.note
    line: Line = (
        Span(note.ljust(7), "strong"),
        Span(drawn(sheet, "".join(row.holes)).ljust(room_for(sheet))),
        Span(f"{100 * within:>7.0f}", "true" if within >= GOOD else "plain"),
        Span(f"{100 * max(1 - within - sharp, 0.0):>6.0f}"),
        Span(f"{100 * sharp:>7.0f}"),
        Span(f"{low:>7}{high:>6}", "faint"),
    )
    return Entry(line, _about(sheet, found, place), words=row.note)


def _about(sheet: Sheet, found: Chances, place: int) -> Callable[[int, int], tuple[Line, ...]]:
    row = sheet.design.rows[found.rows[place]]
    off = float(found.planned[place])
    sharp, within = float(found.sharp[place]), float(found.within[place])
    closed = set(row.holes) <= {"X"}
    said = f"{row.note} as it is drawn: {signed(off, sheet.signs)} cents. Of 100 flutes {100 * sharp:.0f} "
    said += f"have it more than {found.tolerance:g} cents sharp"
    if sharp > SELDOM:
        said += ": cut too short, which nothing mends" if closed else ": those holes would have to be filled"
    said += "."
    if within < GOOD:
        said += " Leave the tube longer than drawn" if closed else " Drill it smaller than drawn"
        said += " and cut it by the tuner." if closed else " and open it by the tuner."
    return lambda width, height: wrapped(said, width)[:height]
