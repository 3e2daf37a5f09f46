"""carry: a good flute made anew of another tube, in another key or scale, for another hand.

Apart from new, which begins with nothing: here the holes have a character to keep.
"""

from __future__ import annotations

import argparse
from math import isfinite

from scaledesign.cli.as_json import design_object, json_text
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import OWN_COPY, output_path, read_design, write_design
from scaledesign.errors import QuantityError
from scaledesign.model.stretches import parse_stretches
from scaledesign.model.tube_words import tube_size, tube_words
from scaledesign.paper.report import blocks, note_table, remarks, title
from scaledesign.paper.text import bullets, paragraph, table
from scaledesign.workshop import usual
from scaledesign.workshop.carry import Carried, Other, carried
from scaledesign.workshop.carry_words import changes, compared, proportions, verdict
from scaledesign.workshop.variants import Worth

COLUMNS = ("", "", "pattern at", "now at", "pattern", "now", "of bore", "now")
"""Of the holes: places, widths, and widths as a share of the bore, before and after."""


def carry(args: argparse.Namespace) -> int:
    """Make the new flute, say what changed and why, write it where asked."""
    output = output_path(args)
    design = read_design(args)
    tube = tube_size(tube_words(args.tube)) if args.tube else None
    found = carried(
        design,
        Other(
            tube=tube,
            avoid=parse_stretches(args.avoid, tube.units if tube else design.units),
            key=args.key or "",
            scale=args.scale or "",
            reference=reference(args.reference),
            hand=usual.hand_named(args.hand) if args.hand else "",
            as_it_plays=args.as_it_plays,
            name=args.name,
        ),
    )
    if args.json:
        text = json_text(_object(found))
    else:
        new, prediction = found.design, found.solution.prediction
        text = blocks(
            title(new),
            paragraph(verdict(found)),
            bullets(changes(found)),
            table(COLUMNS, proportions(found), "rlrrrrrr"),
            table(("", "pattern", "new"), compared(found), "lrr"),
            note_table(new, prediction),
            remarks(note for note in found.solution.notes),
            f"Written to {output}." if output else f"Not written; to keep it, add -o {OWN_COPY}.",
        )
    if output:
        write_design(args, found.design, output)
    print(text)
    return OK


def reference(value: float | None) -> float | None:
    """Hz of A4 that a flute may be tuned to.

    Raises
    ------
    QuantityError
    """
    if value is not None and not 300.0 <= value <= 600.0:
        raise QuantityError(f"{value:g}", "no flute has such an A4", "give it in Hz, such as 442")
    return value


def _object(found: Carried) -> dict[str, object]:
    solution = found.solution
    return {
        "verdict": verdict(found),
        "changes": list(changes(found)),
        "bore_ratio": found.grown,
        "binding": [{"kind": each.kind, "holes": [hole + 1 for hole in each.holes]} for each in found.broken],
        "in_proportion": {
            "length_m": found.ideal.length,
            "at_m": [float(at) for at in found.ideal.at],
            "diameter_m": [float(wide) for wide in found.ideal.diameter],
        },
        "pattern_worth": worth_object(found.worth[0]),
        "worth": worth_object(found.worth[1]),
        "design": design_object(found.design, solution.prediction, solution.notes),
    }


def worth_object(worth: Worth) -> dict[str, object]:
    """What a flute is worth, for programs."""

    def number(value: float) -> float | None:
        return float(value) if isfinite(value) else None

    return {
        "worst_cents": number(worth.worst),
        "rms_cents": number(worth.rms),
        "uncertainty_cents": number(worth.doubt),
        "cents_per_tenth_mm": number(worth.touchy),
        "octaves": worth.octaves,
        "of_octaves": worth.of_octaves,
        "worst_octave_cents": number(worth.stretch),
        "reach_to_spare_m": number(worth.spare),
    }
