"""calibrate: what the tuner shows goes in, a smaller ± comes out.

Apart because it changes what the design knows, not what it wants.
"""

from __future__ import annotations

import argparse
import sys

import scaledesign
from scaledesign.cli.as_json import design_object, json_text, learnt_object, next_object, reading_object
from scaledesign.cli.exit_codes import CANNOT_USE, OK, USAGE
from scaledesign.cli.files import kept, next_file, output_path, read_design, write_design
from scaledesign.cli.lesson_text import blow_next, learnt_table, reading_table
from scaledesign.errors import QuantityError
from scaledesign.model.document import Design
from scaledesign.model.units import format_length, parse_length, parse_temperature
from scaledesign.model.widths import known_length, length_unknown
from scaledesign.paper.report import blocks, missed, note_table, remarks, title, trust
from scaledesign.paper.text import paragraph
from scaledesign.paper.unblown import told_length
from scaledesign.view.consequences import newly_cut, taken_as_cut
from scaledesign.workshop.next_reading import next_readings
from scaledesign.workshop.readings import for_good, readings_of, typed


def calibrate(args: argparse.Namespace) -> int:
    """Fit the flute to the readings; print old and new, write the design where asked."""
    output = output_path(args)
    design = read_design(args)
    if not args.bare and not args.row and not readings_of(design):
        print(
            'scaledesign calibrate: give a reading, --bare "A4 -4" or --row 1="A4 -4"; '
            "see scaledesign calibrate --help.",
            file=sys.stderr,
        )
        return USAGE
    if args.bare and args.length is None and length_unknown(design):
        as_told = format_length(told_length(design, design.units), design.units)
        print(
            "scaledesign calibrate: nobody knows yet how long this tube was when you blew it, and what a "
            "reading says of the mouth hangs on it; measure it from the sounding edge to the foot and add "
            f'--length and what you find, such as --length "{as_told}".',
            file=sys.stderr,
        )
        return USAGE
    units = args.units or design.units
    result = scaledesign.calibrate(
        design,
        bare=args.bare,
        length=known_length(design) if args.length is None else parse_length(args.length, design.units),
        temperature=None if args.temperature is None else parse_temperature(args.temperature),
        rows=dict(row_reading(text, design) for text in args.row),
    )
    learnt = result.design is not design
    after, coming = result.after, next_readings(result.design)
    if args.json:
        text = json_text(
            {
                "added_length_m": result.added_length,
                "uncertainty_m": result.uncertainty,
                "readings": [reading_object(each) for each in result.residuals],
                "learnt": {each.name: learnt_object(each) for each in result.learnt},
                "taken_as_cut": dict(zip(("holes", "foot"), newly_cut(design, result.design), strict=True)),
                "next": [next_object(each) for each in coming],
                "before": design_object(design, result.before, result.before.notes),
                "after": design_object(result.design, after, (*result.notes, *after.notes)),
            }
        )
    else:
        file, _ = next_file(args, output)
        text = blocks(
            title(result.design),
            reading_table(result.residuals, design),
            learnt_table(result.learnt, units),
            remarks(result.notes),
            marked(design, result.design, file if output and learnt else ""),
            trust(result.design, after, file, units),
            blow_next(result.design, coming) if learnt else "",
            note_table(result.design, after),
            remarks(note for note in after.notes if note not in result.notes),
            kept(args, output) if learnt else "",
            what_next(result.design, file) if learnt and output and missed(result.design, after) else "",
        )
    if output and learnt:
        write_design(args, result.design, output)
    print(text)
    return OK if learnt else CANNOT_USE


def marked(before: Design, after: Design, file: str) -> str:
    """What the readings proved to be cut, and how to undo that in ``file``, where it is written."""
    said = taken_as_cut(before, after)
    undo = f" If one is not cut yet, delete its lines drilled and locked in {file}."
    return paragraph(said + undo if file else said) if said else ""


def what_next(design: Design, file: str) -> str:
    """The command that lays out what is not drilled yet; for a flute that is finished, what would mend it."""
    if design.tube.locked and design.holes and all(for_good(design, i) for i in range(len(design.holes))):
        return f"Every hole is drilled. To see what few changes would mend it:\n    scaledesign rescue {file}"
    say = "Lay the holes out for it:"
    if any(row.measured for row in design.rows):
        say = (
            "To lay out the holes that are not drilled yet, write drilled = true under each other one that "
            f"is, in {file}; then:"
        )
    return f"{paragraph(say)}\n    scaledesign solve {file} --in-place"


def row_reading(text: str, design: Design) -> tuple[int, str]:
    """Row (0-based) and reading of ``'3=C5 +3'``, or of ``'3=+3'`` for so many cents off its note.

    Raises
    ------
    QuantityError
        when it is not of that form, or the design has no such row.
    """
    number, equals, reading = text.partition("=")
    if not equals or not number.strip().isdecimal():
        raise QuantityError(text, "that is not a row and its reading", 'write --row 3="C5 +3"')
    row, count = int(number), len(design.rows)
    if not 1 <= row <= count:
        raise QuantityError(text, f"there is no row {row}", f"rows are 1 to {count}")
    return row - 1, typed(design, row - 1, reading)
