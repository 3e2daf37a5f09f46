"""The degrees of a design's tuning, one by one: as written, in cents, as ratio and Hz, and changed by a text.

Apart from the tuning of a whole scale (``model/edits.py``, ``Retune``), where rows follow degree by degree:
here each row stays with the degree it plays when another comes or goes. Degrees are kept as somebody wrote
them; whoever edits one degree of a named scale has degrees of his own from then on.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from scaledesign.errors import QuantityError
from scaledesign.model import retune
from scaledesign.model.document import Design, Row
from scaledesign.model.edits import Retune
from scaledesign.model.pitch import (
    AUDIBLE,
    OCTAVE,
    Note,
    cents_between,
    note_frequency,
    parse_note,
    parse_target,
    raised,
    reading_frequency,
)
from scaledesign.model.scale import Scale, Tuned, parse_degree, scale_of_degrees
from scaledesign.values import dataclass

LARGEST = 65536
"""No larger number is taken for part of a ratio."""
EXACT = 1e-9
"""cents: a size that lies this near to a ratio is that ratio."""
_REMEDY = "write cents (316 c), a ratio (6/5), a frequency (523.3 Hz) or what a tuner shows (C5 +16)"


@dataclass(frozen=True, slots=True)
class Degree:
    """One degree of a tuning, or, last of all, where the degrees repeat."""

    text: str
    """As written: ``"6/5"``, ``"498 c"``."""
    cents: float
    """Above the tonic."""
    frequency: float
    """Hz, in the octave above the tonic."""
    note: str
    """Note it is written as; '' in a scale of too many degrees to write."""
    place: float | None = None
    """Where that note is written, in semitones above the tonic."""
    closing: bool = False
    """Whether it is the period and no degree."""


@dataclass(frozen=True, slots=True)
class SetDegrees(Retune):
    """Give a design degrees of its own; each row stays with the degree it plays.

    A row whose degree is taken out stays as it is and is left behind, and so is a row between degrees whose
    note means a degree from now on.
    """

    kept: tuple[int, ...] = ()
    """What each degree of ``old`` (from 0) has become in ``new``; -1: taken out."""
    what: str = "set degrees"
    """What the menu says."""
    where: tuple[str | int, ...] | None = None

    def _label(self) -> str:
        return self.what

    def _cell(self) -> tuple[str | int, ...] | None:
        return self.where

    def _rows(self, design: Design) -> tuple[tuple[Row, ...], tuple[int, ...]]:
        was = Tuned(self.old, parse_note(design.tuning.tonic), design.tuning.reference)
        now = Tuned(self.new, was.tonic, was.reference)
        rows, flagged = [], []
        for index, row in enumerate(design.rows):
            wanted = parse_target(row.note)
            moved = row
            if isinstance(wanted, Note):
                place = was.place(wanted)
                found = self.old.degree_at(place)
                if found and self.kept[found[0]] >= 0 and self.new.places:
                    to = self.new.places[self.kept[found[0]]] + found[1] * self.new.span
                    moved = row if to == place else replace(row, note=now.written(to).name)
                elif found or self.new.degree_at(place):
                    flagged.append(index)
            rows.append(moved)
        return tuple(rows), tuple(flagged)


def degrees(design: Design, scale: Scale) -> tuple[Degree, ...]:
    """Every degree of ``scale``, the tuning of ``design``, and last where they repeat."""
    tuned = _tuned(design, scale)
    return tuple(
        _degree(tuned, text, cents, place)
        for text, cents, place in zip(
            _texts(design, scale), (*scale.cents, scale.period), _places(scale), strict=True
        )
    )


def setting(design: Design, scale: Scale, index: int, text: str) -> SetDegrees | None:
    """The edit that writes one degree (from 0; the last is the period) anew; None where nothing changes.

    Parameters
    ----------
    design : Design, in ``scale``
    text : cents, a ratio, a frequency in Hz or what a tuner shows; the first two are kept as written

    Raises
    ------
    QuantityError : ``text`` cannot be read, or is no size for that degree
    """
    texts = _texts(design, scale)
    if not 0 <= index < len(texts):
        raise QuantityError(str(index + 1), "there is no such degree", f"there are {len(texts) - 1}")
    cents, written = read_degree(text, _tuned(design, scale))
    if written == texts[index]:
        return None
    cell = ("tuning", "degrees", index)
    same = tuple(range(len(scale.cents)))
    if index == len(scale.cents):
        if cents <= scale.cents[-1]:
            most = retune.said(scale.cents[-1])
            raise QuantityError(
                text, f"the highest degree is {most} up", f"write more than {most}, or take degrees out first"
            )
        made = replace(scale, name=f"{scale.name} changed", period=cents, steps=None)
        return _edit(design, scale, made, (*texts[:-1], written), same, "set where it repeats", cell)
    if index == 0 and cents == 0:
        return None
    with _as_typed(text, cents):
        made = retune.with_degree(scale, index, cents)
    place = made.cents.index(cents)
    order = [*same[:index], *same[index + 1 :]]
    order.insert(place, index)
    kept = tuple(order.index(degree) for degree in same)
    rest = [*texts[:index], *texts[index + 1 :]]
    rest.insert(place, written)
    return _edit(design, scale, made, tuple(rest), kept, f"set degree {index + 1}", cell)


def adding(design: Design, scale: Scale, text: str) -> SetDegrees:
    """The edit that adds a degree where it belongs by size.

    Raises
    ------
    QuantityError : ``text`` cannot be read, or that degree is there
    """
    cents, written = read_degree(text, _tuned(design, scale))
    with _as_typed(text, cents):
        made = retune.with_added(scale, cents)
    place = made.cents.index(cents)
    texts = list(_texts(design, scale))
    texts.insert(place, written)
    kept = tuple(degree + (degree >= place) for degree in range(len(scale.cents)))
    return _edit(design, scale, made, tuple(texts), kept, f"add degree {place + 1}")


def removing(design: Design, scale: Scale, index: int) -> SetDegrees:
    """The edit that takes a degree (from 0) out.

    Raises
    ------
    QuantityError : there is no such degree, or it is the tonic
    """
    made = retune.without_degree(scale, index)
    texts = _texts(design, scale)
    kept = tuple(-1 if degree == index else degree - (degree > index) for degree in range(len(scale.cents)))
    return _edit(
        design, scale, made, (*texts[:index], *texts[index + 1 :]), kept, f"take out degree {index + 1}"
    )


def read_degree(text: str, tuned: Tuned) -> tuple[float, str]:
    """Cents above the tonic of what somebody typed, and the text to keep.

    A frequency is taken in whatever octave it was heard, and kept as cents to a thousandth.

    Raises
    ------
    QuantityError : ``text`` is neither cents, ratio, frequency nor reading, or lies below the tonic
    """
    plain = text.strip()
    if plain[:1].isalpha() or plain.casefold().endswith("hz"):
        try:
            frequency = reading_frequency(plain, tuned.reference)
        except QuantityError as error:
            raise QuantityError(text, error.problem, _REMEDY) from None
        if not AUDIBLE[0] <= frequency <= AUDIBLE[1]:
            raise QuantityError(text, "is beyond what a flute plays", _REMEDY)
        tonic = note_frequency(tuned.tonic, tuned.reference)
        cents = round(cents_between(tonic, frequency) % tuned.scale.period, 3)
        cents = 0.0 if cents >= tuned.scale.period else cents
        return cents, degree_text(cents)
    try:
        return parse_degree(plain), plain
    except QuantityError as error:
        raise QuantityError(text, error.problem, _REMEDY) from None


def own_degrees(scale: Scale, written: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Degrees as a design file holds them, with the period where it is no octave; written places get lost.

    A size that is among ``written`` keeps that text.

    Raises
    ------
    QuantityError : the degrees repeat before the octave, which a list of degrees cannot say
    """
    cents = scale.cents if scale.period == OCTAVE else (*scale.cents, scale.period)
    _octave_reached(scale)
    known = {parse_degree(text): text for text in written}
    return tuple(known.get(value) or degree_text(value) for value in cents)


def settled(scale: Scale) -> Scale:
    """The scale with each size that is a ratio but for rounding exactly that ratio, others to 1e-6 cents."""

    def plain(value: float) -> float:
        ratio = ratio_text(value)
        return parse_degree(ratio) if ratio else round(value, 6)

    return replace(scale, cents=tuple(map(plain, scale.cents)), period=plain(scale.period))


def degree_text(cents: float) -> str:
    """Shortest text of a size: ``"3/2"`` where it is a ratio, else ``"498 c"``, ``"315.64 c"``."""
    return ratio_text(cents) or cents_text(cents)


def cents_text(cents: float) -> str:
    """Shortest text in cents that reads back as ``cents``: ``"498 c"``, ``"315.64 c"``."""
    whole = float(cents)
    if whole == round(whole):
        return f"{whole:.0f} c"
    text = repr(whole)
    return f"{text if 'e' not in text else f'{Decimal(text):.20f}'.rstrip('0').rstrip('.')} c"


def ratio_text(cents: float, largest: int = LARGEST) -> str:
    """Ratio of a size to a billionth of a cent, ``"6/5"`` or ``"2"``; '' where it is none."""
    if not 0.0 <= cents <= 6 * OCTAVE:
        return ""
    size = 2.0 ** (cents / OCTAVE)
    near = Fraction(size).limit_denominator(largest)
    if near.numerator > largest or abs(OCTAVE * math.log2(near) - cents) > EXACT:
        return ""
    return f"{near.numerator}/{near.denominator}" if near.denominator > 1 else str(near.numerator)


@contextmanager
def _as_typed(text: str, cents: float) -> Iterator[None]:
    """Let a complaint name what was typed; a bare number is a ratio, which not everybody means."""
    try:
        yield
    except QuantityError as error:
        ratio = text.strip().isdecimal()
        problem = f"is the ratio {text.strip()} to 1, {retune.said(round(cents, 1))}, and " if ratio else ""
        problem += error.problem
        raise QuantityError(text, problem, error.remedy) from None


def _edit(
    design: Design,
    old: Scale,
    made: Scale,
    texts: tuple[str, ...],
    kept: tuple[int, ...],
    what: str,
    where: tuple[str | int, ...] | None = None,
) -> SetDegrees:
    """The edit to a scale written in ``texts``, the period last of them."""
    _octave_reached(made)
    closed = made.period != OCTAVE or len(design.tuning.degrees) > len(old.cents)
    texts = texts if closed else texts[:-1]
    new = scale_of_degrees(texts)
    return SetDegrees(replace(design.tuning, scale="", degrees=texts), old, new, kept, what, where)


def _octave_reached(scale: Scale) -> None:
    if scale.period < OCTAVE:
        raise QuantityError(
            retune.said(scale.period),
            "degrees of a design's own cannot repeat before 1200 c",
            "keep the scale in a scale file and let the design name it",
        )


def _tuned(design: Design, scale: Scale) -> Tuned:
    return Tuned(scale, parse_note(design.tuning.tonic), design.tuning.reference)


def _texts(design: Design, scale: Scale) -> tuple[str, ...]:
    """Every degree of the design's scale as written, and last the period."""
    own, count = design.tuning.degrees, len(scale.cents)
    if own:
        return (*own[:count], own[count] if len(own) > count else degree_text(scale.period))
    return tuple(map(degree_text, (*scale.cents, scale.period)))


def _places(scale: Scale) -> tuple[float | None, ...]:
    return (*(scale.places or (None,) * len(scale.cents)), scale.span if scale.places else None)


def _degree(tuned: Tuned, text: str, cents: float, place: float | None) -> Degree:
    return Degree(
        text,
        cents,
        raised(note_frequency(tuned.tonic, tuned.reference), cents),
        "" if place is None else tuned.written(place).name,
        place,
        closing=cents >= tuned.scale.period,
    )
