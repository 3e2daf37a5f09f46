"""tube: what a tube can become, the keys ranked; one key of it in full; or the bore to look for.

Apart from the reckoning (``workshop/tube_advice.py``). A tube alone gives the list, a tube and a key that one
in full, a key alone the bores.
"""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Sequence

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK, USAGE
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.registry import catalogue
from scaledesign.model.document import Units
from scaledesign.model.saying import begun
from scaledesign.model.stretches import parse_stretches
from scaledesign.model.tube_words import tube_length, tube_size, tube_words, unit_system
from scaledesign.model.units import format_length
from scaledesign.paper.report import blocks
from scaledesign.paper.text import bullets, paragraph, table
from scaledesign.workshop import tube_advice, usual
from scaledesign.workshop.start import Wanted
from scaledesign.workshop.tube_advice import Becoming, Bores, bore_words
from scaledesign.workshop.tube_advice_verdict import GRADES, Choice

OPTIONS = ("mouth", "scale", "system", "hand", "bits", "avoid")
"""What is said of a wish besides tube and key, as ``scaledesign new`` takes it too."""
BLOWN = {
    "duct": "blown through a duct", "notch": "blown over a notch", "rim": "blown over its rim",
    "transverse": "blown sideways", "open": "open at the mouth",
}  # fmt: skip
FEW = 12
"""Keys that are shown, unless all are asked for."""
SENTENCES = {
    "good": "{key} suits this tube.",
    "will do": "{key} will do in this tube.",
    "poor": "{key} is poor in this tube.",
    "no": "{key} makes no flute of this tube.",
}


def show(args: argparse.Namespace) -> int:
    """Print what was asked for."""
    if args.tube is None and args.key is None:
        print("scaledesign tube: name a TUBE, or a --key; see scaledesign tube --help.", file=sys.stderr)
        return USAGE
    if args.tube is not None and (args.length is not None or args.wall is not None):
        part = "length" if args.length is not None else "wall"
        print(
            f'scaledesign tube: the {part} belongs into TUBE, "5/8 in x 1/8 in x 20 in"; leave --{part} out.',
            file=sys.stderr,
        )
        return USAGE
    want = _wanted(args, catalogue())
    if args.tube is None:
        return _bores(args, tube_advice.bores(want))
    if args.key is not None:
        return _one(args, tube_advice.in_key(want))
    return _keys(args, tube_advice.becoming(want))


def _wanted(args: argparse.Namespace, found: Catalogue) -> Wanted:
    """The wish that the options give, with the usual answers."""
    units: Units | None = args.units
    if args.tube is not None:
        size = tube_size(tube_words(args.tube, units), units)
        units, bore, wall, length = size
    else:
        said = next((unit_system(text) for text in (args.length, args.wall) if text), None)
        units = units or said or "mm"
        bore, wall = 0.0, tube_advice.USUAL_WALL[units]
        wall = wall if args.wall is None else tube_length("wall", args.wall, units)
        length = None if args.length is None else tube_length("length", args.length, units)
    scale = usual.scale_named(found, args.scale or usual.usual_scale(found, args.system or ""))
    system = usual.system_named(found, args.system or usual.usual_system(found, scale), scale)
    return Wanted(
        bore=bore,
        wall=wall,
        key=args.key or "",
        scale=scale.name,
        system=system,
        mouth=usual.mouth_named(args.mouth or usual.USUAL_MOUTH),
        length=length,
        hand=usual.hand_named(args.hand or usual.USUAL_HAND),
        bits=usual.bits_named(args.bits or usual.USUAL_BITS[units]),
        units=units,
        avoid=parse_stretches(args.avoid or "", units),
    )


# The keys of a tube


def _keys(args: argparse.Namespace, found: Becoming) -> int:
    if args.json:
        print_json(_becoming_object(args, found))
        return OK
    best, want = found.best, found.wanted
    nothing = f"No key makes a flute of this tube: {found.choices[0].reason}."
    first = nothing if best is None else f"Best in {best.wanted.key}."
    spare = format_length(found.spare, want.units)
    then = (
        paragraph(
            f"Leave the tube {spare} longer than that until you have blown it with no holes: the reading "
            "says where the foot goes, and what is cut too short stays sharp."
        ),
        _begin(args, best) if best else "",
    )
    print(
        blocks(
            paragraph(_wish_words(want, args.tube)),
            "\n".join(paragraph(said) for said in (first, *found.remarks)),
            _key_table(found, every=args.all),
            paragraph(_left_out(args, found)),
            *(then if best else ()),
        )
    )
    return OK


def _wish_words(want: Wanted, tube: str | None) -> str:
    """What was reckoned with."""
    words = f"{tube}, {BLOWN[want.mouth]}" if tube else BLOWN[want.mouth].capitalize()
    return f"{words}; {want.system}, {want.scale}, {want.hand} hand."


def _shown(choices: Sequence[Choice], every: bool) -> list[Choice]:
    """What the list shows: those that make a flute, as far as there is room."""
    if every:
        return list(choices)
    return [each for each in choices if each.verdict != GRADES[-1]][:FEW]


def _key_table(found: Becoming, every: bool) -> str:
    units = found.wanted.units
    rows = [
        (
            each.wanted.key,
            format_length(each.length, units),
            f"{each.bores:.0f}",
            each.octave or "",
            each.verdict,
            each.because,
        )
        for each in _shown(found.choices, every)
    ]
    return _fitted(("key", "cut to", "bores", "octave", "verdict", "because"), rows, "lrrlll")


def _fitted(header: tuple[str, ...], rows: Sequence[tuple[str, ...]], align: str) -> str:
    """A table whose last column is words: its first reasons are kept, as many as stand on a line."""
    widths = [max(len(row[i]) for row in (header, *rows)) for i in range(len(header) - 1)]
    room = 78 - sum(widths) - 2 * len(widths)

    def short(text: str) -> str:
        parts = text.split("; ")
        while len(parts) > 1 and len("; ".join(parts)) > room:
            parts.pop()
        return "; ".join(parts)

    return table(header, [(*row[:-1], short(row[-1])) for row in rows], align) if rows else ""


def _left_out(args: argparse.Namespace, found: Becoming) -> str:
    """The keys that are not in the list, in words; and the next deeper one."""
    said = []
    units = found.wanted.units
    if found.deeper:
        key, length = found.deeper
        said.append(f"The next deeper key, {key}, wants a tube of {format_length(length, units)}.")
    shown = {each.wanted.key for each in _shown(found.choices, args.all)}
    left = [each for each in found.choices if each.wanted.key not in shown]
    more = [each.wanted.key for each in left if each.verdict != GRADES[-1]]
    none = len(left) - len(more)
    if more:
        said.append(f"Less good: {', '.join(more)}.")
    if none:
        other = "other " if found.best else ""
        which = f"one {other}key makes" if none == 1 else f"{none} {other}keys make"
        said.append(f"{begun(which)} no flute of it; --all says why.")
    return " ".join(said)


def _begin(args: argparse.Namespace, one: Choice) -> str:
    """The command that begins a flute, and the one that says more of it."""
    key = one.wanted.key
    more = "" if args.key else f"\nLaid out whole, to your bits, it or any other key:\n    {_more(args, key)}"
    return f"To begin it in {key}:\n    {command(args, one)}{more}"


def command(args: argparse.Namespace, one: Choice) -> str:
    """The exact command that begins the flute of a choice."""
    tube = args.tube or _tube_text(one.wanted)
    words = ["scaledesign", "new", "--tube", tube, "--key", one.wanted.key, *_options(args)]
    return shlex.join([*words, "-o", "flute.toml"])


def _more(args: argparse.Namespace, key: str) -> str:
    return shlex.join(["scaledesign", "tube", args.tube, "--key", key, *_options(args)])


def _options(args: argparse.Namespace) -> list[str]:
    given = [(f"--{name}", getattr(args, name)) for name in OPTIONS]
    words = [word for name, value in given if value for word in (name, value)]
    return [*words, *(["--units", args.units] if args.units else [])]


def _tube_text(want: Wanted) -> str:
    """Bore by wall by length as ``scaledesign new`` reads it."""
    sizes = [want.bore, want.wall, *([want.length] if want.length is not None else [])]
    return " x ".join(format_length(size, want.units, "exact") for size in sizes)


# One key


def _one(args: argparse.Namespace, one: Choice) -> int:
    want = one.wanted
    if args.json:
        print_json({"choice": _choice_object(args, one), "remarks": list(tube_advice.told(one)[0])})
        return OK
    units = want.units
    cut, leave = (format_length(metres, units) for metres in (one.length, one.leave))
    lengths = f"Cut to {cut}, sounding edge to foot; leave {leave} until you have blown the bare tube."
    holes = _holes_text(one) if one.verdict != GRADES[-1] else ""
    print(
        blocks(
            paragraph(_wish_words(want, args.tube)),
            paragraph(SENTENCES[one.verdict].format(key=want.key)),
            paragraph(lengths),
            bullets(said for part in tube_advice.told(one) for said in part),
            holes,
            _begin(args, one) if one.verdict != GRADES[-1] else "",
        )
    )
    return OK


def _holes_text(one: Choice) -> str:
    if one.laid is None:
        return ""
    units = one.wanted.units
    rows = [
        (str(i), format_length(hole.at, units), format_length(hole.diameter, units))
        for i, hole in enumerate(one.laid.design.holes, 1)
    ]
    about = "" if one.laid.exact else " About so; the flute that is begun has them to the bit."
    shown = table(("hole", "from the edge", "wide"), rows, "lrr")
    return f"{shown}\n{paragraph(about.strip())}" if about else shown


# The bore to look for


def _bores(args: argparse.Namespace, found: Bores) -> int:
    if args.json:
        print_json(_bores_object(args, found))
        return OK
    units = found.wanted.units
    shown = _shown(found.choices, args.all)
    rows = [
        (
            bore_words(each.wanted.bore, units),
            format_length(each.length, units),
            f"{each.bores:.0f}",
            each.octave or "",
            each.verdict,
            each.because,
        )
        for each in shown
    ]
    wall = format_length(found.wanted.wall, units)
    usual_wall = "" if args.wall else f" Reckoned with a wall of {wall}."
    best = found.best
    print(
        blocks(
            paragraph(f"{_wish_words(found.wanted, None)}{usual_wall}"),
            paragraph(found.said),
            _fitted(("bore", "cut to", "bores", "octave", "verdict", "because"), rows, "lrrlll"),
            f"To begin it in the best:\n    {command(args, best)}" if best else "",
        )
    )
    return OK


# For programs


def _becoming_object(args: argparse.Namespace, found: Becoming) -> dict[str, object]:
    deeper = found.deeper and {"key": found.deeper[0], "length_m": found.deeper[1]}
    return {
        "tube": _tube_object(found.wanted),
        "best": found.best.wanted.key if found.best else None,
        "leave_longer_m": found.spare,
        "deepest": found.deepest.wanted.key,
        "next_deeper": deeper,
        "remarks": list(found.remarks),
        "choices": [_choice_object(args, each) for each in found.choices],
    }


def _bores_object(args: argparse.Namespace, found: Bores) -> dict[str, object]:
    low, high = found.good or (None, None)
    return {
        "key": found.choices[0].wanted.key,
        "narrowest_bore_m": low,
        "widest_bore_m": high,
        "remarks": [found.said],
        "choices": [_choice_object(args, each) for each in found.choices],
    }


def _tube_object(want: Wanted) -> dict[str, object]:
    return {
        "bore_m": want.bore,
        "wall_m": want.wall,
        "length_m": want.length,
        "mouth": want.mouth,
        "avoid_m": [list(stretch) for stretch in want.avoid],
    }


def _choice_object(args: argparse.Namespace, one: Choice) -> dict[str, object]:
    laid = one.laid
    holes = [] if laid is None else laid.design.holes
    return {
        "key": one.wanted.key,
        "bore_m": one.wanted.bore,
        "verdict": one.verdict,
        "reason": one.reason,
        "length_m": one.length,
        "leave_m": one.leave,
        "bores_long": one.bores,
        "second_octave": one.octave,
        "worst_cents": None if laid is None else float(laid.cents[laid.worst]),
        "rounded_to_bits": laid is not None and laid.exact,
        "holes": [{"at_m": hole.at, "diameter_m": hole.diameter} for hole in holes],
        "aspects": [{"name": each.name, "verdict": each.grade, "words": each.words} for each in one.aspects],
        "command": command(args, one),
    }
