"""What is said beneath the questions of printing: what will be written, what to see to first, what to know.

Apart from the questions (``print_questions.py``), of which each line here follows.
"""

from __future__ import annotations

from collections.abc import Mapping

from scaledesign.outputs.coming_out import warning
from scaledesign.outputs.make import numbered
from scaledesign.paper.layout import origin_words
from scaledesign.view.actions import worded
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.print_questions import ALL, ONE_A_PAGE, Printing

Keys = Mapping[str, tuple[str, ...]]
"""Keys of each action."""
WHY = "why ({why})"
MEASURED = "Distances are measured from {} ({{measure}} in the hole list)."
OWN = "Your name and picture come from settings.toml, [paper]."


def tail(asked: Printing, keys: Keys, width: int) -> tuple[Line, ...]:
    """What will happen; before it, whether the notes come out."""
    if asked.waiting:
        return ((Span("A moment: the holes are being worked out.", "faint"),),)
    prediction = asked.sheet.answer.prediction
    if prediction is None:
        return ((Span("Nothing can be said of this flute yet, so nothing can be written.", "wrong"),),)
    if asked.problem:
        return ((),)
    lines = _happens(asked, width)
    if all(kind == "template" for kind, _ in asked.wanted):
        return lines
    said = warning(asked.sheet.design, prediction, worded(WHY, keys))
    return (*wrapped(said, width, "wrong"), *lines)


def besides(asked: Printing, keys: Keys, width: int) -> tuple[Line, ...]:
    """What is good to know where there is room: whence distances are measured, whence a name comes."""
    kinds, choices = {kind for kind, _ in asked.wanted}, asked.choices
    said = []
    if kinds & {"template", "sheet", "holes"}:
        said.append(worded(MEASURED.format(origin_words(asked.sheet.design, choices.origin)), keys))
    if kinds & {"sheet", "chart"} and asked.pages and not (choices.maker or choices.picture):
        said.append(OWN)
    return tuple(line for each in said for line in wrapped(each, width, "faint"))


def _happens(asked: Printing, width: int) -> tuple[Line, ...]:
    there = asked.there
    if asked.kind == ALL:
        first, *others = asked.names_of_files
        names = ", ".join((first, *(f"-{name.removeprefix(f'{asked.base}-')}" for name in others)))
        lines = wrapped(f"Writes into {asked.path}: {names}.", width)
        if there:
            already = ", ".join(path.name for path in there)
            lines += wrapped(
                f"There already: {already}. You are asked before any is replaced.", width, "reach"
            )
        return lines
    said = f"Writes {asked.path}."
    if there:
        said = f"{said[:-1]}, which is there: you are asked before it is replaced."
        return wrapped(said, width, "reach")
    if asked.wanted[0][1] in ONE_A_PAGE:
        one, two = numbered(asked.path.name, 2)
        said += f" Where it takes more than one page: {one}, {two} and so on."
    return wrapped(said, width)
