"""Help at the bench: what each key does, what the numbers mean, and all that can hurt at the step."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

from scaledesign.paper.cautions import at_work
from scaledesign.view.actions import key_words
from scaledesign.view.bench import Bench
from scaledesign.view.lines import Line, Span, wrapped

ABOUT = (
    (
        "From the foot toward the mouth each note hangs only on what is drilled already. So every hole is "
        "begun too narrow to be sharp, blown, and opened by what the tuner says; the holes above move with "
        "what was learnt."
    ),
    (
        "What the tuner should show comes with its ±: two times in three it lies within. Blow as you will "
        "play, steadily, each time alike; type what it settles on."
    ),
    (
        "Everything typed is in the flute's log. Leave when you like, save, and go on days later: say how "
        "warm the room is then."
    ),
    "A filled circle is a finger down, a hollow one an open hole; a point is where no hole is yet.",
)
KEYS = (
    ("Enter", "the step is done as told, and this is what the tuner showed; with a size typed, that size"),
    ("F5", "the step is done; you blow later"),
    ("F6", "something else was done: another hole, another width, filled, cut, the bare tube blown"),
    ("Tab", "the next line: the size where it differs from what was told, the room"),
)


def help_lines(bench: Bench, keys: Mapping[str, tuple[str, ...]], width: int) -> tuple[Line, ...]:
    """Lines for a width."""
    lines: list[Line] = []
    for text in (*_now(bench), *ABOUT):
        lines += [*wrapped(text, width), ()]
    undo = " or ".join(key_words(key) for key in keys["undo"]) or "undo"
    for key, words in (*KEYS, (undo, "take the last thing back"), ("Escape", "back to the grid")):
        parts = textwrap.wrap(words, max(20, width - 10))
        lines.append((Span(key.ljust(10), "label"), Span(parts[0])))
        lines += [(Span(" " * 10 + part),) for part in parts[1:]]
    for each in at_work(bench.step.kind, bench.words.design.instrument.material) if bench.step else ():
        lines += [(), (Span(each.hazard, "strong"),)]
        lines += wrapped(each.text, width)
    return tuple(lines)


def _now(bench: Bench) -> tuple[str, ...]:
    """What was said, why the step, what is odd: whole, where the screen may have had no room for it."""
    step, words = bench.step, bench.words
    why = " ".join(filter(None, (words.otherwise(step), step.why, words.besides(step)))) if step else ""
    said = (text for text, _ in bench.said)
    return tuple(filter(None, (*said, why, *(bench.plan.notes if bench.plan else ()))))
