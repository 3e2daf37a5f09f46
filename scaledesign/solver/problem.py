"""From a document to arrays: what the solver and the prediction work on.

The one place where a ``Design`` is turned into physics. Targets and secondary rows come in from
outside, so nothing here knows a scale or a plug-in; nothing below this module sees a document.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from scaledesign.model.document import Design, Hole, Learned, Row, Station, Voicing
from scaledesign.model.units import format_length
from scaledesign.physics import mouth
from scaledesign.physics.air import Air, cooling, played_air, pressure_at
from scaledesign.physics.arrays import Floats, Indices
from scaledesign.physics.flute import Airway, Body, Flutes, slices_of
from scaledesign.solver.resonance import Fingerings
from scaledesign.values import dataclass

CENT = 1200.0 / math.log(2.0)
"""Cents for a unit change of ln f."""
WEAK = 0.004
"""m: a hole narrower than this gives a weak note (common practice, no source)."""


@dataclass(frozen=True)
class Doubts:
    """One standard deviation of each thing a maker cannot know better (m, K, cents)."""

    bore: float
    wall: float
    at: float
    diameter: float
    length: float
    temperature: float
    tuner: float
    model: float


DEFAULT_DOUBTS = Doubts(
    bore=0.15e-3,
    wall=0.2e-3,
    at=0.3e-3,
    diameter=0.1e-3,
    length=0.3e-3,
    temperature=1.0,
    tuner=2.0,
    model=4.0,
)
"""Common practice, no source: callipers in a natural tube, a marked and drilled hole, a bore whose
temperature is known to a degree, a tuner read off a wavering note. ``model``: the worst of some two dozen
fingerings was 8 to 10 cents off in whole-instrument models (A. Lefebvre 2010, PhD thesis, McGill; Y. Lan and
C. Waltham 2014, ISMA), and the worst of so many is two standard deviations."""

PLAIN, SECOND_REGISTER, PART_OPEN = 0.5, 1.75, 7.5
CROSS_FINGERED = (0.0, 3.0, 4.5)
"""How many times the model's doubt: half with no hole open, where only the foot and the losses are in doubt;
overblown, beside the mouth's drift; +-30 with a hole partly open; at least so many with none, one, or more
holes closed right below the topmost open one, +-15..25 in all (common practice, no source)."""


@dataclass(frozen=True)
class Before:
    """One standard deviation of what readings teach, before there is any; the order of a ``state``."""

    added_length: float
    """m"""
    drift: float
    """m per kHz squared"""
    bore: float
    """m of diameter"""
    wall: float
    """m"""
    warmth: float
    """K"""

    @property
    def spread(self) -> Floats:
        """(5,), in the order above."""
        return np.array([self.added_length, self.drift, self.bore, self.wall, self.warmth])


@dataclass(frozen=True)
class Problem:
    """One flute, its fingerings and what is wanted of them.

    ``target`` (R,) Hz, ``weight`` (R,), ``model_doubt`` (R,) cents.
    """

    flutes: Flutes
    bare: Flutes
    """The same tube before any hole is drilled."""
    fingerings: Fingerings
    target: Floats
    weight: Floats
    model_doubt: Floats
    doubts: Doubts
    voicing_doubt: float
    """m: one standard deviation of the added length."""
    before: Before
    remarks: tuple[str, ...]
    """What was assumed and what is not modelled, in words."""


def doubts_of(design: Design) -> Doubts:
    """The file's own figures, defaults where it has none."""
    own, default = design.uncertainty, DEFAULT_DOUBTS

    def pick(name: str) -> float:
        value: float | None = getattr(own, name)
        return float(getattr(default, name)) if value is None else value

    return Doubts(*(pick(name) for name in Doubts.__dataclass_fields__))


def voicing_of(design: Design) -> mouth.MouthEstimate:
    """The mouth end in force: as stated, or estimated from the mouth's geometry.

    Its cavity is the file's where that states one, else what is usual; a prediction reckons with the file's
    alone (``body_of``).
    """
    voicing, instrument = design.voicing, design.instrument
    radius = design.tube.bore[0].value / 2
    wall = design.tube.wall[0].value
    if instrument.mouth == "open":
        return mouth.MouthEstimate(0.0, 0.0, "an ideal open end")
    if voicing.window is not None and instrument.mouth == "duct":
        window = voicing.window
        thick = wall if window.wall is None else window.wall
        estimate = mouth.window_estimate(window.width, window.length, thick, radius)
    elif voicing.embouchure is not None and instrument.mouth != "duct":
        hole = voicing.embouchure
        thick = hole.wall if hole.wall is not None else (wall if instrument.mouth == "transverse" else 0.0)
        covered = 0.33 if hole.covered is None else hole.covered
        estimate = mouth.embouchure_estimate(hole.length, hole.width, thick, covered, radius)
    elif instrument.mouth == "duct":
        estimate = mouth.guessed_window(radius)
    elif instrument.mouth == "transverse":
        estimate = mouth.guessed_embouchure(radius, wall)
    else:
        estimate = mouth.guessed_rim(radius)
    if voicing.added_length is not None:
        added = voicing.added_length
        estimate = replace(
            estimate,
            added_length=added,
            uncertainty=mouth.GUESS_DOUBT * added,
            basis="the added length in the file",
            drift_uncertainty=mouth.drift_doubt(added, estimate.cavity_uncertainty),
        )
    if voicing.uncertainty is not None:
        estimate = replace(estimate, uncertainty=voicing.uncertainty)
    if voicing.cavity:
        known = mouth.drift_doubt(estimate.added_length, 0.0)
        estimate = replace(estimate, cavity=voicing.cavity, cavity_uncertainty=0.0, drift_uncertainty=known)
    elif instrument.mouth == "transverse":
        estimate = mouth.stoppered(estimate)
    return replace(estimate, drift=voicing.drift)


def unread(design: Design) -> Design:
    """The design as it was before any reading taught it anything; itself where none has."""
    if not design.voicing.calibrated:
        return design
    stated = design.learned
    voicing: Voicing = replace(
        design.voicing,
        added_length=stated.stated_length,
        uncertainty=stated.stated_uncertainty,
        drift=stated.stated_drift,
        calibrated=False,
    )
    return replace(design, voicing=voicing, learned=Learned())


def state_in_force(design: Design) -> Floats:
    """(5,) what readings moved, in the order of ``Before``; zero before any."""
    if not design.voicing.calibrated:
        return np.zeros(5)
    before, learned = unread(design), design.learned
    mouth = (design.voicing.added_length or 0.0) - voicing_of(before).added_length
    drift = design.voicing.drift - before.voicing.drift
    return np.array([mouth, drift, learned.bore, learned.wall, learned.warmth])


def before_of(design: Design) -> Before:
    """What readings may yet move, and how far: the mouth as estimated or stated, the maker's own doubts."""
    end, doubts = voicing_of(unread(design)), doubts_of(design)
    return Before(end.uncertainty, end.drift_uncertainty, doubts.bore, doubts.wall, doubts.temperature)


def air_of(design: Design, room: float | None = None) -> Air:
    """Air in the bore, at the file's room temperature or at another."""
    air = design.air
    pressure = float(pressure_at(air.altitude)) if air.pressure is None else air.pressure
    temperature = air.temperature if room is None else room
    return played_air(temperature, air.humidity, pressure, air.breath)


def shares(design: Design, row: Row) -> list[float]:
    """Open share of every hole of the design under a row's fingering."""
    letters = iter(row.holes)
    value = {"X": 0.0, "O": 1.0, "H": row.open_share}
    return [1.0 if hole.finger == "none" else value[next(letters)] for hole in design.holes]


def body_of(design: Design, room: float | None = None) -> Body:
    """What stays the same when holes and foot move, at the file's room temperature or at another."""
    tube = design.tube
    stations = tube.bore
    walls = tube.wall
    return Body(
        slices=slices_of(
            np.array([s.x for s in stations]),
            np.array([_round_radius(s) for s in stations]),
            np.array([(s.across or s.value) / s.value for s in stations]),
        ),
        wall_x=np.array([s.x for s in walls]),
        wall=np.array([s.value for s in walls]),
        hole_wall=np.array([np.nan if h.wall is None else h.wall for h in design.holes]),
        foot=tube.foot.kind,
        foot_radius=(tube.foot.diameter or 0.0) / 2,
        ideal_mouth=design.instrument.mouth == "open",
        cavity=design.voicing.cavity,
        pad=design.instrument.pad,
        hole_angle=np.radians([h.side for h in design.holes]),
        hole_slant=np.radians([h.slant for h in design.holes]),
        hole_undercut=np.array([h.undercut / 2 for h in design.holes]),
        hole_aspect=np.array([h.diameter / (h.across or h.diameter) for h in design.holes]),
        cooling=cooling(design.air.temperature if room is None else room, design.air.breath),
        airway=_airway_of(design),
    )


def _airway_of(design: Design) -> Airway | None:
    """Flue and slow-air chamber where their geometry is given; the chamber is as wide as the bore's head."""
    window, chamber = design.voicing.window, design.tube.chamber
    if design.instrument.mouth != "duct" or window is None or chamber is None:
        return None
    if window.flue_length is None or window.flue_height is None:
        return None
    return mouth.airway(window.width, window.flue_length, window.flue_height, chamber.length)


def _round_radius(station: Station) -> float:
    across = station.value if station.across is None else station.across
    return float(np.sqrt(station.value * across)) / 2


def hole_radius(hole: Hole) -> float:
    """Radius of the round hole of the same area, m."""
    across = hole.diameter if hole.across is None else hole.across
    return float(np.sqrt(hole.diameter * across)) / 2


def flutes_of(design: Design, *, room: float | None = None, bare_length: float | None = None) -> Flutes:
    """One flute; with ``bare_length`` the tube of that length before any hole is drilled."""
    body = body_of(design, room)
    holes = design.holes if bare_length is None else ()
    if bare_length is not None:
        body = body.bare
    flutes = Flutes(
        body=body,
        at=np.array([[hole.at for hole in holes]]).reshape(1, -1),
        radius=np.array([[hole_radius(hole) for hole in holes]]).reshape(1, -1),
        length=np.array([design.tube.length if bare_length is None else bare_length]),
        added_length=np.array([voicing_of(design).added_length]),
        drift=np.array([design.voicing.drift]),
        bore_scale=np.ones(1),
        wall_offset=np.zeros(1),
        air=air_of(design, room).repeat(1),
    )
    if not design.voicing.calibrated:
        return flutes
    learned = design.learned
    return altered(flutes, np.array([[0.0, 0.0, learned.bore, learned.wall, learned.warmth]]))


def altered(flutes: Flutes, state: Floats) -> Flutes:
    """Flutes with another mouth, bore, wall and air: ``state`` (N, 5) is added, in the order of ``Before``.

    One flute becomes N; N flutes change each by its own line, or all by one.
    """
    count = max(flutes.count, len(state))
    flutes = flutes if flutes.count == count else flutes.take(np.zeros(count, np.intp))
    added, drift, bore, wall, warmth = np.broadcast_to(state, (count, state.shape[1])).T
    return replace(
        flutes,
        added_length=flutes.added_length + added,
        drift=flutes.drift + drift,
        bore_scale=flutes.bore_scale + bore / (2 * flutes.body.slices.radius[0]),
        wall_offset=flutes.wall_offset + wall,
        air=flutes.air.warmed(warmth),
    )


def fingerings_of(design: Design, rows: tuple[Row, ...]) -> Fingerings:
    """The rows' fingerings as arrays."""
    share = np.array([shares(design, row) for row in rows]).reshape(len(rows), len(design.holes))
    return Fingerings(share.T.copy(), np.array([row.register for row in rows], dtype=np.intp))


def model_doubts(share: Floats, register: Indices, base: float) -> Floats:
    """What the model leaves out of each row, cents (R,); the worst cause counts.

    A fingering is the more crossed the more holes are closed right below the topmost open one.
    """
    rows = len(register)
    opened, again = np.zeros(rows, bool), np.zeros(rows, bool)
    crossed = np.zeros(rows, int)
    for hole in share:
        is_open = hole > 0
        crossed += opened & ~again & ~is_open
        again |= opened & is_open
        opened |= is_open
    part = ((share > 0) & (share < 1)).any(axis=0) if len(share) else opened
    factor = np.where(opened, 1.0, PLAIN) * np.where(register > 1, SECOND_REGISTER, 1.0)
    factor = np.maximum(factor, np.choose(np.minimum(crossed, 2), CROSS_FINGERED))
    return base * np.where(part, PART_OPEN, factor)


def problem_of(
    design: Design, target: tuple[float, ...], extra: tuple[tuple[Row, float], ...] = ()
) -> Problem:
    """Lower a design to arrays.

    Parameters
    ----------
    design : Design
    target : wanted frequency of each row, Hz
    extra : rows that are not in the design with their targets, solved for but not shown
    """
    rows = design.rows + tuple(row for row, _ in extra)
    fingerings = fingerings_of(design, rows)
    doubts = doubts_of(design)
    voicing = voicing_of(design)
    return Problem(
        flutes=flutes_of(design),
        bare=flutes_of(design, bare_length=design.tube.length),
        fingerings=fingerings,
        target=np.array([*target, *(f for _, f in extra)], float),
        weight=np.array([row.weight for row in rows], float),
        model_doubt=model_doubts(fingerings.share, fingerings.register, doubts.model),
        doubts=doubts,
        voicing_doubt=voicing.uncertainty,
        before=before_of(design),
        remarks=remarks_of(design),
    )


def remarks_of(design: Design) -> tuple[str, ...]:
    """What the model takes otherwise than the file says it, in words."""
    remarks = []

    def named(numbers: list[int]) -> str:
        return ("hole " if len(numbers) == 1 else "holes ") + ", ".join(str(n) for n in numbers)

    holes = list(enumerate(design.holes, 1))
    if small := [n for n, h in holes if 2 * hole_radius(h) < WEAK]:
        least = format_length(WEAK, design.units)
        remarks.append(f"{named(small).capitalize()}: under {least}, expect a weak note.")
    window = design.voicing.window
    flue = window is not None and (window.flue_length is not None or window.flue_height is not None)
    if flue and design.instrument.mouth == "duct" and _airway_of(design) is None:
        remarks.append(
            "Flue and slow-air chamber are left out: they want flue_length, flue_height and a chamber."
        )
    if design.tube.foot.kind == "node":
        remarks.append("The node at the foot is taken as thin.")
    return tuple(remarks)
