"""scales: the list of what there is to choose from, by kind, and one scale in full.

Apart from the design commands because no design is read here, and from fingering systems because a list of a
hundred has to be looked through.
"""

from __future__ import annotations

import argparse
import math
import textwrap
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.errors import EditError, QuantityError
from scaledesign.extend.catalogue import EQUAL_STEPS, KINDS, Catalogue, comparable
from scaledesign.extend.registry import catalogue
from scaledesign.model.degrees import ratio_text
from scaledesign.model.pitch import AUDIBLE, OCTAVE, format_reading, note_frequency, parse_note, raised
from scaledesign.model.saying import begun
from scaledesign.model.scale import Scale, Tuned
from scaledesign.model.spelling import names_like
from scaledesign.paper.report import blocks
from scaledesign.paper.text import WIDTH, paragraph, table
from scaledesign.values import dataclass

OTHERS = "others"
"""What scales without a kind are listed under."""
NAMES = 26
"""Characters for a name; a longer one has a line of its own."""
SMALL = 32
"""The largest number in a ratio that a size near it is called by."""
NEAR = 0.01
"""cents: how near."""
RULE = "N even steps to the octave, for every N from {} to {}: write 19 equal, or 31 equal."
QUARTERS = "~ is a quarter tone sharp, ` a quarter tone flat; the tuner column has the exact pitch."
HINT = "The number is how many notes there are to the octave, or to whatever the scale repeats at. "
MORE = 'scaledesign scales NAME shows one in full, on any tonic: scaledesign scales "just dorian" --tonic D4'


def show(args: argparse.Namespace) -> int:
    """List the scales, or show the one that is named."""
    found = catalogue()
    if args.name:
        name = " ".join(args.name)
        if name.endswith((".toml", ".syx")):
            raise EditError(f"{name} is a file, and this is for names", f"scaledesign tuning {name} shows it")
        if args.notes is not None or args.search is not None:
            raise EditError("--notes and --search are for the list", "leave them out, or the name")
        return _one(found.scale(name), args)
    wanted = [scale for scale in found.scales() if _wanted(scale, args.notes, args.search)]
    if args.json:
        least, most = EQUAL_STEPS
        print_json(
            {
                "scales": [_object(scale) for scale in wanted],
                "by_rule": [{"name": "N equal", "least": least, "most": most, "words": _rule()}],
            }
        )
    else:
        print(_listed(found, wanted, args))
    return OK


def _wanted(scale: Scale, notes: int | None, word: str | None) -> bool:
    """Whether a scale has so many notes, and the word somewhere in what is said of it."""
    said = comparable(" ".join((scale.name, *scale.also, scale.kind, scale.words, scale.source)))
    return notes in (None, len(scale.cents)) and comparable(word or "") in said


def _rule() -> str:
    return RULE.format(*EQUAL_STEPS)


def _listed(found: Catalogue, wanted: Sequence[Scale], args: argparse.Namespace) -> str:
    """The list by kind, and what else there is."""
    known = dict.fromkeys((*KINDS, *(scale.kind for scale in found.scales() if scale.kind), ""))
    least, most = EQUAL_STEPS
    parts = []
    for kind in known:
        entries = [
            _entry(scale.name, len(scale.cents), _words(scale)) for scale in wanted if scale.kind == kind
        ]
        if kind == "equal steps" and not args.search and args.notes in (None, *range(least, most + 1)):
            entries.append(_entry("N equal", "N", _rule()))
        if entries:
            heading = kind or OTHERS
            parts.append("\n".join((begun(heading), *entries)))
    if not wanted:
        like = f" with {args.search!r} in what is said of it" if args.search else ""
        count = "" if args.notes is None else f" of {args.notes} notes"
        none = f"There is no scale{count}{like}; scaledesign scales lists all."
        return blocks(*parts, paragraph(none))
    return blocks(*parts, paragraph(HINT + MORE))


def _words(scale: Scale) -> str:
    also = f" Also: {', '.join(scale.also)}." if scale.also else ""
    return scale.words + also


def _entry(name: str, count: int | str, words: str) -> str:
    """Name, number of notes and words, in columns."""
    start = f"  {name:{NAMES}}{count!s:>3}  "
    indent = " " * len(f"  {'':{NAMES}}{'':>3}  ")
    if len(start) > len(indent):
        start = f"  {name}\n  {'':{NAMES}}{count!s:>3}  "
    filled = textwrap.fill(
        words, WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False
    )
    return start + filled[len(indent) :]


@dataclass(frozen=True, slots=True)
class _Degree:
    """One degree of a scale on a tonic."""

    number: int
    note: str
    """As it is written; '' where there are too many degrees to write."""
    cents: float
    ratio: str
    frequency: float
    """Hz."""
    reading: str
    """What a tuner shows."""


def _one(scale: Scale, args: argparse.Namespace) -> int:
    """One scale in full on a tonic."""
    tuned = Tuned(scale, parse_note(args.tonic), args.reference)
    if args.json:
        print_json({"scales": [in_full_object(tuned)]})
    else:
        print(in_full(tuned))
    return OK


def in_full_object(tuned: Tuned) -> dict[str, object]:
    """A scale on its tonic, for programs."""
    degrees = [
        {
            "number": each.number,
            "note": each.note or None,
            "cents": each.cents,
            "ratio": each.ratio or None,
            "frequency_hz": each.frequency,
            "tuner": each.reading,
        }
        for each in _degrees(tuned)
    ]
    tonic = {"tonic": tuned.tonic.name, "reference_hz": tuned.reference}
    return {**_object(tuned.scale), **tonic, "degrees": degrees}


def in_full(tuned: Tuned) -> str:
    """A scale on its tonic, to read: its words, every degree, its source."""
    scale, degrees = tuned.scale, _degrees(tuned)
    steps = ["", *(f"{high.cents - low.cents:.1f}" for low, high in pairwise(degrees))]
    rows = [
        (
            str(each.number), each.note, f"{each.cents:.1f}", step, each.ratio,
            f"{each.frequency:.2f}", each.reading,
        )
        for each, step in zip(degrees, steps, strict=True)
    ]  # fmt: skip
    count = len(scale.cents)
    repeats = "" if scale.period == OCTAVE else f", repeating after {scale.period:.1f} cents"
    return blocks(
        "\n".join(
            (
                f"{scale.name}, also {', '.join(scale.also)}" if scale.also else scale.name,
                *([paragraph(scale.words)] if scale.words else []),
                paragraph(f"{count} notes on {tuned.tonic.name}{repeats}; A4 = {tuned.reference:g} Hz."),
            )
        ),
        table(("", "note", "cents", "step", "ratio", "Hz", "tuner"), rows, "rlrrrrl"),
        ""
        if scale.places
        else paragraph(
            "They are too many to have a written note each: write their cents in a design, as 929 c."
        ),
        paragraph(QUARTERS) if any(sign in row[1] for sign in "~`" for row in rows) else "",
        paragraph(f"Source: {scale.source or 'none given'}."),
    )


def _degrees(tuned: Tuned) -> tuple[_Degree, ...]:
    """Every degree from the tonic up to where the scale repeats."""
    scale = tuned.scale
    low, high = AUDIBLE
    start = note_frequency(tuned.tonic, tuned.reference)
    if not (low <= start and raised(start, scale.period) <= high):
        where = f"{tuned.tonic.name} with A4 at {tuned.reference:g} Hz"
        raise QuantityError(where, "cannot be heard", "choose a tonic such as A4 or D5, a reference near 440")
    every = (*scale.cents, scale.period)
    written = [tuned.written(scale.place_of(index)) for index in range(len(every)) if scale.places]
    names = names_like([*written, tuned.tonic])
    found = []
    for index, cents in enumerate(every):
        frequency = raised(start, cents)
        note = written[index].name if written else ""
        reading = format_reading(frequency, tuned.reference, names)
        found.append(_Degree(index + 1, note, cents, _ratio(cents), frequency, reading))
    return tuple(found)


def _ratio(cents: float) -> str:
    """The ratio of a size, or a ratio of small numbers that it is nearer to than anybody hears; else ''."""
    near = Fraction(2.0 ** (cents / OCTAVE)).limit_denominator(SMALL)
    small = near.numerator <= 2 * SMALL and abs(OCTAVE * math.log2(near) - cents) <= NEAR
    return ratio_text(cents) or (f"{near.numerator}/{near.denominator}" if small else "")


def _object(scale: Scale) -> dict[str, object]:
    return {
        "name": scale.name,
        "also": list(scale.also),
        "kind": scale.kind,
        "cents": list(scale.cents),
        "period_cents": scale.period,
        "words": scale.words,
        "source": scale.source,
    }
