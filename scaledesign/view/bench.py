"""The screen at the bench as lines: one step, large; what comes greyed; how the holes stand.

Plain data for a screen to lay out, at any size; apart from the words (``bench_words.py``), which the command
line has too. What was typed and what becomes of it is the screen's.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import replace

from scaledesign.model.widths import drilled_now, length_now, length_unknown
from scaledesign.paper.cautions import at_work
from scaledesign.values import dataclass
from scaledesign.view.bench_words import Words
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.large import HEIGHT, can_be_large, large
from scaledesign.view.lines import Line, Span, Tone, text_of, tone_of
from scaledesign.workshop.making.step import Account, Plan, Step, StepKind

GAP = 5
"""Cells between two large numbers."""
SIZED: dict[StepKind, str] = {
    "blow": "length", "cut": "length", "drill": "width", "open": "width", "file": "width",
    "undercut": "undercut", "fill": "width",
}  # fmt: skip
"""What the second line to type into asks for."""
DONE_LINES = 3
"""Lines for what became of the last thing noted, on a small screen; one more where something is odd."""
SMALL = 11
"""Lines for the step up to which no blank is left in it."""
MORE, REMARK = "F1 says more.", "A remark: F1."
"""What stands for sentences that do not fit."""


@dataclass(frozen=True)
class Bench:
    """What is to be shown."""

    words: Words
    plan: Plan | None = None
    """None while it is worked out."""
    said: tuple[tuple[str, Tone], ...] = ()
    """What became of the last thing typed."""
    busy: bool = False
    moved: tuple[int, ...] = ()
    """Holes (0-based) that it moved."""

    @property
    def step(self) -> Step | None:
        """What to do now."""
        return self.plan.now if self.plan else None

    @property
    def size_name(self) -> str:
        """What may be told of the work beside the reading; '' where there is none."""
        return SIZED.get(self.step.kind, "") if self.step else ""

    @property
    def size_usual(self) -> str:
        """What counts where nothing is typed for it."""
        step = self.step
        if step is None or (step.to is None and step.kind != "blow"):
            return ""
        if step.kind == "blow":
            if self.length_wanted:
                return "as measured"
            now = length_now(self.words.design) or self.words.design.tube.length
            return self.words.length(now)
        return self.words.length(step.to or 0.0) if step.kind == "cut" else self.words.width(step.to or 0.0)

    @property
    def length_wanted(self) -> bool:
        """Whether a reading of the bare tube is worth nothing until its length is typed as well."""
        return self.step is not None and self.step.kind == "blow" and length_unknown(self.words.design)

    @property
    def expected(self) -> str:
        """What the tuner should show; '' where nobody knows."""
        step = self.step
        return self.words.tuner(step.sounds) if step and step.sounds and self.words.told_for(step) else ""


def title_line(bench: Bench, title: str, width: int) -> Line:
    """Which flute, and at the right how far it is."""
    left = f" At the bench: {title}"
    right = bench.words.standing(bench.plan).rstrip(".") + " " if bench.plan else "a moment "
    room = width - len(right) - 1
    if len(left) > room:
        left = left[: max(0, room - 1)] + bench.words.signs.ellipsis
    return (Span(left.ljust(max(0, width - len(right))), "strong"), Span(right, "label"))


def drawing(bench: Bench, width: int, height: int) -> tuple[Line, ...]:
    """The flute as it is by now, the hole in hand in front, the fingering to blow on what is drilled."""
    design, step = bench.words.design, bench.step
    there = drilled_now(design)
    long = length_now(design)
    tube = replace(design.tube, blank=long if long and long > design.tube.length + 1e-4 else None)
    return flute_lines(
        replace(design, tube=tube),
        bench.words.signs,
        width,
        height,
        states=step.holes if step else (),
        hole=step.hole if step else None,
        planned=[i for i in range(len(design.holes)) if i not in there],
    )


def step_lines(bench: Bench, width: int, most: int) -> tuple[Line, ...]:
    """The step: a sentence, its numbers large, what else there is to know, why; at most so many lines."""
    step, words = bench.step, bench.words
    if step is None:
        return ((Span(" Working out the next step..." if bench.busy else "", "faint"),),)
    lines: list[Line] = _filled(words.headline(step), width - 2, "strong", 2, words.signs.ellipsis)
    numbers = _fitting(bench, words.numbers(step), width - 2)
    if numbers:
        lines += [*([()] if most > SMALL else []), *_large(numbers)]
        lines += [()] if most > SMALL else []
    facts = list(words.facts(step))
    shown = {number for _, number in numbers}
    facts = [fact for fact in facts if not any(_says(fact[1], number) for number in shown)]
    lines += _paired(facts, width - 2)
    told = (words.otherwise(step), step.why, words.besides(step))
    if step.kind in ("read", "blow"):  # why it is blown at all comes before what follows from it
        told = (step.why, *told[::2])
    more = " ".join(filter(None, told))
    lines += _sentences(more, width - 2, "faint", most - len(lines), MORE)
    return tuple(lines[:most])


def _says(fact: str, number: str) -> bool:
    return fact == number or fact.startswith((f"{number} ", f"{number},"))


def _fitting(bench: Bench, numbers: tuple[tuple[str, str], ...], width: int) -> tuple[tuple[str, str], ...]:
    """The numbers that can stand large side by side: from the last on, which is the tuner's."""
    kept: list[tuple[str, str]] = []
    room = width
    for label, number in reversed(numbers):
        if not can_be_large(number, bench.words.signs):
            continue
        need = max(len(label), len(large(number)[0])) + GAP
        if need - GAP <= room:
            kept.insert(0, (label, number))
            room -= need
    return tuple(kept)


def _large(numbers: Iterable[tuple[str, str]]) -> list[Line]:
    """Labels, and beneath them the numbers."""
    heads: list[Span] = [Span(" ")]
    rows: list[list[Span]] = [[Span(" ")] for _ in range(HEIGHT)]
    for label, number in numbers:
        drawn = large(number)
        cells = max(len(label), len(drawn[0])) + GAP
        heads.append(Span(label.ljust(cells), "label"))
        for row, text in zip(rows, drawn, strict=True):
            row.append(Span(text.ljust(cells), "strong"))
    return [tuple(heads), *(tuple(row) for row in rows)]


def _paired(facts: list[tuple[str, str]], width: int) -> list[Line]:
    """Facts beside one another, as many a line as fit."""
    lines: list[list[Span]] = []
    room = 0
    for name, value in facts:
        need = len(name) + len(value) + 4
        if need > room or not lines:
            lines.append([Span(" ")])
            room = width
        lines[-1] += [Span(f"{name} ", "label"), Span(f"{value}   ")]
        room -= need
    return [tuple(line) for line in lines]


def _sentences(text: str, width: int, tone: Tone, most: int, rest: str) -> list[Line]:
    """The sentences that fit whole; where some do not, ``rest`` says where they stand."""
    told = re.split(r"(?<=[.!?])\s+(?=\S)", text.strip())
    for count in range(len(told), -1, -1):
        kept = told[:count] if count == len(told) else [*told[:count], rest]
        parts = textwrap.wrap(" ".join(kept), max(20, width))
        if len(parts) <= most:
            return [(Span(f" {part}", tone),) for part in parts]
    return []


def _filled(text: str, width: int, tone: Tone, most: int, ellipsis: str) -> list[Line]:
    parts = textwrap.wrap(text, max(20, width))
    if len(parts) > max(0, most):
        parts = parts[: max(0, most)]
        if parts:
            parts[-1] = parts[-1][: width - 2].rstrip() + f" {ellipsis}"
    return [(Span(f" {part}", tone),) for part in parts]


def said_lines(bench: Bench, width: int, most: int) -> tuple[Line, ...]:
    """What became of the last thing typed."""
    most += any(tone == "reach" for _, tone in bench.said)
    if bench.busy and bench.plan is not None:
        return ((Span(" A moment...", "faint"),),)
    lines: list[Line] = []
    for text, tone in bench.said:
        lines += _sentences(text, width - 2, tone, most - len(lines), MORE)
    return tuple(lines)


def account_lines(bench: Bench, width: int, *, compact: bool) -> tuple[Line, ...]:
    """How the holes stand, one a line under their heads; ``compact``: without heads, two a line."""
    if bench.plan is None or not bench.plan.holes:
        return ()
    rows = [bench.words.account(bench.plan, each) for each in bench.plan.holes]
    tones = [_tones(bench, each) for each in bench.plan.holes]
    if compact:
        return _compact(bench, rows, tones, width)
    heads = ("hole", bench.words.end_title, "now", "in the end", "note", "off", "")
    room = [max(len(row[i]) for row in (heads, *rows)) for i in range(len(heads))]
    right = (1, 2, 3, 5)

    def line(cells: tuple[str, ...], tone: Tone, state: Tone) -> Line:
        spans = [Span(" ")]
        for i, cell in enumerate(cells):
            text = cell.rjust(room[i]) if i in right else cell.ljust(room[i])
            spans.append(Span(f"{text}  ", state if i in (5, 6) else tone))
        return tuple(spans)

    body = (line(row, tone, state) for row, (tone, state) in zip(rows, tones, strict=True))
    return (line(heads, "label", "label"), *body)


def _compact(
    bench: Bench, rows: Sequence[tuple[str, ...]], tones: Sequence[tuple[Tone, Tone]], width: int
) -> tuple[Line, ...]:
    """Two holes a line, read down: hole, place, width now and in the end, off or state."""
    arrow = bench.words.signs.toward_foot
    cells = max(20, (width - 2) // 2)
    every = [arrow.join(_bare(w) for w in dict.fromkeys(row[2:4]) if w) for row in rows]
    room = max(len(widths) for widths in every) + 2
    far = max(len(_bare(row[1])) for row in rows) + 1

    def spans(index: int) -> list[Span]:
        row, (tone, last) = rows[index], tones[index]
        hole, place, now, _, note, off, state = row
        body = f"{hole:4}{_bare(place):>{far}}{every[index]:>{room}}  {note:4} "
        left = max(0, cells - len(body) - 1)
        told = off or state if now else ""
        told = told if len(told) <= left else told.split(" ")[0][:left]
        return [Span(body, tone), Span(told, last), Span(" " * (cells - len(body) - len(told)))]

    half = (len(rows) + 1) // 2
    return tuple(
        (Span(" "), *(span for j in (i, i + half) if j < len(rows) for span in spans(j))) for i in range(half)
    )


def _bare(length: str) -> str:
    """A length without its unit."""
    return length.removesuffix(" mm").removesuffix(" in")


def _tones(bench: Bench, each: Account) -> tuple[Tone, Tone]:
    tolerance = bench.words.design.tuning.tolerance
    if bench.step is not None and each.hole == bench.step.hole:
        return "strong", "strong" if each.off is None else tone_of(each.off, tolerance)
    if each.state == "planned":
        return ("plain" if each.hole in bench.moved else "faint"), "faint"
    return "plain", "plain" if each.off is None else tone_of(each.off, tolerance)


def coming_lines(bench: Bench, width: int, most: int) -> tuple[Line, ...]:
    """What comes after the step, greyed, a line each."""
    steps = bench.plan.steps[1:] if bench.plan else ()
    lines: list[Line] = []
    for step in steps:
        text = f"then {bench.words.coming(step)}"
        parts = textwrap.wrap(text, max(20, width - 2), subsequent_indent="     ")
        lines += [(Span(f" {part}", "faint"),) for part in parts]
    if len(lines) > most > 0:
        left = sum(text_of(line).startswith(" then") for line in lines[most - 1 :])
        lines = [*lines[: most - 1], (Span(f" and {left} more step{'' if left == 1 else 's'}", "faint"),)]
    return tuple(lines[: max(0, most)])


def note_lines(bench: Bench, width: int, most: int) -> tuple[Line, ...]:
    """What is odd or at the limit."""
    lines: list[Line] = []
    notes = bench.plan.notes if bench.plan else ()
    for place, note in enumerate(notes):
        last = most - len(lines) <= 1 and place + 1 < len(notes)  # room for one line, and more to say
        text = f"{len(notes) - place} remarks: F1." if last else note
        lines += _sentences(text, width - 2, "reach", most - len(lines), REMARK)
    return tuple(lines)


def caution_lines(bench: Bench, width: int, most: int, *, whole: bool) -> tuple[Line, ...]:
    """What can hurt at this step, in brief or ``whole``; what does not fit is named, and F1 has it."""
    if bench.step is None:
        return ()
    cautions = at_work(bench.step.kind, bench.words.design.instrument.material)
    told: list[list[Line]] = []
    for each in cautions:
        text = f"{each.hazard}: {each.text if whole or not each.brief else each.brief}"
        filled = _filled(text, width - 2, "plain", 9, "")
        head, rest = filled[0][0].text[: len(each.hazard) + 2], filled[0][0].text[len(each.hazard) + 2 :]
        told.append([(Span(head, "reach"), Span(rest)), *filled[1:]])
    for count in range(len(told), -1, -1):
        lines = [line for each in told[:count] for line in each]
        if count < len(told):
            names = ", ".join(each.hazard for each in cautions[count:])
            lines += _filled(f"{names}: before you begin, F1.", width - 2, "reach", 9, "")
        if len(lines) <= most:
            return tuple(lines)
    return ()
