"""What a maker did that was not the step as told: the questions of one small dialog, as plain data."""

from __future__ import annotations

from scaledesign.errors import EditError, ScaledesignError
from scaledesign.model.pitch import parse_reading
from scaledesign.model.units import parse_length
from scaledesign.model.widths import drilled_now
from scaledesign.values import dataclass
from scaledesign.view.bench_words import Words
from scaledesign.view.lines import Line, wrapped
from scaledesign.view.questions import Answers, Choice, Question, problem_with
from scaledesign.workshop.noting import Act, ActKind, Told

KINDS: dict[str, ActKind] = {
    "drilled": "drilled", "opened": "opened", "undercut": "undercut", "filled": "filled", "cut": "cut",
}  # fmt: skip
BARE = "blew the bare tube"
_WORDS = {
    "drilled": "a new hole",
    "opened": "a hole is wider now, by bit, file or knife",
    "undercut": "a hole is wider at the bore",
    "filled": "a hole is narrower now",
    "cut": "the foot is shorter now",
    BARE: "every hole taped, or none there yet",
}


@dataclass(frozen=True)
class Other(Answers):
    """The answers as typed. Nothing that is typed raises."""

    words: Words
    hole_now: int | None
    """0-based: the hole in hand, which is meant where none is named."""
    temperature: float
    what: str = ""
    hole: str = ""
    size: str = ""
    tuner: str = ""

    @property
    def kind(self) -> str:
        """What was done, as it is called here."""
        return self.what.strip() or ("opened" if drilled_now(self.words.design) else "cut")

    def questions(self) -> tuple[Question, ...]:
        """What, on which hole, how wide, and what the tuner showed."""
        kind = self.kind
        usual = "" if self.hole_now is None else str(self.hole_now + 1)
        count = len(self.words.design.holes)
        holes = tuple(Choice(str(i + 1), self.words.named(i).partition(" ")[2]) for i in range(count))
        sizes = {"undercut": "how much wider at the bore", "cut": "how long it is now"}
        return (
            Question(
                "what", "What did you do?", self.what, kind,
                choices=tuple(Choice(name, words) for name, words in _WORDS.items()),
                problem=problem_with(self._known, self.what),
            ),
            Question(
                "hole", "On which hole?", self.hole, usual, "1 is nearest the mouth.", holes,
                problem=problem_with(self._hole, self.hole), asked=kind in KINDS and kind != "cut",
            ),
            Question(
                "size", f"{sizes.get(kind, 'how wide it is now').capitalize()}", self.size,
                help='Such as "5.5 mm" or "7/32 in".', problem=problem_with(self._length, self.size),
                asked=kind in KINDS,
            ),
            Question(
                "tuner", "What did the tuner show then?", self.tuner,
                help='A note and its cents, such as "A4 -4". Leave it empty where you blow later.',
                problem=problem_with(parse_reading, self.tuner),
            ),
        )  # fmt: skip

    @property
    def ready(self) -> bool:
        """Whether there is enough to note."""
        asked = [question for question in self.questions() if question.asked]
        if any(question.problem for question in asked):
            return False
        if self.kind == BARE:
            return bool(self.tuner.strip())
        return bool(self.size.strip()) and all(q.taken for q in asked if q.name == "hole")

    def told(self) -> Told:
        """What was done and heard.

        Raises
        ------
        QuantityError, EditError
        """
        said = self.tuner.strip()
        if self.kind == BARE:
            return Told(blew=said, bare=True, temperature=self.temperature)
        hole = None if self.kind == "cut" else self._hole(self.hole.strip() or str((self.hole_now or 0) + 1))
        act = Act(KINDS[self.kind], self._length(self.size), hole)
        return Told(acts=(act,), blew=said, temperature=self.temperature)

    def tail(self, width: int) -> tuple[Line, ...]:
        """What will be noted."""
        if not self.ready or self.kind == BARE:
            return ((),)
        try:
            return wrapped(self.words.done(self.told().acts[0]), width, "true")
        except ScaledesignError as error:
            return wrapped(str(error), width, "wrong")

    def _known(self, text: str) -> None:
        if text.strip() not in _WORDS:
            raise EditError(f"{text.strip()!r} is none of these", "choose one with Up and Down")

    def _hole(self, text: str) -> int:
        count = len(self.words.design.holes)
        if not text.strip().isdecimal() or len(text) > 9 or not 1 <= int(text) <= count:
            raise EditError(f"There is no hole {text.strip()}", f"holes are 1 to {count}")
        return int(text) - 1

    def _length(self, text: str) -> float:
        return parse_length(text.strip(), self.words.units)
