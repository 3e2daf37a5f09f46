"""Printing a solution and writing it: the same for ``solve`` and ``new``.

Apart so that both end alike, with the hole list first, the notes next and the cautions last. What cannot
be printed is not written either.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from scaledesign.cli.as_json import design_object, json_text, obstacle_objects
from scaledesign.cli.exit_codes import NOT_MET, OK
from scaledesign.cli.files import kept, next_file, write_design
from scaledesign.model.document import Design
from scaledesign.paper.hole_list import caution_lines, changes, hole_list
from scaledesign.paper.report import blocks, missed, note_table, remarks, title, touchiness, trust

if TYPE_CHECKING:
    from scaledesign.solver.solution import Solution


def show_solution(
    args: argparse.Namespace,
    solution: Solution,
    output: Path | None,
    before: Design | None = None,
    closing: str = "",
) -> int:
    """Write ``solution`` where ``args`` ask, print it, return whether every note that counts is met.

    ``before`` is the design that it came from, to say what moved; ``closing`` stands last.
    """
    design, prediction = solution.design, solution.prediction
    notes = (*solution.notes, *prediction.notes)
    if args.json:
        found = design_object(design, prediction, notes, solution.placed)
        text = json_text({**found, "obstacles": obstacle_objects(solution.obstacles)})
    else:
        units = args.units or design.units
        file, first = next_file(args, output)
        text = blocks(
            title(design),
            trust(design, prediction, file, units, first),
            hole_list(design, prediction, solution.placed, units=units, origin=args.origin),
            changes(before, design, units=units, origin=args.origin) if before else "",
            note_table(design, prediction),
            touchiness(design, prediction, units),
            remarks(notes),
            caution_lines(design.instrument.material),
            kept(args, output),
            closing,
        )
    if output:
        write_design(args, design, output)
    print(text)
    return NOT_MET if missed(design, prediction) else OK
