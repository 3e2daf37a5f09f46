"""What the maker's book has to say, in words: habits, the ± of the next flute of a kind, oddities.

Apart from the reckoning (``book.py``), for the command and the grid alike. A sentence is only said where the
flutes bear it out: an average of a few has to lie clear of its own ±.
"""

from __future__ import annotations

import shlex
from collections import Counter
from collections.abc import Sequence
from math import exp, expm1, sqrt
from statistics import mean, median, stdev

import numpy as np

from scaledesign.model.document import Mouth, Units
from scaledesign.model.saying import counted
from scaledesign.model.units import format_length, format_small
from scaledesign.values import dataclass
from scaledesign.workshop.book import Book, Flute, called
from scaledesign.workshop.book_advice import Advice, advise, known_of, odd_ones
from scaledesign.workshop.likeness import MARKS

CLEAR = 2.0
"""± of an average that it has to differ from nothing, to be told."""
SURE = 3.0
"""± of a slope that it has to differ from nothing, to be told: four are tried."""
ALIKE, ENDS = 0.1, (0.15, 0.85)
"""Logarithm by which flutes have to differ in a mark before anything is said of it; small ones and large ones
among them."""
UNLEARNT = 5
"""Flutes whose readings taught nothing yet that are named."""
FEW = 4
"""Flutes from which averages are told."""
SMALL = {"bore": 2e-5, "wall": 5e-5, "warmth": 0.2}
"""m, m, K: what is too small to speak of."""
OPENINGS: dict[str, tuple[str, str]] = {
    "duct": ("window", "windows"),
    "transverse": ("mouth hole", "mouth holes"),
    "notch": ("notch", "notches"),
    "rim": ("rim", "rims"),
}
"""What a kind of mouth opens with: one, and several."""


@dataclass(frozen=True)
class Outlook:
    """The next flute of a kind, made like the middle one of those there are."""

    like: Flute
    advice: Advice


def outlooks(book: Book) -> tuple[Outlook, ...]:
    """What the next flute of each kind would be sure to."""
    found = []
    for kind in book.kinds():
        flutes = sorted(book.of(kind), key=lambda flute: flute.plain.tube.bore[0].value)
        middle = flutes[len(flutes) // 2]
        found.append(Outlook(middle, advise(book, middle.plain)))
    return tuple(found)


def better(advice: Advice, doubts: tuple[float, float]) -> str:
    """What the book is worth, in one line: ``"± 18 cents from 7 flutes of yours, ± 60 without"``.

    ``doubts`` are the ± in cents without the book and with it, of whatever note is spoken of.
    """
    without, with_it = doubts
    if not advice.alike:
        return f"± {without:.0f} cents: your book has nothing like it"
    return (
        f"± {with_it:.0f} cents from {counted(len(advice.alike), 'flute')} of yours, ± {without:.0f} without"
    )


def why_not(flute: Flute) -> str:
    """Why a flute teaches nothing, in a few words."""
    if flute.mouth == "open":
        return "an ideal open mouth"
    if flute.unlearnt:
        return "readings not learnt from: F1"
    return "its readings say too little" if flute.blown else "not blown yet"


def calibrating(flute: Flute) -> str:
    """The command that learns from the readings that are in a file."""
    return shlex.join(["scaledesign", "calibrate", str(flute.path), "--in-place"])


def habits(book: Book, units: Units) -> tuple[str, ...]:
    """What the flutes have in common, a sentence each."""
    said: list[str] = []
    for outlook in outlooks(book):
        said += _mouths(book, outlook, units)
    return (*said, *_measuring(book.taught, units), *_tools(book, units))


def warnings(book: Book) -> tuple[str, ...]:
    """What is odd about the folder, a sentence each, with what to do."""
    said = [
        f"{called(flute)} ({flute.path.name}) contradicts the others: it lies {abs(z):.0f} times the ± "
        "from what they say. Look at its length, its mouth's measures and its first reading; if they are "
        "wrong, mend them or take it out of the folder."
        for flute, z in odd_ones(book)
    ]
    unlearnt = [flute for flute in book.flutes if flute.unlearnt]
    said += [
        f"{called(flute)} holds readings, and nothing was learnt from them yet: {calibrating(flute)} does it."
        for flute in unlearnt[:UNLEARNT]
    ]
    if more := len(unlearnt) - UNLEARNT:
        said += [f"So do {more} more." if more > 1 else "So does one more."] if more > 0 else []
    said += [f"Passed over: {fault}" for fault in book.passed_over]
    said += [
        f"{copy.name} is the flute of {kept.name} once more: counted once." for copy, kept in book.copies
    ]
    if book.more:
        said.append(f"{counted(book.more, 'file')} more were not looked at: a book holds 2000.")
    return tuple(said)


def _mouths(book: Book, outlook: Outlook, units: Units) -> list[str]:
    kind, said = outlook.like.mouth, outlook.advice.said
    flutes = book.of(kind)
    habit = sqrt(max(said.doubt**2 - said.scatter**2, 0.0))
    more, doubt = 100 * expm1(said.off), 100 * exp(said.off) * habit
    way = "more" if more > 0 else "less"
    what = f"{abs(more):.0f} % {way} tube than their measures say (± {doubt:.0f} %)"
    if abs(more) < doubt:
        what = f"as much tube as their measures say, within {doubt:.0f} %"
    words = f"Your {OPENINGS[kind][1]} add {what}, going by {counted(len(flutes), 'flute')}"
    if len(flutes) >= FEW:
        words += f"; one flute differs from the next by about {100 * said.scatter:.0f} %"
    sentences = [f"{words}."]
    if len(flutes) > FEW:
        sentences += _trends(book, kind, units)
    return sentences


def _trends(book: Book, kind: Mouth, units: Units) -> list[str]:
    """What the habit hangs on: what is said of a small one and of a large one.

    Least squares over all marks at once; a slope is told that lies clear of its own ±.
    """
    known, flutes = known_of(book, kind), book.of(kind)
    ends = np.quantile(known.marks, ENDS, axis=0)
    used = np.flatnonzero(ends[1] - ends[0] > ALIKE)
    middle = known.marks.mean(axis=0)
    columns = np.column_stack([np.ones(known.count), (known.marks - middle)[:, used]])
    spare = known.count - columns.shape[1]
    if spare < FEW or np.linalg.matrix_rank(columns) < columns.shape[1]:
        return []
    inverse = np.linalg.inv(columns.T @ columns)
    slopes = inverse @ columns.T @ known.off
    left = ((known.off - columns @ slopes) ** 2).sum() / spare
    sentences = []
    for place, mark in enumerate(used, 1):
        if abs(slopes[place]) < SURE * np.sqrt(left * inverse[place, place]):
            continue
        told = []
        for value in ends[:, mark]:
            size = exp(value)
            if mark in (1, 2):
                size *= median(flute.plain.tube.bore[0].value for flute in flutes)
            off = slopes[0] + slopes[place] * (value - middle[mark])
            told.append(f"{100 * expm1(off):+.0f} % at {format_length(size, units)}")
        name = MARKS[mark].replace("opening", OPENINGS[kind][0])
        sentences.append(f"It hangs on the {name}: {told[0]}, {told[1]}.")
    return sentences


def _measuring(flutes: Sequence[Flute], units: Units) -> list[str]:
    """What readings of drilled flutes taught of bore, wall and breath, on average."""
    read = [flute for flute in flutes if flute.rows_read > 1]
    if len(read) < FEW:
        return []
    told = (
        ("bore", "bores come out", "wider", "narrower", "than you measure"),
        ("wall", "walls come out", "thicker", "thinner", "than you measure"),
        ("warmth", "the air in your flutes is", "warmer", "cooler", "than reckoned"),
    )
    sentences = []
    for name, what, more, less, than in told:
        values = [float(getattr(flute, name)) for flute in read]
        average = mean(values)
        if abs(average) < max(SMALL[name], CLEAR * stdev(values) / sqrt(len(values))):
            continue
        amount = f"{abs(average):.1f} K" if name == "warmth" else format_small(abs(average), units)
        way = more if average > 0 else less
        sentences.append(
            f"On average {what} {amount} {way} {than}, going by {len(read)} flutes whose notes were read; "
            "at least so much."
        )
    return sentences


def _tools(book: Book, units: Units) -> list[str]:
    """Bits, hand and how far holes are opened."""
    flutes, sentences = book.taught, []
    if len(flutes) < FEW:
        return []
    (bits, of_bits), (hand, of_hand) = (
        Counter(getattr(flute, name) for flute in flutes).most_common(1)[0] for name in ("bits", "hand")
    )
    if of_bits > len(flutes) / 2 and of_hand > len(flutes) / 2:
        sentences.append(
            f"You drill with {bits} bits ({of_bits} of {len(flutes)} flutes), "
            f"for {hand} hands ({of_hand} of {len(flutes)})."
        )
    if len(opened := [flute.opened for flute in flutes if flute.opened is not None]) >= FEW:
        sentences.append(f"You open a hole by {format_length(median(opened), units)} after the first bit.")
    return sentences
