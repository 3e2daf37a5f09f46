"""What stands around the notes: the head with the flute's name, the key to the signs, headings, the foot.

Apart from the styles because all of them carry the same. The key is the flute itself, lying with its mouth
to the left, its holes in their true proportions, with whose finger covers which.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from scaledesign.errors import QuantityError
from scaledesign.model.pitch import parse_note
from scaledesign.paper.chart.content import HANDS, Chart, Hand
from scaledesign.paper.chart.drawn_holes import RING, Drawn, Pen, drawn_flute, hole_marks, tube_marks
from scaledesign.paper.chart.flow import Piece
from scaledesign.paper.chart.marks import (
    BROAD,
    GREY,
    POINT,
    Ellipse,
    Mark,
    Outline,
    Paragraph,
    Picture,
    Text,
    level,
    lines_of,
    moved,
)
from scaledesign.paper.chart.setting import Section, Setting, breath_signs, cents, partly_words, title_of
from scaledesign.paper.chart_text import HELP, NO_NOTES, help_sign, left_out_words
from scaledesign.paper.note_names import OF_TONIC, note_name
from scaledesign.paper.text import NAME, on_one_line

FINGERS: dict[str, str] = {"1": "index", "2": "middle", "3": "ring", "4": "little", "T": "thumb"}
THUMB = "at the back, for the thumb"
LEAST = 16.0
"""mm: height of the key, at least."""
PICTURE = "own.svg"
"""File name of the maker's picture."""


def head(setting: Setting) -> Piece:
    """Name, key and scale at the left; the maker's picture and name at the right."""
    chart, size, width = setting.chart, setting.print_size, setting.width
    marks: list[Mark] = []
    high = 9.5 * size + 6.2 * size
    right = 0.0
    picture = PICTURE in setting.pictures
    if picture:
        right = 38.0
        marks.append(Picture(width - right, 0, right, high, PICTURE, "right"))
    maker = on_one_line(setting.choices.maker, NAME)
    marks += _name(title_of(chart, setting.choices.names), width - right - 6, size)
    words = "   ·   ".join(word for word in (_tonic(setting), on_one_line(chart.scale, NAME)) if word)
    marks.append(Text(0, 14.8 * size, words, 13 * size, room=(width - right) * 0.7))
    if maker and picture:
        marks.append(Text(width, high + 4.6 * size, maker, 11 * size, "right", width * 0.5, italic=True))
    elif maker:
        marks.append(Text(width, 14.8 * size, maker, 12 * size, "right", width * 0.4, italic=True))
    bottom = high + (6.0 if maker and picture else 2.0) * size
    return Piece(bottom + 1.5, lambda: tuple(marks), heading=True)


def _tonic(setting: Setting) -> str:
    """The flute's key, unless the title has it; where notes are called by their place, what that place is."""
    note, language = setting.chart.tonic, setting.choices.names
    if language in OF_TONIC:
        return f"{note_name(note, language, note)} is {note_name(note, 'english')}"
    return f"in {setting.name(note)}" if on_one_line(setting.chart.name, NAME) else ""


def _name(name: str, room: float, size: float) -> list[Mark]:
    """The flute's name on one line, or, where it is long, smaller on two."""
    words = name.split()
    if len(name) * 28 * size * POINT * BROAD <= 1.3 * room or len(words) < 2:
        return [Text(0, 8.2 * size, name, 28 * size, room=room, bold=True)]
    cut = min(range(1, len(words)), key=lambda i: abs(2 * len(" ".join(words[:i])) - len(name)))
    lines = (" ".join(words[:cut]), " ".join(words[cut:]))
    return [
        Text(0, (3.4 + 5.6 * i) * size, line, 15 * size, room=room, bold=True) for i, line in enumerate(lines)
    ]


def running_head(setting: Setting, section: str = "") -> Piece:
    """At the top of the pages after the first: the name, and the section that goes on there."""
    size = 11 * setting.print_size
    base = size * POINT * 0.8
    name = Text(
        0, base, title_of(setting.chart, setting.choices.names), size, room=setting.width * 0.7, bold=True
    )
    goes_on = Text(setting.width, base, section, size, "right", setting.width * 0.3, tone=GREY)
    return Piece(size * POINT + 5.0, lambda: (name, goes_on) if section else (name,), heading=True)


def heading(setting: Setting, section: Section) -> Piece:
    """Over a register or the trills."""
    size = 13 * setting.print_size
    base = size * POINT + 1.0
    wide = size * POINT * 0.6
    left = wide * 1.5 if section.breath else 0.0
    raised = base - size * POINT * (0.1 if section.breath > 1 else 0.16)
    marks = (
        *_breath(setting, wide / 2, raised, wide, section.breath),
        Text(left, base, section.title, size, bold=True, after=section.words, share=0.82),
        level(0, base + 1.7, setting.width, 0.2),
    )
    return Piece(base + 1.7 + 4.5, lambda: marks, heading=True, title=section.title)


def _breath(
    setting: Setting, x: float, y: float, size: float, many: int, line: float = 0.4
) -> tuple[Mark, ...]:
    """Breath signs as this style's flutes have them, about ``x``, their lowest edge at ``y``."""
    if setting.style.plan == "rows":
        return breath_signs(
            x + size * (0.19 + 0.2 * (many - 1)), y - size * 0.22, size * 0.95, many, line, upright=False
        )
    return breath_signs(x, y, size, many, line)


def key(setting: Setting) -> Piece:
    """The flute lying, and beside it what the signs mean."""
    size, width = setting.print_size, setting.width
    signs = _signs(setting)
    step = 5.0 * size
    broad = width * 0.64
    drawing, drawn_high = _whole_flute(setting.chart, broad, size)
    x = width * 0.7
    high = max(step * len(signs), drawn_high, LEAST)
    marks = list(moved(drawing, 0, (high - drawn_high) / 2))
    y = (high - step * len(signs)) / 2 + step * 0.7
    for sign, text in signs:
        marks += moved(sign, x + 1.8 * size, y - 1.15 * size)
        marks.append(Text(x + 5.4 * size, y, text, 9.5 * size, room=width - x - 5.4 * size))
        y += step
    rules = (level(0, 0, width, 0.2), level(0, high + 4.0, width, 0.2))
    return Piece(high + 4.0 + 5.0, lambda: (*rules, *moved(marks, 0, 2.0)), heading=True)


def _signs(setting: Setting) -> list[tuple[tuple[Mark, ...], str]]:
    """Signs of this chart, and what they mean."""
    chart, size = setting.chart, setting.print_size
    r, line = 1.45 * size, setting.style.pen.hole
    ways = [way for note in chart.notes for way in note.ways]
    signs: list[tuple[tuple[Mark, ...], str]] = [
        ((Ellipse(0, 0, r, r, "all", line),), "closed"),
        ((Ellipse(0, 0, r, r, "none", line),), "open"),
    ]
    shares = [way.open_share for way in ways if "H" in way.states]
    if shares or any("H" in (*trill.low_states, *trill.high_states) for trill in chart.trills):
        signs.append(((Ellipse(0, 0, r, r, "half", line),), partly_words(shares)))
    if any(hole.behind for hole in chart.holes):
        ring = Ellipse(0, 0, r + 0.3, r + 0.3, "none", 0.25, dashed=True)
        signs.append(((ring, Ellipse(0, 0, r - 0.45, r - 0.45, "none", line)), THUMB))
    most = max([way.register for way in ways] + [trill.register for trill in chart.trills], default=1)
    if most > 1:
        words = "blow harder" + (", two: harder still" if most > 2 else "")
        signs.append((_breath(setting, 0, 0.5 * size, 2.6 * size, 1, line), words))
    if any(cents(note) for note in chart.notes):
        example = next(cents(note) for note in chart.notes if cents(note))
        sign = Text(0, 1.0 * size, example, 8 * size, "center")
        signs.append(((sign,), "cents from the note on a tuner"))
    helped = {help_sign(way.off) for way in ways}
    used = [sign for sign in HELP if sign in helped]
    if used:
        words = f"   {used[-1]} ".join(HELP[sign] for sign in used)
        signs.append(((Text(0, 1.15 * size, used[0], 9.5 * size, "center"),), words))
    return signs


def _whole_flute(chart: Chart, width: float, size: float) -> tuple[tuple[Mark, ...], float]:
    """The flute in its true proportions, ``width`` mm long; marks from their top left, and their height."""
    lead = 0.09 * chart.length
    scale = width / (chart.length + lead)
    tube = min(max((chart.outside or 0.02) * scale, 5.0), 13.0)
    places = [(hole.at + lead) * scale for hole in chart.holes]
    first, last = min(places, default=width * 0.4), max(places, default=width * 0.8)
    flute = drawn_flute(
        chart.holes,
        chart.mouth,
        width=tube,
        span=last - first,
        head=first,
        tail=width - last,
        edge=lead * scale,
    )
    above = 6.0 * size
    axis = above + tube / 2
    pen = Pen(0.3, 0.3)
    marks: list[Mark] = list(moved(tube_marks(flute, pen, upright=False), 0, axis))
    marks += moved(hole_marks(flute, ["O"] * len(chart.holes), pen, upright=False), 0, axis)
    marks.append(Text(0, above - 2.2 * size, "mouth", 8.5 * size, italic=True, tone=GREY))
    marks += _hands(chart, flute.holes, above, size)
    marks += _fingers(chart, flute.holes, places, axis, tube, size)
    return tuple(marks), max(mark.y for mark in marks) + 0.8


def _hands(chart: Chart, drawn: Sequence[Drawn], above: float, size: float) -> list[Mark]:
    """A bracket over the holes of each hand, and its name as large as the other's leaves room for."""
    reaches: dict[Hand, tuple[float, float]] = {}
    for hand in HANDS:
        own = [d for h, d in zip(chart.holes, drawn, strict=True) if h.hand == hand and not h.behind]
        if own:
            reaches[hand] = min(d.along - d.half_along for d in own), max(d.along + d.half_along for d in own)
    middles = sorted((start + end) / 2 for start, end in reaches.values())
    room = max(middles[1] - middles[0] - 2.0, 6.0) if len(middles) > 1 else 0.0
    marks: list[Mark] = []
    for hand, (start, end) in reaches.items():
        wide = end - start
        bracket = ((0.0, 1.0), (0.0, 0.0), (wide, 0.0), (wide, 1.0))
        name = Text(
            start + wide / 2, above - 2.9, HANDS[hand], 8.5 * size, "center", room, italic=True, tone=GREY
        )
        marks += [Outline(start, above - 1.8, bracket, 0.2, GREY), name]
    return marks


def _fingers(
    chart: Chart, drawn: Sequence[Drawn], places: Sequence[float], axis: float, tube: float, size: float
) -> list[Mark]:
    """Whose finger covers which hole: in words where they have room, else as numbers from the index on."""
    letter = 7.5 * size
    front = sorted(place for hole, place in zip(chart.holes, places, strict=True) if not hole.behind)
    room = min((b - a for a, b in pairwise(front)), default=20.0) - 1.2
    words = room > len("middle") * letter * POINT * BROAD
    marks: list[Mark] = []
    for hole, own in zip(chart.holes, drawn, strict=True):
        below = own.half_across + RING - own.across if hole.behind else tube / 2
        name = FINGERS[hole.finger[1]] if words or hole.behind else hole.finger[1].replace("T", "thumb")
        marks.append(Text(own.along, axis + below + 3.2 * size, name, letter, "center", tone=GREY))
    return marks


def nothing(setting: Setting) -> Piece:
    """In place of the notes where there are none."""
    size = 13 * setting.print_size
    height = lines_of(NO_NOTES, size, setting.width) * size * POINT * 1.25
    marks = (Paragraph(0, 0, NO_NOTES, size, setting.width),)
    return Piece(height, lambda: marks)


def notes_below(setting: Setting) -> Piece:
    """What is to be known besides: the pitch it is tuned to, and what is left out."""
    chart, size = setting.chart, 9.5 * setting.print_size
    texts = []
    if chart.reference != 440.0:
        texts.append(
            f"Tuned to A = {chart.reference:g} Hz: set your tuner, and whoever plays with you, to it."
        )
    if any(note.role == "chromatic" for note in chart.notes):
        texts.append("Names in bold are the notes of the flute's own scale.")
    lost, own = (
        tuple(dict.fromkeys(_as_called(setting, written) for written in notes))
        for notes in (chart.left_out, chart.not_so)
    )
    texts += left_out_words(lost, own)
    if not texts:
        return Piece(0.0, tuple)
    text = "  ".join(texts)
    height = lines_of(text, size, setting.width) * size * POINT * 1.25
    marks = (Paragraph(0, 1.5, text, size, setting.width, tone=GREY),)
    return Piece(height + 2.0, lambda: marks)


def _as_called(setting: Setting, written: str) -> str:
    """What a row's note is called, where it is a note; else as it is written."""
    try:
        note = parse_note(written)
    except QuantityError:
        return written
    return setting.name(note) + setting.octave(note)


def foot(setting: Setting, page: int, pages: int) -> tuple[Mark, ...]:
    """Page n of m, where there are several; its base line is 0."""
    if pages == 1:
        return ()
    size = 9 * setting.print_size
    return (Text(setting.width, 0, f"page {page} of {pages}", size, "right", tone=GREY),)
