"""A process that has the program loaded and forks it, so that two hundred starts cost no two hundred imports.

Run as ``python warm.py``; it reads orders line by line and answers each with a line:

- ``start TERMINAL FILE``: opens FILE on that pseudo-terminal in a child, the program's own ``main`` from its
  first line on; answers with the child's number.
- ``kill``: SIGKILL to that child; answers with how it ended, as ``os.waitstatus_to_exitcode`` says it.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable


def main() -> None:
    """Follow orders until there are no more."""
    import scaledesign.cli.grid_command
    import scaledesign.ui.app  # noqa: F401 - what a start would import
    from scaledesign.cli import main as program

    child = 0
    print("ready", flush=True)
    for line in sys.stdin:
        order, *words = line.rstrip("\n").split("\t")
        if order == "start":
            child = os.fork()
            if child == 0:
                _be_the_program(words[0], words[1], program)
            print(child, flush=True)
        else:
            os.kill(child, signal.SIGKILL)
            print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)


def _be_the_program(terminal: str, file: str, program: Callable[[list[str]], int]) -> None:
    os.setsid()
    own = os.open(terminal, os.O_RDWR)  # and so the terminal of this session
    for number in (0, 1, 2):
        os.dup2(own, number)
    os.close(own)
    # the streams of a start at a terminal, not those this process was started with
    sys.stdin, sys.stdout, sys.stderr = (os.fdopen(number, mode) for number, mode in enumerate("rww"))
    sys.__stdin__, sys.__stdout__, sys.__stderr__ = sys.stdin, sys.stdout, sys.stderr
    os._exit(program(["grid", file]))


if __name__ == "__main__":
    main()
