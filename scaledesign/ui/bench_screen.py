"""The bench: the one next step of the making, large, and a line for what the tuner showed.

A screen of its own over the grid, on the same desk: what is noted here is one step of the same history. What
stands on it is ``view/bench.py``'s, what is noted ``workshop/noting.py``'s; the plan is worked out in a
thread, the newest question first, and the screen never waits for it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.screen import Screen

from scaledesign.errors import ScaledesignError
from scaledesign.model.edits import Become
from scaledesign.model.units import parse_length
from scaledesign.ui.dialog import Reading
from scaledesign.ui.look import Look
from scaledesign.ui.newest import Newest
from scaledesign.ui.picture import Picture
from scaledesign.ui.text_line import TextLine
from scaledesign.values import dataclass
from scaledesign.view import bench, bench_answer
from scaledesign.view.actions import key_words
from scaledesign.view.bare_tube import read_temperature
from scaledesign.view.bench import Bench
from scaledesign.view.bench_answer import BenchAnswer, Said
from scaledesign.view.bench_help import help_lines
from scaledesign.view.bench_other import Other
from scaledesign.view.bench_words import Words
from scaledesign.view.desk import Desk
from scaledesign.view.lines import Line, Span, Tone, key_line
from scaledesign.workshop.making.step import Step
from scaledesign.workshop.noting import Act, Told, as_told, room_now

WIDE, TALL = 120, 34
"""From this size on the holes stand beside the step."""
LEFT = 76
"""Cells of the step beside them."""
AT = "bench: "
"""How undo names a step that was made here."""
DONE, OTHER, HELP = "f5", "f6", "f1"
"""Keys of this screen alone."""


class Field(TextLine):
    """A line to type into; the screen sees every key first, so that those typed ahead keep their order."""

    def __init__(self, name: str, taken: Callable[[events.Key], bool]) -> None:
        super().__init__(id=name, compact=True, select_on_focus=False)
        self._taken = taken

    def on_key(self, event: events.Key) -> None:
        """Hand the key on; a text goes into the line that is in hand by now."""
        if self._taken(event):
            event.stop()
            event.prevent_default()
            return
        inhand = self.screen.focused
        if isinstance(inhand, Field) and inhand.follow(event):
            event.stop()
            event.prevent_default()


class BenchScreen(Screen[None]):
    """Where the flute is made."""

    DEFAULT_CSS = """
    BenchScreen { layout: vertical; background: $background; }
    BenchScreen Picture { height: 1; }
    BenchScreen #body { height: 1fr; }
    BenchScreen #left { width: 1fr; }
    BenchScreen #right { width: 0; }
    BenchScreen.wide #left { width: 76; }
    BenchScreen.wide #right { width: 1fr; }
    BenchScreen #typed { height: 1; margin: 0 1; }
    BenchScreen .label { width: auto; }
    BenchScreen Input { height: 1; width: 14; margin: 0 2 0 1; }
    BenchScreen Input { border: none; padding: 0 1; background: $panel; }
    BenchScreen Input:focus { border: none; }
    BenchScreen #holes, BenchScreen #beneath { height: 1fr; }
    """
    AUTO_FOCUS = "#tuner"

    @dataclass
    class Answered(Message):
        """The answer to a question is there."""

        turn: int
        answer: BenchAnswer

    def __init__(
        self,
        look: Look,
        keys: Mapping[str, tuple[str, ...]],
        desk: Callable[[], Desk],
        show: Callable[[Desk], None],
    ) -> None:
        """``desk`` is that of the grid, ``show`` puts another in its place."""
        super().__init__()
        self.look, self.keys, self.desk, self.show_desk = look, keys, desk, show
        self.bench = Bench(self._words(), busy=True)
        self._told_last: Told | None = None
        """What was refused as too far off; said once more it is believed."""
        self._turn = 0
        self._noting = False
        self._worker = Newest(self._tell)

    def compose(self) -> ComposeResult:
        """Title, flute; step and lines to type into, the holes beside or beneath; keys."""
        yield Picture("title", self.look, "head")
        yield Picture("flute", self.look)
        with Horizontal(id="body"):
            with Vertical(id="left"):
                yield Picture("step", self.look)
                with Horizontal(id="typed"):
                    for name in ("tuner", "size", "room"):
                        yield Picture(f"label-{name}", self.look).add_class("label")
                        yield Field(name, self.taken)
                yield Picture("said", self.look)
                yield Picture("beneath", self.look)
            with Vertical(id="right"):
                yield Picture("holes", self.look)
        yield Picture("keys", self.look)

    def on_mount(self) -> None:
        """Ask what is to be done."""
        self._plan()
        self.set_focus(self.query_one("#tuner", Field))

    def on_unmount(self) -> None:
        """Nobody asks any more."""
        self._worker.stop()

    def on_resize(self) -> None:
        """Lay it out anew."""
        self._show()

    @property
    def ready(self) -> bool:
        """Whether all is worked out until the next key."""
        return not self.bench.busy

    # What there is to see

    def _words(self) -> Words:
        desk = self.desk()
        origin = desk.sheet.measure if desk.sheet.measure != "gap" else "edge"
        return Words(
            desk.design, desk.design.units, origin, desk.signs, room_now(desk.design, datetime.now())
        )

    def _show(self) -> None:
        if not self.is_mounted:
            return
        width, height = self.app.size
        wide = width >= WIDE and height >= TALL
        self.set_class(wide, "wide")
        column = LEFT if wide else width
        now = self.bench
        flute = 7 if wide else 4 if height >= 22 else 3
        holes = bench.account_lines(now, column, compact=not wide)
        said = bench.said_lines(now, column, 6 if wide else bench.DONE_LINES)
        notes = bench.note_lines(now, column, 4 if wide else 1)
        lines = height - 3 - flute - len(said)  # but title, keys and what is typed into
        room = lines - 3 if wide else lines - len(holes) - 3
        step = ((), *bench.step_lines(now, column, min(16, max(6, room))), ())
        left = lines - len(step)
        beneath = self._beneath(wide, column, left, holes, notes)
        self._draw("title", (bench.title_line(now, self.desk().title, width),), 1)
        self._draw("flute", bench.drawing(now, width, flute), flute)
        self._draw("step", step, len(step))
        self._draw("said", said, len(said))
        self._draw("beneath", beneath)
        if wide:
            coming = bench.coming_lines(now, width - LEFT, height - flute - len(holes) - 6)
            self._draw("holes", ((), *holes, (), *coming))
        self._fields()
        self._draw("keys", (self._keys(width),), 1)

    def _beneath(
        self, wide: bool, width: int, room: int, holes: tuple[Line, ...], notes: tuple[Line, ...]
    ) -> tuple[Line, ...]:
        """What can hurt first; on a small screen the holes and what comes then, as far as there is room."""
        cautions = bench.caution_lines(self.bench, width, 99, whole=True)
        if not wide or len(cautions) > room - 2:
            most = room - 2 if wide else min(2, room)
            cautions = bench.caution_lines(self.bench, width, most, whole=False)
        if wide:
            return ((), *cautions, *([()] if notes else []), *notes)
        lines = [*cautions, *holes[: max(0, room - len(cautions))], *notes]
        if len(lines) < room - 1 and holes:
            lines.insert(len(lines) - len(holes) - len(notes), ())
        return (*lines, *bench.coming_lines(self.bench, width, room - len(lines)))[: max(0, room)]

    def _draw(self, name: str, lines: tuple[Line, ...], height: int | None = None) -> None:
        picture = self.query_one(f"#{name}", Picture)
        if height is not None:
            picture.styles.height = height
        picture.show(lambda width, height: lines)

    def _fields(self) -> None:
        step, words = self.bench.step, self.bench.words
        shown = {
            "tuner": ("tuner shows", self.bench.expected, step is None or step.kind != "done"),
            "size": (self.bench.size_name, self.bench.size_usual, bool(self.bench.size_name)),
            "room": ("room", words.room, step is not None and step.kind != "done"),
        }
        for name, (label, usual, there) in shown.items():
            field, picture = self.query_one(f"#{name}", Field), self.query_one(f"#label-{name}", Picture)
            field.display = picture.display = there
            field.placeholder = usual
            here = self.focused is field
            picture.styles.width = len(label)
            self._draw(f"label-{name}", ((Span(label, "strong" if here else "label"),),))

    def _keys(self, width: int) -> Line:
        """The keys, the most wanted first, as many as there is room for."""
        step = self.bench.step
        work = step is not None and step.kind not in ("read", "blow", "done")
        roomy = width >= WIDE
        enter = "done as told, and this was heard" if roomy and work else "take it"
        undo = key_words(self.keys["undo"][0]) if self.keys["undo"] else ""
        parts = [
            ("Enter", enter),
            *([("F5", "done, not blown" if roomy else "only done")] if work else []),
            ("F6", "something else was done" if roomy else "other work"), (undo, "back"),
            ("Esc", "to the grid" if roomy else "grid"), ("F1", "help"),
        ]  # fmt: skip
        if step is not None and step.kind == "done":
            parts = parts[-4:]
        return key_line(parts, width)

    # The plan

    def _plan(self, said: Said = ()) -> None:
        """Ask what is to be done on the flute as it is now."""
        design = self.desk().design
        self.bench = replace(self.bench, words=self._words(), said=said, moved=())
        self._ask(lambda: replace(bench_answer.planned(design), said=said))

    def _note(self, told: Told, step: Step) -> None:
        """Have it noted, learnt from, and the plan made anew."""
        self._told_last = told
        design, words = self.desk().design, replace(self.bench.words, temperature=told.temperature)
        self.bench = replace(self.bench, said=())
        self._ask(lambda: bench_answer.noted(design, step, told, words), noting=True)

    def _ask(self, work: Callable[[], BenchAnswer], *, noting: bool = False) -> None:
        """Have something worked out; whatever was asked before is not wanted any more."""
        self._turn += 1
        self._noting = noting
        self.bench = replace(self.bench, busy=True)
        turn = self._turn
        self._worker.ask(lambda: self.Answered(turn, work()))
        self._show()

    def _tell(self, answered: Answered) -> None:
        if self.is_running:
            self.post_message(answered)

    def on_bench_screen_answered(self, message: Answered) -> None:
        """The newest answer is shown; an older one is dropped."""
        if message.turn != self._turn:
            return
        answer = message.answer
        self._noting = False
        if answer.label:
            edit = Become(AT + answer.label, answer.design)
            desk = self.desk().doing(edit, time.monotonic(), laid_out=True)
            self.show_desk(desk.saying(" ".join(text for text, _ in answer.said), "strong"))
            for name in ("tuner", "size"):
                self.query_one(f"#{name}", Field).value = ""
            self.set_focus(self.query_one("#tuner", Field))
        if not answer.far:
            self._told_last = None
        said = (*answer.said, *(((answer.problem, "wrong"),) if answer.problem else ()))
        words = self._words() if answer.plan is not None else self.bench.words
        self.bench = Bench(words, answer.plan or self.bench.plan, said, moved=answer.moved)
        if answer.problem:
            tuner = self.query_one("#tuner", Field)
            if tuner.value.strip():  # what was heard is what cannot be: there it is to be mended
                self.set_focus(tuner)
            self._select()
        self._show()

    # What is typed

    def on_key(self, event: events.Key) -> None:
        """A key while no line is in hand."""
        if self.taken(event):
            event.stop()
            event.prevent_default()

    def on_descendant_focus(self) -> None:
        """Another line is in hand."""
        self._fields()

    def taken(self, event: events.Key) -> bool:
        """Whether a key is the screen's; it has then done what it means."""
        key = event.key
        if key == "escape":
            self.dismiss(None)
        elif key == "enter":
            self._entered(blown=True)
        elif key == DONE:
            self._entered(blown=False)
        elif key == OTHER:
            self._other()
        elif key == HELP:
            self.app.push_screen(
                Reading(self.look, "At the bench", lambda width: help_lines(self.bench, self.keys, width))
            )
        elif key in self.keys["undo"]:
            self._back()
        elif key in self.keys["redo"]:
            self._again()
        elif key in ("tab", "down", "shift+tab", "up"):
            self._go(1 if key in ("tab", "down") else -1)
        else:
            return False
        return True

    def _go(self, by: int) -> None:
        fields = [field for field in self.query(Field) if field.display]
        place = next((i for i, field in enumerate(fields) if field is self.focused), 0)
        if fields:
            self.set_focus(fields[(place + by) % len(fields)])

    def _entered(self, *, blown: bool) -> None:
        """What stands in the lines is taken."""
        step = self.bench.step
        if step is None or self.bench.busy:
            return
        if step.kind == "done":
            self._say("Nothing is left to do. F6 notes what you did besides.", "plain")
            return
        try:
            told = self._told(step, blown)
        except ScaledesignError as error:
            self._say(str(error), "wrong")
            self._select()
            return
        if told is not None:
            last = self._told_last
            again = last is not None and replace(last, even_so=False) == told
            self._note(replace(told, even_so=again), step)

    def _told(self, step: Step, blown: bool) -> Told | None:
        """What was done and heard, by the lines; None where more is wanted, which is said."""
        tuner, size, room = (self.query_one(f"#{n}", Field).value.strip() for n in ("tuner", "size", "room"))
        temperature = self._read("room", read_temperature) if room else self.bench.words.temperature
        work = step.kind not in ("read", "blow")
        if not tuner and (blown or not work):
            more = "; F5 notes the step where you blow later" if work else ""
            self._say(f"Type what the tuner shows, such as {self.bench.expected or 'A4 -4'}{more}.", "strong")
            self.set_focus(self.query_one("#tuner", Field))
            return None
        if not size and self.bench.length_wanted:
            self._say("Measure the tube, sounding edge to foot, and type its length too.", "strong")
            self.set_focus(self.query_one("#size", Field))
            return None
        length = None
        if size and self.bench.size_name:
            length = self._read("size", lambda text: parse_length(text, self.bench.words.units))
        acts: tuple[Act, ...] = ()
        if work and length is not None:
            acts = tuple(replace(act, size=length) for act in as_told(step))
        return Told(
            did=work and not acts,
            acts=acts,
            blew=tuner,
            temperature=temperature,
            length=length if step.kind == "blow" else None,
        )

    def _read(self, name: str, read: Callable[[str], float]) -> float:
        """What stands in a line; one that cannot be read is in hand, to be mended."""
        field = self.query_one(f"#{name}", Field)
        try:
            return read(field.value.strip())
        except ScaledesignError:
            self.set_focus(field)
            raise

    def _select(self) -> None:
        """What was refused stays to be seen; the first key that is typed takes its place."""
        for field in self.query(Field):
            field.action_select_all()

    def _say(self, text: str, tone: Tone) -> None:
        self.bench = replace(self.bench, said=((text, tone),))
        self._show()

    def _other(self) -> None:
        """Something else was done: ask what."""
        from scaledesign.model.widths import hole_in_hand
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking

        step, words = self.bench.step, self.bench.words
        if step is None or self.bench.busy:
            return
        asking: Asking[Other, Told] = Asking(
            "Something else was done", Other.questions, Other.tail, lambda other: other.ready, Other.told,
            "note it", 4,
        )  # fmt: skip
        hand = hole_in_hand(words.design)
        temperature = words.temperature if words.temperature is not None else words.design.air.temperature
        other = Other(words, step.hole if step.hole is not None else hand, temperature)
        self.app.push_screen(
            QuestionScreen(self.look, asking, other),
            lambda told: self._note(told, step) if told is not None else None,
        )

    def _back(self) -> None:
        """The newest thing noted is taken back: by undo where it was done just now, else in the log."""
        if self._noting:
            self._plan()
            return
        desk = self.desk()
        if desk.history.undo_name.startswith(AT):
            self.show_desk(desk.undone())
            self._plan(((f"Taken back: {desk.history.undo_name.removeprefix(AT)}.", "strong"),))
        elif not self.bench.busy:
            design = desk.design
            self._ask(lambda: bench_answer.without_newest(design), noting=True)

    def _again(self) -> None:
        desk = self.desk()
        if desk.history.redo_name.startswith(AT):
            self.show_desk(desk.redone())
            self._plan(((f"Done again: {desk.history.redo_name.removeprefix(AT)}.", "strong"),))
