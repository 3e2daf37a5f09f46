"""solve, predict, holes, chart and check: commands that read a design and say something about it.

Apart from ``new`` and ``calibrate``, which take in what the maker knows.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import scaledesign
from scaledesign.cli.as_json import design_object, json_text, print_json
from scaledesign.cli.exit_codes import CANNOT_USE, OK
from scaledesign.cli.files import design_path, kept, next_file, output_path, read_design
from scaledesign.cli.show import show_solution
from scaledesign.cli.signs import can_show
from scaledesign.errors import DesignError, EditError, UnknownNameError
from scaledesign.extend.registry import catalogue
from scaledesign.files import document_file
from scaledesign.model.document import Design
from scaledesign.paper.report import blocks, note_table, remarks, title, touchiness, trust
from scaledesign.paper.tables import export_text, form_of


def solve(args: argparse.Namespace) -> int:
    """Place and size the holes; print them, and write the design where asked."""
    output = output_path(args)
    design = read_design(args)
    return show_solution(args, scaledesign.solve(design), output, before=design)


def predict(args: argparse.Namespace) -> int:
    """Say what the design plays as it stands."""
    design = read_design(args)
    prediction = scaledesign.predict(design, losses=not args.no_losses)
    if args.json:
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


def holes(args: argparse.Namespace) -> int:
    """Print or write the hole list of the design as it stands."""
    design = read_design(args)
    output = _list_path(args)
    prediction = scaledesign.predict(design)
    form = args.form or form_of(args.output or "")
    if args.json:
        text = json_text(design_object(design, prediction, prediction.notes)) + "\n"
    else:
        file, first = next_file(args, None)
        units = args.units or design.units
        text = export_text(design, prediction, (), "holes", form, units, args.origin, file=file, first=first)
    return _hand_out(args, text, output)


def chart(args: argparse.Namespace) -> int:
    """Print or write the fingering chart: in letters where the terminal has no circles."""
    design = read_design(args)
    output = _list_path(args)
    prediction = scaledesign.predict(design)
    form = args.form or form_of(args.output or "")

    def text(ascii_only: bool) -> str:
        return export_text(design, prediction, (), "chart", form, design.units, ascii_only=ascii_only)

    drawn = text(args.ascii)
    return _hand_out(args, drawn if output or can_show(sys.stdout, drawn) else text(True), output)


def _list_path(args: argparse.Namespace) -> Path | None:
    """Where a list is written; None when it is printed.

    Raises
    ------
    EditError
        when it would replace a file that the maker has not given up, or the design itself.
    """
    path = output_path(args)
    if path and path.exists() and path.samefile(design_path(args)):
        raise EditError(f"{path} is the design itself", "give the list another name")
    return path


def _hand_out(args: argparse.Namespace, text: str, output: Path | None) -> int:
    """Write ``text`` or print it, to the byte: its lines are ended as they should be."""
    if output:
        document_file.put(text, output)
        print(kept(args, output))
    else:
        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(newline="\n")
        print(text, end="")
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
        else:
            print(f"{name}: nothing is wrong with it.")
    return code


def _look_up_names(design: Design) -> None:
    found = catalogue()
    found.scale_of(design.tuning)
    if design.instrument.system:
        found.system(design.instrument.system)
