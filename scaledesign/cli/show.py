"""Printing a solution: the same for ``solve`` and ``new``.

Apart so that both end alike, with the hole list first, the notes next and the cautions last.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from scaledesign.cli.as_json import design_object, print_json
from scaledesign.cli.exit_codes import NOT_MET, OK
from scaledesign.paper.hole_list import caution_lines, hole_list
from scaledesign.paper.report import blocks, note_table, off_words, remarks, title, trust

if TYPE_CHECKING:
    from scaledesign.solve import Solution


def show_solution(args: argparse.Namespace, solution: Solution, file: str) -> int:
    """Print ``solution`` as ``args`` ask, and return the exit code: whether every scale note is met."""
    design, prediction = solution.design, solution.prediction
    notes = (*solution.notes, *prediction.notes)
    if args.json:
        print_json(design_object(design, prediction, notes, solution.placed))
    else:
        units = args.units or design.units
        print(
            blocks(
                title(design),
                trust(design, prediction, file),
                hole_list(design, prediction, solution.placed, units=units, origin=args.origin),
                note_table(design, prediction),
                remarks(notes),
                caution_lines(design.instrument.material),
            )
        )
    off = (
        off_words(float(cents), design.tuning.tolerance)
        for row, cents in zip(design.rows, prediction.cents, strict=True)
        if row.role == "scale" and row.weight > 0
    )
    return NOT_MET if any(off) else OK
