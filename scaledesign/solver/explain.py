"""Why a row is off: the one rule that binds, found by leaving it out and solving again.

Multipliers name the suspects, a second solve convicts. Sentences are made here because they need the
numbers of both solves; lengths are printed in the design's units.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scaledesign.model.document import Design, Units
from scaledesign.model.units import format_length
from scaledesign.solver.limits import Geometry, limits_of, profile, wood_left
from scaledesign.solver.layout import Fit, Task, fit, stay

Floats = NDArray[np.float64]

LIMIT_KINDS = (
    "smallest", "largest", "share_of_bore", "pad", "wood", "spread", "fingers", "gap", "thumb", "avoid",
    "blank", "head", "foot",
)  # fmt: skip
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
        if (share[:, other] == share[:, row]).all() and task.problem.target[other] != task.problem.target[row]:
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
        f"{_off_by(design, found, row)}: row {other + 1} ({design.rows[other].note}) asks another note of the "
        "same fingering; change one of the two.",
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


def _because(
    design: Design, found: Fit, freed: Fit, row: int, kind: str, holes: tuple[int, ...]
) -> str:
    """One sentence: the row, the rule, and what would free it."""
    units: Units = design.units

    def length(metres: float) -> str:
        return format_length(metres, units)

    now, then = found.geometry, freed.geometry
    shop = design.shop
    who = named(holes) if holes else ""
    start = _off_by(design, found, row)
    match kind:
        case "smallest":
            i = int(np.argmin(then.diameter))
            return f"{start}: {named((i,))} may be no smaller than {length(shop.smallest)} (shop.smallest); {length(float(then.diameter[i]))} would do."
        case "largest":
            i = int(np.argmax(then.diameter))
            return f"{start}: {named((i,))} may be no larger than {length(shop.largest)} (shop.largest); {length(float(then.diameter[i]))} would do."
        case "share_of_bore":
            i = int(np.argmax(then.diameter))
            most = shop.share_of_bore * profile(design.tube.bore, float(now.at[i]))
            return f"{start}: {named((i,))} may take no more than {shop.share_of_bore:g} of the bore, {length(most)} (shop.share_of_bore); {length(float(then.diameter[i]))} would do."
        case "pad":
            i = int(np.argmax(then.diameter))
            return f"{start}: {named((i,))} may be no wider than a finger of this hand seals (shop.hand); {length(float(then.diameter[i]))} would do."
        case "wood":
            left = wood_left(design, then, *holes)
            return f"{start}: {who} must keep {length(shop.wood)} of wood between them (shop.wood); {length(max(left, 0.0))} would do."
        case "foot":
            left = then.length - float(then.at[holes[0]]) - float(then.diameter[holes[0]]) / 2
            return f"{start}: {who} must keep {length(shop.wood)} of wood to the foot (shop.wood); {length(max(left, 0.0))} would do."
        case "spread" | "gap" | "thumb":
            apart = abs(float(then.at[holes[1]] - then.at[holes[0]]))
            allowed = abs(float(now.at[holes[1]] - now.at[holes[0]]))
            return f"{start}: this hand reaches {length(allowed)} between {who} (shop.hand); {length(apart)} would do."
        case "fingers":
            apart = abs(float(then.at[holes[1]] - then.at[holes[0]]))
            return f"{start}: the fingers on {who} need {length(abs(float(now.at[holes[1]] - now.at[holes[0]])))} between them (shop.hand); {length(apart)} would do."
        case "avoid":
            return f"{start}: {who} would have to go at {length(float(then.at[holes[0]]))}, in a stretch to avoid (tube.avoid)."
        case "blank":
            return f"{start}: the blank is only {length(design.tube.blank or 0.0)} long (tube.blank); {length(then.length)} would do."
        case "head":
            return f"{start}: {who or 'the tube'} would come too near the mouth; a smaller hole or a narrower bore would do."
        case "tube_locked":
            return f"{start}: the tube is cut at {length(now.length)} (tube.locked); {length(then.length)} would do."
        case "hole_locked":
            i = holes[0]
            return f"{start}: {who} is locked (holes.locked); {length(float(then.diameter[i]))} at {length(float(then.at[i]))} would do."
    return f"{start}: {kind} binds."


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
    i = holes[0] if holes else 0
    j = holes[1] if len(holes) > 1 else i
    hand = design.shop.hand if isinstance(design.shop.hand, str) else "this"
    size = length(float(now.diameter[i])) if holes else ""
    apart = length(abs(float(now.at[j] - now.at[i]))) if holes else ""
    match kind:
        case "smallest":
            return f"{who}, {size}, is under your smallest, {length(design.shop.smallest)}."
        case "largest":
            return f"{who}, {size}, is over your largest, {length(design.shop.largest)}."
        case "share_of_bore":
            return f"{who}, {size}, takes more than {design.shop.share_of_bore:g} of the bore."
        case "pad":
            return f"{who}, {size}, is wide for the fingers of a {hand} hand: it may not seal."
        case "wood":
            left = wood_left(design, now, i, j)
            return f"{who} leave {length(max(left, 0.0))} of wood between them; you ask for {length(design.shop.wood)}."
        case "foot":
            left = now.length - float(now.at[i]) - float(now.diameter[i]) / 2
            return f"{who} leaves {length(max(left, 0.0))} of wood to the foot; you ask for {length(design.shop.wood)}."
        case "spread" | "gap":
            return f"{who} are {apart} apart: more than a {hand} hand covers in comfort."
        case "thumb":
            return f"{who} are {apart} apart: a stretch for the thumb of a {hand} hand."
        case "fingers":
            return f"{who} are {apart} apart: too close for the fingers of a {hand} hand."
        case "avoid":
            return f"{who} lies in a stretch to avoid."
        case "blank":
            return f"The tube is longer than its blank, {length(design.tube.blank or 0.0)}."
    return f"{who} lies within two bores of the mouth."
