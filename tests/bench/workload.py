"""What the bench works on: a six-hole flute, 13 rows, edits to it, and the plain reference's twin of each.

Apart from run.py, which only times and prints. The flute is bench.toml; foot cut, positions and
diameters free.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from scaledesign.files.document_file import load
from scaledesign.model.document import Design, HoleState
from scaledesign.model.pitch import nearest_note, note_frequency, parse_note
from scaledesign.model.scale import Scale
from scaledesign.physics.arrays import Floats, Mask
from scaledesign.physics.flute import Flutes
from scaledesign.solver import layout
from scaledesign.solver.limits import Geometry, geometry_of
from scaledesign.solver.problem import Problem, flutes_of, problem_of
from scaledesign.solver.resonance import Fingerings, Resonances, resonances
from scaledesign.solver.sampling import drawn
from scaledesign.workshop import ask
from scaledesign.workshop.playable import Playable
from scaledesign.workshop.suits import CLEAN
from tests.reference import design as reference
from tests.reference import suits as suiting
from tests.reference.bridge import plain_of
from tests.reference.plain import Air, Flute, playing_frequencies, total_impedance

FILE = Path(__file__).parent / "bench.toml"
MM = 1e-3


def targets(design: Design) -> tuple[float, ...]:
    """Hz of every row, equal temperament."""
    return tuple(
        note_frequency(parse_note(row.note), design.tuning.reference) * 2 ** (row.cents / 1200)
        for row in design.rows
    )


@dataclass(frozen=True)
class Solved:
    """A design laid out, with what a re-solve starts from."""

    design: Design
    fit: layout.Fit


def lowered(design: Design) -> layout.Task:
    """The package's problem of a design."""
    return layout.Task(design, problem_of(design, targets(design)), layout.free_of(design))


def settled() -> Solved:
    """The bench flute with all its rows as near as they come: where the maker's edit finds it."""
    design = load(FILE)
    task, start = lowered(design), geometry_of(design)
    found = layout.fit(task, start, layout.stay(start))
    return Solved(placed(design, found.geometry), found)


def placed(design: Design, geometry: Geometry) -> Design:
    """The design with its holes where ``geometry`` has them."""
    holes = tuple(
        replace(hole, at=float(at), diameter=float(diameter))
        for hole, at, diameter in zip(design.holes, geometry.at, geometry.diameter, strict=True)
    )
    return replace(design, holes=holes)


def edits(design: Design) -> list[tuple[str, Design]]:
    """One edit each, as a maker makes them."""
    rows, tube, voicing = design.rows, design.tube, design.voicing
    wall = (replace(tube.wall[0], value=tube.wall[0].value + 0.2 * MM),)
    bore = (replace(tube.bore[0], value=tube.bore[0].value + 0.2 * MM),)
    added = (voicing.added_length or 0.0) + 1.0 * MM
    return [
        ("row 3 up 3 cents", replace(design, rows=(*rows[:2], replace(rows[2], cents=3.0), *rows[3:]))),
        ("wall 0.2 mm thicker", replace(design, tube=replace(tube, wall=wall))),
        ("bore 0.2 mm wider", replace(design, tube=replace(tube, bore=bore))),
        ("added length 1 mm more", replace(design, voicing=replace(voicing, added_length=added))),
        ("row 5 down 3 cents", replace(design, rows=(*rows[:4], replace(rows[4], cents=-3.0), *rows[5:]))),
    ]


def resolve(edited: Design, near: Resonances) -> layout.Fit:
    """The package's re-solve: lowering, layout, frequencies; started from the layout before the edit."""
    start = geometry_of(edited)
    return layout.fit(lowered(edited), start, layout.stay(start), near)


def plain_resolve(edited: Design) -> list[float]:
    """The plain reference's re-solve from the same start; its frequencies, Hz."""
    problem = problem_of(edited, targets(edited))
    flute, air = plain_of(problem.flutes)
    rows = plain_rows(problem)
    shop, count = edited.shop, len(edited.holes)
    at = tuple((hole.at - 40 * MM, hole.at + 40 * MM) for hole in edited.holes)
    free = reference.Free(at=at, diameter=((shop.smallest, shop.largest),) * count)

    def stay(tried: Flute) -> list[float]:
        pairs = list(zip(tried.holes, flute.holes, strict=True))
        moved = [layout.DRIFT_AT * (new.x - old.x) / MM for new, old in pairs]
        return moved + [layout.DRIFT_DIAMETER * 2 * (new.radius - old.radius) / MM for new, old in pairs]

    found, _ = reference.solve(flute, rows, air, free, stay)
    return reference.frequencies(found, rows, air)


def plain_rows(problem: Problem) -> tuple[reference.Row, ...]:
    """The rows of a problem for the plain reference."""
    return tuple(
        reference.Row(tuple(map(float, share)), int(register), float(target), float(weight))
        for share, register, target, weight in zip(
            problem.fingerings.share.T, problem.fingerings.register, problem.target, problem.weight,
            strict=True,
        )
    )  # fmt: skip


def every_fingering() -> tuple[Flutes, Fingerings]:
    """The bench flute under all 64 fingerings, first register."""
    share = np.array(list(itertools.product([0.0, 1.0], repeat=6))).T
    return flutes_of(load(FILE)), Fingerings(share, np.ones(share.shape[1], np.intp))


def every_half_holing() -> tuple[Flutes, Fingerings]:
    """The bench flute with every hole open, half covered or closed: 729 fingerings, first register."""
    share = np.array(list(itertools.product([0.0, 0.5, 1.0], repeat=6))).T
    return flutes_of(load(FILE)), Fingerings(share, np.ones(share.shape[1], np.intp))


def sixty() -> tuple[Scale, ...]:
    """Sixty scales of the catalogue."""
    return ask.offers().scales()[:60]


def plain_suits(
    design: Design, found: Playable, usable: Mask, scales: Sequence[Scale], root: float, within: float
) -> Floats:
    """Worst cents (S, 12) of every scale on every tonic by plain loops; ``root`` Hz is a tonic's."""
    own = {("".join(row.holes), row.register) for row in design.rows}
    columns = zip(found.letters, found.register.tolist(), found.frequency, usable, strict=True)
    fingerings = [
        (
            1200 * math.log2(float(frequency) / root),
            letters.count("H"),
            suiting.effort(letters, found.fingers, (letters, register) in own),
        )
        for letters, register, frequency, good in columns
        if good
    ]
    lowest = min(cents for cents, _, _ in fingerings)
    worst = np.zeros((len(scales), 12))
    for s, scale in enumerate(scales):
        notes = suiting.octave(scale.cents, scale.period)
        for t in range(12):
            tonic = suiting.root(100.0 * t, lowest)
            rooms = [suiting.room(note, scale.cents, scale.period) for note in notes]
            offs = [
                suiting.taken(tonic + note, fingerings, CLEAN, within, room)[0]
                for note, room in zip(notes, rooms, strict=True)
            ]
            worst[s, t] = max(offs, key=abs)
    return worst


def plain_registers(flute: Flute, share: tuple[float, ...], air: Air, count: int) -> list[float]:
    """The first ``count`` playing frequencies, Hz, by the plain reference, as the package counts them.

    A zero with more resistance than rho c/S is none (``physics/network.py``); fewer where there are no more.
    """
    unit = air.rho * air.c / (math.pi * flute.radius(0.0) ** 2)
    most, found = count, []
    while True:
        try:
            every = playing_frequencies(flute, share, air, most)
        except ArithmeticError:
            return found
        found = [each for each in every if abs(total_impedance(flute, share, each, air)) < unit]
        if len(found) == count:
            return found
        most += 1


def fifteen() -> Fingerings:
    """Holes opened one by one from the foot in two registers, and a cross-fingering."""
    scale = [[1.0 if hole >= 6 - opened else 0.0 for hole in range(6)] for opened in range(7)]
    share = np.array([*scale, *scale, [0.0, 0.0, 0.0, 1.0, 0.0, 0.0]]).T
    return Fingerings(share, np.array([1] * 7 + [2] * 7 + [1]))


def each_alone(flutes: Flutes) -> Flutes:
    """The same flutes, their openings deaf to each other."""
    return replace(flutes, body=replace(flutes.body, outside=False))


def sample(count: int, seed: int = 1) -> tuple[Flutes, Fingerings, Resonances]:
    """``count`` flutes drawn from the bench flute's doubts, the 13 rows, and its own resonances."""
    problem = lowered(load(FILE)).problem
    middle = resonances(problem.flutes, problem.fingerings)
    return drawn(problem, count=count, seed=seed).flutes, problem.fingerings, middle


def wide() -> Design:
    """A tube with 16 holes and 200 rows, each wanting the note it is nearest to."""
    bench = load(FILE)
    fingers = ("L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4")
    holes = tuple(
        replace(bench.holes[0], at=(180 + 26 * n) * MM, diameter=5 * MM, finger=fingers[n // 2])
        for n in range(16)
    )
    rows = tuple(replace(bench.rows[0], note="A4", register=1, holes=_opened(n)) for n in range(200))
    tube = replace(bench.tube, length=640 * MM)
    design = replace(bench, name="Bench of two hundred", tube=tube, holes=holes, rows=rows, log=())
    heard = ask.predict(design).frequency
    notes = (nearest_note(float(hertz), design.tuning.reference)[0].name for hertz in heard)
    named = tuple(replace(row, note=note) for row, note in zip(rows, notes, strict=True))
    return replace(design, rows=named)


def _opened(n: int) -> tuple[HoleState, ...]:
    """The n-th of 200 unlike fingerings, spread over all that 16 holes have."""
    return tuple("O" if 331 * n >> hole & 1 else "X" for hole in range(16))
