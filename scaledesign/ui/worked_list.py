"""A dialog that works something out and lists it: the screen stays awake meanwhile, Escape leaves.

It is told what to work out, in a thread, and hands back what was chosen; it knows no flute. Beneath the list
stands what there is to say of the entry in hand.
"""

from __future__ import annotations

from collections.abc import Callable

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Input

from scaledesign.ui.dialog import Dialog, Reading, wrapped
from scaledesign.ui.errand import Errand, tried
from scaledesign.ui.look import Look
from scaledesign.ui.picture import Picture
from scaledesign.ui.text_line import TextLine
from scaledesign.values import dataclass
from scaledesign.view.lines import Line, Span, text_of
from scaledesign.view.listing import Entry, Listing, Taken, Tune

Work = Callable[[], tuple[Listing, ...]]
"""Lists to go through, one at least. May take seconds; may raise ``ScaledesignError``."""
AT_ONCE = 0.05
"""Seconds that the dialog waits before it says that it is at work."""
BEAT = 0.4
"""Seconds between two signs of life."""
MARK = 3
"""Cells before each entry."""


class WorkedList(Dialog[Taken]):
    """Works out, lists, hands back what was taken."""

    AUTO_FOCUS = ""
    """The line to type into has the keys only where it is shown."""

    @dataclass
    class Worked(Message):
        """The lists are there, or why they are not."""

        lists: tuple[Listing, ...]
        problem: str

    def __init__(
        self,
        look: Look,
        title: str,
        busy: str,
        work: Work,
        *,
        hear: Callable[[Tune], str] = lambda tune: "",
        hear_keys: tuple[str, ...] = (),
        hear_words: str = "",
    ) -> None:
        """``hear`` plays what an entry sounds like and says so; ``hear_words`` is how its key is called."""
        super().__init__(look)
        self.title_text = title
        self.busy = busy
        self.work = work
        self.hear, self.hear_keys, self.hear_words = hear, hear_keys, hear_words
        self.lists: tuple[Listing, ...] = ()
        self.problem = ""
        self.note = ""
        self.page_number = 0
        self.chosen = 0
        self.top = 0
        self._sought: tuple[int, str, tuple[Entry, ...]] = (-1, "", ())
        """What was typed in which list, and what was found."""
        self._beats = 0
        self._errand: Errand[tuple[tuple[Listing, ...], str]] | None = None

    def compose(self) -> ComposeResult:
        """Title, a line to type into where the list is long, list, what is said of the entry in hand."""
        with Vertical():
            yield self.picture("head")
            yield TextLine(id="typed", compact=True, placeholder="a part of its name")
            yield self.picture("list")

    def on_mount(self) -> None:
        """Begin to work."""
        self.query_one("#typed", Input).display = False
        self._errand = Errand(lambda cancelled: self._worked(), self._tell)
        done = self._errand.wait(AT_ONCE)
        if done is not None:
            self._take(*done)
        else:
            self.set_interval(BEAT, self._beat)
        self._show()

    def on_unmount(self) -> None:
        """Nobody wants it any more."""
        if self._errand is not None:
            self._errand.cancel()

    @property
    def ready(self) -> bool:
        """Whether the lists are there, or cannot be."""
        return bool(self.lists or self.problem)

    # Working

    def _worked(self) -> tuple[tuple[Listing, ...], str]:
        lists, problem = tried(self.work)
        return lists or (), problem

    def _tell(self, done: tuple[tuple[Listing, ...], str]) -> None:
        if self.is_running:
            self.post_message(self.Worked(*done))

    def on_worked_list_worked(self, message: Worked) -> None:
        """The lists are there."""
        self._take(message.lists, message.problem)
        self._show()

    def _take(self, lists: tuple[Listing, ...], problem: str) -> None:
        self.lists, self.problem = lists, problem
        if lists:
            self.chosen = lists[0].start
            self._focus()

    def _focus(self) -> None:
        line = self.query_one("#typed", Input)
        line.display = self.listing.searched
        self.set_focus(line if line.display else None)

    def _beat(self) -> None:
        if not self.ready:
            self._beats += 1
            self._show()

    # Showing

    @property
    def listing(self) -> Listing:
        """The list that is shown."""
        return self.lists[self.page_number]

    @property
    def found(self) -> tuple[Entry, ...]:
        """Entries that have every word that was typed."""
        text = self.query_one("#typed", Input).value if self.listing.searched else ""
        if self._sought[:2] != (self.page_number, text):
            words = text.casefold().split()
            hits = (e for e in self.listing.entries if all(word in e.words.casefold() for word in words))
            self._sought = self.page_number, text, tuple(hits)
        return self._sought[2]

    def on_resize(self) -> None:
        """Lay it out anew."""
        self._show()

    def _show(self) -> None:
        width = self.room[0]
        self._draw("list", self._body(width) if self.lists else self._waiting(width))
        self._draw("head", (self._title(width), *(self._said(width) if self.lists else ())))

    def _draw(self, name: str, lines: tuple[Line, ...]) -> None:
        picture = self.query_one(f"#{name}", Picture)
        picture.styles.height = len(lines)
        picture.show(lambda width, height: lines)

    def _title(self, width: int) -> Line:
        """The title, the lists where there are several, and at the right which entry is in hand."""
        spans = [Span(self.title_text, "strong")]
        for number, listing in enumerate(self.lists if len(self.lists) > 1 else ()):
            here = number == self.page_number
            name = f"[{listing.name}]" if here else f" {listing.name} "
            spans += [Span("   "), Span(name, "label" if here else "faint")]
        count = len(self.found) if self.lists else 0
        place = f"{self.chosen + 1} of {count}" if count > 1 else ""
        spans.append(Span(place.rjust(max(0, width - len(text_of(tuple(spans))))), "faint"))
        return tuple(spans)

    def _waiting(self, width: int) -> tuple[Line, ...]:
        if self.problem:
            return ((), *wrapped(self.problem, width, "wrong"), (), (Span("Escape goes back.", "faint"),))
        return (
            (),
            (Span(f"{self.busy}{self._far}{'.' * (1 + self._beats % 3)}"),),
            (),
            (Span("Escape leaves it.", "faint"),),
        )

    @property
    def _far(self) -> str:
        """How far it is, where that is known."""
        share = None if self._errand is None else self._errand.share
        return "" if share is None else f": {100 * share:.0f} %"

    def _said(self, width: int) -> tuple[Line, ...]:
        return (*wrapped(self.listing.said, width), ())

    def _body(self, width: int) -> tuple[Line, ...]:
        listing, found = self.listing, self.found
        hint = wrapped(self._hint(), width, "faint")
        if self.note:
            note = wrapped(self.note, width, "strong")
            hint = (*note, *hint[len(note) :])
        taken = len(self._said(width)) + int(listing.searched) + listing.about + len(hint) + 6
        if not listing.entries:
            return hint
        rows = max(3, min(len(listing.entries), self.room[1] - taken))
        self.chosen = max(0, min(self.chosen, len(found) - 1))
        self.top = max(0, min(self.top, self.chosen, len(found) - rows), self.chosen - rows + 1)
        lines: list[Line] = [(Span(" " * MARK), *listing.head) if listing.entries else ()]
        for index, entry in enumerate(found[self.top : self.top + rows], self.top):
            here = index == self.chosen
            lines.append((Span(" > " if here else "   ", "held"), *entry.line))
        if listing.entries and not found:
            lines.append((Span(" " * MARK + "nothing of that name", "faint"),))
        lines += [()] * (1 + rows - (len(lines) - 1))
        about = found[self.chosen].about(width, listing.about)[: listing.about] if found else ()
        lines += [*about, *[()] * (listing.about - len(about)), ()]
        return (*lines, *hint)

    def _hint(self) -> str:
        listing = self.listing
        parts = [f"Enter: {listing.verb}"] if listing.entries and listing.verb else []
        if listing.second[0] and (listing.entries or listing.always):
            parts.append(f"{listing.second[0]}: {listing.second[1]}")
        if self.hear_words and any(entry.tune for entry in listing.entries):
            parts.append(f"{self.hear_words}: hear")
        if len(self.lists) > 1:
            others = [other.name for n, other in enumerate(self.lists) if n != self.page_number]
            parts.append(f"Tab: {others[0]}")
        if listing.help and listing.entries:
            parts.append("F1: help")
        return f"{'; '.join((*parts, 'Escape: back'))}."

    def _help(self, width: int) -> tuple[Line, ...]:
        lines = (line for said in self.listing.help for line in (*wrapped(said, width), ()))
        return tuple(lines)[:-1]

    # Keys and mouse

    def on_key(self, event: events.Key) -> None:
        """Move, take, hear, turn to the next list, leave."""
        if not self.lists:
            super().on_key(event)
            return
        steps = {"down": 1, "up": -1, "pagedown": 8, "pageup": -8}
        ends = {} if self.listing.searched else {"home": -(10**6), "end": 10**6}
        key, self.note = event.key, ""
        if key == "f1" and self.listing.help:
            event.stop()
            self.app.push_screen(Reading(self.look, self.title_text, self._help))
            return
        if key in steps or key in ends:
            self.chosen = max(0, min(len(self.found) - 1, self.chosen + (steps | ends)[key]))
        elif key in ("tab", "shift+tab"):
            self._turn(1 if key == "tab" else -1)
        elif key == "enter":
            self._choose(second=False)
        elif key in self.hear_keys:
            self._play()
        elif self.listing.second[0] and key == self.listing.second[0].casefold():
            self._choose(second=True)
        else:
            super().on_key(event)
            return
        event.stop()
        event.prevent_default()
        self._show()

    def on_input_changed(self) -> None:
        """The list follows what is typed."""
        self.chosen, self.note = 0, ""
        if self.lists:
            self._show()

    def _turn(self, by: int) -> None:
        self.page_number = (self.page_number + by) % len(self.lists)
        self.chosen = self.listing.start
        self._focus()

    def tell(self, text: str) -> None:
        """Say something where the keys are told."""
        self.note = text
        self._show()

    def _entry(self) -> Entry | None:
        found = self.found
        return found[self.chosen] if self.chosen < len(found) else None

    def _choose(self, *, second: bool) -> None:
        entry = self._entry()
        if second and self.listing.always:
            self.close(Taken(None, self.page_number, second))
            return
        if entry is None:
            return
        if entry.value is None:
            self.note = entry.refusal
        else:
            self.close(Taken(entry.value, self.page_number, second))

    def _play(self) -> None:
        entry = self._entry()
        if entry is not None and entry.tune is not None:
            self.note = self.hear(entry.tune)

    def on_click(self, event: events.Click) -> None:
        """A click puts an entry in hand; a second one takes it."""
        if self.lists and isinstance(event.widget, Picture) and event.widget.id == "list":
            row = self.top + event.y - 1
            if event.y >= 1 and row < len(self.found):
                again = row == self.chosen
                self.chosen, self.note = row, ""
                if again:
                    self._choose(second=False)
                self._show()
