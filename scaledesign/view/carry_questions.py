"""The dialog for carrying a pattern over: tube, key, scale, hand, the pattern's own as usual answers.

Apart from the screen so that it can be tried as plain data. The carrying is ``workshop/carry.py``'s.
"""

from __future__ import annotations

from scaledesign.errors import ScaledesignError
from scaledesign.model.document import Design
from scaledesign.model.hands import HANDS
from scaledesign.model.pitch import parse_note
from scaledesign.model.saying import begun
from scaledesign.model.spelling import tuner_note
from scaledesign.model.stretches import parse_stretches
from scaledesign.model.tube_words import TubeSize
from scaledesign.model.units import format_length
from scaledesign.values import dataclass
from scaledesign.view.questions import Answers, Choice, Question, problem_with
from scaledesign.workshop import ask, start, usual
from scaledesign.workshop.carry import Other, own_key
from scaledesign.workshop.reach import hand_words

ASKED = 4
"""How many of them lead to the end."""
NO, YES = "in tune", "as it plays"


@dataclass(frozen=True)
class CarryOver(Answers):
    """The answers as typed; '' where nothing was. Nothing that is typed raises."""

    pattern: Design
    tube: str = ""
    key: str = ""
    scale: str = ""
    hand: str = ""
    avoid: str = ""
    habits: str = ""
    name: str = ""

    def questions(self) -> tuple[Question, ...]:
        """All of them, the first four first."""
        pattern, offers = self.pattern, ask.offers()
        hand = pattern.shop.hand
        return (
            Question(
                "tube", "The new tube: bore x wall, and its length if it is all you have", self.tube,
                self._own_tube(),
                f"Such as {usual.EXAMPLE_TUBE[pattern.units]}. Holes and mouth change with the bore.",
                problem=problem_with(self._read_tube, self.tube),
            ),
            Question(
                "key", "The lowest note, all holes closed", self.key, pattern.tuning.tonic,
                "In the key that the bore has in proportion everything keeps its shape; the further from it, "
                "the more has to give.", note=self._in_proportion(),
                problem=problem_with(parse_note, self.key),
            ),
            Question(
                "scale", "The scale it plays", self.scale, pattern.tuning.scale or "own scale",
                "A scale of as many notes keeps the pattern's fingerings.",
                tuple(Choice(s.name, usual.scale_words(s)) for s in usual.playable(offers)),
                problem=problem_with(lambda text: usual.scale_named(offers, text), self.scale),
            ),
            Question(
                "hand", "Hands that will play it", self.hand,
                hand if isinstance(hand, str) else "as the pattern's",
                "Where these hands do not reach, holes give way: that is told.",
                tuple(Choice(name, hand_words(name, pattern.units)) for name in HANDS),
                problem=problem_with(usual.hand_named, self.hand),
            ),
            Question(
                "avoid", "Where the new tube takes no hole", self.avoid, "",
                'Nodes, cracks, bindings, from the sounding edge: "171..177, 300..306".',
                problem=problem_with(lambda text: parse_stretches(text, pattern.units), self.avoid),
            ),
            Question(
                "habits", "Its notes", self.habits, NO,
                "In tune, or each as far off as the pattern was read to be.",
                (Choice(NO, "every note where the scale has it"), Choice(YES, "its intervals as read")),
                problem=problem_with(_habit, self.habits),
            ),
            Question("name", "What you call it", self.name, f"After {pattern.name}" if pattern.name else ""),
        )  # fmt: skip

    def wanted(self) -> Other | None:
        """What is to be otherwise; None while an answer cannot be read."""
        if any(question.problem for question in self.questions()):
            return None
        return Other(
            tube=self._read_tube(self.tube) if self.tube.strip() else None,
            avoid=parse_stretches(self.avoid, self.pattern.units),
            key=parse_note(self.key).name if self.key.strip() else "",
            scale=usual.scale_named(ask.offers(), self.scale).name if self.scale.strip() else "",
            hand=usual.hand_named(self.hand) if self.hand.strip() else "",
            as_it_plays=self.habits.strip().casefold() == YES,
            name=self.name.strip(),
        )

    def preview(self) -> str:
        """One line: what is in the way, or what will be made."""
        for question in self.questions():
            if question.problem:
                return question.problem
        key = self.key.strip() or self.pattern.tuning.tonic
        size, units = self._size(), self.pattern.units
        bore = size.bore if size else self.pattern.tube.bore[0].value
        said = f"{key} in a bore of {format_length(bore, units)}, after {self.pattern.name or 'this flute'}."
        return f"{said} {begun(own)}." if (own := self._in_proportion()) else said

    def _read_tube(self, text: str) -> TubeSize:
        return start.tube_in_hand(text, self.pattern.units)

    def _size(self) -> TubeSize | None:
        try:
            return self._read_tube(self.tube) if self.tube.strip() else None
        except ScaledesignError:
            return None

    def _own_tube(self) -> str:
        tube, units = self.pattern.tube, self.pattern.units
        bore = format_length(tube.bore[0].value, units, unit=False)
        return f"{bore} x {format_length(tube.wall[0].value, units)}, alike"

    def _in_proportion(self) -> str:
        size = self._size()
        grown = size.bore / self.pattern.tube.bore[0].value if size else 1.0
        try:
            note, cents = tuner_note(self.pattern, own_key(self.pattern, grown))
        except (ScaledesignError, ValueError):
            return ""
        return f"in proportion {note.name} {cents:+.0f}" if size else ""


def _habit(text: str) -> str:
    answer = text.strip().casefold()
    if answer not in (NO, YES):
        from scaledesign.errors import QuantityError

        raise QuantityError(text, "is no answer", f"choose {NO}, or {YES}")
    return answer
