"""grid: open the screen.

Apart because it alone needs a terminal, and because the screen is imported only when it is opened.
"""

from __future__ import annotations

import argparse
import os
import sys

from scaledesign.cli.exit_codes import OK, USAGE
from scaledesign.cli.files import design_path

POOR_TERMINALS = ("dumb", "linux", "vt100", "vt220")
"""Terminals (TERM) without the circles and the finer blocks."""


def grid(args: argparse.Namespace) -> int:
    """Open a design, the last one, or an example, on the screen."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        print(
            "scaledesign grid: this needs a terminal; see scaledesign --help for the rest.", file=sys.stderr
        )
        return USAGE
    from scaledesign.ui.app import GridApp

    path = design_path(args) if args.file or args.example else None
    GridApp(path, ascii_only=args.ascii or not _can_draw(), colours=not (args.no_colour or _plain())).run()
    return OK


def _can_draw() -> bool:
    """Whether the terminal can be trusted with more than ASCII."""
    encoding = (sys.stdout.encoding or "").casefold().replace("-", "")
    return encoding == "utf8" and os.environ.get("TERM", "") not in POOR_TERMINALS


def _plain() -> bool:
    return bool(os.environ.get("NO_COLOR"))
