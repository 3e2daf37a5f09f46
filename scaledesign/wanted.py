"""Whether long work is still wanted, and how far it is: it asks between its steps; unwanted, it ends.

A thread says how to know (``while_wanted``) and who is told; the work asks (``go_on``, ``each``), so that
nothing in between has to hand the question on. Where nobody said anything, all work is wanted.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TypeVar

T = TypeVar("T")
Told = Callable[[float | None], None]
"""Is told at every step which share of the work is done, or None where that is not known."""


class UnwantedError(BaseException):
    """The work is not wanted any more; only who began it catches this, no last door."""


class _Asked(threading.local):
    cancelled: Callable[[], bool] | None = None
    told: Told | None = None
    share: float | None = None
    """Of the outermost work that knows its share."""
    counted: bool = False
    """Whether such work is under way: what it is made of does not count again."""


_asked = _Asked()


@contextmanager
def while_wanted(cancelled: Callable[[], bool], told: Told | None = None) -> Iterator[None]:
    """In this thread, until the end of the block, work ends at its next step once it is ``cancelled``."""
    before = dict(vars(_asked))
    _asked.cancelled, _asked.told, _asked.share, _asked.counted = cancelled, told, None, False
    try:
        yield
    finally:
        vars(_asked).clear()
        vars(_asked).update(before)


def go_on() -> None:
    """Go on, if it is still wanted.

    Raises
    ------
    UnwantedError
    """
    if _asked.cancelled is not None and _asked.cancelled():
        raise UnwantedError
    if _asked.told is not None:
        _asked.told(_asked.share)


def each(items: Sequence[T]) -> Iterator[T]:
    """Go through ``items``, asking before each and telling how many are done.

    Raises
    ------
    UnwantedError
    """
    outermost = not _asked.counted
    _asked.counted = True
    try:
        for number, item in enumerate(items):
            if outermost:
                _asked.share = number / len(items)
            go_on()
            yield item
    finally:
        if outermost:
            _asked.share, _asked.counted = None, False


@contextmanager
def unbroken() -> Iterator[None]:
    """Let Ctrl+C wait until the end of the block: for what is short and must be done whole."""
    import signal

    usual = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or usual is not signal.default_int_handler:
        yield
        return
    asked: list[int] = []
    signal.signal(signal.SIGINT, lambda number, frame: asked.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, usual)
    if asked:
        raise KeyboardInterrupt


def done(share: float) -> None:
    """Tell which share of the work is done, where whoever does it knows.

    Raises
    ------
    UnwantedError
    """
    if not _asked.counted:
        _asked.share = share
    go_on()
