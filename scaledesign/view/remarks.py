"""What a field of the form does, said beside it at once: the live effect of tube, voicing, air and shop.

Sentences only; each number comes from the layer that owns it.
"""

from __future__ import annotations

from collections.abc import Callable

from scaledesign.errors import ScaledesignError
from scaledesign.model.bits import bit_set
from scaledesign.model.hands import hand
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.model.units import format_length, format_small
from scaledesign.paper.layout import mouth_side
from scaledesign.solver import problem
from scaledesign.view.columns import Sheet
from scaledesign.view.field_words import FieldPath
from scaledesign.view.lines import Tone
from scaledesign.workshop import advice, ask


def doubt_of_scale(sheet: Sheet) -> float:
    """± of the least certain row that the layout is made for, cents; NaN where nothing is predicted."""
    prediction = sheet.answer.prediction
    rows = sheet.design.rows
    if prediction is None or len(prediction.uncertainty) != len(rows):
        return float("nan")
    doubts = [float(prediction.uncertainty[i]) for i, row in enumerate(rows) if row.counts]
    known = [doubt for doubt in doubts if doubt == doubt]
    return max(known, default=float("nan"))


def plugin_remarks() -> tuple[str, ...]:
    """A sentence for each plug-in or file of the user's that failed to load."""
    return tuple(
        f"The {'plug-in' if status.origin in ('bundled', 'installed', 'folder') else status.origin} "
        f"{status.name} was left out: {status.problem.rstrip('.')}. scaledesign plugins tells more."
        for status in ask.offers().plugins()
        if not status.ok and not status.off
    )


def remark(sheet: Sheet, path: FieldPath) -> tuple[str, Tone]:
    """What to say beside a field, and in which tone; nothing before anything was worked out."""
    say = None if sheet.unasked else _REMARKS.get(path)
    if say is None:
        return "", "faint"
    try:
        return say(sheet)
    except ScaledesignError:
        return "", "faint"


def _bore(sheet: Sheet) -> tuple[str, Tone]:
    ratio = advice.slenderness(sheet.design)
    words = advice.verdict(ratio)
    if words in advice.WEAKNESS:
        return f"{ratio:.0f} bores long: {words}, {advice.WEAKNESS[words]}", "reach"
    return f"{ratio:.0f} bores long: {words}", "faint"


def _length(sheet: Sheet) -> tuple[str, Tone]:
    design = sheet.design
    if design.tube.chamber is None or design.instrument.mouth != "duct":
        return "sounding edge to foot", "faint"
    return f"{format_length(design.tube.length + mouth_side(design), design.units)} over all", "faint"


def _blank(sheet: Sheet) -> tuple[str, Tone]:
    tube, units = sheet.design.tube, sheet.design.units
    return (
        ("", "faint")
        if tube.blank is None
        else (f"{format_length(tube.blank - tube.length, units)} to cut off", "faint")
    )


def _added(sheet: Sheet) -> tuple[str, Tone]:
    voicing = problem.voicing_of(sheet.design)
    units = sheet.design.units
    sign = sheet.signs.plus_minus
    known = "blown" if sheet.design.voicing.calibrated else voicing.basis
    size = format_length(voicing.added_length, units)
    return f"{size} {sign} {format_length(voicing.uncertainty, units)}: {known}", "faint"


def _cavity(sheet: Sheet) -> tuple[str, Tone]:
    design = sheet.design
    if design.instrument.mouth != "transverse" or design.voicing.cavity:
        return "", "faint"
    usual, units = problem.voicing_of(design), design.units
    size, doubt = (format_length(value, units) for value in (usual.cavity, usual.cavity_uncertainty))
    return f"usual: {size} {sheet.signs.plus_minus} {doubt}", "faint"


def _drift(sheet: Sheet) -> tuple[str, Tone]:
    design = sheet.design
    if design.voicing.calibrated or design.instrument.mouth == "open":
        return "", "faint"
    doubt = format_small(problem.voicing_of(design).drift_uncertainty, design.units)
    return f"{sheet.signs.plus_minus} {doubt} until overblown", "faint"


def _sure(sheet: Sheet) -> tuple[str, Tone]:
    doubt = doubt_of_scale(sheet)
    if doubt != doubt:
        return "", "faint"
    text = f"the scale is known to {sheet.signs.plus_minus} {doubt:.0f} cents"
    if sheet.design.voicing.calibrated or sheet.design.instrument.mouth == "open":
        return text, "true"
    return f"{text}: blow the bare tube", "strong"


def _temperature(sheet: Sheet) -> tuple[str, Tone]:
    return f"sound runs {float(problem.air_of(sheet.design).c):.1f} m/s in the bore", "faint"


def _tonic(sheet: Sheet) -> tuple[str, Tone]:
    tuning = sheet.design.tuning
    return f"{note_frequency(parse_note(tuning.tonic), tuning.reference):.1f} Hz", "faint"


def _scale(sheet: Sheet) -> tuple[str, Tone]:
    tuning = sheet.design.tuning
    if tuning.degrees:
        return "your own degrees, below, are used", "faint"
    return ask.scale_of(sheet.design).words, "faint"


def _degrees(sheet: Sheet) -> tuple[str, Tone]:
    cents = ask.scale_of(sheet.design).cents
    return "cents " + " ".join(f"{value:.0f}" for value in cents), "faint"


def _bits(sheet: Sheet) -> tuple[str, Tone]:
    shop = sheet.design.shop
    usable = [
        bit for bit in bit_set(shop.bits).diameters if shop.smallest - 1e-9 <= bit <= shop.largest + 1e-9
    ]
    return f"{len(usable)} of them are neither too small nor too large", "faint" if usable else "reach"


def _hand(sheet: Sheet) -> tuple[str, Tone]:
    own, units = hand(sheet.design.shop.hand), sheet.design.units
    spread = ", ".join(format_length(value, units, unit=False) for value in own.spread)
    return f"reaches {spread} {units} from finger to finger", "faint"


def _doubt(name: str, unit: str) -> Callable[[Sheet], tuple[str, Tone]]:
    def say(sheet: Sheet) -> tuple[str, Tone]:
        if getattr(sheet.design.uncertainty, name) is not None:
            return "", "faint"
        value = float(getattr(problem.doubts_of(sheet.design), name))
        if unit == "length":
            return f"usual: {format_small(value, sheet.design.units)}", "faint"
        return f"usual: {value:g} {unit}", "faint"

    return say


_REMARKS: dict[FieldPath, Callable[[Sheet], tuple[str, Tone]]] = {
    ("tube", "bore"): _bore,
    ("tube", "length"): _length,
    ("tube", "blank"): _blank,
    ("voicing", "added_length"): _added,
    ("voicing", "uncertainty"): _sure,
    ("voicing", "cavity"): _cavity,
    ("voicing", "drift"): _drift,
    ("air", "temperature"): _temperature,
    ("tuning", "tonic"): _tonic,
    ("tuning", "scale"): _scale,
    ("tuning", "degrees"): _degrees,
    ("shop", "bits"): _bits,
    ("shop", "hand"): _hand,
    **{
        ("uncertainty", name): _doubt(name, "length") for name in ("bore", "wall", "at", "diameter", "length")
    },
    ("uncertainty", "temperature"): _doubt("temperature", "K"),
    ("uncertainty", "tuner"): _doubt("tuner", "cents"),
    ("uncertainty", "model"): _doubt("model", "cents"),
}
