"""A new flute begun with the maker's book, and what was done on an old one: the book in use.

Apart from what the book says (``book.py``), which lays nothing out.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from scaledesign.errors import ScaledesignError
from scaledesign.model.document import Design, Units
from scaledesign.model.fingering import format_fingering
from scaledesign.model.pitch import reading_frequency
from scaledesign.model.units import format_cents, format_length, format_temperature
from scaledesign.solver.problem import CENT
from scaledesign.workshop import ask, start
from scaledesign.workshop.book import Book
from scaledesign.workshop.book_advice import Advice, advise, bare, noted, stated
from scaledesign.workshop.book_words import better

if TYPE_CHECKING:
    from scaledesign.solver.solution import Solution
    from scaledesign.workshop.start import Wanted

LAST = 8
"""Entries of a log that are told, the newest."""


def advice_for(want: Wanted, book: Book, length: float | None = None) -> Advice:
    """What the book says of the flute that is wanted; ``length`` (m), where it is known how long it will be.

    Raises
    ------
    EditError
    """
    blank = start.blank_design(want)
    if length is not None:
        blank = replace(blank, tube=replace(blank.tube, length=length))
    return advise(book, blank)


def new_from_book(want: Wanted, book: Book | None, when: datetime | None = None) -> Solution:
    """A first design for the tube in hand, its mouth as the book has it; as without where it has nothing.

    Its log says from which flutes, and the solution's first note what that is worth.

    Raises
    ------
    UnknownNameError, QuantityError, EditError, NoPitchError
    """
    if book is None:
        return ask.new_design(want)
    advice = advice_for(want, book)
    if not advice.alike:
        found = ask.new_design(want)
        return replace(found, notes=(f"{better(advice, doubts(found.design, advice))}.", *found.notes))
    mouth = stated(start.blank_design(want), advice).voicing
    found = ask.new_design(want, mouth)
    moment = (when or datetime.now()).replace(microsecond=0)
    design = noted(found.design, advice, moment)
    words = f"Your book: {better(advice, doubts(design, advice))}. It goes by {advice.words}."
    return replace(found, design=design, notes=(words, *found.notes))


def doubts(design: Design, advice: Advice) -> tuple[float, float]:
    """± in cents without the book and with it: of the least certain note that counts, as everywhere.

    Of the bare tube's note where there are no rows yet, or none that sounds.
    """
    plain = bare(design)
    counted = [i for i, row in enumerate(plain.rows) if row.counts]
    try:
        found = [ask.predict(each).uncertainty[counted] for each in (plain, stated(plain, advice))]
    except ScaledesignError:
        found = []
    if not counted or not found:
        return replace(advice, plain=plain).cents
    return float(found[0].max()), float(found[1].max())


def story(design: Design, units: Units) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What was done on a flute: headings, and lines under each; none that would be empty."""
    parts = (
        ("what it is", _settings(design, units)),
        ("the notes it played", played(design)),
        ("its log", _log(design, units)),
        ("your notes", tuple(design.notes.split("\n")) if design.notes.strip() else ()),
    )
    return tuple((name, lines) for name, lines in parts if lines)


def _settings(design: Design, units: Units) -> tuple[str, ...]:
    def shown(metres: float) -> str:
        return format_length(metres, units)

    tube, voicing, shop = design.tube, design.voicing, design.shop
    size = " x ".join(map(shown, (tube.bore[0].value, tube.wall[0].value, tube.length)))
    made_of = design.instrument.material or design.instrument.mouth
    lines = [f"{size}, {made_of}, {len(design.holes)} holes"]
    if voicing.window is not None:
        lines.append(f"window {shown(voicing.window.length)} long, {shown(voicing.window.width)} wide")
    if voicing.embouchure is not None:
        hole = voicing.embouchure
        lines.append(f"mouth hole {shown(hole.length)} along, {shown(hole.width)} across")
    bits = shop.bits if isinstance(shop.bits, str) else "your own"
    hand = shop.hand if isinstance(shop.hand, str) else "your own"
    lines.append(f"{bits} bits, {hand} hand, {format_temperature(design.air.temperature)}")
    return tuple(lines)


def played(design: Design) -> tuple[str, ...]:
    """What each row that was read played, and how far off what was wanted; () where none was."""
    read = [i for i, row in enumerate(design.rows) if row.measured]
    try:
        wanted: tuple[float, ...] = ask.targets(design)
    except ScaledesignError:
        wanted = ()
    lines = []
    for i in read:
        row, off = design.rows[i], ""
        if wanted:
            cents = CENT * np.log(reading_frequency(row.measured, design.tuning.reference) / wanted[i])
            off = f": {format_cents(float(cents))} cents"
        lines.append(f"{row.note} {format_fingering(row.holes)} played {row.measured}{off}")
    return tuple(lines)


def _log(design: Design, units: Units) -> tuple[str, ...]:
    """The newest entries of the log, a line each."""
    lines = [] if len(design.log) <= LAST else [f"{len(design.log) - LAST} entries before these"]
    for entry in design.log[-LAST:]:
        words = [f"{entry.when.date().isoformat()} {entry.event}"]
        if entry.hole is not None:
            words.append(f"hole {entry.hole + 1}")
        elif entry.event == "measured":
            words.append(format_fingering(entry.holes) if entry.holes else "the bare tube")
        if entry.diameter is not None:
            words.append(f"to {format_length(entry.diameter, units)}")
        if entry.measured:
            words.append(entry.measured)
        if entry.note and not (entry.event == "measured" and entry.note == "the bare tube"):
            words.append(entry.note)
        lines.append(" ".join(words))
    return tuple(lines)
