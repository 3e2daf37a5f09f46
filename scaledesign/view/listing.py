"""A list to choose from that had to be worked out: its lines, what there is to say of each, what Enter does.

Apart because fingerings, charts, trills, scales and other flutes are all shown so. Plain data for the screen;
nothing here knows what is listed.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from scaledesign.values import dataclass
from scaledesign.view.lines import Line

About = Callable[[int, int], tuple[Line, ...]]
"""Lines that say more of one entry, for a width and a height."""


@dataclass(frozen=True, slots=True)
class Tune:
    """Something to hear: pitches one after another, and what they are."""

    notes: tuple[tuple[float, float], ...]
    """Hz and seconds; 0 Hz is a silence."""
    words: str
    """What is heard, as a sentence."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing to choose."""

    line: Line
    about: About
    value: Any = None
    """What is handed back; None where it cannot be taken."""
    words: str = ""
    """What typing is held against."""
    tune: Tune | None = None
    refusal: str = ""
    """Why it cannot be taken."""


@dataclass(frozen=True, slots=True)
class Listing:
    """One list of entries, best first."""

    name: str
    """What it is called beside others."""
    said: str
    """A sentence above it."""
    head: Line
    """What its columns are."""
    entries: tuple[Entry, ...]
    about: int = 6
    """Lines that are kept for what is said of the entry in hand."""
    start: int = 0
    """The entry that is in hand first."""
    verb: str = "take it"
    """What Enter does; '' where there is nothing to take."""
    second: tuple[str, str] = ("", "")
    """Another key and what it does with an entry."""
    always: bool = False
    """Whether that other key needs no entry that can be taken."""
    help: tuple[str, ...] = ()
    """What its columns mean, a paragraph each; asked for with F1."""
    searched: bool = False
    """Whether it is long enough to type a part of a name."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What was chosen, with Enter or the second key."""

    value: Any
    page: int = 0
    """Which of the lists it stood in, from 0."""
    second: bool = False
