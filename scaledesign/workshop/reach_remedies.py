"""What to do where a hand cannot cover a flute: each remedy with its cents, ranked.

A remedy is a whole design that was played by the engine: what every row does is exact for it, nothing is
estimated from slopes. Apart from ``reach``, which finds what is too far; what other things stay still is said
in ``kept_note``. Which remedy is easier on maker and player is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.model.document import Design, Finger, Row
from scaledesign.physics.arrays import Floats
from scaledesign.solver.prediction import Prediction
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.kept_note import own_row, widened, with_hole
from scaledesign.workshop.played_as import cents_off, played, sounding
from scaledesign.workshop.reach import HAIR, Misfit, broken, misfits
from scaledesign.workshop.reach_single import Now, pairs, singles
from scaledesign.workshop.reach_whole import Draft, fixed, whole_flute
from scaledesign.workshop.registers import WRONG

TENTH = 1e-4
"""m: what a slip of the bit or the file is told for."""
EASE = (
    "turn",
    "fingers",
    "narrower",
    "wider",
    "slant",
    "oval",
    "flat fingers",
    "both",
    "anew",
    "bore",
    "key",
)
"""Kinds of remedy, the easiest on maker and player first."""
USEFUL = 60.0
"""Cents from twice the low note beyond which an octave is of no use to a player (common practice, no
source)."""


@dataclass(frozen=True)
class Remedy:
    """One way to make a flute fit a hand, played."""

    kind: str
    """One of ``EASE``."""
    words: str
    """What to do, as a sentence."""
    holes: tuple[int, ...]
    """Holes (0-based) that are worked on otherwise; empty where it is the whole flute, or the hands."""
    design: Design
    met: bool
    """Whether what it is for is done: that pair, or for the whole flute everything."""
    breaks: tuple[tuple[str, tuple[int, ...]], ...]
    """Rules that it breaks and that were kept before: kind and holes."""
    cents: Floats
    """(R,) off each row's note; NaN for a row that no longer speaks."""
    worst_row: int | None
    """The counted row that is furthest off."""
    changed: Floats
    """(R,) cents by which each row changes."""
    row: int | None = None
    """The note that was kept, of the hole worked on."""
    touchy: tuple[float, float] | None = None
    """Cents that a tenth of a millimetre more width moves that note: before, after."""
    octave: tuple[float, float] | None = None
    """Cents that the octave which shifts most lies above twice its low note: before, after; NaN: no more."""
    octave_note: str = ""
    """The low note of that octave."""
    fingers: tuple[Finger, ...] = ()
    """Fingers that it is for; empty where it is for the whole flute."""
    crossed: float = 0.0
    """Cents by which a cross-fingered row changes most."""

    @property
    def worst(self) -> float:
        """Cents off of the counted row that is furthest off."""
        return 0.0 if self.worst_row is None else float(self.cents[self.worst_row])


@dataclass(frozen=True)
class Remedied:
    """A flute under a hand, what does not fit, and what would help."""

    design: Design
    """With that hand."""
    misfits: tuple[Misfit, ...]
    """Worst first."""
    single: tuple[tuple[Remedy, ...], ...]
    """For each misfit, best first."""
    whole: tuple[Remedy, ...]
    """For all of them at once, best first; empty where all fits."""
    too_late: tuple[int, ...]
    """Holes that are drilled or locked, so that no remedy moves them."""


def remedies(design: Design) -> Remedied:
    """What does not fit the design's hand, and every remedy there is, played and ranked.

    Raises
    ------
    UnknownNameError, NoPitchError
    """
    heard = ask.predict(design)
    found = misfits(design)
    late = tuple(i for i, hole in enumerate(design.holes) if fixed(hole))
    if not found:
        return Remedied(design, (), (), (), late)
    scales = _Scales(design, heard)
    single = tuple(_ranked(scales, singles(scales.now, one), one) for one in found)
    whole = _ranked(scales, list(whole_flute(design, scales.counted, found)), None)
    return Remedied(design, found, single, whole, late)


class _Scales:
    """What all remedies are weighed against: the flute as it is."""

    def __init__(self, design: Design, heard: Prediction) -> None:
        self.design, self.heard = design, heard
        self.target = ask.targets(design)
        self.counted = [i for i, row in enumerate(design.rows) if row.counts]
        self.low = [i for i in self.counted if design.rows[i].register == 1]
        self.crossed = [i for i, row in enumerate(design.rows) if _is_crossed(design, row)]
        octaves = tuple(replace(design.rows[i], register=2) for i in self.low)
        self.rows = (*design.rows, *octaves)
        self.before = broken(design)
        own = tuple(own_row(design, heard, i) for i in range(len(design.holes)))
        self.now = Now(design, own, sounding(design, self.rows))

    def stretch(self, frequency: Floats) -> Floats:
        """(N, L) cents of each counted note's octave over twice the note; NaN for one that is none."""
        count = len(self.design.rows)
        found = cents_off(frequency[:, count:], (2.0,)) - cents_off(frequency[:, self.low], (1.0,))
        return np.where(np.abs(found) < WRONG, found, np.nan)


def _is_crossed(design: Design, row: Row) -> bool:
    opened = False
    for letter in row.holes:
        if opened and letter == "X":
            return True
        opened = opened or letter != "X"
    return False


def _ranked(scales: _Scales, drafts: Sequence[Draft], misfit: Misfit | None) -> tuple[Remedy, ...]:
    made = _played(scales, drafts, misfit)
    if misfit is not None and not any(_good(scales, one) for one in made):
        made += _played(scales, list(pairs(scales.now, misfit)), misfit)

    def key(one: Remedy) -> tuple[bool, bool, bool, int, float]:
        return (not one.met, bool(one.breaks), not _good(scales, one), EASE.index(one.kind), abs(one.worst))

    return tuple(sorted(made, key=key))


def _good(scales: _Scales, one: Remedy) -> bool:
    """Whether it does what it is for, breaks nothing, and no note that counts goes out of tune by it."""
    was = np.abs(scales.heard.cents[scales.counted]).max(initial=0.0)
    allowed = max(scales.design.tuning.tolerance, float(was) + 1.0)
    return one.met and not one.breaks and abs(one.worst) <= allowed


def _played(scales: _Scales, drafts: Sequence[Draft], misfit: Misfit | None) -> list[Remedy]:
    """Drafts with what they do; those of another tube or key are predicted one by one."""
    same = [one for one in drafts if one.kind not in ("key", "bore")]
    slipped = [_slipped(one) for one in same]  # stands like its draft, so it costs next to nothing
    frequency = played(
        [scales.design, *(one.design for one in same), *slipped], scales.rows, scales.now.sounds
    )
    count, rows = len(same), len(scales.design.rows)
    cents = cents_off(frequency[:, :rows], scales.target)
    octave = scales.stretch(frequency)
    found = []
    for n, one in enumerate(same, 1):
        changed = cents[n] - cents[0]
        touchy = None
        if one.row is not None and len(one.holes) == 1:
            before = float(scales.heard.sensitivity.diameter[one.row, one.holes[0]]) * TENTH
            touchy = (before, float(cents[count + n, one.row] - cents[n, one.row]))
        found.append(
            _remedy(
                scales, one, misfit, cents[n], changed,
                touchy, *_most(scales, octave[0], octave[n]),
                float(np.nanmax(np.abs(changed[scales.crossed]), initial=0.0)),
            )
        )  # fmt: skip
    for one in drafts:
        if one.kind in ("key", "bore"):
            heard = ask.predict(one.design)
            found.append(_remedy(scales, one, misfit, heard.cents, heard.cents - cents[0]))
    return found


def _most(scales: _Scales, before: Floats, after: Floats) -> tuple[tuple[float, float] | None, str]:
    """The octave that shifts most, cents before and after, and its low note; lost ones come first.

    One that was of no use and stays so is left out.
    """
    was, now = (np.where(np.isfinite(off), np.abs(off), np.inf) for off in (before, after))
    known = [k for k in range(len(before)) if np.isfinite(before[k]) and min(was[k], now[k]) <= USEFUL]
    if not known:
        return None, ""
    shift = np.where(np.isfinite(after), np.abs(after - before), np.inf)
    most = max(known, key=lambda k: float(shift[k]))
    return (float(before[most]), float(after[most])), scales.design.rows[scales.low[most]].note


def _slipped(one: Draft) -> Design:
    """The draft with the hole that was worked on a tenth of a millimetre wider."""
    if not one.holes:
        return one.design
    hole = one.design.holes[one.holes[0]]
    return with_hole(one.design, one.holes[0], widened(hole, hole.diameter + TENTH))


def _remedy(
    scales: _Scales, one: Draft, misfit: Misfit | None, cents: Floats, changed: Floats,
    touchy: tuple[float, float] | None = None, octave: tuple[float, float] | None = None,
    octave_note: str = "", crossed: float = 0.0,
) -> Remedy:  # fmt: skip
    now = broken(one.design)
    worse = tuple(at for at, by in now.items() if by > scales.before.get(at, 0.0) + HAIR)
    if misfit is None:
        met = not misfits(one.design)
    else:
        met = (misfit.kind, tuple(sorted(misfit.holes))) not in now
        worse = tuple(at for at in worse if at != (misfit.kind, tuple(sorted(misfit.holes))))
    off = np.where(np.isfinite(cents), np.abs(cents), np.inf)
    holes = () if misfit is None else misfit.holes
    fingers = tuple(scales.design.holes[i].finger for i in sorted(holes))
    worst = max(scales.counted, key=lambda i: off[i], default=None)
    return Remedy(
        one.kind, one.words, one.holes, one.design, met, worse, cents, worst, changed, one.row, touchy,
        octave, octave_note, fingers, crossed,
    )  # fmt: skip
