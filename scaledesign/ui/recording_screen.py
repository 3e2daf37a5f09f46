"""The notes of a recording on the screen: listened to in a thread, put right by the maker, entered together.

A worked list whose entries may be given to another row before they are taken; what the list says is
``view/recording_list.py``'s. Escape leaves at any time, and the listening ends with it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from textual import events
from textual.message import Message

from scaledesign.ui.errand import Errand, tried
from scaledesign.ui.look import Look
from scaledesign.ui.worked_list import WorkedList
from scaledesign.values import dataclass
from scaledesign.view.columns import Sheet
from scaledesign.view.listing import Listing, Taken, Tune
from scaledesign.view.recording import Heard
from scaledesign.view.recording_list import listing, switched, turned
from scaledesign.workshop.calibration import Calibration

BUSY = "Listening"
Hear = Callable[[Callable[[float], None], Callable[[], bool]], Heard]
"""Listens: is given what to tell the share that is done, and what to ask whether it is still wanted."""


class RecordingScreen(WorkedList):
    """Listens, lists the notes, and hands back the flute that knows them (``Taken.value``: a Calibration)."""

    @dataclass
    class Entered(Message):
        """What the readings taught, or why they could not be entered."""

        found: Calibration | None
        problem: str

    def __init__(
        self,
        look: Look,
        sheet: Sheet,
        hear: Hear,
        *,
        play: Callable[[Tune], str] = lambda tune: "",
        play_keys: tuple[str, ...] = (),
        play_words: str = "",
    ) -> None:
        """``play`` sounds a pitch and says so."""
        super().__init__(
            look, "From a recording", BUSY, self._listened,
            hear=play, hear_keys=play_keys, hear_words=play_words,
        )  # fmt: skip
        self.sheet = sheet
        self.heard: Heard | None = None
        self._listen = hear
        self._left = threading.Event()
        self._share = 0.0
        self._entering: Errand[tuple[Calibration | None, str]] | None = None

    def on_unmount(self) -> None:
        """Nobody wants it any more."""
        self._left.set()
        if self._entering is not None:
            self._entering.cancel()
        super().on_unmount()

    def _listened(self) -> tuple[Listing, ...]:
        heard = self._listen(self._told, self._left.is_set)
        self.heard = heard
        return (listing(self.sheet, heard),)

    def _told(self, share: float) -> None:
        self._share = share

    def _beat(self) -> None:
        self.busy = f"{BUSY}: {100 * self._share:.0f} %" if self._share else BUSY
        super()._beat()

    def on_key(self, event: events.Key) -> None:
        """Another row, left out; the rest is every list's."""
        heard = self.heard
        changes = {"left": -1, "right": 1, "space": 0, "delete": 0}
        if self.lists and self._entering is not None:
            if event.key == "escape":
                super().on_key(event)
            event.stop()
            return
        if self.lists and heard is not None and heard.notes and event.key in changes:
            event.stop()
            event.prevent_default()
            by = changes[event.key]
            self.heard = turned(heard, self.chosen, by) if by else switched(heard, self.chosen)
            self.lists, self.note = (listing(self.sheet, self.heard),), ""
            self._sought = (-1, "", ())
            self._show()
            return
        super().on_key(event)

    def _choose(self, *, second: bool) -> None:
        """Enter what was heard, worked out in a thread."""
        heard = self.heard
        if heard is None or not heard.takes():
            super()._choose(second=second)
            return
        self.tell("Working out what that teaches...")
        self._entering = Errand(lambda cancelled: tried(heard.entered), self._say)
        self._entering.leave()

    def _say(self, done: tuple[Calibration | None, str]) -> None:
        if self.is_running:
            self.post_message(self.Entered(*done))

    def on_recording_screen_entered(self, message: Entered) -> None:
        """Hand the flute back, or say why not."""
        self._entering = None
        found = message.found
        if found is None:
            self.tell(message.problem)
        elif found.design == self.sheet.design:
            self.tell(" ".join(found.notes) or "It knew all that already.")
        else:
            self.close(Taken(found))
