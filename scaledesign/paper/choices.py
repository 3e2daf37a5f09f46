"""What a maker chooses of everything that is printed: paper, measure, names of notes, style, own name.

Apart because template, sheet and chart take the same choices from the command line, the grid and the
settings. A value that nobody chose stands at its default.
"""

from __future__ import annotations

from dataclasses import field
from typing import Literal

from scaledesign.model.document import Units
from scaledesign.paper.layout import Origin
from scaledesign.values import dataclass

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, tuple[float, float]] = {"a4": (0.210, 0.297), "letter": (8.5 * 0.0254, 11 * 0.0254)}
"""Width and height, m; ISO 216 and ANSI/ASME Y14.1 size A."""


@dataclass(frozen=True, slots=True)
class PaperChoices:
    """See the module."""

    paper: Paper = "a4"
    units: Units | None = None
    """Units of lengths; None: the design's own."""
    origin: Origin = "edge"
    """The end that lengths are measured from."""
    names: str = "english"
    """How notes are called: a key of ``note_names.LANGUAGES``."""
    style: str = "plain"
    """Look of the chart: a key of ``chart.styles.STYLES``."""
    large: bool = False
    """Large print."""
    registers: bool = True
    """Whether the chart shows what is overblown too."""
    alternates: bool = True
    """Whether it shows other fingerings of a note."""
    trills: bool = False
    """Whether it shows trills."""
    maker: str = ""
    """The maker's own name, for chart and sheet; '' prints none."""
    picture: bytes = b""
    """The maker's own picture, PNG, JPEG or SVG; b"" prints none."""
    picture_file: str = field(default="", compare=False)
    """Its file, to name it by where it cannot be printed."""

    def units_of(self, own: Units) -> Units:
        """The units to print, where the design's own are ``own``."""
        return self.units or own
