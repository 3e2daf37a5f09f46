"""What dialogs have in common, and the two plainest: a text to read, a question with a few answers.

A dialog is told what to show and hands back a value; it knows no design and no file.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import ModalScreen

from scaledesign.ui.look import Look
from scaledesign.ui.picture import Picture
from scaledesign.view import lines
from scaledesign.view.lines import Line, Span, Tone

T = TypeVar("T")
WIDTH = 84
"""Cells a dialog is wide, where the terminal has them."""
EDGE = 2
"""Cells between its edge and its text."""


class Dialog(ModalScreen[T]):
    """A sheet laid over the screen; Escape takes it away."""

    DEFAULT_CSS = """
    Dialog { align: center middle; background: $background 55%; }
    Dialog > Vertical { width: 84; max-width: 100%; height: auto; max-height: 100%; padding: 1 2; }
    Dialog > Vertical { background: $panel; }
    Dialog Input { height: 1; border: none; padding: 0 1; background: $background; }
    Dialog Input:focus { border: none; }
    Dialog:nocolor > Vertical { border: ascii $foreground; padding: 0 1; }
    """

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.look = look
        self._given = False
        self._late: tuple[T | None] | None = None
        """What to hand back as soon as no other dialog stands over this one."""

    def close(self, value: T | None) -> None:
        """Hand back a value, once: keys that come too fast find the dialog closed."""
        if self._given:
            return
        if self.is_active:
            self._given = True
            self.dismiss(value)
        elif self in self.app.screen_stack:
            self._late = (value,)

    def on_screen_resume(self) -> None:
        """Nothing stands over it any more."""
        if self._late is not None:
            self.call_next(self.close, *self._late)

    @property
    def room(self) -> tuple[int, int]:
        """Width and height there is for text."""
        return min(WIDTH, self.app.size.width) - 2 * EDGE, self.app.size.height - 2

    def picture(self, name: str) -> Picture:
        """A drawing on the sheet."""
        return Picture(name, self.look, "head")

    def on_key(self, event: events.Key) -> None:
        """Escape leaves everything as it was."""
        if event.key == "escape":
            event.stop()
            self.close(None)


def wrapped(
    text: str, width: int, tone: Tone = "plain", indent: str = "", first: str = ""
) -> tuple[Line, ...]:
    """A text as lines of a width, one at least: what stands beneath stays where it is."""
    return lines.wrapped(text, width, tone, indent, first) or ((Span(""),),)


class Reading(Dialog[None]):
    """A text to read, longer than the screen perhaps."""

    def __init__(self, look: Look, title: str, text: Callable[[int], tuple[Line, ...]]) -> None:
        super().__init__(look)
        self.title_text = title
        self.text = text
        self.top = 0

    def compose(self) -> ComposeResult:
        """Title, text, and how to go on."""
        with Vertical():
            yield self.picture("read")

    def on_mount(self) -> None:
        """Show it from its beginning."""
        self._show()

    def on_resize(self) -> None:
        """Lay it out anew."""
        self._show()

    @property
    def page(self) -> int:
        """Lines of text in view."""
        return max(3, self.room[1] - 5 - len(self._title))

    @property
    def _title(self) -> tuple[Line, ...]:
        return wrapped(self.title_text, self.room[0], "strong")

    def _show(self) -> None:
        width = self.room[0]
        lines = self.text(width)
        self.top = max(0, min(self.top, len(lines) - self.page))
        seen = lines[self.top : self.top + self.page]
        more = (
            f"{self.top + len(seen)} of {len(lines)} lines, Up and Down for more. "
            if len(lines) > self.page
            else ""
        )
        whole: tuple[Line, ...] = (
            *self._title, (), *seen, (), (Span(f"{more}Escape closes.", "faint"),),
        )  # fmt: skip
        picture = self.query_one("#read", Picture)
        picture.styles.height = len(whole)
        picture.show(lambda width, height: whole)

    def on_key(self, event: events.Key) -> None:
        """Moving keys scroll, most others close."""
        steps = {"down": 1, "up": -1, "pagedown": self.page, "pageup": -self.page, "space": self.page,
                 "home": -(10**6), "end": 10**6}  # fmt: skip
        event.stop()
        event.prevent_default()
        if event.key in steps:
            self.top += steps[event.key]
            self._show()
        elif event.key in ("escape", "enter", "f1", "q", "question_mark"):
            self.close(None)

    def on_mouse_scroll_down(self) -> None:
        """The wheel scrolls."""
        self.top += 3
        self._show()

    def on_mouse_scroll_up(self) -> None:
        """The wheel scrolls."""
        self.top -= 3
        self._show()


class Deciding(Dialog[str]):
    """A question with a few answers, each with its letter; hands back the answer's name or None."""

    def __init__(self, look: Look, title: str, words: str, answers: tuple[tuple[str, str], ...]) -> None:
        super().__init__(look)
        self.title_text = title
        self.words = words
        self.answers = answers
        """Name and words; the first letter of the words is its key."""
        self.chosen = 0

    def compose(self) -> ComposeResult:
        """The question and its answers."""
        with Vertical():
            yield self.picture("decide")

    def on_mount(self) -> None:
        """Show it."""
        self._show()

    def _lines(self) -> tuple[Line, ...]:
        answers: list[Line] = []
        for index, (_, words) in enumerate(self.answers):
            mark = ">" if index == self.chosen else " "
            tone: Tone = "strong" if index == self.chosen else "plain"
            answers.append((Span(f" {mark} ", "held"), Span(words[0], "label"), Span(words[1:], tone)))
        return (
            *wrapped(self.title_text, self.room[0], "strong"), (), *wrapped(self.words, self.room[0]), (),
            *answers, (),
            (Span("Up and Down, Enter; or the first letter. Escape goes back.", "faint"),),
        )  # fmt: skip

    def _show(self) -> None:
        lines = self._lines()
        picture = self.query_one("#decide", Picture)
        picture.styles.height = len(lines)
        picture.show(lambda width, height: lines)

    def on_key(self, event: events.Key) -> None:
        """Choose, take, or go back."""
        event.stop()
        event.prevent_default()
        if event.key in ("up", "down", "tab"):
            self.chosen = (self.chosen + (-1 if event.key == "up" else 1)) % len(self.answers)
            self._show()
        elif event.key == "enter":
            self.close(self.answers[self.chosen][0])
        elif event.key == "escape":
            self.close(None)
        else:
            for name, words in self.answers:
                if event.character and event.character.casefold() == words[0].casefold():
                    self.close(name)
                    return

    def on_click(self, event: events.Click) -> None:
        """A click takes an answer."""
        if isinstance(event.widget, Picture):
            row = event.y - (len(self._lines()) - len(self.answers) - 2)
            if 0 <= row < len(self.answers):
                self.close(self.answers[row][0])
