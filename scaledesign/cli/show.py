"""Printing a solution: the same for ``solve`` and ``new``.

Apart so that both end alike, with the hole list first, the notes next and the cautions last.
"""

from __future__ import annotations

import argparse

from scaledesign.cli.as_json import design_object, obstacle_objects, print_json
from scaledesign.cli.exit_codes import NOT_MET, OK
from scaledesign.paper.hole_list import caution_lines, hole_list
from scaledesign.paper.report import blocks, missed, note_table, remarks, title, trust
from scaledesign.solver.solution import Solution


def show_solution(args: argparse.Namespace, solution: Solution, file: str) -> int:
    """Print ``solution`` as ``args`` ask, and return the exit code: whether every note that counts is met."""
    design, prediction = solution.design, solution.prediction
    notes = (*solution.notes, *prediction.notes)
    if args.json:
        found = design_object(design, prediction, notes, solution.placed)
        print_json({**found, "obstacles": obstacle_objects(solution.obstacles)})
    else:
        units = args.units or design.units
        print(
            blocks(
                title(design),
                trust(design, prediction, file, units),
                hole_list(design, prediction, solution.placed, units=units, origin=args.origin),
                note_table(design, prediction),
                remarks(notes),
                caution_lines(design.instrument.material),
            )
        )
    return NOT_MET if missed(design, prediction) else OK
