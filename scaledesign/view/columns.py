"""The vocabulary of every table on the screen: a sheet to look at, columns that show and change it.

A column knows its title, its help, what a cell shows, what a person may type there and what a step or a nudge
does; it gives edits and never applies them. Apart from the panes that use it (``rows.py``, ``holes.py``,
``setup.py``, ``scale_pane.py``) and from the desk that applies the edits. No width of a terminal, no
widget, no acoustics.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from functools import cached_property
from math import isnan
from typing import Literal, Protocol

from scaledesign.model.degrees import Degree
from scaledesign.model.document import Design
from scaledesign.model.edits import Edit
from scaledesign.paper.layout import Origin
from scaledesign.values import dataclass
from scaledesign.view.lines import DRAWN, Line, Signs, Span, Tone
from scaledesign.view.reach import reach_notes
from scaledesign.view.scale_degrees import degrees_of, rows_by_degree
from scaledesign.workshop.answer import Answer

Measure = Origin | Literal["gap"]
"""Where positions are measured from; "gap": from the edge of one hole to the edge of the next."""
PaneName = Literal["rows", "holes", "setup", "scale"]
Spot = tuple[PaneName, int, str]
"""A cell: pane, row of the pane, key of the column."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What a person typed into a cell that could not be read, and why."""

    text: str
    problem: str


@dataclass(frozen=True)
class Sheet:
    """All that a cell may look at."""

    design: Design
    answer: Answer
    before: Design | None = None
    """The design before the last edit, to show what moved."""
    stale: bool = False
    """The answer is of an older design."""
    signs: Signs = DRAWN
    measure: Measure = "edge"
    held: bool = False
    """The holes are held still: edits only predict."""
    drafts: Mapping[Spot, Draft] = field(default_factory=dict)

    @property
    def unasked(self) -> bool:
        """Nothing was worked out yet: what is typed stands alone."""
        return self.answer.prediction is None and not self.answer.final

    @cached_property
    def reach(self) -> Mapping[int, str]:
        """What a hand cannot do, by hole (0-based)."""
        return reach_notes(self.design)

    @cached_property
    def degrees(self) -> tuple[Degree, ...]:
        """Every degree of the tuning, and last where they repeat; none where nobody offers the scale."""
        return degrees_of(self.design)

    @cached_property
    def by_degree(self) -> Mapping[int, tuple[int, ...]]:
        """Rows (0-based) that play each degree, the most telling first."""
        return rows_by_degree(self.design)

    def number(self, name: str, row: int) -> float:
        """A number of the prediction for a row, NaN where there is none."""
        prediction = self.answer.prediction
        if prediction is None or row >= len(prediction.frequency):
            return float("nan")
        return float(getattr(prediction, name)[row])


@dataclass(frozen=True, slots=True)
class Cell:
    """What a cell shows. ``spans`` where it has more than one tone; ``note`` what there is to say of it."""

    text: str = ""
    tone: Tone = "plain"
    spans: Line = ()
    note: str = ""

    @property
    def line(self) -> Line:
        """The cell as spans."""
        return self.spans or (Span(self.text, self.tone),)


Align = Literal["left", "right", "centre"]


@dataclass(frozen=True)
class Column:
    """One column of a pane.

    ``text`` is exact and goes to the editor and the clipboard; ``show`` is rounded to what a hand can do.
    ``write``, ``step`` and ``nudge`` give the edit for a typed text, for the next choice, for a number of
    small steps; None where a cell can't be changed so. They raise ScaledesignError at what can't be read.
    """

    key: str
    title: str
    width: int
    words: str
    """Help in bench language."""
    show: Callable[[Sheet, int], Cell]
    text: Callable[[Sheet, int], str]
    write: Callable[[Sheet, int, str], Edit | None] | None = None
    step: Callable[[Sheet, int], Edit | None] | None = None
    nudge: Callable[[Sheet, int, int], Edit | None] | None = None
    align: Align = "right"
    letters: str = ""
    """Letters that are a whole answer: typed, they go in at once."""
    choices: Callable[[Sheet, int], tuple[str, ...]] | None = None
    order: Callable[[Sheet, int], object] | None = None
    """What rows are sorted by; None: by ``text``."""


class Pane(Protocol):
    """A table of the screen."""

    name: PaneName
    title: str
    frozen: int
    """How many columns stay when the rest is scrolled sideways."""
    spare: bool
    """Whether an empty line stands below the last row, to type a new one into."""

    def columns(self, sheet: Sheet) -> tuple[Column, ...]:
        """Its columns; they may depend on the design, not on what it plays."""
        ...

    def count(self, sheet: Sheet) -> int:
        """How many rows it has."""
        ...

    def heading(self, sheet: Sheet, row: int) -> bool:
        """Whether a row only names those below it."""
        ...

    def help(self, sheet: Sheet, row: int, column: Column) -> str:
        """Help for one cell."""
        ...


def cell_of(sheet: Sheet, pane: PaneName, row: int, column: Column) -> Cell:
    """What a cell shows, its mistyped text first."""
    draft = sheet.drafts.get((pane, row, column.key))
    if draft is not None:
        text = (
            draft.text
            if len(draft.text) < column.width
            else f"{draft.text[: column.width - 2]}{sheet.signs.ellipsis}"
        )
        return Cell(f"{sheet.signs.wrong}{text}", "wrong", note=draft.problem)
    return column.show(sheet, row)


def signed(value: float, signs: Signs, digits: int = 0) -> str:
    """A number with its sign, as the screen's characters can; '' for none."""
    if isnan(value):
        return ""
    text = f"{value:+.{digits}f}"
    if float(text) == 0:
        text = text[1:]
    return text.replace("-", signs.minus)


def nothing_to_type(sheet: Sheet, row: int) -> str:
    """The text of a cell that has none."""
    return ""
