"""A first layout: from tube, key, scale and system to holes that the solver can take over.

Cold start. The length comes from the key by the model; holes start where a hand formula puts them and
are solved from there. Values in, a design out; the caller looks up names.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scaledesign.errors import EditError, NoPitchError
from scaledesign.model.document import (
    Design,
    Hole,
    Instrument,
    Mouth,
    Row,
    Shop,
    Station,
    Tube,
    Tuning,
    Units,
)
from scaledesign.model.hands import hand as hand_named
from scaledesign.model.system import System
from scaledesign.model.tube_words import TubeSize, tube_size, tube_words
from scaledesign.model.units import format_length
from scaledesign.physics.gradient import derivatives
from scaledesign.solver import solution as solving
from scaledesign.solver.limits import SEAL, bits_allowed
from scaledesign.solver.problem import air_of, flutes_of, voicing_of
from scaledesign.solver.resonance import Fingerings, field_at
from scaledesign.solver.solution import Solution
from scaledesign.values import dataclass
from scaledesign.workshop import advice

SHARE = 0.45
"""First diameter of a hole over the bore (common practice, no source)."""
BORES = (0.004, 0.060)
"""m: bores outside are no flute's."""
KEYS = (65.0, 2100.0)
"""Hz: lowest notes outside, C2 to C7, are no flute's."""
STOUTEST, SHORTEST = 5.0, 0.85
"""Bores of length under which there is no room for holes; share of the length that a key wants under which
a tube is not laid out at all."""
STEPS = 30
"""Most steps to a length; a tube that sounds the note needs three."""
ROUNDS = 8
"""How often a first layout is solved again, at most, until nothing moves."""


@dataclass(frozen=True)
class Wanted:
    """What the maker has in hand and wants; lengths in m."""

    bore: float
    wall: float
    key: str
    scale: str
    system: str
    mouth: Mouth = "duct"
    length: float | None = None
    """Longest the tube may be, sounding edge to foot; None: no limit."""
    hand: str = "medium"
    bits: str = "metric 0.5"
    material: str = ""
    name: str = ""
    units: Units = "mm"
    avoid: tuple[tuple[float, float], ...] = ()
    """Stretches from the sounding edge where no hole may go: nodes, cracks, bindings."""


def blank_design(wanted: Wanted) -> Design:
    """The design before anything is laid out: a plain tube, the maker's tools and wish."""
    return Design(
        tube=Tube(
            length=0.4,
            bore=(Station(0.0, wanted.bore),),
            wall=(Station(0.0, wanted.wall),),
            blank=wanted.length,
            avoid=wanted.avoid,
        ),
        instrument=Instrument(mouth=wanted.mouth, system=wanted.system, material=wanted.material),
        units=wanted.units,
        name=wanted.name,
        tuning=Tuning(tonic=wanted.key, scale=wanted.scale),
        shop=Shop(bits=wanted.bits, hand=wanted.hand),
    )


def draft(design: Design, system: System, rows: tuple[Row, ...], target: tuple[float, ...]) -> Design:
    """An unsolved design: the tube cut for the lowest note, holes near where they will go.

    Parameters
    ----------
    design : Design with tube, mouth, shop and tuning; its length, holes and rows are made anew
    system : System that it names
    rows, target : the system's rows for the scale on the key, and what each should sound, Hz

    Raises
    ------
    EditError
        when the tube is too wide for the key.
    """
    root = min(f for f, row in zip(target, rows, strict=True) if row.register == 1)
    length = length_for(design, root)
    return with_holes(replace(design, tube=replace(design.tube, length=length)), system, rows, target)


def with_holes(design: Design, system: System, rows: tuple[Row, ...], target: tuple[float, ...]) -> Design:
    """The same of a tube whose length is known already."""
    return replace(design, holes=_holes(design, system, rows, target), rows=rows)


def require_a_flute(design: Design, frequency: float) -> float:
    """Refuse a tube or a key that no flute has, before anything is laid out.

    Returns
    -------
    The length (m) that the key wants, whether or not the tube has it.

    Raises
    ------
    EditError
        naming the dimension or the key, and what would do.
    """
    bore, blank = design.tube.bore[0].value, design.tube.blank
    key = design.tuning.tonic

    def shown(metres: float) -> str:
        return format_length(metres, design.units)

    require_a_bore(bore, design.units)
    low, high = KEYS
    if not low <= frequency <= high:
        way = "high" if frequency > high else "low"
        raise EditError(f"{key} is too {way} for a flute", "take a key from C2 to C7")
    length = length_for(design, frequency)
    if length < STOUTEST * bore:
        raise EditError(
            f"{key} in a bore of {shown(bore)} wants a tube of only {shown(length)}, no room for holes",
            f"take a deeper key, or a bore under {shown(length / STOUTEST)}",
        )
    if blank is not None and blank < SHORTEST * length:
        raise EditError(
            f"{shown(blank)} is too short for {key}, which wants about {shown(length)}",
            "take a higher key or a longer tube",
        )
    return length


def tube_in_hand(text: str, units: Units | None) -> TubeSize:
    """A tube as a maker writes it, bore x wall or bore x wall x length; ``units`` of numbers without one.

    Raises
    ------
    QuantityError, DesignError
        when it cannot be read, or no tube is of that size.
    EditError
        when no flute has that bore.
    """
    size = tube_size(tube_words(text, units), units)
    require_a_bore(size.bore, size.units)
    return size


def require_a_bore(bore: float, units: Units) -> None:
    """Refuse a bore (m) that no flute has.

    Raises
    ------
    EditError
    """
    least, most = BORES
    if not least <= bore <= most:
        raise EditError(
            f"A bore of {format_length(bore, units)} makes no flute",
            f"take {format_length(least, units)} to {format_length(most, units)}",
        )


def laid_out(
    design: Design,
    target: tuple[float, ...],
    extra: tuple[tuple[Row, float], ...] = (),
    *,
    at_rest: bool = True,
) -> Solution:
    """A draft solved and, ``at_rest``, solved again until nothing moves: a later ``solve`` leaves it so.

    A first layout asks for even holes; a later one only that nothing move without need. The second
    goes on from where the first ends. Rows of the system beside the scale that this tube cannot sound are
    left out.

    Raises
    ------
    EditError
        when the tube is too wide for the notes of the scale.
    """
    for _ in range(len(design.rows)):
        try:
            return _solved(design, target, extra, ROUNDS if at_rest else 0)
        except NoPitchError as error:
            kept = [i for i, row in enumerate(design.rows) if row.role == "scale" or i not in error.rows]
            if len(kept) == len(design.rows):
                break
            design = replace(design, rows=tuple(design.rows[i] for i in kept))
            target = tuple(target[i] for i in kept)
    raise _too_wide(design, min(target))


def _solved(
    design: Design, target: tuple[float, ...], extra: tuple[tuple[Row, float], ...], rounds: int
) -> Solution:
    solution = solving.solve(design, target, extra=extra, fresh=True)
    for _ in range(rounds):
        before = solution.design
        solution = solving.solve(before, target, extra=extra)
        if solution.design == before or solution.obstacles:
            break
    return solution


def _too_wide(design: Design, lowest: float) -> EditError:
    """The fault of a tube that has no such notes; the mouth and the foot add about two bores."""
    bore, column = design.tube.bore[0].value, float(air_of(design).c) / (2 * lowest)
    would = format_length(column / (advice.STOUT + 2), design.units)
    return EditError(
        f"A bore of {format_length(bore, design.units)} is too wide for {design.tuning.tonic}",
        f"take a bore of {would} or less, or a deeper key",
    )


def length_for(design: Design, frequency: float) -> float:
    """Length (m) at which the bare tube sounds ``frequency`` Hz: where its phase there is pi.

    Raises
    ------
    EditError
        when the tube is too wide to sound it.
    """
    plain = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))
    short, long = 0.0, float(air_of(design).c) / (2 * frequency)
    length = max(long - voicing_of(design).added_length, 0.5 * long)
    for _ in range(STEPS):
        field = field_at(flutes_of(design, bare_length=length), plain, np.array([[frequency]]))
        error = np.pi - float(field.phase[0, 0])
        step = error / float(derivatives(field).length[0, 0])
        if abs(step) < 1e-7:
            return length + step
        short, long = (length, long) if error > 0 else (short, length)
        length = length + step if short < length + step < long else 0.5 * (short + long)
    raise _too_wide(design, frequency)


def _holes(
    design: Design, system: System, rows: tuple[Row, ...], target: tuple[float, ...]
) -> tuple[Hole, ...]:
    """Holes where the shortened tube to the first open hole would play each row."""
    bore = design.tube.bore[0].value
    finger = hand_named(design.shop.hand).pad - SEAL
    wish = min(SHARE * bore, design.shop.largest, finger, design.shop.share_of_bore * bore)
    wish = max(wish, design.shop.smallest)
    slots = system.slots
    places: list[float | None] = [None] * len(slots)
    for row, frequency in sorted(zip(rows, target, strict=True), key=lambda pair: pair[0].role != "scale"):
        opened = [i for i, state in enumerate(row.holes) if state == "O"]
        if row.register == 1 and opened and places[opened[0]] is None:
            places[opened[0]] = _place(design, wish, frequency)
    at = _spread(design, places, wish)
    draft_holes = tuple(
        Hole(at=x, diameter=wish, side=slot.side, finger=slot.finger)
        for x, slot in zip(at, slots, strict=True)
    )
    bits = [bits_allowed(design, hole, hole.at) for hole in draft_holes]
    return tuple(
        replace(hole, diameter=min(allowed, key=lambda b: abs(b - wish))) if allowed else hole
        for hole, allowed in zip(draft_holes, bits, strict=True)
    )


def _place(design: Design, diameter: float, frequency: float) -> float:
    """Where a hole of a diameter gives a note, m, by hand.

    A. H. Benade's open-hole correction as summarised by P. Hoekje,
    C = t_e/(delta^2 + t_e/D), t_e = t + 1.5 b, with D to the next open hole taken as 30 mm.
    """
    bore, wall = design.tube.bore[0].value, design.tube.wall[0].value
    column = float(air_of(design).c) * 0.99 / (2 * frequency) - voicing_of(design).added_length
    t_e = wall + 0.75 * diameter
    return column - t_e / ((diameter / bore) ** 2 + t_e / 0.03)


def _spread(design: Design, places: list[float | None], diameter: float) -> list[float]:
    """Fill gaps evenly and keep neighbours apart, mouth to foot in the order of the list."""
    length, bore = design.tube.length, design.tube.bore[0].value
    known = [(i, x) for i, x in enumerate(places) if x is not None]
    if not known:
        known = [(0, 0.45 * length), (len(places) - 1, 0.85 * length)]
    index = [i for i, _ in known]
    at = np.interp(np.arange(len(places)), index, [x for _, x in known])
    gap = diameter + design.shop.wood
    at = np.clip(at, 2 * bore + diameter, length - gap)
    for i in range(len(at) - 2, -1, -1):
        at[i] = min(at[i], at[i + 1] - gap)
    return [float(x) for x in at]
