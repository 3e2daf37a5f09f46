"""hands: what a hand cannot cover on a flute, and what would help, with its cents.

Apart from ``solve``, which lays out for the hand in the design: here any hand can be tried, and each remedy
is told before anything moves. Without a design the named hands are listed.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from math import isfinite

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import kept, output_path, read_design, write_design
from scaledesign.errors import EditError, QuantityError
from scaledesign.model.document import Design, Hand, Units
from scaledesign.model.hands import HANDS, checked, hand, measured, whose_hand
from scaledesign.model.units import format_length, parse_length
from scaledesign.paper.hole_list import caution_lines
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import paragraph, table
from scaledesign.workshop.reach import Bridge, bridges, for_hand, hand_words, misfit_words
from scaledesign.workshop.reach_remedies import TENTH, Remedied, Remedy, remedies
from scaledesign.workshop.remedy_words import DIFFERENCES, drilled_words, effect, room_words

FEW = 3
"""Remedies of one misfit that are shown unless all are wanted."""
MEASURING = (
    "Your own: --spread, --gap and --pad; or simply --span (index to ring finger, spread in comfort) and "
    "--pad (breadth of a finger tip), the rest to the span as in a medium hand. Spreads and gaps are common "
    "practice, no source: lay the hand on the tube."
)
COLUMNS = {
    "apart": "centres along the tube",
    "around": "as a strip of paper around it measures",
    "straight": "as the fingers bridge it",
    "reach": "what the hand covers in comfort",
    "tips": "nearer than that two finger tips touch",
}
"""What stands in a column of the pairs; one that is empty is neither shown nor explained."""


def hands(args: argparse.Namespace) -> int:
    """List the hands, or hold a design against one."""
    if not (args.file or args.example):
        return _list(args)
    design = read_design(args)
    units: Units = args.units or design.units
    own = _hand(args, units)
    output = output_path(args)
    design = design if own is None else for_hand(design, own)
    found = remedies(design)
    numbered = _numbered(found)
    if args.take is not None and not 1 <= args.take <= len(numbered):
        there = f"there are {len(numbered)}" if numbered else "nothing needs one"
        raise EditError(f"there is no remedy {args.take}", there)
    taken = design if args.take is None else numbered[args.take - 1].design
    if output:
        write_design(args, taken, output)
    if args.json:
        print_json(_object(design, found, numbered))
    else:
        print(_text(args, design, found, units))
        if output:
            print(f"\n{kept(args, output)}")
    return OK


def _hand(args: argparse.Namespace, units: Units) -> str | Hand | None:
    """The hand that is asked for; None: the design's own.

    Raises
    ------
    QuantityError, UnknownNameError, EditError
    """
    if args.hand:
        hand(args.hand)
        name: str = args.hand
        return name
    if args.span:
        if not args.pad:
            raise EditError("--span alone is no hand", "add --pad, the breadth of a finger tip")
        return measured(parse_length(args.span, units), parse_length(args.pad, units))
    if args.spread:
        sizes = [parse_length(part.strip(), units) for part in args.spread.split(",")]
        if len(sizes) != 3:
            raise QuantityError(args.spread, "a hand has three spreads", 'write three, such as "28,26,28"')
        if not (args.gap and args.pad):
            raise EditError(
                "--spread alone is no hand", "add --gap, between the hands, and --pad, a finger tip"
            )
        spread = (sizes[0], sizes[1], sizes[2])
        return checked(Hand(spread, parse_length(args.gap, units), parse_length(args.pad, units)))
    if args.gap or args.pad:
        raise EditError("--gap and --pad alone are no hand", "add --spread or --span")
    return None


def _list(args: argparse.Namespace) -> int:
    units: Units = args.units or "mm"
    if args.json:
        print_json({"hands": [{"name": name, **_hand_object(own)} for name, own in HANDS.items()]})
        return OK
    rows = [
        (
            name,
            *(format_length(each, units, unit=False) for each in own.spread),
            format_length(own.gap, units, unit=False),
            format_length(own.pad, units, unit=False),
        )
        for name, own in HANDS.items()
    ]
    header = ("hand", "index-middle", "middle-ring", "ring-little", "between hands", "finger tip")
    print(blocks(table(header, rows, "lrrrrr"), paragraph(f"In {units}. {MEASURING}")))
    return OK


def _numbered(found: Remedied) -> tuple[Remedy, ...]:
    return tuple(one for group in (*found.single, found.whole) for one in group)


def _text(args: argparse.Namespace, design: Design, found: Remedied, units: Units) -> str:
    owner = whose_hand(design.shop.hand).capitalize()
    pairs = bridges(design)
    first = [misfit_words(design, one, units) for one in found.misfits]
    if not first:
        first = ["Everything lies under this hand."]
    parts = [
        title(design),
        "\n".join(paragraph(line) for line in first),
        paragraph(f"{owner}: {hand_words(design.shop.hand, units)}."),
        _pairs(design, pairs, units),
        paragraph(_legend(design, pairs)) if pairs else "",
        paragraph(drilled_words(found)),
    ]
    number = 1
    named = [_heading(design, one.holes, one.what) for one in found.misfits]
    hidden = False
    for heading, group in zip((*named, "For the whole flute"), (*found.single, found.whole), strict=True):
        shown = [one for one in group if one.met and not one.breaks] or list(group[:1])
        shown = list(group) if args.all else shown[:FEW]
        hidden = hidden or len(shown) < len(group)
        lines = [
            _remedy(number + n, found, one)
            for n, one in enumerate(group)
            if any(one is each for each in shown)
        ]
        number += len(group)
        if lines:
            parts.append(f"{heading}:\n" + "\n".join(lines))
        elif found.misfits:
            parts.append(f"{heading}: nothing that can be moved.")
    if found.misfits:
        more = " --all shows every remedy." if hidden else ""
        parts += [
            paragraph(
                "Each remedy was played by the model; a hole that is moved has its width sought anew, so "
                "that its own note stays. What is easier comes first (common practice, no source). To put "
                f"one in, add --take and its number, and -o FILE or --in-place.{more} {DIFFERENCES}"
            ),
            caution_lines(design.instrument.material),
        ]
    return blocks(*parts)


def _heading(design: Design, holes: Sequence[int], what: str) -> str:
    fingers = " and ".join(design.holes[i].finger for i in sorted(holes, key=lambda i: design.holes[i].at))
    return f"{fingers}, {what}"


def _remedy(number: int, found: Remedied, one: Remedy) -> str:
    return f"{number:>2}  {paragraph(f'{one.words} {effect(found, one)}', indent=' ' * 4)[4:]}"


def _pairs(design: Design, pairs: Sequence[Bridge], units: Units) -> str:
    def length(metres: float) -> str:
        return format_length(metres, units, unit=False)

    rows = []
    for one in pairs:
        i, j = sorted(one.holes, key=lambda n: design.holes[n].at)
        turned = _turned(one)
        rows.append(
            (
                f"{design.holes[i].finger} {design.holes[j].finger}",
                f"{i + 1} {j + 1}",
                length(one.along),
                length(one.around) if turned else "",
                length(one.straight) if turned else "",
                length(one.most),
                length(one.least) if one.least else "",
                room_words(one, units),
            )
        )
    header = ("fingers", "holes", "apart", "around", "straight", "reach", "tips", "")
    return table(header, rows, "llrrrrrl") if rows else ""


def _legend(design: Design, pairs: Sequence[Bridge]) -> str:
    """What the columns are that something stands in."""
    turned = any(_turned(one) for one in pairs)
    empty = {"around": not turned, "straight": not turned, "tips": not any(one.least for one in pairs)}
    told = [f"{name}: {what}" for name, what in COLUMNS.items() if not empty.get(name)]
    return f"{'; '.join(told)}. Reach is common practice, no source."


def _turned(one: Bridge) -> bool:
    """Whether the two holes lie apart around the tube."""
    return one.around > 1e-4 and one.kind != "thumb"


def _hand_object(own: Hand) -> dict[str, object]:
    return {"spread_m": list(own.spread), "gap_m": own.gap, "pad_m": own.pad}


def _object(design: Design, found: Remedied, numbered: Sequence[Remedy]) -> dict[str, object]:
    which = design.shop.hand
    named = which if isinstance(which, str) else None
    numbers = {id(one): n for n, one in enumerate(numbered, 1)}
    return {
        "name": design.name,
        "hand": {"name": named, **_hand_object(hand(which))},
        "pairs": [
            {
                "holes": [i + 1 for i in one.holes],
                "fingers": [design.holes[i].finger for i in one.holes],
                "along_m": one.along,
                "around_m": one.around,
                "straight_m": one.straight,
                "least_m": one.least,
                "most_m": one.most,
                "verdict": one.verdict,
            }
            for one in bridges(design)
        ],
        "misfits": [
            {
                "kind": one.kind,
                "holes": [i + 1 for i in one.holes],
                "what": one.what,
                "by_m": one.by,
                "remedies": [_remedy_object(numbers[id(each)], each) for each in group],
            }
            for one, group in zip(found.misfits, found.single, strict=True)
        ],
        "whole": [_remedy_object(numbers[id(each)], each) for each in found.whole],
        "drilled_or_locked": [i + 1 for i in found.too_late],
    }


def _remedy_object(number: int, one: Remedy) -> dict[str, object]:
    return {
        "number": number,
        "kind": one.kind,
        "words": one.words,
        "met": one.met,
        "breaks": [{"kind": kind, "holes": [i + 1 for i in holes]} for kind, holes in one.breaks],
        "holes": [
            {
                "hole": i + 1,
                "at_m": one.design.holes[i].at,
                "diameter_m": one.design.holes[i].diameter,
                "across_m": one.design.holes[i].across,
                "side_degrees": one.design.holes[i].side,
                "slant_degrees": one.design.holes[i].slant,
            }
            for i in one.holes
        ],
        "kept_row": None if one.row is None else one.row + 1,
        "worst_row": None if one.worst_row is None else one.worst_row + 1,
        "worst_cents": one.worst if isfinite(one.worst) else None,
        "cents": [float(value) if isfinite(value) else None for value in one.cents],
        "changed_cents": [float(value) if isfinite(value) else None for value in one.changed],
        "octave_of": one.octave_note or None,
        "octave_cents": None
        if one.octave is None
        else {"before": one.octave[0], "after": one.octave[1] if isfinite(one.octave[1]) else None},
        "cross_fingered_shift_cents": one.crossed,
        "touchy_cents_per_m": None
        if one.touchy is None
        else [value / TENTH if isfinite(value) else None for value in one.touchy],
    }
