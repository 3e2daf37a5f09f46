"""The tube in the hand, while the grid is open: asked for, its keys and bores listed, a flute begun of one.

The list is worked out in a thread. Apart from the questions and the lists (``view/tube_questions.py``,
``view/tube_list.py``), which know no screen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from scaledesign.errors import ScaledesignError
from scaledesign.view.listing import Taken

if TYPE_CHECKING:
    from scaledesign.model.document import Design
    from scaledesign.ui.app import GridApp
    from scaledesign.ui.question_screen import QuestionScreen
    from scaledesign.view.lines import Line
    from scaledesign.view.new_flute import ReadBook
    from scaledesign.view.tube_questions import TubeInHand
    from scaledesign.workshop.start import Wanted
    from scaledesign.workshop.tube_advice_verdict import Choice


class TubeWork:
    """What is asked of a tube, and what becomes of a choice."""

    def __init__(self, app: GridApp) -> None:
        self._app = app
        self._asked: TubeInHand | None = None
        """What was answered last: the next tube is often like it."""

    def ask(self) -> None:
        """A few questions about the tube; all but the first have a usual answer."""
        from scaledesign.ui.dialog import wrapped
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking
        from scaledesign.view.tube_questions import TubeInHand
        from scaledesign.workshop.ask import offers

        def tail(tube: TubeInHand, width: int) -> tuple[Line, ...]:
            return wrapped(tube.preview(), width, "true" if tube.wanted() else "plain")

        asking: Asking[TubeInHand, TubeInHand] = Asking(
            "What can this tube become?",
            TubeInHand.questions,
            tail,
            lambda tube: tube.wanted() is not None,
            lambda tube: tube,
            "see its keys",
            1,
        )
        answers = self._asked or TubeInHand(offers(), self._app.units)
        self._app.push_screen(QuestionScreen(self._app.look, asking, answers), self._list)

    def _list(self, asked: TubeInHand | None) -> None:
        if asked is None or (want := asked.wanted()) is None:
            return
        from scaledesign.ui.worked_list import WorkedList
        from scaledesign.view.tube_list import lists

        self._asked = asked
        app = self._app
        signs = app.main.desk.signs
        dialog = WorkedList(
            app.look,
            asked.tube.strip(),
            "Laying a flute out on it in every key",
            lambda: lists(want, signs),
        )
        app.push_screen(dialog, lambda taken: self._take(taken) if taken else None)

    def _take(self, taken: Taken) -> None:
        """Begin the flute, after asking about what is unsaved."""
        choice: Choice = taken.value

        def begin() -> None:
            self._app.push_screen(self._begin(choice), self._app.take_new)

        self._app.files.after_asking(begin)

    def _begin(self, choice: Choice) -> QuestionScreen[Design]:
        from scaledesign.ui.dialog import wrapped
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking
        from scaledesign.view.tube_questions import Begun

        key = choice.wanted.key
        book = self._app.book.reading()
        said = f"{key}, about {choice.bores:.0f} bores long: {choice.verdict}; {choice.reason}."
        asking: Asking[Begun, Design] = Asking(
            f"A new flute in {key}",
            Begun.questions,
            lambda begun, width: wrapped(said, width),
            lambda begun: True,
            lambda begun: _made(begun.wanted(), book),
            "lay it out",
            1,
        )
        return QuestionScreen(self._app.look, asking, Begun(choice))


def _made(want: Wanted, book: ReadBook) -> Design:
    """The flute laid out and solved, its mouth as the maker's book has it; takes a moment."""
    from scaledesign.workshop.from_book import new_from_book

    try:
        known = book(True)
    except ScaledesignError:  # a book that cannot be read must not stand in the way of a flute
        known = None
    return new_from_book(want, known).design
