"""Work in a thread: one piece at a time, the newest first."""

from __future__ import annotations

import threading
from collections.abc import Callable

from scaledesign.ui.newest import Newest
from scaledesign.wanted import go_on

PATIENCE = 10.0


class Bench:
    """Pieces of work that last until they are let go."""

    def __init__(self) -> None:
        self.done: list[str] = []
        self.told: list[str] = []
        self.doors: dict[str, threading.Event] = {}
        self.begun: dict[str, threading.Event] = {}
        self.rest = threading.Event()

    def piece(self, name: str) -> Callable[[], str]:
        self.doors[name], self.begun[name] = threading.Event(), threading.Event()

        def work() -> str:
            self.begun[name].set()
            assert self.doors[name].wait(PATIENCE)
            self.done.append(name)
            return name

        return work

    def tell(self, name: str) -> None:
        self.told.append(name)
        self.rest.set()


def test_of_what_is_asked_meanwhile_only_the_newest_is_done() -> None:
    bench = Bench()
    worker = Newest(bench.tell)
    for name in "abcd":
        worker.ask(bench.piece(name))
        if name == "a":
            assert bench.begun["a"].wait(PATIENCE)
    for door in bench.doors.values():
        door.set()
    assert bench.rest.wait(PATIENCE)
    assert bench.done == ["a", "d"]
    assert bench.told == ["d"]


def test_it_works_again_after_a_rest() -> None:
    bench = Bench()
    worker = Newest(bench.tell)
    for name in "ab":
        bench.rest.clear()
        work = bench.piece(name)
        bench.doors[name].set()
        worker.ask(work)
        assert bench.rest.wait(PATIENCE)
    assert bench.told == ["a", "b"]


def test_nobody_is_told_once_it_is_stopped() -> None:
    bench = Bench()
    worker = Newest(bench.tell)
    worker.ask(bench.piece("a"))
    assert bench.begun["a"].wait(PATIENCE)
    worker.ask(bench.piece("b"))
    worker.stop()
    bench.doors["a"].set()
    for thread in threading.enumerate():
        if thread.name == "preview":
            thread.join(PATIENCE)
    assert bench.done == ["a"]
    assert bench.told == []
    worker.ask(bench.piece("c"))
    assert not bench.begun["c"].wait(0.02)


def test_what_nobody_waits_for_any_more_ends_at_its_next_step() -> None:
    bench = Bench()
    worker = Newest(bench.tell)
    begun = threading.Event()

    def endless() -> str:
        while True:
            begun.set()
            go_on()

    worker.ask(endless)
    assert begun.wait(PATIENCE)
    work = bench.piece("b")
    bench.doors["b"].set()
    worker.ask(work)
    assert bench.rest.wait(PATIENCE)
    assert bench.told == ["b"]
