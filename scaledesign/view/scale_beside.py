"""One flute under several tunings: which to try, and each with what would move, how well and within reach.

Apart from the reckoning (``workshop/beside.py``), which the ``compare`` command shares. Plain data for the
screen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import field
from functools import cached_property
from math import isfinite

from scaledesign.errors import ScaledesignError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.model.document import Design
from scaledesign.model.scale import Scale
from scaledesign.model.units import HAND_STEP, format_length
from scaledesign.values import dataclass
from scaledesign.view.columns import Sheet
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.found_lines import PICTURE, off_span
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.view.questions import Answers, Choice, Question
from scaledesign.view.scale_degrees import scale_of
from scaledesign.view.wording import plain, sentence
from scaledesign.workshop.asked import Asked, asked
from scaledesign.workshop.beside import Tried

NAMES = ("first", "second", "third", "fourth")
NEEDED = 2
NAME = 28
"""Letters of a tuning."""
MOVED = 12
"""Letters of what moves most."""
BELOW = 10
"""Lines beneath: the flute, and words."""
HELP = (
    "worst, at: the note of the scale that is furthest off once the holes are solved for it, in cents.",
    "octaves: notes whose octave speaks.",
    "spare: what the hand could still reach further; less than nothing is too far.",
    "moves most: the hole, or the foot, that would lie furthest from where it is. All that moves is beneath.",
    "Enter takes the tuning and its holes over as one step.",
)
"""What the columns mean."""


@dataclass(frozen=True)
class Tunings(Answers):
    """The tunings to try, as typed."""

    design: Design = field(repr=False)
    found: Catalogue = field(repr=False)
    first: str = ""
    second: str = ""
    third: str = ""
    fourth: str = ""

    @cached_property
    def nearest(self) -> tuple[Scale, ...]:
        """Scales that the rows of this flute can follow, those nearest to its own first."""
        own = scale_of(self.design.tuning)
        system = self.design.instrument.system
        known = {each.name: each for each in self.found.systems()}
        if own is None:
            return self.found.scales()
        like = [each for each in self.found.scales() if len(each.cents) == len(own.cents)]
        like = [each for each in like if (each.cents, each.period) != (own.cents, own.period)]
        plays = system in known
        rest = [
            each
            for each in self.found.scales()
            if plays and len(each.cents) != len(own.cents) and known[system].fits(each)
        ]
        return (*sorted(like, key=lambda each: _distance(each, own)), *rest)

    def questions(self) -> tuple[Question, ...]:
        """Two tunings, and two more if wanted."""
        choices = tuple(Choice(each.name, f"{len(each.cents)} notes. {each.words}") for each in self.nearest)
        usual = [choice.answer for choice in choices[:NEEDED]]
        usual += [""] * (len(NAMES) - len(usual))
        return tuple(
            Question(
                name, f"The {name} tuning to try" + ("" if place < NEEDED else ", if you like"),
                getattr(self, name), usual[place],
                "A scale; on another tonic: just major on G4. The nearest come first.",
                choices, problem=self._problem(getattr(self, name)),
            )
            for place, name in enumerate(NAMES)
        )  # fmt: skip

    def _problem(self, text: str) -> str:
        if not text.strip():
            return ""
        try:
            asked(text, self.design.tuning, self.found)
        except ScaledesignError as error:
            return sentence(error)
        return ""

    @property
    def ready(self) -> bool:
        """Whether there is something to try."""
        questions = self.questions()
        return not any(question.problem for question in questions) and any(each.taken for each in questions)

    def wishes(self) -> tuple[Asked, ...]:
        """The tunings, each once.

        Raises
        ------
        ScaledesignError
        """
        texts = dict.fromkeys(question.taken for question in self.questions() if question.taken)
        return tuple(asked(text, self.design.tuning, self.found) for text in texts)

    def tail(self, width: int) -> tuple[Line, ...]:
        """What will happen."""
        if not self.ready:
            return ((Span("Name one at least.", "faint"),),)
        said = "The holes are solved for each; nothing is taken until you say so."
        return wrapped(said, width)


def _distance(one: Scale, other: Scale) -> float:
    """Cents between two scales of as many degrees, all together."""
    pairs = zip((*one.cents, one.period), (*other.cents, other.period), strict=True)
    return sum(abs(a - b) for a, b in pairs)


def beside_list(sheet: Sheet, tried: Iterable[Tried]) -> Listing:
    """What each tuning would come to; the first that can be taken is in hand."""
    found = tuple(tried)
    head = (
        Span(f"{''.ljust(NAME)}  worst  at   octaves  spare  ", "label"),
        Span(f"moves most, {sheet.design.units}", "label"),
    )
    entries = tuple(_entry(sheet, one, index > 0) for index, one in enumerate(found))
    start = next((i for i, one in enumerate(found) if i and one.variant), min(1, len(found) - 1))
    said = (
        "The holes solved for each: the note furthest off in cents, octaves that speak, what the hand could "
        "still reach further."
    )
    return Listing(
        "tunings", said, head, entries, BELOW, start=start, verb="retunes the flute to it", help=HELP
    )


def _entry(sheet: Sheet, one: Tried, takes: bool) -> Entry:
    signs, units = sheet.signs, sheet.design.units
    name = one.words.removesuffix(f" on {sheet.design.tuning.tonic}")
    name = name if len(name) <= NAME else f"{name[: NAME - 1]}{signs.ellipsis}"
    about = _about(sheet, one)
    if one.variant is None:
        line: Line = (Span(name.ljust(NAME), "strong"), Span("  cannot be tried", "reach"))
        return Entry(line, about, None, one.words, refusal=plain(one.problem))
    worth, design = one.variant.worth, one.variant.design
    note = "" if worth.worst_row is None else design.rows[worth.worst_row].note
    spare = format_length(worth.spare, units, unit=False) if isfinite(worth.spare) else ""
    line = (
        Span(name.ljust(NAME), "strong"),
        off_span(sheet, worth.worst, 7) if isfinite(worth.worst) else Span(" " * 7),
        Span(f" {note[:5]:<5}", "faint"),
        Span(f"{f'{worth.octaves} of {worth.of_octaves}' if worth.of_octaves else '':>8}"),
        Span(f"{spare:>7}", "reach" if worth.spare < 0 else "plain"),
        Span(f"  {_most(sheet.design, design):<{MOVED}}"),
    )
    refusal = "That is the flute as it stands; choose a tuning."
    return Entry(line, about, design if takes else None, one.words, refusal=refusal)


def _most(first: Design, other: Design) -> str:
    """The hole, or the foot, that moves furthest: ``"hole 6, 3.1"``."""
    if first is other or len(first.holes) != len(other.holes):
        return ""
    shifts = [
        (abs(new.at - old.at), f"hole {i}")
        for i, (old, new) in enumerate(zip(first.holes, other.holes, strict=True), 1)
    ]
    shifts.append((abs(other.tube.length - first.tube.length), "foot"))
    size, who = max(shifts)
    if size < HAND_STEP[first.units] / 2:
        return "nothing"
    return f"{who}, {format_length(size, first.units, unit=False)}"


def _about(sheet: Sheet, one: Tried) -> Callable[[int, int], tuple[Line, ...]]:
    """The flute as it would be, and everything that moves, in words."""

    def lines(width: int, height: int) -> tuple[Line, ...]:
        if one.variant is None:
            said = plain(one.problem)
            return wrapped(f"{one.words}: {said}", width, "reach")
        design = one.variant.design
        states = design.rows[0].holes if design.rows else ()
        picture = flute_lines(design, sheet.signs, width, PICTURE, states=states)
        moves = "; ".join(one.variant.differs)
        words = "The flute as it stands." if one.variant.design is sheet.design else ""
        words = words or f"{one.words}: {moves or 'nothing moves'}."
        text = [*wrapped(words, width)]
        told = [plain(said) for said in (*one.binding, *one.variant.worth.broken)]
        if one.stayed:
            rows = ", ".join(str(row + 1) for row in one.stayed)
            told.append(f"Without a note in it, as before: row {rows}.")
        text += (line for said in told for line in wrapped(said, width, "reach"))
        room = height - PICTURE
        if len(text) > room:
            text = [*text[: room - 1], (Span("And more: scaledesign compare --tuning tells all.", "faint"),)]
        return (*picture, *text)

    return lines
