"""Why a row is off: the one rule that binds, found by leaving it out and solving again.

Multipliers name the suspects, a second solve convicts. Sentences are made here because they need the
numbers of both solves; lengths are printed in the design's units.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from scaledesign.model.document import Design, Units
from scaledesign.model.units import format_length
from scaledesign.solver.layout import Fit, Task, fit, stay
from scaledesign.solver.limits import Geometry, limits_of, wood_left, wood_to_foot

SIZES = ("smallest", "largest", "share_of_bore", "pad")
KEYS = {
    "smallest": "shop.smallest", "largest": "shop.largest", "share_of_bore": "shop.share_of_bore",
    "pad": "shop.hand", "wood": "shop.wood", "spread": "shop.hand", "fingers": "shop.hand",
    "gap": "shop.hand", "thumb": "shop.hand", "avoid": "tube.avoid", "blank": "tube.blank",
    "head": "tube.bore", "foot": "shop.wood", "bits": "shop.bits", "tube_locked": "tube.locked",
    "hole_locked": "holes.locked", "same_fingering": "rows.holes",
}  # fmt: skip
"""What to change in the design file for each kind of obstacle."""


@dataclass(frozen=True)
class Obstacle:
    """What keeps a row (0-based) off its note: the kind of rule, the holes concerned, in words.

    ``kind`` is one of ``KEYS``, or "several" (no single rule would do) or "none" (no rule does: the
    fingering cannot play the note in this tube).
    """

    row: int
    kind: str
    holes: tuple[int, ...]
    sentence: str

    @property
    def key(self) -> str:
        """The design file's key that would free the row, or ''."""
        return KEYS.get(self.kind, "")


def named(holes: tuple[int, ...]) -> str:
    """'hole 3', 'holes 2 and 3': as a person counts."""
    numbers = [str(i + 1) for i in sorted(holes)]
    if len(numbers) == 1:
        return f"hole {numbers[0]}"
    return f"holes {', '.join(numbers[:-1])} and {numbers[-1]}"


def obstacles(
    task: Task, found: Fit, snapped: Fit, off: Callable[[Fit, int], bool], rows: tuple[int, ...]
) -> tuple[Obstacle, ...]:
    """What binds for every row of ``rows`` that ``off`` says is off in ``snapped``.

    Parameters
    ----------
    task : Task
    found, snapped : Fit, before and after rounding to bits
    off : whether a row of a fit is further off than the design's tolerance
    rows : rows that count
    """
    unmet = [row for row in rows if off(snapped, row)]
    if not unmet:
        return ()
    told: list[Obstacle] = []
    trials: dict[str, tuple[str, tuple[int, ...], Fit]] = {}
    for row in unmet:
        if (other := _same_fingering(task, row, rows)) is not None:
            told.append(_conflict(task.design, snapped, row, other))
        elif not off(found, row):
            told.append(_bits(task.design, snapped, found, row))
        else:
            told.append(_convict(task, found, row, off, trials))
    return tuple(told)


def _same_fingering(task: Task, row: int, rows: tuple[int, ...]) -> int | None:
    share, register = task.problem.fingerings.share, task.problem.fingerings.register
    for other in rows:
        if other == row or register[other] != register[row]:
            continue
        same = (share[:, other] == share[:, row]).all()
        if same and task.problem.target[other] != task.problem.target[row]:
            return other
    return None


def _trials(task: Task, found: Fit) -> Iterator[tuple[str, tuple[int, ...], Task]]:
    """Tasks with one kind of rule left out, the likeliest first."""
    pushing: dict[str, tuple[int, ...]] = {}
    for limit, _ in found.binding:
        pushing.setdefault(limit.kind, limit.holes)
    for limit in found.broken:
        pushing.setdefault(limit.kind, limit.holes)
    everything = limits_of(task.design, found.geometry, task.sides)
    for kind, holes in pushing.items():
        dropped = frozenset(limit.key for limit in everything if limit.kind == kind)
        yield kind, holes, replace(task, dropped=task.dropped | dropped)
    count = len(task.design.holes)
    if not task.free[-1]:
        free = task.free.copy()
        free[-1] = True
        yield "tube_locked", (), replace(task, free=free)
    for i in range(count):
        if not (task.free[i] and task.free[count + i]):
            free = task.free.copy()
            free[[i, count + i]] = True
            yield "hole_locked", (i,), replace(task, free=free)


def _convict(
    task: Task,
    found: Fit,
    row: int,
    off: Callable[[Fit, int], bool],
    trials: dict[str, tuple[str, tuple[int, ...], Fit]],
) -> Obstacle:
    for kind, holes, freed in _trials(task, found):
        name = f"{kind}{holes if kind == 'hole_locked' else ''}"
        if name not in trials:
            trials[name] = kind, holes, fit(freed, found.geometry, stay(found.geometry), found.resonances)
        trial = trials[name][2]
        if not off(trial, row):
            return Obstacle(row, kind, holes, _because(task.design, found, trial, row, kind, holes))
    if "several" not in trials:
        keys = frozenset(limit.key for limit in limits_of(task.design, found.geometry, task.sides))
        freed = replace(task, dropped=keys, free=np.ones_like(task.free))
        trial = fit(freed, found.geometry, stay(found.geometry), found.resonances)
        trials["several"] = "several", (), trial
    start = _off_by(task.design, found, row)
    if not off(trials["several"][2], row):
        kinds = dict.fromkeys(limit.kind for limit, _ in found.binding)
        words = ", ".join(dict.fromkeys(KEYS[kind] for kind in kinds)) or "the locks"
        return Obstacle(row, "several", (), f"{start}: no single rule holds it; {words} together do.")
    return Obstacle(
        row, "none", (),
        f"{start}: no hole or length in this tube meets it together with the other rows; "
        "give it another fingering, another note or a smaller weight.",
    )  # fmt: skip


def row_name(design: Design, row: int) -> str:
    """'Row 3 (C5)': as a person counts; a secondary row that the system lent has no number."""
    return f"Row {row + 1} ({design.rows[row].note})" if row < len(design.rows) else "A secondary row"


def _off_by(design: Design, found: Fit, row: int) -> str:
    cents = float(found.cents[row])
    return f"{row_name(design, row)} stays {abs(cents):.0f} cents {'sharp' if cents > 0 else 'flat'}"


def _conflict(design: Design, found: Fit, row: int, other: int) -> Obstacle:
    return Obstacle(
        row, "same_fingering", (),
        f"{_off_by(design, found, row)}: row {other + 1} ({design.rows[other].note}) asks another note "
        "of the same fingering; change one of the two.",
    )  # fmt: skip


def _bits(design: Design, snapped: Fit, found: Fit, row: int) -> Obstacle:
    moved = np.abs(snapped.geometry.diameter - found.geometry.diameter)
    worst = int(np.argmax(moved))
    wanted = format_length(float(found.geometry.diameter[worst]), design.units)
    return Obstacle(
        row, "bits", (worst,),
        f"{_off_by(design, snapped, row)}: none of your bits is near {wanted} for {named((worst,))} "
        "(shop.bits); a finer set, or filing, would do.",
    )  # fmt: skip


def _because(design: Design, found: Fit, freed: Fit, row: int, kind: str, holes: tuple[int, ...]) -> str:
    """One sentence: the row, the rule, and what would free it."""
    shop, now, then = design.shop, found.geometry, freed.geometry

    def length(metres: float) -> str:
        return format_length(metres, design.units)

    def apart(geometry: Geometry) -> float:
        return abs(float(geometry.at[holes[-1]] - geometry.at[holes[0]]))

    who = named(holes) if holes else "the tube"
    if kind in SIZES:
        pick = np.argmin if kind == "smallest" else np.argmax
        i = int(pick(then.diameter))
        who, would = named((i,)), float(then.diameter[i])
    else:
        i = holes[0] if holes else 0
        would = {
            "wood": lambda: max(wood_left(design, then, *holes), 0.0),
            "foot": lambda: max(wood_to_foot(then, i), 0.0),
            "avoid": lambda: float(then.at[i]),
            "blank": lambda: then.length,
            "tube_locked": lambda: then.length,
            "hole_locked": lambda: float(then.diameter[i]),
        }.get(kind, lambda: apart(then))()
    rule = {
        "smallest": lambda: f"{who} may be no smaller than {length(shop.smallest)}",
        "largest": lambda: f"{who} may be no larger than {length(shop.largest)}",
        "share_of_bore": lambda: f"{who} may take no more than {shop.share_of_bore:g} of the bore",
        "pad": lambda: f"{who} may be no wider than a finger of this hand seals",
        "wood": lambda: f"{who} must keep {length(shop.wood)} of wood between them",
        "foot": lambda: f"{who} must keep {length(shop.wood)} of wood to the foot",
        "fingers": lambda: f"the fingers on {who} need {length(apart(now))} between them",
        "avoid": lambda: f"{who} may not lie in a stretch to avoid",
        "blank": lambda: f"the blank is only {length(design.tube.blank or 0.0)} long",
        "head": lambda: f"{who} may not come nearer to the mouth than two bores",
        "tube_locked": lambda: f"the tube is cut at {length(now.length)}",
        "hole_locked": lambda: f"{who} is locked",
    }.get(kind, lambda: f"this hand reaches {length(apart(now))} between {who}")()
    where = f" at {length(float(then.at[i]))}" if kind == "hole_locked" else ""
    end = "" if kind == "head" else f"; {length(would)}{where} would do"
    return f"{_off_by(design, found, row)}: {rule} ({KEYS[kind]}){end}."


def broken_rules(design: Design, geometry: Geometry) -> tuple[str, ...]:
    """Sentences for every rule of the shop and the hand that a layout breaks by over 0.05 mm."""
    units = design.units
    told: dict[tuple[str, tuple[int, ...]], str] = {}
    u = geometry.u
    for limit in limits_of(design, geometry):
        room = sum(u[column] * value for column, value in limit.terms) - limit.bound
        if room >= -5e-5:
            continue
        sentence = _broken(design, geometry, limit.kind, limit.holes, units)
        told.setdefault((limit.kind, tuple(sorted(limit.holes))), sentence)
    return tuple(told.values())


def _broken(design: Design, now: Geometry, kind: str, holes: tuple[int, ...], units: Units) -> str:
    def length(metres: float) -> str:
        return format_length(metres, units)

    who = named(holes).capitalize() if holes else "The tube"
    i, j = (holes[0], holes[-1]) if holes else (0, 0)
    hand = f"a {design.shop.hand} hand" if isinstance(design.shop.hand, str) else "your hand"
    size = f"{who}, {length(float(now.diameter[i]))}," if holes else who
    apart = f"{who} are {length(abs(float(now.at[j] - now.at[i])))} apart" if holes else who
    asked = f"you ask for {length(design.shop.wood)}"
    words = {
        "smallest": lambda: f"{size} is under your smallest, {length(design.shop.smallest)}",
        "largest": lambda: f"{size} is over your largest, {length(design.shop.largest)}",
        "share_of_bore": lambda: f"{size} takes more than {design.shop.share_of_bore:g} of the bore",
        "pad": lambda: f"{size} is wide for the fingers of {hand}: it may not seal",
        "wood": lambda: f"{who} leave {length(max(wood_left(design, now, i, j), 0.0))} of wood; {asked}",
        "foot": lambda: f"{who} leaves {length(max(wood_to_foot(now, i), 0.0))} of wood to the foot; {asked}",
        "thumb": lambda: f"{apart}: a stretch for the thumb of {hand}",
        "fingers": lambda: f"{apart}: too close for the fingers of {hand}",
        "avoid": lambda: f"{who} lies in a stretch to avoid",
        "blank": lambda: f"The tube is longer than its blank, {length(design.tube.blank or 0.0)}",
        "head": lambda: f"{who} lies within two bores of the mouth",
    }
    return words.get(kind, lambda: f"{apart}: more than {hand} covers in comfort")() + "."
