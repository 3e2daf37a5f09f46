"""The engine as the screen asks it: one question at a time, in a thread, a newer one in place of an older.

Apart from the screen, which paints what comes back; knows no widget. An answer comes whatever happens.
"""

from __future__ import annotations

from collections.abc import Callable

from scaledesign.errors import own_fault
from scaledesign.ui.errand import Errand
from scaledesign.view.desk import Want
from scaledesign.workshop import live
from scaledesign.workshop.answer import Answer

AT_ONCE = 0.02
"""Seconds that a key waits for the engine before it is painted without it. A computer with nothing else to do
needs 8 to 16 for a usual flute; to give up on a busy one would only give it two paints to do."""

PAUSE = 0.12
"""Seconds without a key after which bits, reasons and the sound are worked out."""


class Engine:
    """What is being worked out."""

    def __init__(self, tell: Callable[[Answer, Want], None]) -> None:
        """``tell`` is called in the engine's thread with an answer that was not waited for."""
        self._tell = tell
        self._stop: Callable[[], None] | None = None
        self.asked: Want | None = None
        """The newest question."""

    def ask(self, want: Want) -> Answer | None:
        """The answer, waited for as long as nobody would notice; None: it will be told."""
        self.stop()
        self.asked = want
        errand = Errand(lambda cancelled: _quick(want, cancelled), self._teller(want))
        answer = errand.wait(AT_ONCE)
        if answer is None:
            self._stop = errand.cancel
        return answer

    def load(self, want: Want) -> None:
        """Ask for the first time, and do not wait: much of the engine is imported for it."""
        self.asked = want
        errand = Errand(lambda cancelled: _quick(want, cancelled), self._teller(want))
        self._stop = errand.cancel
        errand.leave()

    def think(self, want: Want) -> None:
        """Solve whole, in the background; a newer question stops it."""
        errand = Errand(lambda cancelled: _thorough(want, cancelled), self._teller(want))
        self._stop = errand.cancel
        errand.leave()

    def later(self, stop: Callable[[], None] | None) -> None:
        """The last question is answered; ``stop`` undoes what was put off to a pause."""
        self._stop = stop

    def stop(self) -> None:
        """Nobody wants the answer any more."""
        if self._stop is not None:
            self._stop()
            self._stop = None

    def _teller(self, want: Want) -> Callable[[Answer], None]:
        return lambda answer: self._tell(answer, want)


def _quick(want: Want, cancelled: Callable[[], bool]) -> Answer:
    if want.kind == "predict":
        return _at_any_price(want, lambda: live.held(want.design))
    return _at_any_price(want, lambda: live.quick(want.design, want.last, cancelled))


def _thorough(want: Want, cancelled: Callable[[], bool]) -> Answer:
    return _at_any_price(want, lambda: live.thorough(want.design, cancelled))


def _at_any_price(want: Want, ask: Callable[[], Answer]) -> Answer:
    """An answer whatever happens: a fault of the program's own must not take the maker's work with it."""
    try:
        return ask()
    except Exception as error:  # noqa: BLE001 - the last door before the screen
        return Answer(want.design, None, (f"{own_fault(error)}; undo the last step.",))
