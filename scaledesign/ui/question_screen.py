"""A dialog of a few questions, one line each: a new flute, the bare tube, where to save, what to print.

The questions, their answers and what is wrong with them are plain data of ``view``; here is only the asking.
What follows from the answers may take a moment: it runs in the background and its error is shown in place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input

from scaledesign.ui.dialog import Dialog, Reading, wrapped
from scaledesign.ui.errand import Errand, tried
from scaledesign.ui.look import Look
from scaledesign.ui.picture import Picture
from scaledesign.ui.text_line import TextLine
from scaledesign.values import dataclass
from scaledesign.view.asking import A, Asking
from scaledesign.view.choices import beside, blank_goes_on, choice_lines, completed, matching
from scaledesign.view.help import question_lines
from scaledesign.view.lines import Line, Span, cut, text_of
from scaledesign.view.questions import Question

LABEL, FIELD = 14, 36
"""Cells for the name of a question, and for its answer."""
LEAST, MOST = 2, 8
"""Lines of choices: with less room there are none, and never more."""
T = TypeVar("T")


class Answer(TextLine):
    """The line of one answer; its dialog sees every key first, so that those typed ahead keep their order."""

    def __init__(self, question: Question, taken: Callable[[events.Key], bool]) -> None:
        super().__init__(
            question.answer, id=f"answer-{question.name}", compact=True, placeholder=question.usual,
            select_on_focus=False,
        )  # fmt: skip
        self._taken = taken

    def on_key(self, event: events.Key) -> None:
        """Hand the key on; a text goes into the answer that is in hand by now."""
        if self._taken(event):
            return
        inhand = self.screen.focused
        if isinstance(inhand, Answer) and inhand.follow(event):
            event.stop()
            event.prevent_default()


class QuestionScreen(Dialog[T]):
    """Asks, and hands back what ``finish`` made of the answers, or None."""

    DEFAULT_CSS = """
    QuestionScreen Horizontal { height: 1; }
    QuestionScreen .label { width: 14; }
    QuestionScreen .note { width: 1fr; }
    QuestionScreen Input { width: 36; }
    """

    @dataclass
    class Finished(Message):
        """The background is done."""

        value: Any
        problem: str

    def __init__(
        self,
        look: Look,
        asking: Asking[A, T],
        answers: A,
        also: Mapping[str, tuple[str, Callable[[QuestionScreen[T]], None]]] = {},
    ) -> None:
        """Ask; ``also`` are keys that do something else with the answers: its words, and what it does."""
        super().__init__(look)
        self.also = also
        self.asking = asking
        self.answers = answers
        self.names = tuple(question.name for question in asking.questions(answers))
        self.problem = ""
        self.busy = False
        self._inhand, self._found = "", ""
        """The question in hand, and its answer when it came in hand or its list was closed."""
        self._listed = False
        """Whether choices are shown."""
        self._shut = False
        """Whether the maker closed their list."""
        self._making: Errand[QuestionScreen.Finished] | None = None

    @property
    def ready(self) -> bool:
        """Whether nothing is being made of the answers."""
        return not self.busy

    def on_unmount(self) -> None:
        """Nobody wants it any more."""
        if self._making is not None:
            self._making.cancel()

    def compose(self) -> ComposeResult:
        """A line for each question, and beneath what there is to say of the one in hand."""
        with Vertical():
            yield self.picture("title")
            for question in self.asking.questions(self.answers):
                with Horizontal(id=f"line-{question.name}"):
                    yield Picture(f"label-{question.name}", self.look, "head").add_class("label")
                    yield Answer(question, self.taken)
                    yield Picture(f"note-{question.name}", self.look, "head").add_class("note")
            yield self.picture("about")

    def on_mount(self) -> None:
        """Begin with the first question that has no answer."""
        title = self.query_one("#title", Picture)
        title.styles.height = 2
        title.show(lambda width, height: ((Span(self.asking.title, "strong"),), ()))
        self._hold(self.names[0])
        self._show()

    def on_resize(self) -> None:
        """Lay the texts out anew."""
        self._show()

    def look_again(self) -> None:
        """What the answers come to may have changed."""
        self._show()

    def _input(self, name: str) -> Input:
        return self.query_one(f"#answer-{name}", Input)

    @property
    def current(self) -> int:
        """The question in hand."""
        focused = self.focused
        name = focused.id.removeprefix("answer-") if focused is not None and focused.id else ""
        return self.names.index(name) if name in self.names else 0

    @property
    def meant(self) -> Any:
        """The answers as Enter would take them: a part of a choice is the whole of it."""
        question = self.asking.questions(self.answers)[self.current]
        whole = completed(question)
        return self.answers.answered(question.name, whole) if whole else self.answers

    @property
    def _in_a_list(self) -> bool:
        """Whether the maker is choosing: a list is shown, and something was chosen or looked for in it."""
        return self._listed and self._input(self.names[self.current]).value != self._found

    # Showing

    def _show(self) -> None:
        if not self.is_mounted:
            return
        questions = self.asking.questions(self.answers)
        for index, question in enumerate(questions):
            here = index == self.current
            self.query_one(f"#line-{question.name}").display = question.asked
            self._draw(f"label-{question.name}", ((Span(question.name, "strong" if here else "label"),),))
            self._input(question.name).placeholder = question.usual
            self._draw(f"note-{question.name}", (self._mark(question, here),))
        lines = self._about(questions[self.current])
        about = self.query_one("#about", Picture)
        about.styles.height = len(lines)
        self._draw("about", lines)

    def _mark(self, question: Question, here: bool) -> Line:
        if question.problem and not (here and completed(question)):
            return (Span("  not clear yet", "wrong"),)
        room = self.room[0] - LABEL - FIELD - 2
        return (Span(f"  {cut(question.note, room)}", "faint"),)

    def _draw(self, name: str, lines: tuple[Line, ...]) -> None:
        self.query_one(f"#{name}", Picture).show(lambda width, height: lines)

    def _about(self, question: Question) -> tuple[Line, ...]:
        width, height = self.room
        lines: list[Line] = [(), *wrapped(question.words, width, "strong")]
        if whole := completed(question):
            lines += wrapped(f"Taken as {whole}.", width, "faint")
        elif question.problem:
            lines += wrapped(question.problem, width, "wrong")
        elif question.help:
            lines += wrapped(question.help, width, "faint")
        if question.note and len(question.note) > width - LABEL - FIELD - 2:
            lines += wrapped(f"Now: {question.note}", width)
        tail = self.asking.tail(self.meant, width)
        if question.problem and _told(tail) in _plainly(question.problem):
            tail = ((),)  # it stands above
        if self.problem:
            tail = wrapped(self.problem, width, "wrong")
        if self.busy:
            tail = ((Span("A moment...", "faint"),),)
        asked = sum(each.asked for each in self.asking.questions(self.answers))
        also = "  ".join(f"{key.upper()}: {words}." for key, (words, _) in self.also.items())
        room = height - asked - len(lines) - len(tail) - 5 - bool(also)
        self._listed = bool(matching(question)) and room > LEAST and not self._shut
        if self._listed:
            shown = choice_lines(question, self.room[0], min(room - 1, MOST))
            lines += [(), *shown]
            room -= 1 + len(shown)
        tail = (*tail, *self.asking.besides(self.answers, width)[: max(0, room)])
        last = self.current >= self.asking.needed - 1
        enter = f"Enter: {self.asking.verb}" if last else "Enter: next"
        choose = "Up and Down: choose.  " if question.choices else ""
        keys = f"{choose}Tab: next line.  {enter}.  Escape: leave."
        if self._in_a_list:
            keys = f"{choose}{enter}.  Escape: close the list."
        more = "  F1: what is asked."
        keys = keys + more if len(keys + more) <= width else keys
        others = wrapped(also, width, "faint") if also else ()
        return (*lines, (), *tail, (), *others, (Span(keys, "faint"),))

    # Answering

    def on_input_changed(self, event: Input.Changed) -> None:
        """The answers follow what is typed."""
        name = (event.input.id or "").removeprefix("answer-")
        if name in self.names:
            self._shut &= self._input(name).value == self._found
            self.answers = self.answers.answered(name, event.value)
            self.problem = ""
            self._show()

    def on_descendant_focus(self) -> None:
        """Another question is in hand."""
        self._hold(self.names[self.current])
        self._show()

    def _hold(self, name: str) -> None:
        """Take a question in hand; its list is as it was found."""
        field = self._input(name)
        if self.focused is not field:
            self.set_focus(field)
        if name != self._inhand:
            self._inhand, self._found, self._shut = name, field.value, False

    def on_key(self, event: events.Key) -> None:
        """A key while no answer is in hand."""
        self.taken(event)

    def taken(self, event: events.Key) -> bool:
        """Choose, or go on; whether that is all a key means. Escape is every dialog's, but in a list."""
        if (event.key == "escape" and self._in_a_list) or (event.key == "space" and self._steps()):
            event.stop()
            event.prevent_default()
            if event.key == "escape":
                self._close_list()
            return True
        if event.key in ("up", "down", "tab", "shift+tab", "enter"):
            event.stop()
            event.prevent_default()
            self._read()
        if event.key == "f1":
            event.stop()
            event.prevent_default()
            self._read()
            question = self.asking.questions(self.answers)[self.current]
            self.app.push_screen(
                Reading(self.look, question.name, lambda width: question_lines(question, width))
            )
        elif event.key == "enter":
            self._entered()
        elif event.key in ("up", "down"):
            by = 1 if event.key == "down" else -1
            question = self.asking.questions(self.answers)[self.current]
            if question.choices:
                self._choose(question, by)
            else:
                self._go(self.current + by)
        elif event.key in ("tab", "shift+tab"):
            self._complete()
            self._go(self.current + (1 if event.key == "tab" else -1))
        elif event.key in self.also and not self.busy:
            event.stop()
            event.prevent_default()
            self._read()
            self._complete()
            self.also[event.key][1](self)
        return False

    def _steps(self) -> bool:
        """Whether a blank chose the next answer: where it cannot go on with a text that looks for one."""
        self._read()
        question = self.asking.questions(self.answers)[self.current]
        if not blank_goes_on(question):
            return False
        self._choose(question, 1)
        return True

    def _close_list(self) -> None:
        """Put the list away, and keep what was chosen in it."""
        self._read()
        self._complete()
        self._found, self._shut = self._input(self._inhand).value, True
        self._show()

    def _read(self) -> None:
        """What was typed last may not have been told yet."""
        name = self.names[self.current]
        self.answers = self.answers.answered(name, self._input(name).value)

    def _choose(self, question: Question, by: int) -> None:
        self._shut = False
        field = self._input(question.name)
        field.value = beside(question, by)
        field.cursor_position = len(field.value)

    def _complete(self) -> None:
        """A part of a choice becomes the whole of it."""
        question = self.asking.questions(self.answers)[self.current]
        if meant := completed(question):
            self._input(question.name).value = meant
            self.answers = self.answers.answered(question.name, meant)

    def _go(self, place: int) -> None:
        """To a question, or past those that are not asked to the next that is."""
        questions, by = self.asking.questions(self.answers), -1 if place < self.current else 1
        while not questions[place % len(questions)].asked:
            place += by
        self._hold(self.names[place % len(self.names)])

    def _entered(self) -> None:
        """Enter goes on; from the last needed question to the end."""
        if self.busy:
            return
        self._complete()
        questions = self.asking.questions(self.answers)
        to_mend = self.asking.to_mend(self.answers)
        if questions[self.current].problem or to_mend == self.names[self.current]:
            self._show()
            return
        if self.current < self.asking.needed - 1:
            self._go(self.current + 1)
            return
        if self.finish():
            return
        open_one = next((i for i, q in enumerate(questions) if q.problem or not q.taken), None)
        if to_mend:
            open_one = self.names.index(to_mend)
        if open_one is not None and open_one != self.current:
            self._go(open_one)

    def finish(self) -> bool:
        """Begin to make something of the answers, where they are ready; whether they are."""
        ready = not self.busy and self.asking.ready(self.answers)
        if ready:
            self.busy = True
            self._show()
            self._finish()
        return ready

    def take(self, answers: Any) -> None:
        """Other answers of the same kind in place of those that were typed."""
        self.answers = answers
        for question in self.asking.questions(self.answers):
            field = self._input(question.name)
            field.value = question.answer
            field.cursor_position = len(question.answer)
        self._found = self._input(self._inhand).value
        self._show()

    def _finish(self) -> None:
        answers = self.answers
        self._making = Errand(lambda cancelled: self._made(answers), self._tell)
        self._making.leave()

    def _made(self, answers: Any) -> QuestionScreen.Finished:
        return self.Finished(*tried(lambda: self.asking.finish(answers)))

    def _tell(self, finished: QuestionScreen.Finished) -> None:
        if self.is_running:
            self.post_message(finished)

    def on_question_screen_finished(self, message: Finished) -> None:
        """Hand the value back, or say what is in the way."""
        self.busy = False
        if message.problem:
            self.problem = message.problem
            self._show()
        else:
            self.close(message.value)


def _told(lines: tuple[Line, ...]) -> str:
    return _plainly(" ".join(text_of(line) for line in lines))


def _plainly(text: str) -> str:
    """A text whichever way it is parted into lines."""
    return " ".join(text.split())
