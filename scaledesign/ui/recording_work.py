"""A recording taken in while the grid is open: asked for, listened to, entered as one step."""

from __future__ import annotations

import time
from functools import partial
from typing import TYPE_CHECKING

from scaledesign.model.edits import Become

if TYPE_CHECKING:
    from collections.abc import Callable

    from scaledesign.ui.app import GridApp
    from scaledesign.view.listing import Taken
    from scaledesign.view.recording import Heard
    from scaledesign.view.recording_questions import RecordingAsked
    from scaledesign.workshop.calibration import Calibration

NO_MOUTH = "The mouth of this design is an ideal open end; give it a real mouth first."


class RecordingWork:
    """What is done with recordings."""

    def __init__(self, app: GridApp) -> None:
        self._app = app

    def ask(self) -> None:
        """Which recording, and what was played."""
        from scaledesign.ui.question_screen import QuestionScreen
        from scaledesign.view.asking import Asking
        from scaledesign.view.recording_questions import RecordingAsked, recordings

        app, design = self._app, self._app.main.desk.design
        if design.instrument.mouth == "open":
            app.say(NO_MOUTH)
            return
        folder = app.files.folder
        asking: Asking[RecordingAsked, RecordingAsked] = Asking(
            "From a recording",
            RecordingAsked.questions,
            RecordingAsked.tail,
            lambda asked: asked.ready,
            lambda asked: asked,
            "listen",
            2,
        )
        start = RecordingAsked(design, folder, recordings(folder))
        app.push_screen(
            QuestionScreen(app.look, asking, start), lambda asked: self._listen(asked) if asked else None
        )

    def _listen(self, asked: RecordingAsked) -> None:
        from scaledesign.ui.recording_screen import RecordingScreen
        from scaledesign.view.actions import key_words

        app = self._app
        keys = app.keys["hear"]
        screen = RecordingScreen(
            app.look, app.main.desk.sheet, partial(_heard, asked),
            play=app.hearing.say, play_keys=keys, play_words=key_words(keys[0]) if keys else "",
        )  # fmt: skip

        def done(taken: Taken | None) -> None:
            app.hearing.stop()
            if taken is not None:
                self._take(taken.value)

        app.push_screen(screen, done)

    def _take(self, found: Calibration) -> None:
        from scaledesign.view.recording import taught

        main = self._app.main
        desk = main.desk.doing(Become("enter a recording", found.design), time.monotonic())
        main.show(desk.saying(taught(found), "strong"))


def _heard(asked: RecordingAsked, told: Callable[[float], None], cancelled: Callable[[], bool]) -> Heard:
    from scaledesign.view.recording import listen_to

    path = asked.path
    assert path is not None  # the dialog lets nothing else through
    length, temperature = asked.conditions()
    return listen_to(
        asked.design, path, bare=asked.bare, order=asked.order, length=length, temperature=temperature,
        told=told, cancelled=cancelled,
    )  # fmt: skip
