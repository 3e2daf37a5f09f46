"""History: undo and redo that keep the earlier documents.

No edit needs an inverse: a step back is the document as it was. Apart from ``model/edits.py`` so
that edits know nothing of time; nothing here touches a file or a clock, ``now`` is handed in.

Which edits make one step:

- An edit of a cell joins the step before it if that was an edit of the same cell, in time: less
  than ``GAP`` seconds after the last edit of the step.
- An edit that is more than one cell (a hole added, a solution taken over) is always a step of its own.
- After an undo, a redo or a save a new step begins.
- An edit that changes nothing, beside the document either, is no step.
- What the solver makes of an edit belongs to the edit's step; what it makes of no edit is a step.
"""

from __future__ import annotations

from dataclasses import replace

from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.model.edits import Edit, apply
from scaledesign.values import dataclass

GAP = 1.0
"""Seconds."""


@dataclass(frozen=True, slots=True)
class Step:
    """A document as it was, with the edit between it and its neighbour nearer the present."""

    design: Design
    label: str
    """Of that edit."""
    aside: object = None
    """What was kept beside the document."""
    place: object = None
    """Where that edit was made."""
    owed: bool = False
    """The solver has not answered it yet."""


@dataclass(frozen=True, slots=True)
class History:
    """A document with its past and its future. ``start`` one, then ``do``, ``undo``, ``redo``."""

    past: tuple[Step, ...]
    """Oldest first."""
    present: Design
    future: tuple[Step, ...]
    """Nearest first."""
    saved: Design | None
    """The document on disk, None if there is none."""
    cell: tuple[str | int, ...] | None = None
    """What the next edit must set to join the last step; None: it will not join."""
    time: float = 0.0
    """Seconds on the caller's clock, of the last edit."""
    aside: object = None
    """What the caller keeps beside the document and wants back with it: texts that could not be read."""
    owed: bool = False
    """The present is an edit that the solver has not answered yet."""

    @classmethod
    def start(cls, design: Design, *, saved: bool = True) -> History:
        """History of a document just opened (``saved``) or just made."""
        return cls((), design, (), design if saved else None)

    @property
    def dirty(self) -> bool:
        """Whether the document differs from the one on disk."""
        return self.saved is None or self.present != self.saved

    @property
    def undo_name(self) -> str:
        """Label of what undo would take back, '' for nothing."""
        return self.past[-1].label if self.past else ""

    @property
    def redo_name(self) -> str:
        """Label of what redo would do again, '' for nothing."""
        return self.future[0].label if self.future else ""

    def do(
        self, edit: Edit, now: float, *, aside: object = None, place: object = None, owed: bool = False
    ) -> History:
        """The history after an edit at ``now`` (seconds), made at ``place``, ``aside`` beside the document.

        ``owed``: the solver is to answer it.

        Raises
        ------
        EditError : if the edit does not fit
        """
        design = apply(self.present, edit)
        if design == self.present:
            return self.keep(aside, edit.label, place)
        joins = self.cell is not None and self.cell == edit.cell and 0 <= now - self.time < GAP
        past = self.past if joins else (*self.past, self._step(edit.label, place))
        return History(past, design, (), self.saved, edit.cell, now, aside, owed)

    def keep(self, aside: object, label: str, place: object = None) -> History:
        """The history after something beside the document changed: a step as any other."""
        if aside == self.aside:
            return self
        past = (*self.past, self._step(label, place))
        return History(past, self.present, (), self.saved, None, self.time, aside, self.owed)

    def amend(self, design: Design, label: str = "", place: object = None) -> History:
        """The history with another present, which is what the solver made of the last edit.

        With a ``label`` it is a step of its own: the solver was asked without an edit.
        """
        if not label or design == self.present:
            return replace(self, present=design, owed=False)
        past = (*self.past, self._step(label, place))
        return replace(self, past=past, present=design, future=(), cell=None, owed=False)

    def _step(self, label: str, place: object) -> Step:
        return Step(self.present, label, self.aside, place, self.owed)

    def _at(self, step: Step, past: tuple[Step, ...], future: tuple[Step, ...]) -> History:
        """The history with a step's document as its present."""
        return replace(
            self, past=past, present=step.design, aside=step.aside, owed=step.owed, future=future, cell=None
        )

    def undo(self) -> History:
        """The history one step back.

        Raises
        ------
        EditError : if there is nothing to undo
        """
        if not self.past:
            raise EditError("there is nothing to undo", "edit something first")
        step = self.past[-1]
        future = (self._step(step.label, step.place), *self.future)
        return self._at(step, self.past[:-1], future)

    def redo(self) -> History:
        """The history one step forward again.

        Raises
        ------
        EditError : if there is nothing to redo
        """
        if not self.future:
            raise EditError("there is nothing to redo", "undo something first")
        step = self.future[0]
        past = (*self.past, self._step(step.label, step.place))
        return self._at(step, past, self.future[1:])

    def save(self) -> History:
        """The history after the present was written to disk."""
        return replace(self, saved=self.present, cell=None)
