"""Designs side by side: what each is worth to a maker, and what differs, the plainest things first.

Apart from ``beside``, which makes the designs that it compares by solving. Here nothing is moved.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from math import nan

import numpy as np

from scaledesign.model.document import Design, Hole, LogEntry, Station, Units
from scaledesign.model.units import HAND_STEP, format_length
from scaledesign.solver.limits import geometry_of, limits_of, room
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import voicing_of
from scaledesign.solver.verdict import broken_rules
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.registers import registers

TENTH = 1e-4
"""m: the slip that a design's touchiness is told for."""
REACH = ("spread", "gap", "thumb")
"""Kinds of rule that a flute too large for a hand breaks."""


@dataclass(frozen=True)
class Worth:
    """What one design is worth; cents and hertz over the rows that count, NaN where there are none."""

    worst: float
    """Cents, with its sign."""
    worst_row: int | None
    """0-based."""
    rms: float
    doubt: float
    """Cents: the largest ± of those rows."""
    touchy: float
    """Cents that the touchiest row shifts when a hole is ``TENTH`` out of place or too wide."""
    touchy_hole: int | None
    """0-based."""
    low: float
    high: float
    """Hz: the lowest and the highest note it is made for, rows of any role."""
    octaves: int
    """Notes of the scale whose octave speaks."""
    of_octaves: int
    """Of so many."""
    stretch: float
    """Cents: the octave of the scale that is furthest off, among those that speak."""
    stretch_note: str
    """The low note that it is the octave of; '' where there is none."""
    spare: float
    """m by which the hand's tightest reach would still do; negative: too far; NaN: no two fingers."""
    broken: tuple[str, ...]
    """Rules of shop and hand that it breaks, as sentences."""


@dataclass(frozen=True)
class Variant:
    """One of the designs that are compared."""

    name: str
    """What it is called in the list: a file, or a tuning."""
    design: Design
    worth: Worth
    differs: tuple[str, ...]
    """What is other than in the first, in words; empty for the first, and where nothing is."""


def variants(named: Sequence[tuple[str, Design]], units: Units | None = None) -> tuple[Variant, ...]:
    """Each design with what it is worth, and how it differs from the first.

    Parameters
    ----------
    named : names and designs, at least one
    units : of lengths in words; None: the first design's

    Raises
    ------
    UnknownNameError, NoPitchError
    """
    first = named[0][1]
    shown = units or first.units
    return tuple(
        Variant(name, design, worth_of(design), differences(first, design, shown)) for name, design in named
    )


def worth_of(design: Design, prediction: Prediction | None = None) -> Worth:
    """What a design is worth as it stands; ``prediction`` is its own, where that is known."""
    heard = ask.predict(design) if prediction is None else prediction
    rows = [i for i, row in enumerate(design.rows) if row.counts]
    off = heard.cents[rows]
    worst = rows[int(np.abs(off).argmax())] if rows else None
    hole, touchy = _touchy(heard, rows)
    played = [each for each in registers(design).fingerings if each.of_the_scale] if design.rows else []
    speaking = [
        (each.registers[1].stretch, each.note) for each in played if each.registers[1].speech == "speaks"
    ]
    stretch, stretch_note = max(speaking, key=lambda each: abs(each[0]), default=(nan, ""))
    return Worth(
        worst=nan if worst is None else float(heard.cents[worst]),
        worst_row=worst,
        rms=float(np.sqrt((off**2).mean())) if rows else nan,
        doubt=float(heard.uncertainty[rows].max()) if rows else nan,
        touchy=touchy,
        touchy_hole=hole,
        low=float(heard.target.min()) if design.rows else nan,
        high=float(heard.target.max()) if design.rows else nan,
        octaves=len(speaking),
        of_octaves=len(played),
        stretch=stretch,
        stretch_note=stretch_note,
        spare=_spare(design),
        broken=broken_rules(design, geometry_of(design)),
    )


def _touchy(heard: Prediction, rows: Sequence[int]) -> tuple[int | None, float]:
    """The hole whose slip of ``TENTH`` shifts a counted row most, and by how many cents."""
    slips = np.maximum(np.abs(heard.sensitivity.at), np.abs(heard.sensitivity.diameter))[list(rows)]
    if not slips.size:
        return None, nan
    each = slips.max(axis=0)
    return int(each.argmax()), float(each.max()) * TENTH


def _spare(design: Design) -> float:
    now = geometry_of(design)
    return min((room(limit, now) for limit in limits_of(design, now) if limit.kind in REACH), default=nan)


def differences(first: Design, other: Design, units: Units) -> tuple[str, ...]:
    """What is other in ``other`` than in ``first``, in words: holes and foot, the tube, the wish."""
    found = list(moved_words(first, other, units))
    for name, one, two in (
        ("bore", first.tube.bore, other.tube.bore),
        ("wall", first.tube.wall, other.tube.wall),
    ):
        found += _of_stations(name, one, two, units)
    mouths = (first.instrument.mouth, other.instrument.mouth)
    if mouths[0] != mouths[1]:
        found.append(f"a {mouths[1]} mouth instead of a {mouths[0]} one")
    elif (grown := _grown(voicing_of(first).added_length, voicing_of(other).added_length, units)) is not None:
        found.append(f"the mouth adds {grown[0]} {'more' if grown[1] else 'less'}")
    was, now = _tuned(first), _tuned(other)
    if was != now or first.tuning.degrees != other.tuning.degrees:
        found.append(f"tuned to {now}" + (f" instead of {was}" if was != now else " of other degrees"))
    if first.tuning.reference != other.tuning.reference:
        found.append(f"A4 is {other.tuning.reference:g} Hz instead of {first.tuning.reference:g}")
    if (wanted := sum(a != b for a, b in zip(_wishes(first), _wishes(other), strict=False))) or len(
        first.rows
    ) != len(other.rows):
        changed = wanted + abs(len(first.rows) - len(other.rows))
        found.append(f"{changed} {'row differs' if changed == 1 else 'rows differ'}")
    air = (first.air, other.air)
    if air[0] != air[1]:
        found.append("the air differs")
    return tuple(found)


def moved_words(first: Design, other: Design, units: Units) -> tuple[str, ...]:
    """Which holes moved, which way, and became wider or narrower, and the foot; to what a hand can do."""
    found: list[str] = []
    if len(first.holes) == len(other.holes):
        for i, (was, now) in enumerate(zip(first.holes, other.holes, strict=True), 1):
            if said := tuple(_of_hole(was, now, units)):
                found.append(f"hole {i} {' and '.join(said)}")
    else:
        found.append(f"{len(other.holes)} holes instead of {len(first.holes)}")
    if (grown := _grown(first.tube.length, other.tube.length, units)) is not None:
        found.append(f"the tube is {grown[0]} {'longer' if grown[1] else 'shorter'}")
    return tuple(found)


def _of_hole(was: Hole, now: Hole, units: Units) -> Iterator[str]:
    if (grown := _grown(was.at, now.at, units)) is not None:
        yield f"moves {grown[0]} toward the {'foot' if grown[1] else 'mouth'}"
    if (grown := _grown(was.diameter, now.diameter, units)) is not None:
        yield f"is {grown[0]} {'wider' if grown[1] else 'narrower'}"
    if (was.across is None) != (now.across is None):
        yield "is round" if now.across is None else "is oval"
    if was.finger != now.finger or was.side != now.side:
        yield f"is for {now.finger}" if was.finger != now.finger else f"sits at {now.side:g} degrees"


def _of_stations(
    name: str, one: tuple[Station, ...], two: tuple[Station, ...], units: Units
) -> Iterator[str]:
    if len(one) == len(two) == 1:
        if (grown := _grown(one[0].value, two[0].value, units)) is not None:
            more = {"bore": ("wider", "narrower"), "wall": ("thicker", "thinner")}[name]
            yield f"the {name} is {grown[0]} {more[0] if grown[1] else more[1]}"
    elif one != two:
        yield f"the {name} has another shape"


def _grown(was: float, now: float, units: Units) -> tuple[str, bool] | None:
    """By how much, in words, and whether it grew; None for less than half of what a hand can do."""
    if abs(now - was) < 0.5 * HAND_STEP[units]:
        return None
    return format_length(abs(now - was), units), now > was


def _tuned(design: Design) -> str:
    tuning = design.tuning
    return f"{tuning.tonic} {'own degrees' if tuning.degrees else tuning.scale or 'chromatic'}"


def _wishes(design: Design) -> list[tuple[object, ...]]:
    """What each row asks, apart from how its note is written in another tuning."""
    return [(row.holes, row.register, row.open_share, row.cents, row.role) for row in design.rows]


@dataclass(frozen=True)
class Adopted:
    """A design that takes the place of another, and what is to be said of it."""

    design: Design
    remarks: tuple[str, ...]


def adopted(first: Design, chosen: Design, said: str, when: datetime) -> Adopted:
    """``chosen`` in the place of ``first``: the plan is the chosen one's, the bench log goes on.

    What was cut, drilled and read was done to one piece of wood, and stays true whatever the plan: so the log
    has the entries of both, in the order of time, and one more with ``said``. A hole that is drilled in
    ``first`` counts as drilled where the chosen one wants it as it is; where not, that is told.

    Parameters
    ----------
    first, chosen : Design
    said : note for the log
    when : its time
    """
    letters = len(chosen.fingered())
    ours = [entry for entry in first.log if entry not in chosen.log]
    kept = [each for each in ours if all(len(holes) in (0, letters) for holes in (each.holes, each.drilled))]
    log = sorted((*chosen.log, *kept), key=lambda entry: entry.when)
    remarks = []
    if len(kept) < len(ours):
        gone = len(ours) - len(kept)
        entries = "entry" if gone == 1 else "entries"
        remarks.append(f"{gone} {entries} of the log told of other holes, and had to be left out.")
    if read := sum(entry.event == "measured" for entry in kept):
        readings = "reading" if read == 1 else "readings"
        remarks.append(
            f"The log has {read} {readings} that this design was not fitted to: blow a note and calibrate."
        )
    holes = list(chosen.holes)
    for i, hole in enumerate(first.holes[: len(holes)]):
        if not hole.drilled:
            continue
        if differs := tuple(_of_hole(hole, holes[i], first.units)):
            remarks.append(f"Hole {i + 1} is drilled; in this design it {' and '.join(differs)}.")
        else:
            holes[i] = replace(holes[i], drilled=True)
    log.append(LogEntry(when, "note", note=said))
    return Adopted(replace(chosen, holes=tuple(holes), log=tuple(log)), tuple(remarks))
