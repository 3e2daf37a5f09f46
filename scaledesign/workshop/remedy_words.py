"""What a remedy does, in words: whether it fits then, the worst note, what it costs, what it breaks.

Apart from the remedies (``reach_remedies``), which are numbers; screen and command line say the same.
"""

from __future__ import annotations

from math import isfinite

from scaledesign.model.document import Design, Units
from scaledesign.model.saying import begun
from scaledesign.model.units import HAND_STEP, format_length
from scaledesign.workshop.reach import Bridge
from scaledesign.workshop.reach_remedies import TENTH, Remedied, Remedy
from scaledesign.workshop.rescue_levers import SHARE

LITTLE = 1.0
"""Cents below which nothing is said of a shift."""
TOUCHIER = 0.05
"""Cents a step of the ruler below which a hole is as touchy as before."""
NEAR = 0.005
"""m to spare below which it is told how soon two finger tips touch."""
DIFFERENCES = (
    f"What shifts between two layouts of one flute is surer than a note is: good to about "
    f"{100 * SHARE['move']:.0f} % of it, or to a cent (proposed here, no source)."
)
"""How far cents of a change are to be believed, for every list that tells of some."""
PAIRS = {
    "spread": "too far apart", "gap": "too far apart", "thumb": "too far apart", "fingers": "too close",
    "wood": "with too little wood between",
}  # fmt: skip
SINGLE = {
    "smallest": "narrower than your smallest", "largest": "wider than your largest",
    "share_of_bore": "too wide for the bore", "pad": "too wide for its finger",
    "foot": "too near the foot", "head": "too near the mouth", "avoid": "in a stretch to avoid",
}  # fmt: skip


def effect(remedied: Remedied, one: Remedy) -> str:
    """What it does, in a few sentences."""
    parts = [_met(one), worst_words(one.design, one)]
    parts += [said for said in (_costs(one, remedied.design.units), _breaks(one)) if said]
    return " ".join(parts)


def _met(one: Remedy) -> str:
    if not one.met:
        return "That is not enough by itself."
    who = " and ".join(one.fingers)
    if not who:
        return "Then all of it fits."
    return f"Then {who} fit{'s' if len(one.fingers) == 1 else ''}."


def worst_words(design: Design, one: Remedy) -> str:
    """``"Worst note: B4, 2 cents flat."``."""
    if one.worst_row is None:
        return "No note counts."
    note = design.rows[one.worst_row].note
    if not isfinite(one.worst):
        return f"{note} no longer speaks."
    if not round(abs(one.worst)):
        return "Every note stays in tune."
    return f"Worst note: {note}, {_side(one.worst)}."


def _side(value: float) -> str:
    """``"12 cents flat"``, or true."""
    return f"{_cents(value)} {'sharp' if value > 0 else 'flat'}" if round(abs(value)) else "true"


def _cents(value: float) -> str:
    """Whole cents, without the sign."""
    cents = round(abs(value))
    return f"{cents} {'cent' if cents == 1 else 'cents'}"


def _costs(one: Remedy, units: Units) -> str:
    said = []
    if one.touchy is not None:
        step = HAND_STEP[units]
        before, after = (abs(value) * step / TENTH for value in one.touchy)
        if abs(after - before) > TOUCHIER:
            slip = format_length(step, units)
            said.append(f"a slip of the file by {slip} is worth {after:.1f} cents, not {before:.1f}")
    if one.octave is not None:
        was, now = one.octave
        if not isfinite(now):
            said.append(f"{one.octave_note} loses its octave")
        elif abs(now - was) >= LITTLE:
            said.append(f"the octave of {one.octave_note} is then {_side(now)}, before {_side(was)}")
    if one.crossed >= LITTLE:
        said.append(f"cross-fingered notes shift by up to {_cents(one.crossed)}")
    text = "; ".join(said)
    if not text:
        return ""
    return f"{begun(text)}."


def _breaks(one: Remedy) -> str:
    said: list[str] = []
    for kind, holes in one.breaks:
        numbers = " and ".join(str(hole + 1) for hole in holes)
        if kind in PAIRS:
            said.append(f"holes {numbers} are then {PAIRS[kind]}")
        elif kind in SINGLE:
            said.append(f"hole {numbers} is then {SINGLE[kind]}")
    text = "; ".join(dict.fromkeys(said))
    return f"But {text}." if text else ""


def room_words(one: Bridge, units: Units) -> str:
    """``"too far by 3.2 mm"``, ``"4.0 mm to spare"``."""
    if one.verdict == "too far":
        return f"too far by {format_length(one.over, units)}"
    if one.verdict == "too close":
        return f"too close by {format_length(one.under, units)}"
    if one.least and one.over < one.under and one.under > -NEAR:
        return f"tips clear by {format_length(max(0.0, -one.under), units)}"
    return f"{format_length(-one.over, units)} to spare"


def drilled_words(remedied: Remedied) -> str:
    """Which holes cannot be moved any more; '' where all can."""
    if not remedied.too_late or not remedied.misfits:
        return ""
    numbers = ", ".join(str(hole + 1) for hole in remedied.too_late)
    many = len(remedied.too_late) > 1
    who, them = (f"Holes {numbers} are", "them") if many else (f"Hole {numbers} is", "it")
    return f"{who} drilled or locked: no remedy here moves {them}."
