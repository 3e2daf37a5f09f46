"""Work in a thread of its own: told once, or handed over once, however quick it is."""

from __future__ import annotations

import threading
from queue import Empty, SimpleQueue

import pytest

from scaledesign.errors import EditError
from scaledesign.ui.errand import Errand, tried
from scaledesign.wanted import each, go_on

SOON = 30.0
"""Seconds after which what must come will not come any more."""


def test_what_is_there_in_time_is_handed_over_and_not_told() -> None:
    told: SimpleQueue[str] = SimpleQueue()
    errand = Errand(lambda cancelled: "done", told.put)
    assert errand.wait(SOON) == "done"
    with pytest.raises(Empty):
        told.get_nowait()


def test_what_is_late_is_told() -> None:
    told: SimpleQueue[str] = SimpleQueue()
    gate = threading.Event()

    def work(_: object) -> str:
        gate.wait()
        return "done"

    errand = Errand(work, told.put)
    assert errand.wait(0.0) is None
    gate.set()
    assert told.get(timeout=SOON) == "done"


@pytest.mark.parametrize("first", [True, False], ids=["done before it is left", "left before it is done"])
def test_what_is_left_is_told_once(first: bool) -> None:
    told: SimpleQueue[str] = SimpleQueue()
    gate = threading.Event()

    def work(_: object) -> str:
        gate.wait()
        return "done"

    errand = Errand(work, told.put)
    if first:
        gate.set()
        errand._done.wait(SOON)
        errand.leave()
        assert told.get_nowait() == "done"
    else:
        errand.leave()
        gate.set()
        assert told.get(timeout=SOON) == "done"
    with pytest.raises(Empty):
        told.get_nowait()


def test_what_is_cancelled_is_not_told() -> None:
    told: SimpleQueue[str] = SimpleQueue()
    errand = Errand(lambda cancelled: "done", told.put)
    errand._done.wait(SOON)
    errand.cancel()
    errand.leave()
    with pytest.raises(Empty):
        told.get_nowait()


def test_what_is_cancelled_ends_at_its_next_step() -> None:
    told: SimpleQueue[str] = SimpleQueue()
    begun = threading.Event()
    thread: list[threading.Thread] = []

    def work(_: object) -> str:
        thread.append(threading.current_thread())
        while True:
            begun.set()
            go_on()

    errand = Errand(work, told.put)
    assert begun.wait(SOON)
    errand.cancel()
    thread[0].join(SOON)
    assert not thread[0].is_alive()
    assert thread[0].daemon
    go_on()  # nobody cancelled this thread's own work
    with pytest.raises(Empty):
        told.get_nowait()


def test_how_far_it_is_can_be_seen_from_outside() -> None:
    gate, half = threading.Event(), threading.Event()

    def work(_: object) -> str:
        for number in each(range(4)):
            if number == 2:
                half.set()
                gate.wait(SOON)
        return "done"

    errand = Errand(work, lambda done: None)
    assert half.wait(SOON)
    assert errand.share == 0.5
    gate.set()
    assert errand.wait(SOON) == "done"


def test_what_goes_wrong_is_told_in_a_sentence() -> None:
    def refused() -> int:
        raise EditError("that does not fit", "try another")

    def broken() -> int:
        raise ZeroDivisionError("by naught")

    assert tried(lambda: 3) == (3, "")
    assert tried(refused) == (None, "that does not fit; try another.")
    assert tried(broken) == (None, "This is a fault of scaledesign's own (ZeroDivisionError: by naught).")
