"""The loudspeaker as the screen uses it: one tune at a time, in a thread, stopped by the next.

Apart from what is heard (``view/hearing.py``) and from the player of the system (``sounding/player.py``),
whose place a test's own takes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from scaledesign.errors import SilentError
from scaledesign.model.saying import begun
from scaledesign.ui.errand import Errand
from scaledesign.view.listing import Tune

Play = Callable[[Sequence[tuple[float, float]], Callable[[], bool]], bool]
"""Plays ``(Hz, seconds)`` until it is over or cancelled."""


def _player(notes: Sequence[tuple[float, float]], cancelled: Callable[[], bool]) -> bool:
    from scaledesign.sounding.player import play_notes

    return play_notes(notes, cancelled)


class Loudspeaker:
    """What is being heard."""

    def __init__(self, failed: Callable[[str], None], play: Play = _player) -> None:
        """``failed`` is called in the loudspeaker's thread with why nothing was heard."""
        self.play = play
        self._failed = failed
        self._now: tuple[Tune, Errand[str]] | None = None
        self._over = True

    def toggle(self, tune: Tune) -> bool:
        """Play a tune; one that is being heard is stopped. Whether something is heard now."""
        before = self.stop()
        if before == tune:
            return False
        self._over = False
        errand = Errand(lambda cancelled: self._work(tune, cancelled), self._told)
        self._now = tune, errand
        errand.leave()
        return True

    def stop(self) -> Tune | None:
        """Silence; the tune that was being heard."""
        if self._now is None:
            return None
        tune, errand = self._now
        errand.cancel()
        self._now = None
        return None if self._over else tune

    def _work(self, tune: Tune, cancelled: Callable[[], bool]) -> str:
        try:
            self.play(tune.notes, cancelled)
        except SilentError as error:
            return begun(error.problem)
        except Exception as error:  # noqa: BLE001 - a sound that fails must not take the maker's work with it
            return f"Nothing can be played ({type(error).__name__}: {error})"
        return ""

    def _told(self, problem: str) -> None:
        self._over = True
        if problem:
            self._failed(problem)
