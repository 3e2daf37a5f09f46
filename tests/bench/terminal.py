"""A pseudo-terminal with a stopwatch: a whole process in it, keys pressed, every byte of its answer timed.

Apart from what is measured with it. It knows as much of a terminal as the program's own painting uses: place
the cursor, write, begin another line; colours are passed over.
"""

from __future__ import annotations

import codecs
import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

COLUMNS, LINES = 140, 40
QUIET = 0.025
"""Seconds without a byte after which a repaint is over."""
DEADLINE = 30.0
"""Seconds after which what is waited for will not come."""
OF_ANOTHER_TERMINAL = ("COLUMNS", "LINES", "NO_COLOR", "PYTHONDONTWRITEBYTECODE")
"""Variables that the program must not take from where the bench runs; installed, its modules are compiled."""

_PART = re.compile(
    r"\x1b\[([0-9;:?<>=$ ]*)([@-~])"  # a code with numbers: H places the cursor
    r"|\x1b[P\]_^X].*?(?:\x07|\x1b\\)|\x1b[^\[P\]_^X]"  # a message to the terminal; a short code
    r"|\r|\n|[^\x1b\r\n]+"
)


class Screen:
    """What the bytes so far have put on the screen."""

    def __init__(self) -> None:
        self._cells = [[" "] * COLUMNS for _ in range(LINES)]
        self._x = self._y = 0
        self._decode = codecs.getincrementaldecoder("utf-8")("replace").decode
        self._rest = ""

    def feed(self, data: bytes) -> None:
        """Take in what the program wrote."""
        text, place = self._rest + self._decode(data), 0
        while (part := _PART.match(text, place)) is not None:
            self._take(part)
            place = part.end()
        self._rest = text[place:]

    def _take(self, part: re.Match[str]) -> None:
        text = part.group()
        if part.group(2) == "H":
            line, _, column = part.group(1).partition(";")
            self._y, self._x = int(line or 1) - 1, int(column or 1) - 1
        elif text == "\r":
            self._x = 0
        elif text == "\n":
            self._y = min(self._y + 1, LINES - 1)
        elif text[0] != "\x1b":
            line_of_cells = self._cells[self._y]
            for sign in text[: COLUMNS - self._x]:
                line_of_cells[self._x] = sign
                self._x += 1

    @property
    def lines(self) -> list[str]:
        """The screen, line by line."""
        return ["".join(cells) for cells in self._cells]


class Terminal:
    """One process in one terminal, from ``with`` to the end of it."""

    def __init__(self, command: Sequence[str], env: Mapping[str, str], folder: Path) -> None:
        """Start a command; the watch runs from here."""
        self.screen = Screen()
        self.bytes = 0
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", LINES, COLUMNS, 0, 0))
        given = {key: value for key, value in os.environ.items() if key not in OF_ANOTHER_TERMINAL}
        own = {**given, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8", **env}
        self.begin = time.perf_counter()
        self._process = subprocess.Popen(
            command, cwd=folder, env=own, stdin=slave, stdout=slave, stderr=slave, start_new_session=True
        )
        os.close(slave)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.kill()
        self._process.wait()
        os.close(self._master)

    def press(self, key: bytes) -> float:
        """Press a key; the time at which it was pressed."""
        now = time.perf_counter()
        os.write(self._master, key)
        return now

    def _read(self, seconds: float) -> bool:
        """Take in what comes next; False where nothing comes for so long."""
        if not select.select([self._master], [], [], max(0.0, seconds))[0]:
            return False
        try:
            data = os.read(self._master, 65536)
        except OSError:  # so the end of the process is told here
            return False
        self.bytes += len(data)
        self.screen.feed(data)
        return True

    def seen(self, what: Callable[[list[str]], bool]) -> float:
        """The time of the first bytes with which ``what`` holds of the screen."""
        end = time.perf_counter() + DEADLINE
        while self._read(end - time.perf_counter()):
            now = time.perf_counter()
            if what(self.screen.lines):
                return now
        raise TimeoutError("This was never seen on the screen:\n" + "\n".join(self.screen.lines))

    def painted(self, what: Callable[[list[str]], bool]) -> float:
        """The time of the last byte of the repaint with which ``what`` holds of the screen.

        A repaint is over when nothing has come for ``QUIET``; that wait is not counted.
        """
        last = self.seen(what)
        while self._read(QUIET):
            last = time.perf_counter()
        return last

    def wait(self, seconds: float) -> None:
        """Take in whatever comes for so long."""
        end = time.perf_counter() + seconds
        while (left := end - time.perf_counter()) > 0:
            self._read(left)

    def settle(self, seconds: float) -> float | None:
        """Take in whatever comes until nothing has come for so long; the time of the last byte, if any."""
        last = None
        while self._read(seconds):
            last = time.perf_counter()
        return last
