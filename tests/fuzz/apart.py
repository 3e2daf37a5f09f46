"""Inputs that get a process of their own each, as every command line has one.

What libraries keep from one command to the next in the same process is nothing that a person's machine ever
holds, and would be counted as the last one's. A process that has only imported everything forks for each
input: no library of it has begun threads yet, which a fork would lose.
"""

from __future__ import annotations

import importlib
import multiprocessing
import multiprocessing.connection
import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from scaledesign.locations import FOLDER_VARIABLE
from tests.fuzz.watch import Outcome, Target, Watch

LATE = ("music21", "typst", "verovio", "soundfile", "parselmouth", "fontTools.ttLib", "ezdxf")
"""Libraries that are imported when they are first needed."""


class Apart:
    """The process that forks; began before any door was opened."""

    def __init__(self, targets: Mapping[str, Target]) -> None:
        self._here, there = multiprocessing.Pipe()
        if os.fork() == 0:
            self._here.close()
            with suppress(EOFError):
                _serve(there, targets)
            os._exit(0)
        there.close()

    def run(self, target: Target, data: bytes, folder: Path, home: Mapping[str, str]) -> Outcome:
        """Push one input through, in a process that ends with it."""
        self._here.send((target.name, data, folder, dict(home)))
        outcome: Outcome = self._here.recv()
        return outcome


def _serve(there: multiprocessing.connection.Connection, targets: Mapping[str, Target]) -> None:
    for name in LATE:
        with suppress(ImportError):
            importlib.import_module(name)
    os.environ.pop(FOLDER_VARIABLE, None)
    watch, opened = Watch(), ""
    while True:
        name, data, folder, home = there.recv()
        os.environ.update(home)
        if name != opened:
            watch.open(targets[name], folder)
            opened = name
        child = os.fork()
        if child == 0:
            watch.forget()
            there.send(watch.run(targets[name], data, folder))
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if status != 0:
            there.send(Outcome(0.0, 0.0, 0.0, f"the process ended with {os.waitstatus_to_exitcode(status)}"))
