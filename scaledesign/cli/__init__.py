"""The command line: ``scaledesign COMMAND ...``.

This module turns arguments into one call and every known error into one exit code. The argument tree
is in ``parser.py``, each group of commands in a module of its own that is imported only when one of
its commands runs, so that ``--help`` and completion cost nothing. No acoustics and no layout here:
numbers come from the façade, text from ``paper``.
"""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Sequence

from scaledesign.cli.exit_codes import CANNOT_USE, INTERRUPTED, OK, PIPE_CLOSED
from scaledesign.cli.parser import build_parser
from scaledesign.errors import ScaledesignError

__all__ = ["main"]


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code (see ``exit_codes.py``).

    Parameters
    ----------
    argv : sequence of str, optional
        Arguments after the program's name; those of this process when None.
    """
    # A terminal that cannot show a sign gets a "?" for it instead of no answer at all.
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        args = build_parser().parse_args(argv)
    except SystemExit as stop:  # argparse has printed help or its one sentence
        return stop.code if isinstance(stop.code, int) else OK
    module, function = args.run.split(":")
    try:
        code: int = getattr(importlib.import_module(module), function)(args)
        sys.stdout.flush()
    except ScaledesignError as error:
        print(error, file=sys.stderr)
        return CANNOT_USE
    except BrokenPipeError:
        # The reader (head, less) has seen enough; keep the interpreter from flushing into nothing.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    except OSError as error:
        name = f"{error.filename}: " if error.filename else ""
        print(f"{name}{error.strerror or error}; check the name and the disk.", file=sys.stderr)
        return CANNOT_USE
    except KeyboardInterrupt:
        return INTERRUPTED
    return code
