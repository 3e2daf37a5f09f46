"""Pick one of many by typing a part of its name: commands, files.

It is told what there is and hands back what was picked; it knows neither commands nor files.
"""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Input

from scaledesign.ui.dialog import Dialog, wrapped
from scaledesign.ui.look import Look
from scaledesign.ui.picture import Picture
from scaledesign.ui.text_line import TextLine
from scaledesign.values import dataclass
from scaledesign.view.lines import Line, Span, cut


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to pick: its value, its name, words about it, and what stands at the right."""

    value: str
    name: str
    words: str = ""
    right: str = ""
    also: str = ""
    """Another name it is found by."""


class Chooser(Dialog[str]):
    """A line to type into and a list that follows it; hands back an item's value, or the text typed."""

    def __init__(
        self,
        look: Look,
        title: str,
        items: tuple[Item, ...],
        *,
        free: bool = False,
        hint: str = "",
        whole: bool = False,
    ) -> None:
        """``whole``: the words of the item in hand stand beneath in full."""
        super().__init__(look)
        self.title_text = title
        self.items = items
        self.free = free
        """Whether a text that is no item may be handed back."""
        self.hint = hint
        self.whole = whole
        self.chosen = 0
        self.top = 0

    def compose(self) -> ComposeResult:
        """Title, line, list."""
        with Vertical():
            yield self.picture("head")
            yield TextLine(id="typed", compact=True, placeholder=self.hint)
            yield self.picture("list")

    def on_mount(self) -> None:
        """Show everything there is."""
        head = self.query_one("#head", Picture)
        head.styles.height = 1
        head.show(lambda width, height: ((Span(self.title_text, "strong"),),))
        self.set_focus(self.query_one("#typed", Input))
        self._show()

    @property
    def found(self) -> tuple[Item, ...]:
        """Items that hold every word typed, those that have them in their name first."""
        text = self.query_one("#typed", Input).value.strip().casefold()
        if not text:
            return self.items
        parts = text.split()
        told = {item: f"{item.name} {item.words} {item.also}".casefold() for item in self.items}
        hits = [item for item in self.items if all(part in told[item] for part in parts)]
        return tuple(sorted(hits, key=lambda item: text not in item.name.casefold()))

    @property
    def page(self) -> int:
        """Items in view."""
        return max(3, self.room[1] - 8 - (3 if self.whole else 0))

    def _show(self) -> None:
        found = self.found
        self.chosen = max(0, min(self.chosen, len(found) - 1))
        self.top = max(0, min(self.top, self.chosen, len(found) - self.page), self.chosen - self.page + 1)
        width = self.room[0]
        lines: list[Line] = [()]
        names = max((len(item.name) for item in self.items), default=0)
        names = min(names, width // 2)
        for index, item in enumerate(found[self.top : self.top + self.page], self.top):
            here = index == self.chosen
            room = max(0, width - names - 6 - len(item.right))
            lines.append(
                (
                    Span(" > " if here else "   ", "held"),
                    Span(cut(item.name, names).ljust(names + 2), "strong" if here else "plain"),
                    Span(cut(item.words, room).ljust(room + 1), "plain" if here else "faint"),
                    Span(item.right, "label"),
                )
            )
        if not found:
            lines.append((Span("   nothing of that name", "faint"),))
        if self.whole:
            about = wrapped(found[self.chosen].words, width - 3, indent="   ", first="   ") if found else ()
            lines += [(), *about, *[()] * (2 - len(about))]
        lines += [(), (Span("Type a part of the name; Up and Down, Enter. Escape goes back.", "faint"),)]
        picture = self.query_one("#list", Picture)
        picture.styles.height = len(lines)
        picture.show(lambda width, height: tuple(lines))

    def on_input_changed(self) -> None:
        """The list follows what is typed."""
        self.chosen = 0
        self._show()

    def on_key(self, event: events.Key) -> None:
        """Choose; Escape is every dialog's."""
        steps = {"down": 1, "up": -1, "pagedown": self.page, "pageup": -self.page}
        if event.key in steps:
            event.stop()
            event.prevent_default()
            self.chosen = max(0, min(len(self.found) - 1, self.chosen + steps[event.key]))
            self._show()

    def on_input_submitted(self) -> None:
        """Enter takes what is marked, or the text itself."""
        found = self.found
        text = self.query_one("#typed", Input).value.strip()
        if found and not (self.free and _is_path(text)):
            self.close(found[self.chosen].value)
        elif self.free and text:
            self.close(text)

    def on_click(self, event: events.Click) -> None:
        """A click takes an item."""
        if isinstance(event.widget, Picture) and event.widget.id == "list":
            row = self.top + event.y - 1
            if 0 <= event.y - 1 < self.page and row < len(self.found):
                self.close(self.found[row].value)


def _is_path(text: str) -> bool:
    return "/" in text or "\\" in text or text.endswith(".toml")
