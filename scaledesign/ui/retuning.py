"""The dialog that retunes a flute: the questions, and beneath them what the holes would do.

Apart from the questions (``view/scale_retuning.py``), which know no thread: what would move is worked out in
the background while the maker looks on, and an answer that changes makes it begin anew.
"""

from __future__ import annotations

from collections.abc import Callable

from textual.message import Message

from scaledesign.model.edits import Edit, apply
from scaledesign.ui.dialog import wrapped
from scaledesign.ui.errand import Errand
from scaledesign.ui.look import Look
from scaledesign.ui.question_screen import QuestionScreen
from scaledesign.values import dataclass
from scaledesign.view.asking import Asking
from scaledesign.view.consequences import moved
from scaledesign.view.desk import Desk
from scaledesign.view.lines import Line
from scaledesign.view.scale_retuning import Retuning
from scaledesign.workshop import live

PAUSE = 0.15
"""Seconds without a key after which it is worked out what would move."""
NOTHING = "What moves shows when it is taken."


class RetuneScreen(QuestionScreen[Edit]):
    """Asks, shows what would come of it, and hands back the edit."""

    @dataclass
    class Moved(Message):
        """What the holes would do."""

        asked: Retuning
        words: str

    def __init__(self, look: Look, desk: Desk, answers: Retuning) -> None:
        self._desk = desk
        self._known: tuple[Retuning | None, str] = (None, "")
        """Answers, and what they would move."""
        self._errand: Errand[str] | None = None
        asking: Asking[Retuning, Edit] = Asking(
            "Retune", Retuning.questions, self._tail, lambda asked: asked.ready, _edit_of, "retune", 1
        )
        super().__init__(look, asking, answers)
        self._due: object = None

    def _tail(self, answers: Retuning, width: int) -> tuple[Line, ...]:
        lines = answers.lines(self._desk.signs, width)
        said = answers.said()
        if not answers.ready:
            wrong = isinstance(answers.wanted, str) or bool(answers.edit)
            return (*lines, *wrapped(said, width, "wrong" if wrong else "faint"))
        words = self._known[1] if self._known[0] == answers else ""
        self._look_into(answers)
        return (
            *lines,
            *wrapped(f"{said} {words or 'What moves...'}".strip(), width, "plain" if words else "faint"),
        )

    def _look_into(self, answers: Retuning) -> None:
        """Work out what moves once no key comes."""
        if answers in (self._known[0], self._due):
            return
        self._leave()
        self._due = answers
        self.set_timer(PAUSE, lambda: self._begin(answers))

    def _begin(self, answers: Retuning) -> None:
        if answers != self._due:
            return
        self._errand = Errand(
            lambda cancelled: _moves(self._desk, answers, cancelled),
            lambda words: self._told(answers, words),
        )
        self._errand.leave()

    def _told(self, answers: Retuning, words: str) -> None:
        if self.is_running:
            self.post_message(self.Moved(answers, words))

    def on_retune_screen_moved(self, message: Moved) -> None:
        """What would move is known."""
        if message.asked == self._due:
            self._known = (message.asked, message.words)
            self._show()

    def _leave(self) -> None:
        if self._errand is not None:
            self._errand.cancel()
        self._errand = None

    def on_unmount(self) -> None:
        """Nobody wants it any more."""
        self._leave()


def _edit_of(answers: Retuning) -> Edit:
    edit = answers.edit
    assert not isinstance(edit, str)  # the dialog asks only when there is one
    return edit


def _moves(desk: Desk, answers: Retuning, cancelled: Callable[[], bool]) -> str:
    """What the holes would do, in a sentence; whatever is wrong is said when it is taken."""
    if desk.held:
        return "The holes are held still."
    try:
        wanted = apply(desk.design, _edit_of(answers))
        answer = live.quick(wanted, desk.answer, cancelled)
        if not answer.final:  # far off, other bits may serve: what is told must be what will be
            answer = live.thorough(wanted, cancelled)
    except Exception:  # noqa: BLE001 - an errand must not raise
        return NOTHING
    return moved(desk.design, answer.design) or NOTHING
