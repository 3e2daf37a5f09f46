"""Whether the notes come out: the one sentence that goes before whatever is handed on.

Apart because paper shows what a flute plays, however far off that is: whoever has it printed is told first,
on the command line and in the grid alike.
"""

from __future__ import annotations

from math import inf, isfinite

from scaledesign.model.document import Design
from scaledesign.model.saying import listed
from scaledesign.model.units import format_cents
from scaledesign.solver.prediction import Prediction

FAR = 50.0
"""Cents beyond which a row plays another note than it names, whatever it counts for."""
NAMED = 3
"""Rows that are named; there may be more."""
WORDS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")


def not_out(design: Design, prediction: Prediction) -> tuple[str, ...]:
    """Rows that do not come out, the worst first, as ``"row 3 (C5 +34)"``.

    One that counts and misses the maker's tolerance, one that plays another note than it names, and one that
    has no pitch.

    Parameters
    ----------
    design : Design
    prediction : Prediction
        of the same design; NaN cents where a row cannot sound
    """
    found: list[tuple[float, str]] = []
    for number, (row, off) in enumerate(zip(design.rows, map(float, prediction.cents), strict=True), 1):
        if not isfinite(off):
            found.append((inf, f"row {number} ({row.note}, no pitch)"))
        elif abs(off) > (design.tuning.tolerance if row.counts else FAR):
            found.append((abs(off), f"row {number} ({row.note} {format_cents(off)})"))
    return tuple(words for _, words in sorted(found, key=lambda each: -each[0]))


def warning(design: Design, prediction: Prediction, look: str) -> str:
    """What to tell before it is handed on; '' where every note comes out.

    Parameters
    ----------
    look : what to look at: ``"scaledesign predict flute.toml"``
    """
    rows = not_out(design, prediction)
    if not rows:
        return ""
    many = WORDS[len(rows)] if len(rows) < len(WORDS) else str(len(rows))
    what = f"{many} note{'s' if len(rows) > 1 else ''} of this flute do{'' if len(rows) > 1 else 'es'} not"
    named = (*rows[:NAMED], *([f"{len(rows) - NAMED} more"] if len(rows) > NAMED else []))
    return f"{what} come out: {listed(named)}. Look at {look} before you hand it on."
