"""Reading the design a command names and writing the one it makes.

Apart because every command keeps the same promise: an example is never written to, and a file that is
there is replaced only when the maker says so.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import scaledesign
from scaledesign.cli.parser import EXAMPLES
from scaledesign.errors import EditError
from scaledesign.model.document import Design


def read_design(args: argparse.Namespace) -> Design:
    """The design that FILE or --example names."""
    return scaledesign.load(design_path(args))


def design_path(args: argparse.Namespace) -> Path:
    """Path of FILE, or of the example."""
    example: str | None = getattr(args, "example", None)
    return EXAMPLES / f"{example}.toml" if example else Path(args.file)


def output_path(args: argparse.Namespace) -> Path | None:
    """Where the result goes; None when it is only printed. Asked before the work is done.

    Raises
    ------
    EditError
        when the output would replace a file that the maker has not given up, or an example.
    """
    if getattr(args, "in_place", False):
        if getattr(args, "example", None):
            raise EditError("an example is not written to", "name your own file with -o")
        return Path(args.file)
    if args.output is None:
        return None
    path = Path(args.output)
    if path.exists() and not args.force:
        raise EditError(f"{path} is there already", "give another name, or --force to replace it")
    return path


def shown_name(args: argparse.Namespace, output: Path | None) -> str:
    """Name of the file to type into the next command."""
    return str(output or getattr(args, "file", None) or "FILE")
