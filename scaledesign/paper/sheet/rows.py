"""The tables of the shop sheet: holes, tube, order of drilling, notes to expect; words only, no layout.

Apart from the page (``page.py``) so that what stands in a cell can be tested as text. Cells are rounded to
what a hand can do and a tuner shows; an empty cell says that nobody knows. Fingerings are letters as the
sheet draws them: X closed, O open, H partly open, - a hole that is not there yet, a blank between the hands.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from math import isfinite
from typing import Any

from scaledesign.errors import NoPitchError
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Hole, HoleState, LogEntry, Row, Units
from scaledesign.model.drill_step import DrillStep
from scaledesign.model.pitch import AUDIBLE, Note, parse_note, parse_target
from scaledesign.model.spelling import names_of, tuner_shows
from scaledesign.model.units import format_cents, format_length
from scaledesign.model.widths import foot_is_cut, length_there
from scaledesign.paper.hole_list import PLACED_WORDS, finger_words, length, width_words
from scaledesign.paper.layout import (
    ZERO_WORDS,
    Origin,
    distance_from,
    has_cut_end,
    holes_from,
    mouth_side,
    origin_title,
    wood_beside,
)
from scaledesign.paper.note_names import note_name
from scaledesign.paper.sheet.marks import width_of
from scaledesign.paper.sheet.tolerances import (
    HAIR,
    LESS,
    MOST_PLACE,
    MOST_WIDTH,
    length_tolerance,
    place_tolerance,
    tolerance_words,
    width_tolerance,
)
from scaledesign.paper.unblown import spare_length
from scaledesign.solver.prediction import Prediction, bare_tube_of, expectation
from scaledesign.solver.problem import problem_of, voicing_of

LETTERS, TITLES = 8.6, 7.4
"""Points of the type in a table and over its columns; columns are as wide as what stands in them."""
LEAST, BOLD = 3.0, 1.1
"""mm of the narrowest column; how much wider bold type is."""
WELL = 12.0
"""mm of a box to write in."""
MINUS = "−"
_FLAT = re.compile(r"(?<=[A-Ga-g])b")
NO_PITCH = "no pitch"


def hole_table(
    design: Design, prediction: Prediction, placed: Sequence[str], units: Units, origin: Origin
) -> dict[str, Any]:
    """Columns (title, align, width in mm) and rows of the holes' dimensions, and what they mean."""
    bits = bit_set(design.shop.bits)
    other: Origin = "edge" if origin == "foot" else "foot"
    titles = [
        ("", "left"), ("finger", "left"), (_from(design, origin), "right"), ("", "left"),
        (_from(design, other), "right"), ("wood", "right"), ("width", "right"), ("", "left"),
        ("bit", "right"), ("", "left"),
    ]  # fmt: skip
    rows = []
    for i in holes_from(design, origin):
        hole = design.holes[i]
        wood = wood_beside(design, i)
        rows.append([
            str(i + 1), finger_words(hole).replace("none", "tuning"),
            length(distance_from(design, origin, hole.at), units),
            tolerance_words(place_tolerance(design, prediction, i), units),
            length(distance_from(design, other, hole.at), units),
            "" if wood is None else signed(length(wood, units)), width_words(hole, units),
            tolerance_words(width_tolerance(design, prediction, i), units),
            bit_words(bits.label(bits.nearest(hole.diameter), units), units),
            _placed(hole, placed[i] if placed else ""),
        ])  # fmt: skip
    used = [i for i in range(len(titles)) if i < 3 or any(row[i] for row in rows)]
    columns = [
        {
            "title": titles[i][0],
            "align": titles[i][1],
            "width": column_width(titles[i][0], [row[i] for row in rows], bold=i == 0),
            "loose": i > 0 and bool(titles[i][0]),
        }
        for i in used
    ]
    return {"columns": columns if rows else [], "rows": [[row[i] for i in used] for row in rows]}


def _from(design: Design, origin: Origin) -> str:
    return "from cut end" if origin == "cut-end" else origin_title(design, origin)


def column_width(title: str, cells: Sequence[str], *, bold: bool = False) -> float:
    """mm that a column takes."""
    wide = max((width_of(cell, LETTERS) for cell in cells), default=0.0)
    return max(LEAST, width_of(title, TITLES), wide * (BOLD if bold else 1.0))


def hole_legend(design: Design, units: Units, cells: Collection[str]) -> str:
    """What the columns of the hole table mean; of what may stand in them only what does."""
    place, width = (tolerance_words(most, units) for most in (MOST_PLACE, MOST_WIDTH))
    said = {
        "±": "±: a slip that alone shifts the touchiest note of the scale by "
        f"{design.tuning.tolerance:g} cents, at most {place} for the place, {width} for the width (common "
        "practice, no source).",
        HAIR: f"{HAIR}: under half of 1/64.",
        "rule": "rule: no note of the scale opens it.",
        "free": "free: the notes hardly say where.",
        "locked": "locked: as you set it.",
    }
    marked = {"±": ("±", LESS, HAIR)}
    there = [
        text
        for word, text in said.items()
        if any(each in cell for each in marked.get(word, (word,)) for cell in cells)
    ]
    return " ".join(("To the middle of each hole. wood: left to the nearest hole.", *there))


def tube_facts(design: Design, prediction: Prediction, units: Units) -> list[tuple[str, str]]:
    """What is to be measured of tube and mouth: name and value."""
    tube, voicing = design.tube, design.voicing
    slip = tolerance_words(length_tolerance(design, prediction), units)
    near = ZERO_WORDS[design.instrument.mouth][1]
    facts = [(f"{near} to foot", f"{length(tube.length, units)} {slip}".strip())]
    if has_cut_end(design) and mouth_side(design) > 0:
        facts.append((f"cut end to {near}", length(mouth_side(design), units)))
        facts.append(("whole tube", length(mouth_side(design) + tube.length, units)))
    cut = foot_is_cut(design)
    if (there := length_there(design)) is not None and not cut:
        called = "raw tube" if there == tube.blank else "tube now"
        facts.append((f"{called}, from {near}", length(there, units)))
    facts.append(("bore", _along(tube.bore, units)))
    facts.append(("wall", _along(tube.wall, units)))
    foot: str = tube.foot.kind
    if foot == "node" and tube.foot.diameter:
        foot = f"node, hole {length(tube.foot.diameter, units)}"
    facts.append(("foot", f"{foot}, cut" if cut else foot))
    facts += [("no hole", f"{length(a, units)} – {length(b, units)}") for a, b in tube.avoid[:3]]
    window, mouth = voicing.window, voicing.embouchure
    if design.instrument.mouth == "duct" and window:
        facts.append(("window, long × wide", _by(window.length, window.width, units)))
        if window.wall is not None:
            facts.append(("wall at window", length(window.wall, units)))
        if window.flue_length is not None:
            facts.append(("flue, length", length(window.flue_length, units)))
        if window.flue_height is not None:
            facts.append(("flue, height", length(window.flue_height, units)))
    elif design.instrument.mouth not in ("duct", "open") and mouth:
        name = "mouth hole" if design.instrument.mouth == "transverse" else design.instrument.mouth
        facts.append((f"{name}, long × wide", _by(mouth.length, mouth.width, units)))
    if voicing.cavity:
        facts.append(("to the stopper" if design.instrument.mouth == "transverse" else "cavity",
                      length(voicing.cavity, units)))  # fmt: skip
    return facts


def facts_width(facts: Sequence[tuple[str, str]]) -> float:
    """mm that names and values take in two pairs of columns."""
    half = (len(facts) + 1) // 2
    return (
        sum(
            max(width_of(name, TITLES) for name, _ in part)
            + max(width_of(value, LETTERS) for _, value in part)
            for part in (facts[:half], facts[half:])
        )
        + 6.0
    )


def _by(long: float, wide: float, units: Units) -> str:
    return f"{length(long, units)} × {length(wide, units)}"


def _along(stations: Sequence[Any], units: Units) -> str:
    values = [station.value for station in stations]
    if len(values) == 1:
        across = stations[0].across
        both = f" × {length(across, units)}" if across is not None else ""
        return f"{length(values[0], units)}{both}"
    return f"{length(values[0], units)} – {length(values[-1], units)}"


def drill_table(
    design: Design, prediction: Prediction, steps: Sequence[DrillStep], units: Units
) -> dict[str, Any]:
    """One row a step, and before the first hole one for the bare tube: hole, bits, fingers, pitches, ±.

    The bare tube has its length in place of fingers. ``reads`` are readings that there are already.
    """
    bits = bit_set(design.shop.bits)
    rows, reads = list[list[str]](), list[str]()
    if steps and not any(hole.drilled for hole in design.holes):
        rows += _bare(design, prediction, units)
        entry = bare_entry(design)
        reads += [_read(entry.measured) if entry else ""] * len(rows)
    later = {step.hole for step in steps}
    for step in steps:
        later.discard(step.hole)
        hole = design.holes[step.hole]
        finger = "" if hole.finger == "none" else f" {hole.finger}"
        rows.append([
            f"{step.hole + 1}{finger}",
            bit_words(bits.label(step.start, units), units),
            bit_words(bits.label(bits.nearest(hole.diameter), units), units),
            fingers(design, step.states, later),
            tuner(design, step.begun),
            tuner(design, step.finished),
            _spread_of(prediction, step.row),
        ])  # fmt: skip
    titles = ["hole", "begin", "finish", "blow", "at first", "aim", "±"]
    reads += [""] * (len(rows) - len(reads))
    return {**_table(titles, rows, "lrrlrrr", 3), "rows": rows, "reads": reads}


def bare_entry(design: Design) -> LogEntry | None:
    """The newest reading of the tube without holes; None where it was not blown."""
    blown = (each for each in reversed(design.log) if each.event == "measured" and not each.holes)
    return next(blown, None)


def bare_length(design: Design, units: Units) -> float:
    """m from the zero to the foot of the bare tube that is to be blown, or was."""
    entry = bare_entry(design)
    if entry is not None:
        return entry.length or design.tube.length
    return design.tube.length + spare_length(design, units)


def _table(titles: list[str], rows: Sequence[Sequence[str]], aligns: str, free: int) -> dict[str, Any]:
    """Titles, widths (mm) and sides of a table's columns; None for the one that takes what is left.

    The last column is a box to write in.
    """
    widths: list[float | None] = [
        None if i == free else column_width(title, [row[i] for row in rows], bold=i == 0)
        for i, title in enumerate(titles)
    ]
    sides = {"l": "left", "r": "right"}
    return {
        "titles": [*titles, "you read"],
        "widths": [*widths, WELL],
        "aligns": [*(sides[side] for side in aligns), "right"],
    }


def _bare(design: Design, prediction: Prediction, units: Units) -> list[list[str]]:
    """The tube before any hole is drilled: what it plays, with the ± that blowing it would take away."""
    if design.instrument.mouth == "open":
        return []
    long = bare_length(design, units)
    blown = replace(design, tube=replace(design.tube, length=long))
    problem = problem_of(blown, (1.0,) * len(design.rows))
    try:
        pitch, doubt = expectation(problem, bare_tube_of(problem))
    except NoPitchError:
        return []
    spread = "" if prediction.calibrated else f"{doubt:.0f}"
    said = f"{length(long, units)} long"
    return [["bare", "", "", said, "", tuner(design, pitch), spread]]


def note_table(design: Design, prediction: Prediction, language: str, *, blown: bool) -> dict[str, Any]:
    """One row a fingering, register by register; a row with "register" alone is a heading."""
    tonic = parse_note(design.tuning.tonic)
    rows: list[dict[str, Any]] = []
    for register in sorted({row.register for row in design.rows}):
        if register > 1:
            rows.append({"register": "blown harder" if register == 2 else "blown harder still"})
        for i, row in enumerate(design.rows):
            if row.register != register:
                continue
            frequency, cents = float(prediction.frequency[i]), float(prediction.cents[i])
            odd = _odd(design, cents)
            cells = [
                written(row, language, tonic),
                fingers(design, row.holes, ()),
                f"{frequency:.1f}" if isfinite(frequency) else "",
                tuner(design, frequency),
                signed(format_cents(cents)) if odd and isfinite(cents) else "",
                _whole(float(prediction.uncertainty[i])),
                *([_whole(float(prediction.rest[i]))] if blown else []),
            ]
            read = _read(row.measured)
            rows.append({"cells": cells, "odd": odd, "counts": row.counts, "read": read})
    titles = ["note", "fingers", "Hz", "tuner", "off", "±", *(["blown"] if blown else [])]
    cells = [row["cells"] for row in rows if "cells" in row]
    return {**_table(titles, cells, "llrrrrr"[: len(titles)], 1), "rows": rows}


def _read(measured: str) -> str:
    return signed(_FLAT.sub("♭", measured.replace("#", "♯")))


def _odd(design: Design, cents: float) -> bool:
    """Whether nobody expects the row to be in tune."""
    return not isfinite(cents) or abs(cents) > design.tuning.tolerance


def written(row: Row, language: str, tonic: Note) -> str:
    """A row's note as the maker calls it, with what the row asks beside it in cents."""
    wanted = parse_target(row.note)
    name = note_name(wanted, language, tonic, octave=True) if isinstance(wanted, Note) else row.note
    return f"{name} {signed(f'{round(row.cents):+d}')}" if round(row.cents) else name


def fingers(design: Design, states: Sequence[HoleState], absent: Collection[int]) -> str:
    """A fingering's letters, a blank where one hand ends, a hyphen for a hole that is not there yet."""
    text, before = "", ""
    for place, hole in enumerate(design.fingered()):
        hand = design.holes[hole].finger[0]
        text += " " if before and hand != before else ""
        text += "-" if hole in absent else states[place]
        before = hand
    return text


def tuner(design: Design, frequency: float) -> str:
    """What a tuner shows, in whole cents: ``"B♭4 −12"``; that there is no pitch where there is none."""
    if not isfinite(frequency) or not AUDIBLE[0] <= frequency <= AUDIBLE[1]:
        return NO_PITCH
    return _read(tuner_shows(design, frequency))


def signed(text: str) -> str:
    """A number with the minus sign of print."""
    return text.replace("-", MINUS)


def bit_words(label: str, units: Units) -> str:
    """What is stamped on a bit; without its unit where that is the sheet's, millimetres with their tenths."""
    plain = label.removesuffix(f" {units}")
    return plain if "." in plain or "/" in plain or not plain.isdigit() or units == "in" else f"{plain}.0"


def mouth_words(design: Design, units: Units) -> str:
    """What the mouth is taken to add, with its ±."""
    mouth = voicing_of(design)
    return (
        f"The mouth is taken to add {format_length(mouth.added_length, units)} of tube, "
        f"± {format_length(mouth.uncertainty, units)}: {mouth.basis}."
    )


def _placed(hole: Hole, placed: str) -> str:
    word = "locked" if hole.locked else PLACED_WORDS.get(placed, placed)
    return ", ".join(each for each in (word, "drilled" if hole.drilled else "") if each)


def _spread_of(prediction: Prediction, row: int | None) -> str:
    if row is None:
        return ""
    return _whole(float((prediction.uncertainty if prediction.calibrated else prediction.rest)[row]))


def _whole(cents: float) -> str:
    return f"{cents:.0f}" if isfinite(cents) else ""


def tuner_words(design: Design, language: str) -> str:
    """That a tuner calls two notes otherwise, where the maker's own names could be taken for them."""
    natural, flat = (note_name(Note("B", alter, 4), language) for alter in (0.0, -1.0))
    if flat != "B":
        return ""
    return f"Tuner names are English: B is {natural}, {_read(names_of(design)[10])} is {flat}."
