"""grid: open the screen, in this terminal or in a browser.

Apart because it alone needs a terminal, and because the screen is imported only when it is opened.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from importlib.util import find_spec

import scaledesign
from scaledesign.cli.exit_codes import CANNOT_USE, INTERNAL, OK, USAGE
from scaledesign.cli.files import design_path
from scaledesign.later import later
from scaledesign.locations import install

LATE = (
    "numpy",
    "scaledesign.model.retune",
    "scaledesign.physics.mouth",
    "scaledesign.solver.problem",
    *(
        f"scaledesign.workshop.{name}"
        for name in (
            "advice", "ask", "calibration", "live", "readings", "register_words", "registers", "sound"
        )
    ),
    *(
        f"scaledesign.view.{name}"
        for name in ("consequences", "error_plot", "impedance_plot", "scale_edits")
    ),
    "asyncio.sslproto", "ssl",
)  # fmt: skip
"""What the first paint does without: what the screen asks, by the names it asks it with, and what a terminal
has no use for."""
POOR_TERMINALS = ("dumb", "linux", "vt100", "vt220")
"""Terminals (TERM) without the circles and the finer blocks."""
PLAIN_LOCALES = ("C", "POSIX")
"""Locales that ask for ASCII; Python writes UTF-8 there all the same."""


def grid(args: argparse.Namespace) -> int:
    """Open a design, the last one, or an example, on the screen."""
    if args.port is not None and not args.browser:
        print("scaledesign grid: --port goes with --browser.", file=sys.stderr)
        return USAGE
    if args.browser:
        return _in_browser(args)
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        print(
            "scaledesign grid: this needs a terminal, or --browser; see scaledesign --help for the rest.",
            file=sys.stderr,
        )
        return USAGE
    gc.disable()  # a start makes no garbage: looking for it takes a tenth of the time until the first paint
    later(*LATE)  # what is typed is painted before anything is computed
    try:
        from scaledesign.ui.app import GridApp

        path = design_path(args) if args.file or args.example else None
        plain, letters = args.no_colour or _plain(), args.ascii or not _can_draw()
        app = GridApp(path, ascii_only=letters, colours=not plain, painted=_collect_from_here_on)
        app.run()
    finally:
        gc.enable()
    return INTERNAL if app.return_code else OK


def _collect_from_here_on() -> None:
    """Look for garbage again, but never among what the start made: that would hold up a key now and then."""
    gc.freeze()
    gc.enable()


def _in_browser(args: argparse.Namespace) -> int:
    """Serve the grid to a browser on this computer until Ctrl+C."""
    if find_spec("textual_serve") is None:
        print(f"The browser needs one more package; {install('browser')}", file=sys.stderr)
        return CANNOT_USE
    from scaledesign.ui import browser, browser_window

    path = design_path(args) if args.file or args.example else None
    if path is not None:
        scaledesign.load(path)  # what cannot be opened is said here, before anything is served
    try:
        listener = browser.listening(args.port or 0)
    except OSError as error:
        print(
            f"Port {args.port} cannot be had ({error.strerror or error}); leave --port out: any will do.",
            file=sys.stderr,
        )
        return CANNOT_USE

    def say(address: str) -> None:
        print(f"Open {address} in your browser; Ctrl+C here ends it.", flush=True)

    words = browser_window.words_for(path, ascii_only=args.ascii, colours=not (args.no_colour or _plain()))
    browser.serve(words, listener, say)
    return OK


def _can_draw() -> bool:
    """Whether the terminal can be trusted with more than ASCII."""
    encoding = (sys.stdout.encoding or "").casefold().replace("-", "")
    stated = (os.environ.get(name) for name in ("LC_ALL", "LC_CTYPE", "LANG"))
    locale = next((name for name in stated if name), "")
    poor = os.environ.get("TERM", "") in POOR_TERMINALS or locale in PLAIN_LOCALES
    return encoding == "utf8" and not poor


def _plain() -> bool:
    return bool(os.environ.get("NO_COLOR"))
