"""The hole list and the fingering chart as tables for spreadsheets and programs, and what is exported.

Apart from the lists for people (``hole_list.py``, ``chart_text.py``), which round to what a hand can do and
leave out what is usual: here every column always stands, with its unit in its name, and numbers are as exact
as a file needs, with a decimal point. How cells become text is known to ``separated.py``. No file is written
here.

No cell begins a formula: cells are numbers, words of the program's own, and notes and readings, whose
writing the document's checks have passed. So none has to be made harmless for a spreadsheet.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from math import isfinite
from typing import TYPE_CHECKING, Literal

from scaledesign.locations import no_device
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Units
from scaledesign.model.units import HAND_STEP, LENGTH_UNITS, format_length, format_number
from scaledesign.paper.chart_text import USUAL, fingering_chart
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.hole_list import PLACED_WORDS, caution_lines, hole_list, slip
from scaledesign.paper.layout import Origin, distance_from, holes_from, wood_beside
from scaledesign.paper.report import blocks, remarks, title, trust
from scaledesign.paper.separated import comma_separated, tab_separated
from scaledesign.solver.prediction import Prediction
from scaledesign.values import dataclass

if TYPE_CHECKING:
    from scaledesign.paper.chart.content import ChartTrill

What = Literal["holes", "chart"]
Form = Literal["text", "tsv", "csv"]

_PLACES: Mapping[Units, int] = {"mm": 3, "in": 4}
"""Decimals of a length: a micrometre, or a tenth of a thou; a hundredth of what a hand can hold."""
_CENT_PLACES = 2
_HERTZ_PLACES = 3
_LONGEST_NAME = 50
"""Characters of the flute's name in a file's name."""


@dataclass(frozen=True, slots=True)
class Table:
    """A header and rows of as many cells, all of them text."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def hole_table(
    design: Design,
    prediction: Prediction,
    placed: Sequence[str] = (),
    *,
    units: Units,
    origin: Origin = "edge",
) -> Table:
    """One row a hole, in the order of the hole list.

    Parameters
    ----------
    design : Design
    prediction : Prediction
        of the same design, for what a slip costs
    placed : sequence of str
        how the solver placed each hole; empty: the column "by" is empty
    units : "mm" or "in"
        of lengths; 3 decimals of a millimetre, 4 of an inch
    origin : "edge", "foot" or "cut-end"
        the end the maker measures from; the distances from edge and foot stand in any case

    Raises
    ------
    DesignError
        when measured from a cut end that the design does not state.
    """
    bits = bit_set(design.shop.bits)
    ends: tuple[Origin, ...] = (origin, *(end for end in ("edge", "foot") if end != origin))
    step = HAND_STEP[units]
    each = f"cents per {format_length(step, units)}"
    header = (
        "hole", *(f"from {end.replace('-', ' ')} ({units})" for end in ends), f"wood ({units})",
        f"width ({units})", f"across ({units})", "bit", f"bit ({units})", "finger", "side (degrees)",
        f"slip ({each})", f"wide ({each})", "by",
    )  # fmt: skip
    rows = []
    for i in holes_from(design, origin):
        hole = design.holes[i]
        bit = bits.nearest(hole.diameter)
        rows.append(
            (
                str(i + 1),
                *(_length(distance_from(design, end, hole.at), units) for end in ends),
                _length(wood_beside(design, i), units),
                _length(hole.diameter, units),
                _length(hole.across, units),
                bits.label(bit, units),
                _length(bit, units),
                hole.finger,
                format_number(hole.side),
                _decimal(slip(design, prediction.sensitivity.at, i) * step, _CENT_PLACES),
                _decimal(slip(design, prediction.sensitivity.diameter, i) * step, _CENT_PLACES),
                (PLACED_WORDS[placed[i]] or placed[i]) if placed else "",
            )
        )
    return Table(header, tuple(rows))


def row_table(design: Design, prediction: Prediction) -> Table:
    """One row a fingering, in the file's order; of each fingered hole X closed, O open, H half open.

    All fingerings stand, those too that the chart for the player leaves out. Cents and note are as the maker
    wrote them; "off" is from the target, "plus or minus" one standard deviation. A row that cannot sound has
    no numbers.
    """
    holes = tuple(f"hole {i + 1}" for i in design.fingered())
    header = (
        "note", "cents", "target (Hz)", "plays (Hz)", "off (cents)", "plus or minus (cents)", "measured",
        "role", "register", *holes,
    )  # fmt: skip
    return Table(
        header,
        tuple(
            (
                row.note,
                format_number(row.cents),
                _decimal(float(prediction.target[i]), _HERTZ_PLACES),
                _decimal(float(prediction.frequency[i]), _HERTZ_PLACES),
                _decimal(float(prediction.cents[i]), _CENT_PLACES),
                _decimal(float(prediction.uncertainty[i]), _CENT_PLACES),
                row.measured,
                row.role,
                str(row.register),
                *row.holes,
            )
            for i, row in enumerate(design.rows)
        ),
    )


def as_tsv(table: Table) -> str:
    """The table with its header, tab-separated: to paste into a spreadsheet."""
    return tab_separated((table.header, *table.rows))


def as_csv(table: Table) -> str:
    r"""The table with its header as RFC 4180; rows end with ``\r\n``, which a file has to keep."""
    return comma_separated((table.header, *table.rows))


def export_text(
    design: Design,
    prediction: Prediction,
    placed: Sequence[str],
    what: What,
    form: Form,
    units: Units,
    origin: Origin = "edge",
    *,
    file: str = "flute.toml",
    first: str = "",
    ascii_only: bool = False,
    narrow: bool = False,
    choices: PaperChoices = USUAL,
    trills: Sequence[ChartTrill] = (),
    costs: Sequence[float] = (),
) -> str:
    r"""Hole list or chart in one of its forms, the last line ended.

    Parameters
    ----------
    design, prediction, placed, units, origin
        as in ``hole_table``
    what : "holes" or "chart"
    form : "text", "tsv" or "csv"
        for people, with trust and cautions; for a spreadsheet; for a file, whose line ends are ``\r\n``
    file, first : str
        as in ``report.trust``: the design's file, and the command that makes it where there is none
    ascii_only, narrow, choices, trills, costs
        of the text of a chart, as in ``chart_text.fingering_chart``

    Raises
    ------
    DesignError
        when measured from a cut end that the design does not state.
    EditError
        when nobody knows the language of the names.
    """
    if form != "text":
        holes = what == "holes"
        table = (
            hole_table(design, prediction, placed, units=units, origin=origin)
            if holes
            else row_table(design, prediction)
        )
        return as_tsv(table) if form == "tsv" else as_csv(table)
    if what == "chart":
        cents = [float(off) for off in prediction.cents]
        text = fingering_chart(
            design, cents, ascii_only=ascii_only, narrow=narrow, choices=choices, trills=trills, costs=costs
        )
        return text + "\n"
    return (
        blocks(
            title(design),
            trust(design, prediction, file, units, first),
            hole_list(design, prediction, placed, units=units, origin=origin),
            remarks(prediction.notes),
            caution_lines(design.instrument.material),
        )
        + "\n"
    )


def plain_name(design: Design) -> str:
    """The flute's name, to begin a file's name with: ``"sedge-warbler"``; ``"flute"`` where it has none."""
    name = unicodedata.normalize("NFC", design.name).casefold()
    words = "".join(sign if sign.isalnum() else " " for sign in name).split()
    return no_device("-".join(words)[:_LONGEST_NAME].strip("-") or "flute", "flute")


def _length(metres: float | None, units: Units) -> str:
    return "" if metres is None else _decimal(metres / float(LENGTH_UNITS[units]), _PLACES[units])


def _decimal(value: float, places: int) -> str:
    """So many decimals, and no minus before nothing; empty where there is no number."""
    if not isfinite(value):
        return ""
    return f"{round(value, places) + 0.0:.{places}f}"
