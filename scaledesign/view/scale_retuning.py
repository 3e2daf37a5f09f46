"""The dialog that retunes a flute: which scale, on which tonic, begun where, mixed, stretched.

Apart from the screen so that every answer can be tried as plain data. Answers stay as typed; what each does
to a scale is ``model/retune.py``'s, what a file holds ``scale_files.py``'s. An answer that is left empty
changes nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import field, replace
from functools import cached_property
from pathlib import Path
from typing import TypeVar

from scaledesign.errors import QuantityError, ScaledesignError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.model.degrees import settled
from scaledesign.model.document import Design
from scaledesign.model.edits import Retune
from scaledesign.model.pitch import parse_note
from scaledesign.model.retune import mixed, ordinal, rotated, stretched
from scaledesign.model.scale import Scale, Tuned
from scaledesign.model.units import parse_number
from scaledesign.values import dataclass
from scaledesign.view.clipboard import plain_cents
from scaledesign.view.file_questions import place_of
from scaledesign.view.lines import Line, Signs, Span, Tone
from scaledesign.view.questions import Answers, Choice, Question
from scaledesign.view.scale_degrees import scale_of
from scaledesign.view.scale_files import Start, in_a_design, start_of
from scaledesign.view.wording import sentence

MOST_STRETCH = 600.0
"""cents an octave: more is another scale."""
HALF = 0.5
COLUMN = 5
"""Cells of a degree."""
LABEL = 9
"""Cells before the first."""
_SHARE = re.compile(r"(.*\S)\s+(\d{1,3}(?:\.\d+)?)\s*%", re.DOTALL)
Got = TypeVar("Got")


@dataclass(frozen=True)
class Wanted:
    """The tuning that was asked for."""

    tuned: Tuned
    listed: bool
    """It is a scale that has a name, unchanged."""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Retuning(Answers):
    """The answers as typed; '' where nothing was. Nothing that is typed raises."""

    design: Design = field(repr=False)
    found: Catalogue = field(repr=False)
    folder: Path = Path()
    """Where files without a folder are."""
    scale: str = ""
    tonic: str = ""
    begin: str = ""
    mix: str = ""
    stretch: str = ""

    # What is asked

    def questions(self) -> tuple[Question, ...]:
        """What may be changed, each by itself or together, in the order in which it is done."""
        return (
            Question(
                "scale", "Which scale", self.scale, self.scale_now,
                "A part of its name or kind, or a file: a scale or a MIDI tuning (.syx).",
                tuple(Choice(each.name, _listed(each), each.kind) for each in self.found.scales()),
                problem=self._problem(self._start),
            ),
            Question(
                "tonic", "On which tonic", self.tonic, self.design.tuning.tonic,
                "The note of degree 1. The rows follow, degree by degree.", self._tonics(),
                problem=self._problem(self._tonic),
            ),
            Question(
                "begin", "Begin on which degree of the scale", self.begin, "1",
                "The same steps begun elsewhere: from the 2nd, major becomes dorian.",
                self._degrees(), problem=self._problem(self._begun),
            ),
            Question(
                "mix", "Mix with which scale, and how far toward it", self.mix, "none",
                "One of as many notes, and its share: just major 30 %. Else half-way.",
                self._mixable(), problem=self._problem(self._mixed),
            ),
            Question(
                "stretch", "Stretch each octave by how many cents", self.stretch, "0",
                "2 makes octaves of 1202 cents, and every step wider in proportion; -2 narrower.",
                problem=self._problem(self._stretched),
            ),
        )  # fmt: skip

    @property
    def scale_now(self) -> str:
        """What the scale of the design is called."""
        told = self.design.tuning
        return "own degrees" if told.degrees else told.scale or "chromatic"

    def _tonics(self) -> tuple[Choice, ...]:
        """The tonic there is, that on which the notes stay the same, and every other in its octave."""
        now = parse_note(self.design.tuning.tonic)
        offered = [Choice(now.name, "as it is")]
        begun = self._got(self._begin)
        started = self._got(self._start)
        if begun and started and started.scale.places:
            same = Tuned(started.scale, now, 440.0).written(started.scale.places[begun])
            offered.append(Choice(same.name, f"its {ordinal(begun + 1)}: the notes stay the same"))
        lower, upper = now.octave, now.octave + 1
        others = [f"{name}{octave}" for octave in (lower, upper) for name in _KEYS]
        near = [name for name in others if 0 < abs(parse_note(name).midi - now.midi) <= 6]
        return (*offered, *(Choice(name) for name in near if name not in {each.answer for each in offered}))

    def _degrees(self) -> tuple[Choice, ...]:
        started = self._got(self._start)
        if started is None:
            return ()
        scale, tonic = started.scale, self._got(self._tonic) or self.design.tuning.tonic
        tuned = Tuned(scale, parse_note(tonic), self.design.tuning.reference)
        notes = [tuned.written(place).name for place in scale.places] or [""] * len(scale.cents)
        return tuple(
            Choice(str(number), f"{note}  {cents:.0f} cents".strip())
            for number, (note, cents) in enumerate(zip(notes, scale.cents, strict=True), 1)
        )

    def _mixable(self) -> tuple[Choice, ...]:
        started = self._got(self._start)
        if started is None:
            return ()
        count = len(started.scale.cents)
        return (
            Choice("none", "as it is"),
            *(
                Choice(each.name, _listed(each), each.kind)
                for each in self.found.scales()
                if len(each.cents) == count and each.cents != started.scale.cents
            ),
        )

    # What it comes to, step by step

    def _start(self) -> Start:
        name = self.scale.strip()
        if not name or name == self.scale_now:
            scale = scale_of(self.design.tuning)
            if scale is None:
                raise QuantityError(self.scale_now, "nobody offers that scale", "choose another")
            return Start(scale, listed=not self.design.tuning.degrees)
        return start_of(name, place_of(name, self.folder), self.found, self._tonic())

    def _tonic(self) -> str:
        text = self.tonic.strip()
        return parse_note(text).name if text else self.design.tuning.tonic

    def _begin(self) -> int:
        text = self.begin.strip() or "1"
        count = len(self._start().scale.cents)
        number = parse_number(text)
        if number != int(number) or not 1 <= number <= count:
            raise QuantityError(text, "is no degree of that scale", f"write 1 to {count}")
        return int(number) - 1

    def _begun(self) -> Scale:
        return rotated(self._start().scale, self._begin())

    def _mixed(self) -> Scale:
        text, scale = self.mix.strip(), self._begun()
        if not text or text == "none":
            return scale
        share = HALF
        if told := _SHARE.fullmatch(text):
            text, share = told[1], float(told[2]) / 100.0
        other = start_of(text, place_of(text, self.folder), self.found, self._tonic()).scale
        return mixed(scale, other, share)

    def _stretched(self) -> Scale:
        text, scale = plain_cents(self.stretch.strip()), self._mixed()
        cents = parse_number(text) if text else 0.0
        if abs(cents) > MOST_STRETCH:
            raise QuantityError(text, "is another scale", "stretch by a few cents")
        return stretched(scale, cents)

    @cached_property
    def wanted(self) -> Wanted | str:
        """The tuning that the answers come to, or why they come to none."""
        try:
            start, scale = self._start(), self._stretched()
            tonic = parse_note(self._tonic())
        except ScaledesignError as error:
            return sentence(error)
        listed = start.listed and scale == start.scale
        scale = scale if scale == start.scale else settled(scale)
        return Wanted(Tuned(scale, tonic, self.design.tuning.reference), listed, start.remarks)

    @cached_property
    def edit(self) -> Retune | str:
        """What retunes the design, or why nothing does; '' where nothing is asked for."""
        wanted = self.wanted
        if isinstance(wanted, str):
            return wanted
        old, scale = scale_of(self.design.tuning), wanted.tuned.scale
        told = replace(self.design.tuning, tonic=wanted.tuned.tonic.name)
        try:
            if old is not None and scale == old:
                new = scale
            elif wanted.listed:
                new, told = scale, replace(told, scale=scale.name, degrees=())
            else:
                new, told = in_a_design(scale, told)
        except ScaledesignError as error:
            return sentence(error)
        if told == self.design.tuning:
            return ""
        return Retune(told, new if old is None else old, new)

    @property
    def ready(self) -> bool:
        """Whether there is something to take."""
        return isinstance(self.edit, Retune)

    # What is said of it

    def lines(self, signs: Signs, width: int) -> tuple[Line, ...]:
        """The notes there would be, and each degree in cents as it is and as it would be."""
        wanted = self.wanted
        if isinstance(wanted, str):
            return ()
        old, new = scale_of(self.design.tuning), wanted.tuned.scale
        was = () if old is None else (*old.cents, old.period)
        then = (*new.cents, new.period)
        places = (*new.places, float(new.span)) if new.places else ()
        notes = tuple(wanted.tuned.written(place).name for place in places)
        bold = (len(was) != len(then) or abs(was[i] - then[i]) >= HALF for i in range(len(then)))
        tones: tuple[Tone, ...] = tuple("moved" if each else "plain" for each in bold)
        now = f"now   {self.design.tuning.tonic}"
        return (
            _in_columns("", notes, _faint(notes), signs, width),
            _in_columns(now, _whole(was), _faint(was), signs, width),
            _in_columns(f"then  {wanted.tuned.tonic.name}", _whole(then), tones, signs, width),
        )

    def said(self) -> str:
        """What there is to say of it: what a file lacks, which rows stay."""
        wanted, edit = self.wanted, self.edit
        if isinstance(wanted, str):
            return wanted
        if isinstance(edit, str):
            return edit or "Nothing changes yet."
        left = [str(row + 1) for row in edit.left_behind(self.design)]
        rows = f"No note for row{'s' * (len(left) > 1)} {', '.join(left)}: as before." if left else ""
        return " ".join(filter(None, (*wanted.remarks, rows)))

    def _problem(self, step: Callable[[], object]) -> str:
        """What is wrong with the answer that a step is about; what went wrong before it is said there."""
        of = {
            "_start": "scale",
            "_tonic": "tonic",
            "_begun": "begin",
            "_mixed": "mix",
            "_stretched": "stretch",
        }
        name = of[step.__name__]
        if not getattr(self, name).strip():
            return ""
        before: dict[str, tuple[Callable[[], object], ...]] = {
            "begin": (self._start,), "mix": (self._begun,), "stretch": (self._mixed,),
        }  # fmt: skip
        if any(self._got(earlier) is None for earlier in before.get(name, ())):
            return ""
        try:
            step()
        except ScaledesignError as error:
            return sentence(error)
        return ""

    def _got(self, step: Callable[[], Got]) -> Got | None:
        try:
            return step()
        except ScaledesignError:
            return None


_KEYS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")


def _listed(scale: Scale) -> str:
    return f"{len(scale.cents)} notes. {scale.words}"


def _whole(cents: tuple[float, ...]) -> tuple[str, ...]:
    return tuple(f"{value:.0f}" for value in cents)


def _faint(values: tuple[object, ...]) -> tuple[Tone, ...]:
    return tuple("faint" for _ in values)


def _in_columns(
    label: str, texts: tuple[str, ...], tones: tuple[Tone, ...], signs: Signs, width: int
) -> Line:
    """A label, then texts in columns; cut with a mark where there are too many."""
    spans = [Span(f"{label:<{LABEL}}", "label")]
    most = (width - LABEL - 2) // COLUMN
    for text, tone in zip(texts[:most], tones, strict=False):
        spans += [Span(" " * (COLUMN - len(text))), Span(text, tone)]
    if len(texts) > most:
        spans.append(Span(f" {signs.ellipsis}", "faint"))
    return tuple(spans)
