"""What can be made of a flute, and in which forms: one table for command line, grid, help and README.

Apart from the making (``make.py``). A form is named by the ending of its file.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from scaledesign.values import dataclass

Kind = Literal["template", "sheet", "chart", "holes", "notes"]
Form = Literal["pdf", "svg", "png", "dxf", "html", "txt", "csv", "tsv", "musicxml", "mid", "wav"]


@dataclass(frozen=True, slots=True)
class Output:
    """One thing to make."""

    kind: Kind
    title: str
    """A few words."""
    words: str
    """A sentence: what it is, and for whom."""
    forms: tuple[Form, ...]
    """The usual one first."""


OUTPUTS: tuple[Output, ...] = (
    Output("template", "drilling template", "True size, to wrap around the tube and drill through.",
           ("pdf", "svg", "dxf")),
    Output("sheet", "shop sheet", "For the bench: dimensions, drill order, notes, boxes to fill.",
           ("pdf", "svg", "png")),
    Output("chart", "fingering chart", "For whoever plays it: staff, names, fingers.",
           ("pdf", "svg", "png", "html", "txt", "csv", "tsv")),
    Output("holes", "hole list", "Where the holes lie, as text or for a spreadsheet.", ("txt", "csv", "tsv")),
    Output("notes", "notes", "What it plays: for a notation program, an instrument, the ear.",
           ("musicxml", "mid", "wav")),
)  # fmt: skip

FORM_WORDS: Mapping[Form, str] = {
    "pdf": "PDF, to print",
    "svg": "SVG, to draw on in other programs",
    "png": "PNG, a picture",
    "dxf": "DXF, for machines and drawing programs",
    "html": "a web page that plays, in one file, for any phone",
    "txt": "plain text, for a message",
    "csv": "for a spreadsheet, comma-separated",
    "tsv": "for a spreadsheet, tab-separated",
    "musicxml": "MusicXML, for a notation program: notes, cents, fingerings",
    "mid": "MIDI, for any program that plays notes",
    "wav": "sound, to listen to",
}

BY_KIND: Mapping[Kind, Output] = {output.kind: output for output in OUTPUTS}
