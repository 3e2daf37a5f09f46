"""calibrate: what the tuner shows goes in, a smaller ± comes out.

Apart because it changes what the design knows, not what it wants.
"""

from __future__ import annotations

import argparse
import sys

import scaledesign
from scaledesign.cli.as_json import design_object, print_json
from scaledesign.cli.exit_codes import OK, USAGE
from scaledesign.cli.files import output_path, read_design, shown_name
from scaledesign.errors import QuantityError
from scaledesign.model.units import format_length, parse_length, parse_temperature
from scaledesign.paper.report import blocks, missed, note_table, remarks, title, trust


def calibrate(args: argparse.Namespace) -> int:
    """Fit the added length to the readings; print old and new, write the design where asked."""
    if args.bare is None and not args.row:
        print(
            'scaledesign calibrate: give a reading, --bare "A4 -4" or --row 1="A4 -4"; '
            "see scaledesign calibrate --help.",
            file=sys.stderr,
        )
        return USAGE
    output = output_path(args)
    design = read_design(args)
    units = args.units or design.units
    result = scaledesign.calibrate(
        design,
        bare=args.bare,
        length=None if args.length is None else parse_length(args.length, design.units),
        temperature=None if args.temperature is None else parse_temperature(args.temperature),
        rows=dict(row_reading(text, len(design.rows)) for text in args.row),
    )
    if output:
        scaledesign.save(result.design, output)
    if args.json:
        print_json(
            {
                "added_length_m": result.added_length,
                "uncertainty_m": result.uncertainty,
                "before": design_object(design, result.before, result.before.notes),
                "after": design_object(result.design, result.after, (*result.notes, *result.after.notes)),
            }
        )
        return OK
    file = shown_name(args, output)
    again = f"Lay the holes out for it: scaledesign solve {file} --in-place"
    print(
        blocks(
            title(result.design),
            f"The mouth adds {format_length(result.added_length, units)} ± "
            f"{format_length(result.uncertainty, units)} of tube.",
            trust(result.design, result.after, file, units),
            note_table(result.design, result.after),
            again if missed(result.design, result.after) else "",
            remarks((*result.notes, *result.after.notes)),
        )
    )
    return OK


def row_reading(text: str, count: int) -> tuple[int, str]:
    """Row (0-based) and reading of ``'3=D5 +6'``.

    Raises
    ------
    QuantityError
        when it is not of that form, or the design has no such row.
    """
    number, equals, reading = text.partition("=")
    if not equals or not number.strip().isdecimal():
        raise QuantityError(text, "that is not a row and its reading", 'write --row 3="D5 +6"')
    row = int(number)
    if not 1 <= row <= count:
        raise QuantityError(text, f"there is no row {row}", f"rows are 1 to {count}")
    return row - 1, reading.strip()
