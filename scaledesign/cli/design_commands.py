"""solve, predict and check: commands that read a design and say something about it.

Apart from ``new`` and ``calibrate``, which take in what the maker knows, and from what leaves as a file
(``paper_commands``).
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import scaledesign
from scaledesign.cli.exit_codes import CANNOT_USE, OK
from scaledesign.cli.files import next_file, output_path, read_design
from scaledesign.errors import DesignError, UnknownNameError
from scaledesign.model.document import Design
from scaledesign.paper.report import blocks, note_table, remarks, title, touchiness, trust


def solve(args: argparse.Namespace) -> int:
    """Place and size the holes; print them, and write the design where asked."""
    from scaledesign.cli.show import show_solution

    output = output_path(args)
    design = read_design(args)
    return show_solution(args, scaledesign.solve(design), output, before=design)


def predict(args: argparse.Namespace) -> int:
    """Say what the design plays as it stands."""
    design = read_design(args)
    prediction = scaledesign.predict(design, losses=not args.no_losses)
    if args.json:
        from scaledesign.cli.as_json import design_object, print_json

        print_json(design_object(design, prediction, prediction.notes))
    else:
        file, first = next_file(args, None)
        print(
            blocks(
                title(design),
                trust(design, prediction, file, args.units or design.units, first),
                note_table(design, prediction),
                touchiness(design, prediction, args.units or design.units),
                remarks(prediction.notes),
            )
        )
    return OK


def check(args: argparse.Namespace) -> int:
    """Read each file and name everything that is wrong in it, names that nobody offers among it."""
    code = OK
    for name in args.files:
        try:
            _look_up_names(scaledesign.load(Path(name)))
        except UnknownNameError as error:
            print(f"{name}: {error}", file=sys.stderr)
            code = CANNOT_USE
        except DesignError as error:
            print(error, file=sys.stderr)
            code = CANNOT_USE
            if _has_rest(Path(name)):
                print(f"{name}: scaledesign recover opens the rest of it.", file=sys.stderr)
        else:
            print(f"{name}: nothing is wrong with it.")
    return code


def _has_rest(path: Path) -> bool:
    """Whether enough of a file can be read to be a flute."""
    from scaledesign.files.document_file import recover

    try:
        recover(path)
    except DesignError:
        return False
    return True


def _look_up_names(design: Design) -> None:
    from scaledesign.extend.registry import catalogue

    found = catalogue()
    found.scale_of(design.tuning)
    if design.instrument.system:
        found.system(design.instrument.system)
