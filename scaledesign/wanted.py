"""Whether long work is still wanted: it asks between its steps, and ends where nobody waits for it any more.

A thread says how to know (``while_wanted``), and the engine asks (``go_on``), so that nothing in between has
to hand the question on. Where nobody said anything, all work is wanted.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager


class UnwantedError(BaseException):
    """The work is not wanted any more; only who began it catches this, no last door."""


class _Asked(threading.local):
    cancelled: Callable[[], bool] | None = None


_asked = _Asked()


@contextmanager
def while_wanted(cancelled: Callable[[], bool]) -> Iterator[None]:
    """In this thread, until the end of the block, work ends at its next step once it is ``cancelled``."""
    before, _asked.cancelled = _asked.cancelled, cancelled
    try:
        yield
    finally:
        _asked.cancelled = before


def go_on() -> None:
    """Go on, if it is still wanted.

    Raises
    ------
    UnwantedError
    """
    if _asked.cancelled is not None and _asked.cancelled():
        raise UnwantedError
