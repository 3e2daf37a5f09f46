"""What the maker's book says of a flute that was not blown: added length and ±, and from which flutes.

Apart from the folder and what each flute taught (``book.py``), and from the arithmetic (``likeness.py``).
What the book says is put into a design as an added length that is stated, with its ±; the bench log says
from which flutes. Where the book has nothing like the flute, the estimate stays what it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from math import exp, hypot, log, sqrt

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design, LogEntry, Mouth, Units
from scaledesign.model.saying import listed
from scaledesign.model.units import format_length
from scaledesign.physics import mouth
from scaledesign.physics.mouth import MouthEstimate
from scaledesign.solver.problem import unread, voicing_of
from scaledesign.values import dataclass
from scaledesign.workshop import calibration
from scaledesign.workshop.book import Book, Flute, called
from scaledesign.workshop.likeness import ALIKE, MARKS, Known, Said, said_of, surprises
from scaledesign.workshop.own_opening import Usual, as_usual, measured

ODD = 3.0
"""± from what all others say beyond which a flute is named."""
JUDGED = 300
"""Flutes of a kind that are held against each other."""
STEP = 1e-5
"""m to which an added length from the book is rounded."""
NAMED = 3
"""Flutes that are named where there are more."""
USUAL_OPENING = (0.63, 0.53 * 0.67)
"""Length and open width over the bore of a mouth hole that nobody measured (``physics/mouth.py``)."""


@dataclass(frozen=True)
class Advice:
    """What a book says of a flute that has not been blown.

    ``added_length`` and ``uncertainty`` (m) are those of the estimate where the book has nothing like it.
    """

    plain: Design
    estimate: MouthEstimate
    """Without the book."""
    added_length: float
    uncertainty: float
    alike: tuple[Flute, ...]
    """Flutes that are alike, those first which have the most part in the answer."""
    said: Said
    flutes: tuple[Flute, ...] = ()
    """Those that ``said`` counts."""
    as_cut: str = ""
    """What opening is thought of where none was measured, in words; ''."""

    @property
    def cents(self) -> tuple[float, float]:
        """± of the bare tube in cents: without the book, and with it."""
        plain = replace(self.plain, voicing=replace(self.plain.voicing, added_length=None, uncertainty=None))
        return calibration.bare_tube(plain)[1], calibration.bare_tube(stated(plain, self))[1]

    @property
    def words(self) -> str:
        """Which flutes it rests on: ``"7 flutes of yours, most like it Marsh wren, Reed and Dusk"``."""
        return flutes_words(self.alike) + (f", {self.as_cut}" if self.as_cut else "")


def flutes_words(flutes: Sequence[Flute]) -> str:
    """How many flutes, and the names of the first of them."""
    names = [called(flute) for flute in flutes[:NAMED]]
    said = listed(names)
    if len(flutes) == 1:
        return f"1 flute of yours, {said}"
    like = "most like it " if len(flutes) > NAMED else ""
    return f"{len(flutes)} flutes of yours, {like}{said}"


def _marks(plain: Design) -> tuple[float, ...]:
    """The marks of a flute, as ``likeness.MARKS`` names them."""
    bore, wall = plain.tube.bore[0].value, plain.tube.wall[0].value
    voicing, duct = plain.voicing, plain.instrument.mouth == "duct"
    length, width = USUAL_OPENING
    if duct and voicing.window is None:
        wide, long, _ = mouth.usual_window(bore / 2)
        length, width = long / bore, wide / bore
    elif duct and voicing.window is not None:
        window = voicing.window
        length, width = window.length / bore, window.width / bore
        wall = wall if window.wall is None else window.wall
    elif not duct and voicing.embouchure is not None:
        hole = voicing.embouchure
        covered = 0.33 if hole.covered is None else hole.covered
        length, width = hole.length / bore, hole.width * (1 - covered) / bore
        wall = wall if hole.wall is None else hole.wall
    return log(bore), log(length), log(width), log(max(wall, 1e-4))


def _doubts(plain: Design) -> tuple[float, float]:
    """What the estimate's formula and a size that was not measured are doubted by, as shares of it."""
    duct = plain.instrument.mouth == "duct"
    formula = mouth.WINDOW_DOUBT if duct else mouth.LIP_DOUBT
    return formula, 0.0 if measured(plain) else sqrt(mouth.GUESS_DOUBT**2 - formula**2)


@lru_cache(maxsize=16)
def known_of(book: Book, kind: Mouth) -> Known:
    """Flutes of a kind that were blown, as ``likeness`` reckons with them."""
    flutes = book.of(kind)
    return _known([flute.plain for flute in flutes], [(f.off, f.doubt / f.learnt) for f in flutes])


def _known(plains: Sequence[Design], told: Sequence[tuple[float, float]]) -> Known:
    doubts = np.array([_doubts(plain) for plain in plains]).reshape(-1, 2)
    off = np.array(told).reshape(-1, 2)
    marks = np.array([_marks(plain) for plain in plains]).reshape(-1, len(MARKS))
    return Known(marks, doubts[:, 0], doubts[:, 1], off[:, 0], off[:, 1])


def advise(book: Book, design: Design) -> Advice:
    """What the book says of a flute's mouth, whatever its own file states or its own readings taught.

    Where its opening was not measured it is taken to be cut as the maker's others are.

    Raises
    ------
    EditError
        when the mouth is an ideal open end, which adds nothing.
    """
    if design.instrument.mouth == "open":
        raise EditError("The mouth of this design is an ideal open end", "give it a real mouth first")
    plain = bare(design)
    estimate = voicing_of(plain)
    flutes = book.of(design.instrument.mouth)
    usual = as_usual(plain, [flute.plain for flute in flutes])
    cut = plain if usual is None else usual.plain
    said = said_of(known_of(book, design.instrument.mouth), _known([cut], [(0.0, 0.0)]))
    order = np.argsort(-np.abs(said.share), kind="stable")
    alike = tuple(flutes[i] for i in order if said.alike[i] >= ALIKE and said.share[i])
    if not alike:
        return Advice(plain, estimate, estimate.added_length, estimate.uncertainty, (), said, flutes)
    added = voicing_of(cut).added_length * exp(said.off)
    doubt = added * hypot(said.doubt, 0.0 if usual is None else usual.doubt)
    added, doubt = (round(round(value / STEP) * STEP, 7) for value in (added, doubt))
    return Advice(plain, estimate, added, doubt, alike, said, flutes, as_cut(usual, design.units))


def as_cut(usual: Usual | None, units: Units) -> str:
    """The opening that is thought of, in words; '' where it was measured or nobody knows it."""
    if usual is None:
        return ""
    window, hole = usual.plain.voicing.window, usual.plain.voicing.embouchure
    opening = window if window is not None else hole
    if opening is None:
        return ""
    size = f"{format_length(opening.width, units, unit=False)} x {format_length(opening.length, units)}"
    return f"its {'window' if window is not None else 'mouth hole'} {size} as you cut them"


def bare(design: Design) -> Design:
    """A flute with nothing learnt and nothing stated of its mouth but its measures."""
    plain = unread(design)
    return replace(plain, voicing=replace(plain.voicing, added_length=None, uncertainty=None))


def stated(design: Design, advice: Advice) -> Design:
    """A design that was not blown, with what the book says of its mouth."""
    voicing = replace(
        design.voicing,
        added_length=advice.added_length,
        uncertainty=advice.uncertainty,
    )
    return replace(design, voicing=voicing)


def taken(design: Design, advice: Advice, when: datetime) -> Design:
    """The same with a line in its log that says from which flutes.

    Raises
    ------
    EditError
        when the flute was blown already, or the book has nothing like it.
    """
    if design.voicing.calibrated:
        raise EditError(
            "This flute was blown already, and its own readings say more than any book",
            "take a flute that was not blown yet",
        )
    if not advice.alike:
        raise EditError("The book has nothing like this flute", "blow the bare tube instead")
    return noted(stated(design, advice), advice, when, design.voicing.added_length)


def noted(design: Design, advice: Advice, when: datetime, was: float | None = None) -> Design:
    """A design whose log says what of it comes from the book; ``was`` (m): what was stated before."""
    entry = LogEntry(when.replace(microsecond=0), "note", note=note_of(advice, design.units, was))
    return replace(design, log=(*design.log, entry))


def note_of(advice: Advice, units: Units, was: float | None = None) -> str:
    """What the log says of it."""
    said = (
        f"The mouth is taken to add {format_length(advice.added_length, units)}, "
        f"± {format_length(advice.uncertainty, units)}, going by {advice.words}."
    )
    return said if was is None else f"{said} Before, {format_length(was, units)} was stated."


def odd_ones(book: Book) -> tuple[tuple[Flute, float], ...]:
    """Flutes that all others of their kind contradict, with how many ± they are off."""
    found = []
    for kind in book.kinds():
        flutes, known = book.of(kind), known_of(book, kind)
        last = np.arange(max(0, known.count - JUDGED), known.count)
        off = surprises(known.part(last))
        found += [(flutes[i], float(z)) for i, z in zip(last, off, strict=True) if abs(z) > ODD]
    return tuple(found)
