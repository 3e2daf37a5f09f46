"""The shop sheet: a page for the bench wall, or two, with everything one needs to make the flute.

Apart from its parts: here they are put together and handed to the press. Every number comes from the design,
its prediction and the steps of drilling; nothing is computed here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from math import inf, isfinite
from typing import Any

from scaledesign.model.document import Design, Units
from scaledesign.model.drill_step import DrillStep
from scaledesign.model.pitch import parse_note
from scaledesign.model.units import format_altitude, format_cents, format_pressure, format_temperature
from scaledesign.model.widths import all_drilled
from scaledesign.paper.cautions import cautions
from scaledesign.paper.choices import PAPERS, PaperChoices
from scaledesign.paper.hole_list import UNIT_WORDS
from scaledesign.paper.own_picture import own_picture
from scaledesign.paper.press import PPI, PageForm, pressed
from scaledesign.paper.report import kind_words, least_certain
from scaledesign.paper.sheet.drawing import drawing_of
from scaledesign.paper.sheet.marks import as_data
from scaledesign.paper.sheet.rows import (
    NO_PITCH,
    drill_table,
    facts_width,
    hole_legend,
    hole_table,
    mouth_words,
    note_table,
    signed,
    tube_facts,
    tuner_words,
    written,
)
from scaledesign.paper.text import LONG_NAME, held_together, on_one_line
from scaledesign.paper.unblown import first_steps
from scaledesign.solver.prediction import Prediction

SIDE = 12.0
"""mm: margins left and right."""
HEAD = 36.0
"""mm from the paper's upper edge to the drawing."""
PICTURE = "own.svg"
LARGER = 1.3
"""Factor of large print."""
MISSED = 4
"""Notes that are not met which are named; there may be more."""
_OF_A_ROW = re.compile(r"Rows? \d")
"""How a remark begins that says why a row cannot be met."""
LONGEST = 100
"""Characters of the maker's other words that are printed on one line."""


def sheet_pages(
    design: Design,
    prediction: Prediction,
    placed: Sequence[str],
    steps: Sequence[DrillStep],
    choices: PaperChoices,
    form: PageForm,
    *,
    ppi: float = PPI,
) -> tuple[bytes, ...]:
    """The sheet as one PDF, or as an SVG or PNG for each page.

    Parameters
    ----------
    design : Design
    prediction : Prediction
        of the same design
    placed : sequence of str
        how the solver placed each hole; empty: not said
    steps : the order of drilling (``workshop.drilling``); empty: everything is drilled
    choices : PaperChoices
    form : "pdf", "svg" or "png"
    ppi : pixels an inch, for "png" only

    Raises
    ------
    DesignError
        when measured from a cut end that the design does not state.
    EditError
        for names of notes that nobody knows, and for a picture that cannot be read.
    """
    data, pictures = sheet_data(design, prediction, placed, steps, choices)
    return pressed("sheet", data, form, pictures, ppi=ppi)


def sheet_data(
    design: Design,
    prediction: Prediction,
    placed: Sequence[str],
    steps: Sequence[DrillStep],
    choices: PaperChoices,
) -> tuple[dict[str, Any], dict[str, bytes]]:
    """What the sheet's source is given, and the pictures it shows; see ``sheet_pages``."""
    units, origin = choices.units_of(design.units), choices.origin
    larger = LARGER if choices.large else 1.0
    width = PAPERS[choices.paper][0] * 1000 - 2 * SIDE
    drawing = drawing_of(design, width, units=units, origin=origin, larger=larger)
    table = hole_table(design, prediction, placed, units, origin)
    said = hole_legend(design, units, {cell for row in table["rows"] for cell in row})
    blown = not prediction.calibrated and design.instrument.mouth != "open"
    notes = note_table(design, prediction, choices.names, blown=blown)
    name = on_one_line(design.name, LONG_NAME) or "Unnamed flute"
    pictures = {PICTURE: own_picture(choices.picture)} if choices.picture else {}
    facts = tube_facts(design, prediction, units)
    data = {
        "paper": choices.paper,
        "larger": larger,
        "fingers": len(design.fingered()),
        "abreast": 1 if choices.large else 2,
        "head": HEAD,
        "side": SIDE,
        "title": f"{name}: shop sheet",
        "name": name,
        "kind": on_one_line(kind_words(design).replace("#", "♯"), LONGEST),
        "maker": on_one_line(choices.maker, LONGEST),
        "picture": next(iter(pictures), ""),
        "foot": "Safety data sheets, local rules and licensed practice come before this sheet.",
        "drawing": {"width": width, "height": drawing.height, "marks": as_data(drawing.marks)},
        "holes": {**table, "legend": held_together(said)},
        "measure": f"in {UNIT_WORDS[units]}",
        "tube": facts,
        "tube-width": facts_width(facts),
        "drill": {
            **drill_table(design, prediction, steps, units),
            "legend": _drill_legend(blown),
            "first": [held_together(each) for each in first_steps(design, units)],
        },
        "notes": {**notes, "legend": _note_legend(design, notes["rows"], blown, choices.names)},
        "words": _words(design, prediction, units, choices.names),
    }
    return data, pictures


def _drill_legend(blown: bool) -> str:
    when = ", once the bare tube was blown" if blown else ""
    return (
        "Begin with the bit, blow, read; open the hole until the tuner shows the aim. A dot: no hole there "
        f"yet. ±: one standard deviation, cents{when}."
    )


def _note_legend(design: Design, notes: Sequence[dict[str, Any]], blown: bool, language: str) -> str:
    said = ["±: one standard deviation, cents: two notes in three come out within it."]
    if blown:
        said.append(
            "blown: what is left of it once you have blown the bare tube and typed what the tuner says."
        )
    if any(row.get("odd") for row in notes):
        said.append(
            f"Grey and slanted: not expected within {design.tuning.tolerance:g} cents; off says how far, "
            "sharp +, flat −."
        )
    if words := tuner_words(design, language):
        said.append(words)
    return " ".join(said)


def _words(design: Design, prediction: Prediction, units: Units, language: str) -> list[dict[str, Any]]:
    """What stands in sentences: trust and air, cautions, remarks."""
    known = [
        _item("Trust.", _trust(design, prediction, units)),
        _item("Out of tune.", _missed(design, prediction, language)),
        _item("Air.", _air(design)),
    ]
    known = [each for each in known if each["text"]]
    warned = [_item(each.hazard + ".", each.text) for each in cautions(design.instrument.material)]
    material = on_one_line(design.instrument.material, LONGEST)
    if material:
        warned.insert(0, _item("Material:", f"{material}."))
    return [
        {"title": "What the numbers are for", "items": known, "from": 0, "role": ""},
        {"title": "Before you start", "items": warned, "from": 0, "role": "across"},
        {
            "title": "Remarks",
            "items": [_item("", text) for text in weighty_first(prediction.notes)],
            "from": 1,
            "role": "if there is room",
        },
    ]


def weighty_first(notes: Iterable[str]) -> list[str]:
    """Remarks, those first that say why a row cannot be met: where room is short, the others are left out."""
    return sorted(dict.fromkeys(notes), key=lambda note: not _OF_A_ROW.match(note))


def _missed(design: Design, prediction: Prediction, language: str) -> str:
    """Notes of the scale that the flute as designed does not play, the worst first; "" where it plays all."""
    missed = [
        (row, cents)
        for row, cents in zip(design.rows, map(float, prediction.cents), strict=True)
        if row.counts and not abs(cents) <= design.tuning.tolerance
    ]
    if not missed:
        return ""
    missed.sort(key=lambda each: -abs(each[1]) if isfinite(each[1]) else -inf)
    rows = [
        f"{written(row, language, parse_note(design.tuning.tonic))} "
        f"({signed(format_cents(cents)) if isfinite(cents) else NO_PITCH})"
        for row, cents in missed
    ]
    named = ", ".join(rows[:MISSED]) + (f" and {len(rows) - MISSED} more" if len(rows) > MISSED else "")
    if all_drilled(design):
        left = "opened or filled" if design.tube.locked else "opened, filled or taken off the foot"
        return (
            f"As it is these notes are not met: {named}. What can still be {left} is "
            "told step by step at the bench (Shift+F4 or bench)."
        )
    return f"As designed these notes are not met: {named}. Solve again, or mend their rows, before you drill."


def _item(lead: str, text: str) -> dict[str, str]:
    return {"lead": lead, "text": held_together(text)}


def _trust(design: Design, prediction: Prediction, units: Units) -> str:
    doubts = least_certain(design, prediction)
    if doubts is None:
        return ""
    now, after = doubts
    if prediction.calibrated:
        out = design.learned.left_out
        but = f" Left out, since the others contradict it: {out}." if out else ""
        return f"± {now:.0f} cents, going by the readings that the file holds.{but}"
    if design.instrument.mouth == "open":
        return f"± {now:.0f} cents: an ideal open end, which nobody can blow."
    return (
        f"± {now:.0f} cents until you blow the bare tube, about {after:.0f} after that. "
        f"{mouth_words(design, units)}"
    )


def _air(design: Design) -> str:
    air = design.air
    unit = "°F" if design.units == "in" else "°C"
    room = f"A room of {format_temperature(air.temperature, unit='°C')}"
    if unit == "°F":
        room += f" ({format_temperature(air.temperature, unit='°F')})"
    where = (
        f"at {format_pressure(air.pressure)}"
        if air.pressure is not None
        else f"{format_altitude(air.altitude, unit='ft' if design.units == 'in' else 'm')} above the sea"
        if air.altitude
        else "at sea level"
    )
    breath = {0.0: "the air in the flute still and as warm as the room", 1.0: "the flute played warm"}.get(
        air.breath, f"the flute {air.breath:.0%} of the way to played warm"
    )
    reference = f"A4 = {design.tuning.reference:g} Hz".replace(" ", "\u00a0")
    return f"{room}, {air.humidity:.0f} % humid, {where}, {breath}. {reference}."
