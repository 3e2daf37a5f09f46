"""What a tube can become, as lists to choose from: its keys, best first, and the bores to look for.

Apart from the reckoning (``workshop/tube_advice.py``), which the command ``tube`` shares.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from scaledesign.errors import ScaledesignError
from scaledesign.model.units import format_length
from scaledesign.view.lines import Line, Signs, Span, Tone, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.workshop.start import Wanted
from scaledesign.workshop.tube_advice import (
    Becoming,
    Bores,
    becoming,
    bore_words,
    bores,
    told,
)
from scaledesign.workshop.tube_advice_verdict import GRADES, Choice, Grade

BELOW = 7
"""Lines beneath a list: lengths, and what the verdict rests on."""
TONES: dict[Grade, Tone] = {"good": "true", "will do": "plain", "poor": "flat", "no": "faint"}
HELP = (
    (
        "cut to: sounding edge to foot. bores: that length over the bore; 20 to 35 plays easily, beyond 40 "
        "the low notes are weak, under 12 there is no second octave (common practice, no source)."
    ),
    "octave: whether the second octave will speak on most notes of the scale: yes, weakly or no.",
    (
        "The verdict is the worst of six: length, slenderness, tuning, evenness of the holes, second octave, "
        "reach. Each flute is laid out for it, not yet rounded to your bits; beneath stands what it rests on."
    ),
    "Enter begins a new flute of it.",
)


def lists(want: Wanted, signs: Signs) -> tuple[Listing, ...]:
    """The keys of a tube, and the bores for one of them: the one in mind, else what its whole length gives.

    Raises
    ------
    UnknownNameError, EditError
        for a tube that no flute is made of.
    """
    found = becoming(want)
    key = want.key or found.deepest.wanted.key
    keys = _keys(found, want.key, signs)
    try:
        other = bores(_free(want, key))
    except ScaledesignError:
        return (keys,)
    return keys, _bores(other, key, signs)


def _free(want: Wanted, key: str) -> Wanted:
    """The wish for another tube: its length and nodes are not those of the one in hand."""
    return replace(want, key=key, length=None, avoid=())


def _keys(found: Becoming, key: str, signs: Signs) -> Listing:
    units = found.wanted.units
    best = found.best
    nothing = f"No key makes a flute of this tube: {found.choices[0].reason}."
    first = f"Best in {best.wanted.key}." if best else nothing
    said = " ".join((first, *found.remarks[:1]))
    if found.deeper and not found.remarks:
        said += f" The next deeper key, {found.deeper[0]}, wants {format_length(found.deeper[1], units)}."
    width = max(len(format_length(each.length, units)) for each in found.choices)
    head = (Span(f"key  {'cut to'.rjust(width)}  bores  octave  verdict  because", "label"),)
    entries = tuple(_entry(each, each.wanted.key.ljust(5), width, signs) for each in found.choices)
    at = next((i for i, each in enumerate(found.choices) if each.wanted.key == key), 0)
    return Listing("keys", said, head, entries, BELOW, start=at, verb="begin this flute", help=HELP)


def _bores(found: Bores, key: str, signs: Signs) -> Listing:
    units = found.wanted.units
    named = [bore_words(each.wanted.bore, units) for each in found.choices]
    wide = max(map(len, named)) + 1
    width = max(len(format_length(each.length, units)) for each in found.choices)
    head = (Span(f"{'bore'.ljust(wide)}{'cut to'.rjust(width)}  bores  octave  verdict  because", "label"),)
    entries = tuple(
        _entry(each, name.ljust(wide), width, signs) for each, name in zip(found.choices, named, strict=True)
    )
    return Listing(f"bores for {key}", found.said, head, entries, BELOW, verb="begin this flute", help=HELP)


def _entry(one: Choice, name: str, width: int, signs: Signs) -> Entry:
    tone = TONES[one.verdict]
    none = one.verdict == GRADES[-1]
    room = 71 - len(name) - width - 24
    why = one.because
    reason = why if len(why) <= room else f"{why[: room - 1]}{signs.ellipsis}"
    shown = format_length(one.length, one.wanted.units)
    line: Line = (
        Span(name, "faint" if none else "strong"),
        Span(shown.rjust(width), "faint" if none else "plain"),
        Span(f"{one.bores:>7.0f}  {(one.octave or '').ljust(8)}", "faint" if none else "plain"),
        Span(one.verdict.ljust(9), tone),
        Span(reason, "faint"),
    )
    refusal = f"No flute comes of that: {one.reason}."
    return Entry(line, _about(one), None if none else one, refusal=refusal)


def _about(one: Choice) -> Callable[[int, int], tuple[Line, ...]]:
    units = one.wanted.units
    cut, leave = (format_length(metres, units) for metres in (one.length, one.leave))

    def lines(width: int, height: int) -> tuple[Line, ...]:
        head: Line = (
            Span("Cut to ", "label"),
            Span(cut, "strong"),
            Span("; leave ", "label"),
            Span(leave, "strong"),
            Span(" until you have blown the bare tube.", "label"),
        )
        wrong, well = told(one)
        body = (*wrapped(" ".join(wrong), width, "reach"), *wrapped(" ".join(well), width))
        return (head, *body[: height - 1])

    return lines
