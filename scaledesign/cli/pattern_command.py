"""pattern: a good flute that was measured, held against its own notes.

Apart from calibrate, which bends the model to the flute: here the numbers that went in are doubted.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import datetime

from scaledesign.cli.as_json import json_text, learnt_object, reading_object
from scaledesign.cli.calibrate_command import marked, row_reading
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import kept, next_file, output_path, read_design, write_design
from scaledesign.cli.lesson_text import learnt_table
from scaledesign.paper.report import blocks, remarks, title
from scaledesign.paper.text import bullets, paragraph
from scaledesign.workshop.calibration import Taught, learn
from scaledesign.workshop.readings import as_blown, with_readings
from scaledesign.workshop.remarkable import remarkable
from scaledesign.workshop.slip_words import begin, hints, power, sentence, value, words, written
from scaledesign.workshop.slips import Slips, Suspect, slips


def pattern(args: argparse.Namespace) -> int:
    """Say which numbers the notes contradict, what they teach, what is remarkable; write it where asked."""
    output = output_path(args)
    design = held = read_design(args)
    if args.bare or args.row:
        rows = dict(row_reading(text, design) for text in args.row)
        when = datetime.now().replace(microsecond=0)
        design = as_blown(with_readings(design, args.bare, None, None, rows, when), rows)
    found = slips(design)
    taught = learn(design, design)
    shown = replace(taught.design, units=args.units or design.units)
    found = replace(found, design=replace(found.design, units=shown.units))
    said = remarkable(shown)
    if args.json:
        text = json_text(_object(found, taught, said))
    else:
        file, _ = next_file(args, output)
        text = blocks(
            title(shown),
            slip_text(found),
            learnt_table(taught.learnt, shown.units),
            remarks(taught.notes if not found.slips else ()),
            bullets(said),
            marked(held, taught.design, file if output else ""),
            kept(args, output) if args.bare or args.row or output else "",
            _next(found, file),
        )
    if output:
        write_design(args, taught.design, output)
    print(text)
    return OK


def _next(found: Slips, file: str) -> str:
    if found.slips:
        return paragraph("Measure again what is named above before you carry it to another tube or key.")
    return f"To carry it to another tube or key:\n    scaledesign carry {file} --key G4 -o new.toml"


def slip_text(found: Slips) -> str:
    """What was found, or that nothing stands out and how much would."""
    count = len(found.readings)
    readings = f"{count} reading{'' if count == 1 else 's'}"
    if found.slips:
        many = "One slip" if len(found.slips) == 1 else f"{len(found.slips)} slips"
        return "\n\n".join(
            (
                paragraph(f"{many}, by {readings}:"),
                bullets(words(found, slip) for slip in found.slips),
                *(paragraph(note) for note in found.notes),
            )
        )
    parts = [f"No slip stands out: {readings} agree with what was measured."]
    if found.first:
        parts.append(begin(found))
    return "\n\n".join(paragraph(part) for part in (*parts, *found.notes, power(found)) if part)


def _object(found: Slips, taught: Taught, said: tuple[str, ...]) -> dict[str, object]:
    return {
        "name": found.design.name,
        "slips": [
            {"words": words(found, slip), "suspects": [suspect_object(found, each) for each in slip.suspects]}
            for slip in found.slips
        ],
        "first_to_measure_again": [suspect_object(found, each) for each in found.first],
        "told_from_m": [far if far < 1 else None for far in found.unheard],
        "notes": [*found.notes, *taught.notes],
        "readings": [reading_object(each) for each in taught.residuals],
        "learnt": {each.name: learnt_object(each) for each in taught.learnt},
        "remarkable": list(said),
    }


def suspect_object(found: Slips, suspect: Suspect) -> dict[str, object]:
    """One number that may be wrong, counted from 1."""
    number, design = suspect.number, found.design
    unit = "cents" if number.kind == "reading" else "m"
    score = suspect.score
    return {
        "kind": number.kind,
        "hole": None if number.hole is None else number.hole + 1,
        "other_hole": None if number.other is None else number.other + 1,
        "reading": None if number.reading is None else found.readings[number.reading].label,
        f"amount_{unit}": suspect.amount,
        f"uncertainty_{unit}": suspect.doubt,
        "written_m": written(design, number),
        "likely_m": value(design, suspect),
        "score": score if score < 1e6 else None,
        "says": list(suspect.labels),
        "sentence": sentence(found, suspect),
        "hints": list(hints(found, suspect)),
    }
