"""The maker's book as two lists: the flutes with what each taught, and what they say of the flute in hand.

Apart from the reckoning (``workshop/book.py``). Beneath a flute stands what was done on it: its log, its
settings, the notes it played.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import lru_cache
from math import expm1
from pathlib import Path

from scaledesign.errors import ScaledesignError
from scaledesign.files import document_file
from scaledesign.model.document import Design
from scaledesign.model.edits import Become
from scaledesign.model.units import format_cents, format_length
from scaledesign.view.columns import Sheet
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.workshop.book import Book, Flute, called
from scaledesign.workshop.book_advice import Advice, advise, taken
from scaledesign.workshop.book_words import better, habits, warnings, why_not
from scaledesign.workshop.from_book import doubts, story

NAME, BORE, LEARNT = 15, 7, 15
"""Letters of a name, of a bore, of what was learnt and its doubt: 1 1/16; 1 3/16 ± 1/16."""
BELOW = 8
"""Lines beneath: what was done on the flute."""
BRIEF = 6
MANY = 20
"""Lines beneath the second list; flutes from which a name can be typed."""
BLOWN = "This flute was blown: its own readings say more than any book."
NOTHING = "Your book has nothing like this flute; blow the bare tube, and the next one has."
HELP = (
    (
        "measures: the length of tube that the mouth should add by its measures. learnt: what the flute's "
        "own readings say it adds, and how surely. off: how far apart these are. cents: how much sharper or "
        "flatter the bare tube is for it."
    ),
    (
        "A flute teaches if its bare tube or its notes were blown and typed in here, at the bench, or with "
        "scaledesign calibrate; readings only written into a file want scaledesign calibrate FILE "
        "--in-place first. Enter opens a flute; beneath stands what you did on it."
    ),
)
HELP_THIS = (
    (
        "alike: how much a flute has in common with this one: bore, size of the opening, wall. Flutes with "
        "another kind of mouth say nothing of it."
    ),
    (
        "Enter puts what they say together into this flute, as one step: its mouth, the ± of it, and a "
        "line in the log that says from which flutes. The holes follow."
    ),
)


def lists(sheet: Sheet, book: Book, path: Path | None) -> tuple[Listing, ...]:
    """Both lists; ``path`` is the file of the flute in hand, which says nothing of itself."""
    return flutes(sheet, book), this_flute(sheet, book.without(path, sheet.design))


def flutes(sheet: Sheet, book: Book) -> Listing:
    """The flutes with what each taught; those that were not blown come last."""
    taught = book.taught
    rest = tuple(flute for flute in book.flutes if not flute.counts)
    plus = sheet.signs.plus_minus
    told, odd = habits(book, sheet.design.units), warnings(book)
    said = told[0] if taught else _nothing(book)
    if odd:
        said += f" {len(odd)} remark{'' if len(odd) == 1 else 's'}: F1."
    head = (
        Span(f"{'flute'.ljust(NAME)} key  {'bore'.rjust(BORE)} {'mouth'.ljust(10)}measures", "label"),
        Span(f"{f'learnt  {plus}'.rjust(LEARNT)}  off cents", "label"),
    )
    entries = tuple(_flute(sheet, flute) for flute in (*taught, *rest))
    in_units = f"Lengths are in {sheet.design.units}."
    return Listing(
        "flutes", said, head, entries, BELOW, verb="open it", help=(*told, *odd, in_units, *HELP),
        searched=len(entries) > MANY,
    )  # fmt: skip


def _nothing(book: Book) -> str:
    """Why the folder teaches nothing."""
    if any(flute.unlearnt for flute in book.flutes):
        return f"Flutes in {book.folder} hold readings, but nothing was learnt from them yet."
    return f"No flute in {book.folder} was blown yet: it has nothing to teach."


def _flute(sheet: Sheet, flute: Flute) -> Entry:
    units, signs = sheet.design.units, sheet.signs

    def shown(metres: float) -> str:
        return format_length(metres, units, unit=False)

    line: Line = (
        Span(_short(called(flute), NAME, signs.ellipsis), "strong" if flute.counts else "faint"),
        Span(f" {flute.key[:4].ljust(4)} {shown(flute.plain.tube.bore[0].value).rjust(BORE)} "),
        Span(flute.mouth.ljust(10), "faint"),
    )
    if flute.counts:
        line = (
            *line,
            Span(shown(flute.estimate.added_length).rjust(8), "faint"),
            Span(f"{shown(flute.learnt)} {signs.plus_minus} {shown(flute.doubt)}".rjust(LEARNT), "strong"),
            Span(f"{100 * expm1(flute.off):+.0f} %".rjust(6)),
            Span(format_cents(flute.cents).rjust(5), "sharp" if flute.cents > 0 else "flat"),
        )
    else:
        line = (
            *line,
            Span(f"  {why_not(flute)}", "faint"),
        )
    return Entry(line, _about(sheet, flute), flute.path, f"{flute.name} {flute.path.stem} {flute.mouth}")


def _about(sheet: Sheet, flute: Flute) -> Callable[[int, int], tuple[Line, ...]]:
    def lines(width: int, height: int) -> tuple[Line, ...]:
        try:
            parts = story(_loaded(flute.path), sheet.design.units)
        except ScaledesignError as error:
            return wrapped(str(error), width, "wrong")
        told: list[Line] = [(Span(_short(str(flute.path), width, sheet.signs.ellipsis).rstrip(), "faint"),)]
        for name, said in parts:
            told += [(Span(name, "label"),), *wrapped(_joined(said), width)]
        if len(told) > height:
            told = [*told[: height - 1], (Span("And more: Enter opens it.", "faint"),)]
        return tuple(told)

    return lines


def _joined(said: tuple[str, ...]) -> str:
    return ". ".join(line.rstrip(".") for line in said)


@lru_cache(maxsize=32)
def _loaded(path: Path) -> Design:
    return document_file.load(path)


def this_flute(sheet: Sheet, book: Book) -> Listing:
    """What the book says of the flute in hand, and the flutes that it rests on."""
    design, units = sheet.design, sheet.design.units
    if design.instrument.mouth == "open":
        return Listing(
            "this flute", "The mouth of this design is an ideal open end, which adds nothing.", (), ()
        )
    advice = advise(book, design)
    blown = design.voicing.calibrated
    if not advice.alike:
        return Listing("this flute", BLOWN if blown else NOTHING, (), ())
    added, by_measures = (
        format_length(value, units) for value in (advice.added_length, advice.estimate.added_length)
    )
    said = f"{better(advice, doubts(design, advice))}: its mouth adds {added}, by its measures {by_measures}."
    head = (Span(f"{'from'.ljust(NAME)} {'bore'.rjust(9)}  alike    off", "label"),)
    entries = tuple(_part(sheet, advice, flute, blown) for flute in advice.alike)
    return Listing(
        "this flute", f"{BLOWN} {said}" if blown else said, head, entries, BRIEF,
        verb="put it into this flute", help=HELP_THIS,
    )  # fmt: skip


def _part(sheet: Sheet, advice: Advice, flute: Flute, blown: bool) -> Entry:
    alike = advice.said.alike[advice.flutes.index(flute)]
    bore = format_length(flute.plain.tube.bore[0].value, sheet.design.units)
    line: Line = (
        Span(_short(called(flute), NAME, sheet.signs.ellipsis), "strong"),
        Span(f" {bore.rjust(9)} {100 * alike:4.0f} % {100 * expm1(flute.off):+5.0f} %"),
    )
    value = None if blown else advice
    return Entry(line, _about(sheet, flute), value, called(flute), refusal=BLOWN)


def put_in(design: Design, advice: Advice, when: datetime) -> Become:
    """The step that puts what the book says into the flute in hand.

    Raises
    ------
    EditError
        when the flute was blown meanwhile.
    """
    return Become("take the mouth from the book", taken(design, advice, when))


def _short(text: str, width: int, ellipsis: str) -> str:
    return text.ljust(width) if len(text) <= width else f"{text[: width - 1]}{ellipsis}"
