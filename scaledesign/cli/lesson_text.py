"""What readings taught, as text: the readings beside the model, what was learnt, what to blow next.

Apart from the command, which asks; every number comes from the calibration. 80 columns.
"""

from __future__ import annotations

from collections.abc import Sequence

from scaledesign.model.document import Design, Units
from scaledesign.model.spelling import tuner_shows
from scaledesign.model.units import format_cents, format_length, format_small
from scaledesign.paper.text import paragraph, table
from scaledesign.workshop.calibration import Learnt, Residual
from scaledesign.workshop.next_reading import NextReading, in_words

TOLD = 0.98
"""What was learnt is told where its ± is at most so much of what it was before."""
_NAMES = {
    "added_length": "the mouth adds",
    "drift": "toward high notes, at 1 kHz",
    "bore": "bore, beside what you measured",
    "wall": "wall, beside what you measured",
    "warmth": "air in the bore, warmer by",
}


def reading_table(residuals: Sequence[Residual], design: Design) -> str:
    """One line a reading: as read, as expected before any reading, how far off before and after."""
    rows = [
        (
            each.label,
            each.said,
            tuner_shows(design, each.expected),
            format_cents(each.before),
            format_cents(each.after),
            "contradicted" if each.odd else "",
        )
        for each in residuals
    ]
    heads = ("reading", "you read", "expected", "off before", "off now", "")
    return f"{table(heads, rows, 'lrrrrl')}\n\nexpected: of the measures alone, before any reading was taken."


def learnt_table(learnt: Sequence[Learnt], units: Units) -> str:
    """What was learnt of the flute itself, with one standard deviation now and before."""
    rows = []
    for each in learnt:
        if each.name != "added_length" and each.after > TOLD * each.before:
            continue
        value, now, before = (
            _amount(each.name, amount, units) for amount in (each.value, each.after, each.before)
        )
        sign = "+" if each.name != "added_length" and not value.startswith(("-", "0 ")) else ""
        rows.append((_NAMES[each.name], sign + value, f"± {now}", f"± {before}"))
    return table(("learnt", "", "now", "before"), rows, "lrrr") if rows else ""


def _amount(name: str, value: float, units: Units) -> str:
    if name == "warmth":
        return f"{round(value, 1) + 0.0:g} K"
    if name == "added_length":
        return format_length(value, units)
    return format_small(round(value, 6) + 0.0, units)


def blow_next(design: Design, coming: Sequence[NextReading]) -> str:
    """Which note to blow next and what that would do to the ±, in a line."""
    return paragraph(in_words(design, coming)) if coming else ""
