"""The dialog that keeps a scale: among one's own, or in a file, under which name.

Plain data: a name or a path is checked as it is typed, the contents are made; nothing is written here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from functools import cached_property
from pathlib import Path
from typing import Literal

from scaledesign.errors import EditError, ScaledesignError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.model.document import Design
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Scale, Tuned
from scaledesign.values import dataclass
from scaledesign.view.file_questions import place_of, trouble_with
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.questions import Answers, Choice, Question
from scaledesign.view.scale_degrees import scale_of
from scaledesign.view.scale_files import Form, contents, own_place, plain_name, scale_to_keep
from scaledesign.view.wording import sentence

Where = Literal["my scales", "scale file", "MIDI tuning", "MIDI notes"]
WORDS: Mapping[Where, str] = {
    "my scales": "from then on found by its name, in every flute",
    "scale file": "a text to pass on (.toml)",
    "MIDI tuning": "the whole keyboard for an instrument, one bulk dump (.syx)",
    "MIDI notes": "the same as single-note changes, which retune while it sounds (.syx)",
}
FORMS: Mapping[Where, Form] = {"scale file": "toml", "MIDI tuning": "bulk", "MIDI notes": "notes"}
OWN = "my scales"
UNNAMED = "own degrees"


@dataclass(frozen=True)
class Kept:
    """What is to be written."""

    scale: Scale
    path: Path
    data: bytes | None
    """None: it goes among one's own scales."""


@dataclass(frozen=True)
class Keeping(Answers):
    """The answers as typed."""

    design: Design = field(repr=False)
    found: Catalogue = field(repr=False)
    folder: Path = Path()
    where: str = ""
    name: str = ""
    words: str = ""
    file: str = ""

    def questions(self) -> tuple[Question, ...]:
        """Where to, called what, and for a file which."""
        typed = self.where.strip()
        unknown = (
            f"{typed!r} is not among them; choose {', '.join(WORDS)}." if typed not in ("", *WORDS) else ""
        )
        own = self.place == OWN
        return (
            Question(
                "where", "Where to keep this scale", self.where, OWN,
                choices=tuple(Choice(name, words) for name, words in WORDS.items()), problem=unknown,
            ),
            Question(
                "name", "What to call it", self.name, self._usual_name,
                "A name that no other scale has." if own else "", problem=self._taken,
            ),
            Question(
                "words", "A line about it", self.words, self._scale.words if self._scale else "",
                "It stands beside the name in every list.",
            ),
            Question(
                "file", "To which file", self.file, "" if own else self.path.name,
                "Your own scales have a folder of their own: nothing to answer here."
                if own else f"Names without a folder go to {self.folder}.",
                note="replaces the file that is there" if not own and self.path.exists() else "",
                problem="" if own else self._trouble,
            ),
        )  # fmt: skip

    @property
    def place(self) -> Where:
        """Where to, as far as it is known."""
        return next((known for known in WORDS if known == self.where.strip()), "my scales")

    @cached_property
    def _scale(self) -> Scale | None:
        return scale_of(self.design.tuning)

    @property
    def _usual_name(self) -> str:
        """The scale's own, where it goes into a file; '' where only the maker can name it."""
        told = self.design.tuning
        if self.place == OWN:
            return ""
        return told.scale or (f"{self.design.name} scale" if self.design.name else UNNAMED)

    @cached_property
    def _made(self) -> Scale | str:
        """The scale under its name, or why there is none."""
        name = self.name.strip() or self._usual_name
        if self._scale is None:
            return "Nobody offers the scale of this flute: choose another first."
        if not name:
            return "Type a name for it."
        try:
            return scale_to_keep(self.design, self._scale, name, self.words)
        except ScaledesignError as error:
            return sentence(error)

    @cached_property
    def _taken(self) -> str:
        """Why the name will not do."""
        if not self.name.strip():
            return ""
        if isinstance(self._made, str):
            return self._made
        if self.place == OWN:
            try:
                own_place(self._made, self.found)
            except ScaledesignError as error:
                return sentence(error)
        return ""

    @property
    def path(self) -> Path:
        """The file meant."""
        ending = ".toml" if self.place in (OWN, "scale file") else ".syx"
        name = self.name.strip() or self._usual_name
        path = place_of(self.file.strip() or f"{plain_name(name)}{ending}", self.folder)
        return path if path.suffix or not path.name else path.with_suffix(ending)

    @property
    def _trouble(self) -> str:
        path = self.path
        if trouble := trouble_with(path):
            return trouble
        ending = ".toml" if self.place == "scale file" else ".syx"
        if path.suffix.lower() != ending:
            return f"A {self.place} has a name that ends in {ending}."
        return ""

    @property
    def ready(self) -> bool:
        """Whether it can be kept."""
        return not any(question.problem for question in self.questions()) and not isinstance(self._made, str)

    def tail(self, width: int) -> tuple[Line, ...]:
        """What will happen."""
        made = self._made
        if isinstance(made, str):
            return wrapped(made, width, "faint")
        if self._taken or (self.place != OWN and self._trouble):
            return ((Span(""),),)
        if self.place == OWN:
            return wrapped(f"Kept among your own scales as {made.name!r}; this flute stays as it is.", width)
        return wrapped(f"Writes {self.path}.", width)

    def kept(self) -> Kept:
        """What is to be written.

        Raises
        ------
        ScaledesignError
        """
        made = self._made
        if isinstance(made, str):
            raise EditError(made.rstrip("."), "answer that first")
        if self.place == OWN:
            return Kept(made, own_place(made, self.found), None)
        tuned = Tuned(made, parse_note(self.design.tuning.tonic), self.design.tuning.reference)
        return Kept(made, self.path, contents(tuned, FORMS[self.place]))
