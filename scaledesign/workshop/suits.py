"""Which scales a flute can play as it stands: every scale on every tonic, each note with its best fingering.

Apart from solving, which moves holes: here none moves. What a flute can play comes from ``playable``; which
of its fingerings each note takes is looked up for all scales and tonics in one search.

The notes that are judged are those of one octave (the scale's period, or as many of them as make an octave)
up from the tonic, which lies at the flute's lowest note or as little above it as can be. Notes of the scale
below that tonic and above that octave are a gift: ``low`` and ``high`` say how far they go on in tune.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

import numpy as np

from scaledesign.errors import EditError
from scaledesign.extend.catalogue import KINDS
from scaledesign.model.document import Design, Tuning
from scaledesign.model.pitch import OCTAVE, Note, nearest_note, note_frequency, parse_note, raised
from scaledesign.model.scale import Scale
from scaledesign.model.spelling import names_like
from scaledesign.physics.arrays import Floats, Indices, Mask
from scaledesign.solver.problem import CENT, fingerings_of, flutes_of
from scaledesign.solver.resonance import field_at, resonances
from scaledesign.values import dataclass
from scaledesign.workshop.ease import codes, ease_of
from scaledesign.workshop.playable import HALVED, Playable, playable
from scaledesign.workshop.registers import FAINT
from scaledesign.workshop.sound import FAINTEST

CLEAN, CARE = 10.0, 25.0
"""Cents off within which a note is clean, and within which a player brings it in with the breath (common
practice, no source)."""
VERDICTS = ("clean", "with care", "not")
"""By the worst note of the octave."""
OWN = 1000.0
"""Cents that a row of the design is easier than any other fingering: the player has it in the hand."""
TINY = 1e-6
"""Cents that rounding may add."""
SLACK = 50.0
"""Cents by which the flute's lowest note may lie above a tonic, and still be it."""
FAMILIAR = ("five notes", "modes", "minors and their kin", "six notes", "pure intervals", "temperaments")
"""Kinds of scales that are told first among those that come out clean (common practice, no source); the
others follow in the order of every list."""
TONICS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
"""What is tried where no tonic is asked for."""


@dataclass(frozen=True)
class Taken:
    """One note of a scale, and the fingering it takes."""

    wanted: float
    """Hz."""
    column: int
    """Of ``Suits.playable``."""
    letters: str
    """X, O, H, mouth to foot, without blanks."""
    register: int
    frequency: float
    """Hz that the fingering plays."""
    cents: float
    """Off what is wanted."""
    judged: bool
    """Whether it lies within the octave that the verdict rests on."""


@dataclass(frozen=True)
class Suit:
    """How well one scale on one tonic suits a flute; cents and counts are of the octave that is judged."""

    scale: str
    tonic: str
    """With its octave."""
    verdict: str
    """One of ``VERDICTS``."""
    worst: float
    """Cents, the sign says which way."""
    rms: float
    """Cents."""
    worst_at: float
    """Hz wanted of the worst note."""
    notes: int
    halves: int
    """Notes that need a hole partly open."""
    doubled: int
    """Notes for which there is no fingering but that of the note below: they cannot be told apart."""
    low: float
    """Hz: the lowest and the highest note up to which the scale goes on in tune, within ``Suits.within``."""
    high: float

    @property
    def suits(self) -> bool:
        """Whether it can be played, if with care."""
        return self.verdict != VERDICTS[-1]


@dataclass(frozen=True)
class Suits:
    """S scales on T tonics, N notes each at most (fewer: NaN), low to high.

    A note takes a fingering with fewer holes partly open unless one with more comes out better by a step:
    ``CLEAN`` instead of ``within``, or either instead of neither. Of clean ones with as many holes partly
    open it takes a row of the design, else the easiest for the hand (``ease.py``), else the nearest. It takes
    the nearest of others, and where the next note of the scale lies so near that both might share one.
    """

    playable: Playable
    tuning: Tuning
    """Of the flute: its reference pitch, and the tonic that is told first."""
    within: float
    """Cents beyond which a note is not in tune."""
    scales: tuple[Scale, ...]
    tonics: tuple[Note, ...]
    wanted: Floats
    """(S, T, N) cents above A4."""
    judged: Mask
    """(S, T, N) whether the note lies within the octave above the tonic."""
    taken: Indices
    """(S, T, N) column of ``playable``."""
    off: Floats
    """(S, T, N) cents."""
    worst: Floats
    """(S, T) cents, the sign says which way."""
    rms: Floats
    """(S, T) cents."""
    halves: Indices
    """(S, T) notes of the octave that need a hole partly open."""
    doubled: Indices
    """(S, T) notes of the octave for which there is no fingering but that of the note below."""

    @property
    def verdict(self) -> Indices:
        """(S, T) place in ``VERDICTS``."""
        return np.where(self.doubled > 0, 2, _grade(np.abs(self.worst), self.within))

    def ranked(self) -> list[tuple[int, int]]:
        """(scale, tonic) pairs, best first: no hole partly open, then verdict, holes partly open, cents.

        Clean ones come by kind, that of the flute's own scale first, then what is familiar; in each kind
        those on the flute's own tonic come before cents. Those that do not suit come last: by the notes that
        cannot be told apart, then cents.
        """
        verdict = self.verdict.ravel()
        halves = np.where(verdict < 2, self.halves.ravel(), self.doubled.ravel())
        kind, away = self._kinds(), self._away()
        kinds = np.where(verdict == 0, np.repeat(kind, len(away)), 0)
        aways = (verdict == 0) & np.tile(away, len(kind))
        cents = np.round(np.abs(self.worst), 1).ravel()
        keys = (cents, aways, kinds, halves, verdict, halves > 0, verdict == 2)
        return [(int(i) // len(self.tonics), int(i) % len(self.tonics)) for i in np.lexsort(keys)]

    def suit(self, scale: int, tonic: int) -> Suit:
        """One pair."""
        at = scale, tonic
        off = np.where(self.judged[at], np.abs(self.off[at]), -1.0)
        low, high = self._reach(scale, tonic)
        return Suit(
            self.scales[scale].name,
            self.tonics[tonic].name,
            VERDICTS[int(self.verdict[at])],
            float(self.worst[at]),
            float(self.rms[at]),
            self._hertz(float(self.wanted[at][int(off.argmax())])),
            int(self.judged[at].sum()),
            int(self.halves[at]),
            int(self.doubled[at]),
            self._hertz(low),
            self._hertz(high),
        )

    def notes(self, scale: int, tonic: int) -> tuple[Taken, ...]:
        """What every note of one pair takes, low to high, those below and above the octave too."""
        found = []
        at = scale, tonic
        for wanted, column, off, judged in zip(
            self.wanted[at], self.taken[at], self.off[at], self.judged[at], strict=True
        ):
            if np.isfinite(wanted):
                each, of = int(column), self.playable
                found.append(
                    Taken(
                        self._hertz(float(wanted)), each, of.letters[each], int(of.register[each]),
                        float(of.frequency[each]), float(off), bool(judged),
                    )
                )  # fmt: skip
        return tuple(found)

    @property
    def reference(self) -> float:
        """Hz of A4."""
        return self.tuning.reference

    def _kinds(self) -> Indices:
        """(S,) place of each scale's kind among all kinds."""
        own = [scale.kind for scale in self.scales if scale.name == self.tuning.scale]
        kinds = [scale.kind for scale in self.scales]
        order = list(dict.fromkeys((*own, *FAMILIAR, *KINDS, *filter(None, kinds), "")))
        return np.array([order.index(kind) for kind in kinds], np.intp)

    def _away(self) -> Mask:
        """(T,) which tonics have another name than the flute's own."""
        home = parse_note(self.tuning.tonic).midi
        return np.array([(note.midi - home) % 12 > 0 for note in self.tonics], bool)

    def _reach(self, scale: int, tonic: int) -> tuple[float, float]:
        at = scale, tonic
        good = np.isfinite(self.off[at]) & (np.abs(self.off[at]) <= self.within)
        inside = np.flatnonzero(self.judged[at])
        first, last = int(inside[0]), int(inside[-1])
        while first > 0 and good[first - 1]:
            first -= 1
        while last + 1 < len(good) and good[last + 1]:
            last += 1
        return float(self.wanted[at][first]), float(self.wanted[at][last])

    def _hertz(self, cents: float) -> float:
        return float(self.reference * 2.0 ** (cents / OCTAVE))


def suits(
    design: Design,
    scales: Sequence[Scale],
    tonics: Sequence[str] = TONICS,
    *,
    within: float = CARE,
    halves: bool = True,
    found: Playable | None = None,
) -> Suits:
    """How well every scale on every tonic suits a design as it stands.

    Parameters
    ----------
    design : Design
    scales : at least one
    tonics : notes (``"D4"``), or letters without an octave: the lowest such note that the flute has
    within : cents beyond which a note is not in tune; no less than ``CLEAN``
    halves : whether holes may be partly open; as far as ``playable`` opens them, and as the design's rows do
    found : what the design can play, where that is known

    Raises
    ------
    QuantityError
        for a tonic that cannot be read.
    EditError
        when nothing speaks, there are too many holes to try, or a tonic is none of the flute's notes.
    """
    found = with_rows(design, playable(design, halves=halves) if found is None else found)
    usable = speaking(design, found)
    if not halves:
        usable = usable & (found.halves == 0)
    return matched(found, usable, effort(design, found), design.tuning, scales, tonics, within)


def with_rows(design: Design, found: Playable) -> Playable:
    """With the rows of the design that open a hole partly, but otherwise than ``found`` does, at the end."""
    rows = [row for row in design.rows if "H" in row.holes and row.open_share != found.open_share]
    if not rows:
        return found
    asked = fingerings_of(design, tuple(rows))
    frequency = resonances(flutes_of(design), asked, missing=True).frequency[0]
    return replace(
        found,
        letters=(*found.letters, *("".join(row.holes) for row in rows)),
        share=np.concatenate([found.share, asked.share], axis=1),
        register=np.concatenate([found.register, asked.register]),
        frequency=np.concatenate([found.frequency, frequency]),
    )


def speaking(design: Design, found: Playable) -> Mask:
    """(M,) which fingerings have a pitch whose resonance is deep enough to speak at all."""
    there = np.flatnonzero(np.isfinite(found.frequency))
    usable = np.zeros(found.count, bool)
    if len(there):
        field = field_at(flutes_of(design), found.fingerings(there), found.frequency[there][None])
        usable[there] = -20 * np.log10(np.maximum(np.abs(field.impedance[0]), FAINTEST)) >= FAINT
    return usable


def effort(design: Design, found: Playable) -> Floats:
    """(M,) cents that each fingering asks of the hands; below 0 those of the design's rows."""
    at = np.array([design.holes[hole].at for hole in design.fingered()])
    ease = ease_of(codes(found.letters), found.fingers, at)
    cost = ease.half_cost + ease.fork_cost
    rows = {
        ("".join(row.holes), row.register, row.open_share if "H" in row.holes else 0.0) for row in design.rows
    }
    shares = np.where(found.share % 1 > 0, found.share, 0.0).max(axis=0, initial=0.0)
    own = [each in rows for each in zip(found.letters, found.register.tolist(), shares.tolist(), strict=True)]
    return np.asarray(np.where(own, cost - OWN, cost))


def matched(
    found: Playable,
    usable: Mask,
    effort: Floats,
    tuning: Tuning,
    scales: Sequence[Scale],
    tonics: Sequence[str] = TONICS,
    within: float = CARE,
) -> Suits:
    """The same of fingerings that are known: M of them, ``usable`` (M,) those that may be taken.

    ``effort`` (M,) says which are taken first among clean ones, the least first.
    """
    within, reference = max(within, CLEAN), tuning.reference
    if not usable.any():
        raise EditError("No fingering of this flute speaks", "look at the length of the tube and at its foot")
    pitch = np.full(found.count, np.nan)
    pitch[usable] = CENT * np.log(found.frequency[usable] / reference)
    lowest, highest = float(np.nanmin(pitch)), float(np.nanmax(pitch))
    roots = [tonic_of(text, reference, lowest, highest) for text in tonics]
    start = np.array([CENT * np.log(note_frequency(note, reference) / reference) for note in roots])
    above, octave, room = _above(scales, lowest - SLACK - start.max(), highest + SLACK - start.min())
    wanted = start[:, None] + above[:, None, :]
    judged = np.broadcast_to(octave[:, None, :], wanted.shape)
    wanted = np.where(judged | ((wanted >= lowest - SLACK) & (wanted <= highest + SLACK)), wanted, np.nan)
    alone = np.broadcast_to(room[:, None, :] > CLEAN + within - TINY, wanted.shape)
    taken, off = _taken(pitch, found.halves, wanted, within)
    _ease(pitch, found.halves, effort, wanted, alone, taken, off)
    size = np.where(judged, np.abs(off), 0.0)
    worst = np.take_along_axis(off, size.argmax(axis=-1)[..., None], axis=-1)[..., 0]
    rms = np.sqrt((size**2).sum(axis=-1) / judged.sum(axis=-1))
    halved = ((found.halves[taken] > 0) & judged).sum(axis=-1)
    same = (taken[..., 1:] == taken[..., :-1]) & judged[..., 1:] & judged[..., :-1]
    return Suits(
        found, tuning, within, tuple(scales), tuple(roots), wanted, judged, taken, off, worst, rms, halved,
        same.sum(axis=-1),
    )  # fmt: skip


def _taken(pitch: Floats, halves: Indices, wanted: Floats, within: float) -> tuple[Indices, Floats]:
    """Which fingering each note takes, and how far off it is (cents); NaN where no note is wanted."""
    taken, off = np.zeros(wanted.shape, np.intp), np.full(wanted.shape, np.inf)
    for most in range(HALVED + 1):
        columns = np.flatnonzero(np.isfinite(pitch) & (halves <= most))
        if not len(columns) or (most and not (halves[columns] == most).any()):
            continue
        column, cents = nearest(pitch, columns, wanted)
        now, then = _grade(np.abs(off), within), _grade(np.abs(cents), within)
        better = (then < now) | ((now == 2) & (np.abs(cents) < np.abs(off)))
        taken, off = np.where(better, column, taken), np.where(better, cents, off)
    return taken, np.where(np.isfinite(wanted), off, np.nan)


def _ease(
    pitch: Floats, halves: Indices, effort: Floats, wanted: Floats, alone: Mask, taken: Indices, off: Floats
) -> None:
    """Give clean notes that are ``alone`` the easiest fingering that is clean too, in place."""
    left = np.flatnonzero((np.abs(off) <= CLEAN) & alone)
    notes, took, cents = wanted.ravel()[left], taken.ravel()[left], off.ravel()[left]
    usable = np.flatnonzero(np.isfinite(pitch))
    kinds, kind = np.unique((2 * OWN * halves + effort)[usable], return_inverse=True)
    waiting = np.arange(len(left))
    for each in range(len(kinds)):
        column, far_off = nearest(pitch, usable[kind == each], notes[waiting])
        clean = np.abs(far_off) <= CLEAN
        done = waiting[clean]
        took[done], cents[done] = column[clean], far_off[clean]
        waiting = waiting[~clean]
    np.put(taken, left, took)
    np.put(off, left, cents)


def nearest(pitch: Floats, columns: Indices, wanted: Floats) -> tuple[Indices, Floats]:
    """Which of the ``columns`` of ``pitch`` lies nearest to each note wanted (any shape), and cents off."""
    order = columns[np.argsort(pitch[columns], kind="stable")]
    sorted_pitch = pitch[order]
    above = np.clip(np.searchsorted(sorted_pitch, wanted), 1, max(1, len(order) - 1))
    above = np.minimum(above, len(order) - 1)
    below = np.maximum(above - 1, 0)
    place = np.where(wanted - sorted_pitch[below] <= sorted_pitch[above] - wanted, below, above)
    return order[place], sorted_pitch[place] - wanted


def _grade(size: Floats, within: float) -> Indices:
    return (size > CLEAN).astype(np.intp) + (size > within)


def tonic_of(text: str, reference: float, lowest: float, highest: float) -> Note:
    """A tonic; without an octave the lowest one of a flute that plays ``lowest`` to ``highest`` (cents).

    Raises
    ------
    QuantityError
        when it cannot be read.
    EditError
        when it is none of the flute's notes.
    """
    plain = text.strip()
    if plain[-1:].isdigit():
        note = parse_note(plain)
        place = CENT * float(np.log(note_frequency(note, reference) / reference))
        if not lowest - SLACK <= place <= highest:
            names = names_like([note])
            ends = (raised(reference, cents) for cents in (lowest, highest))
            low, high = (nearest_note(hertz, reference, names)[0] for hertz in ends)
            raise EditError(
                f"{note.name} is none of the flute's notes", f"take one from {low.name} to {high.name}"
            )
        return note
    note = parse_note(f"{plain}0")
    place = CENT * float(np.log(note_frequency(note, reference) / reference))
    octave = min(9, max(0, ceil((lowest - SLACK - place) / OCTAVE)))
    return parse_note(f"{plain}{octave}")


def _above(scales: Sequence[Scale], low: float, high: float) -> tuple[Floats, Mask, Floats]:
    """Cents (S, N) above the tonic of every note from ``low`` to ``high``, and which make the octave.

    Also the cents from each to the next note of its scale, up or down.
    """
    lists, rooms, tops = [], [], []
    for scale in scales:
        octave = max(1, ceil((OCTAVE - SLACK) / scale.period))
        tops.append(octave * scale.period)
        down, up = min(0, int(low // scale.period)), max(octave, int(high // scale.period))
        notes = (np.arange(down, up + 1)[:, None] * scale.period + np.array(scale.cents)).ravel()
        steps = np.diff(scale.cents, append=scale.period)
        room = np.tile(np.minimum(steps, np.roll(steps, 1)), up + 1 - down)
        kept = ((notes >= low) & (notes <= high)) | ((notes >= 0) & (notes <= tops[-1] + TINY))
        lists.append(notes[kept])
        rooms.append(room[kept])
    above = np.full((len(scales), max(map(len, lists))), np.nan)
    around = np.zeros(above.shape)
    for row, notes in zip(above, lists, strict=True):
        row[: len(notes)] = notes
    for row, room in zip(around, rooms, strict=True):
        row[: len(room)] = room
    return above, (above >= 0) & (above <= np.array(tops)[:, None] + TINY), around
