"""Plain verdicts on a tube and a voicing: too slender, too stout, thin wall, how touchy the window is.

Rules of thumb, each said to be one; the numbers behind them come from the design. Nothing here solves.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil, floor, fsum
from typing import Literal

from scaledesign.model.document import Design, Units
from scaledesign.model.saying import listed
from scaledesign.model.units import HAND_STEP, format_length, format_small
from scaledesign.model.widths import length_now
from scaledesign.physics import mouth
from scaledesign.solver.limits import profile
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import voicing_of
from scaledesign.workshop.readings import for_good

SLENDER, STOUT = 40.0, 12.0
"""Bores per length beyond which the low note is weak, or under which there is no second register
(common practice, no source)."""
COMFORTABLE = (20.0, 35.0)
"""The same between which a flute is easy to blow (common practice, no source)."""
Verdict = Literal["too slender", "slender", "comfortable", "a little stout", "stout"]
WEAKNESS: Mapping[Verdict, str] = {
    "too slender": "its low notes will be weak",
    "stout": "its second register will be weak",
}
"""What to expect where a tube goes beyond the rules of thumb."""
HAIR = 1e-6
"""What printing a length in whole steps of the ruler may add to a ratio."""
THICK = 0.5
"""Wall over bore beyond which a plain hole is a deep chimney (common practice, no source)."""
THIN = 0.0015
"""m: a thinner wall of wood or cane is worth a word; 3.2 to 3.8 mm is usual on bores of 1/2 to 3/4 in
(common practice, no source)."""
SPLITS = ("bamboo", "cane", "reed", "wood")
HALF_MM = 5e-4


def slenderness(design: Design) -> float:
    """Length over mean bore diameter."""
    length, steps = design.tube.length, 32
    bores = [profile(design.tube.bore, length * step / steps) for step in range(steps + 1)]
    return length * len(bores) / fsum(bores)


def verdict(ratio: float) -> Verdict:
    """What a tube of so many bores of length is like."""
    if ratio > SLENDER * (1 + HAIR):
        return "too slender"
    if ratio < STOUT * (1 - HAIR):
        return "stout"
    low, high = COMFORTABLE
    if round(ratio) > high:
        return "slender"
    return "comfortable" if round(ratio) >= low else "a little stout"


def _least(metres: float, units: Units) -> str:
    """A least length for paper: rounded up, to err to the safe side."""
    return _rounded(metres, units, ceil)


def _most(metres: float, units: Units) -> str:
    """A greatest length for paper: rounded down."""
    return _rounded(metres, units, floor)


def _rounded(metres: float, units: Units, towards: Callable[[float], int]) -> str:
    step = HAND_STEP[units]
    return format_length(towards(round(metres / step, 6)) * step, units)


def length_remarks(design: Design) -> tuple[str, ...]:
    """What to do about a tube that is too slender or too stout, empty for one that is neither."""
    ratio, length = slenderness(design), design.tube.length
    if verdict(ratio) == "too slender":
        wide, most = _least(length / SLENDER, design.units), _most(length / ratio * SLENDER, design.units)
        note = (
            f"Too slender: {ratio:.0f} bores long, and beyond {SLENDER:.0f} the low notes are weak and break "
            f"upward. A deeper key wants a wider bore: at this length {wide} or more would serve; in this "
            f"bore, a tube up to {most}."
        )
        return (note,)
    if verdict(ratio) == "stout":
        note = (
            f"Stout: only {ratio:.0f} bores long; under {STOUT:.0f} the second register is weak or missing. "
            f"At this length a bore of {_most(length / STOUT, design.units)} or less would serve."
        )
        return (note,)
    return ()


def tube_remarks(design: Design) -> tuple[str, ...]:
    """Words about the proportions of the tube, empty when there is nothing to say."""
    mean = design.tube.length / slenderness(design)
    notes = [*length_remarks(design)]
    thick = max(s.value for s in design.tube.wall)
    if thick > THICK * mean:
        notes.append(
            f"A wall of {format_length(thick, design.units)} is thick for this bore: deep holes dull the "
            f"notes. Thin it under the fingers, or take a bore of {_least(thick / THICK, design.units)} or "
            "more."
        )
    thin = min(s.value for s in design.tube.wall)
    material = design.instrument.material
    if thin < THIN and any(word in material.lower() for word in SPLITS):
        notes.append(
            f"A wall of {format_length(thin, design.units)} is thin for {material} and splits easily: bind "
            f"it, or choose a piece of {_least(2 * THIN, design.units)} or more."
        )
    return tuple(notes)


def window_change(design: Design) -> float | None:
    """Change of the added length (m) when the window is half a millimetre longer; None if no window."""
    if design.instrument.mouth != "duct":
        return None
    radius = design.tube.bore[0].value / 2
    window = design.voicing.window
    if window is None:
        width, length, wall = mouth.usual_window(radius)
    else:
        width, length = window.width, window.length
        wall = design.tube.wall[0].value if window.wall is None else window.wall
    now = mouth.window_estimate(width, length, wall, radius).added_length
    longer = mouth.window_estimate(width, length + HALF_MM, wall, radius).added_length
    return voicing_of(design).added_length * (longer / now - 1)


def voicing_remarks(design: Design, prediction: Prediction) -> tuple[str, ...]:
    """How far every note moves with the window, in words."""
    change = window_change(design)
    if change is None or not design.rows:
        return ()
    cents = prediction.sensitivity.added_length * change
    low, high = f"{round(cents.min()) + 0:d}", f"{round(cents.max()) + 0:d}"
    half = format_small(HALF_MM, design.units)
    rise = f"{low} cents" if low == high else f"{low} to {high} cents"
    to_do = ": finish the window before you drill" if any(not hole.drilled for hole in design.holes) else ""
    return (f"A window {half} longer raises every note, by {rise}{to_do}.",)


def stopper_remarks(design: Design) -> tuple[str, ...]:
    """Where a transverse flute's stopper usually stands, when the file does not say where it does."""
    if design.instrument.mouth != "transverse" or design.voicing.cavity:
        return ()
    usual = format_length(voicing_of(design).cavity, design.units)
    note = (
        "Nothing is said of the stopper, so none is reckoned with and overblown notes come out too sharp on "
        f"paper. It usually stands {usual} behind the middle of the mouth hole, a third of what the mouth "
        "adds: measure it and write it as cavity under [voicing]."
    )
    return (note,)


def unmarked_remarks(design: Design) -> tuple[str, ...]:
    """Which rows were read of holes, or of a tube, that a layout may still move, since nobody marked them."""
    fingered = design.fingered()
    read = {
        i + 1: [hole for hole, state in zip(fingered, row.holes, strict=True) if state != "X"]
        for i, row in enumerate(design.rows)
        if row.measured and set(row.holes) - {"X"}
    }
    holes = [row for row, opened in read.items() if not all(for_good(design, hole) for hole in opened)]
    at_work = not all(for_good(design, hole) for hole in fingered)
    cut = at_work or design.tube.locked or length_now(design) == design.tube.length
    unknown = holes if cut else list(read)
    if not unknown or not design.voicing.calibrated:
        return ()
    rows, its = f"Rows {listed(unknown)} were", "their notes"
    if len(unknown) == 1:
        rows, its = f"Row {unknown[0]} was", "its note"
    what, mark = "holes that are not marked as drilled", "the holes that are there as drilled"
    if not holes:
        what, mark = "a tube that is not marked as cut", "the tube as cut once it is"
    said = (
        f"{rows} read of {what}: that tells of the flute as a whole, not of {its}, as a layout may still "
        f"change it. Mark {mark}."
    )
    return (said,)


def remarks(design: Design, prediction: Prediction) -> tuple[str, ...]:
    """Everything this module has to say of a design and its prediction."""
    return (
        *tube_remarks(design),
        *voicing_remarks(design, prediction),
        *stopper_remarks(design),
        *unmarked_remarks(design),
    )
