"""The dialog about a tube in the hand: its size, and what has a usual answer; then the flute begun of it.

Apart from the list of keys (``tube_list.py``), which is worked out of the answers. Answers stay as typed and
nothing that is typed raises; what is usual is known in ``workshop/usual.py``.
"""

from __future__ import annotations

from dataclasses import field, replace

from scaledesign.errors import ScaledesignError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.model.document import Units
from scaledesign.model.pitch import parse_note
from scaledesign.model.stretches import parse_stretches
from scaledesign.model.tube_words import TubeSize
from scaledesign.values import dataclass
from scaledesign.view.new_flute import NewFlute
from scaledesign.view.questions import Answers, Question, problem_with
from scaledesign.workshop import start, usual
from scaledesign.workshop.start import Wanted
from scaledesign.workshop.tube_advice_verdict import Choice

READY = "Enter shows the keys it can take, best first."


@dataclass(frozen=True)
class TubeInHand(Answers):
    """The answers as typed; '' where nothing was."""

    found: Catalogue = field(repr=False)
    units: Units | None = None
    """What bare numbers are in; None: millimetres."""
    tube: str = ""
    mouth: str = ""
    scale: str = ""
    hand: str = ""
    avoid: str = ""
    key: str = ""

    def questions(self) -> tuple[Question, ...]:
        """The tube first: it alone must be answered."""
        like = {each.name: each for each in self._as_new().questions()}
        shown = usual.EXAMPLE_TUBE[self.units]
        tube = Question(
            "tube",
            "The tube in your hand: bore x wall, and its length if it has one",
            self.tube,
            help="Inside width, thickness of the wall, and how much of it you can use from the sounding edge "
            f"on: {shown}, or with the length behind it.",
            problem=problem_with(self._read_tube, self.tube),
        )
        avoid = Question(
            "avoid",
            "Where no hole may go",
            self.avoid,
            help="Nodes, cracks, bindings, each from one place to another, from the sounding edge on: "
            "171..177, 300..306. Leave it where there are none.",
            problem=problem_with(lambda text: parse_stretches(text, self._units()), self.avoid),
        )
        key = Question(
            "key",
            "A lowest note you have in mind",
            self.key,
            help="It is in hand first, and bores to look for are those for it. Leave it where any will do.",
            problem=problem_with(parse_note, self.key),
        )
        return (tube, like["mouth"], like["scale"], like["hand"], avoid, key)

    def wanted(self) -> Wanted | None:
        """What to work out; its key is '' where none was named. None while an answer cannot be read."""
        if not self.tube.strip() or any(question.problem for question in self.questions()):
            return None
        taken = {question.name: question.taken for question in self.questions()}
        size = self._read_tube(self.tube)
        scale = usual.scale_named(self.found, taken["scale"])
        return Wanted(
            bore=size.bore,
            wall=size.wall,
            key=parse_note(taken["key"]).name if taken["key"] else "",
            scale=scale.name,
            system=usual.usual_system(self.found, scale),
            mouth=usual.mouth_named(taken["mouth"]),
            length=size.length,
            hand=usual.hand_named(taken["hand"]),
            bits=usual.USUAL_BITS[size.units],
            units=size.units,
            avoid=parse_stretches(taken["avoid"], size.units),
        )

    def preview(self) -> str:
        """One line: what Enter does, or what is in the way."""
        if problem := next((each.problem for each in self.questions() if each.problem), ""):
            return problem
        return READY if self.tube.strip() else "First, your tube."

    def _as_new(self) -> NewFlute:
        return NewFlute(self.found, self.units, self.tube, self.mouth, "", self.scale, self.hand)

    def _read_tube(self, text: str) -> TubeSize:
        return start.tube_in_hand(text, self.units)

    def _units(self) -> Units:
        try:
            return self._read_tube(self.tube).units
        except ScaledesignError:
            return self.units or "mm"


@dataclass(frozen=True)
class Begun(Answers):
    """The flute that is begun of a choice: what may be said besides, and is not asked for again."""

    choice: Choice
    name: str = ""
    material: str = ""

    def questions(self) -> tuple[Question, ...]:
        """What you call it and what it is made of; both may be left."""
        return (
            Question("name", "What you call it", self.name, help="It stands on every list and chart."),
            Question("material", "What it is made of", self.material, help="For the cautions."),
        )

    def wanted(self) -> Wanted:
        """What is to be made."""
        return replace(self.choice.wanted, name=self.name.strip(), material=self.material.strip())
