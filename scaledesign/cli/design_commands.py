"""solve, predict, holes, chart and check: commands that read a design and say something about it.

Apart from ``new`` and ``calibrate``, which take in what the maker knows.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import scaledesign
from scaledesign.cli.as_json import design_object, print_json
from scaledesign.cli.exit_codes import CANNOT_USE, OK
from scaledesign.cli.files import output_path, read_design, shown_name
from scaledesign.cli.show import show_solution
from scaledesign.errors import DesignError
from scaledesign.paper.chart_text import fingering_chart
from scaledesign.paper.hole_list import caution_lines, hole_list
from scaledesign.paper.report import blocks, note_table, remarks, title, trust


def solve(args: argparse.Namespace) -> int:
    """Place and size the holes; print them, and write the design where asked."""
    output = output_path(args)
    solution = scaledesign.solve(read_design(args))
    if output:
        scaledesign.save(solution.design, output)
    return show_solution(args, solution, shown_name(args, output))


def predict(args: argparse.Namespace) -> int:
    """Say what the design plays as it stands."""
    design = read_design(args)
    prediction = scaledesign.predict(design, losses=not args.no_losses)
    if args.json:
        print_json(design_object(design, prediction, prediction.notes))
    else:
        print(
            blocks(
                title(design),
                trust(design, prediction, shown_name(args, None), args.units or design.units),
                note_table(design, prediction),
                remarks(prediction.notes),
            )
        )
    return OK


def holes(args: argparse.Namespace) -> int:
    """Print the hole list of the design as it stands."""
    design = read_design(args)
    prediction = scaledesign.predict(design)
    if args.json:
        print_json(design_object(design, prediction, prediction.notes))
        return OK
    units = args.units or design.units
    print(
        blocks(
            title(design),
            trust(design, prediction, shown_name(args, None), units),
            hole_list(design, prediction, units=units, origin=args.origin),
            caution_lines(design.instrument.material),
        )
    )
    return OK


def chart(args: argparse.Namespace) -> int:
    """Print the fingering chart."""
    print(fingering_chart(read_design(args), ascii_only=args.ascii))
    return OK


def check(args: argparse.Namespace) -> int:
    """Read each file and name everything that is wrong in it."""
    code = OK
    for name in args.files:
        try:
            scaledesign.load(Path(name))
        except DesignError as error:
            print(error, file=sys.stderr)
            code = CANNOT_USE
        else:
            print(f"{name}: nothing is wrong with it.")
    return code
