"""What an edit brings with it besides what it was made for, and what it shifts: nothing happens in silence.

Apart from the edits, which say what they do, and from the desk, which makes them.
"""

from __future__ import annotations

from collections.abc import Sequence

from scaledesign.model.degrees import SetDegrees
from scaledesign.model.document import Design
from scaledesign.model.edits import Become, Edit, Retune
from scaledesign.model.pitch import parse_note
from scaledesign.model.saying import begun, listed
from scaledesign.model.scale import Tuned
from scaledesign.model.units import format_length
from scaledesign.view.holes import noticeable


def consequence(edit: Edit, before: Design, after: Design) -> str:
    """What else an edit did, or what it left; '' where there is nothing to say."""
    if isinstance(edit, Retune):
        rows = edit.left_behind(before)
        now = _meant_now(edit, before, rows)
        left = _left_behind([i + 1 for i in rows if i not in now])
        return " ".join(filter(None, (_unplayed(edit, after), _meaning([i + 1 for i in now]), left)))
    if isinstance(edit, Become):
        return taken_as_cut(before, after)
    return ""


def moved(before: Design, after: Design) -> str:
    """What holes and foot did, in a sentence; '' where one cannot say which hole is which."""
    if len(before.holes) != len(after.holes):
        return ""
    units = after.units
    shifts = [
        (abs(new.at - old.at), f"hole {i + 1}", new.at - old.at)
        for i, (old, new) in enumerate(zip(before.holes, after.holes, strict=True))
    ]
    length = after.tube.length - before.tube.length
    shifts.append((abs(length), "the foot", length))
    shifts = [shift for shift in shifts if noticeable(shift[0], units)]
    if not shifts:
        return "No hole moves."
    size, who, way = max(shifts)
    if who == "the foot":
        where = "longer" if way > 0 else "shorter"
        rest = ", and holes move with it" if len(shifts) > 1 else ""
        return f"The tube becomes {format_length(size, units)} {where}{rest}."
    rest = f", and {len(shifts) - 1} more" if len(shifts) > 1 else ""
    where = "toward the foot" if way > 0 else "toward the mouth"
    return f"{who.capitalize()} moves {format_length(size, units)} {where}{rest}."


def newly_cut(before: Design, after: Design) -> tuple[list[int], bool]:
    """Numbers of the holes that are marked as drilled, and whether the foot is as cut, only in ``after``."""
    if len(before.holes) != len(after.holes):
        return [], False
    pairs = enumerate(zip(before.holes, after.holes, strict=True), 1)
    holes = [i for i, (old, new) in pairs if new.drilled and not old.drilled]
    return holes, after.tube.locked and not before.tube.locked


def taken_as_cut(before: Design, after: Design) -> str:
    """What a reading proves to be drilled or cut, which no solve moves from then on."""
    holes, foot = newly_cut(before, after)
    what = [f"hole{'s' if len(holes) > 1 else ''} {listed(holes)}"] if holes else []
    what += ["the foot"] if foot else []
    if not what:
        return ""
    said = " and ".join(what)
    one = len(what) == 1 and len(holes) < 2
    verdict = "is taken as cut: no solve moves it" if one else "are taken as cut: no solve moves them"
    return f"{begun(said)} {verdict}."


def _unplayed(edit: Retune, after: Design) -> str:
    """How many notes of the new scale no row of the scale plays."""
    named = {row.note.rstrip("0123456789") for row in after.rows if row.role == "scale"}
    count = len(edit.new.cents)
    if not named or len(named) >= count:
        return ""
    name = "The scale" if edit.tuning.degrees else begun(edit.new.name)
    return f"{name} has {count} notes; its rows play {len(named)} of them."


def _meant_now(edit: Retune, before: Design, rows: Sequence[int]) -> tuple[int, ...]:
    """Rows between degrees whose note is a degree from now on: written as before, they sound otherwise."""
    if not isinstance(edit, SetDegrees):
        return ()
    tuned = Tuned(edit.old, parse_note(before.tuning.tonic), before.tuning.reference)
    places = {i: tuned.place(parse_note(before.rows[i].note)) for i in rows}
    return tuple(i for i in rows if not edit.old.degree_at(places[i]) and edit.new.degree_at(places[i]))


def _meaning(rows: Sequence[int]) -> str:
    if not rows:
        return ""
    who, are = ("Row", "is") if len(rows) == 1 else ("Rows", "are")
    return f"{who} {listed(rows)} {are} written as the new degree now."


def _left_behind(rows: Sequence[int]) -> str:
    if not rows:
        return ""
    who = "Row" if len(rows) == 1 else "Rows"
    has = "has" if len(rows) == 1 else "have"
    stays = "stays" if len(rows) == 1 else "stay"
    return f"{who} {listed(rows)} {has} no counterpart there and {stays} as before."
