"""compare: variants of a flute side by side, or one flute under several tunings; and taking one over.

What differs is said first, in words; then what each is worth. Several files are compared as they stand; with
``--tuning`` the one file is solved for each.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import datetime
from math import isfinite
from pathlib import Path

import scaledesign
from scaledesign.cli.as_json import json_text
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import output_path, put_design
from scaledesign.errors import EditError
from scaledesign.files.document_file import dumps
from scaledesign.model.document import Design, Units
from scaledesign.model.spelling import tuner_note
from scaledesign.model.units import format_cents, format_length
from scaledesign.paper.hole_list import length, width_words
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import GAP, WIDTH, paragraph, table
from scaledesign.workshop import ask
from scaledesign.workshop.asked import asked
from scaledesign.workshop.beside import Tried, beside
from scaledesign.workshop.variants import TENTH, Variant, Worth, adopted, variants

NAME = 14
"""Letters of a name in a table."""
LEGEND = {
    "worst": "the note of the scale that is furthest off, in cents",
    "all": "cents off, all its notes together",
    "±": "of its least certain note",
    "touchy": "cents that its touchiest note shifts when a hole is 0.1 mm out, and at which",
    "octaves": "notes whose octave speaks",
    "off": "cents that the worst of these octaves is off, and of which low note",
    "spare": "{units} that your fingers could still spread where they spread most",
}
"""What the columns mean; one that is not shown is not explained."""
LENGTHS: dict[Units, str] = {"mm": "millimetres", "in": "inches"}


def compare(args: argparse.Namespace) -> int:
    """Print what differs and what each is worth; write the adopted one."""
    output = _output(args)
    designs = [scaledesign.load(Path(name)) for name in args.files]
    if args.tuning and len(designs) > 1:
        raise EditError("--tuning is for one FILE", "leave the other files out, or the tunings")
    units = args.units or designs[0].units
    if args.tuning or len(designs) == 1:
        wishes = [asked(text, designs[0].tuning, ask.offers()) for text in args.tuning]
        tried = beside(designs[0], wishes)
    else:
        tried = tuple(
            Tried(one.name, one) for one in variants(list(zip(args.files, designs, strict=True)), units)
        )
    written = _adopt(args, tried, output) if output else ()
    if args.json:
        print(
            json_text(
                {"compared": [_object(one) for one in tried], "written": args.output, "remarks": written}
            )
        )
        return OK
    there = [one.variant for one in tried if one.variant]
    print(
        blocks(
            title(designs[0]),
            "\n".join(_said(n, one, bool(args.tuning)) for n, one in enumerate(tried, 1)),
            _worths(tried, units),
            paragraph(_legend(there, units)),
            _places(tried, units),
            "\n".join(paragraph(said) for said in written),
        )
    )
    return OK


def _output(args: argparse.Namespace) -> Path | None:
    """Where the adopted one goes; asked before anything is worked out."""
    if (args.adopt is None) != (args.output is None):
        raise EditError("--adopt and -o go together", "write --adopt 2 -o OUT")
    count = len(args.tuning) + 1 if args.tuning else len(args.files)
    if args.adopt is not None and not 1 <= args.adopt <= count:
        if count == 1:
            remedy = "name a second FILE, or a --tuning"
            raise EditError("There is nothing but the one FILE to adopt", remedy)
        raise EditError(f"There is no number {args.adopt} to adopt", f"they are 1 to {count}")
    return output_path(args)


def _adopt(args: argparse.Namespace, tried: Sequence[Tried], output: Path) -> tuple[str, ...]:
    """Write the one that is adopted, and say what that means for the log."""
    chosen, first = tried[args.adopt - 1], tried[0]
    if chosen.variant is None or first.variant is None:
        raise EditError(f"Number {args.adopt} cannot be adopted: {chosen.problem}", "take another")
    said = [f"{args.adopt}, {chosen.words}, is written to {output}."]
    design = chosen.variant.design
    if not args.tuning and args.adopt > 1:
        now = datetime.now().replace(microsecond=0)
        note = f"Adopted {Path(chosen.words).name} in place of {Path(first.words).name}."
        taken = adopted(first.variant.design, design, note, now)
        design = taken.design
        said[0] += f" The bench log of {first.words} goes on in it: it tells of the wood, not of the plan."
        said += taken.remarks
    put_design(dumps(design), output)
    return tuple(said)


def _said(number: int, one: Tried, solved: bool) -> str:
    """What one of them is called and how it differs from the first."""
    lead = f"{number}  {one.words}"
    if one.variant is None:
        return _hung(f"{lead}: not tried. {one.problem}")
    if number == 1:
        return _hung(lead)
    differs = one.variant.differs
    same = "nothing moves" if solved else "no difference"
    text = f"{lead}: {'; '.join(differs) or same}."
    if one.stayed:
        rows = ", ".join(str(row + 1) for row in one.stayed)
        text += f" Without a note in it: row {rows}."
    return "\n".join(_hung(said) for said in (text, *(f"   {said}" for said in one.binding)))


def _hung(text: str) -> str:
    """A paragraph whose later lines stand in from the number."""
    first, *rest = paragraph(text).splitlines() if not text.startswith("   ") else [text]
    if not rest and len(first) <= WIDTH:
        return first
    body = paragraph(text.strip()[3:] if text[0].isdigit() else text.strip(), "   ")
    return text[:3] + body[3:]


def _worths(tried: Sequence[Tried], units: Units) -> str:
    rows = []
    for number, one in enumerate(tried, 1):
        if one.variant is None:
            continue
        worth, design = one.variant.worth, one.variant.design
        name = one.words if len(one.words) <= NAME else one.words[: NAME - 1] + "…"
        hole = "" if worth.touchy_hole is None else f" at {worth.touchy_hole + 1}"
        rows.append(
            (
                str(number),
                name,
                format_cents(worth.worst) if isfinite(worth.worst) else "",
                "" if worth.worst_row is None else design.rows[worth.worst_row].note,
                f"{worth.rms:.0f}" if isfinite(worth.rms) else "",
                f"{worth.doubt:.0f}" if isfinite(worth.doubt) else "",
                f"{worth.touchy:.1f}{hole}" if isfinite(worth.touchy) else "",
                f"{worth.octaves} of {worth.of_octaves}" if worth.of_octaves else "",
                format_cents(worth.stretch) if isfinite(worth.stretch) else "",
                worth.stretch_note,
                format_length(worth.spare, units, unit=False) if isfinite(worth.spare) else "",
                _range(design, worth),
            )
        )
    header = ("", "", "worst", "", "all", "±", "touchy", "octaves", "off", "", "spare", "range")
    broken = [
        paragraph(f"{n}: {said}")
        for n, one in enumerate(tried, 1)
        for said in (one.variant.worth.broken if one.variant else ())
    ]
    known = any(any(row[2:]) for row in rows)
    return blocks(table(header, rows, "rlrlrrlrrlrl") if known else "", "\n".join(broken))


def _range(design: Design, worth: Worth) -> str:
    if not isfinite(worth.low):
        return ""
    low, high = (tuner_note(design, hertz)[0].name for hertz in (worth.low, worth.high))
    return f"{low}-{high}"


def _legend(shown: Sequence[Variant], units: Units) -> str:
    there = {
        "worst": any(isfinite(one.worth.worst) for one in shown),
        "all": any(isfinite(one.worth.rms) for one in shown),
        "±": any(isfinite(one.worth.doubt) for one in shown),
        "touchy": any(isfinite(one.worth.touchy) for one in shown),
        "octaves": any(one.worth.of_octaves for one in shown),
        "off": any(isfinite(one.worth.stretch) for one in shown),
        "spare": any(isfinite(one.worth.spare) for one in shown),
    }
    told = " ".join(f"{name}: {words}." for name, words in LEGEND.items() if there[name])
    return told.format(units=LENGTHS[units])


def _places(tried: Sequence[Tried], units: Units) -> str:
    """Holes and foot of all that have as many holes as the first, as many beside each other as fit."""
    shown = [(n, one.variant.design) for n, one in enumerate(tried, 1) if one.variant]
    count = len(shown[0][1].holes)
    shown = [(n, design) for n, design in shown if len(design.holes) == count]
    if not count:
        return ""
    columns = []
    for n, design in shown:
        cells = [f"{length(hole.at, units)} x {width_words(hole, units)}" for hole in design.holes]
        columns.append((str(n), *cells, length(design.tube.length, units)))
    label = ("", *(f"hole {i + 1}" for i in range(count)), "foot")
    texts = []
    while columns:
        taken, room = [columns.pop(0)], WIDTH - len("hole 10")
        room -= max(map(len, taken[0])) + len(GAP)
        while columns and (wide := max(map(len, columns[0])) + len(GAP)) <= room:
            taken.append(columns.pop(0))
            room -= wide
        lines = list(zip(label, *taken, strict=True))
        texts.append(table(lines[0], lines[1:], "l" * (1 + len(taken))))
    return blocks(paragraph(f"Place x width of each hole, {LENGTHS[units]} from the sounding edge:"), *texts)


def _object(one: Tried) -> dict[str, object]:
    found: dict[str, object] = {"name": one.words, "problem": one.problem or None}
    if one.variant is None:
        return found
    design, worth = one.variant.design, one.variant.worth
    return {
        **found,
        "differences": list(one.variant.differs),
        "rows_without_a_note": [row + 1 for row in one.stayed],
        "binding": list(one.binding),
        "worst_cents": _number(worth.worst),
        "worst_row": None if worth.worst_row is None else worth.worst_row + 1,
        "rms_cents": _number(worth.rms),
        "uncertainty_cents": _number(worth.doubt),
        "touchiest_cents_per_m": _number(worth.touchy / TENTH),
        "touchiest_hole": None if worth.touchy_hole is None else worth.touchy_hole + 1,
        "low_hz": _number(worth.low),
        "high_hz": _number(worth.high),
        "octaves_that_speak": worth.octaves,
        "octaves": worth.of_octaves,
        "octave_off_cents": _number(worth.stretch),
        "octave_off_note": worth.stretch_note or None,
        "spare_reach_m": _number(worth.spare),
        "broken_rules": list(worth.broken),
        "length_m": design.tube.length,
        "holes": [{"at_m": hole.at, "diameter_m": hole.diameter} for hole in design.holes],
    }


def _number(value: float) -> float | None:
    """A number, or nothing where there is none."""
    return float(value) if isfinite(value) else None
