"""The printed fingering chart, page by page: what a maker hands over with the flute.

Apart from its parts: this chooses how large the print can be, lets it flow onto pages, puts head, key and
foot around it and hands it to the press. Nothing of acoustics stands on it.
"""

from __future__ import annotations

from collections.abc import Callable

from scaledesign.errors import EditError
from scaledesign.paper.chart.cards import cards
from scaledesign.paper.chart.content import Chart, chosen
from scaledesign.paper.chart.flow import Piece, flowed, stacked
from scaledesign.paper.chart.headings import PICTURE, foot, head, key, notes_below, running_head
from scaledesign.paper.chart.marks import Mark, as_json, moved
from scaledesign.paper.chart.setting import Setting, setting_of
from scaledesign.paper.chart.styles import Plan
from scaledesign.paper.choices import PAPERS, PaperChoices
from scaledesign.paper.press import PPI, PageForm, PressError, pressed

SIDE, TOP, BOTTOM = 15.0, 15.0, 14.0
"""Margins, mm."""
FOOT = 5.0
"""Above the lower margin, for the page's number, mm."""
MM = 1000.0

PLANS: dict[Plan, Callable[[Setting, int, float], tuple[Piece, ...]]] = {
    "cards": cards, "along": cards, "rows": cards,
}  # fmt: skip


def chart_pages(
    chart: Chart, choices: PaperChoices, form: PageForm, *, ppi: float = PPI
) -> tuple[bytes, ...]:
    """The chart as one PDF, or as an SVG or PNG for each page.

    Parameters
    ----------
    chart : Chart
        all there is; ``choices`` say what of it is shown
    choices : PaperChoices
    form : "pdf", "svg" or "png"
    ppi : pixels an inch, for "png" only

    Raises
    ------
    EditError
        for a style or a way of naming notes that nobody knows, and for a picture that cannot be read.
    """
    pages, pictures = chart_marks(chart, choices)
    data = {
        "paper": choices.paper,
        "title": chart.name or "Flute",
        "pages": [[as_json(mark) for mark in page] for page in pages],
    }
    return pressed("chart", data, form, pictures, ppi=ppi)


def chart_marks(chart: Chart, choices: PaperChoices) -> tuple[tuple[tuple[Mark, ...], ...], dict[str, bytes]]:
    """The marks of each page, mm from its top left, and the pictures they show."""
    paper = tuple(side * MM for side in PAPERS[choices.paper])
    width, height = paper[0] - 2 * SIDE, paper[1] - TOP - BOTTOM
    setting = setting_of(chosen(chart, choices), choices, width)
    picture = _picture(choices.picture)
    setting.pictures.update(picture)
    first = (head(setting, next(iter(picture), "")), key(setting))
    later = (running_head(setting),)
    rooms = (
        height - sum(piece.height for piece in first),
        height - sum(piece.height for piece in later) - FOOT,
    )
    pages = _best(setting, rooms)
    made = []
    for i, pieces in enumerate(pages):
        above = later if i else first
        used = sum(piece.height for piece in above)
        room = rooms[min(i, 1)] - (FOOT if len(pages) > 1 and not i else 0.0)
        marks = [*stacked(above, SIDE, TOP, 0.0), *stacked(pieces, SIDE, TOP + used, room)]
        marks += moved(foot(setting, i + 1, len(pages)), SIDE, TOP + height - 0.5)
        made.append(tuple(marks))
    return tuple(made), setting.pictures


def _best(setting: Setting, rooms: tuple[float, float]) -> list[list[Piece]]:
    """The largest print that fits one page; else the largest that takes the fewest pages."""
    style = setting.style
    below = notes_below(setting)
    least = sum(piece.height for piece in below)
    tries = []
    for count in style.large_counts if setting.choices.large else style.counts:
        pieces = (*PLANS[style.plan](setting, count, rooms[0] - least), *below)
        pages = flowed(pieces, rooms)
        if len(pages) == 1:
            return pages
        tries.append(flowed(pieces, (rooms[0] - FOOT, rooms[1])))
    return min(tries, key=len)


def _picture(data: bytes) -> dict[str, bytes]:
    """The maker's picture by its file name; none where there is none.

    Raises
    ------
    EditError
        when it is no picture that can be printed.
    """
    if not data:
        return {}
    name = f"{PICTURE}.{_ending(data)}"
    marks = [{"kind": "picture", "x": 10, "y": 10, "width": 30, "height": 20, "file": name, "align": "left"}]
    try:
        pressed("chart", {"paper": "a4", "title": "", "pages": [marks]}, "svg", {name: data})
    except PressError:
        raise EditError(
            "your own picture cannot be read", "give a PNG, JPEG or SVG file that opens elsewhere"
        ) from None
    return {name: data}


def _ending(data: bytes) -> str:
    if data.startswith(b"\x89PNG"):
        return "png"
    if data.startswith(b"\xff\xd8"):
        return "jpg"
    if b"<svg" in data[:4096]:
        return "svg"
    raise EditError("your own picture is no PNG, JPEG or SVG", "give a file of one of these kinds")
