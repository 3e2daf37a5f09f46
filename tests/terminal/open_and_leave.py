"""Run a shell command that opens the grid: wait until a text stands on the screen, leave by Ctrl+Q.

``python open_and_leave.py TEXT COMMAND`` shows what the command writes before the grid takes the screen, and
exits as the command does; with 1 where the text never comes. Standard library alone: it is run where nothing
is installed yet.
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time

OPENING, LEAVING = 900.0, 60.0
"""Seconds for the command to show the text, installing included, and then to end."""
LINES, COLUMNS = 40, 140
WHOLE_SCREEN = b"\x1b[?1049h"
"""What a program writes when it takes the whole screen."""
LEAVE = b"\x11"
CODES = re.compile(rb"\x1b\[[0-9;?]*[A-Za-z]")


def main(text: str, command: str) -> int:
    """Run the command and return the exit code to end with."""
    process, terminal = pty.fork()
    if process == 0:
        fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", LINES, COLUMNS, 0, 0))
        os.environ["TERM"] = "xterm-256color"
        os.execvp("bash", ["bash", "-euo", "pipefail", "-c", command])
    written = shown = b""
    end = time.monotonic() + OPENING
    left = False
    while data := _read(terminal, end):
        written += data
        before, whole, grid = written.partition(WHOLE_SCREEN)
        sys.stdout.write(before[len(shown) :].decode("utf-8", "replace"))
        sys.stdout.flush()
        shown = before
        if whole and not left and text.encode() in CODES.sub(b"", grid):
            os.write(terminal, LEAVE)
            left, end = True, time.monotonic() + LEAVING
    if data is None:
        os.kill(process, signal.SIGKILL)
    _, status = os.waitpid(process, 0)
    code = os.waitstatus_to_exitcode(status)
    if not left or data is None:
        what = "The grid was opened and left no more." if left else f"{text!r} never stood on the screen."
        print(f"{what} Exit code {code}. Last written:\n{written[-2000:].decode('utf-8', 'replace')}")
        return code or 1
    return code


def _read(terminal: int, end: float) -> bytes | None:
    """What was written next; b"" when the command has ended, None when it takes too long."""
    ready, _, _ = select.select([terminal], [], [], max(0.0, end - time.monotonic()))
    if not ready:
        return None
    try:
        return os.read(terminal, 65536)
    except OSError:  # nobody holds the other end any more
        return b""


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
