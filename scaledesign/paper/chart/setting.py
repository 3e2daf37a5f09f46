"""What every style needs while it sets one chart: names, cents, staff pieces, sections in playing order.

Apart from the styles so that each of them is about its look only. Staff pieces are engraved once for each
note and kept as pictures for the press.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import field
from typing import Any, TypeVar

from scaledesign.errors import EditError
from scaledesign.model.document import HoleState, Mouth
from scaledesign.model.pitch import Note
from scaledesign.paper.chart.content import Chart, ChartNote, ChartTrill, Way
from scaledesign.paper.chart.marks import INK, Mark, Outline, Picture
from scaledesign.paper.chart.styles import STYLES, Style
from scaledesign.paper.chart_text import BREATHS, breath_words, help_sign
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.engraving import Clef, Frame, frame_of, framed, staff_svg
from scaledesign.paper.note_names import OF_TONIC, note_name
from scaledesign.paper.text import NAME, on_one_line
from scaledesign.values import dataclass

_Made = TypeVar("_Made")

UNHEARD = 3.0
"""Cents off the note as it is written that need no telling."""
LEAST = 7.5
"""pt: small words, at least."""
HEAD_ROOM: Mapping[Mouth, float] = {
    "duct": 10.0, "transverse": 10.0, "notch": 7.0, "rim": 7.0, "open": 7.0,
}  # fmt: skip
"""mm from the mouth end to the first hole, where a tube is 6 mm wide: more where a mouth takes room."""
TITLES = ("First register", "Second register", "Third register")


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the chart under a heading."""

    title: str
    words: str
    breath: int
    """How many breath signs stand at the heading."""
    notes: tuple[ChartNote, ...] = ()
    trills: tuple[ChartTrill, ...] = ()

    @property
    def cards(self) -> tuple[ChartNote | ChartTrill, ...]:
        """What stands in it, in order."""
        return (*self.notes, *self.trills)

    @property
    def overblown(self) -> bool:
        """Whether a breath sign stands anywhere in it."""
        ways = (way.register for note in self.notes for way in note.ways)
        return max([*ways, *(trill.register for trill in self.trills)], default=1) > 1


@dataclass(frozen=True, slots=True)
class Setting:
    """One chart being set."""

    chart: Chart
    """With what was chosen of it (``content.chosen``)."""
    choices: PaperChoices
    style: Style
    clef: Clef
    """The one clef that suits the whole chart."""
    width: float
    """mm between the margins."""
    pictures: dict[str, bytes] = field(default_factory=dict)
    """Files for the press; grows while pieces are asked for."""
    memory: dict[Hashable, Any] = field(default_factory=dict)
    """What was worked out already: a page is tried in many sizes."""

    def once(self, key: Hashable, make: Callable[[], _Made]) -> _Made:
        """What ``make`` gives, worked out the first time it is asked for under ``key``."""
        if key not in self.memory:
            self.memory[key] = make()
        made: _Made = self.memory[key]
        return made

    @property
    def print_size(self) -> float:
        """How much larger than usual small print and headings are."""
        return 1.35 if self.choices.large else 1.0

    def name(self, note: Note) -> str:
        """What the note is called; with its octave where that belongs to the name."""
        language = self.choices.names
        return note_name(note, language, self.chart.tonic, octave=language in OF_TONIC)

    def octave(self, note: Note) -> str:
        """Number of the octave, to stand small after the name."""
        return "" if self.choices.names in OF_TONIC else str(note.octave)

    def frame(self, notes: Sequence[Note]) -> Frame:
        """The frame of the pieces of one line."""
        return self.once(("frame", *notes), lambda: framed(notes, self.clef))

    def staff(
        self,
        frame: Frame,
        notes: Sequence[Note],
        x: float,
        y: float,
        space: float,
        width: float,
        *,
        clef: bool = True,
        lines: bool = True,
        before: Sequence[Note] = (),
    ) -> Picture:
        """A staff piece with its top left at ``x``, ``y``; ``space`` and ``width`` in mm."""
        svg = staff_svg(notes, frame, width=width / space, clef=clef, lines=lines, before=before)
        name = next((name for name, data in self.pictures.items() if data == svg), "")
        if not name:
            name = f"staff-{len(self.pictures) + 1}.svg"
            self.pictures[name] = svg
        return Picture(x, y, width, frame.height * space, name)

    def sections(self) -> tuple[Section, ...]:
        """Registers from low to high, then trills."""
        return self.once("sections", self._sections)

    def _sections(self) -> tuple[Section, ...]:
        made = []
        for i, (title, words) in enumerate(zip(TITLES, BREATHS, strict=True)):
            last = i == len(TITLES) - 1
            notes = tuple(n for n in self.chart.notes if n.register == i + 1 or (last and n.register > i))
            if notes:
                made.append(Section(title, words, i, notes))
        if self.chart.trills:
            made.append(Section("Trills", "arrows join the holes that move", 0, trills=self.chart.trills))
        return tuple(made)


@dataclass(frozen=True, slots=True)
class Fingered:
    """How the fingers lie once: a note, another way to finger it, or one of the two notes of a trill."""

    states: tuple[HoleState, ...]
    register: int
    note: Note | None = None
    """None for another way to finger the note before."""
    bold: bool = False
    after: str = ""
    """What follows the name: cents, a sign of ``chart_text.HELP``."""
    blown: str = ""
    """For another way: how it is blown, where the usual one is blown otherwise."""
    joined: tuple[bool, ...] = ()
    """For the second note of a trill: which holes are joined with those of the first."""


def fingered(card: ChartNote | ChartTrill) -> list[Fingered]:
    """All that a card of a section shows, one after another."""
    if isinstance(card, ChartTrill):
        moves = tuple(a != b for a, b in zip(card.low_states, card.high_states, strict=True))
        low = Fingered(card.low_states, card.register, card.low)
        return [low, Fingered(card.high_states, card.register, card.high, joined=moves)]
    first, *others = card.ways
    after = " ".join(filter(None, (cents(card), help_sign(first.off))))
    usual = Fingered(first.states, first.register, card.note, card.role == "scale", after)
    return [
        usual,
        *(
            Fingered(way.states, way.register, after=help_sign(way.off), blown=blown_words(way, first))
            for way in others
        ),
    ]


def blown_words(way: Way, usual: Way) -> str:
    """How another way is blown, where that differs: ``"blown harder"``; else ''."""
    if way.register == usual.register:
        return ""
    return breath_words(way.register).replace("blow", "blown", 1)


def partly_words(shares: Iterable[float]) -> str:
    """What a partly open hole is, and how far the finger is lifted, in words a hand understands."""
    words = list(
        dict.fromkeys(
            "just a crack" if share <= 0.17 else "a quarter" if share <= 0.37 else
            "half" if share <= 0.63 else "most of it"
            for share in sorted(shares)
        )
    )  # fmt: skip
    how_much = f": {words[0]}" + (f" to {words[-1]}" if len(words) > 1 else "") if words else ""
    return f"partly open{how_much}"


def title_of(chart: Chart, names: str) -> str:
    """The flute's name on one line, or the key that it is in where it has none."""
    called = note_name(chart.tonic, "english" if names in OF_TONIC else names)
    return on_one_line(chart.name, NAME) or f"Flute in {called}"


def setting_of(chart: Chart, choices: PaperChoices, width: float) -> Setting:
    """Begin a chart.

    Raises
    ------
    EditError
        when nobody knows the style.
    """
    if choices.style not in STYLES:
        raise EditError(f"{choices.style!r} is no style of chart", f"choose one of {', '.join(STYLES)}")
    heads = [note.note for note in chart.notes]
    heads += [note for trill in chart.trills for note in (trill.low, trill.high)]
    return Setting(chart, choices, STYLES[choices.style], frame_of(heads).clef, width)


def cents(note: ChartNote) -> str:
    """How far the wanted pitch lies from the note as written, where that can be heard; else ''."""
    if abs(note.off) <= UNHEARD:
        return ""
    return f"{'+' if note.off > 0 else '−'}{abs(note.off):.0f}"


def breath_signs(
    x: float, y: float, size: float, many: int, line: float = 0.4, *, upright: bool = True
) -> tuple[Mark, ...]:
    """Chevrons toward a mouth, the last one's tip at ``x``, ``y``; ``size`` mm broad.

    They point down at a flute that stands upright, to the right at one that lies with its mouth to the left.
    """
    half, deep, step = size / 2, size * 0.38, size * 0.42
    if upright:
        points = ((-half, -deep), (0.0, 0.0), (half, -deep))
        return tuple(Outline(x, y - i * step, points, line, INK) for i in range(many))
    points = ((-deep, -half), (0.0, 0.0), (-deep, half))
    return tuple(Outline(x - i * step, y, points, line, INK) for i in range(many))
