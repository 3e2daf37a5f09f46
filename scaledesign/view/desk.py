"""The desk: one open design with everything a screen needs to show and change it, as a frozen value.

Each thing a maker does is a method that gives another desk; nothing waits, draws or reads a file here. What
the engine owes is in ``want``: whoever runs the desk asks ``workshop/live.py`` for it, at once or in a
worker, and hands the answer to ``answered``, which drops all but the newest. What is done to whole rows is in
``row_work.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import field, replace
from functools import cached_property
from pathlib import Path
from typing import Literal

from scaledesign.errors import ScaledesignError
from scaledesign.model.document import Design
from scaledesign.model.edits import Edit, InsertRow, Several, apply, unchecked
from scaledesign.model.history import History
from scaledesign.model.saying import begun
from scaledesign.paper.layout import has_cut_end
from scaledesign.values import dataclass
from scaledesign.view import consequences
from scaledesign.view.columns import Column, Draft, Measure, Pane, PaneName, Sheet, Spot
from scaledesign.view.drafts import Drafts, carried
from scaledesign.view.far_notes import refuse_far
from scaledesign.view.holes import MEASURE_WORDS, HolesPane
from scaledesign.view.lines import DRAWN, Signs, Tone
from scaledesign.view.rows import RowsPane, new_row
from scaledesign.view.scale_pane import ScalePane
from scaledesign.view.selection import Selection
from scaledesign.view.setup import SetupPane
from scaledesign.view.wording import sentence
from scaledesign.workshop.answer import Answer

PANES: Mapping[PaneName, Pane] = {
    pane.name: pane for pane in (RowsPane(), HolesPane(), SetupPane(), ScalePane())
}
MEASURES: tuple[Measure, ...] = ("edge", "foot", "gap", "cut-end")
AT_FIRST: Mapping[PaneName, Selection] = {
    "holes": Selection(0, 2),
    "setup": Selection(1, 1),
    "scale": Selection(0, 2),
}
REMEMBERED = 64
"""Answers kept for undo and redo."""
QUIET = {("", "name"), ("", "notes"), ("", "units"), ("instrument", "material")}
"""Fields that mean nothing to the solver."""
Kind = Literal["solve", "predict"]


@dataclass(frozen=True, slots=True)
class Want:
    """What the engine is to be asked: to solve or only to predict, and for which revision."""

    kind: Kind
    design: Design
    revision: int
    last: Answer | None
    label: str = ""
    """What undo calls it, where it answers no edit."""


@dataclass(frozen=True, slots=True)
class Said:
    """The newest message to the maker."""

    text: str = ""
    tone: Tone = "plain"


@dataclass(frozen=True)
class Desk:
    """A design, what the engine says of it, and where the maker is."""

    history: History
    answer: Answer
    path: Path | None = None
    held: bool = False
    """The holes are held still: edits only predict."""
    measure: Measure = "edge"
    signs: Signs = DRAWN
    before: Design | None = None
    pane: PaneName = "rows"
    selections: Mapping[PaneName, Selection] = field(
        default_factory=lambda: {"rows": Selection(), **AT_FIRST}
    )
    said: Said = Said()
    want: Want | None = None
    revision: int = 0
    known: tuple[Answer, ...] = ()

    # What it is

    @classmethod
    def of(cls, design: Design, path: Path | None, *, saved: bool = True, like: Desk | None = None) -> Desk:
        """A desk for a design just opened or made; ``like`` lends its signs and measure."""
        desk = cls(History.start(design, saved=saved), Answer(design, None, final=False), path)
        if like is not None:
            desk = replace(desk, signs=like.signs, measure=like.measure, revision=like.revision)
        return desk._asking("predict")

    @property
    def design(self) -> Design:
        """The design as it is now."""
        return self.history.present

    @property
    def drafts(self) -> Drafts:
        """Texts that could not be read, by cell."""
        kept = self.history.aside
        return kept if isinstance(kept, dict) else {}

    @cached_property
    def sheet(self) -> Sheet:
        """What cells look at."""
        fits = len(self.answer.design.rows) == len(self.design.rows)
        answer = self.answer if fits else Answer(self.design, None, final=False)
        measure = self.measure if self.measure != "cut-end" or has_cut_end(self.design) else "edge"
        return Sheet(
            self.design, answer, self.before, answer.design is not self.design, self.signs, measure,
            self.held, self.drafts,
        )  # fmt: skip

    @property
    def selection(self) -> Selection:
        """The selection of the pane in use."""
        return self.selections[self.pane]

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """The columns of the pane in use."""
        return PANES[self.pane].columns(self.sheet)

    @property
    def column(self) -> Column:
        """The column the cursor is in."""
        return self.columns[self.selection.column]

    @property
    def spot(self) -> Spot:
        """The cell the cursor is in."""
        return self.pane, self.selection.row, self.column.key

    @property
    def text(self) -> str:
        """The exact text of the cursor's cell, a text that could not be read first."""
        draft = self.drafts.get(self.spot)
        if draft is not None:
            return draft.text
        if self.selection.row >= PANES[self.pane].count(self.sheet):
            return ""
        return self.column.text(self.sheet, self.selection.row)

    @property
    def title(self) -> str:
        """What to call it on the screen."""
        return self.design.name or (self.path.stem if self.path else "a new flute")

    @property
    def unsaved(self) -> bool:
        """Whether it differs from what is on disk; a text that could not be read is in no file."""
        return self.history.dirty

    # Moving about

    def going(self, selection: Selection, pane: PaneName | None = None) -> Desk:
        """The cursor somewhere else."""
        pane = pane or self.pane
        sheet = self.sheet
        fitted = selection.within(lines_of(pane, sheet), len(PANES[pane].columns(sheet)))
        return replace(self, pane=pane, selections={**self.selections, pane: fitted}, said=Said())

    def going_to(self, pane: PaneName) -> Desk:
        """Another pane, where its cursor was."""
        return self.going(self.selections[pane], pane)

    def saying(self, text: str, tone: Tone = "plain") -> Desk:
        """The same desk with a message."""
        return replace(self, said=Said(text, tone))

    # Editing

    def typed(self, text: str, now: float) -> Desk:
        """A text typed into the cursor's cell; what cannot be read stays there with its error."""
        return self.write([(self.spot, text)], now, "")

    def write(self, texts: Iterable[tuple[Spot, str]], now: float, name: str) -> Desk:
        """Texts put into cells as one step; each that cannot be read stays in its cell with its error.

        ``name`` is what undo says, '' for that of the one edit.
        """
        texts = list(texts)

        def edit_of(desk: Desk, spot: Spot, text: str) -> Edit | None:
            column = desk.column_at(spot)
            if column.write is None:
                if len(texts) > 1:
                    return None
                raise _CannotBeTyped(column)
            return column.write(desk.sheet, spot[1], text)

        drafts = dict(self.drafts)
        edits: list[Edit] = []
        scratch = self
        for spot, text in texts:
            drafts.pop(spot, None)
            while spot[0] == "rows" and spot[1] >= len(scratch.design.rows):
                grow = InsertRow(new_row(scratch.sheet, None))
                edits.append(grow)
                scratch = replace(scratch, history=scratch.history.amend(unchecked(scratch.design, grow)))
            try:
                edit = edit_of(scratch, spot, text)
                if edit is None:
                    continue
                design = (
                    apply(scratch.design, edit)
                    if len(texts) <= CHECKED_ONE_BY_ONE
                    else unchecked(scratch.design, edit)
                )
                if len(texts) == 1:
                    refuse_far(scratch.sheet, spot, text, design)
            except _CannotBeTyped as fault:
                return self.saying(str(fault), "faint")
            except ScaledesignError as fault:
                drafts[spot] = Draft(text, sentence(fault))
                continue
            edits.append(edit)
            scratch = replace(scratch, history=scratch.history.amend(design))
        label = name or (edits[0].label if edits else f"type into {self.column.title or 'the cell'}")
        if not edits:
            kept = replace(self, history=self.history.keep(drafts or None, label, self._place()))
            return kept.saying(next(reversed(drafts.values())).problem, "wrong") if drafts else kept
        edit = edits[0] if len(edits) == 1 and not name else Several(label, tuple(edits))
        done = self.doing(edit, now, drafts)
        fresh = [draft for spot, draft in drafts.items() if spot not in self.drafts]
        return done.saying(fresh[-1].problem, "wrong") if fresh else done

    def column_at(self, spot: Spot) -> Column:
        """The column of a cell."""
        return next(c for c in PANES[spot[0]].columns(self.sheet) if c.key == spot[2])

    def doing(
        self, edit: Edit | None, now: float, drafts: Drafts | None = None, *, laid_out: bool = False
    ) -> Desk:
        """The desk after an edit, with the engine asked to follow; an edit that does not fit is said.

        ``laid_out``: the holes lie where they belong already, the engine is only to say what they play.
        """
        if edit is None:
            return self
        aside = dict(self.drafts if drafts is None else drafts)
        owed = self.want is not None and self.want.kind == "solve"
        quiet = edit.cell in QUIET and not owed
        kind: Kind = "predict" if self.held or quiet or laid_out else "solve"
        try:
            history = self.history.do(
                edit, now, aside=aside or None, place=self._place(), owed=kind == "solve"
            )
        except ScaledesignError as fault:
            return self.saying(sentence(fault), "wrong")
        if history is self.history:
            return self
        aside = carried(self.design, history.present, self.drafts, aside)
        history = replace(history, aside=aside or None)
        said = f"{begun(edit.label)}. {consequences.consequence(edit, self.design, history.present)}".rstrip()
        desk = replace(self, history=history, before=self.design, said=Said(said))
        return desk if history.present is self.design else desk._fitted()._asking(kind)

    def stepped(self, now: float) -> Desk:
        """The next choice in every cell of the selection: a hole's state, a role, a lock."""
        return self._each(lambda column: column.step, now, "turn")

    def nudged(self, steps: int, now: float) -> Desk:
        """Every cell of the selection a small step up or down."""

        def nudge(column: Column) -> Callable[[Sheet, int], Edit | None] | None:
            move = column.nudge
            return None if move is None else lambda sheet, row: move(sheet, row, steps)

        return self._each(nudge, now, "nudge")

    def _each(
        self, what: Callable[[Column], Callable[[Sheet, int], Edit | None] | None], now: float, verb: str
    ) -> Desk:
        scratch, edits = self, []
        cells: set[tuple[str | int, ...]] = set()
        for column in (self.columns[i] for i in self.selection.columns):
            change = what(column)
            if change is None:
                continue
            for row in self._real_rows():
                try:
                    edit = change(scratch.sheet, row)
                    design = scratch.design if edit is None else unchecked(scratch.design, edit)
                except ScaledesignError as fault:
                    return self.saying(sentence(fault), "wrong")
                if edit is None or edit.cell in cells:  # two columns of one value: once is enough
                    continue
                if edit.cell is not None:
                    cells.add(edit.cell)
                edits.append(edit)
                scratch = replace(scratch, history=scratch.history.amend(design))
        if not edits:
            return self.saying(f"There is nothing to {verb} here.", "faint")
        label = edits[0].label if len(edits) == 1 else f"{verb} {len(edits)} cells"
        drafts = {spot: draft for spot, draft in self.drafts.items() if not self._covers(spot)}
        return self.doing(edits[0] if len(edits) == 1 else Several(label, tuple(edits)), now, drafts)

    def _real_rows(self) -> range:
        """Rows of the selection, the spare line below the last left out."""
        rows = self.selection.rows
        return range(rows.start, min(rows.stop, PANES[self.pane].count(self.sheet)))

    def _covers(self, spot: Spot) -> bool:
        keys = {self.columns[i].key for i in self.selection.columns}
        return spot[0] == self.pane and spot[1] in self.selection.rows and spot[2] in keys

    def cleared(self, now: float) -> Desk:
        """Every cell of the selection emptied, as far as it may be empty."""
        spots = [
            ((self.pane, row, self.columns[i].key), "")
            for row in self._real_rows()
            for i in self.selection.columns
            if self.columns[i].write is not None
        ]
        if len(spots) > 1:
            spots = [spot for spot in spots if self._may_be_empty(spot[0])]
        if not spots:
            return self.saying("There is nothing to clear here.", "faint")
        return self.write(spots, now, "clear cells" if len(spots) > 1 else "")

    def _may_be_empty(self, spot: Spot) -> bool:
        """Whether a cell can be emptied; a text that could not be read always can."""
        column = self.column_at(spot)
        if column.write is None:
            return False
        try:
            edit = column.write(self.sheet, spot[1], "")
            return spot in self.drafts or (edit is not None and apply(self.design, edit) is not None)
        except ScaledesignError:
            return spot in self.drafts

    def undone(self) -> Desk:
        """One step back, the cursor where the edit was made."""
        if not self.history.past:
            return self.saying("There is nothing to undo.", "faint")
        step = self.history.past[-1]
        return self._back(self.history.undo(), step.place, f"Undone: {step.label}.")

    def redone(self) -> Desk:
        """One step forward again."""
        if not self.history.future:
            return self.saying("There is nothing to redo.", "faint")
        step = self.history.future[0]
        return self._back(self.history.redo(), step.place, f"Done again: {step.label}.")

    def _back(self, history: History, place: object, text: str) -> Desk:
        desk = replace(self, history=history, before=self.design)
        if isinstance(place, tuple):
            desk = replace(desk, pane=place[0], selections={**desk.selections, place[0]: place[1]})
        desk = replace(desk._fitted(), said=Said(text))
        if history.present is self.design:
            return desk
        known = next((answer for answer in desk.known if answer.design is history.present), None)
        if known is not None:
            return replace(desk, answer=known, want=None, revision=desk.revision + 1)
        return desk._asking("solve" if history.owed and not desk.held else "predict")

    # Switches

    def holding(self) -> Desk:
        """The holes held still, or let go: then they follow the rows again."""
        if not self.held:
            held = replace(self, held=True)
            held = held if self.want is None else held._asking("predict")
            return held.saying("The holes stay where they are; edits only predict.")
        free = replace(self, held=False, before=self.design)
        return free._asking("solve", "let the holes follow").saying("The holes follow the rows again.")

    def measuring(self) -> Desk:
        """Positions measured from the next place."""
        able = [m for m in MEASURES if m != "cut-end" or has_cut_end(self.design)]
        place = able.index(self.measure) if self.measure in able else -1
        chosen = able[(place + 1) % len(able)]
        return replace(self, measure=chosen).saying(f"Holes are measured {MEASURE_WORDS[chosen]}.")

    def solving(self) -> Desk:
        """The holes solved anew from where they are."""
        return replace(self, before=self.design, said=Said())._asking("solve", "solve again")

    # The engine

    def _asking(self, kind: Kind, label: str = "") -> Desk:
        revision = self.revision + 1
        want = Want(kind, self.design, revision, self.answer, label)
        return replace(self, revision=revision, want=want)

    def answered(self, answer: Answer, revision: int) -> Desk:
        """The desk with the engine's answer; an answer to an older question changes nothing."""
        if revision != self.revision or self.want is None:
            return self
        want = None if answer.final else replace(self.want, label="")
        history = self.history
        if self.want.kind == "solve":
            history = history.amend(answer.design, self.want.label, self._place())
        if self.want.kind == "predict":
            answer = replace(answer, design=self.design)
        known = (answer, *self.known)[:REMEMBERED] if answer.final else self.known
        desk = replace(self, answer=answer, history=history, want=want, known=known)._fitted()
        moved = desk.moved_words() if self.want.kind == "solve" else ""
        if moved and desk.said.tone == "plain" and answer.final:
            desk = replace(desk, said=Said(f"{desk.said.text} {moved}".strip()))
        return desk

    def moved_words(self) -> str:
        """What the last edit shifted, in a sentence; '' where nothing moved."""
        return "" if self.before is None else consequences.moved(self.before, self.design)

    # Files

    def saved(self, path: Path, unkept: str = "") -> Desk:
        """The desk after its design was written to a file; ``unkept`` says what could not be kept of it."""
        saved = replace(self, history=self.history.save(), path=path)
        return saved.saying(f"Saved to {path.name}. {unkept}".strip())

    def _place(self) -> tuple[PaneName, Selection]:
        return self.pane, self.selection

    def _fitted(self) -> Desk:
        """The selections kept inside their panes."""
        sheet = self.sheet
        return replace(
            self,
            selections={
                name: chosen.within(lines_of(name, sheet), len(PANES[name].columns(sheet)))
                for name, chosen in self.selections.items()
            },
        )


def lines_of(pane: PaneName, sheet: Sheet) -> int:
    """Lines a pane has for the cursor: its rows, and the spare one to type a new row into."""
    return PANES[pane].count(sheet) + PANES[pane].spare


CHECKED_ONE_BY_ONE = 40
"""Cells up to which each is checked by itself, so that only the wrong ones are refused."""


class _CannotBeTyped(Exception):
    def __init__(self, column: Column) -> None:
        super().__init__(f"{begun(column.title or 'this column')} is worked out; it cannot be typed.")
