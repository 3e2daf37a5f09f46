"""Work that must not hold up the screen: done at once where it can be, else told when it is done.

A thread of its own does it while the screen waits a moment; what takes longer is told through a callback. It
knows neither engine nor widget.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from scaledesign.errors import ScaledesignError, own_fault
from scaledesign.wanted import UnwantedError, while_wanted

T = TypeVar("T")


def tried(work: Callable[[], T]) -> tuple[T | None, str]:
    """What ``work`` gives, or None and why not: a fault of our own must not take the rest with it."""
    try:
        return work(), ""
    except ScaledesignError as error:
        return None, str(error)
    except Exception as error:  # noqa: BLE001 - the last door before the screen
        return None, f"{own_fault(error)}."


class Errand(Generic[T]):
    """One piece of work, begun at once.

    Parameters
    ----------
    work : is given ``cancelled`` to ask now and then, and must not raise; the engine asks by itself and
        breaks off (``wanted.py``)
    tell : called in the errand's thread with the result, unless ``wait`` had it or it was cancelled
    """

    def __init__(self, work: Callable[[Callable[[], bool]], T], tell: Callable[[T], None]) -> None:
        self._work = work
        self._tell = tell
        self._turn = threading.Lock()
        self._done = threading.Event()
        self._cancelled = False
        self._late = False
        self._result: T | None = None
        self.share: float | None = None
        """Of the work that is done; None where that is not known."""
        threading.Thread(target=self._run, name="engine", daemon=True).start()

    def _run(self) -> None:
        try:
            with while_wanted(lambda: self._cancelled, self._far):
                result = self._work(lambda: self._cancelled)
        except UnwantedError:
            self._done.set()
            return
        with self._turn:
            self._result = result
            self._done.set()
            told = self._late and not self._cancelled
        if told:
            self._tell(result)

    def _far(self, share: float | None) -> None:
        self.share = share

    def wait(self, seconds: float) -> T | None:
        """The result, if it is there within so many seconds; else None, and it will be told."""
        self._done.wait(seconds)
        with self._turn:
            self._late = not self._done.is_set()
            return self._result

    def leave(self) -> None:
        """Do not wait: the result will be told, now if it is there already."""
        with self._turn:
            self._late = True
            told = self._done.is_set() and not self._cancelled
        if told and self._result is not None:
            self._tell(self._result)

    def cancel(self) -> None:
        """Nobody wants it any more."""
        with self._turn:
            self._cancelled = True
