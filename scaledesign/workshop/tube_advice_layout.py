"""First layouts of many flutes at once, for judging what a tube or a bore can become.

One flute a wish: the length that its key wants, its holes where the rows are met as well as hand, bits and
nodes allow, and the registers of its scale. The same wishes and limits as those of a new flute, laid out
together and not rounded to bits; the flute that ``ask.new_design`` makes of a wish can stand in the place of
any of them (``exactly``). Nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.model.document import Design
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.model.scale import Tuned
from scaledesign.physics.arrays import Floats, Indices, Mask
from scaledesign.physics.flute import Flutes
from scaledesign.physics.gradient import derivatives
from scaledesign.solver.layout import (
    Settled,
    Task,
    Wish,
    first_layout,
    free_of,
    on_other_side,
    stands_against,
)
from scaledesign.solver.limits import HEAD, Geometry, geometry_of
from scaledesign.solver.problem import flutes_of, problem_of, shares
from scaledesign.solver.resonance import Fingerings, field_at, resonances
from scaledesign.solver.solution import Solution, hands_of, with_geometry
from scaledesign.solver.together import fit_together, stacked
from scaledesign.values import dataclass
from scaledesign.workshop import ask, start
from scaledesign.workshop.registers import Registers, judged, registers
from scaledesign.workshop.start import Wanted

PUSH = 1.0
"""Cents squared per millimetre: a limit that pushes back less is not what keeps a note off."""
ROUNDS = 2
"""How often flutes are fitted again without rows that came out as other notes, at most."""


@dataclass(frozen=True)
class Laid:
    """One flute laid out."""

    design: Design
    cents: Floats
    """(R,) off the notes of the scale."""
    notes: tuple[str, ...]
    """Of those rows."""
    binding: tuple[tuple[str, tuple[int, ...]], ...]
    """Kinds of limits that push back and the holes (0-based) they hold, the strongest first."""
    registers: Registers
    """Of the scale's fingerings."""
    said: tuple[str, ...] = ()
    """Why notes stay off, in words; known only where it is exact."""
    exact: bool = False
    """Whether it is the flute that would be begun, rounded to bits."""

    @property
    def worst(self) -> int:
        """Which note of the scale is furthest off, 0-based."""
        return int(np.abs(self.cents).argmax())


def lengths(wishes: Sequence[Wanted]) -> Floats:
    """(N,) m: the tube that each wish's lowest note wants; nan where the bore is too wide to sound it.

    The same as ``start.length_for``, for all at once.
    """
    designs = [start.blank_design(want) for want in wishes]
    flutes = stacked([flutes_of(design, bare_length=design.tube.length) for design in designs])
    frequency = np.array(
        [_hertz(want.key, d.tuning.reference) for want, d in zip(wishes, designs, strict=True)]
    )
    plain = Fingerings(np.zeros((0, 1)), np.ones(1, np.intp))
    long = flutes.air.c / (2 * frequency)
    short = np.zeros(len(long))
    length = np.maximum(long - flutes.added_length, 0.5 * long)
    there = np.zeros(len(long), bool)
    for _ in range(start.STEPS):
        field = field_at(replace(flutes, length=length), plain, frequency[:, None])
        error = np.pi - field.phase[:, 0]
        step = error / derivatives(field).length[:, 0]
        there = np.abs(step) < 1e-7
        short, long = np.where(error > 0, length, short), np.where(error > 0, long, length)
        inside = (length + step > short) & (length + step < long)
        length = np.where(there | inside, length + step, 0.5 * (short + long))
        if there.all():
            break
    return np.where(there, length, np.nan)


def _hertz(key: str, reference: float) -> float:
    return note_frequency(parse_note(key), reference)


def laid_out(wishes: Sequence[Wanted], length: Floats) -> list[Laid | None]:
    """Every wish laid out on a tube of its ``length`` (N,) m; None where it cannot be.

    It cannot where a note of the scale has no pitch, or a hole no room.

    Parameters
    ----------
    wishes : of one scale, fingering system, wall and way to blow; keys and bores differ
    length : as ``lengths`` gives it, no nan

    Raises
    ------
    UnknownNameError, EditError
        when nobody offers scale or system, or they do not fit.
    """
    if not wishes:
        return []
    tasks = [_task(want, float(metres)) for want, metres in zip(wishes, length, strict=True)]
    flutes = stacked([task.problem.flutes for task in tasks])
    fingerings = tasks[0].problem.fingerings
    found = resonances(flutes, fingerings, missing=True)
    sounds = np.isfinite(found.frequency)
    main = np.array([row.counts for row in tasks[0].design.rows])
    target = np.array([task.problem.target for task in tasks])
    guess = np.log(np.where(sounds, found.frequency, target))
    wish = [first_layout(geometry_of(task.design), hands_of(task.design)) for task in tasks]
    room = np.array([has_room(task.design, len(task.design.holes)) for task in tasks])
    fine = np.flatnonzero(sounds[:, main].all(axis=1) & room).tolist()
    batch = _Batch([_weighing(tasks[i], sounds[i]) for i in fine], flutes.take(np.array(fine, int)),
                   [wish[i] for i in fine], guess[fine], found.level[fine])  # fmt: skip
    made = batch.settled() if fine else []
    out: list[Laid | None] = [None] * len(wishes)
    known = [n for n, one in enumerate(made) if np.isfinite(one.cost)]
    asked, tasks = [wishes[fine[n]] for n in known], [batch.tasks[n] for n in known]
    for n, one in zip(known, _heard(asked, tasks, [made[n] for n in known]), strict=True):
        out[fine[n]] = one
    return out


def has_room(design: Design, holes: int) -> bool:
    """Whether so many holes, as narrow as may be, find room between head, foot and avoided stretches."""
    least, wood = design.shop.smallest, design.shop.wood
    edge, places, foot = HEAD * design.tube.bore[0].value, 0, design.tube.length - wood
    for start_, end in (*sorted(design.tube.avoid), (foot, np.inf)):
        free = min(start_, foot) - edge
        if free >= least:
            places += 1 + int((free - least) / (least + wood) + 1e-9)
        edge = max(edge, end)
    return places >= holes


def _task(want: Wanted, length: float) -> Task:
    found = ask.offers()
    scale, system = found.scale(want.scale), found.system(want.system)
    tonic = parse_note(want.key)
    blank = start.blank_design(replace(want, scale=scale.name, system=system.name, key=tonic.name))
    rows = tuple(
        row for row in found.rows(want.system, scale, tonic, blank.tuning.reference) if row.weight > 0
    )
    tuned = Tuned(scale, tonic, blank.tuning.reference)
    target = tuple(tuned.target(row.note, row.cents) for row in rows)
    cut = length if want.length is None else min(length, want.length)
    sized = replace(blank, tube=replace(blank.tube, length=cut))
    design = start.with_holes(sized, system, rows, target)
    return Task(design, problem_of(design, target), free_of(design))


def _weighing(task: Task, rows: Mask) -> Task:
    """The task with no weight on the others than ``rows`` (R,)."""
    return replace(task, problem=replace(task.problem, weight=np.where(rows, task.problem.weight, 0.0)))


@dataclass
class _Batch:
    """Flutes on their way to a layout, one a place in every list."""

    tasks: list[Task]
    flutes: Flutes
    wishes: list[Wish]
    guess: Floats
    level: Indices

    def settled(self) -> list[Settled]:
        """Fit all; again without rows that come out as other notes, then with nodes passed the other way."""
        made: list[Settled] = [*self._fit(range(len(self.tasks)))]
        for _ in range(ROUNDS):
            again = [i for i, one in enumerate(made) if self._without_odd(i, one)]
            for i in again:  # on from where it is
                now = Geometry.of(made[i].u)
                self.flutes.at[i], self.flutes.radius[i] = now.at, now.diameter / 2
                self.flutes.length[i], self.guess[i] = now.length, made[i].look.log_f
            for i, one in zip(again, self._fit(again), strict=True):
                made[i] = one
        return self._past_nodes(made)

    def _without_odd(self, i: int, one: Settled) -> bool:
        """Take the weight from rows between the degrees that came out as other notes; whether any did."""
        task = self.tasks[i]
        between = np.array([not row.counts and row.register == 1 for row in task.design.rows])
        weight = task.problem.weight
        odd = (np.abs(one.look.cents) > ask.ANOTHER_NOTE) & between & (weight > 0)
        if odd.any():
            self.tasks[i] = replace(task, problem=replace(task.problem, weight=np.where(odd, 0.0, weight)))
        return bool(odd.any())

    def _fit(self, which: Sequence[int]) -> list[Settled]:
        if not which:
            return []
        at = np.array(which)
        return fit_together(
            [self.tasks[i] for i in which], self.flutes.take(at), [self.wishes[i] for i in which],
            self.guess[at], self.level[at],
        )  # fmt: skip

    def _past_nodes(self, made: list[Settled]) -> list[Settled]:
        """Each layout, or that with one hole on the other side of a stretch, where that comes out better."""
        others: list[tuple[int, Task, Geometry, Floats]] = []
        for i, (task, one) in enumerate(zip(self.tasks, made, strict=True)):
            now = Geometry.of(one.u)
            for limit, _ in one.binding:
                others += [
                    (i, *on_other_side(task, now, limit.holes[0], stretch), one.look.log_f)
                    for stretch in range(len(task.design.tube.avoid))
                    if limit.kind == "avoid" and stands_against(task.design, now, limit.holes[0], stretch)
                ]
        if not others:
            return made
        at = np.array([i for i, *_ in others])
        moved = replace(
            self.flutes.take(at),
            at=np.array([there.at for _, _, there, _ in others]),
            radius=np.array([there.diameter for _, _, there, _ in others]) / 2,
            length=np.array([there.length for _, _, there, _ in others]),
        )
        tried = fit_together(
            [task for _, task, _, _ in others], moved, [self.wishes[i] for i in at],
            np.array([log_f for *_, log_f in others]), self.level[at],
        )  # fmt: skip
        for (i, task, _, _), other in zip(others, tried, strict=True):
            if other.cost < made[i].cost - 1e-6:
                made[i], self.tasks[i] = other, task
        return made


def _heard(wishes: Sequence[Wanted], tasks: Sequence[Task], made: Sequence[Settled]) -> list[Laid]:
    """Every layout with the registers of its scale, which are searched for in all flutes at once."""
    if not made:
        return []
    whole = [with_geometry(task.design, Geometry.of(one.u)) for task, one in zip(tasks, made, strict=True)]
    main = [i for i, row in enumerate(tasks[0].design.rows) if row.counts]
    slim = [_first_register(design) for design in whole]
    many = judged(slim[0])
    share = np.array([shares(slim[0], row) for row in slim[0].rows]).T.copy()
    every = Fingerings(np.repeat(share, many, axis=1), np.tile(np.arange(1, many + 1), share.shape[1]))
    found = resonances(stacked([flutes_of(design) for design in slim]), every, missing=True)
    known = found.frequency.reshape(len(slim), -1, many)
    return [
        Laid(
            design,
            one.look.cents[main],
            tuple(design.rows[i].note for i in main),
            tuple((limit.kind, limit.holes) for limit, force in one.binding if force > PUSH),
            registers(few, hertz),
        )
        for want, design, few, one, hertz in zip(wishes, whole, slim, made, known, strict=True)
    ]


def _first_register(design: Design) -> Design:
    """The design with the rows of its scale that are not overblown, each fingering once."""
    low = {row.holes: row for row in reversed(design.rows) if row.counts and row.register == 1}
    return replace(design, rows=tuple(row for row in design.rows if low.get(row.holes) is row))


def exactly(want: Wanted) -> Laid | None:
    """The flute that a wish begins, as ``ask.new_design`` makes it; None where a note of it has no pitch.

    Raises
    ------
    UnknownNameError, EditError
    """
    try:
        return of_solution(want, ask.new_design(want))
    except NoPitchError:
        return None


def of_solution(want: Wanted, solution: Solution) -> Laid:
    """A flute that was begun from a wish."""
    design = solution.design
    main = [i for i, row in enumerate(design.rows) if row.counts]
    said = tuple(each.sentence for each in solution.obstacles)
    cents = np.array([solution.prediction.cents[i] for i in main])
    notes = tuple(design.rows[i].note for i in main)
    binding = tuple((each.kind, each.holes) for each in solution.obstacles)
    return Laid(design, cents, notes, binding, registers(_first_register(design)), said, exact=True)
