"""Where to save and what to export: the questions of two dialogs, as plain data.

A path is checked as it is typed; nothing is written here, but an export's text is made.
"""

from __future__ import annotations

import re
import textwrap
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, get_args

from scaledesign.errors import EditError
from scaledesign.locations import is_example
from scaledesign.outputs.score import score_of
from scaledesign.paper.layout import Origin
from scaledesign.paper.tables import Form, What, export_name, export_text
from scaledesign.sounding.score import Score
from scaledesign.view.columns import Sheet
from scaledesign.view.lines import Line, Span, Tone
from scaledesign.view.questions import Choice, Question

NOTES = "notes"
WHAT_WORDS = {"holes": "the hole list, for the bench", "chart": "the fingering chart, for who plays it",
              NOTES: "the notes of the chart as they will sound"}  # fmt: skip
FORM_WORDS = {"text": "plain text, for a message or a printer", "tsv": "for a spreadsheet, tab-separated",
              "csv": "for a spreadsheet, comma-separated"}  # fmt: skip
NOTE_WORDS = {"wav": "sound, to listen to", "midi": "MIDI, for any program that plays notes",
              "musicxml": "MusicXML, for a notation program: notes, cents, fingerings"}  # fmt: skip
NOTE_ENDINGS = {"wav": ".wav", "midi": ".mid", "musicxml": ".musicxml"}
ENDING = ".toml"


def file_name(title: str, folder: Path) -> str:
    """A file name for a flute, not yet in the folder: ``marsh-wren.toml``, then ``marsh-wren-2.toml``."""
    plain = _plain_name(title)
    names = (plain, *(f"{plain.removesuffix(ENDING)}-{count}{ENDING}" for count in range(2, 100)))
    return next((name for name in names if not (folder / name).exists()), plain)


def _plain_name(title: str) -> str:
    plain = re.sub(r"[^\w]+", "-", title.casefold()).strip("-")
    return f"{plain or 'flute'}{ENDING}"


def place_of(text: str, folder: Path) -> Path:
    """The file that a typed text means, from a folder on; '~' is the home."""
    path = Path(text.strip())
    with suppress(RuntimeError):  # a home that nobody has is a name like any other
        path = path.expanduser()
    return path if path.is_absolute() else folder / path


def design_place(text: str, folder: Path) -> Path:
    """The design file that a typed text means: with its ending, unless a file has just that name."""
    path = place_of(text, folder)
    try:
        bare = bool(path.name) and not path.suffix and not path.exists()
    except OSError:
        return path
    return path.with_suffix(ENDING) if bare else path


def trouble_with(path: Path) -> str:
    """Why nothing can be written there, '' when it can."""
    try:
        if path.is_dir():
            return f"{path} is a folder; add a name for the file."
        if not path.parent.is_dir():
            return f"There is no folder {path.parent}; make it first, or choose another."
        if is_example(path):
            return f"{path} is one of our examples' places, never written to; choose another folder."
    except OSError as error:
        return f"{path} cannot be used ({error.strerror}); choose another name."
    return ""


@dataclass(frozen=True)
class SaveAs:
    """Where to save a design."""

    folder: Path
    file: str
    own: Path | None = None
    """The file it has now, which may be written without a word."""

    def answered(self, name: str, text: str) -> SaveAs:
        """The same with another name."""
        return replace(self, file=text)

    @property
    def path(self) -> Path:
        """The file meant, with its ending."""
        return design_place(self.file, self.folder)

    def questions(self) -> tuple[Question, ...]:
        """The one question."""
        typed = self.file.strip()
        problem = "" if typed else "Type a name for the file."
        if typed:
            problem = trouble_with(self.path)
        return (
            Question(
                "file",
                "Where to keep this flute",
                self.file,
                help=f"A name, or a path. Names without a folder go to {self.folder}.",
                note="replaces the file that is there" if not problem and self.path.exists() else "",
                problem=problem,
            ),
        )

    def tail(self, width: int) -> tuple[Line, ...]:
        """What will happen."""
        if self.questions()[0].problem:
            return ((),)
        there = self.path.exists() and self.path != self.own
        said = f"Replaces {self.path}." if there else f"Writes {self.path}."
        return wrapped(said, width, "reach" if there else "plain")

    @property
    def ready(self) -> bool:
        """Whether it can be done."""
        return not self.questions()[0].problem


@dataclass(frozen=True)
class Export:
    """What to export of a sheet, in which form, to which file."""

    sheet: Sheet
    folder: Path
    what: str = ""
    form: str = ""
    file: str = ""
    own: Path | None = None
    """File of the design."""
    waiting: bool = False
    """The engine is not done: what it will say is what is to be written."""

    def answered(self, name: str, text: str) -> Export:
        """The same with another answer."""
        change: dict[str, Any] = {name: text}
        return replace(self, **change)

    @property
    def chosen(self) -> tuple[What, Form]:
        """What and in which form, as far as they are known."""
        what: What = "chart" if self.what.strip() == "chart" else "holes"
        forms: tuple[Form, ...] = get_args(Form)
        form: Form = next((form for form in forms if form == self.form.strip()), "text")
        return what, form

    @property
    def of_notes(self) -> str:
        """The form of the notes, where they are what is written; else ''."""
        if self.what.strip() != NOTES:
            return ""
        typed = self.form.strip()
        return typed if typed in NOTE_ENDINGS else next(iter(NOTE_ENDINGS))

    @property
    def _usual_name(self) -> str:
        if form := self.of_notes:
            chart = Path(export_name(self.sheet.design, "chart", "text")).stem
            return f"{chart.removesuffix('-chart')}-{NOTES}{NOTE_ENDINGS[form]}"
        return export_name(self.sheet.design, *self.chosen)

    @property
    def path(self) -> Path:
        """The file meant."""
        return place_of(self.file.strip() or self._usual_name, self.folder)

    def questions(self) -> tuple[Question, ...]:
        """What, how, where."""
        problem = trouble_with(self.path)
        if not problem and self.own is not None and _same(self.path, self.own):
            problem = f"{self.path.name} is the design itself; give the list another name."
        return (
            _of("what", "What to write", self.what, WHAT_WORDS),
            _of("form", "In which form", self.form, NOTE_WORDS if self.of_notes else FORM_WORDS),
            Question(
                "file", "To which file", self.file, self._usual_name,
                f"Names without a folder go to {self.folder}.",
                note="replaces the file that is there" if not problem and self.path.exists() else "",
                problem=problem,
            ),
        )  # fmt: skip

    def tail(self, width: int) -> tuple[Line, ...]:
        """What will happen."""
        if self.waiting:
            return ((Span("A moment: the holes are being worked out.", "faint"),),)
        if self.sheet.answer.prediction is None:
            return ((Span("Nothing can be said of this flute yet, so nothing can be written.", "wrong"),),)
        return wrapped(f"Writes {self.path}.", width, "plain")

    @property
    def ready(self) -> bool:
        """Whether it can be done."""
        known = self.sheet.answer.prediction is not None
        return known and not self.waiting and not any(question.problem for question in self.questions())

    def made(self) -> str | bytes:
        """The text to write, or the bytes of a sound or MIDI file.

        Raises
        ------
        ScaledesignError
        """
        prediction = self.sheet.answer.prediction
        if prediction is None:
            raise EditError("nothing can be said of this flute yet", "give it rows and holes first")
        if form := self.of_notes:
            return _notes(score_of(self.sheet.design, prediction), form)
        measure = self.sheet.measure
        origin: Origin = "edge" if measure == "gap" else measure
        what, form = self.chosen
        design = self.sheet.design
        return export_text(
            design, prediction, self.sheet.answer.placed, what, form, design.units, origin,
            file=self.own.name if self.own else "flute.toml",
        )  # fmt: skip


def _notes(score: Score, form: str) -> str | bytes:
    """The notes of the chart in one of the forms of ``NOTE_WORDS``."""
    if form == "midi":
        from scaledesign.sounding.midi import midi_bytes

        return midi_bytes(score)
    if form == "musicxml":
        from scaledesign.sounding.musicxml import musicxml_text

        return musicxml_text(score)
    from scaledesign.sounding.melody import melody
    from scaledesign.sounding.wav import wav_bytes

    return wav_bytes(melody(score.events()))


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:  # one of them is not there
        return False


def wrapped(said: str, width: int, tone: Tone) -> tuple[Line, ...]:
    """A sentence in lines: the end of a long path, its name, is what matters."""
    return tuple((Span(part, tone),) for part in textwrap.wrap(said, max(1, width)))


def _of(name: str, words: str, answer: str, known: dict[str, str]) -> Question:
    usual = next(iter(known))
    typed = answer.strip()
    problem = (
        f"{typed!r} is not among them; choose {' or '.join(known)}." if typed and typed not in known else ""
    )
    return Question(
        name,
        words,
        answer,
        usual,
        choices=tuple(Choice(key, said) for key, said in known.items()),
        problem=problem,
    )
