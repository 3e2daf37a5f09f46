"""What the flute will play, note by note, and how far to trust it: the text of solve and predict.

Apart from the hole list, which goes to the bench, and from the chart, which goes to the player. Words
and rounding only; every number comes from a prediction.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite

from scaledesign.model.document import Design, Units
from scaledesign.model.fingering import format_fingering
from scaledesign.model.saying import ROLE_WORDS
from scaledesign.model.spelling import tuner_shows
from scaledesign.model.units import HAND_STEP, LENGTH_UNITS, format_cents, format_length
from scaledesign.model.widths import length_unknown
from scaledesign.paper.text import bullets, on_one_line, paragraph, table
from scaledesign.paper.unblown import told_length
from scaledesign.solver.prediction import Prediction
from scaledesign.solver.problem import voicing_of


def title(design: Design) -> str:
    """First line: the flute's name and what it is."""
    return paragraph(on_one_line(f"{design.name or 'Unnamed flute'}: {kind_words(design)}"))


def kind_words(design: Design) -> str:
    """What a flute is: ``"duct flute, six-hole pentatonic, A4 pentatonic minor"``."""
    what = [f"{design.instrument.mouth} flute" if design.instrument.mouth != "open" else "open tube"]
    what += [design.instrument.system] if design.instrument.system else []
    return ", ".join((*what, scale_words(design)))


def scale_words(design: Design) -> str:
    """Key and scale: ``"A4 pentatonic minor"``."""
    scale = design.tuning.scale or ("own scale" if design.tuning.degrees else "")
    return f"{design.tuning.tonic} {scale}".strip()


def least_certain(design: Design, prediction: Prediction) -> tuple[float, float] | None:
    """± cents of the least certain note that counts, now and once blown bare; None: none sounds."""
    sounding = [i for i in range(len(design.rows)) if isfinite(prediction.uncertainty[i])]
    rows = [i for i in sounding if design.rows[i].counts] or sounding
    if not rows:
        return None
    return (
        max(float(prediction.uncertainty[i]) for i in rows),
        max(float(prediction.rest[i]) for i in rows),
    )


def trust(design: Design, prediction: Prediction, file: str, units: Units, first: str = "") -> str:
    """How far to trust it, and what to do about it: the ± before and after one note is blown.

    The ± is that of the least certain note that counts; nothing is said where none can sound.
    ``file`` is the name to type into the command that takes the reading, ``first`` the command that makes
    that file where there is none yet.
    """
    doubts = least_certain(design, prediction)
    if doubts is None:
        return ""
    whole, rest = doubts
    if prediction.calibrated:
        out = design.learned.left_out
        but = f" Left out, since the others contradict it: {out}." if out else ""
        return paragraph(f"± {whole:.0f} cents, going by the readings that this file holds.{but}")
    if design.instrument.mouth == "open":
        return paragraph(f"± {whole:.0f} cents: an ideal open end, which nobody can blow.")
    mouth = voicing_of(design)
    length = about = ""
    if length_unknown(design):
        length = f" --length {_short(told_length(design, units), design.units)}"
        about = "--length is what the tube measures, edge to foot, as you blow it."
    elif not design.tube.locked:
        planned = format_length(design.tube.length, units)
        about = f"If the tube is not yet cut to {planned}, edge to foot, add --length and what it measures."
    return "\n".join(
        (
            f"± {whole:.0f} cents until you blow the bare tube. Type what the tuner shows, such as:",
            *((f"    {first}",) if first else ()),
            f'    scaledesign calibrate {file} --bare "{design.tuning.tonic} -4"{length} --in-place',
            paragraph(f"After that the ± is about {rest:.0f} cents; drill nothing to size before. {about}"),
            paragraph(
                f"Until then the mouth is taken to add {format_length(mouth.added_length, units)} of tube, "
                f"± {format_length(mouth.uncertainty, units)}: {mouth.basis}."
            ),
        )
    )


def _short(metres: float, units: Units) -> str:
    """A length as a command takes it, in the units of the file: one word, for a short line."""
    return f"{metres / float(LENGTH_UNITS[units]):.1f}"


def note_table(design: Design, prediction: Prediction) -> str:
    """One line a row: note, fingering, what a tuner should and will show, how far off, ±.

    The column in Hz gives way to the maker's own readings once there are any. Until the tube has been blown
    a second ± says what that leaves of the first.
    """
    if not design.rows:
        return ""
    blown = prediction.calibrated
    fingers = [hole.finger for hole in design.holes if hole.finger != "none"]
    read = any(row.measured for row in design.rows)
    rows = []
    for i, row in enumerate(design.rows):
        frequency, cents = float(prediction.frequency[i]), float(prediction.cents[i])
        rows.append(
            (
                str(i + 1),
                row.note,
                format_fingering(row.holes, fingers),
                "" if row.register == 1 else str(row.register),
                tuner_shows(design, float(prediction.target[i])),
                tuner_shows(design, frequency),
                row.measured if read else f"{frequency:.1f}",
                format_cents(cents),
                _spread(prediction.uncertainty[i]),
                "" if blown else _spread(prediction.rest[i]),
                off_words(cents, design.tuning.tolerance) if row.role == "scale" else ROLE_WORDS[row.role],
            )
        )
    shown = "you read" if read else "Hz"
    header = ("", "note", "fingering", "reg", "want", "plays", shown, "off", "±", "blown", "")
    told = "±: in cents, two notes in three come out within it."
    if not blown:
        told += " blown: what is left of it once you have blown the bare tube and typed what the tuner says."
    return "\n\n".join((table(header, rows, "rllrrrrrrrl"), paragraph(told)))


def _spread(cents: float) -> str:
    return format_cents(float(cents)).lstrip("+")


def touchiness(design: Design, prediction: Prediction, units: Units) -> str:
    """What a hand's step too much of the tube, the wall or the mouth does to the touchiest scale note.

    The holes say so themselves, in the hole list.
    """
    rows = [i for i, row in enumerate(design.rows) if row.counts]
    if not rows:
        return ""
    s = prediction.sensitivity
    parts = []
    for name, cents in (
        ("length", s.length), ("bore", s.bore), ("wall", s.wall), ("what the mouth adds", s.added_length),
    ):  # fmt: skip
        most = max((float(cents[row]) * HAND_STEP[units] for row in rows), key=abs)
        if most:
            parts.append(f"{name} {abs(most):.1f} {'sharp' if most > 0 else 'flat'}")
    step = format_length(HAND_STEP[units], units)
    return paragraph(f"Cents by which {step} more moves the touchiest note of the scale: {', '.join(parts)}.")


def off_words(cents: float, tolerance: float) -> str:
    """'sharp' or 'flat' for a note that is further off than the maker's tolerance, else ''."""
    if abs(cents) <= tolerance:
        return ""
    return "sharp" if cents > 0 else "flat"


def missed(design: Design, prediction: Prediction) -> bool:
    """Whether a row that counts is further off than the maker's tolerance."""
    return any(
        row.counts and abs(float(cents)) > design.tuning.tolerance
        for row, cents in zip(design.rows, prediction.cents, strict=True)
    )


def remarks(notes: Iterable[str]) -> str:
    """What binds, what is not modelled, what to do: one bullet each."""
    return bullets(dict.fromkeys(notes))


def blocks(*texts: str) -> str:
    """Join what is not empty with a blank line between."""
    return "\n\n".join(text for text in texts if text)
