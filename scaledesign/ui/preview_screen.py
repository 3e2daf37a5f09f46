"""A look at what will be written before it is: the page itself, closer or whole, kind by kind, form by form.

It is told how to make what there is to see, which it asks for in a thread, the newest first; it hands back
what was in view and whether that is to be written. Sums are in ``view/preview_frame.py``, paint in
``view/preview_paint.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message

from scaledesign.outputs.kinds import BY_KIND, Form, Kind
from scaledesign.ui.dialog import Dialog, Reading, wrapped
from scaledesign.ui.errand import tried
from scaledesign.ui.look import Look
from scaledesign.ui.newest import Newest
from scaledesign.ui.picture import Picture
from scaledesign.ui.preview_page import PageView
from scaledesign.values import dataclass
from scaledesign.view.lines import Line, Span, cut, key_line, text_of
from scaledesign.view.preview_frame import Frame, Room, Size
from scaledesign.view.preview_paint import Means, painted
from scaledesign.view.print_look import Looked, Page
from scaledesign.view.print_questions import PAGED

Sort = tuple[Kind, Form]
HELP = (
    ("+ and -", "closer, and further off"),
    ("0", "the whole page"),
    ("W", "its whole width"),
    ("C", "close enough to read it"),
    ("Arrows", "move about on it; the mouse's wheel moves up and down"),
    ("Page Down, Page Up", "the next page, the page before"),
    ("Tab", "the next thing that can be made of this flute"),
    ("F", "the same in the next form"),
    ("Enter", "write what is in view, as it says above"),
    ("O", "write it and open it with the viewer of your system"),
    ("Escape", "back to the questions"),
)
ABOUT = (
    "The page is set as it will be printed; here it is only coarser. 100 % is about true size, where ten "
    "letters of your terminal are an inch wide."
)
STEPS = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}


@dataclass(frozen=True)
class Seen:
    """What was in view at the end, and what is to be done with it."""

    sort: Sort
    then: Literal["", "write", "open"] = ""


class PreviewScreen(Dialog[Seen]):
    """Shows pages."""

    DEFAULT_CSS = """
    PreviewScreen > Vertical { width: 100%; height: 100%; padding: 0; }
    PreviewScreen #top, PreviewScreen #keys { height: 1; }
    PreviewScreen:nocolor > Vertical { border: none; padding: 0; }
    """

    @dataclass
    class Made(Message):
        """Something to see is there, or why it is not."""

        sort: Sort
        number: int
        looked: Looked | None
        page: Page | None
        problem: str

    def __init__(
        self,
        look: Look,
        means: Means,
        shelf: Mapping[Kind, tuple[Form, ...]],
        start: Sort,
        make: Callable[[Kind, Form], Looked],
        name: Callable[[Kind, Form], str],
        paper: Size,
    ) -> None:
        """Show what can be made.

        Parameters
        ----------
        means : what the terminal can show
        shelf : kinds to go through, and the forms of each
        start : what is looked at first
        make : what there is to see of a kind in a form; for a thread, may raise ``ScaledesignError``
        name : what its file will be called
        paper : inches, for keys that come before the first page
        """
        super().__init__(look)
        self.means: Means = means
        self.shelf, self.make, self.name_of = shelf, make, name
        self.sort = start
        self.forms = {kind: forms[0] for kind, forms in shelf.items()} | {start[0]: start[1]}
        self.number = 0
        self.fit: Literal["page", "width", ""] = "page"
        self.frame = Frame(1.0)
        self.top = self.left = 0
        self.problem = ""
        self.looked: Looked | None = None
        self.page: Page | None = None
        self.size_of_page = paper
        self._known: dict[Sort, Looked] = {}
        self._worker = Newest(self._tell)

    def compose(self) -> ComposeResult:
        """What it is, the page, the keys."""
        with Vertical():
            yield self.picture("top")
            yield PageView(self.look)
            yield self.picture("keys")

    def on_mount(self) -> None:
        """Ask for the first thing to see."""
        self._ask()

    def on_unmount(self) -> None:
        """Nobody looks any more."""
        self._worker.stop()

    def on_resize(self) -> None:
        """Lay it out anew."""
        self._fit()
        self.call_after_refresh(self._show)

    # What there is to see

    @property
    def ready(self) -> bool:
        """Whether what is wanted is in view, or cannot be."""
        return self.page is not None or self.looked is not None or bool(self.problem)

    def _ask(self) -> None:
        """Have what is wanted made; until it is there the page before stays in view."""
        sort, number, known = self.sort, self.number, self._known.get(self.sort)
        self.problem = ""
        self.looked = None
        self.page = None

        def work() -> tuple[Looked, Page | None]:
            looked = known or self.make(*sort)
            return looked, looked.page(number) if looked.pictures else None

        def made() -> PreviewScreen.Made:
            done, problem = tried(work)
            looked, page = done or (None, None)
            return self.Made(sort, number, looked, page, problem)

        self._worker.ask(made)
        self._show()

    def _tell(self, made: Made) -> None:
        if self.is_running:
            self.post_message(made)

    def on_preview_screen_made(self, message: Made) -> None:
        """It is there."""
        if message.looked is not None:
            self._known[message.sort] = message.looked
        if (message.sort, message.number) == (self.sort, self.number):
            self.looked, self.page, self.problem = message.looked, message.page, message.problem
            self._fit()
            self._show()

    # Showing

    @property
    def space(self) -> Room:
        """Columns and lines for the page."""
        return max(1, self.app.size.width), max(1, self.app.size.height - 2)

    def _fit(self) -> None:
        """The size that is wanted, where what is seen of the page depends on the room."""
        if self.page is not None:
            self.size_of_page = self.page.size
        size = self.size_of_page
        if self.fit == "page":
            self.frame = Frame.of_page(size, self.space)
        elif self.fit == "width":
            self.frame = Frame.of_width(size, self.space)
        self.frame = self.frame.within(size, self.space)

    def _show(self) -> None:
        if not self.is_mounted:
            return
        view = self.query_one(PageView)
        columns, lines = self.space
        if self.page is not None:
            view.show_page(painted(self.page.sums, self.page.size, self.frame, self.space, self.means))
        elif self.looked is not None:
            said = wrapped(self.looked.said, columns - 2, indent=" ", first=" ")
            text = self.looked.text
            self.top = max(0, min(self.top, len(text) - lines))
            self.left = max(0, min(self.left, max(map(len, text), default=0) - columns + 1))
            edge = " " if max(map(len, text), default=0) < columns else ""
            shown = (f"{edge}{line[self.left :]}" for line in text[self.top : self.top + lines])
            seen = tuple((Span(cut(line, columns)),) for line in shown)
            view.show_lines((*said, (), *seen) if self.looked.said else seen)
        elif self.problem:
            view.show_lines(((), *wrapped(self.problem, columns - 2, "wrong", " ", " ")))
        elif view.cells is None:
            view.show_lines(((), (Span(" A moment: the page is being set.", "faint"),)))
        self._draw("top", (self._title(columns),))
        self._draw("keys", (self._keys(columns),))

    def _draw(self, name: str, lines: tuple[Line, ...]) -> None:
        self.query_one(f"#{name}", Picture).show(lambda width, height: lines)

    def _title(self, width: int) -> Line:
        """What it is at the left, which part of it at the right."""
        place = self._place()
        room = width - len(place) - 3
        name = cut(self.name_of(*self.sort), room)
        said = self.looked.said if self.looked is not None and self.looked.pictures else ""
        words = cut(said or BY_KIND[self.sort[0]].title, max(0, room - len(name) - 2))
        spans = (Span(f" {name}", "strong"), Span(f"  {words}", "faint"))
        return (*spans, Span(f"{place} ".rjust(max(0, width - len(text_of(spans)))), "label"))

    def _place(self) -> str:
        """Where one is: ``page 1 of 2, 62 %``."""
        if not self.ready:
            return "a moment"
        if self.page is not None and self.looked is not None:
            pages = len(self.looked.pictures)
            which = f"page {self.number + 1} of {pages}, " if pages > 1 else ""
            return f"{which}{self.frame.percent} %"
        if self.looked is not None and len(self.looked.text) > 1:
            lines = len(self.looked.text)
            return f"line {self.top + 1} of {lines}"
        return ""

    def _keys(self, width: int) -> Line:
        """The keys, the most wanted first, as many as there is room for."""
        pages = len(self.looked.pictures) if self.looked is not None else 0
        parts = [
            ("Enter", "write"), ("O", "open"), *([("+ - 0 W C", "size")] if pages else []),
            *([("PgDn", "page")] if pages > 1 else []),
            *([("Tab", self._kind_after(1))] if len(self.shelf) > 1 else []),
            *([("F", f".{self._next_form()}")] if len(self.shelf[self.sort[0]]) > 1 else []),
            ("Esc", "back"), ("F1", "help"),
        ]  # fmt: skip
        return key_line(parts, width)

    def _kind_after(self, by: int) -> Kind:
        kinds = tuple(self.shelf)
        return kinds[(kinds.index(self.sort[0]) + by) % len(kinds)]

    def _next_form(self) -> Form:
        forms = self.shelf[self.sort[0]]
        return forms[(forms.index(self.sort[1]) + 1) % len(forms)]

    # Keys and mouse

    def on_key(self, event: events.Key) -> None:
        """Every key is the page's."""
        event.stop()
        event.prevent_default()
        key = event.key.lower()
        if key == "escape":
            self.close(Seen(self.sort))
        elif key == "enter":
            self.close(Seen(self.sort, "write"))
        elif key == "o":
            self.close(Seen(self.sort, "open"))
        elif key == "f1":
            self.app.push_screen(Reading(self.look, "A look at it first", _help))
        elif key in ("tab", "shift+tab"):
            kind = self._kind_after(1 if key == "tab" else -1)
            self._turn((kind, self.forms[kind]))
        elif key == "f":
            self._turn((self.sort[0], self._next_form()))
        elif key in ("pagedown", "pageup", "space"):
            self._page(-1 if key == "pageup" else 1)
        elif key in STEPS:
            self._move(*STEPS[key])
        elif key in ("plus", "equals_sign", "minus", "0", "w", "c", "home"):
            self._zoom(key)

    def _turn(self, sort: Sort) -> None:
        """To something else to see."""
        if sort == self.sort:
            return
        like = sort[0] == self.sort[0] and sort[1] in PAGED and self.sort[1] in PAGED
        self.forms[sort[0]] = sort[1]
        before, self.sort = self.sort, sort
        if like and before in self._known:  # the pages look alike in each of these forms
            self._known[sort] = self._known[before]
            self._show()
            return
        self.number = self.top = self.left = 0
        self._ask()

    def _page(self, by: int) -> None:
        """The next page; of a text the next screenful."""
        if self.looked is not None and self.looked.pictures:
            number = max(0, min(len(self.looked.pictures) - 1, self.number + by))
            if number != self.number:
                self.number = number
                self.frame = Frame(self.frame.scale, self.frame.left, 0)
                self._ask()
        else:
            self.top += by * self.space[1]
            self._show()

    def _move(self, right: int, down: int) -> None:
        if self.looked is not None and self.page is None:
            self.top, self.left = self.top + down, self.left + 8 * right
        else:
            self.frame = self.frame.moved(right, down, self.size_of_page, self.space)
        self._show()

    def _zoom(self, key: str) -> None:
        if key in ("0", "home"):
            self.fit = "page"
            self._fit()
        elif key == "w":
            self.fit = "width"
            self._fit()
        elif key == "c":
            whole, self.fit = self.fit == "page", ""
            begin = Frame.at_text if whole else self.frame.close
            self.frame = begin(self.size_of_page, self.space)
        else:
            self.fit = ""
            self.frame = self.frame.zoomed(-1 if key == "minus" else 1, self.size_of_page, self.space)
        self._show()

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves down."""
        self._move(0, 1)

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves up."""
        self._move(0, -1)


def _help(width: int) -> tuple[Line, ...]:
    keys = tuple((Span(key.ljust(22), "label"), Span(words)) for key, words in HELP)
    return (*keys, (), *wrapped(ABOUT, width))
