"""The tube on its way to its length: blown bare, cut a little long, and trimmed when all holes are there."""

from __future__ import annotations

import numpy as np

from scaledesign.model.widths import length_now
from scaledesign.workshop.making.opening import finished
from scaledesign.workshop.making.stage import GO_LAST, Stage
from scaledesign.workshop.making.step import Step
from scaledesign.workshop.making.tries import unlike
from scaledesign.workshop.readings import bare_reading

FAR, THIRD = 0.06, 1 / 3
"""Share of the tube's length beyond which it is not cut off in one go, and what is left on then of that."""
LONG = 0.6
"""Share of the tolerance by which the bare tube is left flat with 95 chances in 100: no cut is undone."""
LEAST_CUT = 1e-3
"""m: less than this is not sawn off."""
LEAST_TRIM = 1e-4
"""m: less than this is not taken off at the end."""


def first_cut(stage: Stage) -> Step | None:
    """To blow the bare tube, or to cut it; None where that is done."""
    if stage.there or not stage.design.holes:
        return None
    bare = [e for e in stage.design.log if e.event == "measured" and e.measured and not e.holes]
    now = length_now(stage.design)
    if not bare:
        why = (
            "Leave the tube so long, make the mouth, blow it with no holes and type what the tuner shows "
            "and how long it is. Until then nobody knows what the mouth adds."
        )
        return _blow(stage, why, now or stage.design.tube.length, stage.design.tube.length)
    foot, doubt = stage.foot, stage.doubt()
    again = unlike(stage.design) if doubt is None else "" if doubt.believed else doubt.why
    if again:
        planned = stage.design.tube.length
        return _blow(stage, again, now or planned, planned if foot is None else foot.reaching(stage.aim))
    if doubt is not None:
        stage.notes.append(doubt.taken("The bare tube"))
    if foot is None or now is None:
        return None
    safe, final = foot.safe(-LONG * stage.tolerance), foot.reaching(stage.aim)
    last = bare[-1].length or now
    if abs(last - now) > 0.03 * now:
        why = (
            "The tube was much longer when it was blown last. Blow it as it is now: what the mouth adds "
            "is surer then."
        )
        return _blow(stage, why, now, final)
    why = "So much is surely too long. The rest comes off at the end, with all the holes there."
    if now - safe > FAR * safe:  # too far to foretell from one reading
        safe += max((now - safe) * THIRD, 0.5 * FAR * safe)
        why = "Not all at once: from so far off nobody can foretell it. Cut this much, then blow it again."
    to = _up(safe)
    if now - to >= LEAST_CUT:
        sounds, sure = _bare(stage, to)
        off, off_sure = foot.line.at(-to)
        return Step(
            "cut", why, now=now, to=to, final=final, row=stage.root, sounds=sounds, sure=sure, off=off,
            off_sure=off_sure,
        )  # fmt: skip
    if (sharp := float(foot.line.off[0])) > stage.tolerance:
        stage.notes.append(
            f"The tube is too short already: with every hole closed it will be {sharp:.0f} cents sharp. "
            "Take the key a little higher, or a longer tube."
        )
    return None


def _blow(stage: Stage, why: str, length: float, final: float) -> Step:
    sounds, sure = _bare(stage, length)
    return Step("blow", why, now=length, final=final, sounds=sounds, sure=sure)


def _bare(stage: Stage, length: float) -> tuple[float, float]:
    """What the tube without holes should show on the tuner, Hz, and one standard deviation in cents."""
    told = stage.outlook.tell(bare_reading(stage.design, 1.0, None, length, 1))
    tuner = stage.outlook.problem.doubts.tuner
    return float(told.frequency[0, 0]), float(np.hypot(told.sure[0, 0], tuner))


def trim(stage: Stage, index: int, off: float, sure: float) -> Step | None:
    """What is left of the tube's length comes off."""
    foot, now = stage.foot, length_now(stage.design)
    if foot is None or now is None:
        return None
    to = _up(max(foot.reaching(stage.aim), foot.safe(GO_LAST * stage.tolerance)))
    if now - to < LEAST_TRIM:
        return None
    row = stage.design.rows[index]
    told = stage.outlook.tell(finished(stage.design, (row,), length=np.array([to])))
    tuner = stage.outlook.problem.doubts.tuner
    return Step(
        "cut", f"With every hole closed it is {abs(off):.0f} cents flat: take this off the foot.",
        now=now, to=to, final=to, row=index, holes=row.holes, sounds=float(told.frequency[0, 0]),
        sure=float(np.hypot(told.sure[0, 0], tuner)), off=off, off_sure=sure,
    )  # fmt: skip


def _up(length: float) -> float:
    """m: rounded up to a tenth of a millimetre."""
    return float(np.ceil(length * 1e4 - 1e-6)) / 1e4
