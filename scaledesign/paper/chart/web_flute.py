"""The whole flute at the head of the web page, lying with its mouth to the left, and whose finger goes where.

Apart from the fingerings (``web_fingers.py``), which show the holes only and large: here all is to scale.
Colours are the page's.
"""

from __future__ import annotations

from scaledesign.paper.chart.content import HANDS, Chart, ChartHole, Hand
from scaledesign.paper.chart.web_fingers import number

WIDE = 340.0
"""Pixels of the drawing at the page's usual size; the tube is a little shorter."""
MARGIN = 1.0
LETTER = 5.4
"""Width of a letter of the labels, about: they are set 11 pixels high."""
ABOVE = 34.0
"""Room above the tube: hands, lines, finger numbers."""


def whole_flute(chart: Chart, label: str) -> str:
    """The drawing; ``label`` says it in words."""
    scale = (WIDE - 2 * MARGIN) / chart.length
    widest = max((max(hole.diameter, hole.across) for hole in chart.holes), default=0.01) * scale
    half = max(chart.outside * scale / 2.0, 0.7 * widest, 6.0)
    axis = ABOVE + half
    thumbs = [hole for hole in chart.holes if hole.thumb]
    behind = any(hole.behind for hole in chart.holes)
    beneath = 2.0 + (widest + 2.0 if behind else 0.0) + (14.0 if thumbs else 0.0)
    height = axis + half + beneath
    left, right = MARGIN, WIDE - MARGIN
    box = f"M{number(left)} {number(axis - half)}H{number(right)}V{number(axis + half)}H{number(left)}Z"
    parts = [
        f'<path class="tube" d="{box}"/>',
        f'<text x="{number(left)}" y="{number(axis - half - 6)}">mouth</text>',
        *(_hole(hole, left + hole.at * scale, axis, half, scale) for hole in chart.holes),
    ]
    parts += _hands(chart, left, scale, axis - half)
    for hole in thumbs:
        parts.append(
            f'<text class="mid" x="{number(left + hole.at * scale)}" y="{number(height - 2)}">thumb</text>'
        )
    return (
        f'<svg class="whole" viewBox="0 0 {number(WIDE)} {number(height)}" role="img" '
        f'aria-label="{label}">{"".join(parts)}</svg>'
    )


def _hole(hole: ChartHole, x: float, axis: float, half: float, scale: float) -> str:
    tall, wide = hole.across * scale / 2.0, hole.diameter * scale / 2.0
    y = axis + half + tall + 2.0 if hole.behind else axis
    return f'<ellipse class="rim" cx="{number(x)}" cy="{number(y)}" rx="{number(wide)}" ry="{number(tall)}"/>'


def _hands(chart: Chart, left: float, scale: float, top: float) -> list[str]:
    """Finger numbers, a line over each hand and its name, short where two names would touch."""
    parts = []
    middles: dict[Hand, float] = {}
    for hand in HANDS:
        own = [hole for hole in chart.holes if hole.hand == hand and not hole.thumb]
        if not own:
            continue
        places = [left + hole.at * scale for hole in own]
        parts += [
            f'<text class="mid" x="{number(x)}" y="{number(top - 4)}">{hole.finger[1:]}</text>'
            for hole, x in zip(own, places, strict=True)
        ]
        low, high = min(places) - 5.0, max(places) + 5.0
        parts.append(f'<path class="hand" d="M{number(low)} {number(top - 16)}H{number(high)}"/>')
        middles[hand] = (low + high) / 2.0
    words = dict(HANDS)
    if len(middles) == 2:
        room = middles["R"] - middles["L"]
        if room < (len(HANDS["L"]) + 1) * LETTER:
            words = {"L": "upper", "R": "lower"}
    parts += [
        f'<text class="mid" x="{number(x)}" y="{number(top - 21)}">{words[hand]}</text>'
        for hand, x in middles.items()
    ]
    return parts
