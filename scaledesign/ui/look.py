"""What tones look like: three looks, each a set of colours for what things say at the bench.

The one place that knows a hue. Sharp is orange and flat is blue, which the colour-blind tell apart, and signs
say the same without any colour; the plain look has none at all. Hues after M. Okabe and K. Ito 2008, "Color
universal design", lightened or darkened for their backgrounds.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter
from textual.scrollbar import ScrollBar, ScrollBarRender
from textual.theme import Theme

from scaledesign.values import dataclass
from scaledesign.view.lines import TYPED, Tone

Ground = Literal["page", "head", "cursor", "range", "resting"]
"""What a cell stands on: the page, the column heads, the cursor, its range, a cursor without the focus."""


@dataclass(frozen=True)
class Look:
    """Styles of every tone on every ground."""

    name: str
    theme: Theme
    styles: Mapping[tuple[Tone, Ground], Style]

    def style(self, tone: Tone, ground: Ground = "page") -> Style:
        """The style of a tone on a ground."""
        return self.styles[(tone, ground)]


_TONES: tuple[Tone, ...] = (
    "plain", "faint", "strong", "label", "sharp", "flat", "true", "reach", "wrong", "held", "moved", "wood",
    "finger",
)  # fmt: skip
_BOLD = {"strong", "wrong", "reach"}


def _coloured(name: str, dark: bool, grounds: Mapping[Ground, str], tones: Mapping[Tone, str]) -> Look:
    styles = {}
    for ground, behind in grounds.items():
        for tone in _TONES:
            front = tones["plain"] if (tone, ground) == ("faint", "range") else tones[tone]
            if ground == "cursor":
                front = grounds["page"]
            styles[(tone, ground)] = Style(
                color=front, bgcolor=behind, bold=tone in _BOLD, underline=tone == "moved"
            )
    theme = Theme(
        name=name,
        dark=dark,
        primary=tones["held"],
        secondary=tones["label"],
        accent=tones["held"],
        warning=tones["sharp"],
        error=tones["wrong"],
        success=tones["true"],
        foreground=tones["plain"],
        background=grounds["page"],
        surface=grounds["page"],
        panel=grounds["head"],
    )
    return Look(name, theme, styles)


def _plain() -> Look:
    """No colour: weight, dimness, underline and reversal alone."""
    styles: dict[tuple[Tone, Ground], Style] = {}
    for ground in ("page", "head", "cursor", "range", "resting"):
        for tone in _TONES:
            styles[(tone, ground)] = Style(
                bold=tone in _BOLD,
                dim=tone == "faint" and ground in ("page", "head"),
                underline=tone in ("wrong", "moved") or ground in ("range", "resting"),
                reverse=ground == "cursor",
            )
    theme = Theme(
        name="plain", dark=True, primary="#ffffff", secondary="#ffffff", accent="#ffffff", warning="#ffffff",
        error="#ffffff", success="#ffffff", foreground="#ffffff", background="#000000", surface="#000000",
        panel="#000000",
    )  # fmt: skip
    return Look("plain", theme, styles)


NIGHT = _coloured(
    "night",
    True,
    {"page": "#1b1815", "head": "#2a2520", "cursor": "#e3c48d", "range": "#463b2d", "resting": "#383026"},
    {"plain": "#ddd3c4", "faint": "#a59888", "strong": "#fff8ec", "label": "#c9ae84", "sharp": "#f0a132",
     "flat": "#62b5ef", "true": "#63c9a5", "reach": "#e793bf", "wrong": "#ff8474", "held": "#d9b36c",
     "moved": "#f3e15b", "wood": "#b48c56", "finger": "#cfa882"},
)  # fmt: skip
DAY = _coloured(
    "day",
    False,
    {"page": "#faf5ea", "head": "#ebe1cd", "cursor": "#6b4a1f", "range": "#e8d6b1", "resting": "#efe3c8"},
    {"plain": "#332c24", "faint": "#6b6054", "strong": "#120d08", "label": "#6f5730", "sharp": "#984400",
     "flat": "#005a9c", "true": "#00694f", "reach": "#942a68", "wrong": "#b3141e", "held": "#755610",
     "moved": "#735900", "wood": "#8a6535", "finger": "#785536"},
)  # fmt: skip
PLAIN = _plain()
LOOKS: Mapping[str, Look] = {look.name: look for look in (NIGHT, DAY, PLAIN)}


class Typed(LineFilter):
    """Sentences and answers in plain ASCII, as far as the signs in them are ours."""

    SIGNS = str.maketrans(
        {"±": TYPED.plus_minus, "−": TYPED.minus, "×": "x", "°": " ", "…": TYPED.ellipsis, "♯": "#", "♭": "b",
         "é": "e", "ó": "o", "á": "a"}
    )  # fmt: skip

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The same, cell for cell."""
        return [Segment(text.translate(self.SIGNS), style, control) for text, style, control in segments]


class WholeCells(ScrollBarRender):
    """A scroll bar of whole cells, which every terminal can draw."""

    VERTICAL_BARS = HORIZONTAL_BARS = [" "] * 8


ScrollBar.renderer = WholeCells
