"""Reading the design a command names and writing the one it makes.

Apart because every command keeps the same promise: an example is never written to, and a file that is
there is replaced only when the maker says so.
"""

from __future__ import annotations

import argparse
import shlex
import sys
from pathlib import Path

import scaledesign
from scaledesign.errors import EditError
from scaledesign.files import document_file
from scaledesign.files.stamp import changed, stamp_of_text
from scaledesign.locations import EXAMPLES, is_example
from scaledesign.model.document import Design
from scaledesign.outputs.filing import check_folder, check_free

OWN_COPY = "my-flute.toml"
"""What a maker's copy of an example is called when we name it."""


def read_design(args: argparse.Namespace) -> Design:
    """The design that FILE or --example names; what the file held is noted for ``write_design``."""
    design = scaledesign.load(design_path(args))
    args.held = design.text or ""
    return design


def design_path(args: argparse.Namespace) -> Path:
    """Path of FILE, or of the example."""
    example: str | None = getattr(args, "example", None)
    return EXAMPLES / f"{example}.toml" if example else Path(args.file)


def output_path(args: argparse.Namespace) -> Path | None:
    """Where the result goes; None when it is only printed. Asked before the work is done.

    Raises
    ------
    EditError
        when the output would replace a file that the maker has not given up, or an example, or there is no
        such folder.
    """
    if getattr(args, "in_place", False):
        if getattr(args, "example", None):
            raise EditError("an example is not written to", "name your own file with -o")
        return _ones_own(Path(args.file))
    if args.output is None:
        return None
    path = _ones_own(Path(args.output))
    check_folder(path.parent)
    check_free(path, force=args.force)
    return path


def _ones_own(path: Path) -> Path:
    """The path, unless it leads to an example."""
    if is_example(path):
        raise EditError("an example is not written to", "name your own file with -o")
    return path


def write_design(args: argparse.Namespace, design: Design, output: Path) -> None:
    """Write the result; what was there is kept as an earlier version.

    Raises
    ------
    EditError
        when it would go back to FILE, and somebody else has written to that since it was read.
    """
    if (
        getattr(args, "in_place", False)
        and hasattr(args, "held")
        and changed(stamp_of_text(args.held), output)
    ):
        raise EditError(
            f"{output} was changed by another program while this was worked out, so nothing was written",
            "look at it, then give the command again",
        )
    put_design(document_file.dumps(design), output)


def put_design(text: str | bytes, output: Path) -> None:
    """Write the text of a design, and say beside what is printed where what it replaces could not be kept.

    Raises
    ------
    DesignError
    """
    if unkept := document_file.put_design(text, output):
        print(f"{output}: {unkept}", file=sys.stderr)


def next_file(args: argparse.Namespace, output: Path | None) -> tuple[str, str]:
    """Name of the file to type into the next command, and the command that makes it first, if any.

    An example is not the maker's: a copy of it is.
    """
    example: str | None = getattr(args, "example", None)
    if example and not output:
        return OWN_COPY, f"scaledesign solve --example {example} -o {OWN_COPY}"
    return shlex.quote(str(output or args.file)), ""


def kept(args: argparse.Namespace, output: Path | None) -> str:
    """Whether the result was written, and if not, how to keep it."""
    if output:
        return f"Written to {output}."
    how = f"-o {OWN_COPY}" if getattr(args, "example", None) else "--in-place"
    return f"Not written; to keep it, add {how}."
