"""What is looked for while the grid is open: fingerings, trills, a chart, scales that suit, other flutes.

Each is a list worked out in a thread; what is taken from it is one step of the design. Apart from the lists
themselves (``view/fingering_list.py`` and beside it), which know no screen.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from scaledesign.errors import ScaledesignError
from scaledesign.model.document import Design
from scaledesign.model.edits import Edit, apply
from scaledesign.view.listing import Listing, Taken

if TYPE_CHECKING:
    from scaledesign.ui.app import GridApp
    from scaledesign.view.columns import Sheet
    from scaledesign.view.fingering_list import Chosen
    from scaledesign.view.suits_list import Tunable
    from scaledesign.workshop.finder import Choice

SAVED = "as it was saved"


class SearchWork:
    """Lists that are worked out, and what becomes of a choice."""

    def __init__(self, app: GridApp) -> None:
        self._app = app
        self._body: Design | None = None
        self._kept: dict[float, Choice] = {}
        """What that flute can play, by what partly open means; kept for as long as it stays the same."""

    # A fingering, a trill, a chart

    def fingering(self) -> None:
        """What plays the row in hand, best first."""
        from scaledesign.view import fingering_list

        if (row := self._row()) is None:
            return
        self._list(
            "Find a fingering",
            lambda sheet: fingering_list.fingerings(sheet, row, partial(self._choice, sheet.design)),
            lambda taken: self._take_fingering(row, taken),
        )

    def _take_fingering(self, row: int, taken: Taken) -> None:
        from scaledesign.view import fingering_list

        chosen: Chosen = taken.value
        note = chosen.notes[0][0].name
        if taken.second:
            self._rows(chosen, f"add a fingering of {note}")
            return
        edit = fingering_list.into_row(self._app.main.desk.design, row, chosen)
        self._do(edit, f"Row {row + 1} is fingered so already.")

    def trills(self) -> None:
        """Fingerings for a trill from the row in hand to the next note."""
        from scaledesign.view import fingering_list

        if (row := self._row()) is None:
            return
        self._list(
            "Trills",
            lambda sheet: (fingering_list.trill_list(sheet, row, partial(self._choice, sheet.design)),),
            lambda taken: self._rows(taken.value, "add a trill"),
        )

    def chart(self) -> None:
        """A whole chart: of the scale, or of all semitones."""
        from scaledesign.view import chart_list

        self._list(
            "Propose a chart",
            lambda sheet: chart_list.charts(sheet, self._choice(sheet.design)),
            lambda taken: self._rows(
                taken.value,
                f"add a chart of {(chart_list.SCALE, chart_list.SEMITONES)[taken.page]}",
            ),
        )

    def _rows(self, chosen: Chosen, name: str) -> None:
        from scaledesign.view import fingering_list

        main = self._app.main
        main.show(fingering_list.adding(main.desk, chosen, name, time.monotonic()))

    def _row(self) -> int | None:
        """The row in hand; where there is none, that is said."""
        from scaledesign.view.row_work import row_number

        row = row_number(self._app.main.desk)
        if row is None:
            self._app.say("Type a note into the empty line first: then its fingerings can be looked for.")
        return row

    def _choice(self, design: Design, share: float | None = None) -> Choice:
        """Everything the flute can play and what it costs; for a thread.

        Raises
        ------
        EditError
            when there are too many holes to try all.
        """
        from scaledesign.workshop.finder import choice_of
        from scaledesign.workshop.playable import HALF_OPEN, playable

        share = HALF_OPEN if share is None else share
        body = replace(design, name="", notes="", rows=(), log=(), text="")
        if self._body != body:
            self._body, self._kept = body, {}
        kept = self._kept
        if share not in kept:
            kept[share] = choice_of(design, playable(design, open_share=share))
        return kept[share]

    # Scales

    def suits(self) -> None:
        """Which scales the flute plays as it stands."""
        from scaledesign.view import suits_list

        self._list(
            "Which scales can this flute play?",
            lambda sheet: (suits_list.scales(sheet, self._choice(sheet.design).playable),),
            lambda taken: self._ask_how(taken.value),
        )

    def _ask_how(self, chosen: Tunable) -> None:
        from scaledesign.ui.dialog import Deciding
        from scaledesign.view import suits_list

        edits: dict[str, Callable[[Design, Tunable], Edit]] = {
            "fingerings": suits_list.as_rows,
            "degrees": suits_list.retuned,
        }
        words = f"{chosen.scale.name} on {chosen.tonic}: what becomes of the rows?"
        answers = (
            ("fingerings", "The fingerings that play it now: the holes hardly move"),
            ("degrees", "Rewrite the rows degree by degree: the holes follow"),
        )

        def take(answer: str | None) -> None:
            if answer:
                try:
                    design = self._app.main.desk.design
                    edit = edits[answer](design, chosen)
                    self._do(None if apply(design, edit) == design else edit, "It is tuned so already.")
                except ScaledesignError as error:
                    self._refuse(error)

        self._app.push_screen(Deciding(self._app.look, "Take this scale", words, answers), take)

    # Many flutes alike

    def chances(self, count: int = 0) -> None:
        """Many flutes made from the one in hand, and how many of them come out in tune."""
        from scaledesign.view import chances_list
        from scaledesign.workshop.chances import USUAL

        self._list(
            "Made many times",
            lambda sheet: (chances_list.many(sheet, count or USUAL),),
            lambda taken: self.chances(chances_list.MANY),
            "Making flutes on paper",
        )

    # Other flutes

    def compare(self) -> None:
        """The flute in hand beside another: as it was saved, or of another file."""
        from scaledesign.ui import dialogs

        desk = self._app.main.desk
        saved = desk.history.saved
        before = desk.unsaved and saved is not None
        chooser = dialogs.flutes(
            self._app.look, self._app.files.folder, "Compare with", SAVED if before else ""
        )
        self._app.push_screen(chooser, lambda text: self._compare(text) if text else None)

    def _compare(self, text: str) -> None:
        from scaledesign.files import document_file
        from scaledesign.view import variants_list
        from scaledesign.view.file_questions import design_place

        desk = self._app.main.desk
        saved = desk.history.saved
        path: Path | None = None if text == SAVED else design_place(text, self._app.files.folder)
        name = SAVED if path is None else path.stem

        def work(sheet: Sheet) -> tuple[Listing, ...]:
            others = []
            if saved is not None and (path is None or desk.unsaved):
                others.append((SAVED, saved))
            if path is not None:
                others.insert(0, (path.stem, document_file.load(path)))
            return (variants_list.compared(sheet, others),)

        self._list(
            "Side by side",
            work,
            lambda taken: self._take_over(taken.value, name),
            "Working out what each is worth",
        )

    def _take_over(self, chosen: Design, name: str) -> None:
        from scaledesign.view import variants_list

        design = self._app.main.desk.design
        saved = self._app.main.desk.history.saved
        called = SAVED if chosen is saved else name
        edit, remarks = variants_list.taken_over(design, chosen, called, datetime.now())
        self._do(edit, "It is the same flute.")
        if remarks:
            desk = self._app.main.desk
            self._app.main.show(desk.saying(f"{desk.said.text} {' '.join(remarks)}"))

    # The same flute, before

    def earlier(self) -> None:
        """What saves of this flute replaced; one of them back, as one step."""
        from scaledesign.view import earlier_list

        path = self._app.main.desk.path
        if path is None:
            self._app.say("It was never saved, so there is no earlier version: {undo} goes back.")
            return
        self._list(
            "Earlier versions",
            lambda sheet: (earlier_list.earlier(sheet, path),),
            lambda taken: self._do(
                earlier_list.back(self._app.main.desk.design, *taken.value),
                "It is the same flute.",
            ),
            "Reading what is kept",
        )

    # All of them

    def _list(
        self,
        title: str,
        work: Callable[[Sheet], tuple[Listing, ...]],
        take: Callable[[Taken], None],
        busy: str = "Trying every way to cover the holes",
    ) -> None:
        """Open a list over the flute as it stands now."""
        from scaledesign.ui.worked_list import WorkedList
        from scaledesign.view.actions import key_words

        app = self._app
        sheet, keys = app.main.desk.sheet, app.keys["hear"]
        dialog = WorkedList(
            app.look,
            title,
            busy,
            lambda: work(sheet),
            hear=app.hearing.say,
            hear_keys=keys,
            hear_words=key_words(keys[0]) if keys else "",
        )

        def done(taken: Taken | None) -> None:
            app.hearing.stop()
            if taken is not None:
                take(taken)

        app.push_screen(dialog, done)

    def _do(self, edit: Edit | None, nothing: str) -> None:
        """One step of the design; ``nothing``: what to say where there is none to make."""
        main = self._app.main
        if edit is None:
            main.show(main.desk.saying(nothing, "faint"))
        else:
            main.show(main.desk.doing(edit, time.monotonic()))

    def _refuse(self, error: ScaledesignError) -> None:
        main = self._app.main
        main.show(main.desk.saying(str(error), "wrong"))
