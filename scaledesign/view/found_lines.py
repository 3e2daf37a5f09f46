"""A fingering that was found, as the lists show it: drawn, what it plays, what it costs a player in words.

Apart from the lists, which say what it is for. The figures are the finder's (``workshop/finder.py``).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from scaledesign.model.fingering import format_fingering, parse_fingering
from scaledesign.view.columns import Sheet, signed
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.lines import Line, Span, Tone, tone_of, wrapped
from scaledesign.workshop.finder import Found
from scaledesign.workshop.registers import firmness

PICTURE = 4
"""Lines of the flute beneath a list."""
LITTLE = 3.0
"""Cents below which nothing is said of a part of the cost."""
BENT = 6.0
"""The same of the breath: every note bends a little."""
FIRMER = 1.5
"""How many times as firm as it takes a note is before a word is said of it."""
SPEECH = {
    "speaks": "speaks freely",
    "weakly": "speaks weakly",
    "hardly": "hardly speaks",
    "none": "does not speak",
}


COST = (
    "off: cents from the note you want; sharp with an upward mark, flat with a downward one.",
    (
        "cost: cents off and, in cents too, what all else about the fingering is worth to a player: "
        "that it is overblown, that it hardly speaks, holes half covered, fingers down below open "
        "holes, fingers that move from and to the notes beside it, how it bends with the breath and "
        "with careless fingers."
    ),
    "What is worth how much is common practice; no source measures it.",
)
"""What the columns of fingerings mean."""


def drawn(sheet: Sheet, letters: str) -> str:
    """A fingering in the signs of the screen, with a blank where one hand ends."""
    fingers = [sheet.design.holes[hole].finger for hole in sheet.design.fingered()]
    written = format_fingering(parse_fingering(letters), fingers)
    return "".join(sheet.signs.state(sign) if sign in "XOH" else sign for sign in written)


def room_for(sheet: Sheet) -> int:
    """Cells of a fingering with two more, no less than its heading needs."""
    return max(11, len(drawn(sheet, "X" * len(sheet.design.fingered()))) + 2)


def off_span(sheet: Sheet, cents: float, width: int = 5) -> Span:
    """Cents off, in the tone of what they mean."""
    tone = tone_of(cents, sheet.design.tuning.tolerance)
    return Span(f"{signed(cents, sheet.signs)}{_sign(sheet, tone)}".rjust(width), tone)


def _sign(sheet: Sheet, tone: Tone) -> str:
    signs = sheet.signs
    return {"sharp": signs.sharp, "flat": signs.flat}.get(tone, " ")


def cost_words(found: Found, width: int = 200) -> str:
    """What a fingering asks of a player, the hardest first, as much as there is room for.

    Its cents off are said elsewhere.
    """
    cost = found.cost
    halved = "a hole half covered" if found.halves == 1 else f"{found.halves} holes half covered"
    parts: tuple[tuple[float, float, str], ...] = (
        (cost.weak, LITTLE, SPEECH[found.speech]),
        (cost.halves, LITTLE, halved),
        (cost.forks, LITTLE, "forked"),
        (cost.moved, LITTLE, _moved(found.moved)),
        (cost.register, LITTLE, "overblown"),
        (cost.placing, LITTLE, "careful fingers"),
        (cost.breath, BENT, "bends with the breath"),
    )
    said = ""
    for _, words in sorted(((size, words) for size, least, words in parts if size >= least), reverse=True):
        longer = f"{said}, {words}" if said else words
        said = longer if len(longer) <= width else said
    return said or "easy and steady"


def _moved(fingers: float) -> str:
    count = round(fingers)
    return "a finger moves" if count == 1 else f"{count} fingers move"


def steadiness(found: Found) -> str:
    """How firm it is, and how it bends, in a sentence."""
    speech, firm = SPEECH[found.speech], firmness(found.depth)
    if found.speech != "speaks":
        speech += f", {100 * firm:.0f}% as firm as it takes to speak freely"
    elif firm >= FIRMER:
        speech += f", {firm:.0f} times as firm as it takes"
    return (
        f"It {speech}. Half as much breath again raises it {found.harder:.0f} "
        f"cents; careless fingers move it {found.slip:.0f}."
    )


def about(sheet: Sheet, letters: str, said: Sequence[str]) -> Callable[[int, int], tuple[Line, ...]]:
    """The flute with a fingering on it, and sentences beneath."""

    def lines(width: int, height: int) -> tuple[Line, ...]:
        picture = flute_lines(sheet.design, sheet.signs, width, PICTURE, states=parse_fingering(letters))
        words = (line for each in said for line in wrapped(each, width))
        return (*picture, *words)[:height]

    return lines
