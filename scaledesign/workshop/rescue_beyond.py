"""What no plan of rescue mends, and what would: a longer tube, a rule of the shop, the stopper, the voicing.

Apart from the plans: here are the notes that the first of them leaves out of tune. Numbers only; the
sentences are the view's.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from scaledesign.model.document import HoleState
from scaledesign.physics.arrays import Floats
from scaledesign.solver.limits import geometry_of, limits_of, room
from scaledesign.solver.problem import CENT
from scaledesign.solver.resonance import resonances
from scaledesign.values import dataclass
from scaledesign.workshop.as_heard import AsHeard
from scaledesign.workshop.rescue import OVERBLOWN, Rescue
from scaledesign.workshop.rescue_levers import Change, Lever, played

Why = Literal["longer", "rule", "octave", "others"]
"""``longer``: only a longer tube flattens it. ``rule``: a rule of the shop holds the hole. ``octave``: no
hole moves it against its low note. ``others``: what would mend it spoils others, or takes more changes."""
STEP = 1e-3
"""m by which tube and stopper are moved in thought."""
FARTHEST = 0.01
"""m: how far a stopper is moved at most."""
PARTS = (1.0, 0.75, 0.5, 0.25)
"""Shares of the best way of a stopper that are tried, so that the low notes stay in tune."""
HELPS = 0.8
"""Share of what the octaves are off below which a moved stopper is worth a word."""


@dataclass(frozen=True)
class Beyond:
    """Why some notes stay off."""

    why: Why
    notes: tuple[int, ...]
    """Which of the notes that are looked at."""
    by: float = 0.0
    """m: by how much the tube would have to be longer, or the stopper drawn back (less than nothing: pushed
    in); 0 where that is of no use."""
    hole: int | None = None
    """0-based: the hole that a rule holds."""
    rule: str = ""
    """The kind of that rule, as ``solver.limits`` has it."""
    left: float = 0.0
    """Cents that the worst octave would be off with the stopper moved so."""


def left_by(found: Rescue) -> Floats:
    """(M,) cents off after the first plan, or now where there is none."""
    cents = found.proposals[0].cents if found.proposals else found.heard.off
    return np.asarray(cents - found.aim.pitch)


def beyond(found: Rescue) -> tuple[Beyond, ...]:
    """Every note that was read and stays off by more than the tolerance, with the reason."""
    heard, left = found.heard, left_by(found)
    counted = heard.read & (found.aim.judged | (found.aim.weight >= OVERBLOWN))
    with np.errstate(invalid="ignore"):
        out = np.flatnonzero(counted & (np.abs(left) > heard.design.tuning.tolerance))
    off = [int(i) for i in out]
    octaves = tuple(i for i in off if heard.notes[i].register > 1 and not _low_is_off(heard, i, left))
    made = [_low(found, i, float(left[i])) for i in off if heard.notes[i].register == 1]
    if octaves:
        made.append(_octaves(found, octaves, left))
    return tuple(made)


def _low_is_off(heard: AsHeard, octave: int, left: Floats) -> bool:
    """Whether the low note of a fingering was read and is off the same way."""
    own = heard.notes[octave]
    tolerance = heard.design.tuning.tolerance
    return any(
        note.register == 1 and note.holes == own.holes and heard.read[i]
        and abs(left[i]) > tolerance and (left[i] > 0) == (left[octave] > 0)
        for i, note in enumerate(heard.notes)
    )  # fmt: skip


def _low(found: Rescue, note: int, cents: float) -> Beyond:
    heard, design = found.heard, found.heard.design
    top = _top(heard, note)
    if top is None:
        if cents < 0:
            return Beyond("others", (note,))
        length = design.tube.length
        shift = played(heard, [[Change("cut", None, length, length + STEP)]])[0, note] - heard.off[note]
        return Beyond("longer", (note,), by=float(-cents / shift * STEP) if shift < 0 else 0.0)
    kind = "open" if cents < 0 else "fill"
    lever = next((one for one in found.levers if one.name == (kind, top)), None)
    done = found.proposals[0].changes if found.proposals else ()
    if lever is None or any((c.kind, c.hole) == lever.name and _at_end(lever, c) for c in done):
        return Beyond("rule", (note,), hole=top, rule=_rule(heard, top, cents < 0))
    return Beyond("others", (note,))


def _at_end(lever: Lever, change: Change) -> bool:
    end = lever.to.max() if change.by > 0 else lever.to.min()
    return bool(abs(change.to - end) < 1e-9)


def _top(heard: AsHeard, note: int) -> int | None:
    """The open hole nearest the mouth."""
    design = heard.design
    states: dict[int, HoleState] = dict(zip(design.fingered(), heard.notes[note].holes, strict=True))
    opened = [i for i in range(len(design.holes)) if states.get(i, "O") != "X"]
    return min(opened, key=lambda i: design.holes[i].at, default=None)


def _rule(heard: AsHeard, hole: int, wider: bool) -> str:
    """The kind of rule that leaves least room for a hole to become wider, or narrower."""
    design = heard.design
    now, column = geometry_of(design), len(design.holes) + hole
    found = []
    for limit in limits_of(design, now):
        slope = sum(value for place, value in limit.terms if place == column)
        if slope and (slope < 0) == wider:
            found.append((room(limit, now) / abs(slope), limit.kind))
    return min(found)[1] if found else ""


def _octaves(found: Rescue, octaves: tuple[int, ...], left: Floats) -> Beyond:
    """How far moving the stopper would bring them."""
    heard = found.heard
    voicing, mouth = heard.design.voicing, heard.design.instrument.mouth
    if mouth != "transverse" or voicing.cavity <= 0:
        return Beyond("octave", octaves)
    body = replace(heard.flutes.body, cavity=heard.flutes.body.cavity + STEP)
    moved = resonances(
        replace(heard.flutes, body=body), heard.fingerings, near=heard.found, missing=True
    ).frequency[0]
    slope = CENT * np.log(moved / heard.found.frequency[0]) / STEP
    some = heard.read & np.isfinite(slope) & np.isfinite(left)
    by = float(-(slope[some] @ left[some]) / max(float(slope[some] @ slope[some]), 1e-12))
    by = min(max(by, -min(voicing.cavity, FARTHEST)), FARTHEST)
    high, low = list(octaves), found.aim.judged & np.isfinite(left)
    most = max(heard.design.tuning.tolerance, float(np.abs(left[low]).max(initial=0.0)))
    shares = [part for part in PARTS if np.abs(left[low] + slope[low] * by * part).max(initial=0.0) <= most]
    by *= max(shares, default=0.0)
    after = left[high] + slope[high] * by
    if not np.abs(after).max() < HELPS * np.abs(left[high]).max():
        return Beyond("octave", octaves)
    return Beyond("octave", octaves, by=by, left=float(np.abs(after).max()))
