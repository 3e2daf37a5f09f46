"""Plans of rescue as a list: each with what it does to the notes; one taken as one step of the design.

Apart from the words (``rescue_words.py``), which the command line shares. Plain data for the screen.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from scaledesign.model.document import Design
from scaledesign.model.edits import Become
from scaledesign.model.saying import begun
from scaledesign.view.columns import Sheet, signed
from scaledesign.view.lines import Line, Span, tone_of, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.view.rescue_words import RescueWords
from scaledesign.workshop.rescue import Proposal, Rescue, rescue
from scaledesign.workshop.rescue_taken import NAME, taken

BELOW = 9
"""Lines beneath the list: two blocks of notes, and words."""
WIDE = 50
"""Letters of a plan."""
INDENT = "   "
LABEL, CELL = 6, 7
"""Cells before a block of notes, and of one note at least."""
HERE = "as it is now"
NOTHING = "That is how it stands; choose a plan to take."
HELP = (
    "worst: cents that the worst note of the scale that was read is off. all: all notes, octaves too.",
    (
        "now and then: cents off each note, as readings and model together have it, calibrated or not; what "
        "was read counts as read, what a change shifts is the model's. Notes in brackets were not read."
    ),
    (
        "First comes the plan with the fewest changes beyond which another would bring little; then those "
        "with fewer, then others as good. A hole that is opened costs least, one that is moved most."
    ),
    (
        "Enter puts a plan into the design, holes locked, as one step, and shows what to do. Readings that "
        "it makes untrue leave their rows; the log keeps them. Do the work, blow, type what the tuner says."
    ),
)


def plans(sheet: Sheet) -> Listing:
    """What mends the flute in hand, the first plan first.

    Raises
    ------
    EditError, QuantityError, UnknownNameError, NoPitchError
    """
    words = words_for(sheet, rescue(sheet.design))
    found = words.found
    head = (Span(f"{''.ljust(WIDE)}  worst   all", "label"),)
    entries = (
        _entry(sheet, words, None),
        *(_entry(sheet, words, plan) for plan in found.proposals),
    )
    more = tuple(each for each in (*words.remarks(), *words.beyond()))
    return Listing(
        "plans",
        words.verdict(),
        head,
        entries,
        BELOW,
        start=1 if found.proposals else 0,
        verb="take it",
        second=("s", "what to do") if found.proposals else ("", ""),
        help=(*more, *HELP),
    )


def words_for(sheet: Sheet, found: Rescue) -> RescueWords:
    """The words of a rescue in the units and signs of the screen."""
    return RescueWords(found, sheet.design.units, sheet.signs)


def _entry(sheet: Sheet, words: RescueWords, plan: Proposal | None) -> Entry:
    found = words.found
    name = HERE if plan is None else words.headline(plan)
    short = name if len(name) <= WIDE else f"{name[: WIDE - 1]}{sheet.signs.ellipsis}"
    worst, rms = (found.worst, found.rms) if plan is None else (plan.worst, plan.rms)
    line: Line = (
        Span(short.ljust(WIDE), "faint" if plan is None else "strong"),
        Span(f"{worst:>7.0f}", "true" if worst <= sheet.design.tuning.tolerance else "plain"),
        Span(f"{rms:>6.0f}"),
        Span("  mends it" if plan is not None and plan.mends else "", "true"),
    )
    value = None if plan is None else (found, plan)
    return Entry(line, _about(sheet, words, plan), value, name, refusal=NOTHING)


def _about(sheet: Sheet, words: RescueWords, plan: Proposal | None) -> Callable[[int, int], tuple[Line, ...]]:
    """The notes side by side, now and then; beneath them words."""
    if plan is None:
        said = " ".join((*words.remarks(), *words.beyond())) or "Nothing is odd."
    else:
        line = words.headline(plan)
        said = f"{begun(line)}. {words.sure(plan)} {words.lasting(plan)}".strip()

    def lines(width: int, height: int) -> tuple[Line, ...]:
        text = wrapped(said, width)
        each = 2 if plan is None else 3
        room = max(1, (height - min(len(text), 3)) // each)
        blocks = _blocks(sheet, words, plan, width, room)
        left = height - len(blocks)
        if len(text) > left:
            text = (*text[: max(0, left - 1)], (Span("F1 says it all."),))
        return (*blocks, *text)

    return lines


def _blocks(
    sheet: Sheet, words: RescueWords, plan: Proposal | None, width: int, most: int
) -> tuple[Line, ...]:
    found = words.found
    heard, pitch = found.heard, found.aim.pitch
    names = [_name(note.name, bool(heard.read[i])) for i, note in enumerate(heard.notes)]
    cell = min(max(CELL, *(len(name) + 2 for name in names)), 2 * CELL)
    across = max(1, (width - LABEL) // cell)
    shown = _shown(found, plan, across * most)
    tolerance = sheet.design.tuning.tolerance

    def cells(values: list[float]) -> Line:
        return tuple(
            Span(signed(value, sheet.signs).ljust(cell) or " " * cell, tone_of(value, tolerance))
            for value in values
        )

    out: list[Line] = []
    for first in range(0, len(shown), across):
        some = shown[first : first + across]
        out.append((Span(" " * LABEL), *(Span(names[i][: cell - 1].ljust(cell), "label") for i in some)))
        out.append((Span("now".ljust(LABEL), "faint"), *cells([float(heard.off[i] - pitch) for i in some])))
        if plan is not None:
            out.append(
                (Span("then".ljust(LABEL), "faint"), *cells([float(plan.cents[i] - pitch) for i in some]))
            )
    return tuple(out)


def _name(name: str, read: bool) -> str:
    short = name.replace("octave of ", "oct ")
    return short if read else f"({short})"


def _shown(found: Rescue, plan: Proposal | None, most: int) -> list[int]:
    """The notes that there is room for: of the scale first, then what was read, then what moves most."""
    heard = found.heard

    def order(i: int) -> tuple[bool, bool, float]:
        moved = 0.0 if plan is None else abs(float(plan.cents[i] - heard.off[i]))
        return not found.aim.judged[i], not heard.read[i], -moved

    return sorted(sorted(range(len(heard.notes)), key=order)[:most])


def put_in(design: Design, words: RescueWords, plan: Proposal, when: datetime) -> Become:
    """The step that takes a plan.

    Raises
    ------
    EditError
    """
    return Become(NAME, taken(design, plan, f"{words.headline(plan)}.", when))


def to_do(words: RescueWords, plan: Proposal, width: int) -> tuple[Line, ...]:
    """What to do, step by step, with the cautions at the step that needs them."""
    out: list[Line] = []
    told = set()
    for number, act in enumerate(plan.acts, 1):
        out += wrapped(words.what(act), width, "strong", INDENT, f"{number}. ")
        out += (
            line for said in words.on_the_way(act) for line in wrapped(said, width, "plain", INDENT, INDENT)
        )
        for caution in words.cautions(act):
            if caution not in told:
                told.add(caution)
                said = f"{caution.hazard}: {caution.text}"
                out += wrapped(said, width, "faint", INDENT, INDENT)
        out.append(())
    for said in filter(None, (words.lasting(plan), *words.beyond())):
        out += [*wrapped(said, width), ()]
    return tuple(out[:-1])
