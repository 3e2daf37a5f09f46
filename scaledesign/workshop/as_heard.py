"""A finished flute as its readings have it: what every note plays now, how sure that is, the likeliest tube.

Apart from calibration, which teaches a design and leaves odd readings out: here odd ones are what is looked
for. All causes of error are conditioned on all readings at once (``solver.belief``), and those of hole, foot
and model have long tails, so that a slip of the drill is believed and not shared out among the innocent:
Student's law as a normal one of unknown width, by expectation and maximisation (K. L. Lange, R. J. A. Little
and J. M. G. Taylor 1989, JASA 84, 881, from memory). What a change then does is left to the engine.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design, HoleState, Row
from scaledesign.model.widths import as_it_is
from scaledesign.physics.arrays import Floats, Mask
from scaledesign.physics.flute import Flutes
from scaledesign.solver.belief import LONGEST, STATE, Causes
from scaledesign.solver.hearing import Heard, Reading, Sound, hear_each
from scaledesign.solver.problem import (
    CENT,
    Doubts,
    altered,
    fingerings_of,
    flutes_of,
    model_doubts,
    problem_of,
    unread,
)
from scaledesign.solver.resonance import Fingerings, Resonances, field_at, resonances
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.calibration import ANOTHER_NOTE
from scaledesign.workshop.readings import marked_holes, readings_of

TAILS = 4.0
"""Degrees of freedom of what may be off in holes, foot and model: slips happen (proposed here, no source)."""
TURNS, STILL = 8, 2e-3
"""Most straight lines laid through the readings, and the change (in standard deviations) that ends it."""
ROUNDS = 200
"""Most rounds until the widths of the tails stand still; some ten are usual."""
LEAST = 1e-6
"""Cents² of a tuner's noise: keeps the numbers finite in a file that denies every doubt."""
OCTAVE = 150.0
"""Cents off twice its low note beyond which a second register is none of this note."""


FAINT = 0.5
"""Impedance left, over rho c / S, beyond which a register hardly speaks: 6 dB, as in ``registers``."""


@dataclass(frozen=True)
class Note:
    """One note that is looked at: a row of the design, or the octave of one that no row asks for.

    Rows that cannot sound and were not read are none.
    """

    row: int | None
    """0-based; None for such an octave."""
    name: str
    """'A4', or 'octave of A4'."""
    holes: tuple[HoleState, ...]
    register: int
    open_share: float
    target: float
    """Hz."""
    said: str
    """What the tuner showed; '' where it was not read."""


@dataclass(frozen=True)
class AsHeard:
    """All arrays are (M,) over ``notes``."""

    design: Design
    """Holes as wide as they are, and what was believed before any reading."""
    notes: tuple[Note, ...]
    off: Floats
    """Cents from target that each note most likely is now."""
    sure: Floats
    """Cents: one standard deviation of that."""
    read: Mask
    """Whether it was read, and the reading can be of this note."""
    odd: Floats
    """Cents by which the reading lies above what all others let expect; NaN where it was not read."""
    unlikely: Floats
    """That in standard deviations."""
    flutes: Flutes
    """The one likeliest flute."""
    fingerings: Fingerings
    found: Resonances
    """What it plays (1, M)."""
    beside: Floats
    """Cents by which the notes lie above what that flute plays: what the model leaves out."""
    doubts: Doubts

    def cents(self, frequency: Floats) -> Floats:
        """(N, M) cents from target where N flutes like this one play ``frequency`` (N, M)."""
        target = np.array([note.target for note in self.notes])
        return np.asarray(CENT * np.log(frequency / target) + self.beside)


def as_heard(design: Design) -> AsHeard:
    """What the readings of a finished flute say of it.

    Raises
    ------
    EditError
        for a flute that is not finished, without rows, with an ideal mouth, or of which nothing was read.
    QuantityError, UnknownNameError, NoPitchError
    """
    marked = marked_holes(design)
    if not design.rows:
        raise EditError("This design has no rows", "add the notes that the flute should play")
    if design.instrument.mouth == "open":
        raise EditError("The mouth of this design is an ideal open end", "give it a real mouth first")
    if any(marked) and not all(marked):
        left = ", ".join(str(i + 1) for i, mark in zip(design.fingered(), marked, strict=True) if not mark)
        raise EditError(
            f"Not all holes are drilled yet: {left} are left",
            "finish the flute first; under holes that are there all the same, write drilled = true",
        )
    plain = unread(design)
    now = as_it_is(plain)
    notes = _notes(now)
    target = tuple(note.target for note in notes)
    problem = problem_of(replace(plain, rows=()), ())
    doubts, spread = problem.doubts, problem.before.spread
    sound = _sound(now, notes, doubts)
    readings, heard, other = _near(sound, readings_of(plain))
    if not any(reading.row is not None for reading in readings):
        raise EditError(
            "No note of this flute was read",
            "blow its rows, the lowest first, and type what the tuner says, such as A4 -4, beside each",
        )
    causes = Causes([sound, *readings])
    read = np.array([reading.frequency for reading in readings])
    state: Floats = np.zeros(STATE)
    wide: Floats = np.ones(causes.count)
    for _ in range(TURNS):
        lead, *blocks = (causes.loading(each, spread, doubts)[0] for each in heard)
        load = np.concatenate(blocks)
        played = np.concatenate([each.frequency[0] for each in heard[1:]])
        off = CENT * np.log(read / played) + load[:, :STATE] @ (state / np.maximum(spread, 1e-12))
        known = _known(load, off, wide, doubts.tuner)
        wide, step = known.wide, known.likeliest[:STATE] * spread - state
        state = np.asarray(state + step * min(1.0, LONGEST / max(abs(float(step[0])), LONGEST)))
        heard = hear_each([each.altered(state[None]) for each in (sound, *readings)], heard)
        if np.abs(step / np.maximum(spread, 1e-12)).max() < STILL:
            break
    likeliest = known.likeliest
    mean = CENT * np.log(heard[0].frequency[0] / target) + lead[:, STATE:] @ likeliest[STATE:]
    flutes = altered(sound.flutes, state[None])
    flutes = replace(
        flutes,
        at=flutes.at + likeliest[causes.at(sound)] * doubts.at,
        radius=np.maximum(flutes.radius + likeliest[causes.diameter(sound)] * doubts.diameter / 2, 2e-4),
        length=flutes.length + likeliest[causes.length(sound)] * doubts.length,
    )
    found = resonances(flutes, sound.fingerings, near=heard[0].found)
    odd, unlikely = _odd(load, off, doubts.tuner, readings, notes)
    return AsHeard(
        now,
        notes,
        mean,
        np.sqrt(known.of_rows(lead)),
        np.array([note.row is not None and bool(note.said) and note.row not in other for note in notes]),
        odd,
        unlikely,
        flutes,
        sound.fingerings,
        found,
        mean - CENT * np.log(found.frequency[0] / target),
        doubts,
    )


@dataclass(frozen=True)
class _Known:
    """P causes given K readings: ``likeliest`` (P,) in what was believed of each, and ``wide`` times that."""

    likeliest: Floats
    wide: Floats
    taught: Floats
    """(K, P) what the readings take off the covariance, as a root of it."""

    def of_rows(self, lead: Floats) -> Floats:
        """Cents² (M,) left of some notes with loadings ``lead`` (M, P)."""
        whole = ((lead * self.wide) ** 2).sum(axis=1)
        return np.asarray(np.maximum(whole - ((lead @ self.taught.T) ** 2).sum(axis=1), 0.0))


def _known(load: Floats, off: Floats, wide: Floats, tuner: float) -> _Known:
    """Causes given readings ``off`` (K,) cents; ``load`` (K, P) cents for one standard deviation as believed.

    ``wide`` is how much wider each is to begin with; it ends where it is likeliest.
    """
    for _ in range(ROUNDS):
        reach = load * wide
        root = np.linalg.cholesky(reach @ reach.T + (tuner**2 + LEAST) * np.eye(len(load)))
        taught = np.linalg.solve(root, reach) * wide
        likeliest = taught.T @ np.linalg.solve(root, off)
        variance = np.maximum(wide**2 - (taught**2).sum(axis=0), 0.0)
        wider = np.sqrt((TAILS + likeliest**2 + variance) / (TAILS + 1))
        wider[:STATE] = 1.0
        if np.abs(wider - wide).max() < STILL:
            break
        wide = wider
    return _Known(likeliest, wide, taught)


def _odd(
    load: Floats, off: Floats, tuner: float, readings: tuple[Reading, ...], notes: tuple[Note, ...]
) -> tuple[Floats, Floats]:
    """Each row's reading against all others, as if every cause were as narrow as believed."""
    precision = np.linalg.inv(load @ load.T + (tuner**2 + LEAST) * np.eye(len(load)))
    own, weighed = np.diagonal(precision), precision @ off
    place = {note.row: i for i, note in enumerate(notes) if note.row is not None}
    cents, share = np.full(len(notes), np.nan), np.full(len(notes), np.nan)
    for i, reading in enumerate(readings):
        if reading.row in place:
            here = place[reading.row]
            cents[here], share[here] = weighed[i] / own[i], weighed[i] / np.sqrt(own[i])
    return cents, share


def _sound(now: Design, notes: tuple[Note, ...], doubts: Doubts) -> Sound:
    """The notes as they are now, before anything was learnt."""
    rows = tuple(
        Row(note.name, note.holes, register=note.register, open_share=note.open_share) for note in notes
    )
    fingerings = fingerings_of(now, rows)
    doubt = model_doubts(fingerings.share, fingerings.register, doubts.model)
    return Sound(flutes_of(now), fingerings, tuple(range(len(now.holes))), doubt)


def _near(
    sound: Sound, readings: tuple[Reading, ...]
) -> tuple[tuple[Reading, ...], tuple[Heard, ...], frozenset[int]]:
    """Readings that can be of this flute, what is heard of ``sound`` and them, and the rows of the others."""
    heard = hear_each((sound, *readings))
    close = [
        abs(CENT * np.log(reading.frequency / each.frequency[0, 0])) <= ANOTHER_NOTE
        for reading, each in zip(readings, heard[1:], strict=True)
    ]
    kept = [i for i, is_close in enumerate(close) if is_close]
    other = frozenset(
        reading.row
        for reading, is_close in zip(readings, close, strict=True)
        if not is_close and reading.row is not None
    )
    return tuple(readings[i] for i in kept), (heard[0], *(heard[i + 1] for i in kept)), other


def _notes(design: Design) -> tuple[Note, ...]:
    """Every row, and the octave of each fingering of the scale that no row overblows, where there is one."""
    rows = tuple(
        Note(i, row.note, row.holes, row.register, row.open_share, target, row.measured)
        for i, (row, target) in enumerate(zip(design.rows, ask.targets(design), strict=True))
    )
    overblown = {note.holes for note in rows if note.register > 1}
    low = [
        note
        for note in rows
        if note.register == 1 and note.holes not in overblown and design.rows[note.row or 0].counts
    ]
    above = [Note(None, f"octave of {n.name}", n.holes, 2, n.open_share, 2 * n.target, "") for n in low]
    asked = [Row(n.name, n.holes, register=n.register, open_share=n.open_share) for n in (*rows, *above)]
    heard = resonances(flutes_of(design), fingerings_of(design, tuple(asked)), missing=True).frequency[0]
    hertz = {id(note): each for note, each in zip((*rows, *above), heard, strict=True)}
    kept = [note for note in rows if note.said or np.isfinite(hertz[id(note)])]
    octaves = [
        note
        for note, base in zip(above, low, strict=True)
        if abs(CENT * np.log(hertz[id(note)] / (2 * hertz[id(base)]))) < OCTAVE  # false where there is none
    ]
    if octaves:
        asked = [Row(n.name, n.holes, register=2, open_share=n.open_share) for n in octaves]
        found = np.array([[hertz[id(note)] for note in octaves]])
        left = field_at(flutes_of(design), fingerings_of(design, tuple(asked)), found).impedance[0]
        kept += [note for note, part in zip(octaves, np.abs(left), strict=True) if part < FAINT]
    return tuple(kept)
