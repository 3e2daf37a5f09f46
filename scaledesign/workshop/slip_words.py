"""What is said of a slip: which number, what the notes make of it, what may have happened, what to do.

Apart from the finding (``slips``). What may have happened is a hint and told as one: digits that changed
places, a hole measured to its edge, inches for millimetres, a cent's sign, a hole noted open that was closed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import isfinite

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.model.checks import hole_name
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering
from scaledesign.model.saying import begun
from scaledesign.model.units import INCH, LENGTH_UNITS, exact_length, format_length
from scaledesign.physics.arrays import Floats
from scaledesign.solver.belief import STATE
from scaledesign.solver.hearing import Reading, hear_each
from scaledesign.solver.problem import CENT, unread
from scaledesign.solver.resonance import Fingerings
from scaledesign.workshop.calibration import learn
from scaledesign.workshop.readings import named, readings_of
from scaledesign.workshop.slip_scores import Number, chimney
from scaledesign.workshop.slips import Slip, Slips, Suspect, place_of

SURE = 2.0
"""Standard deviations within which a hint fits."""
LONG = 7
"""Letters of a number beyond which nobody typed it."""
SHARP = 30.0
"""Cents from which a reading may be of another fingering, and within half of which one fits."""
WAYS = {
    "at": ("it lies {} nearer the foot than written", "it lies {} nearer the mouth than written"),
    "diameter": ("it is {} wider than written", "it is {} narrower than written"),
    "chimney": ("its wall is {} thicker than written", "its wall is {} thinner than written"),
    "places": (
        "all holes lie {} nearer the foot than written",
        "all holes lie {} nearer the mouth than written",
    ),
    "diameters": ("all are {} wider than written", "all are {} narrower than written"),
    "length": ("the tube is {} longer than written", "the tube is {} shorter than written"),
    "bore": ("the bore is {} wider than written", "the bore is {} narrower than written"),
    "wall": ("the wall is {} thicker than written", "the wall is {} thinner than written"),
}
"""What a number too small as written comes to, and one too large."""


def words(found: Slips, slip: Slip) -> str:
    """One slip in a paragraph: what the notes say, what may have happened, what to do."""
    places: dict[object, list[Suspect]] = {}
    for suspect in slip.suspects:
        places.setdefault(place_of(suspect.number), []).append(suspect)
    best, *rest = places.values()
    said = f"{_of_place(found, best)}; {_do(best)}."
    for each in best:
        if hint := "; ".join(hints(found, each)):
            said += f" Perhaps {hint}."
    if rest:
        said += f" Explained as well, or nearly: {'; or '.join(_of_place(found, each) for each in rest)}."
    return said


def _of_place(found: Slips, suspects: list[Suspect]) -> str:
    """What is said of one hole, or of one other number."""
    first, *more = suspects
    return sentence(found, first) + "".join(f", or that {claim(found.design, each)}" for each in more)


def _do(suspects: list[Suspect]) -> str:
    if suspects[0].number.kind == "reading":
        return "blow it again"
    return "measure it again" if len(suspects) == 1 else "measure both again"


def sentence(found: Slips, suspect: Suspect) -> str:
    """What the notes say of one number, without a full stop."""
    design, number = found.design, suspect.number
    if number.kind == "reading":
        reading = found.readings[number.reading or 0]
        way = "flat" if suspect.amount > 0 else "sharp"
        who = named(reading)
        return f"{begun(who)} was read {abs(suspect.amount):.0f} cents {way} of what all else says"
    who = _rows(suspect.labels)
    says = f"{who} say{'' if who.startswith('the notes') or ' and ' in who else 's'} {claim(design, suspect)}"
    about = subject(design, number)
    return f"{about}: {says}" if about else begun(says)


def subject(design: Design, number: Number) -> str:
    """Which number, as a sentence begins."""
    if number.kind == "exchanged":
        return f"Holes {(number.hole or 0) + 1} and {(number.other or 0) + 1}"
    if number.hole is not None:
        name = hole_name(design, number.hole)
        return begun(name)
    if number.station is not None:
        stations = getattr(design.tube, number.kind)
        return f"The {number.kind} at {format_length(stations[number.station].x, design.units)}"
    return "All holes" if number.kind in ("places", "diameters") else ""


def claim(design: Design, suspect: Suspect) -> str:
    """What is said of it: ``"it lies 3.1 mm ± 0.6 nearer the foot than written"``."""
    number = suspect.number
    if number.kind == "exchanged":
        return "their widths changed places"
    far = length(abs(suspect.amount), design)
    more, less = WAYS[number.kind]
    return (more if suspect.amount > 0 else less).format(
        f"{far} ± {length(suspect.doubt, design, unit=False)}"
    )


def length(metres: float, design: Design, *, unit: bool = True) -> str:
    """A small length as a hand measures it: tenths of mm, hundredths of an inch."""
    if design.units == "in":
        return f"{metres / float(INCH):.2f}{' in' if unit else ''}"
    return format_length(metres, "mm", unit=unit)


def value(design: Design, suspect: Suspect) -> float | None:
    """What the number would be (m), as finely as a hand measures; None where it is not one length."""
    number = suspect.number
    now = written(design, number)
    if now is None:
        return None
    grain = float(INCH) / 100 if design.units == "in" else 1e-4
    return float(round(round((now + suspect.amount) / grain) * grain, 9))


def written(design: Design, number: Number) -> float | None:
    """The number as it stands in the design, m; None where it is not one length."""
    if number.hole is not None and number.kind != "exchanged":
        hole = design.holes[number.hole]
        return {"at": hole.at, "diameter": hole.diameter}.get(number.kind, chimney(design, number.hole))
    if number.kind == "length":
        return design.tube.length
    if number.kind in ("bore", "wall"):
        return float(getattr(design.tube, number.kind)[number.station or 0].value)
    return None


def begin(found: Slips) -> str:
    """What to measure first, if anything, in a sentence."""
    names = [subject(found.design, each.number) for each in found.first]
    then = "".join(f", then {name[:1].lower()}{name[1:]}" for name in names[1:])
    return f"If you measure anything again, begin with {names[0][:1].lower()}{names[0][1:]}{then}."


def power(found: Slips) -> str:
    """How large a slip must be to be told, in a sentence; '' where nothing is known."""
    design = found.design
    heard = [far for far in found.unheard if isfinite(far)]
    if not heard:
        return ""
    deaf = [str(i + 1) for i, far in enumerate(found.unheard) if not isfinite(far)]
    least, most = (length(far, design) for far in (min(heard), max(heard)))
    said = f"As likely as not, a slip in a hole's place is told from {least} on"
    said += f"; at the deafest hole from {most}." if most != least else "."
    if deaf:
        holes = "hole" if len(deaf) == 1 else "holes"
        said += f" No note that was read tells of {holes} {', '.join(deaf)}."
    return said


def hints(found: Slips, suspect: Suspect) -> tuple[str, ...]:
    """What may have happened, in a few words each; none where nothing usual fits."""
    if suspect.number.kind == "reading":
        return tuple(_of_reading(found, suspect))
    return tuple(dict.fromkeys(_of_length(found.design, suspect)))[:2]


def _of_length(design: Design, suspect: Suspect) -> Iterator[str]:
    number, now = suspect.number, written(design, suspect.number)
    near = max(SURE * suspect.doubt, 1e-4)
    if number.kind in ("at", "places"):
        holes = design.holes if number.hole is None else (design.holes[number.hole],)
        width = float(np.mean([hole.diameter for hole in holes]))
        if width / 2 > near / 2 and abs(abs(suspect.amount) - width / 2) < near / 2:
            yield "measured to an edge instead of the middle"
    if now is None:
        return
    wanted = now + suspect.amount
    if number.kind == "at" and abs(design.tube.length - now - wanted) < near:
        yield "measured from the foot"
    half = "the radius for the diameter" if number.kind in ("diameter", "bore") else ""
    for times, what in (
        (25.4, "inches and millimetres mixed up"), (10.0, "the point is one place off"), (2.0, half),
    ):  # fmt: skip
        if what and any(abs(now * factor - wanted) < near for factor in (times, 1 / times)):
            yield what
    text = exact_length(now, design.units)
    if len(text) > LONG:
        return
    for i, j in combinations([k for k, sign in enumerate(text) if sign.isdigit()], 2):
        if text[i] != text[j]:
            other = text[:i] + text[j] + text[i + 1 : j] + text[i] + text[j + 1 :]
            metres = float(other) * float(LENGTH_UNITS[design.units])
            if abs(metres - wanted) < near and abs(metres - now) > 2 * suspect.doubt:
                yield f"{other} {design.units}, two digits exchanged"
                return


def _of_reading(found: Slips, suspect: Suspect) -> Iterator[str]:
    amount, reading = suspect.amount, found.readings[suspect.number.reading or 0]
    octaves = round(amount / 1200)
    near = max(SURE * suspect.doubt, SHARP / 2)
    if octaves and abs(amount - 1200 * octaves) < 150:
        yield "the octave: look which register it was"
        return
    cents = _cents(reading.said)
    if cents and abs(amount + 2 * cents) < near:
        yield f"the sign: {cents:+.0f} for {-cents:+.0f}"
    if abs(abs(amount) - 100) < near:
        yield "the note's name: a semitone off"
    yield from _fingered(found, suspect, reading)


def _cents(said: str) -> float:
    _, _, rest = said.strip().partition(" ")
    try:
        return float(rest.replace(" ", ""))
    except ValueError:
        return 0.0


def _fingered(found: Slips, suspect: Suspect, reading: Reading) -> Iterator[str]:
    """A fingering with one hole otherwise that sounds as was read."""
    if abs(suspect.amount) < SHARP or not reading.holes:
        return
    design = unread(found.design)
    share = reading.fingerings.share[:, 0]
    tried = np.tile(share[:, None], (1, len(share)))
    for i in range(len(share)):
        tried[i, i] = 0.0 if share[i] > 0 else 1.0
    kept = [i for i, hole in enumerate(reading.holes) if design.holes[hole].finger != "none"]
    try:
        state = _state(found, reading)
        one = Reading(
            reading.flutes, Fingerings(tried[:, kept], np.full(len(kept), reading.fingerings.register[0])),
            reading.holes, np.repeat(reading.doubt, len(kept)), 1.0,
        )  # fmt: skip
        heard = hear_each([one.altered(state)])[0].frequency[0]
    except NoPitchError:
        return
    off = CENT * np.log(reading.frequency / heard)
    best = int(np.abs(off).argmin())
    if abs(off[best]) < SHARP / 2 < abs(suspect.amount) / 2:
        states = tuple("XO"[int(part > 0)] for part in tried[:, kept[best]])
        fingers = [design.holes[hole].finger for hole in reading.holes]
        yield f"fingered {format_fingering(states, fingers)}, which would sound so"


def _state(found: Slips, without: Reading) -> Floats:
    """What all other readings teach, as a state (1, 5) beside the flute before any."""
    plain = unread(found.design)
    rows = tuple(replace(row, measured="") if i == without.row else row for i, row in enumerate(plain.rows))
    left = replace(plain, rows=rows)
    taught = learn(plain, left) if readings_of(left) else None
    if taught is None or not taught.learnt:
        return np.zeros((1, STATE))
    start = without.flutes
    values = [each.value for each in taught.learnt]
    values[0] -= float(start.added_length[0])
    values[1] -= float(start.drift[0])
    return np.array([values])


def _rows(labels: tuple[str, ...]) -> str:
    """``"the notes of rows 6, 7"``, ``"the bare tube and the note of row 2"``."""
    numbers = sorted({int(label[4:]) for label in labels if label.startswith("row ")})
    parts = [label for label in labels if not label.startswith("row ")]
    if numbers:
        rows = f"row{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"
        parts.append(f"the note{'s' if len(numbers) > 1 else ''} of {rows}")
    return " and ".join(parts) or "the notes"
