"""share: one layout of the holes for several scales, and how well each comes out of it.

Apart from ``solve``, which meets the rows that are there. What comes of it is a design like any other.
"""

from __future__ import annotations

import argparse

from scaledesign.cli.as_json import design_object, json_text, obstacle_objects
from scaledesign.cli.exit_codes import NOT_MET, OK
from scaledesign.cli.files import kept, output_path, read_design, write_design
from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering
from scaledesign.model.spelling import tuner_note, tuner_shows
from scaledesign.model.units import format_cents, format_number
from scaledesign.paper.hole_list import caution_lines, hole_list
from scaledesign.paper.report import blocks, missed, remarks, title
from scaledesign.paper.text import paragraph, table
from scaledesign.workshop import ask
from scaledesign.workshop.asked import MOST, asked
from scaledesign.workshop.several import Part, Shared, shared
from scaledesign.workshop.variants import moved_words


def share(args: argparse.Namespace) -> int:
    """Print the compromise, and write it where asked."""
    output = output_path(args)
    if not 0 <= args.own <= MOST:
        raise EditError(f"--own {args.own:g} is no weight", f"write 0 to {MOST:g}, such as --own 0.5")
    design = read_design(args)
    wishes = [asked(text, design.tuning, ask.offers()) for text in args.scale]
    found = shared(design, wishes, args.own)
    after, prediction = found.solution.design, found.solution.prediction
    notes = (*found.solution.notes, *prediction.notes)
    if args.json:
        told = design_object(after, prediction, notes, found.solution.placed)
        obstacles = obstacle_objects(found.solution.obstacles)
        text = json_text({**told, "obstacles": obstacles, "scales": [_object(part) for part in found.parts]})
    else:
        units = args.units or design.units
        moved = moved_words(design, after, units)
        text = blocks(
            title(design),
            _scales(found),
            paragraph(f"{'; '.join(moved).capitalize()}." if moved else "No hole moves."),
            hole_list(after, prediction, found.solution.placed, units=units),
            _notes(after, found),
            paragraph(
                "weight: how much the row counts, all scales that want it together. Rows that were not there "
                "are written as cents above the flute's tonic, so that they stay what they are."
            ),
            remarks((*_missing(after, found), *notes, *([found.remark] if found.remark else []))),
            caution_lines(design.instrument.material),
            kept(args, output),
        )
    if output:
        write_design(args, after, output)
    print(text)
    return NOT_MET if missed(after, prediction) else OK


def _scales(found: Shared) -> str:
    rows = [
        (
            part.words,
            format_number(part.weight),
            str(len(part.rows)),
            format_cents(part.worst(part.before)),
            format_cents(part.worst(part.after)),
            f"{part.rms(part.before):.0f}",
            f"{part.rms(part.after):.0f}",
        )
        for part in found.parts
    ]
    header = ("scale", "weight", "notes", "worst was", "is", "all were", "are")
    return table(header, rows, "lrrrrrr")


def _notes(design: Design, found: Shared) -> str:
    """The rows that some scale wants, low to high, as they come out."""
    prediction = found.solution.prediction
    fingers = [hole.finger for hole in design.holes if hole.finger != "none"]
    wanted = sorted({row for part in found.parts for row in part.rows}, key=lambda i: prediction.target[i])
    rows = [
        (
            str(i + 1),
            _named(design, i, float(prediction.target[i])),
            format_fingering(design.rows[i].holes, fingers),
            tuner_shows(design, float(prediction.target[i])),
            tuner_shows(design, float(prediction.frequency[i])),
            format_cents(float(prediction.cents[i])),
            format_number(round(design.rows[i].weight, 3)),
            ", ".join(str(n) for n, part in enumerate(found.parts, 1) if i in part.rows),
        )
        for i in wanted
    ]
    header = ("", "note", "fingering", "want", "plays", "off", "weight", "of scale")
    return table(header, rows, "rllrrrrl")


def _named(design: Design, row: int, hertz: float) -> str:
    """A row's note as it is written; after an interval what it is near, after a degree too."""
    note = design.rows[row].note
    return note if note[:1].isalpha() else f"{note}, {tuner_note(design, hertz)[0].name}"


def _missing(design: Design, found: Shared) -> list[str]:
    """Which notes no fingering plays, scale by scale."""
    said = []
    for part in found.parts:
        names = [tuner_note(design, hertz)[0].name for hertz in part.missing]
        if names:
            are = "has no fingering and is" if len(names) == 1 else "have no fingering and are"
            said.append(f"{part.words}: {', '.join(names)} {are} left out.")
    return said


def _object(part: Part) -> dict[str, object]:
    return {
        "scale": part.words,
        "weight": part.weight,
        "rows": [row + 1 for row in part.rows],
        "left_out_hz": list(part.missing),
        "worst_before_cents": part.worst(part.before),
        "worst_cents": part.worst(part.after),
        "rms_before_cents": part.rms(part.before),
        "rms_cents": part.rms(part.after),
    }
