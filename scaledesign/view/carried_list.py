"""A pattern beside the flute that was made of it: what each is worth, what changed and why, hole by hole.

Apart from the carrying (``workshop/carry.py``), which the ``carry`` command shares.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from dataclasses import replace

from scaledesign.model.checks import hole_name
from scaledesign.model.document import HoleState
from scaledesign.model.saying import begun
from scaledesign.view.columns import Sheet
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.found_lines import PICTURE
from scaledesign.view.lines import Line, Span
from scaledesign.view.listing import Entry, Listing
from scaledesign.view.variants_list import NAME, compared
from scaledesign.workshop.carry import Carried
from scaledesign.workshop.carry_words import changes, moved, proportions, reason, verdict, wider

BELOW_ONE = PICTURE + 3
"""Lines beneath a list of changes or holes: the flute, and a sentence."""
WORDS = 70
"""Letters of a change in its list."""
HELP = (
    (
        "In proportion means: every hole as wide for the bore as the pattern's, the mouth too, and where "
        "the notes then want it. What shop and hand do not allow gives way from there."
    ),
    "Enter opens the new flute, unsaved; the pattern stays as it is in its file.",
)
VERB = "open it as a new flute"


def beside(sheet: Sheet, found: Carried) -> tuple[Listing, ...]:
    """Three lists: both flutes, what changed, and the holes.

    Raises
    ------
    UnknownNameError, NoPitchError
    """
    design = found.design
    flutes = compared(replace(sheet, design=found.pattern), [(design.name or "the new flute", design)])
    old, new = flutes.entries
    pattern = replace(
        old,
        line=(Span("the pattern".ljust(NAME), "strong"), *old.line[1:]),
        refusal="That is the pattern; the other is the new flute.",
    )
    made = replace(new, value=found, about=_whole(sheet, found, " ".join(changes(found))))
    both = replace(
        flutes, said=verdict(found), entries=(pattern, made), verb=VERB, help=(*HELP, *flutes.help[:3])
    )
    return both, _changes(sheet, found), _holes(sheet, found)


def _changes(sheet: Sheet, found: Carried) -> Listing:
    said = changes(found)
    entries = tuple(Entry((Span(_cut(sheet, one)),), _whole(sheet, found, one), found) for one in said)
    said_first = "What is otherwise than in the pattern, and why."
    return Listing("changes", said_first, (), entries, BELOW_ONE, verb=VERB, help=HELP)


def _cut(sheet: Sheet, text: str) -> str:
    return text if len(text) <= WORDS else f"{text[: WORDS - 1]}{sheet.signs.ellipsis}"


def _holes(sheet: Sheet, found: Carried) -> Listing:
    head = (
        Span(
            f"{'hole'.ljust(10)}{'pattern at'.rjust(13)}{'now at'.rjust(13)}{'wide'.rjust(10)}"
            f"{'now'.rjust(9)}{'of bore'.rjust(9)}{'now'.rjust(6)}",
            "label",
        ),
    )
    entries = []
    for i, (_, _, at, now, wide, bit, share, shared) in enumerate(proportions(found)):
        same = not wider(found, i)
        line: Line = (
            Span(hole_name(found.design, i).removeprefix("hole ").ljust(10), "strong"),
            Span(at.rjust(13), "faint"), Span(now.rjust(13)), Span(wide.rjust(10), "faint"),
            Span(bit.rjust(9), "plain" if same else "reach"), Span(share.rjust(9), "faint"),
            Span(shared.rjust(6), "plain" if same else "reach"),
        )  # fmt: skip
        parts = [part for part in (wider(found, i), moved(found, i)) if part]
        name = hole_name(found.design, i)
        text = f"{begun(name)} is as in proportion, to the bit."
        if parts:
            text = f"{begun(name)} {' and '.join(parts)} than in proportion: {reason(found, i)}."
        entries.append(Entry(line, _whole(sheet, found, text, i), found))
    said = "The holes of the pattern and of the new flute."
    return Listing("holes", said, head, tuple(entries), BELOW_ONE, verb=VERB, help=HELP)


def _whole(
    sheet: Sheet, found: Carried, text: str, hole: int | None = None
) -> Callable[[int, int], tuple[Line, ...]]:
    design = replace(found.design, units=sheet.design.units)

    def lines(width: int, height: int) -> tuple[Line, ...]:
        states: tuple[HoleState, ...] = tuple("O" if i == hole else "X" for i in design.fingered())
        picture = flute_lines(design, sheet.signs, width, PICTURE, states=states)
        rest = max(1, height - len(picture))
        told = textwrap.wrap(text, width, max_lines=rest, placeholder=f" {sheet.signs.ellipsis}")
        return (*picture, *((Span(part),) for part in told))

    return lines
