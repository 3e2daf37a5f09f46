"""Work in a thread, one piece at a time: of what is asked meanwhile only the newest is done.

Apart from the screen, which goes on; what is under way ends at its next step once something newer is wanted,
and nobody is told of it. ``Errand`` is for work that may run beside other work; setting pages holds up
everything else, so that two at once would be twice as bad.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from scaledesign.wanted import UnwantedError, while_wanted

T = TypeVar("T")


class Newest(Generic[T]):
    """One worker.

    Parameters
    ----------
    tell : called in the worker's thread with each result that is still wanted
    """

    def __init__(self, tell: Callable[[T], None]) -> None:
        self._tell = tell
        self._turn = threading.Lock()
        self._next: Callable[[], T] | None = None
        self._busy = False
        self._over = False

    def ask(self, work: Callable[[], T]) -> None:
        """Do this next, in place of whatever was to be next; it must not raise."""
        with self._turn:
            self._next = work
            if self._busy or self._over:
                return
            self._busy = True
        threading.Thread(target=self._run, name="preview", daemon=True).start()

    def stop(self) -> None:
        """Nobody wants anything any more."""
        with self._turn:
            self._next, self._over = None, True

    def _run(self) -> None:
        while True:
            with self._turn:
                work, self._next = self._next, None
                self._busy = work is not None
            if work is None:
                return
            try:
                with while_wanted(lambda: not self._at_rest()):
                    result = work()
            except UnwantedError:
                continue
            if self._at_rest():
                self._tell(result)

    def _at_rest(self) -> bool:
        """Whether nothing newer is wanted, and somebody is still there to be told."""
        with self._turn:
            return self._next is None and not self._over
