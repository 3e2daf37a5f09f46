"""What is killed: a window that is typed into, or a command that writes a design, in a fork of its own.

Apart from ``kills.py``, which forks, kills and judges. Everything here is the program's own: the grid under
its headless driver, its keys, engine, journal and saving; the command line's ``main``. Around three of its
methods stands a thin wrapper that tells the parent through a pipe, one line each, what the program itself
holds for done:

- ``edit K``: the screen works on the design after edit K (``MainScreen.show`` has returned);
- ``keeping K`` and ``kept K``: before and after the journal was written;
- ``saving K DIGEST`` and ``saved K DIGEST``: before and after the file was written.

The wrappers also end the process, by SIGKILL to itself, at a chosen step: before or after the n-th call into
the system (open, write, fsync, rename, lock, ...) that the program makes while it writes a journal or a file.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import signal
import socket
import sys
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeVar

from scaledesign.files import document_file
from scaledesign.files.journal import Journal
from scaledesign.files.stamp import stamp_of_bytes, stamp_of_text
from scaledesign.model.document import Design
from tests.terminal.test_kill import cents_after, row_of

PAUSES = (0.0, 0.0, 0.02, 0.1, 0.3)
"""Seconds that whoever types may wait between one thing and the next."""
Result = TypeVar("Result")
DISK = {"posix", "_io", "fcntl"}
"""Modules whose calls are steps on the disk."""


@dataclass
class Aim:
    """Where the process is to end itself: in the ``turn``-th writing of this ``kind``, at this ``step``."""

    kind: str = ""
    turn: int = 1
    step: int = 0


@dataclass
class Teller:
    """The pipe to the parent, and the end that is aimed at."""

    pipe: int
    aim: Aim = field(default_factory=Aim)
    turns: dict[str, int] = field(default_factory=dict)

    def tell(self, *words: object) -> None:
        """One line to the parent."""
        os.write(self.pipe, (" ".join(map(str, words)) + "\n").encode())

    def stepping(self, kind: str, call: Callable[[], Result]) -> Result:
        """Do something; where this is the turn that is aimed at, it ends at the step, or at its last one.

        Steps are counted, which costs time, in the turn that is aimed at, and where there is no end (turn 0).
        """
        turn = self.turns[kind] = self.turns.get(kind, 0) + 1
        aimed = self.aim.kind == kind and self.aim.turn == turn
        if not aimed and self.aim.turn:
            return call()
        steps = 0
        around = sys.getprofile()

        def step(frame: Any, event: str, called: Any) -> None:
            nonlocal steps
            if event in ("c_call", "c_return") and _home(called) in DISK:
                if aimed and steps == self.aim.step:
                    os.kill(os.getpid(), signal.SIGKILL)
                steps += 1
            if around is not None:
                around(frame, event, called)

        sys.setprofile(step)
        try:
            result = call()
        finally:
            sys.setprofile(around)
        if aimed:
            os.kill(os.getpid(), signal.SIGKILL)
        self.tell("steps", kind, steps)
        return result


def _home(called: Any) -> str:
    """Module of a function written in C, or of the thing that it is a method of."""
    home = getattr(called, "__module__", None)
    return home if isinstance(home, str) else type(getattr(called, "__self__", None)).__module__


def edits_of(design: Design) -> int:
    """After how many edits a design looks like this, by its largest cents."""
    return int(max(row.cents for row in design.rows))


def in_a_fork(run: Callable[[], None]) -> int:
    """The number of a child that does this and ends without a word, whatever happens."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            quiet = os.open(os.devnull, os.O_RDWR)
            for number in (0, 1, 2) if "SCALEDESIGN_KILLS_LOUD" not in os.environ else (0,):
                os.dup2(quiet, number)
            run()
            code = 0
        except BaseException:  # noqa: BLE001 - the parent's own clean-up must not run here
            import traceback

            traceback.print_exc()
        finally:
            os._exit(code)
    return child


def window(file: Path, seed: int, teller: Teller, orders: socket.socket | None = None) -> None:
    """A window on a file: typed into at random, saved at random, until somebody kills it.

    With ``orders`` it stops once it has opened; forks of it go on, each with file, seed, pipe and aim
    of its own.
    """
    import textual.app
    import textual.pilot

    from scaledesign.ui.file_work import FileWork
    from scaledesign.ui.main_screen import MainScreen

    async def step(*_: float) -> None:
        await asyncio.sleep(0)

    textual.app.wait_for_idle = textual.pilot.wait_for_idle = step  # type: ignore[attr-defined]
    show, keep, write, put = MainScreen.show, FileWork.keep, FileWork._write, document_file.put_bytes
    seen = 0

    def told_show(self: MainScreen, desk: Any) -> None:
        nonlocal seen
        show(self, desk)
        if edits_of(self.desk.design) != seen:
            seen = edits_of(self.desk.design)
            teller.tell("edit", seen)

    def told_keep(self: FileWork, desk: Any) -> None:
        edits = edits_of(desk.design) if desk.unsaved else 0
        teller.tell("keeping", edits)
        teller.stepping("journal", lambda: keep(self, desk))
        teller.tell("problem" if self.journal.problem else "kept", edits)

    def told_write(self: FileWork, path: Path, then: Any) -> None:
        teller.stepping("save", lambda: write(self, path, then))

    def told_put(data: bytes, path: Any) -> None:
        text = data.decode("utf-8")
        words = edits_of(document_file.loads(text)), stamp_of_text(text)
        teller.tell("saving", *words)
        teller.stepping("file", lambda: put(data, path))
        teller.tell("saved", *words)

    MainScreen.show, FileWork.keep, FileWork._write = told_show, told_keep, told_write  # type: ignore[method-assign]
    document_file.put_bytes = told_put
    asyncio.run(_sit(file, seed, teller, orders))


async def _sit(file: Path, seed: int, teller: Teller, orders: socket.socket | None) -> None:
    from tests.ui.driving import NARROW, opened

    async with opened(file, size=NARROW) as grid:
        await grid.go(0, "cents")
        if orders is not None:
            file, seed = _fork_on_order(orders, teller)
            text = file.read_text(encoding="utf-8")
            grid.app.files.journal = Journal.open(file, text)  # the other one's lock is the other's
            grid.main.show(replace(grid.desk, path=file))
        chance = random.Random(seed)
        teller.tell("ready")
        edit = 0
        for turn in range(chance.randint(1, 3)):
            for _ in range(chance.choice((1, 1, 2))):  # some typed ahead
                edit += 1
                down = row_of(edit + 1) > row_of(edit)
                await grid.pilot.press(*str(edit), "full_stop", "5", "down" if down else "up")
            await asyncio.sleep(chance.choice(PAUSES))
            if turn == 0 or chance.random() < 0.5:
                await grid.pilot.press("ctrl+s")
                await asyncio.sleep(chance.choice(PAUSES))
        await grid.drained()
        assert [row.cents for row in grid.desk.design.rows] == cents_after(edit)
        teller.tell("modules", *sys.modules)
        teller.tell("finished")
        await asyncio.sleep(3600)


def _fork_on_order(orders: socket.socket, teller: Teller) -> tuple[Path, int]:
    """Fork as often as is asked for; returns in the forks only, with the file and the seed of each.

    Whoever asks sends the pipe to tell through along, is answered with the fork's number and, at its end,
    with how it ended.
    """
    loop = asyncio.get_running_loop()
    while True:
        order, pipes, _, _ = socket.recv_fds(orders, 65536, 1)
        if not order:
            os._exit(0)
        wish = json.loads(order)
        child = os.fork()
        if child == 0:
            asyncio._set_running_loop(loop)  # a loop knows its process, and this is another one
            orders.close()
            teller.pipe, teller.aim, teller.turns = pipes[0], Aim(**wish["aim"]), {}
            file = Path(wish["file"])
            os.environ["SCALEDESIGN_HOME"] = str(file.with_name("home"))
            return file, wish["seed"]
        os.close(pipes[0])
        orders.send(str(child).encode())
        orders.send(str(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])).encode())


def next_start(file: Path, teller: Teller) -> None:
    """The program started again after a kill: what is offered is taken, what stands there is told."""

    async def start() -> None:
        from scaledesign.ui.dialog import Deciding
        from tests.ui.driving import NARROW, opened

        async with opened(file, size=NARROW) as grid:
            asked = isinstance(grid.screen, Deciding)
            if asked:
                await grid.press("enter")
            cents = [row.cents for row in grid.desk.design.rows]
            teller.tell(
                "stands", edits_of(grid.desk.design), int(asked), int(cents == cents_after(int(max(cents))))
            )

    asyncio.run(start())


def command(words: list[str], teller: Teller) -> None:
    """One command that writes a design."""
    from scaledesign.cli import main

    put_all = document_file.put_all

    def told_put_all(files: Any, **how: Any) -> None:
        files = tuple(files)
        digest = stamp_of_bytes(files[0][1])
        teller.tell("saving", 0, digest)
        teller.stepping("file", lambda: put_all(files, **how))
        teller.tell("saved", 0, digest)

    document_file.put_all = told_put_all
    teller.tell("ready")
    code = main(words)
    teller.tell("modules", *sys.modules)
    teller.tell("finished", code)
