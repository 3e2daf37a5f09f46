"""Makes what leaves as a file: one function for every kind and form, bytes out.

Apart from the table of what there is (``kinds.py``) and from the disk (``filing.py``). Command line and grid
go through here, so that both make the same bytes of the same design. What a page looks like is known in
``paper``, what the bench needs in ``workshop``, what a note is in ``sounding``; here they meet. Each is
imported when its kind is made.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from functools import cached_property
from importlib.util import find_spec
from typing import TYPE_CHECKING, get_args

from scaledesign.errors import EditError, ScaledesignError
from scaledesign.model.document import Design, Units
from scaledesign.model.drill_step import DrillStep
from scaledesign.outputs.filing import write
from scaledesign.outputs.kinds import BY_KIND, Form, Kind
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.press import PPI, PageForm
from scaledesign.paper.report import least_certain
from scaledesign.paper.tables import export_text, plain_name
from scaledesign.solver.prediction import Prediction
from scaledesign.values import dataclass
from scaledesign.workshop import ask

if TYPE_CHECKING:
    from scaledesign.paper.chart.content import Chart
    from scaledesign.sounding.score import Score

__all__ = [
    "Made", "Work", "base_name", "can_make", "file_name", "make", "make_all", "pictures", "write",
]  # fmt: skip


@dataclass(frozen=True)
class Work:
    """A design and all that is worked out of it, each thing once and only when it is asked for."""

    design: Design
    predicted: Prediction | None = None
    """What the flute plays, where that is known already."""
    placed: tuple[str, ...] = ()
    """How the solver placed each hole, where that is known."""
    file: str = "flute.toml"
    """The design's file, as lists name it in the commands they tell."""
    first: str = ""
    """The command that makes that file, where there is none yet."""
    stem: str = ""
    """What its files are named after where the flute has no name."""
    units: Units | None = None
    """Units in which remarks tell lengths; None: the design's own."""

    def file_name(self, kind: Kind, form: Form) -> str:
        """The usual name of a file."""
        return file_name(self.design, kind, form, self.stem)

    @cached_property
    def prediction(self) -> Prediction:
        """What the flute plays as it stands; a template does without where it must.

        Raises
        ------
        UnknownNameError
            when nobody offers the scale.
        NoPitchError
            when a row's register cannot be found.
        """
        return self.predicted or ask.predict(replace(self.design, units=self.units or self.design.units))

    @cached_property
    def steps(self) -> tuple[DrillStep, ...]:
        """The order of drilling, and what each step plays."""
        from scaledesign.workshop.drilling import drill_steps

        known = self.predicted or vars(self).get(
            "prediction"
        )  # a template does without where a row is silent
        return drill_steps(self.design, known)

    @property
    def doubt(self) -> float | None:
        """Cents, one standard deviation of the least certain note; None where nobody can say."""
        try:
            doubts = least_certain(self.design, self.prediction)
        except ScaledesignError:
            return None
        return doubts[0] if doubts else None

    @property
    def steps_if_any(self) -> tuple[DrillStep, ...]:
        """``steps``; empty where nothing can be said of them, which hinders no template."""
        try:
            return self.steps
        except ScaledesignError:
            return ()

    @cached_property
    def costs(self) -> tuple[float, ...]:
        """Cents that each row is worth to a player: a chart shows the best of a note first."""
        from scaledesign.workshop.row_cost import row_costs

        return row_costs(self.design, self.prediction)

    @cached_property
    def plain_chart(self) -> Chart:
        """What the chart says, without trills."""
        from scaledesign.paper.chart.content import chart_of

        return chart_of(self.design, self.prediction, costs=self.costs)

    @cached_property
    def chart_with_trills(self) -> Chart:
        """What the chart says, with trills; they take as long as everything else together."""
        from scaledesign.outputs.trills import chart_trills
        from scaledesign.paper.chart.content import chart_of

        trills = chart_trills(self.design, self.plain_chart)
        return chart_of(self.design, self.prediction, trills, self.costs)

    def chart(self, choices: PaperChoices) -> Chart:
        """What the chart says."""
        return self.chart_with_trills if choices.trills else self.plain_chart

    @cached_property
    def score(self) -> Score:
        """Every row that sounds.

        Raises
        ------
        EditError
            when none does.
        """
        from scaledesign.outputs.score import score_of

        return score_of(self.design, self.prediction)


@dataclass(frozen=True)
class Made:
    """One file: its usual name, and what is in it."""

    name: str
    data: bytes


def make(
    work: Work,
    kind: Kind,
    form: Form,
    choices: PaperChoices,
    *,
    ppi: float = PPI,
    ascii_only: bool = False,
    narrow: bool = False,
) -> tuple[Made, ...]:
    """Make one kind in one form: one file, or one a page where the form holds no more.

    Parameters
    ----------
    work : Work
    kind, form : as in ``kinds.OUTPUTS``
    choices : PaperChoices
    ppi : pixels an inch of a PNG
    ascii_only : letters instead of circles in the chart's text
    narrow : lines of the chart's text that fit a telephone

    Raises
    ------
    EditError
        when there is no such form of that kind, or nothing to show.
    DesignError
        when measured from a cut end that the design does not state.
    """
    if form not in BY_KIND[kind].forms:
        endings = [f".{each}" for each in BY_KIND[kind].forms]
        raise EditError(f"there is no {BY_KIND[kind].title} as .{form}", f"make {one_of(endings)}")
    pages = _pages(work, kind, form, choices, ppi, ascii_only, narrow)
    name = work.file_name(kind, form)
    return tuple(Made(each, data) for each, data in zip(numbered(name, len(pages)), pages, strict=True))


def make_all(
    work: Work, wanted: Sequence[tuple[Kind, Form]], choices: PaperChoices, *, ppi: float = PPI
) -> tuple[Made, ...]:
    """Make several, in their order; see ``make``."""
    return tuple(made for kind, form in wanted for made in make(work, kind, form, choices, ppi=ppi))


def pictures(work: Work, kind: Kind, choices: PaperChoices, *, ppi: float = PPI) -> tuple[bytes, ...]:
    """Pages of what is printed as PNG, to be looked at first; of a template too, though none is written."""
    return _printed(work, kind, "png", choices, ppi)


def base_name(design: Design, stem: str = "") -> str:
    """What a folder is called and files begin with: ``"marsh-wren"``; any system takes it.

    Parameters
    ----------
    design : Design
    stem : what it is called where the flute has no name, as its file is
    """
    named = any(map(str.isalnum, design.name))
    return plain_name(design if named else replace(design, name=stem))


def file_name(design: Design, kind: Kind, form: Form, stem: str = "") -> str:
    """The usual name of a file: ``"marsh-wren-template.pdf"``; see ``base_name``."""
    return f"{base_name(design, stem)}-{kind}.{form}"


def can_make(form: Form) -> bool:
    """Whether what a form needs is installed; only a drawing for machines needs more than we bring."""
    return form != "dxf" or find_spec("ezdxf") is not None


def numbered(name: str, pages: int) -> tuple[str, ...]:
    """Names of so many pages: the name itself for one, ``"chart-1.svg"``, ``"chart-2.svg"`` for more."""
    if pages == 1:
        return (name,)
    stem, dot, ending = name.rpartition(".")
    return tuple(f"{stem}-{page}{dot}{ending}" for page in range(1, pages + 1))


def one_of(words: Sequence[str]) -> str:
    """Words to choose from: ``".pdf, .svg or .dxf"``."""
    *others, last = words
    return f"{', '.join(others)} or {last}" if others else last


def _pages(
    work: Work,
    kind: Kind,
    form: Form,
    choices: PaperChoices,
    ppi: float,
    ascii_only: bool,
    narrow: bool,
) -> tuple[bytes, ...]:
    """What is in each file."""
    design = work.design
    if form in get_args(PageForm):
        page: PageForm = "svg" if form == "svg" else "png" if form == "png" else "pdf"
        return _printed(work, kind, page, choices, ppi)
    if form == "dxf":
        from scaledesign.paper.template.drawing import template_dxf

        return (template_dxf(design, choices),)
    if form == "html":
        from scaledesign.paper.chart.web import web_page
        from scaledesign.paper.own_picture import own_picture

        if choices.picture:  # as it is printed: what a camera noted of time and place stays at home
            with _picture_named(choices):
                choices = replace(choices, picture=own_picture(choices.picture))
        return (web_page(work.chart(choices), choices),)
    if kind == "notes":
        return (_notes(work.score, form),)
    said = kind == "chart" and form == "txt"
    text = export_text(
        design, work.prediction, work.placed, "holes" if kind == "holes" else "chart",
        "csv" if form == "csv" else "tsv" if form == "tsv" else "text",
        choices.units_of(design.units), choices.origin,
        file=work.file, first=work.first, ascii_only=ascii_only,
        narrow=narrow, choices=choices, trills=work.chart(choices).trills if said else (),
        costs=work.costs if said else (),
    )  # fmt: skip
    return (text.encode("utf-8"),)


def _printed(work: Work, kind: Kind, form: PageForm, choices: PaperChoices, ppi: float) -> tuple[bytes, ...]:
    """Pages of what is printed; one piece where they are a PDF."""
    if kind == "template":
        from scaledesign.paper.template.page import template_pages

        return template_pages(
            work.design, choices, form, ppi=ppi, doubt=work.doubt, steps=work.steps_if_any
        )  # fmt: skip
    if kind == "sheet":
        from scaledesign.paper.sheet.page import sheet_pages

        with _picture_named(choices):
            return sheet_pages(
                work.design, work.prediction, work.placed, work.steps, choices, form, ppi=ppi
            )  # fmt: skip
    from scaledesign.paper.chart.page import chart_pages

    with _picture_named(choices):
        return chart_pages(work.chart(choices), choices, form, ppi=ppi)


@contextmanager
def _picture_named(choices: PaperChoices) -> Iterator[None]:
    """What is the matter with the maker's own picture is said of its file."""
    from scaledesign.paper.own_picture import PictureError

    try:
        yield
    except PictureError as error:
        raise error.of(choices.picture_file) if choices.picture_file else error from None


def _notes(score: Score, form: Form) -> bytes:
    """The notes as notation, MIDI or sound."""
    if form == "musicxml":
        from scaledesign.sounding.musicxml import musicxml_text

        return musicxml_text(score).encode("utf-8")
    if form == "mid":
        from scaledesign.sounding.midi import midi_bytes

        return midi_bytes(score)
    from scaledesign.sounding.melody import melody
    from scaledesign.sounding.wav import wav_bytes

    return wav_bytes(melody(score.events()))
