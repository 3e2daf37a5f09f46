"""What to print or write, in which form, on which paper, to which file: the questions of one dialog.

Apart from the making (``outputs``), whose tables are asked here, from what is said of the answers
(``print_words.py``) and from what a page looks like before it is written (``print_look.py``). A path is
checked as it is typed; nothing is written here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from pathlib import Path
from typing import Any, Literal, get_args

from scaledesign.errors import EditError
from scaledesign.files.remembered import Remembered
from scaledesign.files.settings import PaperSettings
from scaledesign.model.units import LENGTH_UNITS
from scaledesign.outputs.filing import same
from scaledesign.outputs.kinds import BY_KIND, FORM_WORDS, OUTPUTS, Form, Kind
from scaledesign.outputs.make import Made, Work, base_name, can_make, file_name, make_all, numbered
from scaledesign.outputs.usual import FOLDER
from scaledesign.paper.chart.style_words import STYLE_WORDS
from scaledesign.paper.choices import PAPERS, Paper, PaperChoices
from scaledesign.paper.layout import Origin
from scaledesign.paper.note_names import LANGUAGES
from scaledesign.values import dataclass
from scaledesign.view.columns import Sheet
from scaledesign.view.file_questions import place_of, trouble_with
from scaledesign.view.questions import Answers, Choice, Question

ALL = "all"
SETS = {"usual": "one of each, as a shop keeps them", "pdf": "what is printed, and nothing else",
        "every": "every kind in every form there is"}  # fmt: skip
"""What "all" may mean."""
PAPER_WORDS = {"a4": "A4, 210 x 297 mm", "letter": "letter, 8 1/2 x 11 in"}
YES_NO = {"no": "as it is", "yes": "for old eyes, or for a wall"}
SHOWN = {
    "full": ("every note, however hard it is blown, with its other fingerings", (True, True, False)),
    "trills": ("that, and trills between neighbours", (True, True, True)),
    "once": ("every note, each with one fingering", (True, False, False)),
    "gentle": ("only what a gentle breath plays, each with one fingering", (False, False, False)),
}
"""What a chart may show: words, and whether of more registers, of other fingerings, of trills."""
PAGED: tuple[Form, ...] = ("pdf", "svg", "png")
"""Forms with pages."""
ONE_A_PAGE: tuple[Form, ...] = ("svg", "png")
"""Forms that hold one page a file."""
NEEDED = 2
"""Questions that lead to the end: what, and in which form."""


@dataclass(frozen=True)
class Usual:
    """What counts where nothing is typed."""

    choices: PaperChoices = field(default_factory=PaperChoices)
    what: str = OUTPUTS[0].kind
    forms: Mapping[str, str] = field(default_factory=dict)
    """Form by what is written, where it is not the first of its forms."""

    @classmethod
    def of(cls, choices: PaperChoices, chosen: PaperSettings, known: Remembered) -> Usual:
        """What the settings say; where they say nothing, what was chosen the last time.

        Parameters
        ----------
        choices : what stands where neither says anything
        """
        change: dict[str, Any] = {
            name: answer
            for name, answers in (("paper", PAPERS), ("names", LANGUAGES), ("style", STYLE_WORDS))
            if not getattr(chosen, name) and (answer := known.left(f"print_{name}", "")) in answers
        }
        change |= _showing(known.left("print_shows", ""))
        what = known.left("print_what", "")
        forms = {each: known.left(f"print_{each}_form", "") for each in (*BY_KIND, ALL)}
        return cls(
            replace(choices, **change), what if what in (*BY_KIND, ALL) else OUTPUTS[0].kind,
            {each: form for each, form in forms.items() if form in forms_of(each)},
        )  # fmt: skip


@dataclass(frozen=True)
class Printed:
    """What was made, and where it goes."""

    folder: Path
    made: tuple[Made, ...]
    opened: bool = False
    """It is to be opened too, once it is written."""

    @property
    def replaced(self) -> tuple[Path, ...]:
        """Files that are there already and hold something else."""
        paths = ((self.folder / each.name, each.data) for each in self.made)
        return tuple(path for path, data in paths if path.exists() and not _holds(path, data))


@dataclass(frozen=True)
class Printing(Answers):
    """The answers as typed."""

    sheet: Sheet
    folder: Path
    own: Path | None = None
    """File of the design."""
    usual: Usual = field(default_factory=Usual)
    what: str = ""
    form: str = ""
    where: str = ""
    paper: str = ""
    names: str = ""
    style: str = ""
    shows: str = ""
    large: str = ""
    then: Literal["", "open"] = ""
    """What is to be done with what was written."""
    waiting: bool = False
    """The engine is not done: what it will say is what is to be written."""

    # What was chosen

    @property
    def kind(self) -> str:
        """What to write: a kind, or ``ALL``."""
        typed = self.what.strip()
        return typed if typed in (*BY_KIND, ALL) else self.usual.what

    @property
    def usual_form(self) -> str:
        """The form that counts where none is typed."""
        return self.usual.forms.get(self.kind, next(iter(forms_of(self.kind))))

    @property
    def wanted(self) -> tuple[tuple[Kind, Form], ...]:
        """Every kind to write, with its form."""
        typed = self.form.strip()
        form = typed if typed in forms_of(self.kind) else self.usual_form
        if self.kind != ALL:
            return tuple((output.kind, one) for output in OUTPUTS if output.kind == self.kind
                         for one in output.forms if one == form)  # fmt: skip
        if form == "usual":
            return FOLDER
        every = ((output.kind, one) for output in OUTPUTS for one in output.forms)
        return tuple((kind, one) for kind, one in every if (one == "pdf" if form == "pdf" else can_make(one)))

    @property
    def choices(self) -> PaperChoices:
        """What was chosen of paper; distances are measured as they are on the screen."""
        measure = self.sheet.measure
        origin: Origin = "edge" if measure == "gap" else measure
        usual = self.usual.choices
        papers: tuple[Paper, ...] = get_args(Paper)
        large = self.large.strip()
        change: dict[str, Any] = dict(_showing(self.shows.strip()))
        return replace(
            usual,
            origin=origin,
            paper=next((paper for paper in papers if paper == self.paper.strip()), usual.paper),
            names=self.names.strip() if self.names.strip() in LANGUAGES else usual.names,
            style=self.style.strip() if self.style.strip() in STYLE_WORDS else usual.style,
            large=large == "yes" if large in YES_NO else usual.large,
            **change,
        )

    @property
    def pages(self) -> bool:
        """Whether anything of it has pages."""
        return any(form in PAGED for _, form in self.wanted)

    @property
    def inches(self) -> tuple[float, float]:
        """Width and height of the paper."""
        width, height = PAPERS[self.choices.paper]
        inch = float(LENGTH_UNITS["in"])
        return width / inch, height / inch

    @property
    def base(self) -> str:
        """What a folder is called, and files begin with."""
        return base_name(self.sheet.design, self._stem)

    @property
    def _stem(self) -> str:
        return self.own.stem if self.own else ""

    def _file(self, kind: Kind, form: Form) -> str:
        return file_name(self.sheet.design, kind, form, self._stem)

    @property
    def _usual_place(self) -> str:
        return self.base if self.kind == ALL else self._file(*self.wanted[0])

    @property
    def path(self) -> Path:
        """The file meant, or of ``ALL`` the folder; a folder takes a file under its usual name."""
        usual = self._usual_place
        path = place_of(self.where.strip() or usual, self.folder)
        if self.kind == ALL:
            return path
        try:
            if path.is_dir():
                return path / usual
            bare = bool(path.name) and not path.suffix
        except OSError:
            return path
        return path.with_suffix(f".{self.wanted[0][1]}") if bare else path

    @property
    def names_of_files(self) -> tuple[str, ...]:
        """What the files will be called; where a page is a file and there are more, they are numbered."""
        if self.kind != ALL:
            return (self.path.name,)
        return tuple(self._file(*each) for each in self.wanted)

    # What is asked

    def questions(self) -> tuple[Question, ...]:
        """What, how, where, and what it looks like as far as that comes into it."""
        kinds: dict[str, str] = {output.kind: output.words for output in OUTPUTS}
        forms, wanted = forms_of(self.kind), self.wanted
        pages = self.pages
        chart = any(kind == "chart" for kind, _ in wanted)
        drawn = any(kind == "chart" and form in (*PAGED, "html") for kind, form in wanted)
        told = drawn or ("chart", "txt") in wanted
        usual = self.usual.choices
        there = self.there
        where = "In which folder" if self.kind == ALL else "To which file"
        return (
            _of("what", "What to print or write", self.what,
                {**kinds, ALL: "all of these, into one folder"}, self.usual.what),
            _of("form", "In which form", self.form, forms, self.usual_form),
            Question(
                "where", where, self.where, self._usual_place, f"Names without a folder go to {self.folder}.",
                note=f"replaces {_files(there)}" if there else "", problem=self.problem,
            ),
            _of("paper", "On which paper", self.paper, PAPER_WORDS, usual.paper, asked=pages),
            _of("names", "What the notes are called", self.names, LANGUAGES, usual.names, asked=chart),
            _of("style", "How the chart looks", self.style,
                STYLE_WORDS, usual.style, asked=drawn),
            _of("shows", "What the chart shows", self.shows,
                {name: words for name, (words, _) in SHOWN.items()}, _shown(usual), asked=told),
            _of("large", "Large print, this time; for always: large in settings.toml, [paper]", self.large,
                YES_NO, "yes" if usual.large else "no", asked=pages),
        )  # fmt: skip

    @property
    def problem(self) -> str:
        """What is against the place, '' when nothing."""
        path = self.path
        if self.kind == ALL:
            if problem := trouble_with(path / "x" if path.is_dir() else path):
                return problem
            return f"{path} is a file; give the folder another name." if path.is_file() else ""
        if problem := trouble_with(path):
            return problem
        if self.own is not None and same(path, self.own):
            return f"{path.name} is the design itself; give it another name."
        form, ending = self.wanted[0][1], path.suffix.casefold().removeprefix(".")
        if ending in FORM_WORDS and ending != form:
            return f"{path.name} is named as .{ending}, but .{form} is what is written; name it anew."
        return ""

    @property
    def there(self) -> tuple[Path, ...]:
        """Files of these names that are there."""
        if self.problem:
            return ()
        folder = self.path if self.kind == ALL else self.path.parent
        return tuple(folder / name for name in self.names_of_files if (folder / name).exists())

    @property
    def ready(self) -> bool:
        """Whether it can be done."""
        known = self.sheet.answer.prediction is not None
        return known and not self.waiting and not any(question.problem for question in self.questions())

    # What follows

    @property
    def shelf(self) -> Mapping[Kind, tuple[Form, ...]]:
        """What there is to look at: every kind in every form, of ``ALL`` what is wanted."""
        if self.kind != ALL:
            return {output.kind: output.forms for output in OUTPUTS}
        kinds = dict.fromkeys(kind for kind, _ in self.wanted)
        return {kind: tuple(form for one, form in self.wanted if one == kind) for kind in kinds}

    def looking_at(self, kind: Kind, form: Form) -> Printing:
        """The same after a kind was looked at in a form; of ``ALL`` all is wanted still."""
        if self.kind == ALL or (kind, form) == self.wanted[0]:
            return self
        return replace(self, what=kind, form=form, where=self.where if kind == self.kind else "")

    def name_of(self, kind: Kind, form: Form) -> str:
        """What the file of a kind in a form will be called."""
        if self.kind == ALL:
            return self._file(kind, form)
        return self.looking_at(kind, form).path.name

    @property
    def work(self) -> Work:
        """What there is to make it of.

        Raises
        ------
        EditError
            when nothing can be said of the flute.
        """
        answer = self.sheet.answer
        if answer.prediction is None:
            raise EditError("nothing can be said of this flute yet", "give it rows and holes first")
        name = self.own.name if self.own else "flute.toml"
        return Work(self.sheet.design, answer.prediction, answer.placed, file=name, stem=self._stem)

    def made(self) -> Printed:
        """Make all that is wanted; raises as ``outputs.make`` does."""
        made = make_all(self.work, self.wanted, self.choices)
        if self.kind == ALL:
            return Printed(self.path, made, self.then == "open")
        names = numbered(self.path.name, len(made))
        renamed = tuple(Made(name, each.data) for name, each in zip(names, made, strict=True))
        return Printed(self.path.parent, renamed, self.then == "open")

    def kept(self) -> dict[str, str | bool]:
        """What to remember of it for the next time, by name."""
        taken = self.choices
        form = self.form.strip() or self.usual_form
        return {
            "print_what": self.kind,
            f"print_{self.kind}_form": form,
            "print_paper": taken.paper,
            "print_names": taken.names,
            "print_style": taken.style,
            "print_shows": _shown(taken),
        }


def forms_of(what: str) -> Mapping[str, str]:
    """The forms of a kind, or the sets of ``ALL``, each with its words; the usual one first."""
    return SETS if what == ALL else {
        form: FORM_WORDS[form] for output in OUTPUTS if output.kind == what for form in output.forms
    }  # fmt: skip


def _showing(name: str) -> dict[str, bool]:
    """What a key of ``SHOWN`` chooses; nothing where it is none."""
    if name not in SHOWN:
        return {}
    return dict(zip(("registers", "alternates", "trills"), SHOWN[name][1], strict=True))


def _shown(choices: PaperChoices) -> str:
    """The key of ``SHOWN`` that chooses the same."""
    same = (choices.registers, choices.alternates, choices.trills)
    return next((name for name, (_, chosen) in SHOWN.items() if chosen == same), next(iter(SHOWN)))


def _of(
    name: str, words: str, answer: str, known: Mapping[str, str], usual: str, *, asked: bool = True
) -> Question:
    """A question with answers to choose from."""
    typed = answer.strip()
    wrong = asked and typed and typed not in known
    return Question(
        name,
        words,
        answer,
        usual,
        choices=tuple(Choice(key, said) for key, said in known.items()),
        problem=f"{typed!r} is not among them; choose {' or '.join(known)}." if wrong else "",
        asked=asked,
    )


def _files(paths: tuple[Path, ...]) -> str:
    return "the file that is there" if len(paths) == 1 else f"{len(paths)} files that are there"


def _holds(path: Path, data: bytes) -> bool:
    try:
        return path.stat().st_size == len(data) and path.read_bytes() == data
    except OSError:
        return False
