"""Killed at any moment while somebody edits: at most the last edit is lost, and the file is whole.

Two hundred times the program runs on a pseudo-terminal, edits are typed into it as keys, and it is ended by
SIGKILL at a random moment. What is real: the program's own ``main``, its keys, engine, painting, saving and
journal, in a process of its own, and the kill. What is not: each process is forked from one that has the
modules loaded already (``warm.py``). Edit k gives one row k + 0.5 cents, so that every state is told from
every other; an edit counts as done when the screen has shown it.

Held each time, for the file and what a next start would offer:

- the newer of the two is the design after some edit k, every row as it was then, none of a later edit;
- k is at most one less than the last edit that was painted, and no more than the last that was typed;
- the file is byte for byte what it was; where Ctrl+S was pressed, it may be the design after a later edit.
"""

from __future__ import annotations

import fcntl
import os
import pty
import random
import re
import select
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import Self

import pytest

import scaledesign
from scaledesign.files.journal import leftovers
from scaledesign.locations import EXAMPLES

KILLS = 200
SEED = 20261
DEADLINE = 60.0
"""Seconds after which what is waited for will not come."""
ROWS = 6
CODES = re.compile(rb"\x1b(?:\[[0-9;?]*[A-Za-z]|[=>]|\][^\x07]*\x07)")
PAINTED = re.compile(rb"\+(\d+)\.5(?!\d)")
UP, DOWN, SAVE = b"\x1b[A", b"\x1b[B", b"\x13"


def row_of(edit: int) -> int:
    """The row that an edit (from 1) changes: down the rows and up again."""
    place = (edit - 1) % (2 * ROWS - 2)
    return min(place, 2 * ROWS - 2 - place)


def keys_of(edit: int) -> bytes:
    """Type the cents and go on to the row of the next edit."""
    return f"{edit}.5".encode() + (DOWN if row_of(edit + 1) > row_of(edit) else UP)


def cents_after(edits: int) -> list[float]:
    """The rows' cents after so many edits."""
    cents = [0.0] * ROWS
    for edit in range(1, edits + 1):
        cents[row_of(edit)] = edit + 0.5
    return cents


def edits_in(text: str) -> int:
    """After how many edits a design looks like this; it must be one of those states in every row."""
    cents = [row.cents for row in scaledesign.loads(text).rows]
    edits = int(max(cents))
    assert cents == cents_after(edits)
    return edits


class Warm:
    """The process that starts the program and kills it."""

    def __init__(self, home: Path) -> None:
        env = {**os.environ, "SCALEDESIGN_HOME": str(home), "TERM": "xterm-256color", "LC_ALL": "C.UTF-8"}
        self._process = subprocess.Popen(
            [sys.executable, Path(__file__).with_name("warm.py")],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env,
        )  # fmt: skip
        assert self._answer() == "ready"

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.communicate()

    def order(self, *words: str) -> int:
        assert self._process.stdin is not None
        self._process.stdin.write("\t".join(words) + "\n")
        self._process.stdin.flush()
        return int(self._answer())

    def _answer(self) -> str:
        assert self._process.stdout is not None
        return self._process.stdout.readline().rstrip("\n")


class Sitting:
    """One run of the program on its pseudo-terminal, and what has been typed into it and painted by it."""

    def __init__(self, warm: Warm, file: Path) -> None:
        self.warm = warm
        self.terminal, other = pty.openpty()
        fcntl.ioctl(other, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        warm.order("start", os.ttyname(other), str(file))
        self._other = other
        self._written = b""
        self.typed = 0
        self.read_until(lambda: b"A5" in CODES.sub(b"", self._written))
        self.type(b"\x1b[C")  # from the notes to the cents

    @property
    def painted(self) -> int:
        """The last edit that has been painted."""
        return max((int(k) for k in PAINTED.findall(CODES.sub(b"", self._written))), default=0)

    def type(self, keys: bytes) -> None:
        os.write(self.terminal, keys)

    def edit(self) -> None:
        """Type the next edit."""
        self.typed += 1
        self.type(keys_of(self.typed))

    def read_until(self, seen: Callable[[], bool]) -> None:
        """Read what is painted until something is seen in it."""
        end = time.monotonic() + DEADLINE
        while not seen():
            assert self.read(end), f"Never painted. Last written: {self._written[-500:]!r}"

    def read(self, end: float) -> bool:
        """Read what is painted next; False where nothing comes in time."""
        ready, _, _ = select.select([self.terminal], [], [], max(0.0, end - time.monotonic()))
        if ready:
            self._written += os.read(self.terminal, 65536)
        return bool(ready)

    def read_for(self, seconds: float) -> None:
        """Read what is painted for a while."""
        end = time.monotonic() + seconds
        while self.read(end):
            pass

    def kill(self) -> None:
        """SIGKILL; then read what had been painted before."""
        assert self.warm.order("kill") == -9
        while self.read(time.monotonic()):
            pass
        os.close(self.terminal)
        os.close(self._other)


@pytest.fixture
def warm(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Warm]:
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "home"))
    with Warm(tmp_path / "home") as process:
        yield process


def flute(path: Path) -> str:
    """A small flute in a file: one row for each note of the scale."""
    design = scaledesign.load(EXAMPLES / "marsh-wren.toml")
    rows = tuple(row for row in design.rows if row.role == "scale")
    assert len(rows) == ROWS
    scaledesign.save(replace(design, rows=rows), path)
    return path.read_text(encoding="utf-8")


@pytest.mark.slow
def test_two_hundred_kills(tmp_path: Path, warm: Warm) -> None:
    print("seed", SEED)
    chance = random.Random(SEED)
    lost: list[int] = []
    for number in range(KILLS):
        file = tmp_path / f"flute-{number}.toml"
        before = flute(file)
        sitting = Sitting(warm, file)
        saved = sit(sitting, chance, saving=number % 4 == 3)
        sitting.kill()

        text = file.read_text(encoding="utf-8")
        assert saved or text == before
        kept = [edits_in(text)]
        for leftover in leftovers():
            assert leftover.path == file
            kept.append(edits_in(leftover.text))
            assert leftover.discard()
        assert len(kept) <= 2
        lost.append(sitting.painted - max(kept))
        assert sitting.painted - 1 <= max(kept) <= sitting.typed, f"kill {number}"
    print("edits painted and not kept, and how often:", {gap: lost.count(gap) for gap in sorted(set(lost))})


def sit(sitting: Sitting, chance: random.Random, *, saving: bool) -> bool:
    """Edit for a random while, up to the moment of the kill; returns whether Ctrl+S was pressed."""
    saved = False
    begin = time.monotonic()
    for _ in range(chance.randint(1, 4)):  # each seen before the next
        sitting.edit()
        sitting.read_until(lambda: sitting.painted >= sitting.typed)
        if saving and chance.random() < 0.5:
            sitting.type(SAVE)
            saved = True
    pace = (time.monotonic() - begin) / sitting.typed
    for _ in range(chance.randint(1, 3)):  # a burst, typed ahead
        sitting.edit()
    sitting.read_for(chance.uniform(0.0, 2.5 * pace))
    return saved
