"""cord: the layout without a tape, and rules of thumb judged by the model.

Apart from ``template`` and ``holes``, which want a printer or a ruler. Each way of measuring is told with
what its rounding costs; a rule of thumb with what it plays.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from math import isfinite

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import kept, output_path, read_design, write_design
from scaledesign.errors import EditError, UnknownNameError
from scaledesign.model.document import Design, Units
from scaledesign.model.saying import begun
from scaledesign.model.units import format_cents, format_length, parse_length
from scaledesign.paper.hole_list import caution_lines
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import paragraph, table
from scaledesign.physics.arrays import Floats
from scaledesign.workshop.by_eye import (
    NAMES,
    WAYS,
    Layout,
    Rounded,
    Way,
    how_to,
    layouts,
    serves_best,
)
from scaledesign.workshop.remedy_words import DIFFERENCES
from scaledesign.workshop.rules_of_thumb import Judged, applies, judged

ASKED: dict[str | None, tuple[Way, ...]] = {
    None: WAYS, "cord": ("cord", "two folds"), "fingers": ("fingers",), "bore": ("bore",), "rules": (),
}  # fmt: skip
LEGEND = (
    "moves: toward the foot (+) or the mouth (-) from where the design has it; costs: the note that this "
    "hole's move alone shifts most, in cents. These measures are common practice, no source; every cost was "
    "played by the model."
)
RULES = (
    "Rules of thumb (common practice, no source; every hole half as wide as the bore, to the nearest of your "
    "bits), laid out on this tube and played by the model:"
)


def cord(args: argparse.Namespace) -> int:
    """Print the layouts and the judgement; write one where it is asked for."""
    design = read_design(args)
    units: Units = args.units or design.units
    finger = None if args.finger is None else parse_length(args.finger, units)
    if not design.holes:
        raise EditError("this flute has no holes", "lay it out first: scaledesign new")
    output = output_path(args)
    _check_written(args, output is not None)
    found = layouts(design, ASKED[args.way], finger)
    wanted = args.way == "rules" or (args.way is None and applies(design))
    rules = judged(design, finger) if wanted else ()
    taken = _taken(args, found, rules) if output else None
    if output and taken is not None:
        write_design(args, taken, output)
    if args.json:
        print_json(_object(design, found, rules))
        return OK
    parts = [title(design)]
    if len(found) > 1:
        parts.append(paragraph(serves_best(found)))
    for one in found:
        parts += [_layout(design, one, units)]
    if found:
        parts.append(paragraph(f"{LEGEND} {DIFFERENCES}"))
    if rules:
        parts += [paragraph(RULES), _rules(design, rules), _words(rules)]
    if found:
        parts.append(caution_lines(design.instrument.material))
    if output:
        parts.append(kept(args, output))
    elif args.way not in (None, "rules"):
        parts.append("To keep it, add -o FILE: places locked, widths free to be solved again.")
    print(blocks(*parts))
    return OK


def _check_written(args: argparse.Namespace, written: bool) -> None:
    if args.rule and args.way != "rules":
        raise EditError("--rule names a rule of thumb", "add --with rules")
    if written and args.way is None:
        raise EditError(
            "there are several layouts to write", "say which: --with cord, fingers, bore or rules"
        )
    if written and args.way == "rules" and not args.rule:
        raise EditError("there are several rules", 'say which: --rule "evenly spaced"')


def _taken(args: argparse.Namespace, found: Sequence[Layout], rules: Sequence[Judged]) -> Design:
    """The layout that is written; of a cord with one or two folds the better one."""
    if args.way == "rules":
        named = {one.name: one for one in rules}
        if args.rule not in named:
            raise UnknownNameError("rule", args.rule, tuple(named))
        return named[args.rule].design
    return min(found, key=lambda one: abs(one.worst()[1])).chosen


def _layout(design: Design, found: Layout, units: Units) -> str:
    measure = format_length(found.measure, units)
    of = {"fingers": f", {measure} each", "bore": f", {measure}"}.get(found.way, f", {measure} long")
    rows = []
    for one in sorted(found.holes, key=lambda each: -design.holes[each.hole].at):
        hole = design.holes[one.hole]
        finger = "" if hole.finger == "none" else hole.finger
        moves = f"{'+' if one.shift >= 0 else '-'}{format_length(abs(one.shift), units, unit=False)}"
        rows.append(
            (
                str(one.hole + 1),
                finger,
                one.mark.words if one.mark else "as it is",
                format_length(found.design.holes[one.hole].at, units, unit=False),
                moves if one.mark else "",
                _most_shifted(design, one),
            )
        )
    header = ("hole", "", "from the foot", f"from edge, {units}", "moves", "costs")
    return "\n".join(
        (
            f"By {NAMES[found.way]}{of}",
            table(header, rows, "rllrrl"),
            paragraph(_result(design, found), indent="  "),
            *(
                f"{n:>4}  {paragraph(line, indent=' ' * 6)[6:]}"
                for n, line in enumerate(how_to(design, found), 1)
            ),
        )
    )


def _most_shifted(design: Design, one: Rounded) -> str:
    rows = [i for i, row in enumerate(design.rows) if row.counts and isfinite(one.cents[i])]
    if not rows or one.mark is None:
        return ""
    worst = max(rows, key=lambda i: abs(one.cents[i]))
    if abs(one.cents[worst]) < 0.5:
        return "nothing"
    return f"{design.rows[worst].note} {format_cents(float(one.cents[worst]))}"


def _result(design: Design, found: Layout) -> str:
    notes = _notes(design, found.cents)
    if not notes:
        return "No note counts, so the rounding costs nothing."
    said = f"All together: {notes} cents."
    row, worst = found.worst(chosen=True)
    if found.chosen is found.design:
        return f"{said} Other widths hardly help."
    note = "" if row is None else f", {design.rows[row].note}"
    return f"{said} With widths chosen anew, to your bits: {abs(worst):.0f} at worst{note}."


def _notes(design: Design, cents: Floats) -> str:
    """Cents off, of every note that counts."""
    said = [
        f"{row.note} {format_cents(float(cents[i])) if isfinite(cents[i]) else 'silent'}"
        for i, row in enumerate(design.rows)
        if row.counts
    ]
    return ", ".join(said)


def _rules(design: Design, rules: Sequence[Judged]) -> str:
    notes = [i for i, row in enumerate(design.rows) if row.counts]
    header = ("rule", *(design.rows[i].note for i in notes))
    rows = [
        (
            one.name,
            *(format_cents(float(one.cents[i])) if isfinite(one.cents[i]) else "-" for i in notes),
        )
        for one in rules
    ]
    return table(header, rows, "l" + "r" * len(notes))


def _words(rules: Sequence[Judged]) -> str:
    return "\n".join(paragraph(f"{begun(one.name)} ({one.words}). {one.verdict}") for one in rules)


def _object(design: Design, found: Sequence[Layout], rules: Sequence[Judged]) -> dict[str, object]:
    return {
        "name": design.name,
        "best": min(found, key=lambda one: abs(one.worst()[1])).way if found else None,
        "rows": [row.note for row in design.rows],
        "ways": [
            {
                "way": one.way,
                "measure_m": one.measure,
                "holes": [
                    {
                        "hole": each.hole + 1,
                        "words": each.mark.words if each.mark else None,
                        "at_m": one.design.holes[each.hole].at,
                        "shift_m": each.shift,
                        "cents": _numbers(each.cents),
                    }
                    for each in one.holes
                ],
                "cents": _numbers(one.cents),
                "worst_cents": _number(one.worst()[1]),
                "chosen_diameters_m": [hole.diameter for hole in one.chosen.holes],
                "chosen_cents": _numbers(one.chosen_cents),
                "chosen_worst_cents": _number(one.worst(chosen=True)[1]),
                "how_to": list(how_to(design, one)),
            }
            for one in found
        ],
        "rules": [
            {
                "rule": one.name,
                "words": one.words,
                "at_m": [hole.at for hole in one.design.holes],
                "diameter_m": [hole.diameter for hole in one.design.holes],
                "cents": _numbers(one.cents),
                "worst_cents": _number(one.worst),
                "nearest": None
                if one.nearest is None
                else {
                    "scale": one.nearest.name,
                    "tonic": one.nearest.tonic,
                    "worst_cents": one.nearest.worst,
                },
                "verdict": one.verdict,
                "usable": one.usable,
                "chosen_worst_cents": _number(one.chosen_worst),
            }
            for one in rules
        ],
    }


def _numbers(values: Floats) -> list[float | None]:
    return [_number(float(value)) for value in values]


def _number(value: float) -> float | None:
    return value if isfinite(value) else None
