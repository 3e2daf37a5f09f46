"""The dialog for a new flute: a few questions, what they would come to, and the flute made of them.

Apart from the screen so that every answer can be tried as plain data. Answers stay as typed; the usual ones
are there from the start and follow the tube until the maker says otherwise. What is usual is known in
``workshop/usual.py``, what a flute must be in ``workshop/start.py``; here are only words.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field, replace
from functools import lru_cache

from scaledesign.errors import EditError, ScaledesignError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.model.bits import NAMES as BITS
from scaledesign.model.document import Units
from scaledesign.model.hands import HANDS
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.model.scale import Scale
from scaledesign.model.tube_words import TubeSize
from scaledesign.model.units import INCH, format_length
from scaledesign.solver.solution import Solution
from scaledesign.values import dataclass
from scaledesign.view.questions import Answers, Choice, Question, problem_with
from scaledesign.workshop import start, usual
from scaledesign.workshop.advice import COMFORTABLE, WEAKNESS, verdict
from scaledesign.workshop.book import Book
from scaledesign.workshop.book_words import better
from scaledesign.workshop.from_book import advice_for, new_from_book
from scaledesign.workshop.start import Wanted

QUESTIONS = ("tube", "mouth", "key", "scale", "hand")
ABOUT: dict[Units, float] = {"mm": 1e-3, "in": float(INCH) / 8}
"""m to which a length is rounded before anything is laid out."""


ReadBook = Callable[[bool], Book | None]
"""The maker's book, None where there is none or it is not read yet; True waits for it. Raises where its
folder cannot be read."""


def _no_book(wait: bool) -> None:
    return None


@dataclass(frozen=True)
class NewFlute(Answers):
    """The answers as typed; '' where nothing was. Nothing that is typed raises."""

    found: Catalogue = field(repr=False)
    units: Units | None = None
    """What bare numbers are in; None: millimetres."""
    tube: str = ""
    mouth: str = ""
    key: str = ""
    scale: str = ""
    hand: str = ""
    system: str = ""
    bits: str = ""
    material: str = ""
    name: str = ""
    book: ReadBook = field(default=_no_book, repr=False)

    def questions(self) -> tuple[Question, ...]:
        """The five, in the order a maker knows the answers."""
        return (
            Question(
                "tube",
                "Your tube: bore x wall, and its length if it is all you have",
                self.tube,
                help=f"Inside width and thickness of the wall, such as {usual.EXAMPLE_TUBE[self.units]}. Add "
                "the length, sounding edge to foot, only where the tube cannot be longer.",
                problem=problem_with(self._read_tube, self.tube),
            ),
            Question(
                "mouth",
                "How it is blown",
                self.mouth,
                usual.USUAL_MOUTH,
                "The mouth adds to the length of the tube, each kind by another amount.",
                tuple(Choice(name, words) for name, words in usual.MOUTHS.items()),
                problem=problem_with(usual.mouth_named, self.mouth),
            ),
            self._key_question(),
            Question(
                "scale",
                "The scale it plays",
                self.scale,
                self._usual_scale(),
                "The notes you get as you open one hole after another.",
                tuple(Choice(s.name, usual.scale_words(s)) for s in usual.playable(self.found)),
                problem=problem_with(lambda text: usual.scale_named(self.found, text), self.scale),
            ),
            Question(
                "hand",
                "Hands that will play it",
                self.hand,
                usual.USUAL_HAND,
                "Holes are kept where these hands reach them and cover them whole. Reach: from index to "
                "middle finger, in comfort. Tip: how broad a finger is.",
                self._hands(),
                self._hand(),
                problem_with(usual.hand_named, self.hand),
            ),
        )

    def extras(self) -> tuple[Question, ...]:
        """What may be said besides."""
        scale = self._scale()
        fitting = usual.systems_to_choose(self.found, scale) if scale else ()
        return (
            Question(
                "system",
                "Fingering",
                self.system,
                usual.usual_system(self.found, scale) if scale else "",
                "How many holes, and which fingers cover them. Those are listed that play your scale. "
                f"{self._fingers()}".rstrip(),
                tuple(Choice(name, words) for name, words in fitting),
                problem=problem_with(self._read_system, self.system),
            ),
            Question(
                "bits",
                "Your bits",
                self.bits,
                usual.USUAL_BITS[self._units()],
                "Every hole comes out as wide as one of these.",
                tuple(Choice(name) for name in BITS),
                problem=problem_with(usual.bits_named, self.bits),
            ),
            Question("material", "What it is made of", self.material, help="For the cautions."),
            Question("name", "What you call it", self.name, help="It stands on every list and chart."),
        )

    def wanted(self) -> Wanted | None:
        """What is to be made, None while an answer is missing, cannot be read or makes no flute."""
        want = self._read()
        return None if isinstance(want, str) or _outlook(_bare(want))[0] else want

    def preview(self) -> str:
        """One line: what it would become, or what is in the way."""
        want = self._read()
        if isinstance(want, str):
            return want
        problem, length = _outlook(_bare(want))
        return problem or " ".join(filter(None, (_told(want, length), self._by_the_book(want, length))))

    def _by_the_book(self, want: Wanted, length: float) -> str:
        """What the maker's finished flutes are worth to it, as a sentence; '' where there are none."""
        try:
            book = self.book(False)
        except ScaledesignError as error:
            return str(error)
        return "" if book is None else _worth(_bare(want), length, book)

    def _read(self) -> Wanted | str:
        """The answers read, or the first problem, or the first question that only the maker can answer."""
        asked = (*self.questions(), *self.extras())
        if problem := next((question.problem for question in asked if question.problem), ""):
            return problem
        if missing := next((question for question in asked[: len(QUESTIONS)] if not question.taken), None):
            return f"First, {missing.words[0].lower()}{missing.words[1:]}."
        taken = {question.name: question.taken for question in asked}
        size = self._read_tube(taken["tube"])
        return Wanted(
            bore=size.bore,
            wall=size.wall,
            key=parse_note(taken["key"]).name,
            scale=self.found.scale(taken["scale"]).name,
            system=self.found.system(taken["system"]).name,
            mouth=usual.mouth_named(taken["mouth"]),
            length=size.length,
            hand=usual.hand_named(taken["hand"]),
            bits=usual.bits_named(taken["bits"]),
            material=taken["material"],
            name=taken["name"],
            units=size.units,
        )

    def _read_tube(self, text: str) -> TubeSize:
        return start.tube_in_hand(text, self.units)

    def _size(self) -> TubeSize | None:
        try:
            return self._read_tube(self.tube)
        except ScaledesignError:
            return None

    def _units(self) -> Units:
        size = self._size()
        return size.units if size else self.units or "mm"

    def _key_question(self) -> Question:
        size = self._size()
        mouth = usual.USUAL_MOUTH
        if self.mouth.strip() and not problem_with(usual.mouth_named, self.mouth):
            mouth = usual.mouth_named(self.mouth)
        key = usual.usual_key(size.bore, size.wall, mouth, size.length) if size else ""
        note = "usual for this bore" if key and not self.key.strip() else ""
        if note and size and usual.is_short(size.bore, size.length):
            note = "about the deepest that this tube is long enough for"
        return Question(
            "key",
            "The lowest note, all holes closed",
            self.key,
            key,
            "A4 or F#4, say. The deeper, the longer the flute; "
            f"{COMFORTABLE[0]:.0f} to {COMFORTABLE[1]:.0f} times as long as its bore is wide plays best.",
            note=note,
            problem=problem_with(parse_note, self.key),
        )

    def _usual_scale(self) -> str:
        for system in (self.system, ""):
            try:
                return usual.scale_named(self.found, usual.usual_scale(self.found, system.strip())).name
            except ScaledesignError:
                continue
        return next((scale.name for scale in usual.playable(self.found)), "")

    def _scale(self) -> Scale | None:
        try:
            return usual.scale_named(self.found, self.scale.strip() or self._usual_scale())
        except ScaledesignError:
            return None

    def _read_system(self, text: str) -> str:
        scale = self._scale()
        return usual.system_named(self.found, text, scale) if scale else self.found.system(text).name

    def _hands(self) -> tuple[Choice, ...]:
        units = self._units()
        return tuple(
            Choice(
                name,
                f"index to middle finger up to {format_length(hand.spread[0], units)}, finger tips "
                f"{format_length(hand.pad, units)} broad",
            )
            for name, hand in HANDS.items()
        )

    def _hand(self) -> str:
        """What the hand is: how far its fingers reach, and how broad they are."""
        if problem_with(usual.hand_named, self.hand):
            return ""
        meant, units = HANDS[usual.hand_named(self.hand.strip() or usual.USUAL_HAND)], self._units()
        reach, tip = format_length(meant.spread[0], units, unit=False), format_length(meant.pad, units)
        return f"reach {reach}, tip {tip}"

    def _fingers(self) -> str:
        """How the fingers go, in words."""
        scale = self._scale()
        if scale is None or problem_with(self._read_system, self.system):
            return ""
        name = self.system.strip() or usual.usual_system(self.found, scale)
        return f"{name}: {self.found.system(name).words}" if name else ""


def made(flute: NewFlute) -> Solution:
    """The flute laid out and solved; takes a moment.

    Raises
    ------
    EditError
        when an answer is missing or makes no flute.
    ScaledesignError
        when the flute cannot be laid out.
    """
    want = flute.wanted()
    if want is None:
        raise EditError(flute.preview().rstrip("."), "answer that first")
    try:
        book = flute.book(True)
    except ScaledesignError:  # the preview said so
        book = None
    return new_from_book(want, book)


@lru_cache(maxsize=16)
def _worth(want: Wanted, length: float, book: Book) -> str:
    advice = advice_for(want, book, length)
    return f"Lowest note {better(advice, advice.cents)}."


def _bare(want: Wanted) -> Wanted:
    """Without what changes nothing of the length."""
    return replace(want, scale="", system="", hand="", bits="", material="", name="")


@lru_cache(maxsize=64)
def _outlook(want: Wanted) -> tuple[str, float]:
    """Why it makes no flute, or ''; and the length (m) that the key wants."""
    design = start.blank_design(want)
    try:
        return "", start.require_a_flute(
            design, note_frequency(parse_note(want.key), design.tuning.reference)
        )
    except ScaledesignError as error:
        return str(error), 0.0


def _told(want: Wanted, length: float) -> str:
    """What a tube of that length would be like."""
    ratio, about = length / want.bore, _about(length, want.units)
    if want.length is not None and want.length < length:
        return (
            f"{want.key} wants about {about} and your tube has {_about(want.length, want.units)}: "
            "its lowest notes will be sharp."
        )
    return f"About {about} long, {ratio:.0f} bores: {_verdict(ratio)}."


def _about(metres: float, units: Units) -> str:
    step = ABOUT[units]
    return format_length(round(round(metres / step) * step, 9), units, "exact" if units == "mm" else "paper")


def _verdict(ratio: float) -> str:
    """Of so many bores of length, with the remedy where one is wanted."""
    words = verdict(ratio)
    if words not in WEAKNESS:
        return words
    way = "a higher key or a wider bore" if words == "too slender" else "a deeper key or a narrower bore"
    return f"{words}, {WEAKNESS[words]}; take {way}"
