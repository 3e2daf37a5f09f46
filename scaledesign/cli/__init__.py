"""The command line: ``scaledesign COMMAND ...``.

This module turns arguments into one call and every error into one sentence and one exit code. The
argument tree is in ``parser.py``, each group of commands in a module of its own that is imported only
when one of its commands runs, so that ``--help`` and completion cost nothing. No acoustics and no layout
here: numbers come from the façade, text from ``paper``.
"""

from __future__ import annotations

import gc
import importlib
import os
import sys
import warnings
from collections.abc import Sequence
from contextlib import nullcontext
from types import ModuleType

from scaledesign.cli.at_work import telling
from scaledesign.cli.exit_codes import CANNOT_USE, INTERNAL, INTERRUPTED, OK, PIPE_CLOSED
from scaledesign.cli.parser import parse
from scaledesign.cli.signs import harmless, spell_out, unobeyed
from scaledesign.errors import ScaledesignError, own_fault

__all__ = ["main"]

SCREEN = ".grid_command"
"""The command that has the terminal to itself."""
TRACE = "SCALEDESIGN_TRACE"
"""Environment variable: when set, a fault of the program's own shows where it happened."""

ONE_THREAD = ("OPENBLAS_NUM_THREADS", "1")
"""Environment variable of numpy's linear algebra: our matrices are small, and to begin threads, which wait
for work in a busy loop, takes a fifth of a start."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code (see ``exit_codes.py``).

    Parameters
    ----------
    argv : sequence of str, optional
        Arguments after the program's name; those of this process when None.
    """
    for stream in (sys.stdout, sys.stderr):
        spell_out(stream)
    try:
        return _run(argv)
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return INTERRUPTED


def _run(argv: Sequence[str] | None) -> int:
    """Everything but what stops it from the keyboard."""
    traced = bool(os.environ.get(TRACE))
    if argv is None:
        os.environ.setdefault(*ONE_THREAD)
        if not traced:
            warnings.simplefilter("ignore")  # they speak to who changes the program, not to who uses it
    try:
        args = parse(argv)
    except SystemExit as stop:  # argparse has printed help or its one sentence
        return stop.code if isinstance(stop.code, int) else OK
    module, function = args.run.split(":")
    try:
        command = getattr(_loaded(module, alone=argv is None), function)
        alone = module.endswith(SCREEN)
        with nullcontext() if alone else telling(), nullcontext() if alone else harmless():
            code: int = command(args)
        sys.stdout.flush()
        if argv is None:
            gc.freeze()  # nothing is looked for on the way out either
    except ScaledesignError as error:
        print(unobeyed(str(error)), file=sys.stderr)
        return CANNOT_USE
    except BrokenPipeError:
        # The reader (head, less) has seen enough; keep the interpreter from flushing into nothing.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    except OSError as error:
        name = f"{error.filename}: " if error.filename else ""
        print(unobeyed(f"{name}{error.strerror or error}; check the name and the disk."), file=sys.stderr)
        return CANNOT_USE
    except Exception as error:  # noqa: BLE001 - the last door: a maker gets a sentence, not a traceback
        if traced:
            import traceback

            traceback.print_exc()
        print(
            f"{unobeyed(own_fault(error))}; nothing was written. "
            f"Please report it with the command and the file; {TRACE}=1 before the command shows where.",
            file=sys.stderr,
        )
        return INTERNAL
    return code


def _loaded(module: str, *, alone: bool) -> ModuleType:
    """The module of a command; where the process is ``alone`` for it, no garbage is looked for meanwhile.

    Loading makes none, and looking for it would take a tenth of the time.
    """
    if not alone:
        return importlib.import_module(module)
    gc.disable()
    try:
        return importlib.import_module(module)
    finally:
        gc.freeze()
        gc.enable()
