"""What stands on the terminal while a command is at work: a line that says so, and goes before anything else.

Apart because no command need know of it: the work tells of its steps (``wanted.py``), here they become a line
of stderr, where that is a terminal. Ctrl+C then ends the work at once, wherever it is.
"""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Iterator
from typing import Any, TextIO

from scaledesign.wanted import while_wanted

PATIENCE, BEAT = 1.0, 0.2
"""Seconds of work before anything is said, and between two lines."""
CLEAR = "\r\x1b[K"


class _Line:
    """The line at work; there is none until ``PATIENCE`` is over."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream
        self.begun = self.last = time.monotonic()
        self.shown = False

    def step(self, share: float | None) -> None:
        now = time.monotonic()
        if now - self.begun < PATIENCE or now - self.last < BEAT:
            return
        self.last, self.shown = now, True
        far = "" if share is None else f"{100 * share:.0f} % done, "
        self.stream.write(f"{CLEAR}At work: {far}{now - self.begun:.0f} s; Ctrl+C stops it")
        self.stream.flush()

    def clear(self) -> None:
        if self.shown:
            self.shown = False
            self.stream.write(CLEAR)
            self.stream.flush()


class _Before:
    """A stream that has the line cleared before anything is written to it."""

    def __init__(self, stream: TextIO, line: _Line) -> None:
        self._stream, self._line = stream, line

    def write(self, text: str) -> int:
        self._line.clear()
        return self._stream.write(text)

    def __getattr__(self, name: str) -> Any:
        self._line.clear()  # whatever it is asked for may be to write with
        return getattr(self._stream, name)


@contextlib.contextmanager
def telling() -> Iterator[None]:
    """Say that work is going on, until the end of the block, where there is a terminal to say it on."""
    if not sys.stderr.isatty():
        yield
        return
    line = _Line(sys.stderr)
    out, err = _Before(sys.stdout, line), _Before(sys.stderr, line)
    try:
        with (
            while_wanted(lambda: False, line.step),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
        ):
            yield
    finally:
        line.clear()
