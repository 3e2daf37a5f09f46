"""The one next thing to do on a flute in the making, and what is left after it.

From the foot toward the mouth each note hangs only on what is drilled already, so that it can still be
mended by the hole in hand (common practice, no source). First the bare tube is blown and cut a little long;
then hole by hole a pilot that is surely not too wide, a reading, and wider by what the reading allows; at the
end the whole flute is blown through, and what the last holes did to the first is touched up.

The plan is worked out anew from the design and its log each time: nothing else is kept, so a flute can be
laid aside for as long as you like. How it stands is ``stage.py``'s; the steps are those of the tube
(``tube_steps.py``), of a hole (``hole_steps.py``) and of the whole flute (``last_steps.py``).
"""

from __future__ import annotations

from dataclasses import replace

from scaledesign.model.document import Design
from scaledesign.model.widths import hole_in_hand, hole_then, length_now
from scaledesign.physics.arrays import Floats
from scaledesign.workshop.drilling import drill_steps, next_hole
from scaledesign.workshop.making.acts import FINISHED
from scaledesign.workshop.making.hole_steps import drill, in_hand
from scaledesign.workshop.making.last_steps import touch_up
from scaledesign.workshop.making.outlook import Outlook
from scaledesign.workshop.making.stage import ENOUGH, NEAR, Stage
from scaledesign.workshop.making.step import Account, Plan, Standing, Step
from scaledesign.workshop.making.tube_steps import first_cut


def plan(design: Design) -> Plan:
    """Where the flute stands, what to do now, and what comes after.

    Raises
    ------
    NoPitchError
        where a fingering that is to be blown cannot sound.
    UnknownNameError
        where nobody offers the scale.
    """
    return _whole(Stage(design))


def next_step(design: Design) -> Step:
    """What to do now.

    Raises
    ------
    NoPitchError, UnknownNameError
    """
    return _now(Stage(design))


def ended(design: Design, found: Plan) -> Design:
    """The design, its foot marked as cut once nothing is left to do: from then on no edit moves it.

    The newest thing done or heard says so in the log, so that taking it back frees the foot again.
    """
    if found.now.kind != "done" or design.tube.locked or length_now(design) is None:
        return design
    log = list(design.log)
    place = max(place for place, entry in enumerate(log) if entry.event != "note")
    said = log[place].note
    log[place] = replace(log[place], note=f"{said}; {FINISHED}" if said else FINISHED)
    return replace(design, tube=replace(design.tube, locked=True), log=tuple(log))


def best_width(outlook: Outlook, hole: int, target: Floats) -> float | None:
    """m: how wide a drilled hole is to become, as far as is known; None where no row tells."""
    stage = Stage(outlook.design, outlook, target)
    opening = stage.opening(hole)
    if opening is None:
        return None
    line = opening.line
    off, _ = line.at(opening.now.diameter)
    return opening.now.diameter if off >= stage.aim else line.reaching(stage.aim)


def best_length(outlook: Outlook, target: Floats) -> float | None:
    """m: how long the tube is to end, as far as is known; None where no row with all holes closed tells."""
    stage = Stage(outlook.design, outlook, target)
    return None if stage.foot is None else stage.foot.reaching(stage.aim)


def end_length(design: Design) -> float:
    """m: how long the tube is to end, as far as is known; the planned length before anything was heard.

    Raises
    ------
    NoPitchError, UnknownNameError
    """
    stage = Stage(design)
    foot = stage.foot if design.instrument.mouth != "open" and stage.outlook.readings else None
    return design.tube.length if foot is None else foot.reaching(stage.aim)


def unfinished(outlook: Outlook, target: Floats) -> bool:
    """Whether the tube or the hole in hand has to be seen to before another hole is begun."""
    return _unfinished(Stage(outlook.design, outlook, target))


def _whole(stage: Stage) -> Plan:
    steps = [_now(stage)]
    done = steps[0].hole if steps[0].kind == "drill" else None
    if stage.left:
        steps += [
            Step(
                "drill", "", hole=each.hole, at=stage.design.holes[each.hole].at, to=each.start,
                bit=each.start, final=each.finish, row=each.row, holes=each.states,
            )
            for each in drill_steps(stage.design)
            if each.hole != done
        ]  # fmt: skip
    if steps[0].kind != "done":
        steps.append(Step("done", "Blow every note of the scale once more."))
    return Plan(tuple(steps), _accounts(stage, steps[0]), tuple(stage.notes))


def _now(stage: Stage) -> Step:
    """The one step."""
    if stage.design.instrument.mouth != "open":
        step = first_cut(stage)
        if step is not None:
            return step
    hole = hole_in_hand(stage.design)
    if hole is not None:
        step = in_hand(stage, hole)
        if step is not None:
            return step
    if stage.left:
        return drill(stage, next_hole(stage.design, list(stage.left), set(stage.there)))
    return touch_up(stage)


def _unfinished(stage: Stage) -> bool:
    """Whether the tube or the hole in hand has to be seen to before another hole is begun."""
    if stage.design.instrument.mouth != "open" and first_cut(stage) is not None:
        return True
    hole = hole_in_hand(stage.design)
    return hole is not None and in_hand(stage, hole) is not None


def _accounts(stage: Stage, now: Step) -> tuple[Account, ...]:
    """How every hole stands, foot to mouth; the one in hand is to end as wide as the step ``now`` says."""
    found = []
    order = sorted(range(len(stage.design.holes)), key=lambda i: -stage.design.holes[i].at)
    rows = {each.hole: each.row for each in drill_steps(stage.design)} if stage.left else {}
    hand = hole_in_hand(stage.design) if stage.left else None
    for hole in order:
        own = stage.design.holes[hole]
        if hole not in stage.there:
            final = now.final if hole == now.hole and now.final else own.diameter
            found.append(Account(hole, "planned", None, final, rows.get(hole), None, None))
            continue
        heard = stage.listened(hole)
        width = hole_then(stage.design, hole, stage.place).diameter
        opening = stage.opening(hole)
        doubt = None if opening is None else stage.doubt(opening.row.holes, opening.row.register)
        unsure = doubt is not None and not doubt.believed
        if opening is None or unsure or not stage.ever_read(hole, opening.row):
            unread: Standing = "begun" if hole == hand else "drilled"
            final = max(now.final if hole == now.hole and now.final else own.diameter, width)
            found.append(Account(hole, unread, width, final, heard.row, None, None))
            continue
        off, sure = opening.line.at(width)
        final = max(width, opening.line.reaching(stage.aim)) if off < stage.aim else width
        least = (NEAR if stage.left else ENOUGH) if hole == hand else 1.0
        state: Standing = "in tune" if off > -least * stage.tolerance else "begun"
        state = "sharp" if off > stage.tolerance else state
        found.append(Account(hole, state, width, final, heard.row, off, sure))
    return tuple(found)
