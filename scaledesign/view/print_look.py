"""What is seen of a kind in a form before it is written: its pages, its text, or a sentence.

Apart from the making (``outputs``) and from the screen, which asks for it in a thread of its own.
"""

from __future__ import annotations

from scaledesign.outputs.kinds import Form, Kind
from scaledesign.outputs.make import Work, make, pictures
from scaledesign.paper.choices import PaperChoices
from scaledesign.values import dataclass
from scaledesign.view.preview_frame import Size
from scaledesign.view.preview_paint import Sums, sums_of
from scaledesign.view.preview_png import page_of

PPI = 144.0
"""Pixels an inch of the pages: the smallest print is to be read when it is looked at closely."""
TEXTS: tuple[Form, ...] = ("txt", "csv", "tsv")
TAB = 12
"""Cells from one tab stop to the next."""
WORDS: dict[Form, str] = {
    "html": "A web page: it opens in your browser once it is written. What it tells:",
    "musicxml": "For a notation program, which draws it as its own. The notes in it:",
    "mid": "To be heard, not seen. The notes in it:",
    "wav": "To be heard, not seen. The notes in it:",
    "dxf": "The same lines at true size, for machines and drawing programs; shown as they would be printed.",
}


@dataclass(frozen=True)
class Looked:
    """Pages, or lines of text; either may be wanting."""

    pictures: tuple[bytes, ...] = ()
    """The pages as PNG."""
    text: tuple[str, ...] = ()
    said: str = ""
    """A sentence beside it."""

    def page(self, number: int) -> Page:
        """A page, read; takes a fraction of a second."""
        light = page_of(self.pictures[number])
        return Page(sums_of(light), (light.shape[1] / PPI, light.shape[0] / PPI))


@dataclass(frozen=True)
class Page:
    """A page to look at."""

    sums: Sums
    """As ``painted`` wants them."""
    size: Size
    """Width and height, inches."""


def look_at(work: Work, kind: Kind, form: Form, choices: PaperChoices, *, ascii_only: bool = False) -> Looked:
    """Make what there is to see. It may take a second; raises as ``outputs.make`` does."""
    said = WORDS.get(form, "")
    if form in TEXTS or form == "html":
        as_text: Form = "txt" if form == "html" else form
        (made,) = make(work, kind, as_text, choices, ascii_only=ascii_only)
        text = made.data.decode("utf-8").expandtabs(TAB).splitlines()
        return Looked(text=tuple(text), said=said)
    if kind == "notes":
        return Looked(text=_notes(work), said=said)
    return Looked(pictures(work, kind, choices, ppi=PPI), said=said)


def _notes(work: Work) -> tuple[str, ...]:
    """The rows that sound, as they will."""
    wanted = (row.note for row in work.design.rows)
    heard = zip(wanted, map(float, work.prediction.frequency), map(float, work.prediction.cents), strict=True)
    return tuple(
        f"{note:<8} {hertz:8.1f} Hz   {cents:+4.0f} cents" for note, hertz, cents in heard if hertz > 0
    )
