"""What commands have in common: their sentence, the design they read, where they write, units, JSON.

Apart from the trees of single commands (``parser`` and the modules named ``*_arguments``), which share these.
Standard library only.
"""

from __future__ import annotations

import argparse
import re
import sys
from typing import NoReturn, TypeAlias

from scaledesign.cli.exit_codes import USAGE
from scaledesign.errors import shown
from scaledesign.locations import EXAMPLES

PLAIN = (
    (r"^argument (\S+): invalid int value: (.*)", r"\1 takes a whole number, and \2 is none"),
    (r"^argument (\S+): invalid float value: (.*)", r"\1 takes a number, and \2 is none"),
    (
        r"^argument (-\S+): expected one argument",
        r"\1 has to be followed by something, with = between where that begins with a minus: \1=-5",
    ),
    (r"^argument \{\S+\}: invalid choice: (.*) \(choose from (.*)\)", r"there is no \1; there are \2"),
    (
        r"^argument (?:\S+/)?(\S+): invalid choice: (.*) \(choose from (.*)\)",
        r"\1 takes \3; \2 is none of these",
    ),
    (r"^argument (?:\S+/)?(\S+): not allowed with argument (\S+)", r"\1 and \2 do not go together"),
    (r"^argument (?:\S+/)?(-\S+): ", r"\1: "),
    (r"^one of the arguments FILE --example is required", "name a FILE, or an --example"),
    (r"^the following arguments are required: ", "what is missing: "),
)
"""What argparse says, and the same in plain words."""
MOUTHS = ("duct", "notch", "rim", "transverse")
FORMS = ("text", "tsv", "csv")
LONGEST_MESSAGE = 2000
"""Signs of what is wrong with the arguments: a list of choices is long."""


class Parser(argparse.ArgumentParser):
    """An argument parser that complains in one sentence."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong on stderr and leave with the usage code."""
        for wrong, plain in PLAIN:
            message = re.sub(wrong, plain, message)
        print(f"{self.prog}: {shown(message, LONGEST_MESSAGE)}; see {self.prog} --help.", file=sys.stderr)
        raise SystemExit(USAGE)


def example_names() -> tuple[str, ...]:
    """Names of the designs that come with the program."""
    return tuple(sorted(path.stem for path in EXAMPLES.glob("*.toml")))


Commands: TypeAlias = "argparse._SubParsersAction[Parser]"
"""What a command is added to."""


def new_command(commands: Commands, name: str, run: str, words: str, examples: tuple[str, ...]) -> Parser:
    """Add one command with its sentence and the examples that ``--help`` shows."""
    command = commands.add_parser(
        name,
        help=words,
        description=words[0].upper() + words[1:] + ".",
        epilog="examples:\n" + "\n".join(f"  {example}" for example in examples),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    command.set_defaults(run=f"scaledesign.cli.{run}")
    return command


def add_design(command: Parser, *, required: bool = True) -> None:
    """The design: a file of the maker's or one of the examples."""
    names = example_names()
    which = command.add_mutually_exclusive_group(required=required)
    which.add_argument("file", nargs="?", metavar="FILE", help="design file")
    which.add_argument("--example", metavar="NAME", choices=names, help=f"one of ours: {', '.join(names)}")


def add_output(command: Parser) -> None:
    """Where a changed design goes."""
    where = command.add_mutually_exclusive_group()
    where.add_argument("-o", "--output", metavar="OUT", help="write the design to this file")
    where.add_argument("--in-place", action="store_true", help="write the design back to FILE")
    add_force(command)


def add_force(command: Parser) -> None:
    """Whether ``-o`` may replace a file."""
    command.add_argument("--force", action="store_true", help="let -o replace a file that is there")


def add_json(command: argparse._ActionsContainer) -> None:
    """``--json``."""
    command.add_argument(
        "--json", action="store_true", help="one JSON object for programs, SI units named in the keys"
    )


def add_form(command: argparse._ActionsContainer) -> None:
    """``--as``: text or a table."""
    command.add_argument(
        "--as",
        dest="form",
        choices=FORMS,
        help="text to read, or tsv or csv for a spreadsheet, not rounded for the hand "
        "(default: by the ending of OUT, else text)",
    )


def add_written(command: Parser) -> None:
    """Where a list goes."""
    command.add_argument("-o", "--output", metavar="OUT", help="write it to this file instead of printing it")
    add_force(command)


def add_units(command: Parser) -> None:
    """Units of the output."""
    command.add_argument("--units", choices=("mm", "in"), help="units to print (default: the design's own)")


def add_origin(command: Parser) -> None:
    """Which end places are measured from."""
    command.add_argument(
        "--from",
        dest="origin",
        choices=("edge", "foot", "cut-end"),
        default="edge",
        help="end you measure holes from: sounding edge, foot, or the tube's mouth-side cut end",
    )
