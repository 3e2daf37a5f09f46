"""Numbers of a measured flute that its notes contradict, as a list: go to one, or put the likely one in.

Apart from the finding (``workshop/slips.py``), which the ``pattern`` command shares.
"""

from __future__ import annotations

from collections.abc import Callable

from scaledesign.model.checks import hole_name
from scaledesign.model.document import Design, HoleState
from scaledesign.model.edits import Become
from scaledesign.model.units import format_length
from scaledesign.solver.problem import unread
from scaledesign.values import dataclass
from scaledesign.view.columns import PaneName, Sheet
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.found_lines import PICTURE
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.view.setup import fields
from scaledesign.workshop.calibration import learn
from scaledesign.workshop.readings import named, readings_of
from scaledesign.workshop.remarkable import remarkable
from scaledesign.workshop.slip_scores import Number, corrected
from scaledesign.workshop.slip_words import (
    begin,
    hints,
    length,
    power,
    sentence,
    subject,
    value,
    words,
    written,
)
from scaledesign.workshop.slips import Slip, Slips, Suspect, slips
from scaledesign.workshop.variants import worth_of

BELOW = 10
"""Lines beneath the list: the flute, and words."""
WHAT = 22
"""Letters of a number's name."""
COLUMN = {
    "at": "at",
    "places": "at",
    "diameter": "width",
    "diameters": "width",
    "exchanged": "width",
    "chimney": "at",
}
"""The column of the hole list where a number stands."""
KINDS = {
    "at": "place", "diameter": "width", "chimney": "wall", "exchanged": "widths", "places": "places",
    "diameters": "widths", "reading": "reading",
}  # fmt: skip
HELP = (
    (
        "Each number that you measured is tried as the wrong one, against every note that was read. Told "
        "are those that explain the notes far better than the numbers as they stand; where two do so equally "
        "well, both are. Of honest flutes about one in twenty is told a slip that is none."
    ),
    (
        "Enter goes to the number. P puts the likely one in, as one step that can be taken back; measuring "
        "again is better. Hold the holes before you correct a measured flute by hand, or they follow."
    ),
)


@dataclass(frozen=True)
class Wrong:
    """Where a number stands, and the step that puts the likely one in its place."""

    pane: PaneName
    row: int
    column: str
    said: str
    """What to say there."""
    edit: Become | None


def checked(sheet: Sheet) -> tuple[Listing, ...]:
    """The slips, or what to measure first; then what is remarkable about the flute.

    Raises
    ------
    EditError, NoPitchError
    """
    found = slips(sheet.design)
    return _slips(sheet, found), _remarkable(sheet, found)


def _slips(sheet: Sheet, found: Slips) -> Listing:
    told = [(slip, each) for slip in found.slips for each in slip.suspects]
    count = len(found.readings)
    if told:
        many = "One slip" if len(found.slips) == 1 else f"{len(found.slips)} slips"
        said = f"{many}, by {count} readings. Measure again what stands here."
    else:
        first = f" {begin(found)}" if found.first else ""
        said = " ".join(
            (f"No slip stands out: {count} readings agree with what was measured.{first}", *found.notes)
        )
    listed: list[tuple[Slip | None, Suspect]] = [*told] or [(None, each) for each in found.first]
    head = (
        Span(
            f"{''.ljust(WHAT)}{'written'.rjust(10)}{'likely'.rjust(10)}{'±'.rjust(7)}  the notes of", "label"
        ),
    )
    return Listing(
        "slips", said, head, tuple(_entry(sheet, found, slip, each) for slip, each in listed), BELOW,
        verb="go to it", second=("P", "put the likely one in"), help=HELP,
    )  # fmt: skip


def _entry(sheet: Sheet, found: Slips, slip: Slip | None, suspect: Suspect) -> Entry:
    design, number = found.design, suspect.number
    now, likely = written(design, number), value(design, suspect)
    if number.kind == "reading":
        reading = found.readings[number.reading or 0]
        was, would = reading.said, f"{suspect.amount:+.0f} cents"
        doubt = f"{suspect.doubt:.0f}" if suspect.doubt else ""
    else:
        was, would = (_shown(each, sheet) for each in (now, likely))
        doubt = length(suspect.doubt, design, unit=False) if suspect.doubt else ""
    rows = ", ".join(label.removeprefix("row ") for label in suspect.labels)
    line: Line = (
        Span(_what(found, number)[:WHAT].ljust(WHAT), "strong" if slip else "plain"),
        Span(was.rjust(10)),
        Span(would.rjust(10), "reach" if slip else "faint"),
        Span(doubt.rjust(7), "faint"),
        Span(f"  {rows}", "faint"),
    )
    return Entry(
        line, _about(sheet, found, slip, suspect), _wrong(found, suspect), refusal="It stands in the log."
    )


def _shown(metres: float | None, sheet: Sheet) -> str:
    return "" if metres is None else format_length(metres, sheet.design.units, "exact", unit=False)[:9]


def _what(found: Slips, number: Number) -> str:
    design = found.design
    if number.kind == "reading":
        return found.readings[number.reading or 0].label
    if number.kind == "exchanged":
        return f"holes {(number.hole or 0) + 1} and {(number.other or 0) + 1}, {KINDS[number.kind]}"
    who = hole_name(design, number.hole) if number.hole is not None else ""
    return (
        f"{who or 'all holes' if number.kind in KINDS else ''}, {KINDS.get(number.kind, number.kind)}".strip(
            ", "
        )
    )


def _about(
    sheet: Sheet, found: Slips, slip: Slip | None, suspect: Suspect
) -> Callable[[int, int], tuple[Line, ...]]:
    design = sheet.design
    best = slip is not None and slip.suspects[0] is suspect

    def lines(width: int, height: int) -> tuple[Line, ...]:
        if slip is not None and best:
            said = words(found, slip)
        elif slip is not None:
            said = f"{sentence(found, suspect)}." + "".join(
                f" Perhaps {hint}." for hint in hints(found, suspect)
            )
        else:
            about = subject(design, suspect.number)
            said = f"No slip. {about} comes first if you measure anything again. {power(found)}"
        states = _states(found, suspect)
        picture = flute_lines(design, sheet.signs, width, PICTURE, states=states)
        return (*picture, *wrapped(said, width))[:height]

    return lines


def _states(found: Slips, suspect: Suspect) -> tuple[HoleState, ...]:
    """The hole in hand open, all others closed, in the drawing."""
    number, design = suspect.number, found.design
    if number.reading is not None and (row := found.readings[number.reading].row) is not None:
        return design.rows[row].holes
    return tuple("O" if i in (number.hole, number.other) else "X" for i in design.fingered())


def _wrong(found: Slips, suspect: Suspect) -> Wrong | None:
    design, number = found.design, suspect.number
    said = f"{sentence(found, suspect)}."
    if number.kind == "reading":
        row = found.readings[number.reading or 0].row
        return None if row is None else Wrong("rows", row, "measured", said, None)
    edit = Become(f"put in the likely {KINDS.get(number.kind, number.kind)}", _with_likely(design, suspect))
    if number.kind in COLUMN:
        return Wrong("holes", number.hole or 0, COLUMN[number.kind], said, edit)
    paths = [field.path for field in fields(design)]
    return Wrong("setup", paths.index(("tube", number.kind)), "value", said, edit)


def _with_likely(design: Design, suspect: Suspect) -> Design:
    """The design with the likely number in it, and what its readings then teach."""
    now, likely = written(design, suspect.number), value(design, suspect)
    amount = suspect.amount if now is None or likely is None else likely - now
    changed = corrected(unread(design), suspect.number, amount)
    if not design.voicing.calibrated or not readings_of(changed):
        return corrected(design, suspect.number, amount)
    return learn(changed, changed).design


def _remarkable(sheet: Sheet, found: Slips) -> Listing:
    design = sheet.design
    taught = learn(design, design).design
    said = remarkable(taught, worth_of(taught))
    entries = tuple(Entry((Span(one),), _whole(one), refusal="That is only told.") for one in said)
    heading = "What is remarkable about this flute, as its readings have it: what to keep of it."
    read = (Span(f"by {', '.join(named(each) for each in found.readings[:3])} and the rest", "faint"),)
    return Listing("remarkable", heading, read if len(found.readings) > 3 else (), entries, 4)


def _whole(text: str) -> Callable[[int, int], tuple[Line, ...]]:
    return lambda width, height: wrapped(text, width)[:height]
