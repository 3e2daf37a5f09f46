"""Styled text: spans that say what they mean, and the signs they are drawn with.

Apart because drawings, plots and tables all speak it and only the screen (``ui/look.py``) turns a tone into
colours. A tone names what a thing says at the bench, never a hue; no width of a terminal is known here.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Literal

from scaledesign.values import dataclass

Tone = Literal[
    "plain",
    "faint",  # there, but not what to look at: units, rules, what is still being worked out
    "strong",  # the one thing to look at
    "label",  # names of columns and fields
    "sharp",  # above the target by more than the tolerance
    "flat",  # below it by more than the tolerance
    "true",  # within the tolerance
    "reach",  # a hand cannot cover it, or a rule of the shop is broken
    "wrong",  # text that could not be read
    "held",  # locked or held still
    "moved",  # changed by the last edit
    "wood",  # the tube
    "finger",  # a hand on a hole
]


LEAST = 10
"""Cells of a line, however narrow the screen."""


def tone_of(cents: float, tolerance: float) -> Tone:
    """What it means to be so far off."""
    if abs(cents) <= tolerance or cents != cents:
        return "true"
    return "sharp" if cents > 0 else "flat"


@dataclass(frozen=True, slots=True)
class Span:
    """A run of text with one meaning."""

    text: str
    tone: Tone = "plain"


Line = tuple[Span, ...]
"""One line of a drawing."""


def text_of(line: Line) -> str:
    """A line without its tones."""
    return "".join(span.text for span in line)


def wrapped(
    text: str, width: int, tone: Tone = "plain", indent: str = "", first: str = ""
) -> tuple[Line, ...]:
    """A text in lines of a width, the first begun with ``first``, the others with ``indent``.

    A name with a hyphen in it, such as a file's, is not parted there.
    """
    parts = textwrap.wrap(
        text, max(LEAST, width), initial_indent=first, subsequent_indent=indent, break_on_hyphens=False
    )
    return tuple((Span(part, tone),) for part in parts)


def key_line(keys: Iterable[tuple[str, str]], width: int) -> Line:
    """Keys and what each does, two spans a key: of them, in their order, those that there is room for."""
    spans: list[Span] = []
    for key, words in keys:
        more = (Span(f" {key}", "label"), Span(f" {words} ", "faint"))
        if len(text_of((*spans, *more))) <= width:
            spans += more
    return tuple(spans)


@dataclass(frozen=True, slots=True)
class Signs:
    """The characters that a screen can draw; each a single cell wide."""

    name: str
    closed: str
    opened: str
    half: str
    sharp: str
    flat: str
    true: str
    locked: str
    reach: str
    wrong: str
    toward_mouth: str
    toward_foot: str
    plus_minus: str
    minus: str
    across: str
    """A level line."""
    down: str
    """An upright line."""
    cross: str
    """Where the two meet."""
    full: str
    """A filled cell of a bar."""
    parts: str
    """A bar's last cell, filled less and less: one sign for each eighth, or '' where there are none."""
    point: str
    ellipsis: str
    dots: bool
    """Whether curves are drawn in braille dots, two across and four down a cell."""

    def state(self, state: str) -> str:
        """The sign of a hole's state, X, O or H."""
        return {"X": self.closed, "O": self.opened, "H": self.half}[state]


DRAWN = Signs(
    name="drawn",
    closed="●",
    opened="○",
    half="◐",
    sharp="▲",
    flat="▼",
    true="·",
    locked="▪",
    reach="!",
    wrong="✗",
    toward_mouth="←",
    toward_foot="→",
    plus_minus="±",
    minus="−",
    across="─",
    down="│",
    cross="┼",
    full="█",
    parts="▏▎▍▌▋▊▉",
    point="•",
    ellipsis="…",
    dots=True,
)
TYPED = Signs(
    name="typed",
    closed="X",
    opened="O",
    half="H",
    sharp="^",
    flat="v",
    true=".",
    locked="#",
    reach="!",
    wrong="?",
    toward_mouth="<",
    toward_foot=">",
    plus_minus="~",
    minus="-",
    across="-",
    down="|",
    cross="+",
    full="=",
    parts="",
    point="*",
    ellipsis="&",
    dots=False,
)
"""Plain ASCII, for terminals and fonts that have no more."""
SIGNS = {signs.name: signs for signs in (DRAWN, TYPED)}


def cut(text: str, width: int) -> str:
    """A text of at most a width, with a mark where it was cut."""
    if len(text) <= width:
        return text
    return f"{text[: width - 1].rstrip()}{DRAWN.ellipsis}" if width > 0 else ""


def shortened(line: Line, width: int, ellipsis: str) -> Line:
    """A line of at most a width, with a mark where it was cut."""
    if len(text_of(line)) <= width:
        return line
    spans: list[Span] = []
    left = max(0, width - len(ellipsis))
    for span in line:
        spans.append(Span(span.text[:left], span.tone))
        left -= len(spans[-1].text)
    return (*spans, Span(ellipsis, "faint"))
