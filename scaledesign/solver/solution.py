"""Solve a design: lay out, round to bits, say what binds and what was placed by rule.

Ties the solver's parts together for one design; targets and secondary rows are handed in, so that
nothing here knows a scale or a plug-in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Literal

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.model.document import COUNTS, Design, Row
from scaledesign.model.units import INCH
from scaledesign.physics.arrays import Floats, Mask
from scaledesign.physics.gradient import derivatives
from scaledesign.solver.explain import obstacles
from scaledesign.solver.hearing import Heard, Reading, hear_each
from scaledesign.solver.layout import (
    Fit,
    Task,
    Wish,
    choose_sides,
    first_layout,
    fit,
    free_of,
    stay,
)
from scaledesign.solver.limits import Geometry, geometry_of
from scaledesign.solver.prediction import Prediction, beside_of, predict
from scaledesign.solver.problem import CENT, Problem, flutes_of, hole_radius, problem_of, remarks_of
from scaledesign.solver.resonance import Resonances, field_at, resonances
from scaledesign.solver.rounding import snap
from scaledesign.solver.sensitivity import sensitivity_of
from scaledesign.solver.verdict import KINDS, Obstacle, broken_rules, named, no_bit, told
from scaledesign.values import dataclass

Placed = Literal["solved", "rule", "locked", "undetermined"]

UNDETERMINED = 0.2
"""Cents per millimetre under which a dimension is not determined by the rows."""
GRAIN = {"mm": 1e-5, "in": 0.001 * float(INCH)}
"""m to which a solution is rounded before it is written: a tenth of what a hand can do, or less."""
SETTLED = 0.5
"""Cents off within which a counted row needs no other bits."""
RECOUNTS = 2
"""How often a fit is made again because its registers were counted otherwise at its end."""
ANOTHER = 50.0
"""Cents off beyond which a tuner names another note."""
LOST = 100.0
"""Cents off beyond which a row that is further off misses no more (proposed here, no source)."""
FAR = 300.0
"""Cents off beyond which nobody wants a note halfway (proposed here, no source)."""
STUCK = 0.5
"""Share of what a change of its sounding length does to a row: one that no free dimension moves by more is
left as it is. Closed holes move it by a third of that at most."""


@dataclass(frozen=True)
class Solution:
    """A design whose holes play in tune, or as nearly as its rules allow.

    ``placed`` (H,) says of each hole where its place comes from; ``notes`` say in words what binds and
    what was placed by rule; ``obstacles`` say the former for programs.
    """

    design: Design
    prediction: Prediction
    notes: tuple[str, ...]
    placed: tuple[Placed, ...]
    obstacles: tuple[Obstacle, ...]


def hands_of(design: Design) -> tuple[tuple[int, ...], ...]:
    """Front holes of each hand, mouth to foot."""
    front = [i for i, hole in enumerate(design.holes) if hole.finger[0] in "LR" and hole.finger[1] != "T"]
    front.sort(key=lambda i: design.holes[i].at)
    return tuple(tuple(i for i in front if design.holes[i].finger[0] == hand) for hand in "LR")


def solve(
    design: Design,
    target: tuple[float, ...],
    *,
    extra: tuple[tuple[Row, float], ...] = (),
    readings: tuple[Reading, ...] = (),
    fresh: bool = False,
    wish: Wish | None = None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Solution:
    """Move what is not locked until every counted row is met as well as the rules allow.

    Parameters
    ----------
    design : Design
    target : wanted frequency of each row, Hz
    extra : secondary rows of the fingering system with their targets, for holes no row opens
    readings : what the added length was fitted to
    fresh : True on a first layout: aim for even holes rather than for few moves
    wish : what to aim for instead of either, where the rows leave a choice
    cancelled : asked between steps

    Raises
    ------
    NoPitchError
    """
    wanted = problem_of(design, target, extra)
    task = Task(design, wanted, free_of(design), cancelled=cancelled)
    start = geometry_of(design)
    still = stay(start)
    near, stuck = _stuck(task, start)
    read = hear_each(readings)
    task = replace(task, problem=_aimed(wanted, readings, read, near))
    eased, counted = _eased(task, stuck), _counted(design)

    def laid_out(wish: Wish) -> tuple[Task, Fit, Fit]:
        """The task as it was met, the fit, and the same with the shop's bits."""
        rest, found = _counted_anew(eased, fit(eased, start, wish, near), wish)
        if not fresh:
            with suppress(NoPitchError):  # led to a flute that cannot speak
                rest, found = _rest_first(eased, rest, found, start, wish)
        rest, found = choose_sides(rest, found, wish)
        snapped = snap(rest, found, wish, tuple(i for i in counted if not stuck[i]))
        final = geometry_of(with_geometry(design, snapped.geometry))
        return rest, _as_counted(rest, found), _as_counted(rest, replace(snapped, geometry=final))

    if wish is None:
        wish = first_layout(start, hands_of(design)) if fresh else _spaced(design, wanted, still)
    met, found, snapped = laid_out(wish)
    lost = bool((np.abs(snapped.cents)[list(counted)] > ANOTHER).any())
    if lost and not fresh and wish is not still:  # for evenness alone, perhaps
        with suppress(NoPitchError):
            other = laid_out(still)
            if _missed(eased.problem, other[-1].resonances) < _missed(eased.problem, snapped.resonances):
                met, found, snapped = other
    binding = obstacles(replace(task, sides=met.sides), found, snapped, counted)
    return _told(task, wanted, snapped, binding, readings, read, bool(extra))


def settle(
    design: Design,
    target: tuple[float, ...],
    *,
    extra: tuple[tuple[Row, float], ...] = (),
    readings: tuple[Reading, ...] = (),
    near: Resonances | None = None,
    cancelled: Callable[[], bool] = lambda: False,
) -> tuple[Solution, Resonances, bool]:
    """Move holes and foot alone, every hole keeping its width: what most small edits need, in one fit.

    Parameters
    ----------
    near : resonances of a like flute with the same fingerings, ``extra`` ones too, to start from

    Returns
    -------
    The solution, the resonances of its rows, and whether ``solve`` has nothing to add: every counted row that
    can be moved is met, the others are within the tolerance, and no rule is in the way. Where it has, the
    solution says nothing of what binds.

    Raises
    ------
    NoPitchError
    """
    wanted = problem_of(design, target, extra)
    free = free_of(design)
    count = len(design.holes)
    free[count : 2 * count] = False
    task = Task(design, wanted, free, cancelled=cancelled)
    start = geometry_of(design)
    near, stuck = _stuck(replace(task, free=free_of(design)), start, near)
    read = hear_each(readings)
    task = replace(task, problem=_aimed(wanted, readings, read, near))
    found = fit(_eased(task, stuck), start, _spaced(design, wanted, stay(start)), near)
    allowed = np.where(stuck, max(SETTLED, design.tuning.tolerance), SETTLED)
    counted = list(_counted(design))
    near_enough = bool((np.abs(found.cents) < allowed)[counted].all())
    met = near_enough and not found.broken and not found.torn
    return _told(task, wanted, found, (), readings, read, bool(extra)), found.resonances, met


def _counted_anew(task: Task, found: Fit, wish: Wish) -> tuple[Task, Fit]:
    """The fit, made again where a register is another one by now, and the task it then solves.

    A fit goes by the multiples of pi that it began with. One that is above its register counts on a hidden
    resonance below, which may have come out as the holes moved, or one that it counted on has gone. No small
    move mends that: where the pull of such a row would turn the whole flute over, it is left as it is.
    """
    for _ in range(RECOUNTS):
        if not _hidden(task.problem, found.resonances):
            break
        now = resonances(task.flutes(found.geometry), task.problem.fingerings, losses=task.losses)
        others = now.level[0] != found.resonances.level[0]
        if not others.any():
            break
        again = fit(task, found.geometry, wish, now)
        if _missed(task.problem, again.resonances) > _missed(task.problem, now):
            task = _eased(task, others)
            again = fit(task, found.geometry, wish, now)
        found = again
    return task, found


def _rest_first(task: Task, eased: Task, found: Fit, start: Geometry, wish: Wish) -> tuple[Task, Fit]:
    """The fit of an eased task, made again without what began as another note, where that misses less.

    Such a row says nothing of how the holes should move, and may have turned them all over. Where the rest is
    met, it may play its own note without being pulled at; then it counts again.
    """
    counted = task.problem.weight >= COUNTS
    if (np.abs(found.cents)[counted] < task.design.tuning.tolerance).all():
        return eased, found
    found = _as_counted(task, found)
    begun = resonances(task.flutes(start), task.problem.fingerings, losses=task.losses)
    off = _off(task.problem, begun)
    unsure = (begun.level[0] > task.problem.fingerings.register) | (begun.level != found.resonances.level)[0]
    others = (off > FAR) | (off > ANOTHER) & unsure
    if not others[counted].any() or others[counted].all():
        return eased, found
    again = _as_counted(task, fit(_eased(task, others), start, wish, begun))
    rest = _eased(task, _off(task.problem, again.resonances) > ANOTHER)
    rest, again = _counted_anew(rest, fit(rest, again.geometry, wish, again.resonances), wish)
    after = _missed(task.problem, _as_counted(task, again).resonances)
    return (rest, again) if after < _missed(task.problem, found.resonances) else (eased, found)


def _as_counted(task: Task, found: Fit) -> Fit:
    """The fit with its registers as they are counted at its end, where it still has them."""
    near = None if _hidden(task.problem, found.resonances) else found.resonances
    try:
        now = resonances(task.flutes(found.geometry), task.problem.fingerings, near=near, losses=task.losses)
    except NoPitchError:
        return found
    return replace(found, resonances=now, cents=CENT * np.log(now.frequency[0] / task.problem.target))


def _missed(problem: Problem, played: Resonances) -> float:
    """How far rows are off in all, weighted, cents²; how far a note is off that is another does not count."""
    return float(problem.weight @ np.minimum(_off(problem, played), LOST) ** 2)


def _off(problem: Problem, played: Resonances) -> Floats:
    """How far off each row is, cents."""
    off: Floats = np.abs(CENT * np.log(played.frequency[0] / problem.target))
    return off


def _hidden(problem: Problem, found: Resonances) -> bool:
    """Whether some row counts on a resonance that the losses have swallowed."""
    return bool((found.level > problem.fingerings.register).any())


def _stuck(task: Task, start: Geometry, near: Resonances | None = None) -> tuple[Resonances | None, Mask]:
    """Rows (R,) that nothing free can move: pulled at all the same, they would turn the whole flute over.

    Also the resonances of ``start``, where they had to be found.
    """
    none = np.zeros(len(task.problem.weight), bool)
    if task.free.all() or not len(none):
        return near, none
    flutes = task.flutes(start)
    found = resonances(flutes, task.problem.fingerings, near=near)
    s = sensitivity_of(flutes, derivatives(field_at(flutes, task.problem.fingerings, found.frequency)))
    slope = np.concatenate([s.at, s.diameter, s.length[:, None]], axis=1)[:, task.free]
    sounding = flutes.air.c / (2 * found.frequency[0])
    return found, np.abs(slope).max(axis=1, initial=0.0) < STUCK * CENT / sounding


def _eased(task: Task, stuck: Mask) -> Task:
    """The task without a pull from the rows that are stuck."""
    if not stuck.any():
        return task
    return replace(task, problem=replace(task.problem, weight=np.where(stuck, 0.0, task.problem.weight)))


def _counted(design: Design) -> tuple[int, ...]:
    return tuple(i for i, row in enumerate(design.rows) if row.counts)


def _aimed(
    wanted: Problem, readings: tuple[Reading, ...], read: Sequence[Heard], near: Resonances | None = None
) -> Problem:
    """The problem with targets for the fitted flute, beside what is known of notes that were read."""
    return replace(wanted, target=wanted.target * np.exp(-beside_of(wanted, readings, read, near) / CENT))


def _told(
    task: Task,
    wanted: Problem,
    found: Fit,
    binding: tuple[Obstacle, ...],
    readings: tuple[Reading, ...],
    read: Sequence[Heard],
    lent: bool,
) -> Solution:
    """A layout as a design, with what it plays and what is to be said of it."""
    design, problem = task.design, wanted
    laid_out = with_geometry(design, found.geometry)
    target = problem.target[: len(design.rows)]
    final = replace(
        problem,
        flutes=flutes_of(laid_out),
        bare=flutes_of(laid_out, bare_length=laid_out.tube.length),
        remarks=remarks_of(laid_out),
    )
    near = None if _hidden(problem, found.resonances) else found.resonances
    prediction = predict(final, readings, near=near, shown=len(target), read=read)
    placed, reasons = _placed(laid_out, prediction, _counted(design), lent)
    notes = (
        *_contradiction(task, found),
        *told(binding),
        *no_bit(laid_out, found.geometry),
        *reasons,
        *broken_rules(laid_out, found.geometry),
    )
    return Solution(laid_out, prediction, notes, placed, binding)


def _spaced(design: Design, problem: Problem, wish: Wish) -> Wish:
    """Holes that no row opens go by even spacing instead of staying where they are."""
    weight = problem.weight > 0
    idle = [
        i
        for i in range(len(design.holes))
        if design.holes[i].finger != "none" and not (problem.fingerings.share[i, weight] > 0).any()
    ]
    if not idle:
        return wish
    spaced = first_layout(geometry_of(design), hands_of(design))
    matrix, value = wish.matrix.copy(), wish.value.copy()
    matrix[idle], value[idle] = 0.05 * matrix[idle], 0.05 * value[idle]
    touching = (spaced.matrix[:, idle] != 0).any(axis=1) & (spaced.value == 0)
    return Wish(np.vstack([matrix, spaced.matrix[touching]]), np.concatenate([value, spaced.value[touching]]))


def with_geometry(design: Design, geometry: Geometry) -> Design:
    """The design with another layout, rounded to ``GRAIN``."""
    grain = GRAIN[design.units]

    def rounded(value: float) -> float:
        return round(round(value / grain) * grain, 9)

    holes = []
    for i, hole in enumerate(design.holes):
        at = hole.at if hole.drilled or "at" in hole.locked else rounded(float(geometry.at[i]))
        diameter, across = hole.diameter, hole.across
        if abs(float(geometry.diameter[i]) - hole.diameter) > 1e-9:
            diameter = float(geometry.diameter[i])
            across = None if hole.across is None else diameter * (hole_radius(hole) * 2 / hole.diameter) ** 2
        holes.append(replace(hole, at=at, diameter=diameter, across=across))
    length = design.tube.length if design.tube.locked else rounded(geometry.length)
    return replace(design, tube=replace(design.tube, length=length), holes=tuple(holes))


def _contradiction(task: Task, found: Fit) -> tuple[str, ...]:
    if not found.torn:
        return ()
    keys = dict.fromkeys(KINDS[limit.kind] for limit, _ in found.binding)
    locks = "" if task.free.all() else ", with what is locked"
    return (f"Your rules contradict each other: {', '.join(keys)}{locks}; ease one of them.",)


def _placed(
    design: Design, prediction: Prediction, counted: tuple[int, ...], lent: bool
) -> tuple[tuple[Placed, ...], tuple[str, ...]]:
    used = design.opened_by(tuple(design.rows[i] for i in counted))
    helped = design.opened_by(tuple(row for row in design.rows if row.weight > 0))
    s = prediction.sensitivity
    rows = list(counted)
    placed: list[Placed] = []
    notes = []
    weak_at, weak_size = [], []
    closed: dict[str, list[int]] = {}
    for i, hole in enumerate(design.holes):
        at = np.abs(s.at[rows, i]).max(initial=0.0) * 1e-3
        size = np.abs(s.diameter[rows, i]).max(initial=0.0) * 1e-3
        fingered = hole.finger != "none"
        if hole.drilled or "at" in hole.locked:
            placed.append("locked")
        elif fingered and i not in used:
            placed.append("rule")
            lending = "its system's other fingerings" if lent else "even spacing"
            closed.setdefault("the other rows" if i in helped else lending, []).append(i)
        else:
            placed.append("undetermined" if at < UNDETERMINED else "solved")
            if at < UNDETERMINED:
                weak_at.append(i)
        if size < UNDETERMINED and "diameter" not in hole.locked and i in used:
            weak_size.append(i)
    for how, holes in closed.items():
        stay = "stays" if len(holes) == 1 else "stay"
        who = named(tuple(holes)).capitalize()
        notes.append(f"{who} {stay} closed in the scale: placed by rule, from {how}.")
    if weak_at:
        notes.append(f"The place of {named(tuple(weak_at))} hardly matters to the rows: undetermined.")
    if weak_size:
        notes.append(f"The diameter of {named(tuple(weak_size))} hardly matters to the rows: undetermined.")
    if not design.tube.locked and rows and np.abs(s.length[rows]).max() * 1e-3 < UNDETERMINED:
        notes.append("The length of the tube hardly matters to the rows: undetermined.")
    return tuple(placed), tuple(notes)
