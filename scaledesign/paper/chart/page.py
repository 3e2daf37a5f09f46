"""The printed fingering chart, page by page: what a maker hands over with the flute.

Apart from its parts: this takes the chart as large as it can be printed (``fitting.py``), puts head, key and
foot around it and hands it to the press. Nothing of acoustics stands on it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scaledesign.paper.chart.content import Chart, chosen
from scaledesign.paper.chart.fitting import FOOT, fitted
from scaledesign.paper.chart.flow import carried_over, stacked
from scaledesign.paper.chart.headings import PICTURE, foot, head, key, notes_below, nothing, running_head
from scaledesign.paper.chart.marks import Mark, as_json, moved
from scaledesign.paper.chart.setting import setting_of, title_of
from scaledesign.paper.choices import PAPERS, PaperChoices
from scaledesign.paper.own_picture import own_picture
from scaledesign.paper.press import PPI, PageForm, pressed

SIDE, TOP, BOTTOM = 15.0, 15.0, 14.0
"""Margins, mm."""
MM = 1000.0


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
    return marks_pressed(chart, choices, pages, pictures, form, ppi=ppi)


def marks_pressed(
    chart: Chart,
    choices: PaperChoices,
    pages: Sequence[Sequence[Mark]],
    pictures: Mapping[str, bytes],
    form: PageForm,
    *,
    ppi: float = PPI,
) -> tuple[bytes, ...]:
    """What ``chart_marks`` made, on paper."""
    data = {
        "paper": choices.paper,
        "title": title_of(chart, choices.names),
        "pages": [[as_json(mark) for mark in page] for page in pages],
    }
    return pressed("chart", data, form, pictures, ppi=ppi)


def chart_marks(chart: Chart, choices: PaperChoices) -> tuple[tuple[tuple[Mark, ...], ...], dict[str, bytes]]:
    """The marks of each page, mm from its top left, and the pictures they show."""
    paper = tuple(side * MM for side in PAPERS[choices.paper])
    width, height = paper[0] - 2 * SIDE, paper[1] - TOP - BOTTOM
    setting = setting_of(chosen(chart, choices), choices, width)
    if choices.picture:
        setting.pictures[PICTURE] = own_picture(choices.picture)
    first = (head(setting), key(setting))
    later = (running_head(setting),)
    last = notes_below(setting)
    rooms = tuple(height - sum(piece.height for piece in above) for above in (first, later))
    any_notes = bool(setting.sections())
    pages = fitted(setting, (rooms[0], rooms[1]), last.height) if any_notes else [[nothing(setting)]]
    made = []
    for i, pieces in enumerate(pages):
        above = (running_head(setting, carried_over(pages, i)),) if i else first
        used = sum(piece.height for piece in above)
        room = rooms[min(i, 1)] - (FOOT if len(pages) > 1 else 0.0)
        ends = i == len(pages) - 1
        room -= last.height if ends else 0.0
        marks = [*stacked(above, SIDE, TOP, 0.0), *stacked(pieces, SIDE, TOP + used, room)]
        if ends:
            marks += moved(last.draw(), SIDE, TOP + used + room)
        marks += moved(foot(setting, i + 1, len(pages)), SIDE, TOP + height - 0.5)
        made.append(tuple(marks))
    return tuple(made), setting.pictures
