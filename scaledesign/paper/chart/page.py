"""The printed fingering chart, page by page: what a maker hands over with the flute.

Apart from its parts: this chooses how large the print can be, lets it flow onto pages, puts head, key and
foot around it and hands it to the press. Nothing of acoustics stands on it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from scaledesign.paper.chart import along, cards, rows
from scaledesign.paper.chart.content import Chart, chosen
from scaledesign.paper.chart.flow import Piece, Size, carried_over, flowed, stacked
from scaledesign.paper.chart.headings import PICTURE, foot, head, key, notes_below, nothing, running_head
from scaledesign.paper.chart.marks import Mark, as_json, moved
from scaledesign.paper.chart.setting import Setting, setting_of, title_of
from scaledesign.paper.chart.styles import Plan
from scaledesign.paper.choices import PAPERS, PaperChoices
from scaledesign.paper.own_picture import own_picture
from scaledesign.paper.press import PPI, PageForm, pressed

SIDE, TOP, BOTTOM = 15.0, 15.0, 14.0
"""Margins, mm."""
FOOT = 5.0
"""Above the lower margin, for the page's number, mm."""
MM = 1000.0

STEP = 0.95
"""Share of the last try's size that the next one has."""
COMFORT = 0.13
"""How much larger than it must be print has to be before fewer lines are better than larger print."""
BARE = 0.3
"""Share of a page that may stay empty before the last."""
STRETCHES = 12
"""Lengths of the flutes that are tried between the longest and the shortest."""

PLANS: dict[Plan, tuple[Callable[[Setting, Size], tuple[Piece, ...]], Callable[[Setting, int], float]]] = {
    "cards": (cards.cards, cards.most_unit),
    "along": (along.along, along.most_unit),
    "rows": (rows.rows, rows.most_unit),
}
"""What draws each plan of a page, and how large it can be with so many notes on a line."""


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
    pages = _best(setting, (rooms[0], rooms[1]), last.height) if any_notes else [[nothing(setting)]]
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


def _best(setting: Setting, rooms: tuple[float, float], last: float) -> list[list[Piece]]:
    """The fewest pages, and the largest print that fits them; flutes as long as they then can be.

    ``rooms`` are mm on the first page and on the others, ``last`` mm that the last one keeps for its notes.
    """
    style = setting.style
    draw, most_unit = PLANS[style.plan]
    least, most = style.large if setting.choices.large else style.units
    end = Piece(last, tuple)

    def pages_of(size: Size) -> list[list[Piece]]:
        pieces = (*draw(setting, size), end)
        pages = flowed(pieces, rooms)
        if len(pages) > 1:
            pages = flowed(pieces, (rooms[0] - FOOT, rooms[1] - FOOT))
        return [[piece for piece in page if piece is not end] for page in pages]

    comfort = least + COMFORT
    tries = []
    for count in style.counts:
        unit = min(most, most_unit(setting, count))
        while unit >= least:
            size = Size(count, unit, style.spans[0] * unit)
            pages = pages_of(size)
            lines = sum(not piece.heading for page in pages for piece in page)
            bare = [_bare(page, rooms[min(i, 1)]) for i, page in enumerate(pages)]
            uneven = max(bare[:-1], default=0.0) > BARE
            tries.append(((min(bare) < 0, len(pages), uneven, -min(unit, comfort), lines, -unit), size))
            unit *= STEP
    if not tries:  # a note with many ways is broader than a line at the usual sizes
        unit = min(least, max(most_unit(setting, count) for count in style.counts))
        tries = [((True, 1, False, 0.0, 1, 0.0), Size(style.counts[0], unit, style.spans[0] * unit))]
    _, size = min(tries, key=lambda one: one[0])
    pages = pages_of(size)
    short, long = (span * size.unit for span in style.spans)
    for i in range(STRETCHES):
        longer = pages_of(replace(size, span=long - (long - short) * i / STRETCHES))
        fits = all(_bare(page, rooms[min(j, 1)] - FOOT) >= 0 for j, page in enumerate(longer))
        if fits and list(map(len, longer)) == list(map(len, pages)):
            return longer
    return pages


def _bare(page: list[Piece], room: float) -> float:
    """Share of a page that stays empty; negative where its pieces do not go on it."""
    return 1.0 - sum(piece.height for piece in page) / room
