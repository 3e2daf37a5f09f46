"""What a flute that nobody has blown yet asks of its maker: leave it long, blow it, print again.

Apart because template and shop sheet say the same, and both would else invite to saw and drill too early.
"""

from __future__ import annotations

from math import isfinite

from scaledesign.model.document import Design, Units
from scaledesign.model.units import LENGTH_UNITS, format_length
from scaledesign.model.widths import all_drilled, foot_is_cut
from scaledesign.solver.spare import spare_wanted


def unblown(design: Design) -> bool:
    """Whether the mouth is still a guess, and there is something left to spoil by it."""
    done = all_drilled(design) and foot_is_cut(design)
    return not (design.voicing.calibrated or design.instrument.mouth == "open" or done)


def spare_length(design: Design, units: Units) -> float:
    """m to leave the tube longer than designed until it was blown; 0 for a foot that is cut."""
    tube = design.tube
    if tube.locked or not unblown(design):
        return 0.0
    wanted = spare_wanted(design, units)
    return wanted if tube.blank is None else max(0.0, min(wanted, tube.blank - tube.length))


def told_length(design: Design, units: Units) -> float:
    """m from sounding edge to foot that the maker is told to leave the tube at, to blow it the first time."""
    return design.tube.length + spare_length(design, units)


def spare_words(metres: float, units: Units) -> str:
    """A round length: ``"20 mm"``, ``"1 1/4 in"``."""
    amount = round(metres / float(LENGTH_UNITS[units]), 1)
    return f"{amount:g} mm" if units == "mm" else format_length(metres, units)


def warning(design: Design, units: Units, doubt: float | None = None) -> str:
    """What stands at the head of a template; ``""`` once the flute was blown.

    Parameters
    ----------
    design : Design
    units : of the length
    doubt : cents, one standard deviation of the least certain note; None: not known
    """
    if not unblown(design):
        return ""
    off = f"± {doubt:.0f} cents" if doubt is not None and isfinite(doubt) else "far"
    spare = spare_length(design, units)
    leave = f"Cut the tube {spare_words(spare, units)} longer than this, blow" if spare else "Blow"
    return (
        f"Not blown yet: notes may be {off} off. {leave} it with no holes, type in the reading and the "
        "length, solve, print again. Drill nothing to size before."
    )


def first_steps(design: Design, units: Units) -> tuple[str, ...]:
    """What to do before anything is sawn or drilled to size, in order; empty once the flute was blown."""
    if not unblown(design):
        return ()
    from scaledesign.paper.layout import ZERO_WORDS  # predict, which says how long to leave it, does without

    spare = spare_length(design, units)
    long = format_length(told_length(design, units), units)
    near = ZERO_WORDS[design.instrument.mouth][1]
    cut = f"Cut the tube {spare_words(spare, units)} too long: {long} from {near} to foot." if spare else ""
    return tuple(
        step
        for step in (
            cut,
            "Blow it with no holes; type the reading and the length (F4 or calibrate).",
            "Solve, print again; saw and drill to size by the new sheet only.",
        )
        if step
    )
