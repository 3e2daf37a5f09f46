"""One layout for several scales at once: the notes of all of them wanted together, each as much as it counts.

Apart from solving, which is the usual one: here the rows are made that it works on. The flute keeps its own
tuning; a note that only another scale wants becomes a row written as an interval above the flute's tonic, so
that it stays what it is.

Which fingering a note takes: that of a note which is nearly the same, so that the two share it; else the
fingering system's, where the scale fits the system, begins on the flute's tonic, and that fingering is free;
else the best that the flute can play as it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design, HoleState, Row
from scaledesign.model.fingering import parse_fingering
from scaledesign.model.pitch import OCTAVE, Note, note_frequency, parse_note
from scaledesign.model.scale import Tuned
from scaledesign.physics.arrays import Floats
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import CENT
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.asked import Asked
from scaledesign.workshop.playable import Playable, playable
from scaledesign.workshop.suits import SLACK, effort, matched, speaking, tonic_of, with_rows

if TYPE_CHECKING:
    from scaledesign.solver.solution import Solution

NEAR = 60.0
"""Cents within which two notes share a fingering, and within which one has to play a note for it to be taken:
more than a quarter tone, less than a semitone."""
SAME = 0.01
"""Cents within which two notes are one."""


@dataclass(frozen=True)
class Part:
    """One of the scales: the rows (0-based) that play it, and how well they do, in cents."""

    words: str
    """``"mixolydian on G4"``."""
    weight: float
    rows: tuple[int, ...]
    before: tuple[float, ...]
    """Off, row by row, with the holes as they were."""
    after: tuple[float, ...]
    """Off, row by row, once the holes have moved."""
    missing: tuple[float, ...] = ()
    """Hz of its notes that no fingering plays: they are left out."""

    @staticmethod
    def worst(off: Sequence[float]) -> float:
        """The largest of ``off``, with its sign."""
        return max(off, key=abs, default=0.0)

    @staticmethod
    def rms(off: Sequence[float]) -> float:
        """Root of the mean square of ``off``."""
        return float(np.sqrt(np.mean(np.square(off)))) if off else 0.0


@dataclass(frozen=True)
class Shared:
    """The compromise: ``solution`` has all rows."""

    solution: Solution
    parts: tuple[Part, ...]
    """The flute's own scale first, where it counts; then those asked for, as they were asked for."""
    remark: str = ""
    """What was left out of the fingerings that were tried; '' where nothing was."""


def shared(design: Design, wishes: Sequence[Asked], own: float = 1.0) -> Shared:
    """Move the holes of a design so that several scales come out as well as they can together.

    Parameters
    ----------
    design : Design
    wishes : the scales beside the flute's own, each with its weight
    own : how much the rows of the flute's own scale count; 0: they are shown only

    Raises
    ------
    EditError
        when nothing counts, there are too many holes to try all fingerings, or a tonic other than the
        flute's is none of its notes.
    NoPitchError, UnknownNameError
    """
    if own < 0 or (own == 0 and not wishes):
        raise EditError("Nothing counts", "name a scale, or let the flute's own scale count")
    drafting = _Draft(design, own)
    asked_rows = {
        i: drafting.add(wishes[i]) for i in sorted(range(len(wishes)), key=lambda i: -wishes[i].weight)
    }
    draft = replace(design, rows=tuple(drafting.rows))
    before = ask.predict(draft)
    solution = ask.solve(draft)
    listed = [(wish.words, wish.weight, *asked_rows[i]) for i, wish in enumerate(wishes)]
    mine = tuple(i for i, row in enumerate(design.rows) if row.counts)
    if own and mine:
        listed.insert(0, (_own_words(design), own, mine, ()))
    parts = tuple(
        Part(words, weight, rows, _off(before, rows), _off(solution.prediction, rows), missing)
        for words, weight, rows, missing in listed
    )
    return Shared(solution, parts, drafting.remark)


class _Draft:
    """Rows on their way to a solve, for one design."""

    def __init__(self, design: Design, own: float) -> None:
        self.design = design
        self.root = note_frequency(parse_note(design.tuning.tonic), design.tuning.reference)
        target = ask.targets(design)
        self.rows = [replace(row, weight=own * row.weight) if row.counts else row for row in design.rows]
        self.target = [self._cents(hertz) for hertz in target]
        self.claimed = [i for i, row in enumerate(design.rows) if row.counts and own > 0]
        self.found: Playable | None = None
        low = [self.target[i] for i, row in enumerate(design.rows) if row.counts and row.register == 1]
        self.low = min(low) if low else self._cents(float(np.nanmin(self._playable().frequency)))

    @property
    def remark(self) -> str:
        """What was left out of the fingerings that were tried."""
        return self.found.remark if self.found else ""

    def add(self, wish: Asked) -> tuple[tuple[int, ...], tuple[float, ...]]:
        """The rows (0-based) of the flute's first octave in one scale, added where there are none yet.

        Also the notes (Hz) that no fingering plays.
        """
        if wish.tonic.name != self.design.tuning.tonic:
            self._check(wish.tonic)
        taken, missing = [], []
        for cents in self._notes(wish):
            row, fresh = self._fingered(wish, cents)
            if row is None:
                missing.append(self.root * 2 ** (cents / OCTAVE))
                continue
            place = self._place(row, cents)
            if place is None:
                place = len(self.rows)
                self.rows.append(
                    replace(row, note=f"{cents:.3f} c", cents=0.0, weight=0.0, role="scale", measured="")
                )
                self.target.append(cents)
            old = self.rows[place]
            self.rows[place] = replace(old, weight=old.weight + wish.weight)
            self.claimed += [place] if fresh else []
            taken.append(place)
        return tuple(taken), tuple(missing)

    def _check(self, tonic: Note) -> None:
        """A tonic is one of the flute's notes."""
        found, reference = self._playable(), self.design.tuning.reference
        pitch = CENT * np.log(found.frequency[self.usable] / reference)
        if len(pitch):
            tonic_of(tonic.name, reference, float(pitch.min()), float(pitch.max()))

    def _notes(self, wish: Asked) -> list[float]:
        """Cents above the flute's tonic of every note of a scale in the octave from its lowest note."""
        scale = wish.scale
        start = self._cents(note_frequency(wish.tonic, self.design.tuning.reference))
        low, high = self.low - SLACK - start, self.low + SLACK + OCTAVE - start
        periods = range(int(low // scale.period), int(high // scale.period) + 1)
        notes = (period * scale.period + cents for period in periods for cents in scale.cents)
        return [start + cents for cents in notes if low <= cents <= high]

    def _fingered(self, wish: Asked, cents: float) -> tuple[Row | None, bool]:
        """The fingering that a note takes, and whether no note had taken it before."""
        near = [i for i in self.claimed if abs(self.target[i] - cents) <= NEAR]
        if near:
            return self.rows[min(near, key=lambda i: abs(self.target[i] - cents))], False
        for row, hertz in self._of_system(wish):
            if abs(self._cents(hertz) - cents) <= SAME and not self._elsewhere(row, cents):
                return row, True
        return self._best(wish, cents), True

    def _of_system(self, wish: Asked) -> list[tuple[Row, float]]:
        """Rows of the fingering system for the scale, where both begin on one note."""
        design, system = self.design, self.design.instrument.system
        if not system or wish.tonic.midi % 12 != parse_note(design.tuning.tonic).midi % 12:
            return []
        offers, tonic = ask.offers(), parse_note(design.tuning.tonic)
        if not offers.system(system).fits(wish.scale):
            return []
        rows = offers.rows(system, wish.scale, tonic, design.tuning.reference)
        tuned = Tuned(wish.scale, tonic, design.tuning.reference)
        letters = len(design.fingered())
        return [
            (row, tuned.target(row.note)) for row in rows if row.role == "scale" and len(row.holes) == letters
        ]

    def _best(self, wish: Asked, cents: float) -> Row | None:
        """The fingering that plays a note best as the flute stands, where one does."""
        found, tuning = self._playable(), self.design.tuning
        tonic = wish.tonic.name.rstrip("0123456789")
        suits = matched(found, self.usable, effort(self.design, found), tuning, [wish.scale], [tonic])
        hertz = self.root * 2 ** (cents / OCTAVE)
        note = min(suits.notes(0, 0), key=lambda each: abs(each.wanted - hertz))
        if abs(note.cents) > NEAR:
            return None
        share = next(
            (
                float(found.share[hole, note.column])
                for hole, letter in zip(self.design.fingered(), note.letters, strict=True)
                if letter == "H"
            ),
            found.open_share,
        )
        holes: tuple[HoleState, ...] = parse_fingering(note.letters)
        return Row("", holes, register=note.register, open_share=share)

    def _playable(self) -> Playable:
        if self.found is None:
            self.found = with_rows(self.design, playable(self.design))
            self.usable = speaking(self.design, self.found)
        return self.found

    def _elsewhere(self, row: Row, cents: float) -> bool:
        """Whether a fingering is claimed for another note."""
        return any(_alike(self.rows[i], row) and abs(self.target[i] - cents) > NEAR for i in self.claimed)

    def _place(self, row: Row, cents: float) -> int | None:
        """The row that wants just this note of just this fingering."""
        for i, other in enumerate(self.rows):
            if _alike(other, row) and abs(self.target[i] - cents) <= SAME:
                return i
        return None

    def _cents(self, hertz: float) -> float:
        return float(CENT * np.log(hertz / self.root))


def _alike(one: Row, other: Row) -> bool:
    share = "H" not in one.holes or one.open_share == other.open_share
    return one.holes == other.holes and one.register == other.register and share


def _own_words(design: Design) -> str:
    tuning = design.tuning
    return f"its own {tuning.scale or 'scale'} on {tuning.tonic}"


def _off(prediction: Prediction, rows: Sequence[int]) -> tuple[float, ...]:
    cents: Floats = prediction.cents
    return tuple(float(cents[i]) for i in rows)
