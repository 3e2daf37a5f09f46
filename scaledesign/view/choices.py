"""The choices of a question: those that what is typed leaves, the next one, and the lines that show them.

Apart from the question itself, which only holds them, and from the screen, which knows keys: here is what a
text that is half typed may mean. Nothing is said of how many lines there are on a screen.
"""

from __future__ import annotations

from scaledesign.view.lines import Line, Span, cut
from scaledesign.view.questions import Choice, Question

HEADED = 6
"""Lines of choices from which each kind has a heading."""


def matching(question: Question) -> tuple[Choice, ...]:
    """Choices that hold what is typed; all of them where that is one of them, or nothing."""
    typed = _typed(question)
    if not typed or any(choice.answer.casefold() == typed for choice in question.choices):
        return question.choices
    return tuple(
        choice
        for choice in question.choices
        if typed in f"{choice.answer} {choice.words} {choice.kind}".casefold()
    )


def beside(question: Question, by: int) -> str:
    """The answer so many choices further on, around the end; the question has choices."""
    choices = matching(question) or question.choices
    taken = question.taken.casefold()
    place = next((i for i, choice in enumerate(choices) if choice.answer.casefold() == taken), -1)
    if place < 0 and by < 0:
        place = 0
    return choices[(place + by) % len(choices)].answer


def completed(question: Question) -> str:
    """The answer that a part of one means, the first that holds it, or the whole in other capitals.

    '' where nothing is to be completed.
    """
    choices = matching(question)
    if not (question.problem and choices):
        return ""
    same = (choice.answer for choice in choices if choice.answer.casefold() == _typed(question))
    return next(same, choices[0].answer)


def blank_goes_on(question: Question) -> bool:
    """Whether a blank may choose the next answer: it cannot go on with a text that looks for one."""
    typed = _typed(question)
    known = [choice.answer.casefold() for choice in question.choices]
    begun = any(answer.startswith(f"{typed} ") for answer in known)
    return bool(known) and (not typed or (typed in known and not begun))


def choice_lines(question: Question, width: int, room: int) -> tuple[Line, ...]:
    """At most ``room`` lines of the matching choices, the one that is taken in view."""
    taken = question.taken.casefold()
    choices = matching(question)
    place = next((i for i, choice in enumerate(choices) if choice.answer.casefold() == taken), 0)
    names = max(len(choice.answer) for choice in question.choices)
    lines: list[Line] = []
    kind, line, heads = "", 0, set[int]()
    for index, choice in enumerate(choices):
        if room >= HEADED and choice.kind != kind:
            kind = choice.kind
            heads.add(len(lines))
            lines.append((Span(f"   {kind}", "label"),))
        here = index == place
        line = len(lines) if here else line
        lines.append(
            (
                Span(" > " if here else "   ", "held"),
                Span(choice.answer.ljust(names + 2), "strong" if here else "plain"),
                Span(cut(choice.words, width - names - 5), "faint"),
            )
        )
    return _in_view(lines, line, room, heads)


def _typed(question: Question) -> str:
    return question.answer.strip().casefold()


def _in_view(lines: list[Line], here: int, room: int, heads: set[int]) -> tuple[Line, ...]:
    """So many lines around the one ``here``; where others are left out, a line says how many choices."""
    if len(lines) <= room:
        return tuple(lines)

    def more(outside: range, where: str) -> Line:
        return (Span(f"   {sum(place not in heads for place in outside)} more {where}", "faint"),)

    if room < 3:
        others = range(len(lines) - 1)
        return (lines[here], more(others, "above and below"))[:room]
    top = max(0, min(here - room // 2, len(lines) - room))
    seen, end = lines[top : top + room], top + room
    if top > 0:
        seen[0] = more(range(top + 1), "above")
    if end < len(lines):
        seen[-1] = more(range(end - 1, len(lines)), "below")
    return tuple(seen)
