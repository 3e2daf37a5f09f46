"""A hole's label: what it says, and where beside the hole there is room for it.

Apart from the other marks (``marks.py``) because labels give way: to holes, lines and each other. A label
stands close by its hole or shrinks to the hole's number; what it would have said is then said under the
strip. Millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from math import hypot

from scaledesign.model.bits import bit_set
from scaledesign.model.document import Design, Hole, Units
from scaledesign.model.units import format_length, format_number
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.layout import distance_from
from scaledesign.paper.template.ink import Box, Face, Room, Words, height_of, width_of
from scaledesign.paper.template.strip import Opening

Line = list[tuple[Face, str, float]]
"""A line of a label: face, text and size (pt) of each of its words."""
ARM = 3.0
"""mm of a cross that stay outside the hole."""
SAME = 5e-5
"""m: a bit this near a hole's width makes it."""
LARGE = 1.25
"""Size of words in large print."""
BESIDE = (0.0, 2.0, 4.0)
"""mm that a label is moved away from its hole at most."""
GAP = 1.0
"""mm between the lines of a label."""
ASIDE = 2.4
"""mm that labels keep more from each other side by side than one under another; more in large print."""
SPACE = 0.9
"""mm between the words of a line."""


def labels(
    design: Design,
    choices: PaperChoices,
    openings: Sequence[Opening],
    room: Room,
    begun: Mapping[int, float] = {},
) -> tuple[list[Words], list[int]]:
    """Labels of all holes, for which ``room`` is taken, and the holes (0-based) that got a number at most."""
    holes = [each for each in openings if each.hole is not None]
    # Labels of holes in one line stand in one line too.
    deep: dict[int, float] = {}
    for each in holes:
        row = round(each.middle[1] * 1e3)
        deep[row] = max(deep.get(row, 0.0), (each.box[3] - each.middle[1]) * 1e3)
    written: list[Words] = []
    crowded: list[int] = []
    for each in holes:
        assert each.hole is not None
        others = [other for other in holes if other is not each]
        lines = lines_of(design, choices, each.hole, begun)
        under = deep[round(each.middle[1] * 1e3)]
        words = _placed(each, others, under, lines, room)
        if not words:
            crowded.append(each.hole)
            words = _placed(each, others, under, lines[:1], room)
        # Two labels side by side would read as one line.
        aside = ASIDE * (LARGE if choices.large else 1.0)
        room.take((u0 - aside, v0, u1 + aside, v1) for u0, v0, u1, v1 in (word.box for word in words))
        written += words
    return written, crowded


def hole_words(design: Design, choices: PaperChoices, hole: int, begun: Mapping[int, float] = {}) -> str:
    """What a hole's label says, in one line."""
    head, *rest = lines_of(design, choices, hole, begun)
    named = " ".join(text for _, text, _ in head)
    return f"hole {named}: {', '.join(text for line in rest for _, text, _ in line)}"


def _placed(
    own: Opening, others: Sequence[Opening], deep: float, lines: Sequence[Line], room: Room
) -> tuple[Words, ...]:
    """The words of a label at the free place nearest to its hole; empty where there is none."""
    u, v = (side * 1e3 for side in own.middle)
    half = (own.box[2] - own.box[0]) / 2 * 1e3
    wide, tall = max(_line_width(line) for line in lines), _block_height(lines)
    under = [(sign * shift, ARM) for shift in (0.0, 1.5, 3.0) for sign in (1, -1)]
    beside = ((wide / 2 + 1.2, 0.5), (half + wide / 2 + 1.5, 0.5 - deep))
    aside = [(sign * shift, near) for shift, near in beside for sign in (1, -1)]
    tried: list[tuple[float, float, Box]] = []
    for away, down, (shift, near) in product(BESIDE, (1, -1), (*under, *aside)):
        first = v + down * (deep + near + 1.0 + away)
        top = first if down > 0 else first - tall
        cost = away + 0.35 * abs(shift) + (0.0 if down > 0 else 1.5)
        tried.append((cost, -shift, (u + shift - wide / 2, top, u + shift + wide / 2, top + tall)))
    for _, shift, box in sorted(tried):
        words = tuple(_block(lines, u - shift, box[1]))
        if not room.free([word.box for word in words], 1.0):
            continue
        # A label nearer to another hole would seem to be that one's.
        if all(_apart(each, box) >= _apart(own, box) + 0.5 for each in others):
            return words
    return ()


def lines_of(
    design: Design, choices: PaperChoices, index: int, begun: Mapping[int, float] = {}
) -> list[Line]:
    """Lines of a hole's label: number and finger, bits, place, what is unusual."""
    hole, units = design.holes[index], choices.units_of(design.units)
    scale = LARGE if choices.large else 1.0
    head: Line = [("number", str(index + 1), 13.0 * scale)]
    if hole.finger != "none":
        head.append(("name", hole.finger, 8.0 * scale))
    at = distance_from(design, choices.origin, hole.at)
    bits = bit_set(design.shop.bits)
    first = (
        [f"begin {bits.label(begun[index], units).removesuffix(f' {units}')}"]
        if index in begun and not hole.drilled
        else []
    )
    figures = [*first, *_widths(design, hole, units), f"at {format_length(at, units, unit=False)}"]
    lines: list[Line] = [head]
    lines += [[("figure", text, 7.0 * scale)] for text in figures]
    lines += [[("note", text, 7.5 * scale)] for text in _unusual(hole)]
    return lines


def _widths(design: Design, hole: Hole, units: Units) -> list[str]:
    """The bit that makes a hole, or how wide it is."""
    if hole.across is not None:
        along = format_length(hole.diameter, units, unit=False)
        return [f"{along} × {format_length(hole.across, units)}"]
    bits = bit_set(design.shop.bits)
    bit = bits.nearest(hole.diameter)
    label = bits.label(bit, units)
    width = format_length(hole.diameter, units)
    if abs(bit - hole.diameter) <= SAME or width == label:
        return [f"⌀ {label}"]
    return [f"⌀ {width}", f"bit {label}"]


def _unusual(hole: Hole) -> Iterator[str]:
    """What is to be known of a hole beside its place and width."""
    if hole.finger == "none":
        yield "tuning"
    if hole.slant:
        toward = "foot" if hole.slant > 0 else "mouth"
        yield f"{format_number(abs(hole.slant))}° to the {toward}"
    if hole.drilled:
        yield "drilled"


def _apart(opening: Opening, box: Box) -> float:
    """mm between a hole and a box."""
    u, v = (side * 1e3 for side in opening.middle)
    across, down = max(box[0] - u, u - box[2], 0.0), max(box[1] - v, v - box[3], 0.0)
    u0, v0, u1, v1 = opening.box
    return hypot(across, down) - max(u1 - u0, v1 - v0) / 2 * 1e3


def _line_width(line: Line) -> float:
    return sum(width_of(face, text, size) for face, text, size in line) + SPACE * (len(line) - 1)


def _block_height(lines: Sequence[Line]) -> float:
    return sum(_line_height(line) for line in lines) + GAP * (len(lines) - 1)


def _line_height(line: Line) -> float:
    return max(height_of(face, size) for face, _, size in line)


def _block(lines: Sequence[Line], middle: float, top: float) -> Iterator[Words]:
    """Lines of a label under each other, in the middle, those of one line on one base line."""
    for line in lines:
        base = top + _line_height(line)
        u = middle - _line_width(line) / 2
        for face, text, size in line:
            wide = width_of(face, text, size)
            yield Words(face, text, u + wide / 2, base - height_of(face, size) / 2, size)
            u += wide + SPACE
        top = base + GAP
