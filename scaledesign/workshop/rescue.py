"""Rescue of a finished flute whose notes are off: which few changes mend it, and what they do to every note.

The readings are the truth (``as_heard.py``); what a change shifts is the engine's. This module weighs what is
wanted, ranks what the search found and says for each change where to begin, what to blow and what to expect.
Words are in ``rescue_words.py``; noting a plan in the design is in ``rescue_taken.py``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import isfinite

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import COUNTS, Design
from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass
from scaledesign.workshop.as_heard import AsHeard, as_heard
from scaledesign.workshop.rescue_levers import KINDS, SHARE, SHARPENS, Change, Kind, Lever, levers, played
from scaledesign.workshop.rescue_search import Aim, Found, search

MOST = 3
"""How many changes are thought of, unless another number is asked for."""
LIMIT = 4
"""Beyond so many changes it is another flute."""
WORTH = 1.5
"""Cents by which each further change has to make the whole better (proposed here, no source)."""
OVERBLOWN = 0.25
"""Weight of a second octave that was read and does not count by its row (proposed here, no source): a plan
that suits it too is better, but no low note is to suffer much for it."""
SAFE = 1.64
"""Standard deviations: 95 % of what is drawn lies below."""
TOGETHER, ENOUGH = 0.5, 3
"""Share of what notes are off that is left once they are moved together, below which they are off together;
and how many it takes to say so (proposed here, no source)."""
ALIKE, OTHERS = 2.0, 5
"""Cents within which another plan of the same size is as good; and how many plans stand beside the first."""


@dataclass(frozen=True)
class Act:
    """One change in the order of doing: how to begin, what to blow, what to expect."""

    change: Change
    first: float | None
    """m: how far to go at first, where the ± is large; None: in one go."""
    listen: int
    """Which of the notes to blow."""
    first_cents: float
    """Cents from target it should then be, after the first go; NaN without one."""
    then_cents: float
    """Cents from target it should be once this is done, what comes later not yet."""
    sure: float
    """Cents: one standard deviation of that."""


@dataclass(frozen=True)
class Proposal:
    """Some acts, and every note after them: ``cents`` (M,) from target, ``sure`` (M,) one deviation."""

    acts: tuple[Act, ...]
    cents: Floats
    sure: Floats
    worst: float
    rms: float
    mends: bool
    """Whether every judged note is then within the tolerance."""

    @property
    def changes(self) -> tuple[Change, ...]:
        """What is changed, in the order of doing."""
        return tuple(act.change for act in self.acts)


@dataclass(frozen=True)
class Rescue:
    """What is to be said of a flute: how it stands, and what would mend it, the first plan first."""

    heard: AsHeard
    aim: Aim
    worst: float
    """Cents off of the worst judged note now."""
    rms: float
    common: float
    """Cents that all judged notes are off together."""
    in_tune: bool
    """Whether every judged note is within the tolerance already."""
    unread: tuple[int, ...]
    """Rows (0-based) of the scale that were not read as the flute is now, and are not well known."""
    levers: tuple[Lever, ...]
    """What could have been done."""
    proposals: tuple[Proposal, ...]


def rescue(
    design: Design,
    *,
    most: int = MOST,
    only: Sequence[Kind] = KINDS,
    hold: Sequence[int | None] = (),
    own_pitch: bool | None = None,
) -> Rescue:
    """Find the fewest changes that mend a finished flute.

    Parameters
    ----------
    design : Design, with readings in its rows
    most : changes at most
    only : kinds of change to think of
    hold : holes (0-based) to leave alone; None for the foot
    own_pitch : whether the notes are to agree with each other at the pitch that the flute has by itself, and
        not with the tuning; None: where they are mostly off together, which no hole mends

    Returns
    -------
    Rescue. Its first proposal is the one with the fewest changes beyond which another would bring less than a
    cent; there is none where every note that was read is in tune, or nothing helps.

    Raises
    ------
    EditError
        for a flute that is not finished, or of which nothing was read.
    QuantityError, UnknownNameError, NoPitchError
    """
    if not 1 <= most <= LIMIT:
        raise EditError(f"{most} changes are no rescue", f"ask for 1 to {LIMIT}")
    for hole in hold:
        if hole is not None and not 0 <= hole < len(design.holes):
            raise EditError(f"There is no hole {hole + 1}", f"holes are 1 to {len(design.holes)}")
    heard = as_heard(design)
    aim = _aim(heard)
    common = float(np.average(heard.off[aim.judged])) if aim.judged.any() else 0.0
    if own_pitch or (own_pitch is None and _together(heard, aim, common)):
        aim = replace(aim, pitch=common)
    worst, rms = float(aim.worst(heard.off)), float(aim.rms(heard.off))
    tolerance = design.tuning.tolerance
    in_tune = worst <= tolerance
    overblown = bool(
        (np.abs(heard.off - aim.pitch)[heard.read & (aim.weight >= OVERBLOWN)] > tolerance).any()
    )
    tools = levers(heard, only, hold) if overblown or not in_tune else ()
    chosen = _ranked(search(heard, aim, tools, most), float(aim.score(heard.off)), aim, tolerance)
    return Rescue(
        heard, aim, worst, rms, common, in_tune, _unread(heard), tools,
        tuple(_proposal(heard, aim, each, tolerance) for each in chosen),
    )  # fmt: skip


def _aim(heard: AsHeard) -> Aim:
    """What every note weighs: its row's weight, the less the less it is known; judged are rows read."""
    design = heard.design
    tolerance = design.tuning.tolerance
    scale = {row.holes for row in design.rows if row.counts and row.register == 1}
    weight = np.zeros(len(heard.notes))
    for i, note in enumerate(heard.notes):
        if note.row is None:
            continue
        row = design.rows[note.row]
        weight[i] = row.weight
        if heard.read[i] and row.register > 1 and row.holes in scale:
            weight[i] = max(row.weight, OVERBLOWN)
        if not heard.read[i]:
            weight[i] /= 1 + (heard.sure[i] / tolerance) ** 2
    judged = np.array(
        [
            note.row is not None and bool(heard.read[i]) and design.rows[note.row].counts
            for i, note in enumerate(heard.notes)
        ]
    )
    if not judged.any():  # nothing of the scale was read: then what was
        judged = heard.read.copy()
        weight = np.where(judged, np.maximum(weight, COUNTS), weight)
    return Aim(weight, judged)


def _together(heard: AsHeard, aim: Aim, common: float) -> bool:
    """Whether the judged notes are off by much the same."""
    off = heard.off[aim.judged]
    if len(off) < ENOUGH or abs(common) <= heard.design.tuning.tolerance:
        return False
    return bool(np.sqrt(((off - common) ** 2).mean()) < TOGETHER * np.sqrt((off**2).mean()))


def _unread(heard: AsHeard) -> tuple[int, ...]:
    known = heard.design.tuning.tolerance / 2
    return tuple(
        note.row
        for note, read, sure in zip(heard.notes, heard.read, heard.sure, strict=True)
        if note.row is not None and not read and sure > known and heard.design.rows[note.row].counts
    )


def _ranked(sizes: Iterable[Sequence[Found]], now: float, aim: Aim, tolerance: float) -> tuple[Found, ...]:
    """The plan that is worth its changes, then those with fewer, then those of its size that are as good."""
    best, count = now, 0
    found: list[Sequence[Found]] = []
    for size, sets in enumerate(sizes, 1):
        found.append(sets)
        left = float(aim.score(sets[0].cents)) if sets else now
        if best - left >= WORTH * (size - count):
            best, count = left, size
        if count and aim.worst(found[count - 1][0].cents) <= tolerance:
            break
    if not count:
        return ()
    first = found[count - 1][0]
    fewer = [sets[0] for sets in found[: count - 1] if sets and sets[0].score < now - WORTH]
    alike = [each for each in found[count - 1][1:] if each.score < min(first.score + ALIKE, now - WORTH)]
    return (first, *(fewer + alike)[:OTHERS])


def _proposal(heard: AsHeard, aim: Aim, found: Found, tolerance: float) -> Proposal:
    """A set of changes in the order of doing, foot upward: what is below is heard in all that is above."""
    place = [heard.design.holes[c.hole].at if c.hole is not None else np.inf for c in found.changes]
    order = sorted(range(len(place)), key=lambda i: -place[i])
    changes = [found.changes[i] for i in order]
    used = [found.used[i] for i in order]
    stages = played(heard, [changes[: i + 1] for i in range(len(changes))])
    doubt = np.array([_doubt(heard, lever, at) for lever, at in used])
    acts, before = [], heard.off
    for i, (change, after) in enumerate(zip(changes, stages, strict=True)):
        sure = np.sqrt(heard.sure**2 + doubt[: i + 1].sum(axis=0))
        listen = _listened(heard, aim, before, after)
        first, first_cents = _first_go(heard, changes[:i], used[i], listen, after, sure, tolerance)
        acts.append(Act(change, first, listen, first_cents, float(after[listen]), float(sure[listen])))
        before = after
    cents = found.cents
    worst = float(aim.worst(cents))
    return Proposal(
        tuple(acts), cents, np.sqrt(heard.sure**2 + doubt.sum(axis=0)), worst, float(aim.rms(cents)),
        worst <= tolerance,
    )  # fmt: skip


def _doubt(heard: AsHeard, lever: Lever, place: int) -> Floats:
    """Cents² (M,) that a change adds: how truly it is made, and what the model may have wrong of it."""
    near = min(max(place, 1), len(lever.to) - 1)
    if len(lever.to) > 1:
        slope = (lever.effect[near] - lever.effect[near - 1]) / (lever.to[near] - lever.to[near - 1])
    else:
        slope = lever.effect[0] / (lever.to[0] - lever.was)
    d = heard.doubts
    made = {"cut": d.length, "move": d.at, "undercut": 2 * d.diameter}.get(lever.kind, d.diameter)
    return np.asarray((slope * made) ** 2 + (SHARE[lever.kind] * lever.effect[place]) ** 2)


def _listened(heard: AsHeard, aim: Aim, before: Floats, after: Floats) -> int:
    """The note that tells best of a change: of those judged the one that it moves most, low notes first."""
    moved = np.nan_to_num(np.abs(after - before))
    low = np.array([note.register == 1 and "H" not in note.holes for note in heard.notes])
    for some in (aim.judged & low, heard.read & low, aim.judged, heard.read):
        if some.any() and moved[some].max() > 1.0:
            return int(np.where(some, moved, -1.0).argmax())
    return int(moved.argmax())


def _first_go(
    heard: AsHeard,
    done: Sequence[Change],
    used: tuple[Lever, int],
    listen: int,
    after: Floats,
    sure: Floats,
    tolerance: float,
) -> tuple[float | None, float]:
    """How far to go at first so that with 95 % certainty it is not yet too far, m; and the cents then."""
    lever, place = used
    spare = SAFE * float(sure[listen])
    if lever.kind not in SHARPENS or spare <= tolerance:
        return None, np.nan
    left = after[listen] - lever.effect[place, listen] + lever.effect[:, listen]
    way = (lever.to - lever.was) / (lever.to[place] - lever.was)
    enough = np.flatnonzero((left <= after[listen] - spare) & (way > 0) & (way < 1))
    near = np.flatnonzero((way > 0) & (way <= 0.5))
    some = enough if len(enough) else near
    if not len(some) or abs(place - int(some[way[some].argmax()])) < 1:
        return None, np.nan
    first = int(some[way[some].argmax()])
    cents = float(played(heard, [[*done, lever.change(first)]])[0, listen])
    return (float(lever.to[first]), cents) if isfinite(cents) else (None, np.nan)
