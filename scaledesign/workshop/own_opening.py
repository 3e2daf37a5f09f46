"""The opening that a maker usually cuts: for a flute whose window or mouth hole is not measured yet.

Apart from what the book says of it (``book_advice.py``). A size of our own guessing is doubted by a fifth
of the added length (``physics/mouth.py``); the maker's own is known from the flutes that were measured: the
middle of their proportions, and how far these scatter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import log, sqrt
from statistics import median, stdev

from scaledesign.model.document import Design, Embouchure, Window
from scaledesign.solver.problem import voicing_of
from scaledesign.values import dataclass

MEASURED = 3
"""Flutes whose opening was measured, at least."""
LEAST = 0.02
"""Share of the added length by which a size that was not measured is doubted at least (no source)."""


@dataclass(frozen=True)
class Usual:
    """A flute with the opening that its maker would cut."""

    plain: Design
    doubt: float
    """What the size leaves open, as a share of the added length."""


def measured(plain: Design) -> bool:
    """Whether the size of its opening is known."""
    voicing, duct = plain.voicing, plain.instrument.mouth == "duct"
    return (voicing.window if duct else voicing.embouchure) is not None


def as_usual(plain: Design, others: Sequence[Design]) -> Usual | None:
    """The flute as its maker would cut it, going by others of the same kind; None where too few are measured.

    ``plain`` and ``others`` have nothing stated of their mouths but measures.
    """
    known = [other for other in others if measured(other)]
    if measured(plain) or len(known) < MEASURED:
        return None
    likewise = [_like(plain, other) for other in known]
    sizes = [log(voicing_of(each).added_length) for each in likewise]
    doubt = stdev(sizes) * sqrt(1 + 1 / len(sizes))
    return Usual(_middle(likewise), max(LEAST, doubt))


def _like(plain: Design, other: Design) -> Design:
    """A flute with the opening of another, in proportion to the bore."""
    scale = plain.tube.bore[0].value / other.tube.bore[0].value
    window, hole = other.voicing.window, other.voicing.embouchure
    if window is not None and plain.instrument.mouth == "duct":
        window = Window(scale * window.length, scale * window.width, window.wall)
        return replace(plain, voicing=replace(plain.voicing, window=window))
    assert hole is not None
    hole = replace(hole, length=scale * hole.length, width=scale * hole.width)
    return replace(plain, voicing=replace(plain.voicing, embouchure=hole))


def _middle(likewise: Sequence[Design]) -> Design:
    """The flute with the middle of each measure."""
    first = likewise[0]
    windows = [each.voicing.window for each in likewise if each.voicing.window is not None]
    if first.instrument.mouth == "duct":
        walls = [window.wall for window in windows if window.wall is not None]
        window = Window(
            median(window.length for window in windows),
            median(window.width for window in windows),
            median(walls) if walls else None,
        )
        return replace(first, voicing=replace(first.voicing, window=window))
    holes = [each.voicing.embouchure for each in likewise if each.voicing.embouchure is not None]
    walls = [hole.wall for hole in holes if hole.wall is not None]
    covered = [hole.covered for hole in holes if hole.covered is not None]
    hole = Embouchure(
        median(hole.length for hole in holes),
        median(hole.width for hole in holes),
        median(walls) if walls else None,
        median(covered) if covered else None,
    )
    return replace(first, voicing=replace(first.voicing, embouchure=hole))
