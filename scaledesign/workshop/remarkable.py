"""What is remarkable about a good flute, in a few sentences: what a maker would want to keep of it.

Apart from its worth (``variants``), which is numbers for columns.
"""

from __future__ import annotations

from math import isfinite
from statistics import median

from scaledesign.model.checks import hole_name
from scaledesign.model.document import Design
from scaledesign.model.pitch import cents_between, reading_frequency
from scaledesign.model.saying import begun
from scaledesign.model.units import format_length
from scaledesign.workshop import ask
from scaledesign.workshop.advice import verdict
from scaledesign.workshop.variants import Worth, worth_of

SHOWN = 4
"""Rows that are named at most."""


def remarkable(design: Design, worth: Worth | None = None) -> tuple[str, ...]:
    """Sentences about proportions, habits, octaves and reach, as the flute is and was read."""
    found = worth_of(design) if worth is None else worth
    units, bore = design.units, design.tube.bore[0].value
    long = design.tube.length / bore
    said = [f"It is {long:.0f} bores long: {verdict(long)}."]
    shares = [hole.diameter / bore for hole in design.holes]
    if shares:
        narrow, wide = (hole_name(design, shares.index(pick(shares))) for pick in (min, max))
        said.append(
            f"Its holes are {min(shares):.2f} ({narrow}) to {max(shares):.2f} ({wide}) of the bore wide."
        )
    said += habits(design)
    if found.of_octaves:
        worst = ""
        if isfinite(found.stretch) and abs(found.stretch) >= 1:
            way = "wide" if found.stretch > 0 else "narrow"
            worst = f"; the octave of {found.stretch_note} is {abs(found.stretch):.0f} cents {way}"
        said.append(f"{found.octaves} of {found.of_octaves} notes speak in the second octave{worst}.")
    if found.touchy_hole is not None:
        name = hole_name(design, found.touchy_hole)
        said.append(f"{begun(name)} is the touchiest: a tenth of a millimetre is {found.touchy:.1f} cents.")
    if isfinite(found.spare):
        far = format_length(abs(found.spare), units)
        said.append(f"The hand has {far} to spare." if found.spare >= 0 else f"The hand lacks {far}.")
    return tuple(said)


def habits(design: Design) -> tuple[str, ...]:
    """Which notes it was read to play beside what is wanted of them."""
    targets = ask.targets(design)
    off = {
        i: cents_between(targets[i], reading_frequency(row.measured, design.tuning.reference))
        for i, row in enumerate(design.rows)
        if row.measured and row.counts
    }
    common = float(median(off.values())) if off else 0.0
    off = {i: cents - common for i, cents in off.items()}
    far = sorted((i for i in off if abs(off[i]) > design.tuning.tolerance), key=lambda i: -abs(off[i]))
    if not off:
        return ()
    whole = ""
    if abs(common) > design.tuning.tolerance:
        whole = f"As read it is {abs(common):.0f} cents {'sharp' if common > 0 else 'flat'} as a whole. "
    if not far:
        within = f"{design.tuning.tolerance:g} cents"
        return (f"{whole}Every note of the scale was read within {within} of where it belongs.",)
    named = [
        f"{design.rows[i].note} {abs(off[i]):.0f} cents {'sharp' if off[i] > 0 else 'flat'}" for i in far
    ]
    more = f", and {len(far) - SHOWN} more" if len(far) > SHOWN else ""
    beside = "Beside that" if whole else "As read"
    return (f"{whole}{beside}: {', '.join(named[:SHOWN])}{more}.",)
