"""The loudspeaker: one tune at a time, stopped by itself or by the next, and a failure told once."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence

from scaledesign.errors import SilentError
from scaledesign.ui.loudspeaker import Loudspeaker
from scaledesign.view.listing import Tune

A, B = Tune(((440.0, 1.0),), "A."), Tune(((493.9, 1.0),), "B.")
PATIENCE = 20.0


class Player:
    """Plays until it is stopped, or at once."""

    def __init__(self, *, lasting: bool) -> None:
        self.lasting = lasting
        self.began: list[float] = []
        self.over = threading.Semaphore(0)
        self.started = threading.Semaphore(0)

    def __call__(self, notes: Sequence[tuple[float, float]], cancelled: Callable[[], bool]) -> bool:
        self.began.append(notes[0][0])
        self.started.release()
        tick = threading.Event()
        while self.lasting and not cancelled():
            tick.wait(0.001)
        self.over.release()
        return not self.lasting


def nobody(problem: str) -> None:
    raise AssertionError(problem)


def test_the_same_tune_stops_and_another_takes_its_place() -> None:
    player = Player(lasting=True)
    speaker = Loudspeaker(nobody, player)
    assert speaker.toggle(A)
    assert player.started.acquire(timeout=PATIENCE)
    assert speaker.toggle(B)
    assert player.over.acquire(timeout=PATIENCE)
    assert player.started.acquire(timeout=PATIENCE)
    assert not speaker.toggle(B)
    assert player.over.acquire(timeout=PATIENCE)
    assert player.began == [440.0, 493.9]
    assert speaker.stop() is None


def test_a_tune_that_is_over_plays_again() -> None:
    player = Player(lasting=False)
    speaker = Loudspeaker(nobody, player)
    for _ in range(2):
        assert speaker.toggle(A)
        assert player.over.acquire(timeout=PATIENCE)
        assert speaker._now is not None
        speaker._now[1]._done.wait(PATIENCE)
        while not speaker._over:
            pass
    assert player.began == [440.0, 440.0]


def test_why_nothing_is_heard_is_told() -> None:
    told, there = list[str](), threading.Event()

    def silent(notes: Sequence[tuple[float, float]], cancelled: Callable[[], bool]) -> bool:
        raise SilentError("no loudspeaker was reached", "write a file")

    def tell(problem: str) -> None:
        told.append(problem)
        there.set()

    assert Loudspeaker(tell, silent).toggle(A)
    assert there.wait(PATIENCE)
    assert told == ["No loudspeaker was reached"]
