"""The first flute, step by step: what to do now, and how one sees that it is done.

Each step is a sentence or two and a test on the desk as it was when the step began and as it is now. Plain
data; the screen shows the step in hand above the last lines.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Mapping
from dataclasses import replace

from scaledesign.values import dataclass
from scaledesign.view.actions import worded
from scaledesign.view.desk import Desk
from scaledesign.view.lines import Line, Span


@dataclass(frozen=True, slots=True)
class Step:
    """One step; ``done`` looks at the desk when the step began and now."""

    words: str
    done: Callable[[Desk, Desk], bool]


def _rows_differ(start: Desk, now: Desk, name: str) -> bool:
    pairs = zip(start.design.rows, now.design.rows, strict=False)
    return any(getattr(old, name) != getattr(new, name) for old, new in pairs)


def _readings(desk: Desk) -> int:
    return sum(1 for entry in desk.design.log if entry.event == "measured") + sum(
        1 for row in desk.design.rows if row.measured
    )


STEPS: tuple[Step, ...] = (
    Step(
        "Each row is a fingering of the flute above, and the notes in bold are its scale. Go down the rows "
        "with the arrow keys and watch the flute. ({quit} leaves: hold Ctrl and press the letter.)",
        lambda start, now: now.selections["rows"].row != start.selections["rows"].row,
    ),
    Step(
        "Now your own. Press {new} and type the tube in your hand, bore x wall, such as 16 x 3 mm or "
        "5/8 in x 1/8 in. Enter takes what is usual for the rest.",
        lambda start, now: now.design.tube.bore != start.design.tube.bore or now.history.saved is None,
    ),
    Step(
        "Drill nothing yet: cut the tube a little long, make the mouth, blow it. Press {blow}, type what the "
        "tuner shows, such as G#4 +12, then Tab and how long the tube was; Enter. (No tube at hand? Try it, "
        "{undo} takes it back.)",
        lambda start, now: _readings(now) > 0,
    ),
    Step(
        "The ± above is smaller now. {next_pane} goes on to the next table: press it until your notes are "
        "back. In the column cents of one of them type 5, Enter: you want it a little sharp. The line below "
        "says which hole moves.",
        lambda start, now: _rows_differ(start, now, "cents"),
    ),
    Step(
        "Not what you want? {undo} takes it back, as many steps as you like.",
        lambda start, now: len(now.history.future) > 0,
    ),
    Step(
        "{next_pane} goes on to the hole list. Put the cursor on a hole and press {lock}: it is locked, and "
        "only the others move from now on.",
        lambda start, now: (
            sum(bool(h.locked) for h in now.design.holes) > sum(bool(h.locked) for h in start.design.holes)
        ),
    ),
    Step(
        "{save} keeps it. Give it a name.",
        lambda start, now: not now.unsaved and now.path is not None,
    ),
    Step(
        "{bench} says the one next thing to do at the bench, hole by hole. {print} prints a template to wrap "
        "around the tube, and a chart. {help} is help, wherever you are; {palette} has every command, and "
        "the handbook. Good luck! {guide} closes this.",
        lambda start, now: False,
    ),
)


@dataclass(frozen=True)
class Guide:
    """Where a maker is in the walk."""

    start: Desk
    """The desk when the step in hand began."""
    place: int = 0

    @property
    def step(self) -> Step:
        """The step in hand."""
        return STEPS[self.place]

    def words(self, keys: Mapping[str, tuple[str, ...]]) -> str:
        """What to do now, with its number and the keys of the actions in it."""
        return f"{self.place + 1} of {len(STEPS)}. {worded(self.step.words, keys)}"

    def lines(self, keys: Mapping[str, tuple[str, ...]], width: int) -> tuple[Line, ...]:
        """The same as lines of a width."""
        return tuple((Span(f" {part}"),) for part in textwrap.wrap(self.words(keys), max(10, width - 2)))

    def seen(self, now: Desk) -> Guide:
        """The guide after the desk changed: on to the next step where this one is done."""
        if self.place < len(STEPS) - 1 and self.step.done(self.start, now):
            return replace(self, start=now, place=self.place + 1)
        return self
