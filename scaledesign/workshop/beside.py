"""One flute under several tunings: each solved from the holes as they are, to see what would have to move.

Apart from ``variants``, which compares designs that are there. Nothing is kept: a tuning is taken over by
adopting the design that was made for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from scaledesign.errors import EditError, ScaledesignError
from scaledesign.model.document import Design, Row, Tuning
from scaledesign.model.scale import Scale, retuned_rows
from scaledesign.solver.verdict import told
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.asked import Asked
from scaledesign.workshop.variants import Variant, moved_words, worth_of

AS_IT_STANDS = "as it stands"


@dataclass(frozen=True)
class Tried:
    """A flute solved for one tuning."""

    words: str
    """``"just major on A4"``, or ``AS_IT_STANDS``."""
    variant: Variant | None
    """The design that came of it, what it is worth, and what moved; None where it cannot be tried."""
    stayed: tuple[int, ...] = ()
    """Rows (0-based) that have no note in that tuning, and kept their own."""
    binding: tuple[str, ...] = ()
    """What keeps notes off, in words."""
    problem: str = ""
    """Why it cannot be tried."""


def beside(design: Design, wishes: Sequence[Asked]) -> tuple[Tried, ...]:
    """The flute as it stands, then solved for each tuning; rows follow degree by degree.

    A scale with another number of notes than the flute's own takes the rows of the fingering system, where
    that plays so many.

    Raises
    ------
    UnknownNameError, NoPitchError
        for the flute as it stands; what is wrong with a tuning is said in its place.
    """
    return tuple(one_by_one(design, wishes))


def one_by_one(design: Design, wishes: Sequence[Asked]) -> Iterator[Tried]:
    """The same, each when it is asked for: who has seen enough need not wait for the rest."""
    now = Variant(AS_IT_STANDS, design, worth_of(design), ())
    own = ask.scale_of(design)
    yield Tried(AS_IT_STANDS, now)
    for wish in wishes:
        yield _tried(design, own, wish)


def _tried(design: Design, own: Scale, wish: Asked) -> Tried:
    try:
        wanted, stayed = retuned(design, own, wish)
        solution = ask.solve(wanted)
        worth = worth_of(solution.design, solution.prediction)
    except ScaledesignError as error:
        return Tried(wish.words, None, problem=str(error))
    moved = moved_words(design, solution.design, design.units)
    return Tried(
        wish.words, Variant(wish.words, solution.design, worth, moved), stayed, told(solution.obstacles)
    )


def retuned(design: Design, own: Scale, wish: Asked) -> tuple[Design, tuple[int, ...]]:
    """The design with its wish changed, and the rows that have no note in the new tuning."""
    tuning: Tuning = replace(design.tuning, tonic=wish.tonic.name, scale=wish.scale.name, degrees=())
    if len(own.cents) == len(wish.scale.cents):
        rows, stayed = retuned_rows(design, own, wish.scale, tuning)
    else:
        rows, stayed = _rows_of_system(design, wish), ()
    return replace(design, tuning=tuning, rows=rows), stayed


def _rows_of_system(design: Design, wish: Asked) -> tuple[Row, ...]:
    offers, system = ask.offers(), design.instrument.system
    notes = f"The scale {wish.scale.name!r} has {len(wish.scale.cents)} notes before it repeats"
    remedy = f'take a scale of as many notes, or ask: scaledesign share FILE --scale "{wish.words}"'
    if not system:
        raise EditError(f"{notes}, and this flute has no fingering system to play them", remedy)
    if not offers.system(system).fits(wish.scale):
        raise EditError(f"{notes}, which the system {system!r} does not play", remedy)
    rows = offers.rows(system, wish.scale, wish.tonic, design.tuning.reference)
    if any(len(row.holes) != len(design.fingered()) for row in rows):
        raise EditError(f"{notes}, and this flute has other holes than the system {system!r}", remedy)
    return rows
